//! Opening and creating the file, with the same settings every time.

use std::path::{Path, PathBuf};

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags, TransactionBehavior};

use super::append::{Author, Mode, Writer};
use super::chain::Hash;
use super::clock::ClockNote;
use super::entry::Instant;
use super::header::HeaderOf;
use super::place::{
    APPLICATION_ID, begin_building, header_of, is_forbidden, is_marked, journal_of,
    need_to_end_a_write,
};
use super::read::{KnownAt, Snapshot};
use super::tally::Tally;
use super::{LedgerError, chain_check, derive, form, migrate, wait, watch};
use crate::file::is_unfinished;
use crate::record::{Adoption, Charter};

/// An open ledger.
#[derive(Debug)]
pub struct Ledger {
    pub(super) conn: Connection,
    pub(super) path: PathBuf,
    pub(super) tally: Tally,
    pub(super) clock: ClockNote,
    /// Dropped last, after SQLite has closed the file.
    pub(super) header: HeaderOf,
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
        let ledger = Ledger::open_as_it_is(path)?;
        match form::altered_mark(&ledger.conn)? {
            Some(what) => Err(LedgerError::Altered { what }),
            None => Ok(ledger),
        }
    }

    /// Opens what is a ledger of this program's by its tables, also where somebody changed its
    /// marks: to verify it, and to make it anew from its entries.
    pub fn open_to_verify(path: &Path) -> Result<Ledger, LedgerError> {
        let ledger = Ledger::open_as_it_is(path)?;
        let altered = form::altered_mark(&ledger.conn)?.is_some();
        if !altered && migrate::needs_upgrade(&ledger.conn)? {
            return Err(LedgerError::NeedsUpgrade);
        }
        Ok(ledger)
    }

    fn open_as_it_is(path: &Path) -> Result<Ledger, LedgerError> {
        match path.exists() && is_unfinished(path) {
            true => Err(LedgerError::Unfinished {
                path: path.to_owned(),
            }),
            false => Ledger::open_file(path),
        }
    }

    /// Opens a ledger that may be on its way to its name.
    pub(super) fn open_file(path: &Path) -> Result<Ledger, LedgerError> {
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
        let header = header_of(path)?;
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let mut conn = Connection::open_with_flags(path, flags)?;
        wait::patient(&mut conn)?;
        // The first read: what a killed write left is taken back here.
        let id: i64 = match conn.pragma_query_value(None, "application_id", |row| row.get(0)) {
            Ok(id) => id,
            Err(error) => {
                return Err(match LedgerError::from(error) {
                    LedgerError::Damaged { .. } if !is_marked(&header) => not_a_ledger(),
                    LedgerError::ReadOnly | LedgerError::System { .. }
                        if journal_of(path).exists() =>
                    {
                        let journal = journal_of(path);
                        LedgerError::CutShort { journal }
                    }
                    other => other,
                });
            }
        };
        if id != APPLICATION_ID && !migrate::is_ours(&conn).unwrap_or(false) {
            return Err(not_a_ledger());
        }
        settle(&conn)?;
        migrate::refuse_newer(&conn)?;
        Ok(Ledger {
            conn,
            path: path.to_owned(),
            tally: Tally::default(),
            clock: ClockNote::default(),
            header,
        })
    }

    /// Creates a ledger with its charter and first rule set. The file appears
    /// whole or not at all: it is built under another name first.
    pub fn create(
        path: &Path,
        author: &Author,
        now: Instant,
        charter: Charter,
        adoption: Adoption,
    ) -> Result<Ledger, LedgerError> {
        let building = begin_building(path).map_err(|error| match error {
            LedgerError::File { source, .. } if is_forbidden(&source) => LedgerError::ReadOnly,
            other => other,
        })?;
        Ledger::create_at(building.path(), author, now, charter, adoption)?;
        building.finish()?;
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

    /// Makes the tables, without an entry, in a file that `begin_building` made; for `create`
    /// and for a restore.
    pub(super) fn create_empty(path: &Path) -> Result<Ledger, LedgerError> {
        let header = header_of(path)?;
        let mut conn = Connection::open(path)?;
        wait::patient(&mut conn)?;
        conn.pragma_update(None, "application_id", APPLICATION_ID)?;
        settle(&conn)?;
        let mut ledger = Ledger {
            conn,
            path: path.to_owned(),
            tally: Tally::default(),
            clock: ClockNote::default(),
            header,
        };
        ledger.upgrade()?;
        Ok(ledger)
    }

    /// Lets somebody see how far long work on this ledger is.
    pub fn watch(&mut self, tally: Tally) {
        self.tally = tally;
    }

    /// Notes for somebody what the clock said before a write and at it.
    pub fn note_clock(&mut self, note: ClockNote) {
        self.clock = note;
    }

    /// Where the file is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Runs one write: everything that `work` appends, or nothing. A rehearsal
    /// does all the same work, inside the same lock, and takes it back. A file that another
    /// program has written to is refused.
    pub fn write<T, E: From<LedgerError>>(
        &mut self,
        author: &Author,
        now: Instant,
        mode: Mode,
        work: impl FnOnce(&mut Writer<'_>) -> Result<T, E>,
    ) -> Result<T, E> {
        need_to_end_a_write(&self.path)?;
        let tx = self
            .conn
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(LedgerError::from)?;
        watch::refuse_others(&tx, &self.header)?;
        let (done, said, touched) = {
            let mut writer = Writer::begin(&tx, author, now)?;
            writer.tally = self.tally.clone();
            let before = writer.head().0;
            let done = work(&mut writer)?;
            writer.after_many()?;
            let is_new = writer.head().0 > before && before > 0;
            let said = is_new.then(|| super::as_of::moment_of(&tx, before));
            let said = said.transpose()?.map(|it| (before, it));
            (done, said, writer.has_touched_the_file())
        };
        if touched {
            watch::note(&tx, &self.header)?;
        }
        match mode {
            Mode::Commit => tx.commit().map_err(LedgerError::of_a_commit)?,
            Mode::Rehearse => tx.rollback().map_err(LedgerError::from)?,
        }
        if let Some((entry, before)) = said {
            self.clock.put(entry, before, now);
        }
        Ok(done)
    }

    /// Runs one read on one unchanging state of the ledger, which no other program has written.
    pub fn read<T, E: From<LedgerError>>(
        &self,
        known_at: KnownAt,
        work: impl FnOnce(&Snapshot<'_>) -> Result<T, E>,
    ) -> Result<T, E> {
        self.begin_read(known_at, true, work)
    }

    /// Runs one read, whoever wrote what it reads. For what is about the file alone: nothing
    /// that it gives may become a dose.
    pub fn read_unwatched<T, E: From<LedgerError>>(
        &self,
        known_at: KnownAt,
        work: impl FnOnce(&Snapshot<'_>) -> Result<T, E>,
    ) -> Result<T, E> {
        self.begin_read(known_at, false, work)
    }

    fn begin_read<T, E: From<LedgerError>>(
        &self,
        known_at: KnownAt,
        is_watched: bool,
        work: impl FnOnce(&Snapshot<'_>) -> Result<T, E>,
    ) -> Result<T, E> {
        let tx = self
            .conn
            .unchecked_transaction()
            .map_err(LedgerError::from)?;
        if is_watched {
            watch::refuse_others(&tx, &self.header)?;
        }
        let snapshot = Snapshot::begin(&tx, known_at)?;
        work(&snapshot)
    }

    /// Drops the derived tables and fills them again from the entries, which must fit their
    /// chain. Everything else that this program did not make goes too, and guards come back.
    /// Where the tables know of later entries, somebody must hold the seal that is expected.
    /// Says how many entries there are, and what went or came back.
    pub fn rebuild(
        &mut self,
        expect: Option<(i64, Hash)>,
    ) -> Result<(i64, Vec<String>), LedgerError> {
        self.make_anew(expect)
    }

    /// Brings an older ledger to the current form: the entries stay as they
    /// are, the derived tables are made anew. Says whether anything was done. Everything
    /// changes together: cut short, the ledger is still of the older form, and never of the
    /// current form with rows missing.
    pub fn upgrade(&mut self) -> Result<bool, LedgerError> {
        if !migrate::needs_upgrade(&self.conn)? {
            return Ok(false);
        }
        self.make_anew(None)?;
        Ok(true)
    }

    fn make_anew(
        &mut self,
        expect: Option<(i64, Hash)>,
    ) -> Result<(i64, Vec<String>), LedgerError> {
        need_to_end_a_write(&self.path)?;
        self.keep_in_one_file()?;
        let tx = self
            .conn
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        chain_check::need_a_sound_chain(&tx, expect, &self.tally)?;
        migrate::run(&tx)?;
        let mended = form::mend(&tx)?;
        let count = derive::rebuild(&tx, &self.tally)?;
        watch::note(&tx, &self.header)?;
        tx.commit()?;
        Ok((count, mended))
    }
}

/// Sets what every connection needs and reads each setting back: SQLite
/// ignores a setting that it does not know.
fn settle(conn: &Connection) -> Result<(), LedgerError> {
    let settings: [(&str, i64); 5] = [
        ("foreign_keys", 1),
        ("recursive_triggers", 1),
        ("trusted_schema", 0),
        ("synchronous", 2),
        // What is erased is overwritten in the file.
        ("secure_delete", 1),
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
    // A plan is made once for a statement, and not anew for each value that is bound: nobody
    // gathers the statistics that would make another plan better.
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_QPSG, true)?;
    conn.pragma_update(None, "cache_size", -65_536)?;
    conn.set_prepared_statement_cache_capacity(128);
    Ok(())
}
