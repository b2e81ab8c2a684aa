//! A file that appears whole: built beside its name, synced, and renamed.

use std::fs::{File, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};

use super::{WriteError, beside, fault, is_at, lock, step, sync_folder_of};

/// What a new file may take the place of. A link is never followed and never replaced.
#[derive(Clone, Copy)]
pub enum Over {
    /// Nothing: where something is, nothing is written.
    Nothing,
    /// A file that this tells to be an earlier one of the same kind.
    Own(fn(&Path) -> bool),
}

/// A file that is being built. Dropped without being finished, it is gone.
pub struct Building {
    to: PathBuf,
    beside: PathBuf,
    over: Over,
    file: File,
    is_done: bool,
}

impl Building {
    /// Begins to build what will be `to`: an empty file under another name. One that an earlier
    /// command left there is begun anew.
    ///
    /// # Errors
    /// Something is there that is not to be overwritten; somebody else builds it; the system.
    pub fn begin(to: &Path, over: Over) -> Result<Building, WriteError> {
        may_replace(to, over)?;
        let beside = beside(to);
        let file = claim(&beside, to)?;
        let building = Building {
            to: to.to_owned(),
            beside,
            over,
            file,
            is_done: false,
        };
        // Whoever had the lock before may have finished meanwhile.
        may_replace(to, over)?;
        Ok(building)
    }

    /// Where it is built.
    pub fn path(&self) -> &Path {
        &self.beside
    }

    /// Gives it its name: everything of it is on the disk before.
    ///
    /// # Errors
    /// Something else got the name meanwhile; the system. The name is then as it was.
    pub fn finish(mut self) -> Result<(), WriteError> {
        let failed = fault(&self.to);
        step::next().map_err(&failed)?;
        self.file.sync_all().map_err(&failed)?;
        may_replace(&self.to, self.over)?;
        step::next().map_err(&failed)?;
        std::fs::rename(&self.beside, &self.to).map_err(&failed)?;
        self.is_done = true;
        sync_folder_of(&self.to).map_err(&failed)
    }
}

impl Drop for Building {
    fn drop(&mut self) {
        #[cfg(test)]
        if step::is_gone() {
            return;
        }
        if !self.is_done {
            // Best effort: the next to build it begins anew.
            let _ = std::fs::remove_file(&self.beside);
            remove_journal(&self.beside);
        }
    }
}

/// Writes a file, whole or not at all.
///
/// # Errors
/// As [`Building::begin`] and [`Building::finish`].
pub fn write_whole(to: &Path, bytes: &[u8], over: Over) -> Result<(), WriteError> {
    let mut building = Building::begin(to, over)?;
    let half = bytes.len() / 2;
    for part in [bytes.get(..half), bytes.get(half..)] {
        step::next()
            .and_then(|()| building.file.write_all(part.unwrap_or_default()))
            .map_err(fault(to))?;
    }
    building.finish()
}

fn may_replace(to: &Path, over: Over) -> Result<(), WriteError> {
    let Ok(there) = to.symlink_metadata() else {
        return Ok(());
    };
    match over {
        Over::Own(is_own) if there.is_file() && is_own(to) => Ok(()),
        Over::Own(_) | Over::Nothing => Err(WriteError::Exists {
            path: to.to_owned(),
        }),
    }
}

/// Takes the name beside, empty. Between opening and locking it may have become somebody's
/// finished file: then it is another file that has the name, or none.
fn claim(beside: &Path, to: &Path) -> Result<File, WriteError> {
    const TRIES: usize = 8;
    for _ in 0..TRIES {
        if beside.symlink_metadata().is_ok_and(|it| !it.is_file()) {
            return Err(WriteError::Exists {
                path: beside.to_owned(),
            });
        }
        step::next().map_err(fault(to))?;
        let mut options = OpenOptions::new();
        options.read(true).write(true).create(true).truncate(false);
        let file = options.open(beside).map_err(fault(to))?;
        lock(&file, to)?;
        if is_at(&file, beside) {
            step::next().map_err(fault(to))?;
            file.set_len(0).map_err(fault(to))?;
            remove_journal(beside);
            return Ok(file);
        }
    }
    Err(WriteError::Busy {
        path: to.to_owned(),
    })
}

/// A database that was being built may have left one, which would be played back into the new.
fn remove_journal(beside: &Path) {
    let mut journal = beside.as_os_str().to_owned();
    journal.push("-journal");
    let _ = std::fs::remove_file(PathBuf::from(journal));
}
