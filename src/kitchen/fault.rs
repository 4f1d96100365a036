//! Faults and warnings: where, what is wrong, what to write instead.
//!
//! Every reader pushes into one `Sink` and goes on, so that all faults of a kitchen are
//! told at once.

use crate::unicode;
use std::fmt::Write as _;

/// A fault or a warning of the kitchen files.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Name of the file; empty if it concerns the kitchen as a whole.
    pub file: String,
    /// Line, from 1; 0 if no line is to blame.
    pub line: usize,
    /// Column in characters, from 1; 0 if no line is to blame.
    pub column: usize,
    /// Byte offset in the file and length in bytes of what is to blame.
    pub span: (usize, usize),
    /// What is wrong.
    pub what: String,
    /// What to write instead.
    pub help: String,
}

/// A file as it was read, for excerpts.
#[derive(Clone, Debug, Default)]
pub struct Source {
    /// Its name, as faults give it.
    pub name: String,
    /// Its text; empty if it was refused before it was read.
    pub text: String,
}

/// A place in a file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct At {
    /// Position in the list of sources.
    pub(crate) file: u32,
    /// Byte offset.
    pub(crate) start: u32,
    /// Bytes.
    pub(crate) len: u32,
    /// Line, from 1; 0 for the file as a whole.
    pub(crate) line: u32,
    /// Column, from 1.
    pub(crate) column: u32,
}

impl At {
    /// Returns the place "somewhere in this file".
    pub(crate) fn file(file: usize) -> Self {
        Self {
            file: file as u32,
            ..Self::default()
        }
    }

    /// Returns the place of the kitchen as a whole.
    pub(crate) fn nowhere() -> Self {
        Self {
            file: u32::MAX,
            ..Self::default()
        }
    }
}

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

/// Collects faults and warnings.
#[derive(Debug, Default)]
pub(crate) struct Sink {
    /// Names of the files, by position.
    pub(crate) files: Vec<String>,
    faults: Vec<(At, Fault)>,
    warnings: Vec<(At, Fault)>,
    /// Some file or list was not read. What it holds is unknown, so a name that is not found
    /// is then no fault.
    pub(crate) partial: bool,
    /// How many names were compared for "did you mean".
    compared: usize,
}

impl Sink {
    pub(crate) fn new(files: Vec<String>) -> Self {
        Self {
            files,
            ..Self::default()
        }
    }

    /// Notes a fault.
    pub(crate) fn fault(&mut self, at: At, what: impl Into<String>, help: impl Into<String>) {
        let fault = self.make(at, says(what, help));
        self.faults.push((at, fault));
    }

    /// Notes a fault and returns `None`.
    pub(crate) fn refuse<T>(&mut self, at: At, says: Says) -> Option<T> {
        let fault = self.make(at, says);
        self.faults.push((at, fault));
        None
    }

    /// Turns a result into its value, noting the fault.
    pub(crate) fn take<T>(&mut self, at: At, result: Result<T, Says>) -> Option<T> {
        match result {
            Ok(value) => Some(value),
            Err(says) => self.refuse(at, says),
        }
    }

    /// Notes a warning.
    pub(crate) fn warn(&mut self, at: At, what: impl Into<String>, help: impl Into<String>) {
        let warning = self.make(at, says(what, help));
        self.warnings.push((at, warning));
    }

    /// Whether another `count` names may be compared for "did you mean". Past a limit none are
    /// offered, so that a folder full of unknown names is still read in one go.
    pub(crate) fn may_compare(&mut self, count: usize) -> bool {
        self.compared = self.compared.saturating_add(count);
        self.compared <= 1_000_000
    }

    /// Returns how many faults there are so far.
    pub(crate) fn count(&self) -> usize {
        self.faults.len()
    }

    /// Returns "file:line" of a place.
    pub(crate) fn place(&self, at: At) -> String {
        self.files
            .get(at.file as usize)
            .map_or_else(String::new, |file| format!("{}:{}", shown(file), at.line))
    }

    fn make(&self, at: At, says: Says) -> Fault {
        Fault {
            file: self
                .files
                .get(at.file as usize)
                .cloned()
                .unwrap_or_default(),
            line: at.line as usize,
            column: at.column as usize,
            span: (at.start as usize, at.len as usize),
            what: unicode::one_line(says.what),
            help: unicode::one_line(says.help),
        }
    }

    /// Returns faults and warnings, each in file and line order, none twice.
    pub(crate) fn finish(self) -> (Vec<Fault>, Vec<Fault>) {
        let sorted = |mut list: Vec<(At, Fault)>| {
            list.sort_by(|a, b| (a.0, &a.1.what).cmp(&(b.0, &b.1.what)));
            list.dedup_by(|a, b| a == b);
            list.into_iter().map(|(_, fault)| fault).collect()
        };
        (sorted(self.faults), sorted(self.warnings))
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
