//! Where copies are and how old they are: a table beside the chain, a line for each folder.

use std::path::{Path, PathBuf};

use rusqlite::params;

use super::chain::Hash;
use super::copies::CopyAsked;
use super::entry::{Instant, instant_text};
use super::own_state::add_anchor;
use super::read::Snapshot;
use super::watch::Anchor;
use super::{Ledger, LedgerError};
use crate::calendar::parse_instant;

/// At most so many folders are known.
const MOST_FOLDERS: i64 = 20;
/// The most that is kept of why a copy failed.
const MOST_WORDS: usize = 300;

/// A folder in which copies were made, or were to be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CopyFolder {
    /// The folder.
    pub folder: PathBuf,
    /// The newest copy, with when it was made, its entries and its hash.
    pub newest: Option<(String, Instant, i64, Hash)>,
    /// When a copy of it last stood a drill.
    pub drilled_at: Option<Instant>,
    /// When none could be made after the newest, and why.
    pub failed: Option<(Instant, String)>,
    /// Whether the newest copy is still there.
    pub is_there: bool,
}

fn moment(text: Option<String>) -> Option<Instant> {
    text.and_then(|it| parse_instant(&it).ok())
        .map(|it| it.to_utc())
}

/// How the folder is known, wherever the program was started.
fn name_of(folder: &Path) -> String {
    let whole = folder
        .canonicalize()
        .or_else(|_| std::path::absolute(folder));
    let whole = whole.unwrap_or_else(|_| folder.to_owned());
    whole.to_string_lossy().into_owned()
}

impl Snapshot<'_> {
    /// The folders of copies, that of the newest copy first.
    pub fn copy_folders(&self) -> Result<Vec<CopyFolder>, LedgerError> {
        self.rows(
            "SELECT folder, file, made_at, count, head, drilled_at, failed_at, failure
             FROM copy_folder ORDER BY made_at DESC, folder",
            [],
            |row| {
                let folder = PathBuf::from(row.get::<_, String>(0)?);
                let file: Option<String> = row.get(1)?;
                let is_there = file.as_ref().is_some_and(|it| folder.join(it).is_file());
                let (count, head): (Option<i64>, Option<[u8; 32]>) = (row.get(3)?, row.get(4)?);
                let newest = file
                    .zip(moment(row.get(2)?))
                    .zip(count.zip(head))
                    .map(|((file, at), (count, head))| (file, at, count, Hash(head)));
                let words: Option<String> = row.get(7)?;
                Ok(CopyFolder {
                    folder,
                    newest,
                    drilled_at: moment(row.get(5)?),
                    failed: moment(row.get(6)?).zip(words),
                    is_there,
                })
            },
        )
    }
}

impl Ledger {
    /// Notes the newest copy of a folder, and that it left. What went wrong before is over.
    pub(super) fn note_copy(
        &self,
        asked: &CopyAsked<'_>,
        path: &Path,
        (count, head): (i64, Hash),
        is_new: bool,
    ) -> Result<(), LedgerError> {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        self.beside(|tx| {
            let (folder, now) = (name_of(asked.folder), instant_text(asked.now));
            tx.execute(
                "INSERT INTO copy_folder (folder, file, made_at, count, head, noted_at)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?3)
                 ON CONFLICT (folder) DO UPDATE
                 SET file = excluded.file, count = excluded.count, head = excluded.head,
                     made_at = CASE WHEN ?6 THEN excluded.made_at
                                    ELSE coalesce(made_at, excluded.made_at) END,
                     failed_at = NULL, failure = NULL, noted_at = excluded.noted_at",
                params![folder, name, now, count, &head.0[..], is_new],
            )?;
            if is_new {
                add_anchor(tx, Anchor::Backup, asked.now, (count, head))?;
            }
            make_room(tx)
        })
    }

    /// Notes that a copy of a folder stood a drill.
    pub(super) fn note_drill(&self, folder: &Path, now: Instant) -> Result<(), LedgerError> {
        self.beside(|tx| {
            tx.execute(
                "UPDATE copy_folder SET drilled_at = ?2 WHERE folder = ?1",
                params![name_of(folder), instant_text(now)],
            )?;
            Ok(())
        })
    }

    /// Forgets a folder, and says whether it was known; its files stay as they are. A folder that
    /// is gone is known by its name alone.
    ///
    /// # Errors
    /// The ledger cannot be written.
    pub fn forget_copies(&self, folder: &Path) -> Result<bool, LedgerError> {
        self.beside(|tx| {
            let gone = tx.execute(
                "DELETE FROM copy_folder WHERE folder IN (?1, ?2)",
                [name_of(folder), folder.to_string_lossy().into_owned()],
            )?;
            Ok(gone > 0)
        })
    }

    /// Notes that no copy could be made in a folder, and why.
    ///
    /// # Errors
    /// The ledger cannot be written.
    pub fn note_no_copy(&self, folder: &Path, why: &str, now: Instant) -> Result<(), LedgerError> {
        let why: String = why.chars().take(MOST_WORDS).collect();
        self.beside(|tx| {
            tx.execute(
                "INSERT INTO copy_folder (folder, failed_at, failure, noted_at)
                 VALUES (?1, ?2, ?3, ?2)
                 ON CONFLICT (folder) DO UPDATE
                 SET failed_at = excluded.failed_at, failure = excluded.failure,
                     noted_at = excluded.noted_at",
                params![name_of(folder), instant_text(now), why],
            )?;
            make_room(tx)
        })
    }
}

fn make_room(tx: &rusqlite::Transaction<'_>) -> Result<(), LedgerError> {
    tx.execute(
        "DELETE FROM copy_folder WHERE folder IN (
             SELECT folder FROM copy_folder ORDER BY noted_at DESC LIMIT -1 OFFSET ?1)",
        [MOST_FOLDERS],
    )?;
    Ok(())
}
