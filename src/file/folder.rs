//! A folder of files that belong together, which appears whole.

use std::fs::{File, OpenOptions};
use std::path::{Path, PathBuf};

use super::{WriteError, beside, fault, is_at, lock, step, sync_folder_of, with_ending};

/// A folder that is being built. Dropped without being finished, it is gone.
pub struct FolderBuilding {
    to: PathBuf,
    beside: PathBuf,
    /// Beside it, held until the folder has its name or is gone. A folder without one is somebody
    /// else's.
    lock: (PathBuf, File),
    is_done: bool,
}

impl FolderBuilding {
    /// Begins to build what will be the folder `to`, which may be there if nothing is in it. What
    /// an earlier command left is cleared away.
    ///
    /// # Errors
    /// Something is in it; somebody else builds it; the system.
    pub fn begin(to: &Path) -> Result<FolderBuilding, WriteError> {
        // A place such as `.` has no name beside which to build.
        let to = match to.file_name() {
            Some(_) => to.to_owned(),
            None => std::path::absolute(to).map_err(fault(to))?,
        };
        let beside = beside(&to);
        let lock_path = with_ending(&beside, "lock");
        if let Err(error) = is_free(&to) {
            remove_left(&lock_path);
            return Err(error);
        }
        if beside.symlink_metadata().is_ok() && !lock_path.is_file() {
            return Err(WriteError::Exists { path: beside });
        }
        step::next().map_err(fault(&to))?;
        let mut options = OpenOptions::new();
        options.write(true).create(true).truncate(false);
        let file = options.open(&lock_path).map_err(fault(&to))?;
        lock(&file, &to)?;
        if !is_at(&file, &lock_path) {
            return Err(WriteError::Busy { path: to });
        }
        if beside.is_dir() {
            step::next().map_err(fault(&to))?;
            std::fs::remove_dir_all(&beside).map_err(fault(&beside))?;
        }
        is_free(&to)?;
        step::next().map_err(fault(&to))?;
        std::fs::create_dir(&beside).map_err(fault(&to))?;
        Ok(FolderBuilding {
            to,
            beside,
            lock: (lock_path, file),
            is_done: false,
        })
    }

    /// Where it is built.
    pub fn path(&self) -> &Path {
        &self.beside
    }

    /// Gives one file of it a name outside, where nothing is yet; the rest is not kept.
    ///
    /// # Errors
    /// Something has the name; the system.
    pub fn give(self, name: &str, to: &Path) -> Result<(), WriteError> {
        let failed = fault(to);
        let from = self.beside.join(name);
        sync_all(&from).map_err(&failed)?;
        if to.symlink_metadata().is_ok() {
            return Err(WriteError::Exists {
                path: to.to_owned(),
            });
        }
        step::next().map_err(&failed)?;
        std::fs::rename(&from, to).map_err(&failed)?;
        sync_folder_of(to).map_err(&failed)
    }

    /// Gives it its name: everything in it is on the disk before.
    ///
    /// # Errors
    /// Something got the name meanwhile; the system.
    pub fn finish(mut self) -> Result<(), WriteError> {
        let failed = fault(&self.to);
        sync_all(&self.beside).map_err(&failed)?;
        is_free(&self.to)?;
        // Not every system replaces an empty folder.
        if self.to.is_dir() {
            std::fs::remove_dir(&self.to).map_err(&failed)?;
        }
        step::next().map_err(&failed)?;
        std::fs::rename(&self.beside, &self.to).map_err(&failed)?;
        self.is_done = true;
        sync_folder_of(&self.to).map_err(&failed)
    }
}

impl Drop for FolderBuilding {
    fn drop(&mut self) {
        #[cfg(test)]
        if step::is_gone() {
            return;
        }
        // Best effort: the next to build it clears away what stays.
        if !self.is_done {
            let _ = std::fs::remove_dir_all(&self.beside);
        }
        let _ = std::fs::remove_file(&self.lock.0);
    }
}

/// Brings a file, or all files of a folder and of the folders in it, to the disk.
fn sync_all(path: &Path) -> std::io::Result<()> {
    if path.is_dir() {
        for one in std::fs::read_dir(path)? {
            sync_all(&one?.path())?;
        }
        return Ok(());
    }
    step::next()?;
    OpenOptions::new().write(true).open(path)?.sync_all()
}

/// The lock of whoever gave the folder its name and was stopped then.
fn remove_left(lock_path: &Path) {
    let file = OpenOptions::new().write(true).open(lock_path);
    if file.is_ok_and(|it| it.try_lock().is_ok()) {
        // Best effort: it is in nobody's way.
        let _ = std::fs::remove_file(lock_path);
    }
}

/// Nothing is there, or a folder with nothing in it.
fn is_free(to: &Path) -> Result<(), WriteError> {
    let Ok(there) = to.symlink_metadata() else {
        return Ok(());
    };
    let is_empty = there.is_dir() && std::fs::read_dir(to).is_ok_and(|mut it| it.next().is_none());
    match is_empty {
        true => Ok(()),
        false => Err(WriteError::Exists {
            path: to.to_owned(),
        }),
    }
}
