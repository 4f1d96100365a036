//! Turns a JSON text into the same tree as YAML, so that faults of both are told alike.
//!
//! Numbers stay text exactly as written. Doubled keys, too deep nesting and what is no JSON are
//! faults of the file. Every value knows its place: the parser hands back slices of the text.

use super::fault::Sink;
use super::limits;
use super::node::{Key, Keys, Node, Value, too_many};
use super::place::At;
use super::wording::shown;
use serde_json::value::RawValue;

/// Bytes between places of which the column is known.
const STRIDE: usize = 1 << 10;

/// A text, where its lines begin, and how many characters there are before every so many bytes:
/// any place is found without reading its line.
struct Page<'a> {
    text: &'a str,
    file: usize,
    lines: Vec<usize>,
    /// Characters that begin before each multiple of [`STRIDE`].
    characters: Vec<usize>,
}

/// Characters that begin in these bytes of a text.
fn begun(bytes: &[u8]) -> usize {
    bytes.iter().filter(|&&byte| byte & 0xC0 != 0x80).count()
}

impl<'a> Page<'a> {
    fn new(text: &'a str, file: usize) -> Self {
        let mut lines = vec![0];
        lines.extend(text.match_indices('\n').map(|(at, _)| at + 1));
        let mut count = 0;
        let mut characters = vec![0];
        for piece in text.as_bytes().chunks(STRIDE) {
            count += begun(piece);
            characters.push(count);
        }
        Self {
            text,
            file,
            lines,
            characters,
        }
    }

    /// Characters that begin before a byte.
    fn before(&self, at: usize) -> usize {
        let known = at / STRIDE;
        self.characters[known] + begun(&self.text.as_bytes()[known * STRIDE..at])
    }

    /// The place of some bytes, cut to their first line.
    fn at(&self, start: usize, len: usize) -> At {
        let start = start.min(self.text.len());
        let line = self.lines.partition_point(|&begin| begin <= start).max(1);
        let end = (self.lines.get(line)).map_or(self.text.len(), |&next| next - 1);
        let rest = self.text.get(start..(start + len).min(end)).unwrap_or("");
        At {
            file: self.file as u32,
            start: start as u32,
            len: rest.strip_suffix('\r').unwrap_or(rest).len() as u32,
            line: line as u32,
            column: (self.before(start) - self.before(self.lines[line - 1])) as u32 + 1,
        }
    }
}

/// Reads one text; `file` is its position among the sources. Returns `None` after a fault that
/// leaves nothing to read on with.
pub(crate) fn parse(text: &str, file: usize, sink: &mut Sink) -> Option<Node> {
    let page = Page::new(text, file);
    if let Err(error) = serde_json::from_str::<&RawValue>(text) {
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
        return None;
    }
    tree(&page, sink)
}

/// An open list or object.
enum Open {
    List(Vec<Node>, usize),
    Map {
        entries: Vec<(Key, Node)>,
        /// The key of the next value.
        key: Option<String>,
        keys: Keys,
        start: usize,
    },
}

/// Returns where a value that is no list or object ends.
fn end_of(bytes: &[u8], start: usize) -> usize {
    let rest = &bytes[start..];
    let len = if rest.first() == Some(&b'"') {
        let mut escaped = false;
        let closing = rest.iter().skip(1).position(|&byte| {
            let end = byte == b'"' && !escaped;
            escaped = byte == b'\\' && !escaped;
            end
        });
        closing.map_or(rest.len(), |at| at + 2)
    } else {
        let after = |byte: &u8| byte.is_ascii_whitespace() || b",:]}".contains(byte);
        rest.iter().position(after).unwrap_or(rest.len())
    };
    start + len.max(1)
}

/// Turns a text that is known to be JSON into a tree, in one pass.
fn tree(page: &Page, sink: &mut Sink) -> Option<Node> {
    let bytes = page.text.as_bytes();
    let mut stack: Vec<Open> = Vec::new();
    let mut at = 0;
    while let Some(&byte) = bytes.get(at) {
        let start = at;
        at += 1;
        let done = match byte {
            b'{' | b'[' => {
                if stack.len() > limits::NESTING {
                    sink.fault(
                        page.at(start, 1),
                        format!(
                            "lists and objects stand more than {} deep inside each other",
                            limits::NESTING
                        ),
                        "nothing that is read here does; give the file as it was printed",
                    );
                    return None;
                }
                stack.push(if byte == b'[' {
                    Open::List(Vec::new(), start)
                } else {
                    Open::Map {
                        entries: Vec::new(),
                        key: None,
                        keys: Keys::default(),
                        start,
                    }
                });
                continue;
            }
            b'}' | b']' => {
                let (value, start) = match stack.pop()? {
                    Open::List(items, start) => (Value::List(items), start),
                    Open::Map { entries, start, .. } => (Value::Map(entries), start),
                };
                let place = page.at(start, at - start);
                Node { value, at: place }
            }
            b',' | b':' | b' ' | b'\t' | b'\r' | b'\n' => continue,
            _ => {
                at = end_of(bytes, start);
                let raw = page.text.get(start..at)?;
                let place = page.at(start, at - start);
                let text = if byte == b'"' {
                    let Ok(text) = serde_json::from_str::<String>(raw) else {
                        sink.fault(
                            place,
                            "this text holds half of a pair of `\\u` escapes",
                            "give the file as it was printed",
                        );
                        return None;
                    };
                    text
                } else {
                    raw.to_owned()
                };
                if let Some(Open::Map { key, .. }) = stack.last_mut()
                    && key.is_none()
                {
                    *key = Some(text);
                    continue;
                }
                let plain = byte != b'"';
                Node {
                    value: Value::Text { text, plain },
                    at: place,
                }
            }
        };
        // A key is kept with its value, and pointed at by it.
        let keyed = matches!(stack.last(), Some(Open::Map { .. }));
        if !sink.may_keep() || keyed && !sink.may_keep() {
            too_many(done.at, sink);
            return None;
        }
        match stack.last_mut() {
            None => return Some(done),
            Some(Open::List(items, _)) => items.push(done),
            Some(Open::Map {
                entries, key, keys, ..
            }) => {
                let text = key.take()?;
                if let Some(first) = keys.find(&text, entries) {
                    let first = sink.place(entries[first].0.at);
                    sink.fault(
                        done.at,
                        format!(
                            "the key `{}` stands twice here; first at {first}",
                            shown(&text)
                        ),
                        "keep one of the two",
                    );
                } else {
                    entries.push((Key { text, at: done.at }, done));
                    keys.added(entries);
                }
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kitchen::fault::read_through;

    fn read(text: &str) -> (Option<Node>, Vec<(usize, String)>) {
        let mut sink = Sink::new(vec!["plan.json".to_owned()]);
        let node = parse(text, 0, &mut sink);
        let (_, findings) = read_through(sink, |_| None::<()>);
        let faults = findings
            .faults
            .into_iter()
            .map(|f| (f.line, f.what))
            .collect();
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

    #[test]
    fn a_text_that_is_json_but_no_text_is_told() {
        let (node, faults) = read("{\"a\": 1,\n \"b\": \"\\ud800\"}");
        assert!(node.is_none());
        assert_eq!(faults.len(), 1);
        assert_eq!(faults[0].0, 2);
    }

    /// Places are those that counting through the text gives, whatever is on a line.
    #[test]
    fn places_are_found_anywhere_on_a_line() {
        let mut text = String::from("[");
        let mut places = Vec::new();
        for at in 0..3_000 {
            if at % 700 == 699 {
                text.push_str("\r\n");
            }
            let begin = text.rfind('\n').map_or(0, |end| end + 1);
            let line = text.matches('\n').count() + 1;
            places.push((line, text[begin..].chars().count() + 1, text.len()));
            text.push_str(["\"é\\\"豆\",", "{ \"ö\" : [ ] },", "-1.5e3 , "][at % 3]);
        }
        text.push_str("null]");
        let mut sink = Sink::new(vec!["plan.json".to_owned()]);
        let Some(Node {
            value: Value::List(items),
            ..
        }) = parse(&text, 0, &mut sink)
        else {
            panic!("a list");
        };
        assert_eq!(items.len(), 3_001);
        for (item, place) in items.iter().zip(places) {
            let (line, column) = (item.at.line as usize, item.at.column as usize);
            assert_eq!((line, column, item.at.start as usize), place);
        }
        assert!(matches!(&items[0].value, Value::Text { text, .. } if text == "é\"豆"));
        assert!(matches!(&items[2].value, Value::Text { text, plain: true } if text == "-1.5e3"));
    }
}
