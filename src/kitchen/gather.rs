//! Collects what the files hold under each top-level key, and names under each kind.

use super::fault::Sink;
use super::fields::{self, Fields};
use super::node::{Node, Value};
use super::place::At;
use super::spelling::{Allowance, fold, why_one};
use super::wording::shown;
use std::collections::HashMap;

/// Everything that stands in the files, not yet understood.
#[derive(Debug, Default)]
pub(crate) struct Raw<'a> {
    pub(crate) kitchen: Option<&'a Node>,
    pub(crate) currency: Option<&'a Node>,
    pub(crate) week: Option<&'a Node>,
    pub(crate) equipment: Option<&'a Node>,
    pub(crate) aims: Option<&'a Node>,
    pub(crate) rules: Option<&'a Node>,
    pub(crate) foods: Vec<&'a Node>,
    pub(crate) components: Vec<&'a Node>,
    pub(crate) recipes: Vec<&'a Node>,
    pub(crate) stock: Vec<&'a Node>,
}

const KEYS: [&str; 10] = [
    "kitchen",
    "currency",
    "week",
    "equipment",
    "stock",
    "aims",
    "rules",
    "foods",
    "components",
    "recipes",
];

/// Collects the top-level keys of all files.
pub(crate) fn raw<'a>(roots: &'a [Node], sink: &mut Sink) -> Raw<'a> {
    let mut raw = Raw::default();
    let mut once: HashMap<&str, At> = HashMap::new();
    for root in roots {
        let Some(fields) = Fields::open(root, "a kitchen file", &KEYS, sink) else {
            continue;
        };
        for (key, _) in fields.entries() {
            let key_at = key.at;
            let key = key.text.as_str();
            let many = match key {
                "foods" => &mut raw.foods,
                "components" => &mut raw.components,
                "recipes" => &mut raw.recipes,
                "stock" => &mut raw.stock,
                _ => {
                    let slot = match key {
                        "kitchen" => &mut raw.kitchen,
                        "currency" => &mut raw.currency,
                        "week" => &mut raw.week,
                        "equipment" => &mut raw.equipment,
                        "aims" => &mut raw.aims,
                        "rules" => &mut raw.rules,
                        _ => continue,
                    };
                    if let Some(first) = once.insert(key, key_at) {
                        let place = sink.place(first);
                        sink.fault(
                            key_at,
                            format!("`{key}` is already given at {place}"),
                            "it stands once in a kitchen: put both together in one place",
                        );
                        continue;
                    }
                    *slot = fields.get(key, sink);
                    continue;
                }
            };
            if let Some(node) = fields.get(key, sink) {
                if let Value::List(items) = &node.value {
                    many.extend(items);
                } else {
                    sink.partial = true;
                    fields::list(node, key, usize::MAX, sink);
                }
            }
        }
    }
    raw
}

/// An entry with a name.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Named<'a> {
    /// Its name; empty after a fault.
    pub(crate) name: &'a str,
    /// Where the name stands.
    pub(crate) at: At,
    pub(crate) fields: Fields<'a>,
}

/// Entries of one kind, sorted by name, and where each name is.
#[derive(Debug, Default)]
pub(crate) struct Roll<'a> {
    pub(crate) entries: Vec<Named<'a>>,
    index: HashMap<String, usize>,
}

impl Roll<'_> {
    /// Returns the position of a name, in any case.
    pub(crate) fn find(&self, name: &str) -> Option<usize> {
        self.index.get(&fold(name)).copied()
    }

    /// Returns up to three names near this one; none once very many were compared.
    pub(crate) fn near(&self, name: &str, allowance: &mut Allowance) -> Vec<String> {
        super::spelling::near(self.entries.iter().map(|entry| entry.name), name, allowance)
    }
}

/// The words one kind of entry is read with.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Shape {
    /// The key that names it: `food`.
    pub(crate) key: &'static str,
    /// "a food".
    pub(crate) what: &'static str,
    /// A name such an entry may have.
    pub(crate) example: &'static str,
    /// All its keys.
    pub(crate) keys: &'static [&'static str],
    /// Most entries.
    pub(crate) most: usize,
}

/// Opens all entries of a kind, refusing doubled names, and sorts them.
pub(crate) fn roll<'a>(nodes: &[&'a Node], shape: Shape, sink: &mut Sink) -> Roll<'a> {
    let Shape {
        key,
        what,
        example,
        keys,
        most,
    } = shape;
    let mut out = Roll::default();
    let mut seen: HashMap<String, (At, &str)> = HashMap::new();
    if nodes.len() > most {
        sink.fault(
            nodes[most].at,
            format!(
                "the kitchen has {} `{key}` entries; at most {most} are read",
                nodes.len()
            ),
            "split the kitchen in two, or leave out what is not used",
        );
        sink.partial = true;
        return out;
    }
    for node in nodes {
        let Some(fields) = Fields::open(node, what, keys, sink) else {
            sink.partial = true;
            continue;
        };
        let name = fields.need_text(key, example, sink).unwrap_or_default();
        sink.partial |= name.is_empty();
        let at = fields.value_at(key);
        if !name.is_empty() {
            if let Some(&(first, other)) = seen.get(&fold(name)) {
                let place = sink.place(first);
                let case = why_one(name, other);
                sink.fault(
                    at,
                    format!(
                        "the {key} `{}` already stands at {place}{case}",
                        shown(name)
                    ),
                    format!("rename one of the two, or remove it; each {key} stands once"),
                );
                continue;
            }
            seen.insert(fold(name), (at, name));
        }
        out.entries.push(Named { name, at, fields });
    }
    out.entries
        .sort_by(|a, b| (a.name, a.at).cmp(&(b.name, b.at)));
    out.index = out
        .entries
        .iter()
        .enumerate()
        .filter(|(_, entry)| !entry.name.is_empty())
        .map(|(index, entry)| (fold(entry.name), index))
        .collect();
    out
}
