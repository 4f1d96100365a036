//! Reads the kitchen a command works on and tells its faults.

use std::path::Path;

use super::{Exit, console, demo};
use crate::kitchen::{self, Read};
use crate::larder::Larder;
use crate::report;

/// A kitchen that could be read.
pub(super) struct Loaded {
    /// The kitchen.
    pub(super) larder: Larder,
    /// What looks wrong in it, ready to print; empty if nothing does.
    warnings: String,
}

impl Loaded {
    /// Says what looks wrong.
    pub(super) fn tell_warnings(&self) {
        if !self.warnings.is_empty() {
            console::talk(&self.warnings);
        }
    }
}

/// Reads a folder, or the demo kitchen without one.
pub(super) fn read(dir: Option<&Path>) -> Read {
    if let Some(dir) = dir {
        return kitchen::read_dir(dir);
    }
    console::talk(
        "No folder named: this is the built-in demo kitchen, with invented prices. \
         `scant start DIR` writes it out as a start for your own.",
    );
    let texts = demo::FILES
        .iter()
        .map(|&(name, text)| (name.to_owned(), text.as_bytes().to_vec()))
        .collect();
    kitchen::read_texts(texts)
}

/// Reads a kitchen that must be without fault.
///
/// # Errors
/// The exit, after every fault was told.
pub(super) fn load(dir: Option<&Path>) -> Result<Loaded, Exit> {
    let read = read(dir);
    match read.larder {
        Some(larder) if read.faults.is_empty() => Ok(Loaded {
            larder,
            warnings: report::faults("warning", &read.warnings, &read.sources),
        }),
        _ => {
            console::talk(&report::faults("fault", &read.faults, &read.sources));
            console::talk(&report::fault_count(&read.faults, &read.warnings));
            Err(Exit::Fault)
        }
    }
}
