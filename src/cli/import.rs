//! `scant import`: recipes from elsewhere into a kitchen file, doubts marked.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use super::paper_args::ImportArgs;
use super::{Exit, console, whole};
use crate::import::{self, MOST_BYTES};
use crate::report;

pub(super) fn run(args: &ImportArgs) -> Exit {
    let fault = |what: &dyn std::fmt::Display| {
        console::talk(&format!("fault: {}: {what}", args.file.display()));
        Exit::Fault
    };
    let bytes = match read(&args.file) {
        Ok(bytes) => bytes,
        Err(error) => return fault(&format!("{error}; name a file that can be read")),
    };
    let found = match import::recipes(&bytes) {
        Ok(found) => found,
        Err(error) => return fault(&error),
    };
    let (text, [sure, likely, doubtful]) = report::imported(&found);
    if let Some(out) = &args.out {
        // A kitchen file may hold a cook's own work.
        if out.symlink_metadata().is_ok() {
            console::talk(&format!(
                "fault: {} is there already and is not overwritten; name a new file",
                out.display()
            ));
            return Exit::Fault;
        }
        if let Err(exit) = whole::write_all([(out.as_path(), text.clone())]) {
            return exit;
        }
    }
    console::talk(&format!(
        "{} {}; lines: {sure} sure, {likely} to check, {doubtful} doubtful and left to you",
        found.recipes.len(),
        if found.recipes.len() == 1 {
            "recipe"
        } else {
            "recipes"
        }
    ));
    if args.out.is_some() {
        return Exit::Best;
    }
    super::print(&text, Exit::Best)
}

/// Reads at most one byte more than is allowed, whatever the file is.
fn read(path: &Path) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    File::open(path)?
        .take(MOST_BYTES + 1)
        .read_to_end(&mut bytes)?;
    Ok(bytes)
}
