//! Faults and warnings: where, what is wrong, what to write instead.
//!
//! Every reader pushes into one `Sink` and goes on, so that all faults of a kitchen are
//! told at once. `gathered` keeps the first of each kind and counts the rest, so that a file may
//! hold as many faults as it has bytes.

use super::gathered::Gathered;
use super::limits;
use super::names::Allowance;
use crate::unicode;
use std::fmt::Write as _;

/// A fault or a warning of the kitchen files.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
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
    /// Further ones of its kind, not told one by one.
    pub more: More,
}

/// Further faults of one kind.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct More {
    /// How many there are.
    pub count: usize,
    /// The first places of them, as `file:line:column`.
    pub places: Vec<String>,
}

/// Most faults and warnings that are told of one reading.
pub const MOST_TOLD: usize = 100;

/// How many faults and warnings were found, whether or not each is told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Faults.
    pub faults: usize,
    /// Warnings, keeping times apart.
    pub warnings: usize,
    /// Keeping times that are longer than the published ones.
    pub times: usize,
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
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
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

/// What to write instead: at hand, or worked out only for a fault that is told.
pub(crate) enum Help<'a> {
    /// These words.
    Said(String),
    /// The words this returns, which may look for near names.
    Later(Box<dyn FnOnce(&mut Allowance) -> String + 'a>),
}

impl From<String> for Help<'_> {
    fn from(words: String) -> Self {
        Self::Said(words)
    }
}

impl From<&str> for Help<'_> {
    fn from(words: &str) -> Self {
        Self::Said(words.to_owned())
    }
}

/// Returns help that costs time to work out: of thousands of faults of one kind only a few ask.
pub(crate) fn later<'a>(words: impl FnOnce(&mut Allowance) -> String + 'a) -> Help<'a> {
    Help::Later(Box::new(words))
}

/// What was found in a reading.
#[derive(Debug)]
pub(crate) struct Found {
    pub(crate) faults: Vec<Fault>,
    pub(crate) warnings: Vec<Fault>,
    /// Keeping times that are longer than the published ones.
    pub(crate) times: Vec<Fault>,
    pub(crate) tally: Tally,
}

/// Collects faults and warnings.
#[derive(Debug, Default)]
pub(crate) struct Sink {
    /// Names of the files, by position.
    pub(crate) files: Vec<String>,
    faults: Gathered,
    warnings: Gathered,
    times: Gathered,
    /// Some file or list was not read. What it holds is unknown, so a name that is not found
    /// is then no fault.
    pub(crate) partial: bool,
    /// What may still be looked for and unfolded.
    allowance: Allowance,
    /// Keys and values read so far.
    values: usize,
    /// Bytes copied so far to where they are used.
    unfolded: usize,
}

impl Sink {
    pub(crate) fn new(files: Vec<String>) -> Self {
        Self {
            files,
            ..Self::default()
        }
    }

    /// Notes a fault.
    pub(crate) fn fault<'a>(&mut self, at: At, what: impl Into<String>, help: impl Into<Help<'a>>) {
        self.faults
            .note(at, what.into(), help.into(), &mut self.allowance);
    }

    /// Notes a fault and returns `None`.
    pub(crate) fn refuse<T>(&mut self, at: At, says: Says) -> Option<T> {
        self.fault(at, says.what, says.help);
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
    pub(crate) fn warn<'a>(&mut self, at: At, what: impl Into<String>, help: impl Into<Help<'a>>) {
        self.warnings
            .note(at, what.into(), help.into(), &mut self.allowance);
    }

    /// Notes a keeping time that is longer than the published one.
    pub(crate) fn longer<'a>(
        &mut self,
        at: At,
        what: impl Into<String>,
        help: impl Into<Help<'a>>,
    ) {
        self.times
            .note(at, what.into(), help.into(), &mut self.allowance);
    }

    /// Counts a key or a value that is about to be kept; `false` past the limit on all of them.
    pub(crate) fn may_keep(&mut self) -> bool {
        self.values += 1;
        self.values <= limits::VALUES
    }

    /// Whether as much was read as may be kept.
    pub(crate) fn is_full(&self) -> bool {
        self.values > limits::VALUES
    }

    /// Counts bytes that are about to be copied to where they are used; `false` past the limit on
    /// all of them. The fault is told once.
    pub(crate) fn may_unfold(&mut self, at: At, bytes: usize) -> bool {
        let before = !self.is_overfull();
        self.unfolded = self.unfolded.saturating_add(bytes);
        let may = !self.is_overfull();
        if before && !may {
            self.partial = true;
            self.fault(
                at,
                format!(
                    "steps, tags, equipment and foods, written out wherever they are meant, come to \
                     more than {} MiB up to here",
                    limits::UNFOLDED_BYTES >> 20
                ),
                "write `needs` at the steps that need something, and put fewer components inside \
                 each other",
            );
        }
        may
    }

    /// Whether more was to be copied than may be.
    pub(crate) fn is_overfull(&self) -> bool {
        self.unfolded > limits::UNFOLDED_BYTES
    }

    /// Returns how many faults were noted so far.
    pub(crate) fn count(&self) -> usize {
        self.faults.noted()
    }

    /// Returns "file:line" of a place.
    pub(crate) fn place(&self, at: At) -> String {
        self.files
            .get(at.file as usize)
            .map_or_else(String::new, |file| format!("{}:{}", shown(file), at.line))
    }

    /// Returns "file:line:column" of a place.
    fn exact_place(&self, at: At) -> String {
        match (self.place(at), at.column) {
            (place, _) if place.is_empty() => "the kitchen as a whole".to_owned(),
            (place, 0) => place,
            (place, column) => format!("{place}:{column}"),
        }
    }

    fn make(&self, at: At, says: Says, more: More) -> Fault {
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
            more,
        }
    }

    /// Returns faults, warnings and keeping times that are told, each in file and line order, none
    /// twice, at most [`MOST_TOLD`] together; and how many there are.
    pub(crate) fn finish(mut self) -> Found {
        let faults = std::mem::take(&mut self.faults);
        let warnings = std::mem::take(&mut self.warnings);
        let times = std::mem::take(&mut self.times);
        let tally = Tally {
            faults: faults.count(),
            warnings: warnings.count(),
            times: times.count(),
        };
        let faults = self.told(faults, MOST_TOLD);
        let warnings = self.told(warnings, MOST_TOLD - faults.len());
        let times = self.told(times, MOST_TOLD - faults.len() - warnings.len());
        Found {
            faults,
            warnings,
            times,
            tally,
        }
    }

    fn told(&self, gathered: Gathered, most: usize) -> Vec<Fault> {
        let told = gathered.told(most).into_iter();
        told.map(|told| {
            let places = told.places.into_iter();
            let more = More {
                count: told.more,
                places: places.map(|at| self.exact_place(at)).collect(),
            };
            self.make(told.at, told.says, more)
        })
        .collect()
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
