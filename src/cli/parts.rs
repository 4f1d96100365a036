//! Files and folders in the making: under a random name of their own beside the place they are
//! for, new, and gone again if they do not get there.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError, TryLockError};
use std::thread;
use std::time::Duration;

use tempfile::{Builder, NamedTempFile, TempDir};

/// What is in the making. Whoever holds the lock keeps anything new from being begun.
static PARTS: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

/// Characters drawn at random for a name.
const RANDOM: usize = 12;
/// How long a file system that does not answer is waited for at the end.
const PATIENCE: Duration = Duration::from_millis(10);
const TRIES: usize = 100;

fn parts() -> MutexGuard<'static, Vec<PathBuf>> {
    PARTS.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A name in [`PARTS`], crossed out when dropped.
struct Noted(PathBuf);

impl Drop for Noted {
    fn drop(&mut self) {
        parts().retain(|path| *path != self.0);
    }
}

/// Does `make` with names as all parts have them: hidden, random, told from anything else. A
/// link planted under a name that was guessed is no way through: what is made is new.
fn make<T>(
    mode: u32,
    path: fn(&T) -> &Path,
    make: impl FnOnce(&Builder) -> io::Result<T>,
) -> io::Result<(T, Noted)> {
    let mut builder = Builder::new();
    builder.prefix(".scant-").suffix(".part").rand_bytes(RANDOM);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(mode));
    }
    #[cfg(not(unix))]
    let _ = mode;
    // Noted under the lock: `clear` never misses one.
    let mut parts = parts();
    let made = make(&builder)?;
    let at = path(&made).to_owned();
    parts.push(at.clone());
    Ok((made, Noted(at)))
}

/// A file in the making. Fields are dropped in this order: the file goes before its name.
pub(super) struct FilePart {
    file: NamedTempFile,
    _noted: Noted,
}

impl FilePart {
    /// Begins a file in `folder`; others may read and write it as the umask says, or nobody
    /// where it is `private`.
    ///
    /// # Errors
    /// Those of the file system.
    pub(super) fn new(folder: &Path, private: bool) -> io::Result<Self> {
        let mode = if private { 0o600 } else { 0o666 };
        let (file, noted) = make(mode, NamedTempFile::path, |b| b.tempfile_in(folder))?;
        Ok(Self {
            file,
            _noted: noted,
        })
    }

    /// The file, to be filled.
    pub(super) fn file(&mut self) -> &mut File {
        self.file.as_file_mut()
    }

    /// Gives the file its name, in the place of what has that name or, if `new`, only where
    /// nothing has it.
    ///
    /// # Errors
    /// Those of the file system; the part is gone then.
    pub(super) fn name(self, path: &Path, new: bool) -> io::Result<()> {
        let named = if new {
            self.file.persist_noclobber(path)
        } else {
            self.file.persist(path)
        };
        named.map(drop).map_err(|failed| failed.error)
    }
}

/// A folder in the making.
pub(super) struct FolderPart {
    folder: TempDir,
    _noted: Noted,
}

impl FolderPart {
    /// Begins a folder in `folder`.
    ///
    /// # Errors
    /// Those of the file system.
    pub(super) fn new(folder: &Path) -> io::Result<Self> {
        let (folder, noted) = make(0o777, TempDir::path, |b| b.tempdir_in(folder))?;
        Ok(Self {
            folder,
            _noted: noted,
        })
    }

    /// Where it is.
    pub(super) fn path(&self) -> &Path {
        self.folder.path()
    }

    /// Makes something inside it, unless the program is being ended.
    ///
    /// # Errors
    /// Those of `make`.
    pub(super) fn add<T>(&self, make: impl FnOnce(&Path) -> io::Result<T>) -> io::Result<T> {
        let _held = parts();
        make(self.path())
    }

    /// Gives the folder its name, in the place of an empty folder if there is one.
    ///
    /// # Errors
    /// Those of the file system; the part is gone then.
    pub(super) fn name(self, path: &Path) -> io::Result<()> {
        // Held: what `clear` is taking away would be taken away under its new name.
        let mut parts = parts();
        let named = fs::rename(self.path(), path);
        #[cfg(not(unix))]
        let named = named.or_else(|_| {
            // Here an empty folder does not give way by itself.
            fs::remove_dir(path)?;
            fs::rename(self.path(), path)
        });
        if named.is_ok() {
            parts.retain(|part| part != self.path());
        }
        drop(parts);
        named
    }
}

/// Takes away everything in the making, and keeps anything new from being begun: for a program
/// about to end.
pub(super) fn clear() {
    for _ in 0..TRIES {
        let parts = match PARTS.try_lock() {
            Ok(parts) => parts,
            Err(TryLockError::Poisoned(poisoned)) => poisoned.into_inner(),
            Err(TryLockError::WouldBlock) => {
                thread::sleep(PATIENCE);
                continue;
            }
        };
        for path in parts.iter() {
            // One is a file, the other a folder; gone is gone.
            if fs::remove_file(path).is_err() {
                let _ = fs::remove_dir_all(path);
            }
        }
        // Held for good.
        std::mem::forget(parts);
        return;
    }
}
