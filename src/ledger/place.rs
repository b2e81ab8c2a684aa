//! The file and its folder: what must be there before SQLite is asked, and the names beside it.

use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};

use super::LedgerError;
use super::header::HeaderOf;
use crate::file::{Building, Over};

/// `wear` in ASCII: marks the file as a ledger of this program.
pub(super) const APPLICATION_ID: i64 = 0x7765_6172;

/// Refuses a place in a folder that is not there; SQLite would say no more than that it
/// cannot open the file.
pub(super) fn need_folder(path: &Path) -> Result<(), LedgerError> {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() && !folder.is_dir() => {
            Err(LedgerError::File {
                path: folder.to_owned(),
                source: if folder.exists() {
                    io::Error::new(io::ErrorKind::NotADirectory, "it is not a folder")
                } else {
                    io::Error::new(io::ErrorKind::NotFound, "there is no such folder")
                },
            })
        }
        _ => Ok(()),
    }
}

/// Begins a new file in a folder that must be there.
pub(super) fn begin_building(path: &Path) -> Result<Building, LedgerError> {
    need_folder(path)?;
    Ok(Building::begin(path, Over::Nothing)?)
}

pub(super) fn is_forbidden(error: &io::Error) -> bool {
    matches!(
        error.kind(),
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem
    )
}

/// Where SQLite keeps what a write in progress replaces.
pub(super) fn journal_of(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push("-journal");
    name.into()
}

/// Takes a share in the file's header before SQLite opens the file.
pub(super) fn header_of(path: &Path) -> Result<HeaderOf, LedgerError> {
    HeaderOf::of(path).map_err(|source| LedgerError::File {
        path: path.to_owned(),
        source,
    })
}

/// Whether the file starts as a SQLite file with this program's mark does, whatever became of
/// the rest: a ledger that was cut off is a damaged ledger and not somebody else's file.
pub(super) fn is_marked(header: &HeaderOf) -> bool {
    let header = header.read().ok().flatten();
    header.is_some_and(|it| i64::from(it.application_id) == APPLICATION_ID)
}

/// A write ends when its journal is deleted. A journal that an earlier write left, in a folder
/// where this user deletes nothing, would let a write come to its last step and fail there,
/// and nobody could read the ledger until somebody else takes that write back.
pub(super) fn need_to_end_a_write(path: &Path) -> Result<(), LedgerError> {
    if !journal_of(path).exists() {
        return Ok(());
    }
    let mut name = path.as_os_str().to_owned();
    name.push(format!("-try-{}", std::process::id()));
    let probe = PathBuf::from(name);
    match File::create_new(&probe) {
        Ok(_) => {
            // Best effort: an empty file that stays harms nothing.
            let _ = std::fs::remove_file(&probe);
            Ok(())
        }
        Err(error) if is_forbidden(&error) => Err(LedgerError::ReadOnly),
        // Whatever else is wrong, the write itself will meet and name.
        Err(_) => Ok(()),
    }
}
