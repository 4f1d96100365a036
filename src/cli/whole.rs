//! Files written whole or not at all, and never where they were not meant to go.
//!
//! A file is filled under a name of its own (see [`super::parts`]), synced, then renamed, and
//! the folder synced: a reader, or whoever looks after a crash, sees the old file or the new
//! one. A link is written through: what it leads to is replaced, and said. What is there keeps
//! its mode and, where the system lets it, its owner; what is read-only is refused.

use std::ffi::OsStr;
use std::fs::{self, File, Metadata, OpenOptions};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};

use super::parts::{FilePart, FolderPart};
use super::{Exit, console};
use crate::kitchen;

/// Why something cannot be written, and what to do about it.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Refusal {
    pub(super) what: String,
    pub(super) remedy: &'static str,
}

impl Refusal {
    fn new(what: &str, remedy: &'static str) -> Self {
        let what = what.to_owned();
        Self { what, remedy }
    }

    /// What an error of the file system says, in words a cook can act on.
    pub(super) fn of(error: &io::Error) -> Self {
        let (what, remedy) = match error.kind() {
            ErrorKind::StorageFull => ("the disc is full", "make room, or write to another disc"),
            ErrorKind::QuotaExceeded => (
                "your share of the disc is used up",
                "make room, or write to another disc",
            ),
            ErrorKind::FileTooLarge => (
                "it would be larger than files may be here",
                "raise that limit (`ulimit -f`)",
            ),
            ErrorKind::ReadOnlyFilesystem => ("the disc is read-only", "write to another disc"),
            ErrorKind::PermissionDenied => (
                "its folder may not be written to",
                "change what it permits, or write to another folder",
            ),
            ErrorKind::NotFound => (
                "its folder is not there",
                "make the folder first, or name one that is there",
            ),
            ErrorKind::NotADirectory => {
                ("what stands for its folder is no folder", "name a folder")
            }
            ErrorKind::InvalidFilename => ("the name is too long", "name a shorter one"),
            _ => {
                let remedy = "write to a folder that is there and may be written to";
                return Self::new(&error.to_string(), remedy);
            }
        };
        Self::new(what, remedy)
    }

    /// Tells it of a file.
    fn tell(&self, path: &Path) -> Exit {
        let Self { what, remedy } = self;
        let path = console::path(path);
        console::talk(&format!("fault: cannot write {path}: {what}; {remedy}"));
        Exit::Fault
    }
}

impl From<io::Error> for Refusal {
    fn from(error: io::Error) -> Self {
        Self::of(&error)
    }
}

/// Where a file goes.
#[derive(Debug)]
struct Target {
    /// The file itself, links followed.
    file: PathBuf,
    folder: PathBuf,
    /// What is there.
    old: Option<Metadata>,
    /// It was named by a link.
    linked: bool,
}

impl Target {
    /// Finds out what a path names.
    fn of(path: &Path) -> Result<Self, Refusal> {
        let bare = path.as_os_str().as_encoded_bytes();
        let folder = bare
            .last()
            .is_none_or(|&byte| std::path::is_separator(byte.into()));
        if folder || path.file_name().is_none() {
            return Err(Refusal::new("it names no file", "name a file to write"));
        }
        let linked = match fs::symlink_metadata(path) {
            Ok(meta) => meta.is_symlink(),
            Err(error) if error.kind() == ErrorKind::NotFound => false,
            Err(error) => return Err(error.into()),
        };
        let file = if linked {
            let broken = "it is a link that leads to no file";
            fs::canonicalize(path)
                .map_err(|_| Refusal::new(broken, "name the file itself, or mend the link"))?
        } else {
            path.to_owned()
        };
        let old = match fs::metadata(&file) {
            Ok(meta) => Some(meta),
            Err(error) if error.kind() == ErrorKind::NotFound => None,
            Err(error) => return Err(error.into()),
        };
        if let Some(old) = &old {
            replaceable(&file, old)?;
        }
        let folder = match file.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
            _ => PathBuf::from("."),
        };
        Ok(Self {
            file,
            folder,
            old,
            linked,
        })
    }

    /// Whether both are one file, by whatever spelling; `alike` says whether two names are one
    /// in a folder.
    fn same(&self, other: &Self, alike: impl Fn(&Path, &OsStr, &OsStr) -> bool) -> bool {
        if let (Some(one), Some(two)) = (&self.old, &other.old)
            && identity(one).is_some_and(|one| Some(one) == identity(two))
        {
            return true;
        }
        let of = |folder: &Path| fs::metadata(folder).ok().as_ref().and_then(identity);
        let (one, two) = (of(&self.folder), of(&other.folder));
        let folders = match (one, two) {
            (Some(one), Some(two)) => one == two,
            _ => fs::canonicalize(&self.folder).ok() == fs::canonicalize(&other.folder).ok(),
        };
        let names = (self.file.file_name(), other.file.file_name());
        let (Some(one), Some(two)) = names else {
            return false;
        };
        folders && (one == two || alike(&self.folder, one, two))
    }
}

/// What tells one file from another, where the system has such a thing.
#[cfg(unix)]
#[allow(clippy::unnecessary_wraps, reason = "other systems have none")]
fn identity(meta: &Metadata) -> Option<(u64, u64)> {
    use std::os::unix::fs::MetadataExt;
    Some((meta.dev(), meta.ino()))
}

#[cfg(not(unix))]
fn identity(_: &Metadata) -> Option<(u64, u64)> {
    None
}

/// Whether a file that is there may give way to another.
fn replaceable(file: &Path, old: &Metadata) -> Result<(), Refusal> {
    if old.is_dir() {
        return Err(Refusal::new("it is a folder", "name a file to write"));
    }
    if !old.is_file() {
        let what = "it is there and is no plain file but a pipe or a device";
        return Err(Refusal::new(what, "name a file to write"));
    }
    let what = "the file that is there is read-only";
    let refusal = Refusal::new(what, "permit that it be written to, or name another file");
    if old.permissions().readonly() {
        return Err(refusal);
    }
    // A rename asks the folder only: whether the file itself may be written to is asked here.
    match kitchen::open_plain(file, OpenOptions::new().write(true)) {
        Ok(_) => Ok(()),
        Err(error) if error.kind() == ErrorKind::PermissionDenied => Err(refusal),
        Err(error) => Err(error.into()),
    }
}

/// Whether a folder takes two names for one: capitals, or letters written in two ways. Only the
/// folder knows; one made beside what is to be written is asked.
fn folded(folder: &Path, one: &OsStr, two: &OsStr) -> bool {
    let known = one.is_ascii() && two.is_ascii();
    if known && !one.eq_ignore_ascii_case(two) {
        return false;
    }
    let Ok(part) = FolderPart::new(folder) else {
        return false;
    };
    let made = part.add(|folder| File::create_new(folder.join(one)));
    made.is_ok() && fs::symlink_metadata(part.path().join(two)).is_ok()
}

/// Finds out, before a search that may take long, whether every file can be written; leaves
/// nothing behind.
///
/// # Errors
/// The exit, after every fault was told.
pub(super) fn ready<'a>(paths: impl IntoIterator<Item = &'a Path>) -> Result<(), Exit> {
    let mut result = Ok(());
    let mut targets: Vec<(&Path, Target)> = Vec::new();
    for path in paths {
        let target = match Target::of(path) {
            Ok(target) => target,
            Err(refusal) => {
                result = Err(refusal.tell(path));
                continue;
            }
        };
        let other = targets.iter().find(|(_, other)| target.same(other, folded));
        if let Some((other, _)) = other {
            let named = if *other == path {
                format!("{} is named twice", console::path(path))
            } else {
                format!(
                    "{} and {} are one file, named twice",
                    console::path(other),
                    console::path(path)
                )
            };
            console::talk(&format!("fault: {named}; name a file for each"));
            result = Err(Exit::Fault);
        } else if let Err(error) = FilePart::new(&target.folder, true) {
            result = Err(Refusal::of(&error).tell(path));
        }
        targets.push((path, target));
    }
    result
}

/// Fills a part for a target.
fn filled(target: &Target, bytes: &[u8]) -> io::Result<FilePart> {
    let mut part = FilePart::new(&target.folder, target.old.is_some())?;
    let file = part.file();
    file.write_all(bytes)?;
    if let Some(old) = &target.old {
        keep(file, old)?;
    }
    file.sync_all()?;
    Ok(part)
}

/// Gives a file the owner, where the system lets it, and the mode of the one it replaces.
#[cfg(unix)]
fn keep(file: &File, old: &Metadata) -> io::Result<()> {
    use std::os::unix::fs::{MetadataExt, PermissionsExt, fchown};
    let new = file.metadata()?;
    let owner = (old.uid() != new.uid()).then_some(old.uid());
    let group = (old.gid() != new.gid()).then_some(old.gid());
    let mut mode = old.mode() & 0o7777;
    if fchown(file, owner, group).is_err() && group.is_some() && fchown(file, None, group).is_err()
    {
        // What its group might do, another one may not: no more than everybody.
        mode &= 0o707 | (mode & 0o7) << 3;
    }
    file.set_permissions(fs::Permissions::from_mode(mode))
}

#[cfg(not(unix))]
fn keep(file: &File, old: &Metadata) -> io::Result<()> {
    file.set_permissions(old.permissions())
}

/// Makes sure that a folder's names outlast a crash, where the system can.
pub(super) fn sync(folder: &Path) -> io::Result<()> {
    if !cfg!(unix) {
        return Ok(());
    }
    match File::open(folder).and_then(|folder| folder.sync_all()) {
        Err(error)
            if !matches!(
                error.kind(),
                // A folder that may be written to need not be readable.
                ErrorKind::InvalidInput | ErrorKind::Unsupported | ErrorKind::PermissionDenied
            ) =>
        {
            Err(error)
        }
        _ => Ok(()),
    }
}

/// Writes files, all or, unless the disc fails between two renames, none; only `new` ones where
/// that is asked for. Returns for each what there is to say.
///
/// # Errors
/// The exit, after the fault was told. A file whose name was given already stays, whole.
pub(super) fn write<'a>(
    files: impl IntoIterator<Item = (&'a Path, Vec<u8>)>,
    new: bool,
) -> Result<Vec<String>, Exit> {
    let mut parts = Vec::new();
    for (path, bytes) in files {
        let made = Target::of(path).and_then(|target| {
            let part = filled(&target, &bytes)?;
            Ok((path, target, part))
        });
        parts.push(made.map_err(|refusal| refusal.tell(path))?);
    }
    let mut told = Vec::new();
    for (path, target, part) in parts {
        part.name(&target.file, new)
            .and_then(|()| sync(&target.folder))
            .map_err(|error| Refusal::of(&error).tell(path))?;
        let shown = console::path(path);
        told.push(if target.linked {
            format!("Wrote {shown}, a link: {}", console::path(&target.file))
        } else {
            format!("Wrote {shown}")
        });
    }
    Ok(told)
}

/// Writes every file and says so on standard error.
///
/// # Errors
/// As of [`write`].
pub(super) fn write_all<'a>(
    files: impl IntoIterator<Item = (&'a Path, String)>,
) -> Result<(), Exit> {
    let files = files.into_iter();
    tell(&write(
        files.map(|(path, text)| (path, text.into_bytes())),
        false,
    )?);
    Ok(())
}

/// Writes a file where nothing is, and says so on standard error.
///
/// # Errors
/// As of [`write`]; also where something is.
pub(super) fn write_new(path: &Path, text: String) -> Result<(), Exit> {
    tell(&write([(path, text.into_bytes())], true)?);
    Ok(())
}

fn tell(said: &[String]) {
    for line in said {
        console::talk(line);
    }
}

/// Makes a folder and those it is in, unless it is there.
///
/// # Errors
/// The exit, after the fault was told.
pub(super) fn folder(dir: &Path) -> Result<(), Exit> {
    fs::create_dir_all(dir).map_err(|error| {
        let what = match error.kind() {
            ErrorKind::NotADirectory | ErrorKind::AlreadyExists => {
                "a file is where a folder should be".to_owned()
            }
            ErrorKind::PermissionDenied => "the one it is in may not be written to".to_owned(),
            _ => Refusal::of(&error).what,
        };
        let dir = console::path(dir);
        console::talk(&format!(
            "fault: cannot make the folder {dir}: {what}; name a folder that may be written to"
        ));
        Exit::Fault
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn target(path: &Path) -> Target {
        Target::of(path).unwrap()
    }

    /// Full disc, read-only disc and the like have words and remedies of their own.
    #[test]
    fn each_failure_has_its_own_words() {
        let kinds = [
            ErrorKind::StorageFull,
            ErrorKind::QuotaExceeded,
            ErrorKind::FileTooLarge,
            ErrorKind::ReadOnlyFilesystem,
            ErrorKind::PermissionDenied,
            ErrorKind::NotFound,
            ErrorKind::NotADirectory,
            ErrorKind::InvalidFilename,
            ErrorKind::Other,
        ];
        let said: Vec<String> = kinds
            .map(|kind| Refusal::of(&kind.into()))
            .map(|refusal| {
                assert!(!refusal.remedy.is_empty());
                refusal.what
            })
            .to_vec();
        for (at, one) in said.iter().enumerate() {
            assert!(!said[..at].contains(one), "{one}");
        }
    }

    /// In a folder that takes capitals for small letters two names are one; the machine of a
    /// test seldom has such a folder, so what it would say is said here.
    #[test]
    fn where_capitals_are_folded_two_names_are_one() {
        let folder = tempfile::tempdir().unwrap();
        let (one, two) = (folder.path().join("a.csv"), folder.path().join("A.CSV"));
        let folds = |_: &Path, one: &OsStr, two: &OsStr| one.eq_ignore_ascii_case(two);
        assert!(target(&one).same(&target(&two), folds));
        assert!(!target(&one).same(&target(&two), |_, _, _| false));
        assert!(!target(&one).same(&target(&folder.path().join("b.csv")), folds));
        // What this machine's folder does is what the question put to it finds.
        File::create(&one).unwrap();
        let here = fs::metadata(&two).is_ok();
        let names = (OsStr::new("a.csv"), OsStr::new("A.CSV"));
        assert_eq!(folded(folder.path(), names.0, names.1), here);
        assert!(folded(folder.path(), OsStr::new("ä"), OsStr::new("ä")));
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}
