//! Files written whole or not at all.

use std::fs;
use std::io;
use std::path::Path;

use super::{Exit, console};

/// Writes beside the file, then renames: a reader sees all of it or none.
///
/// # Errors
/// Those of the file system; a path that is there and is no plain file (a folder, a device) is
/// refused, so that nothing but a file is ever replaced.
pub(super) fn write(path: &Path, text: &[u8]) -> io::Result<()> {
    let name = path
        .file_name()
        .ok_or_else(|| io::Error::other("name a file to write"))?;
    if fs::metadata(path).is_ok_and(|meta| !meta.is_file()) {
        return Err(io::Error::other("it is there and is no plain file"));
    }
    let mut beside = name.to_owned();
    beside.push(format!(".part-{}", std::process::id()));
    let beside = path.with_file_name(beside);
    let written = fs::write(&beside, text).and_then(|()| fs::rename(&beside, path));
    if written.is_err() {
        // Already failing: the first error is the one to tell.
        let _ = fs::remove_file(&beside);
    }
    written
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
            console::talk(&format!(
                "fault: cannot write {}: {error}; name a file in a folder that is there and may \
                 be written to",
                path.display()
            ));
            return Err(Exit::Fault);
        }
        console::talk(&format!("Wrote {}", path.display()));
    }
    Ok(())
}
