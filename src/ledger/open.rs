//! Opening and creating the file, with the same settings every time.

use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, OpenFlags, TransactionBehavior};

use super::append::{Author, Mode, Writer};
use super::entry::Instant;
use super::error::BUSY_WAIT_S;
use super::read::{KnownAt, Snapshot};
use super::{LedgerError, derive, migrate};
use crate::record::{Adoption, Charter};

/// `wear` in ASCII: marks the file as a ledger of this program.
const APPLICATION_ID: i64 = 0x7765_6172;

/// An open ledger.
#[derive(Debug)]
pub struct Ledger {
    pub(super) conn: Connection,
    pub(super) path: PathBuf,
}

impl Ledger {
    /// Opens an existing ledger of the current form.
    pub fn open(path: &Path) -> Result<Ledger, LedgerError> {
        let ledger = Ledger::open_any_form(path)?;
        if migrate::needs_upgrade(&ledger.conn)? {
            return Err(LedgerError::NeedsUpgrade);
        }
        Ok(ledger)
    }

    /// Opens an existing ledger that may be of an older form.
    pub fn open_any_form(path: &Path) -> Result<Ledger, LedgerError> {
        if !path.exists() {
            return Err(LedgerError::Missing {
                path: path.to_owned(),
            });
        }
        let not_a_ledger = || LedgerError::NotALedger {
            path: path.to_owned(),
        };
        if path.is_dir() {
            return Err(not_a_ledger());
        }
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let conn = Connection::open_with_flags(path, flags)?;
        conn.busy_timeout(Duration::from_secs(BUSY_WAIT_S))?;
        let id: i64 = match conn.pragma_query_value(None, "application_id", |row| row.get(0)) {
            Ok(id) => id,
            Err(error) => {
                return Err(match LedgerError::from(error) {
                    LedgerError::Damaged { .. } => not_a_ledger(),
                    other => other,
                });
            }
        };
        if id != APPLICATION_ID {
            return Err(not_a_ledger());
        }
        settle(&conn)?;
        migrate::refuse_newer(&conn)?;
        Ok(Ledger {
            conn,
            path: path.to_owned(),
        })
    }

    /// Creates a ledger with its charter and first scheme. The file appears
    /// whole or not at all: it is built under another name first.
    pub fn create(
        path: &Path,
        author: &Author,
        now: Instant,
        charter: Charter,
        adoption: Adoption,
    ) -> Result<Ledger, LedgerError> {
        if path.exists() {
            return Err(LedgerError::Exists {
                path: path.to_owned(),
            });
        }
        let building = path.with_extension("new");
        if building.exists() {
            return Err(LedgerError::Exists { path: building });
        }
        let built = Ledger::create_at(&building, author, now, charter, adoption);
        let moved = built.and_then(|()| {
            std::fs::rename(&building, path).map_err(|source| LedgerError::File {
                path: path.to_owned(),
                source,
            })
        });
        if let Err(error) = moved {
            // Best effort: what matters is the first error.
            let _ = std::fs::remove_file(&building);
            return Err(error);
        }
        Ledger::open(path)
    }

    fn create_at(
        path: &Path,
        author: &Author,
        now: Instant,
        charter: Charter,
        adoption: Adoption,
    ) -> Result<(), LedgerError> {
        let mut ledger = Ledger::create_empty(path)?;
        ledger.write(author, now, Mode::Commit, |writer| {
            writer.append(charter.into(), false)?;
            writer.append(adoption.into(), false)?;
            Ok::<_, LedgerError>(())
        })
    }

    /// Creates a file with the tables and without an entry; for `create` and
    /// for a restore.
    pub(super) fn create_empty(path: &Path) -> Result<Ledger, LedgerError> {
        need_folder(path)?;
        let conn = Connection::open(path).map_err(|error| match error.sqlite_error_code() {
            Some(rusqlite::ErrorCode::CannotOpen) => LedgerError::ReadOnly,
            _ => LedgerError::from(error),
        })?;
        conn.busy_timeout(Duration::from_secs(BUSY_WAIT_S))?;
        conn.pragma_update(None, "application_id", APPLICATION_ID)?;
        settle(&conn)?;
        let mut ledger = Ledger {
            conn,
            path: path.to_owned(),
        };
        migrate::run(&mut ledger.conn)?;
        ledger.rebuild()?;
        Ok(ledger)
    }

    /// Where the file is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Runs one write: everything that `work` appends, or nothing. A rehearsal
    /// does all the same work, inside the same lock, and takes it back.
    pub fn write<T, E>(
        &mut self,
        author: &Author,
        now: Instant,
        mode: Mode,
        work: impl FnOnce(&mut Writer<'_>) -> Result<T, E>,
    ) -> Result<T, E>
    where
        E: From<LedgerError>,
    {
        let tx = self
            .conn
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(LedgerError::from)?;
        let done = {
            let mut writer = Writer::begin(&tx, author, now)?;
            work(&mut writer)?
        };
        match mode {
            Mode::Commit => tx.commit().map_err(LedgerError::from)?,
            Mode::Rehearse => tx.rollback().map_err(LedgerError::from)?,
        }
        Ok(done)
    }

    /// Runs one read on one unchanging state of the ledger.
    pub fn read<T, E>(
        &self,
        known_at: KnownAt,
        work: impl FnOnce(&Snapshot<'_>) -> Result<T, E>,
    ) -> Result<T, E>
    where
        E: From<LedgerError>,
    {
        let tx = self
            .conn
            .unchecked_transaction()
            .map_err(LedgerError::from)?;
        let snapshot = Snapshot::begin(&tx, known_at)?;
        work(&snapshot)
    }

    /// Drops the derived tables and fills them again from the entries.
    pub fn rebuild(&mut self) -> Result<i64, LedgerError> {
        let tx = self
            .conn
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        let count = derive::rebuild(&tx)?;
        tx.commit()?;
        Ok(count)
    }

    /// Brings an older ledger to the current form: the entries stay as they
    /// are, the derived tables are made anew. Says whether anything was done. The derived
    /// tables and the mark of their form change together: cut short, the ledger is still of
    /// the older form, and never of the current form with rows missing.
    pub fn upgrade(&mut self) -> Result<bool, LedgerError> {
        if !migrate::needs_upgrade(&self.conn)? {
            return Ok(false);
        }
        migrate::run(&mut self.conn)?;
        self.rebuild()?;
        Ok(true)
    }
}

/// Refuses a place in a folder that is not there; SQLite would say no more than that it
/// cannot open the file.
pub(super) fn need_folder(path: &Path) -> Result<(), LedgerError> {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() && !folder.is_dir() => {
            Err(LedgerError::File {
                path: folder.to_owned(),
                source: std::io::ErrorKind::NotFound.into(),
            })
        }
        _ => Ok(()),
    }
}

/// Sets what every connection needs and reads each setting back: SQLite
/// ignores a setting that it does not know.
fn settle(conn: &Connection) -> Result<(), LedgerError> {
    let settings: [(&str, i64); 4] = [
        ("foreign_keys", 1),
        ("recursive_triggers", 1),
        ("trusted_schema", 0),
        ("synchronous", 2),
    ];
    for (name, value) in settings {
        conn.pragma_update(None, name, value)?;
        let found: i64 = conn.pragma_query_value(None, name, |row| row.get(0))?;
        if found != value {
            return Err(LedgerError::Damaged {
                detail: format!("the setting {name} stays at {found}, {value} is needed"),
            });
        }
    }
    // A bulk import touches many pages; 64 MB of them stay in memory.
    conn.pragma_update(None, "cache_size", -65_536)?;
    conn.set_prepared_statement_cache_capacity(128);
    Ok(())
}
