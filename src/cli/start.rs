//! `scant start`: the demo kitchen on disk, whole or not at all.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use super::{Exit, console, demo};

pub(super) fn run(dir: &Path) -> Exit {
    match write(dir) {
        Ok(()) => super::print(
            &format!(
                "Wrote {} files to {dir}. The prices are invented: put in your own.\n\
                 Then: scant check {dir}; scant week {dir}\n",
                demo::FILES.len(),
                dir = console::path(dir)
            ),
            Exit::Best,
        ),
        Err(error) => {
            console::talk(&format!("fault: {}: {error}", console::path(dir)));
            Exit::Fault
        }
    }
}

/// Writes beside the folder, then renames: a reader sees all files or none.
fn write(dir: &Path) -> io::Result<()> {
    let taken = || {
        io::Error::other(
            "already has something in it, which is never overwritten; name a new folder",
        )
    };
    match fs::symlink_metadata(dir) {
        Ok(meta) if !meta.is_dir() => return Err(taken()),
        Ok(_) if fs::read_dir(dir)?.next().is_some() => return Err(taken()),
        Ok(_) => {}
        Err(error) if error.kind() == io::ErrorKind::NotFound => {}
        Err(error) => return Err(error),
    }
    let name = dir
        .file_name()
        .ok_or_else(|| io::Error::other("name a folder to make, such as my-kitchen"))?;
    let parent = match dir.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    fs::create_dir_all(parent)?;
    let mut beside = name.to_owned();
    beside.push(format!(".part-{}", std::process::id()));
    let beside: PathBuf = parent.join(beside);
    fs::create_dir(&beside)?;
    let written = fill(&beside).and_then(|()| {
        // An empty folder gives way; a filled one refuses to be removed.
        match fs::remove_dir(dir) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => Err(taken()),
            _ => fs::rename(&beside, dir),
        }
    });
    if written.is_err() {
        // Only what was made here is taken away again.
        let _ = fs::remove_dir_all(&beside);
    }
    written
}

fn fill(beside: &Path) -> io::Result<()> {
    for (name, text) in demo::FILES {
        fs::write(beside.join(name), text)?;
    }
    Ok(())
}
