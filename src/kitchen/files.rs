//! Finds the kitchen files of a folder and reads them, within limits.

use super::fault::Fault;
use super::wording::{Says, says, shown};
use super::{limits, prices};
use std::fs::{self, OpenOptions};
use std::io::{self, ErrorKind, Read as _};
use std::path::Path;

/// Opens a plain file. Whatever else stands there is refused at once: a pipe with nobody at its
/// other end would be waited for, and opening a device may do something.
///
/// # Errors
/// Those of the file system, and [`ErrorKind::InvalidInput`] for what is no plain file.
pub fn open_plain(path: &Path, options: &mut OpenOptions) -> io::Result<fs::File> {
    let plain = |about: &fs::Metadata| {
        if about.is_file() {
            return Ok(());
        }
        let what = if about.is_dir() {
            "it is a folder, not a file"
        } else {
            "it is no plain file but a pipe or a device"
        };
        Err(io::Error::new(ErrorKind::InvalidInput, what))
    };
    plain(&fs::metadata(path)?)?;
    // Something else may have come into its place since: that is not waited for either.
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::custom_flags(options, libc::O_NONBLOCK | libc::O_NOCTTY);
    let file = options.open(path)?;
    plain(&file.metadata()?)?;
    Ok(file)
}

/// Reads a plain file; of a longer one, one byte more than `most`.
///
/// # Errors
/// As of [`open_plain`].
pub fn read_plain(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    open_plain(path, OpenOptions::new().read(true))?
        .take(most.saturating_add(1))
        .read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// A file by name, with its bytes or the reason it was not read.
pub(crate) struct File {
    pub(crate) name: String,
    pub(crate) bytes: Result<Vec<u8>, Says>,
}

impl File {
    /// Returns a file of bytes at hand, unless they are too many.
    pub(crate) fn text(name: String, bytes: Vec<u8>) -> Self {
        let bytes = if bytes.len() as u64 > limits::FILE_BYTES {
            Err(too_big(bytes.len() as u64))
        } else {
            Ok(bytes)
        };
        Self { name, bytes }
    }
}

fn too_big(size: u64) -> Says {
    says(
        format!(
            "the file has {size} bytes; at most {} are read",
            limits::FILE_BYTES
        ),
        "split it: foods, components and recipes may be spread over several files",
    )
}

fn whole(what: String, help: &str) -> Box<Fault> {
    Box::new(Fault {
        what,
        help: help.to_owned(),
        ..Fault::default()
    })
}

/// Returns the kitchen files of a folder, sorted by name. A file that is too big is not opened.
pub(crate) fn collect(dir: &Path) -> Result<Vec<File>, Box<Fault>> {
    let shown_dir = shown(&dir.to_string_lossy());
    let cannot = |error: &io::Error| {
        let help = match error.kind() {
            ErrorKind::NotFound => "name an existing folder with kitchen files",
            ErrorKind::NotADirectory => "name the folder the file is in",
            _ => "check that the folder may be read",
        };
        whole(
            format!("the folder `{shown_dir}` cannot be read: {error}"),
            help,
        )
    };
    let mut paths = Vec::new();
    let mut kitchen = false;
    for entry in fs::read_dir(dir).map_err(|error| cannot(&error))? {
        let path = entry.map_err(|error| cannot(&error))?.path();
        let known = path
            .extension()
            .is_some_and(|ext| ext.eq_ignore_ascii_case("yaml") || ext.eq_ignore_ascii_case("yml"));
        let list = path
            .file_name()
            .and_then(|name| name.to_str())
            .is_some_and(prices::is_list);
        if (known || list) && !path.is_dir() {
            kitchen |= known;
            paths.push(path);
        }
    }
    if !kitchen {
        return Err(whole(
            format!("the folder `{shown_dir}` holds no kitchen files"),
            "put files that end in .yaml into it, with `foods:` and `recipes:`",
        ));
    }
    if paths.len() > limits::FILES {
        return Err(whole(
            format!(
                "the folder `{shown_dir}` holds {} kitchen files; at most {} are read",
                paths.len(),
                limits::FILES
            ),
            "put several lists into one file",
        ));
    }
    paths.sort();
    let mut total = 0;
    let mut files = Vec::with_capacity(paths.len());
    for path in paths {
        let name = path
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        let bytes = load(&path);
        total += bytes.as_ref().map_or(0, |bytes| bytes.len() as u64);
        if total > limits::FOLDER_BYTES {
            return Err(whole(
                format!(
                    "the kitchen files of `{shown_dir}` are more than {} bytes together",
                    limits::FOLDER_BYTES
                ),
                "leave out what this week does not need",
            ));
        }
        files.push(File { name, bytes });
    }
    Ok(files)
}

fn load(path: &Path) -> Result<Vec<u8>, Says> {
    let cannot = |error: io::Error| {
        says(
            format!("the file cannot be read: {error}"),
            "check that it exists and may be read",
        )
    };
    let about = fs::metadata(path).map_err(cannot)?;
    if !about.is_file() {
        return Err(says(
            "this is not a regular file",
            "put a text file in its place",
        ));
    }
    if about.len() > limits::FILE_BYTES {
        return Err(too_big(about.len()));
    }
    // It may have grown since, or become something else.
    let bytes = read_plain(path, limits::FILE_BYTES).map_err(cannot)?;
    if bytes.len() as u64 > limits::FILE_BYTES {
        return Err(too_big(bytes.len() as u64));
    }
    Ok(bytes)
}
