//! Turns one YAML text into a tree that knows where everything stands.
//!
//! Scalars stay text exactly as written: `1.50` is not 1.5, `09037` keeps its zero, `no` is a
//! word. What a scalar means is settled by whoever expects it. Aliases, tags, doubled keys,
//! second documents and keys that are not text are faults of the file.

use super::fault::Sink;
use super::limits;
use super::place::At;
use super::wording::shown;
use serde_saphyr::granit_parser::{self, ErrorKind, Event, Parser, ScalarStyle, Span};
use std::collections::HashMap;

/// A value and its place.
#[derive(Clone, Debug)]
pub(crate) struct Node {
    pub(crate) value: Value,
    pub(crate) at: At,
}

/// What stands there.
#[derive(Clone, Debug)]
pub(crate) enum Value {
    /// A scalar; `plain` if it stood without quotes.
    Text { text: String, plain: bool },
    /// A list.
    List(Vec<Node>),
    /// A mapping in written order, keys unique.
    Map(Vec<(Key, Node)>),
}

/// A key of a mapping.
#[derive(Clone, Debug)]
pub(crate) struct Key {
    pub(crate) text: String,
    pub(crate) at: At,
}

impl Node {
    /// Returns what kind of value it is, for messages.
    pub(crate) fn kind(&self) -> &'static str {
        match &self.value {
            Value::Text { text, plain: true } if is_nothing(text) => "nothing",
            Value::Text { .. } => "text",
            Value::List(_) => "a list",
            Value::Map(_) => "a mapping",
        }
    }

    /// Whether it is an empty value: `key:` with nothing after it, `~` or `null`.
    pub(crate) fn is_nothing(&self) -> bool {
        matches!(&self.value, Value::Text { text, plain: true } if is_nothing(text))
    }
}

fn is_nothing(text: &str) -> bool {
    matches!(text, "" | "~" | "null" | "Null" | "NULL")
}

/// An open list or mapping.
enum Open {
    List(Vec<Node>, At),
    Map {
        entries: Vec<(Key, Node)>,
        key: Option<Key>,
        keys: Keys,
        at: At,
    },
}

/// The keys of a mapping, by name once there are many.
#[derive(Default)]
pub(crate) struct Keys(HashMap<String, usize>);

impl Keys {
    /// Keys up to which all of them are looked through.
    const FEW: usize = 16;

    /// Returns where a key of this text stands among the entries, if it does.
    pub(crate) fn find(&self, text: &str, entries: &[(Key, Node)]) -> Option<usize> {
        if entries.len() <= Self::FEW {
            return entries.iter().position(|(key, _)| key.text == text);
        }
        self.0.get(text).copied()
    }

    /// Takes note of the last entry.
    pub(crate) fn added(&mut self, entries: &[(Key, Node)]) {
        let known = match entries.len() {
            0..=Self::FEW => return,
            count if count == Self::FEW + 1 => 0,
            count => count - 1,
        };
        let new = entries.iter().enumerate().skip(known);
        self.0
            .extend(new.map(|(at, (key, _))| (key.text.clone(), at)));
    }
}

/// Tells that there is more than may be kept.
pub(crate) fn too_many(at: At, sink: &mut Sink) {
    sink.fault(
        at,
        format!(
            "up to here there are more than {} words, numbers, lists and mappings, keys counted; \
             nothing is read on",
            limits::VALUES
        ),
        "leave out what this week does not need; look for a list that was pasted many times",
    );
    sink.partial = true;
}

/// Reads one text; `file` is its position among the sources. Returns `None` after a fault that
/// leaves nothing to read on with; an empty text gives an empty mapping.
pub(crate) fn parse(text: &str, file: usize, sink: &mut Sink) -> Option<Node> {
    let options = granit_parser::options! {
        disallow_directives: true,
        emit_unresolved_aliases: true,
        emit_comments: false,
        flow_nesting_limit: limits::NESTING + 1,
        block_nesting_limit: limits::NESTING + 1,
    };
    let mut stack: Vec<Open> = Vec::new();
    let mut root: Option<Node> = None;
    let mut documents = 0;
    for event in Parser::new_from_str_with_options(text, options) {
        let (event, span) = match event {
            Ok(pair) => pair,
            Err(error) => {
                report(&error, text, file, sink);
                return None;
            }
        };
        let at = place(span, text, file);
        let value = matches!(
            event,
            Event::Scalar(..) | Event::SequenceStart(..) | Event::MappingStart(..)
        );
        if value && !sink.may_keep() {
            too_many(at, sink);
            return None;
        }
        if event.anchor_id().is_some_and(|id| id > 0) || event.is_alias() {
            sink.fault(
                at,
                "anchors (`&name`) and aliases (`*name`) are not read",
                "write the value out in full; quote a text that begins with `&` or `*`",
            );
            return None;
        }
        if event.tag().is_some() {
            sink.fault(
                at,
                "YAML tags (`!name`) are not read",
                "leave the tag out; quote a text that begins with `!`",
            );
            return None;
        }
        let done = match event {
            Event::DocumentStart(..) => {
                documents += 1;
                if documents > 1 {
                    sink.fault(
                        at,
                        "a second document begins here (`---`)",
                        "put it into a file of its own",
                    );
                    return None;
                }
                None
            }
            Event::UnresolvedAlias(_) => {
                sink.fault(
                    at,
                    "aliases (`*name`) are not read",
                    "write the value out in full; quote a text that begins with `*`",
                );
                return None;
            }
            Event::Scalar(scalar, style, ..) => {
                let plain = style == ScalarStyle::Plain;
                Some(Node {
                    value: Value::Text {
                        text: scalar.into_owned(),
                        plain,
                    },
                    at,
                })
            }
            Event::SequenceStart(..) => {
                stack.push(Open::List(Vec::new(), at));
                None
            }
            Event::MappingStart(..) => {
                stack.push(Open::Map {
                    entries: Vec::new(),
                    key: None,
                    keys: Keys::default(),
                    at,
                });
                None
            }
            Event::SequenceEnd | Event::MappingEnd => stack.pop().map(close),
            _ => None,
        };
        if stack.len() > limits::NESTING {
            too_deep(at, sink);
            return None;
        }
        if let Some(node) = done {
            match stack.last_mut() {
                None => root = Some(node),
                Some(Open::List(items, _)) => items.push(node),
                Some(Open::Map {
                    entries, key, keys, ..
                }) => {
                    put(node, entries, key, keys, sink)?;
                }
            }
        }
    }
    let root = root.unwrap_or_else(|| Node {
        value: Value::Map(Vec::new()),
        at: At::file(file),
    });
    if root.is_nothing() {
        return Some(Node {
            value: Value::Map(Vec::new()),
            at: root.at,
        });
    }
    Some(root)
}

fn close(open: Open) -> Node {
    match open {
        Open::List(items, at) => Node {
            value: Value::List(items),
            at,
        },
        Open::Map { entries, at, .. } => {
            // A mapping is pointed at by its first key, which says what it is.
            let at = entries.first().map_or(at, |(key, _)| key.at);
            Node {
                value: Value::Map(entries),
                at,
            }
        }
    }
}

/// Takes a finished node as the next key or value of a mapping. `None` after a fault that
/// leaves the mapping without sense.
fn put(
    node: Node,
    entries: &mut Vec<(Key, Node)>,
    key: &mut Option<Key>,
    keys: &mut Keys,
    sink: &mut Sink,
) -> Option<()> {
    match key.take() {
        Some(key) => {
            if let Some(first) = keys.find(&key.text, entries) {
                let place = sink.place(entries[first].0.at);
                sink.fault(
                    key.at,
                    format!(
                        "the key `{}` stands twice here; first at {place}",
                        shown(&key.text)
                    ),
                    "keep one of the two",
                );
            } else {
                entries.push((key, node));
                keys.added(entries);
            }
        }
        None => {
            if let Value::Text { text, .. } = node.value {
                *key = Some(Key { text, at: node.at });
            } else {
                sink.fault(
                    node.at,
                    "a key must be a word, not a list or a mapping",
                    "write `key: value`; quote text that holds brackets or braces",
                );
                return None;
            }
        }
    }
    Some(())
}

fn too_deep(at: At, sink: &mut Sink) {
    sink.fault(
        at,
        format!(
            "lists and mappings stand more than {} deep inside each other",
            limits::NESTING
        ),
        "no kitchen file needs that; look for a stray bracket or runaway indentation",
    );
}

/// Turns a parser's span into a place, cut to its first line.
fn place(span: Span, text: &str, file: usize) -> At {
    let start = offset(&span.start, text);
    let end = offset(&span.end, text).max(start);
    let slice = text.get(start..end).unwrap_or("");
    let first = slice.lines().next().unwrap_or("").trim_end();
    At {
        file: file as u32,
        start: start as u32,
        len: first.len() as u32,
        line: span.start.line() as u32,
        column: span.start.col() as u32 + 1,
    }
}

fn offset(marker: &granit_parser::Marker, text: &str) -> usize {
    marker.byte_offset().unwrap_or(0).min(text.len())
}

/// Tells a syntax error in a cook's words where we have some, else in the parser's.
fn report(error: &granit_parser::ScanError, text: &str, file: usize, sink: &mut Sink) {
    let marker = error.marker();
    let at = place(Span::new(*marker, *marker), text, file);
    if matches!(error.kind(), ErrorKind::RecursionLimitExceeded) {
        return too_deep(at, sink);
    }
    let line = text
        .lines()
        .nth(marker.line().saturating_sub(1))
        .unwrap_or("");
    let help = if line.starts_with('\t') || line.trim_start_matches(' ').starts_with('\t') {
        "indent with spaces; a tab does not count as indentation"
    } else {
        "check indentation and brackets on this line and the one before, and quote text that \
         holds a colon or #, or begins with one of [ ] { } , & * ! | > ' \" % @"
    };
    sink.fault(at, format!("this is not YAML: {}", error.info()), help);
}
