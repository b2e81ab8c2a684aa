//! Copies in a folder: one a day, so many kept, and a drill that opens the newest.
//!
//! Only what proves to be a copy of this ledger is ever replaced or deleted: a file, no link, with
//! this ledger's name in its charter and a seal that this ledger had. Everything else stays.

use std::fs::{self, File, TryLockError};
use std::path::{Path, PathBuf};

use rusqlite::{Connection, OpenFlags, OptionalExtension};

use super::chain::Hash;
use super::entry::Instant;
use super::error::file_error;
use super::place::APPLICATION_ID;
use super::read::head;
use super::slices::Pace;
use super::verify::Verification;
use super::{Ledger, LedgerError, migrate};
use crate::calendar::{Day, parse_day};
use crate::file::{Building, Over};

/// Which copy is asked for.
#[derive(Debug, Clone, Copy)]
pub struct CopyAsked<'a> {
    /// The folder, which must be there.
    pub folder: &'a Path,
    /// How many copies of this ledger stay in it, at least one.
    pub keep: usize,
    /// The day that names the copy.
    pub day: Day,
    /// The program's clock.
    pub now: Instant,
    /// How fast.
    pub pace: Pace<'a>,
}

/// What a file of the folder is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CopyKind {
    /// A copy of this ledger, as it was with so many entries.
    Own {
        /// Entries in it.
        count: i64,
        /// Hash of the newest.
        head: Hash,
    },
    /// It has this ledger's name, and a history that this ledger does not have.
    OtherHistory,
    /// It is named as a copy of this ledger and is none.
    NoCopy,
}

/// A file of the folder that is named as a copy of this ledger.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FoundCopy {
    /// The file.
    pub path: PathBuf,
    /// The day in its name.
    pub day: Day,
    /// What it is.
    pub kind: CopyKind,
}

/// What was done in the folder.
#[derive(Debug)]
pub struct CopyReport {
    /// The copy; nothing where the newest one has everything already.
    pub made: Option<Verification>,
    /// Where the newest copy is.
    pub path: PathBuf,
    /// The copies of this ledger in the folder, the newest first.
    pub kept: Vec<PathBuf>,
    /// Those that had to go.
    pub deleted: Vec<PathBuf>,
    /// Files that bear this ledger's name and are no copy of it; they stay.
    pub left: Vec<FoundCopy>,
    /// Why the ledger could not note that the copy was made; the copy is as good without.
    pub not_noted: Option<LedgerError>,
}

/// A copy that a drill opened.
#[derive(Debug)]
pub struct TriedCopy {
    /// The file.
    pub path: PathBuf,
    /// The verification of it, in full unless it has an older form; what it is where it is no
    /// ledger that can be opened.
    pub verified: Result<Verification, LedgerError>,
    /// Whether its count and seal are ones that this ledger had.
    pub in_history: bool,
    /// How many entries this ledger has more.
    pub behind: i64,
}

impl TriedCopy {
    /// Whether somebody could go on with it.
    pub fn is_good(&self) -> bool {
        self.in_history && self.verified.as_ref().is_ok_and(|it| it.faults.is_empty())
    }
}

/// What a drill found.
#[derive(Debug)]
pub struct Drill {
    /// The newest copy.
    pub newest: TriedCopy,
    /// Where that is not good, the older ones, the newest first, down to one that is.
    pub older: Vec<TriedCopy>,
    /// Why the ledger could not note it.
    pub not_noted: Option<LedgerError>,
}

/// The name of this ledger, from its charter.
fn ledger_id(conn: &Connection) -> Result<Option<String>, LedgerError> {
    let body: Option<Option<String>> = conn
        .query_row("SELECT body FROM entry WHERE seq = 1", [], |row| row.get(0))
        .optional()?;
    let body: Option<serde_json::Value> =
        body.flatten().and_then(|it| serde_json::from_str(&it).ok());
    let id = body.and_then(|it| {
        it.get("ledger_id")
            .and_then(|it| it.as_str().map(str::to_owned))
    });
    Ok(id.filter(|it| !it.is_empty() && it.bytes().all(|it| it.is_ascii_alphanumeric())))
}

/// The hash that an entry has.
fn hash_at(conn: &Connection, count: i64) -> Result<Option<Hash>, LedgerError> {
    let found = conn.query_row("SELECT hash FROM entry WHERE seq = ?1", [count], |row| {
        Ok(Hash(row.get(0)?))
    });
    Ok(found.optional()?)
}

/// The ledger's name, count and hash in a file; nothing where it is no ledger. Nothing is written.
fn seal_of(path: &Path) -> Option<(String, i64, Hash)> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let conn = Connection::open_with_flags(path, flags).ok()?;
    let mark: i64 = conn
        .pragma_query_value(None, "application_id", |row| row.get(0))
        .ok()?;
    let (id, seal) = (ledger_id(&conn).ok()??, head(&conn).ok()?);
    (mark == APPLICATION_ID).then_some((id, seal.0, seal.1))
}

fn is_plain_file(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok_and(|it| it.is_file())
}

/// The copies of one ledger in one folder.
struct Folder<'a> {
    ledger: &'a Ledger,
    folder: &'a Path,
    id: String,
}

impl<'a> Folder<'a> {
    fn of(ledger: &'a Ledger, folder: &'a Path) -> Result<Folder<'a>, LedgerError> {
        let there = fs::metadata(folder).map_err(file_error(folder))?;
        if !there.is_dir() {
            let error =
                std::io::Error::new(std::io::ErrorKind::NotADirectory, "it is not a folder");
            return Err(file_error(folder)(error));
        }
        let id = ledger_id(&ledger.conn)?.ok_or_else(|| LedgerError::Damaged {
            detail: "the charter does not name the ledger".to_owned(),
        })?;
        Ok(Folder { ledger, folder, id })
    }

    fn named(&self, day: Day, ending: &str) -> PathBuf {
        self.folder
            .join(format!("wearbook-{}-{day}.{ending}", self.id))
    }

    /// The day in the name of a copy of this ledger.
    fn day_of(&self, name: &str, ending: &str) -> Option<Day> {
        let day = name.strip_prefix(&format!("wearbook-{}-", self.id))?;
        parse_day(day.strip_suffix(ending)?).ok()
    }

    fn kind_of(&self, path: &Path) -> Result<CopyKind, LedgerError> {
        if !is_plain_file(path) {
            return Ok(CopyKind::NoCopy);
        }
        let Some((_, count, head)) = seal_of(path).filter(|it| it.0 == self.id) else {
            return Ok(CopyKind::NoCopy);
        };
        Ok(match hash_at(&self.ledger.conn, count)? == Some(head) {
            true => CopyKind::Own { count, head },
            false => CopyKind::OtherHistory,
        })
    }

    /// Whatever is named as a copy of this ledger, the newest day first.
    fn found(&self) -> Result<Vec<FoundCopy>, LedgerError> {
        let mut all = Vec::new();
        for it in fs::read_dir(self.folder).map_err(file_error(self.folder))? {
            let path = it.map_err(file_error(self.folder))?.path();
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            if let Some(day) = self.day_of(&name, ".db") {
                let kind = self.kind_of(&path)?;
                all.push(FoundCopy { path, day, kind });
            }
        }
        all.sort_by(|a, b| (b.day, &b.path).cmp(&(a.day, &a.path)));
        Ok(all)
    }

    /// Takes the folder for one maker of copies of this ledger. The file stays; its lock goes with
    /// whoever holds it, also when that is killed.
    fn take(&self) -> Result<File, LedgerError> {
        let path = self.folder.join(format!("wearbook-{}.lock", self.id));
        if fs::symlink_metadata(&path).is_ok_and(|it| !it.is_file()) {
            let what = "is no plain file";
            return Err(LedgerError::InTheWay { path, what });
        }
        let mut options = File::options();
        let file = options
            .create(true)
            .append(true)
            .open(&path)
            .map_err(file_error(self.folder))?;
        // A process that this one starts holds its files too until it is what it is to be: a lock
        // that was let go may last a moment longer.
        for _ in 0..10 {
            match file.try_lock() {
                Ok(()) => return Ok(file),
                Err(TryLockError::WouldBlock) => {
                    std::thread::sleep(std::time::Duration::from_millis(50));
                }
                Err(TryLockError::Error(source)) => return Err(file_error(&path)(source)),
            }
        }
        Err(LedgerError::Copying {
            folder: self.folder.to_owned(),
        })
    }

    /// Removes what a copy that was cut short left under a name of this ledger's.
    fn clear(&self) -> Result<(), LedgerError> {
        for it in fs::read_dir(self.folder)
            .map_err(file_error(self.folder))?
            .flatten()
        {
            let path = it.path();
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let is_left = [".db.unfinished", ".db.unfinished-journal"]
                .iter()
                .any(|it| self.day_of(&name, it).is_some());
            if is_left && is_plain_file(&path) {
                fs::remove_file(&path).map_err(file_error(&path))?;
            }
        }
        Ok(())
    }

    /// Builds the copy of a day and puts it under its name. What stands there already is replaced
    /// where it is a copy of this ledger's past.
    fn build(&self, day: Day, pace: &Pace<'_>) -> Result<(PathBuf, Verification), LedgerError> {
        let to = self.named(day, "db");
        if fs::symlink_metadata(&to).is_ok() && !matches!(self.kind_of(&to)?, CopyKind::Own { .. })
        {
            let what = "is no copy of this ledger's own past";
            return Err(LedgerError::InTheWay { path: to, what });
        }
        // It was looked at above, and the folder is this maker's.
        let building = Building::begin(&to, Over::Own(|_| true))?;
        let verified = self.ledger.copy_to(building.path(), pace)?;
        if verified.faults.is_empty() {
            building.finish()?;
        }
        Ok((to, verified))
    }
}

impl Ledger {
    /// Makes the copy of a day in a folder, verified, and deletes the oldest copies of this ledger
    /// beyond those that are kept. Where the newest has everything already, none is made. Others
    /// may write meanwhile. The copy appears under its name only when it is sound, and only then
    /// another one goes.
    ///
    /// # Errors
    /// A folder that is not there, full, read-only or in use; a ledger that is not still for long
    /// enough. No copy that was there before is touched then.
    pub fn copy_into(&self, asked: &CopyAsked<'_>) -> Result<CopyReport, LedgerError> {
        let folder = Folder::of(self, asked.folder)?;
        let held = folder.take()?;
        folder.clear()?;
        let before = folder.found()?;
        let newest = before
            .iter()
            .find(|it| matches!(it.kind, CopyKind::Own { .. }));
        let (count, head) = head(&self.conn)?;
        let has_all = newest.filter(|it| it.kind == CopyKind::Own { count, head });
        let (path, made) = match has_all {
            Some(it) => (it.path.clone(), None),
            None => {
                let (path, verified) = folder.build(asked.day, &asked.pace)?;
                (path, Some(verified))
            }
        };
        let mut report = CopyReport {
            made,
            path,
            kept: Vec::new(),
            deleted: Vec::new(),
            left: Vec::new(),
            not_noted: None,
        };
        if report.made.as_ref().is_some_and(|it| !it.faults.is_empty()) {
            return Ok(report);
        }
        for it in folder.found()? {
            match it.kind {
                CopyKind::Own { .. } if report.kept.len() < asked.keep.max(1) => {
                    report.kept.push(it.path);
                }
                CopyKind::Own { .. } => {
                    fs::remove_file(&it.path).map_err(file_error(&it.path))?;
                    report.deleted.push(it.path);
                }
                _ => report.left.push(it),
            }
        }
        let seal = report
            .made
            .as_ref()
            .map_or((count, head), |it| (it.count, it.head));
        let noted = self.note_copy(asked, &report.path, seal, report.made.is_some());
        report.not_noted = noted.err();
        drop(held);
        Ok(report)
    }

    /// Opens the newest copy of this ledger in a folder, verifies it, and asks whether this ledger
    /// had its count and seal.
    ///
    /// # Errors
    /// A folder that is not there or has no copy of this ledger; a copy that is no ledger any more.
    pub fn drill(&self, folder: &Path, now: Instant) -> Result<Drill, LedgerError> {
        let copies = Folder::of(self, folder)?;
        let found = copies.found()?.into_iter();
        let mut paths = found.map(|it| it.path).filter(|it| is_plain_file(it));
        let newest = paths.next().ok_or_else(|| LedgerError::NoCopy {
            folder: folder.to_owned(),
        })?;
        let newest = self.tried(newest)?;
        let mut older: Vec<TriedCopy> = Vec::new();
        while !newest.is_good()
            && !older.last().is_some_and(TriedCopy::is_good)
            && let Some(path) = paths.next()
        {
            older.push(self.tried(path)?);
        }
        let mut drill = Drill {
            newest,
            older,
            not_noted: None,
        };
        if drill.newest.is_good() {
            drill.not_noted = self.note_drill(folder, now).err();
        }
        Ok(drill)
    }

    /// Opens a copy and verifies it.
    fn tried(&self, path: PathBuf) -> Result<TriedCopy, LedgerError> {
        let verified = Ledger::open_any_form(&path).and_then(|mut copy| {
            copy.watch(self.tally.clone());
            let full = !migrate::needs_upgrade(&copy.conn)?;
            copy.verify(None, full)
        });
        let seal = verified.as_ref().ok().map(|it| (it.count, it.head));
        let count = seal.map_or(0, |it| it.0);
        Ok(TriedCopy {
            in_history: match seal {
                Some((count, seal)) => hash_at(&self.conn, count)? == Some(seal),
                None => false,
            },
            behind: head(&self.conn)?.0 - count,
            path,
            verified,
        })
    }
}
