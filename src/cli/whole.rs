//! Files written whole or not at all.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use super::{Exit, console};

/// Writes beside the file, then renames: a reader sees all of it or none.
///
/// # Errors
/// Those of the file system; a path that is there and is no plain file (a folder, a device) is
/// refused, so that nothing but a file is ever replaced.
pub(super) fn write(path: &Path, text: &[u8]) -> io::Result<()> {
    let beside = beside(path)?;
    let written = fs::write(&beside, text).and_then(|()| fs::rename(&beside, path));
    if written.is_err() {
        // Already failing: the first error is the one to tell.
        let _ = fs::remove_file(&beside);
    }
    written
}

/// The name written to before the rename.
fn beside(path: &Path) -> io::Result<PathBuf> {
    let name = path
        .file_name()
        .ok_or_else(|| io::Error::other("name a file to write"))?;
    if fs::metadata(path).is_ok_and(|meta| !meta.is_file()) {
        return Err(io::Error::other("it is there and is no plain file"));
    }
    let mut beside = name.to_owned();
    beside.push(format!(".part-{}", std::process::id()));
    Ok(path.with_file_name(beside))
}

/// Finds out whether [`write`] could write there, and leaves nothing behind.
fn try_out(path: &Path) -> io::Result<()> {
    let beside = beside(path)?;
    fs::write(&beside, b"")?;
    fs::remove_file(beside)
}

/// Finds out, before a search that may take long, whether every file can be written.
///
/// # Errors
/// The exit, after every fault was told.
pub(super) fn ready<'a>(paths: impl IntoIterator<Item = &'a Path>) -> Result<(), Exit> {
    let paths: Vec<&Path> = paths.into_iter().collect();
    let mut result = Ok(());
    for (at, path) in paths.iter().enumerate() {
        if paths[..at].contains(path) {
            console::talk(&format!(
                "fault: {} is named twice; name a file for each",
                console::path(path)
            ));
            result = Err(Exit::Fault);
        } else if let Err(error) = try_out(path) {
            refuse(path, &error);
            result = Err(Exit::Fault);
        }
    }
    result
}

/// Tells that a file cannot be written.
pub(super) fn refuse(path: &Path, error: &io::Error) {
    console::talk(&format!(
        "fault: cannot write {}: {error}; name a file in a folder that is there and may be \
         written to",
        console::path(path)
    ));
}

/// Writes every file and says so on standard error.
///
/// # Errors
/// The exit, after the fault was told. Files already written stay, each whole.
pub(super) fn write_all<'a>(
    files: impl IntoIterator<Item = (&'a Path, String)>,
) -> Result<(), Exit> {
    for (path, text) in files {
        if let Err(error) = write(path, text.as_bytes()) {
            refuse(path, &error);
            return Err(Exit::Fault);
        }
        console::talk(&format!("Wrote {}", console::path(path)));
    }
    Ok(())
}
