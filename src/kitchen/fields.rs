//! Reads one mapping key by key: unknown keys, missing keys and values of the wrong kind become
//! faults, and reading goes on.

use super::fault::Sink;
use super::gathered::later;
use super::limits;
use super::node::{Key, Node, Value};
use super::number::{Decimal, decimal};
use super::place::At;
use super::spelling::{Allowance, meant};
use super::wording::{either, says, shown};
use crate::unicode;

/// A mapping being read.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Fields<'a> {
    entries: &'a [(Key, Node)],
    pub(crate) at: At,
    /// What it describes, for messages: "a food", "the week".
    what: &'static str,
}

impl<'a> Fields<'a> {
    /// Opens `node`, which must be a mapping with no other keys than `keys`.
    pub(crate) fn open(
        node: &'a Node,
        what: &'static str,
        keys: &[&str],
        sink: &mut Sink,
    ) -> Option<Self> {
        let Value::Map(entries) = &node.value else {
            sink.fault(
                node.at,
                format!("{what} must be a mapping, and here stands {}", node.kind()),
                format!("write `key: value` lines; the keys are {}", either(keys)),
            );
            return None;
        };
        for (key, _) in entries {
            if !keys.contains(&key.text.as_str()) {
                let help = |allowance: &mut Allowance| {
                    if key.text.starts_with(|c: char| c.is_ascii_digit()) {
                        return "a comma parts entries inside { }: write decimals with a point, \
                                like 1.5; quote a text that holds a comma"
                            .to_owned();
                    }
                    meant(keys.iter().copied(), &key.text, allowance, || {
                        format!("the keys of {what} are {}", either(keys))
                    })
                };
                sink.fault(
                    key.at,
                    format!("{what} has no key `{}`", shown(&key.text)),
                    later(help),
                );
            }
        }
        if entries.len() > limits::LIST {
            // Nearly all of them were faults. What else is wrong here would be looked for among
            // them, again and again.
            sink.partial = true;
            return None;
        }
        Some(Self {
            entries,
            at: node.at,
            what,
        })
    }

    /// Returns the value of a key, if it stands there; an empty value is a fault.
    pub(crate) fn get(&self, key: &str, sink: &mut Sink) -> Option<&'a Node> {
        let (found, node) = self.entries.iter().find(|(k, _)| k.text == key)?;
        if node.is_nothing() {
            sink.fault(
                found.at,
                format!("`{key}` has no value"),
                "write one after the colon, or leave the key out",
            );
            return None;
        }
        Some(node)
    }

    /// Whether the key stands there, with or without a value.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.entries.iter().any(|(k, _)| k.text == key)
    }

    /// Returns the place of a key, or of the mapping.
    pub(crate) fn key_at(&self, key: &str) -> At {
        self.entries
            .iter()
            .find(|(k, _)| k.text == key)
            .map_or(self.at, |(k, _)| k.at)
    }

    /// Returns the place of a key's value, or of the mapping.
    pub(crate) fn value_at(&self, key: &str) -> At {
        self.entries
            .iter()
            .find(|(k, _)| k.text == key)
            .map_or(self.at, |(_, node)| node.at)
    }

    /// Returns the value of a key that must be there.
    pub(crate) fn need(&self, key: &str, example: &str, sink: &mut Sink) -> Option<&'a Node> {
        if !self.has(key) {
            sink.fault(
                self.at,
                format!("{} lacks `{key}`", self.what),
                format!("add it, like `{key}: {example}`"),
            );
            return None;
        }
        self.get(key, sink)
    }

    /// Returns all keys with their values, for mappings whose keys are free.
    pub(crate) fn entries(&self) -> &'a [(Key, Node)] {
        self.entries
    }

    /// Returns a text: quoted, or plain and not `true` or `false`.
    pub(crate) fn text(&self, key: &str, sink: &mut Sink) -> Option<&'a str> {
        let node = self.get(key, sink)?;
        text(node, key, limits::NAME, sink)
    }

    /// Returns a text that must be there.
    pub(crate) fn need_text(&self, key: &str, example: &str, sink: &mut Sink) -> Option<&'a str> {
        let node = self.need(key, example, sink)?;
        text(node, key, limits::NAME, sink)
    }

    /// Returns `true` or `false`; `default` if left out.
    pub(crate) fn flag(&self, key: &str, default: bool, sink: &mut Sink) -> bool {
        let Some(node) = self.get(key, sink) else {
            return default;
        };
        match &node.value {
            Value::Text { text, plain: true } if text == "true" => true,
            Value::Text { text, plain: true } if text == "false" => false,
            _ => {
                sink.fault(
                    node.at,
                    format!("`{key}` must be true or false"),
                    format!("write `{key}: true` or `{key}: false`, without quotes"),
                );
                default
            }
        }
    }

    /// Returns a plain number in `10^-places`.
    pub(crate) fn number(&self, key: &str, form: Decimal, sink: &mut Sink) -> Option<i64> {
        let node = self.get(key, sink)?;
        number(node, key, form, sink)
    }

    /// Returns a list of names.
    pub(crate) fn words(&self, key: &str, sink: &mut Sink) -> Vec<&'a str> {
        self.list(key, limits::WORDS, sink)
            .iter()
            .filter_map(|node| text(node, key, limits::NAME, sink))
            .collect()
    }

    /// Returns the items of a list; none if the key is left out.
    pub(crate) fn list(&self, key: &str, most: usize, sink: &mut Sink) -> &'a [Node] {
        let Some(node) = self.get(key, sink) else {
            return &[];
        };
        list(node, key, most, sink).unwrap_or(&[])
    }
}

/// Returns the items of a node that must be a list of at most `most`.
pub(crate) fn list<'a>(
    node: &'a Node,
    key: &str,
    most: usize,
    sink: &mut Sink,
) -> Option<&'a [Node]> {
    let Value::List(items) = &node.value else {
        sink.fault(
            node.at,
            format!("`{key}` must be a list, and here stands {}", node.kind()),
            format!("write `{key}: [..]`, or one `- ` line for each entry"),
        );
        return None;
    };
    if items.len() > most {
        sink.fault(
            node.at,
            format!(
                "`{key}` has {} entries; at most {most} are read",
                items.len()
            ),
            "split the kitchen, or leave out what this week does not need",
        );
        return None;
    }
    Some(items)
}

/// Returns the text of a node, trimmed.
pub(crate) fn text<'a>(node: &'a Node, key: &str, most: usize, sink: &mut Sink) -> Option<&'a str> {
    let Value::Text { text, plain } = &node.value else {
        sink.fault(
            node.at,
            format!("`{key}` must be text, and here stands {}", node.kind()),
            format!("write one text, like `{key}: ...`; quote text with brackets or a colon"),
        );
        return None;
    };
    let trimmed = text.trim();
    if trimmed.is_empty() || node.is_nothing() {
        sink.fault(
            node.at,
            format!("`{key}` is empty"),
            "write a text, or leave the entry out",
        );
        return None;
    }
    if *plain && matches!(trimmed, "true" | "false") {
        sink.fault(
            node.at,
            format!("`{key}` must be text, and `{trimmed}` is a truth value"),
            format!("put it in quotes if it is a name: \"{trimmed}\""),
        );
        return None;
    }
    harmless(trimmed, node.at, key, most, sink).then_some(trimmed)
}

/// Returns the name that a key of free words gives, trimmed: no less is asked of it than of a
/// [`text`].
pub(crate) fn named<'a>(key: &'a Key, what: &str, sink: &mut Sink) -> Option<&'a str> {
    let trimmed = key.text.trim();
    if trimmed.is_empty() {
        sink.fault(key.at, format!("{what} has no name"), "write a word");
        return None;
    }
    harmless(trimmed, key.at, what, limits::NAME, sink).then_some(trimmed)
}

/// Whether a text from a file may go where texts go: to a terminal, a page, a calendar. Every one
/// passes here, whatever its length, or is compared with words known beforehand.
fn harmless(text: &str, at: At, key: &str, most: usize, sink: &mut Sink) -> bool {
    if let Some(flaw) = unicode::flaw(text) {
        sink.fault(at, format!("`{key}` {flaw}"), flaw.help());
        return false;
    }
    // Bytes are at least characters, so short texts need no counting.
    if text.len() > most && text.chars().count() > most {
        sink.fault(
            at,
            format!("`{key}` is longer than {most} characters"),
            "shorten it",
        );
        return false;
    }
    true
}

/// Returns the plain number of a node, in `10^-places`.
pub(crate) fn number(node: &Node, key: &str, form: Decimal, sink: &mut Sink) -> Option<i64> {
    let text = match &node.value {
        Value::Text { text, .. } if !node.is_nothing() && text != "true" && text != "false" => text,
        other => {
            let stands = match other {
                Value::Text { text, .. } if !node.is_nothing() => format!("`{}`", shown(text)),
                _ => node.kind().to_owned(),
            };
            sink.fault(
                node.at,
                format!("`{key}` must be {}, and here stands {stands}", form.what),
                format!("write it as a plain number, like {}", form.example),
            );
            return None;
        }
    };
    let result =
        decimal(text, form).map_err(|fault| says(format!("`{key}`: {}", fault.what), fault.help));
    sink.take(node.at, result)
}

/// Reads `at_least` and `at_most`, at least one of them; `whose` is the kind of rule, what its
/// figures are of, and what must keep them.
pub(crate) fn floor_and_ceiling(
    fields: &Fields,
    figure: Decimal,
    (kind, of, what): (&str, &str, &str),
    sink: &mut Sink,
) -> (Option<i64>, Option<i64>) {
    let at_least = fields.number("at_least", figure, sink);
    let at_most = fields.number("at_most", figure, sink);
    if !fields.has("at_least") && !fields.has("at_most") {
        sink.fault(
            fields.at,
            format!("a {kind} rule has neither `at_least` nor `at_most`"),
            format!("add the figure, in the {of}'s unit for one portion"),
        );
    }
    if let (Some(least), Some(most)) = (at_least, at_most)
        && least > most
    {
        sink.fault(
            fields.value_at("at_most"),
            format!("`at_most` is below `at_least`: no {what} can meet both"),
            "swap or correct the two figures",
        );
    }
    (at_least, at_most)
}
