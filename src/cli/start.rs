//! `scant start`: the demo kitchen, or one of a few entries, on disk, whole or not at all.

use std::ffi::OsString;
use std::fs::{self, File, Metadata};
use std::io::{self, ErrorKind, Write};
use std::path::{Component, Path, PathBuf};

use super::parts::FolderPart;
use super::whole::{self, Refusal};
use super::{Exit, console, demo, printing};

const NEW: &str = "name a new folder";

pub(super) fn run(dir: &Path, bare: bool) -> Exit {
    let files = if bare { demo::BARE } else { demo::FILES };
    match write(dir, files) {
        Ok(()) => printing::print(
            &format!(
                "Wrote {} to {dir}. The prices are invented: put in your own.\n\
                 Then: scant check {dir}; scant week {dir}\n",
                match files {
                    [(name, _)] => (*name).to_owned(),
                    _ => format!("{} files", files.len()),
                },
                dir = console::path(dir)
            ),
            Exit::Best,
        ),
        Err(Refusal { what, remedy }) => {
            console::talk(&format!("fault: {}: {what}; {remedy}", console::path(dir)));
            Exit::Fault
        }
    }
}

fn refused(what: &str, remedy: &'static str) -> Refusal {
    Refusal {
        what: what.to_owned(),
        remedy,
    }
}

fn taken() -> Refusal {
    refused(
        "it has something in it already, which is never overwritten",
        NEW,
    )
}

/// Fills a folder in the making, then renames it: a reader sees all files or none. Folders on
/// the way that are not there are made with it, in the same rename.
fn write(dir: &Path, files: &[(&str, &str)]) -> Result<(), Refusal> {
    let old = match fs::symlink_metadata(dir) {
        Ok(meta) if meta.is_symlink() => {
            return Err(refused("it is a link", "name the folder itself"));
        }
        Ok(meta) if !meta.is_dir() => {
            return Err(refused("it is there and is no folder", NEW));
        }
        Ok(meta) => {
            if fs::read_dir(dir)?.next().is_some() {
                return Err(taken());
            }
            Some(meta)
        }
        Err(error) if error.kind() == ErrorKind::NotFound => None,
        Err(error) => return Err(error.into()),
    };
    let Place {
        parent,
        name,
        inside,
    } = place(dir)?;
    let part = FolderPart::new(&parent)?;
    let filled = part.path().join(&inside);
    part.add(|_| fs::create_dir_all(&filled))?;
    for (name, text) in files {
        let mut file = part.add(|_| File::create_new(filled.join(name)))?;
        file.write_all(text.as_bytes())?;
        file.sync_all()?;
    }
    for folder in inside.ancestors() {
        whole::sync(&part.path().join(folder))?;
    }
    if let Some(old) = &old {
        keep(part.path(), old)?;
    }
    part.name(&parent.join(&name)).map_err(|error| {
        let kind = error.kind();
        match kind {
            // Something came there meanwhile.
            ErrorKind::DirectoryNotEmpty | ErrorKind::AlreadyExists | ErrorKind::NotADirectory => {
                taken()
            }
            ErrorKind::ResourceBusy => refused("it is in use and gives way to no other", NEW),
            _ => error.into(),
        }
    })?;
    Ok(whole::sync(&parent)?)
}

/// Where a new folder goes.
struct Place {
    /// The folder that is there.
    parent: PathBuf,
    /// What is made in it.
    name: OsString,
    /// Where in that the kitchen is; empty if it is the kitchen.
    inside: PathBuf,
}

/// Splits a path into what is there and what is to be made.
fn place(dir: &Path) -> Result<Place, Refusal> {
    let unnamed = || {
        refused(
            "it is no name of a new folder",
            "name one, such as my-kitchen",
        )
    };
    let mut name = dir.file_name().ok_or_else(unnamed)?.to_owned();
    let mut inside = PathBuf::new();
    let mut parent = dir.parent().unwrap_or(Path::new(""));
    // Up to the first that is there.
    while !parent.as_os_str().is_empty() && !fs::exists(parent)? {
        let Some(Component::Normal(above)) = parent.components().next_back() else {
            return Err(unnamed());
        };
        inside = Path::new(&name).join(inside);
        above.clone_into(&mut name);
        parent = parent.parent().unwrap_or(Path::new(""));
    }
    let parent = if parent.as_os_str().is_empty() {
        Path::new(".")
    } else {
        parent
    };
    Ok(Place {
        parent: parent.to_owned(),
        name,
        inside,
    })
}

/// Gives the folder the mode, and where the system lets it the owner, of the one it replaces.
#[cfg(unix)]
fn keep(folder: &Path, old: &Metadata) -> io::Result<()> {
    use std::os::unix::fs::{MetadataExt, chown};
    let new = fs::metadata(folder)?;
    let owner = (old.uid() != new.uid()).then_some(old.uid());
    let group = (old.gid() != new.gid()).then_some(old.gid());
    // Whose it is may be for the administrator alone to say: then it is the cook's.
    let _ = chown(folder, owner, group).or_else(|_| chown(folder, None, group));
    fs::set_permissions(folder, old.permissions())
}

#[cfg(not(unix))]
fn keep(folder: &Path, old: &Metadata) -> io::Result<()> {
    fs::set_permissions(folder, old.permissions())
}
