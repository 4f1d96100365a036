//! Reads `equipment:`.

use super::fault::Sink;
use super::fields;
use super::gathered::later;
use super::limits;
use super::node::{Node, Value};
use super::number::Decimal;
use super::place::At;
use super::spelling::{fold, meant, why_one};
use super::wording::shown;
use std::collections::{HashMap, HashSet};

/// What the kitchen counts under `equipment:`; of anything else there is one.
#[derive(Debug, Default)]
pub(crate) struct Tools {
    counted: Vec<(String, At, i64)>,
    /// Where each stands, by its folded name.
    by_name: HashMap<String, usize>,
}

impl Tools {
    /// Reads `equipment:`.
    pub(crate) fn read(node: Option<&Node>, sink: &mut Sink) -> Self {
        let mut tools = Self::default();
        let Some(node) = node else { return tools };
        let Value::Map(entries) = &node.value else {
            sink.fault(
                node.at,
                format!(
                    "`equipment` must be a mapping, and here stands {}",
                    node.kind()
                ),
                "write `name: how many` lines, like `equipment: {oven: 1, burner: 2}`",
            );
            return tools;
        };
        if entries.len() > limits::LIST {
            let what = format!("`equipment` has {} entries", entries.len());
            sink.fault(node.at, what, format!("at most {} are read", limits::LIST));
            return tools;
        }
        let form = Decimal {
            places: 0,
            least: 1,
            most: limits::TOOLS,
            what: "how many there are",
            example: "2",
        };
        for (key, value) in entries {
            let Some(name) = fields::named(key, "a piece of equipment", sink) else {
                continue;
            };
            if let Some((other, ..)) = tools.find(name) {
                sink.fault(
                    key.at,
                    format!("`{}` already stands here", shown(name)),
                    format!("keep one of the two{}", why_one(name, other)),
                );
                continue;
            }
            if matches!(&value.value, Value::Text { text, .. } if text.trim() == "0") {
                let shown = shown(name);
                sink.fault(
                    value.at,
                    format!("there is no `{shown}`, says this 0"),
                    format!("leave it out here, and write `without: [{shown}]` under `rules:`"),
                );
            } else if let Some(count) = fields::number(value, name, form, sink) {
                tools.by_name.insert(fold(name), tools.counted.len());
                tools.counted.push((name.to_owned(), key.at, count));
            }
        }
        tools
    }

    fn find(&self, name: &str) -> Option<&(String, At, i64)> {
        self.counted.get(*self.by_name.get(&fold(name))?)
    }

    /// Returns how many there are.
    pub(crate) fn count(&self, name: &str) -> i64 {
        self.find(name).map_or(1, |tool| tool.2)
    }

    /// Returns the names that are counted.
    pub(crate) fn names(&self) -> impl Iterator<Item = &str> {
        self.counted.iter().map(|tool| tool.0.as_str())
    }

    /// Warns of names nothing needs.
    pub(crate) fn unused(&self, needed: &[&str], sink: &mut Sink) {
        let folded: HashSet<String> = needed.iter().map(|other| fold(other)).collect();
        for (name, at, _) in &self.counted {
            if folded.contains(&fold(name)) {
                continue;
            }
            let help = later(|allowance| {
                meant(needed.iter().copied(), name, allowance, || {
                    "add it to `needs` of a recipe or component, or leave it out".to_owned()
                })
            });
            sink.warn(
                *at,
                format!("nothing needs the equipment `{}`", shown(name)),
                help,
            );
        }
    }
}
