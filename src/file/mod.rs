//! Files and folders that appear whole: built beside their place, and moved there when they are
//! complete.
//!
//! What a command that was broken off leaves is `NAME.unfinished`, and nothing under the name
//! itself; the same command again builds it anew. Whoever builds holds a lock on that file, which
//! ends with the process: so what is being built is told from what was left.

mod folder;
mod step;
#[cfg(test)]
mod tests;
mod whole;

use std::ffi::OsString;
use std::io;
use std::path::{Path, PathBuf};

pub use folder::FolderBuilding;
pub use whole::{Building, Over, write_whole};

/// The ending of what is not complete.
const UNFINISHED: &str = "unfinished";

/// Why something was not written; there is nothing new under its name.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// What is there is not overwritten.
    #[error("{} exists already", path.display())]
    Exists {
        /// What is there.
        path: PathBuf,
    },
    /// Another command builds it at this moment.
    #[error("{} is being written by another command", path.display())]
    Busy {
        /// What both want to write.
        path: PathBuf,
    },
    /// The system refuses.
    #[error("{}: {source}", path.display())]
    Io {
        /// The file, or the folder that is missing.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
}

/// Where something is built before it gets its name.
fn beside(path: &Path) -> PathBuf {
    with_ending(path, UNFINISHED)
}

fn with_ending(path: &Path, ending: &str) -> PathBuf {
    let mut name = OsString::from(path);
    name.push(".");
    name.push(ending);
    name.into()
}

/// Whether a name says that what is under it is not complete.
pub fn is_unfinished(path: &Path) -> bool {
    path.extension().is_some_and(|it| it == UNFINISHED)
}

/// Whether a file has a mark of its kind in its first 4 kB: so a command knows what it may write
/// over.
pub fn has_mark(path: &Path, mark: &[u8]) -> bool {
    use io::Read;
    let mut start = Vec::new();
    let read = std::fs::File::open(path).and_then(|it| it.take(4096).read_to_end(&mut start));
    read.is_ok() && start.windows(mark.len()).any(|it| it == mark)
}

/// A file that is about to be made cannot be missing: its folder is.
fn fault(path: &Path) -> impl Fn(io::Error) -> WriteError + '_ {
    move |source| {
        let missing = match (source.kind(), path.parent()) {
            (io::ErrorKind::NotFound, Some(folder)) if !folder.as_os_str().is_empty() => folder,
            _ => path,
        };
        WriteError::Io {
            path: missing.to_owned(),
            source,
        }
    }
}

/// Takes the lock that says who builds. A file system without locks has no other builder known.
fn lock(file: &std::fs::File, path: &Path) -> Result<(), WriteError> {
    match file.try_lock() {
        Ok(()) => Ok(()),
        Err(std::fs::TryLockError::WouldBlock) => Err(WriteError::Busy {
            path: path.to_owned(),
        }),
        Err(std::fs::TryLockError::Error(error)) if error.kind() == io::ErrorKind::Unsupported => {
            Ok(())
        }
        Err(std::fs::TryLockError::Error(error)) => Err(fault(path)(error)),
    }
}

/// What a folder says of its names, on the disk: without it a move may be lost with the power.
fn sync_folder_of(path: &Path) -> io::Result<()> {
    #[cfg(unix)]
    {
        let folder = match path.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder,
            _ => Path::new("."),
        };
        step::next()?;
        // Not every file system syncs folders; the file itself is there.
        let _ = std::fs::File::open(folder).and_then(|it| it.sync_all());
    }
    #[cfg(not(unix))]
    let _ = path;
    Ok(())
}

/// Whether an open file is the one that has the name.
#[cfg(unix)]
fn is_at(file: &std::fs::File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let here = |it: std::fs::Metadata| (it.dev(), it.ino());
    match (file.metadata(), path.symlink_metadata()) {
        (Ok(open), Ok(there)) => here(open) == here(there),
        _ => false,
    }
}

/// An open file cannot be moved here.
#[cfg(not(unix))]
fn is_at(_: &std::fs::File, path: &Path) -> bool {
    path.is_file()
}
