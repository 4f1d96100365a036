//! Prints data and screens; what cannot be written is told once.

use std::io;

use super::whole::Refusal;
use super::{Exit, console, signals};
use crate::report::Screen;

/// Prints data and returns `exit`, unless it cannot be written.
pub(super) fn print(text: &str, exit: Exit) -> Exit {
    match signals::printing(|| console::data(text)) {
        Ok(()) => exit,
        Err(error) => unprinted(&error),
    }
}

/// Prints a screen and returns `exit`, unless it cannot be written.
pub(super) fn print_screen(screen: &Screen, exit: Exit) -> Exit {
    match signals::printing(|| console::screen(screen)) {
        Ok(()) => exit,
        Err(error) => unprinted(&error),
    }
}

/// Tells why standard output takes nothing. A reader that has gone away is nobody to tell.
fn unprinted(error: &io::Error) -> Exit {
    if error.kind() == io::ErrorKind::BrokenPipe {
        return Exit::Best;
    }
    let what = Refusal::of(error).what;
    console::talk(&format!(
        "fault: cannot write to standard output: {what}; make room there, or send the output to \
         another place"
    ));
    Exit::Fault
}
