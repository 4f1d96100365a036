//! The two streams: data on standard output, talk on standard error.
//!
//! Everything the program prints passes here, and nothing a terminal would obey passes on: what
//! kitchen files, plans, pages and arguments hold is refused or quoted long before, and this is the
//! last line of defence. Names and paths of arguments are put into a sentence by [`Typed`] and
//! [`path`], which cannot begin a line of their own (`tests/layers.rs` looks for other ways).

use std::convert::Infallible;
use std::fmt;
use std::io::{self, BufRead, ErrorKind, IsTerminal, Read, Write};
use std::path::Path;
use std::str::FromStr;

use crate::unicode;

/// Writes data. A reader that has gone away (a closed pipe) is no error.
///
/// # Errors
/// Any other failure to write.
pub(super) fn data(text: &str) -> io::Result<()> {
    let mut out = io::stdout().lock();
    let text = unicode::printable(text);
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(()),
        result => result,
    }
}

/// Writes talk; where nobody can hear it, it is lost.
pub(super) fn talk(text: &str) {
    let mut err = io::stderr().lock();
    let _ = writeln!(err, "{}", unicode::printable(text.trim_end()));
}

/// Most faults of options that are told.
const MOST_FAULTS: usize = 100;

/// Tells faults that no file is to blame for, a line each; many are counted.
pub(super) fn faults(faults: impl IntoIterator<Item = String>) {
    let mut faults = faults.into_iter();
    for fault in faults.by_ref().take(MOST_FAULTS) {
        talk(&format!("fault: {fault}"));
    }
    match faults.count() {
        0 => {}
        rest => talk(&format!(
            "fault: {rest} more are not told here; mend these first"
        )),
    }
}

/// Overwrites the line the terminal stands on; an empty text clears it.
pub(super) fn line(text: &str) {
    let mut err = io::stderr().lock();
    let text = unicode::one_line(text.to_owned());
    let _ = write!(err, "\r\x1b[2K{text}").and_then(|()| err.flush());
}

/// Asks a question on standard error and returns the answer, trimmed; `None` where nobody sits there
/// to be asked: not both the question and the answer go through a terminal.
pub(super) fn ask(question: &str) -> Option<String> {
    if !is_terminal() || !io::stdin().is_terminal() {
        return None;
    }
    {
        let mut err = io::stderr().lock();
        let _ = write!(err, "{} ", unicode::printable(question)).and_then(|()| err.flush());
    }
    let mut answer = String::new();
    io::stdin()
        .lock()
        .take(MOST_ANSWER)
        .read_line(&mut answer)
        .ok()?;
    Some(answer.trim().to_owned())
}

/// Most bytes of an answer that are read.
const MOST_ANSWER: u64 = 1_000;

/// Returns whether talk goes to a terminal.
pub(super) fn is_terminal() -> bool {
    io::stderr().is_terminal()
}

/// Returns a path fit for a message: on one line, nothing in it that a terminal would obey.
pub(super) fn path(path: &Path) -> String {
    unicode::quoted(&path.to_string_lossy())
}

/// Words of an argument. In a message they are quoted; only what looks them up sees them as
/// typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Typed(String);

impl Typed {
    /// Returns the words as typed.
    pub(super) fn raw(&self) -> &str {
        &self.0
    }
}

impl FromStr for Typed {
    type Err = Infallible;

    /// A name copied from a report may come with the isolate it was printed in.
    fn from_str(text: &str) -> Result<Self, Infallible> {
        let inside = text
            .strip_prefix(unicode::FSI)
            .and_then(|text| text.strip_suffix(unicode::PDI));
        Ok(Self(inside.unwrap_or(text).to_owned()))
    }
}

impl fmt::Display for Typed {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(&unicode::quoted(&self.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_argument_is_shown_escaped_and_looked_up_as_typed() {
        let typed: Typed = "a\u{1b}[31m\nb".parse().unwrap();
        assert_eq!(typed.to_string(), "a\\u{1b}[31m\\u{a}b");
        assert_eq!(typed.raw(), "a\u{1b}[31m\nb");
        let copied: Typed = "\u{2068}שלום\u{2069}".parse().unwrap();
        assert_eq!(copied.raw(), "שלום");
        assert_eq!(path(Path::new("a\rb")), "a\\u{d}b");
    }
}
