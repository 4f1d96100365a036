//! Reads the kitchen a command works on and tells its faults.

use std::path::Path;

use super::{Exit, clock, console, demo};
use crate::kitchen::{self, Read, render};
use crate::larder::Larder;

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
        return kitchen::read_dir_on(dir, Some(clock::latest_day()));
    }
    console::talk(
        "No folder named: this is the built-in demo kitchen, with invented prices. \
         `scant start DIR` writes it out as a start for your own.",
    );
    kitchen::read_texts(demo::texts())
}

/// Reads a kitchen that must be without fault.
///
/// # Errors
/// The exit, after every fault was told.
pub(super) fn load(dir: Option<&Path>) -> Result<Loaded, Exit> {
    let read = read(dir);
    if read.larder.is_none() || !read.faults.is_empty() {
        console::talk(&render::report(&read));
        return Err(Exit::Fault);
    }
    let warnings = render::warnings(&read.warnings, read.tally, &read.sources)
        + &render::times(read.tally)
        + &render::put_in(&read.put_in);
    read.larder
        .map(|larder| Loaded { larder, warnings })
        .ok_or(Exit::Fault)
}
