//! Turns a JSON text into the same tree as YAML, so that faults of both are told alike.
//!
//! Numbers stay text exactly as written. Doubled keys, too deep nesting and what is no JSON are
//! faults of the file. Every value knows its place: the parser hands back slices of the text.

use super::fault::{At, Sink, shown};
use super::limits;
use super::node::{Key, Node, Value};
use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};
use serde_json::value::RawValue;
use std::collections::HashMap;
use std::fmt;

/// The entries of an object as written, doubled keys and all.
struct Entries<'a>(Vec<(String, &'a RawValue)>);

impl<'de> Deserialize<'de> for Entries<'de> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Each;
        impl<'de> Visitor<'de> for Each {
            type Value = Entries<'de>;
            fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
                f.write_str("an object")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let mut entries = Vec::new();
                while let Some(entry) = map.next_entry()? {
                    entries.push(entry);
                }
                Ok(Entries(entries))
            }
        }
        deserializer.deserialize_map(Each)
    }
}

/// A text and where its lines begin.
struct Page<'a> {
    text: &'a str,
    file: usize,
    lines: Vec<usize>,
}

impl Page<'_> {
    fn at(&self, start: usize, len: usize) -> At {
        let line = self.lines.partition_point(|&begin| begin <= start).max(1);
        let begin = self.lines[line - 1];
        let before = self.text.get(begin..start).unwrap_or("");
        let slice = self.text.get(start..start + len).unwrap_or("");
        At {
            file: self.file as u32,
            start: start as u32,
            len: slice.lines().next().unwrap_or("").len() as u32,
            line: line as u32,
            column: before.chars().count() as u32 + 1,
        }
    }

    /// The place of a slice of this text.
    fn of(&self, slice: &str) -> At {
        let start = (slice.as_ptr() as usize).wrapping_sub(self.text.as_ptr() as usize);
        self.at(start.min(self.text.len()), slice.len())
    }
}

/// Reads one text; `file` is its position among the sources. Returns `None` after a fault that
/// leaves nothing to read on with.
pub(crate) fn parse(text: &str, file: usize, sink: &mut Sink) -> Option<Node> {
    let mut lines = vec![0];
    lines.extend(text.match_indices('\n').map(|(at, _)| at + 1));
    let page = Page { text, file, lines };
    match serde_json::from_str::<&RawValue>(text) {
        Ok(raw) => node(raw.get(), &page, 0, sink),
        Err(error) => {
            let begin = error.line().checked_sub(1).and_then(|n| page.lines.get(n));
            let start = begin.map_or(0, |begin| begin + error.column().saturating_sub(1));
            let start = (0..=start.min(text.len()))
                .rev()
                .find(|&at| text.is_char_boundary(at))
                .unwrap_or(0);
            // The parser's own words end in the place, which is told anyway.
            let words = error.to_string();
            let words = words.split(" at line ").next().unwrap_or(&words);
            sink.fault(
                page.at(start, 1),
                format!("this is not JSON: {words}"),
                "give the file as `--format json` printed it, whole",
            );
            None
        }
    }
}

fn node(raw: &str, page: &Page, depth: usize, sink: &mut Sink) -> Option<Node> {
    let at = page.of(raw);
    if depth > limits::NESTING {
        sink.fault(
            at,
            format!(
                "lists and objects stand more than {} deep inside each other",
                limits::NESTING
            ),
            "nothing that is read here does; give the file as it was printed",
        );
        return None;
    }
    let plain = |text: &str| Value::Text {
        text: text.to_owned(),
        plain: true,
    };
    let value = match raw.as_bytes().first() {
        Some(b'{') => {
            let Entries(entries) = serde_json::from_str(raw).ok()?;
            let mut seen: HashMap<String, At> = HashMap::new();
            let mut out = Vec::with_capacity(entries.len());
            for (text, value) in entries {
                let place = page.of(value.get());
                if let Some(&first) = seen.get(&text) {
                    let first = sink.place(first);
                    sink.fault(
                        place,
                        format!(
                            "the key `{}` stands twice here; first at {first}",
                            shown(&text)
                        ),
                        "keep one of the two",
                    );
                    continue;
                }
                let inside = node(value.get(), page, depth + 1, sink)?;
                seen.insert(text.clone(), place);
                out.push((Key { text, at: place }, inside));
            }
            Value::Map(out)
        }
        Some(b'[') => {
            let items: Vec<&RawValue> = serde_json::from_str(raw).ok()?;
            let items = items.iter();
            Value::List(
                items
                    .map(|item| node(item.get(), page, depth + 1, sink))
                    .collect::<Option<_>>()?,
            )
        }
        Some(b'"') => Value::Text {
            text: serde_json::from_str(raw).ok()?,
            plain: false,
        },
        _ => plain(raw),
    };
    Some(Node { value, at })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> (Option<Node>, Vec<(usize, String)>) {
        let mut sink = Sink::new(vec!["plan.json".to_owned()]);
        let node = parse(text, 0, &mut sink);
        let (faults, _) = sink.finish();
        let faults = faults.into_iter().map(|f| (f.line, f.what)).collect();
        (node, faults)
    }

    #[test]
    fn every_value_knows_its_line() {
        let (node, faults) = read("{\n\t\"a\": [1.50,\n  \"\\u00bd no\"], \"b\": null}");
        assert!(faults.is_empty());
        let Some(Node {
            value: Value::Map(entries),
            ..
        }) = node
        else {
            panic!("an object");
        };
        let Value::List(items) = &entries[0].1.value else {
            panic!("a list");
        };
        assert_eq!((items[0].at.line, items[1].at.line), (2, 3));
        assert!(matches!(&items[0].value, Value::Text { text, plain: true } if text == "1.50"));
        assert!(matches!(&items[1].value, Value::Text { text, plain: false } if text == "½ no"));
        assert!(entries[1].1.is_nothing());
    }

    #[test]
    fn doubled_keys_and_broken_text_are_told_with_their_line() {
        let (_, faults) = read("{\"a\": 1,\n\"a\": 2,\n\"b\": {\"c\": 1, \"c\": 2}}");
        let lines: Vec<usize> = faults.iter().map(|(line, _)| *line).collect();
        assert_eq!(lines, [2, 3]);
        let (node, faults) = read("{\"a\": 1,\n oops}");
        assert!(node.is_none());
        assert_eq!(faults.len(), 1);
        assert_eq!(faults[0].0, 2);
        let deep = "[".repeat(60) + &"]".repeat(60);
        assert_eq!(read(&deep).1.len(), 1);
        assert_eq!(read(&"[".repeat(100_000)).1.len(), 1);
        assert_eq!(read("").1.len(), 1);
    }
}
