//! The two streams: data on standard output, talk on standard error.

use std::io::{self, ErrorKind, IsTerminal, Write};

/// Writes data. A reader that has gone away (a closed pipe) is no error.
///
/// # Errors
/// Any other failure to write.
pub(super) fn data(text: &str) -> io::Result<()> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(()),
        result => result,
    }
}

/// Writes talk; where nobody can hear it, it is lost.
pub(super) fn talk(text: &str) {
    let mut err = io::stderr().lock();
    let _ = writeln!(err, "{}", text.trim_end());
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
    let _ = write!(err, "\r\x1b[2K{text}").and_then(|()| err.flush());
}

/// Returns whether talk goes to a terminal.
pub(super) fn is_terminal() -> bool {
    io::stderr().is_terminal()
}
