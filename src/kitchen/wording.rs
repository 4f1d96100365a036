//! How messages are worded: what is wrong and what to write instead, before it has a place.

use crate::unicode;
use std::fmt::Write as _;

/// What is wrong and what to write instead, before it has a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Says {
    pub(crate) what: String,
    pub(crate) help: String,
}

/// Returns a [`Says`].
pub(crate) fn says(what: impl Into<String>, help: impl Into<String>) -> Says {
    Says {
        what: what.into(),
        help: help.into(),
    }
}

/// Returns text fit for a message: cut to 60 characters, what a terminal would obey or nobody
/// would see as its number, a name written from right to left as an isolate.
pub(crate) fn shown(text: &str) -> String {
    match text.char_indices().nth(60) {
        Some((end, _)) => unicode::quoted(&text[..end]) + "...",
        None => unicode::quoted(text),
    }
}

/// Returns "`a`, `b` or `c`".
pub(crate) fn either<S: AsRef<str>>(words: &[S]) -> String {
    listed(words, "or")
}

/// Returns "`a`, `b` and `c`", with another joining word if asked.
pub(crate) fn listed<S: AsRef<str>>(words: &[S], join: &str) -> String {
    let mut out = String::new();
    for (index, word) in words.iter().enumerate() {
        if index > 0 {
            out.push_str(if index + 1 == words.len() { " " } else { ", " });
            if index + 1 == words.len() {
                out.push_str(join);
                out.push(' ');
            }
        }
        let _ = write!(out, "`{}`", shown(word.as_ref()));
    }
    out
}
