//! What can go wrong with a ledger. `cli` turns these into texts and exit codes.

use std::path::{Path, PathBuf};

use super::wait;
use crate::file::WriteError;
use crate::record::{Body, Kind, Problem, RecordId, UnreadableBody};

/// A failure of the ledger itself or of the file under it.
#[derive(Debug, thiserror::Error)]
pub enum LedgerError {
    /// There is no such file.
    #[error("there is no ledger at {}", path.display())]
    Missing {
        /// Where it was looked for.
        path: PathBuf,
    },
    /// There is a file already where a new ledger was asked for.
    #[error("{} exists already", path.display())]
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// Another command makes the same file.
    #[error("{} is being written by another command", path.display())]
    BeingWritten {
        /// The file.
        path: PathBuf,
    },
    /// The name says that the file is not complete.
    #[error("{} is not complete: a command that was to write it was broken off", path.display())]
    Unfinished {
        /// The file.
        path: PathBuf,
    },
    /// The file is something else.
    #[error("{} is not a wearbook ledger", path.display())]
    NotALedger {
        /// The file.
        path: PathBuf,
    },
    /// A newer program wrote it.
    #[error("the ledger has form {found}; this program knows forms up to {known}")]
    Newer {
        /// The ledger's form.
        found: i64,
        /// The newest that this program knows.
        known: i64,
    },
    /// An older program wrote it.
    #[error("the ledger has an older form than this program writes")]
    NeedsUpgrade,
    /// Another process has the file.
    #[error("another process is {doing} the ledger; waited {waited_s} s for it")]
    Busy {
        /// What it does: only a reader keeps a write from its end, and only a writer anything
        /// else.
        doing: Doing,
        /// How long this one waited.
        waited_s: u64,
    },
    /// Whoever asked for a copy wants none any more.
    #[error("it was told to end; no copy was made")]
    Stopped,
    /// Entries were written so often that no copy was of one moment.
    #[error(
        "entries were written again and again while the ledger was copied, {begun_again} times; no \
         copy was made"
    )]
    NeverStill {
        /// How often it began again.
        begun_again: i32,
    },
    /// Another process makes a copy of this ledger in the folder.
    #[error("another process is making a copy in {}", folder.display())]
    Copying {
        /// The folder.
        folder: PathBuf,
    },
    /// Something stands under the name of a copy of this ledger and is none.
    #[error("{} {what}; it stays as it is, and no copy was made", path.display())]
    InTheWay {
        /// The file.
        path: PathBuf,
        /// What it is.
        what: &'static str,
    },
    /// A folder of copies has none of this ledger.
    #[error("there is no copy of this ledger in {}", folder.display())]
    NoCopy {
        /// The folder.
        folder: PathBuf,
    },
    /// The file or its folder cannot be written.
    #[error("the ledger cannot be written: it or its folder is read-only")]
    ReadOnly,
    /// No room.
    #[error("the disk is full; nothing was written")]
    DiskFull,
    /// The system failed to read or write the file: a fault of the disk, a quota, a limit on
    /// the size of files. Nothing is claimed about the disk; the write is taken back.
    #[error("the system could not read or write the ledger's file: {detail}")]
    System {
        /// What SQLite said.
        detail: String,
    },
    /// A write was cut short, and what it left cannot be taken back by this user.
    #[error(
        "an earlier write was cut short, and {} cannot be used to take it back",
        journal.display()
    )]
    CutShort {
        /// The rollback journal beside the ledger.
        journal: PathBuf,
    },
    /// Another program has written to the file.
    #[error("another program has written to the ledger's file since wearbook last did")]
    OtherWriter,
    /// The file was set to another journal mode, and cannot be set back now.
    #[error(
        "the ledger was set to the journal mode `{mode}`, and cannot be set back while another \
         program has it open"
    )]
    OtherJournal {
        /// SQLite's name of it.
        mode: String,
    },
    /// A mark of the file, or its form, is not as this program made it.
    #[error("the ledger's file was altered: {what}")]
    Altered {
        /// What is not as it was made.
        what: String,
    },
    /// Entries do not fit their chain: nothing is made from them.
    #[error("the entries are not as they were written: {what}")]
    Unsound {
        /// The first fault.
        what: String,
    },
    /// Tables do not say what the entries say.
    #[error("the tables do not say what the entries say: {what}")]
    Lying {
        /// The first difference.
        what: String,
    },
    /// SQLite finds the file damaged.
    #[error("the ledger's file is damaged: {detail}")]
    Damaged {
        /// What SQLite said.
        detail: String,
    },
    /// The entry may not be written.
    #[error(transparent)]
    Refused(#[from] Refusal),
    /// A stored body cannot be read.
    #[error("entry {seq}: {detail}")]
    Unreadable {
        /// The entry.
        seq: i64,
        /// Why.
        detail: UnreadableBody,
    },
    /// A file beside the ledger cannot be read or written.
    #[error("{}: {source}", path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// An export without the line that seals it.
    #[error(
        "{} ends without its seal, the last line of an export: entries may be missing after \
         {found}",
        path.display()
    )]
    NoSeal {
        /// The file.
        path: PathBuf,
        /// Count and head hash of what is in it.
        found: String,
    },
    /// A line of an export that cannot be restored.
    #[error("line {line} of {}: {detail}", path.display())]
    BadExport {
        /// The file.
        path: PathBuf,
        /// The line, from 1.
        line: usize,
        /// What is wrong.
        detail: String,
    },
    /// Anything else that SQLite says.
    #[error("SQLite: {0}")]
    Sqlite(rusqlite::Error),
}

/// What another process does with the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doing {
    /// It writes.
    Writing,
    /// It reads.
    Reading,
}

impl std::fmt::Display for Doing {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Doing::Writing => "writing to",
            Doing::Reading => "reading",
        })
    }
}

impl LedgerError {
    /// What a write says that could not come to its end: whoever is in its way reads.
    pub(super) fn of_a_commit(error: rusqlite::Error) -> LedgerError {
        match LedgerError::from(error) {
            LedgerError::Busy { waited_s, .. } => LedgerError::Busy {
                doing: Doing::Reading,
                waited_s,
            },
            other => other,
        }
    }

    /// Another process wrote for as long as this one waits.
    pub(super) fn busy() -> LedgerError {
        LedgerError::Busy {
            doing: Doing::Writing,
            waited_s: wait::most_s(),
        }
    }
}

impl From<WriteError> for LedgerError {
    fn from(error: WriteError) -> LedgerError {
        match error {
            WriteError::Exists { path } => LedgerError::Exists { path },
            WriteError::Busy { path } => LedgerError::BeingWritten { path },
            WriteError::Io { path, source } => LedgerError::File { path, source },
        }
    }
}

impl From<rusqlite::Error> for LedgerError {
    fn from(error: rusqlite::Error) -> LedgerError {
        use rusqlite::{Error, ErrorCode};
        // A value that is not what its column holds was not written by this program.
        if matches!(
            error,
            Error::Utf8Error(..)
                | Error::FromSqlConversionFailure(..)
                | Error::InvalidColumnType(..)
                | Error::IntegralValueOutOfRange(..)
        ) {
            return LedgerError::Damaged {
                detail: error.to_string(),
            };
        }
        // Our own words to SQLite are tested: what it does not know in them is not in the file.
        let said = match &error {
            Error::SqlInputError { msg, .. } => Some(msg),
            Error::SqliteFailure(_, msg) => msg.as_ref().filter(|it| it.starts_with("no such ")),
            _ => None,
        };
        if let Some(said) = said {
            return LedgerError::Altered { what: lacks(said) };
        }
        match error.sqlite_error_code() {
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => LedgerError::busy(),
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => LedgerError::ReadOnly,
            Some(ErrorCode::DiskFull) => LedgerError::DiskFull,
            Some(ErrorCode::SystemIoFailure | ErrorCode::CannotOpen) => LedgerError::System {
                detail: error.to_string(),
            },
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => LedgerError::Damaged {
                detail: error.to_string(),
            },
            _ => LedgerError::Sqlite(error),
        }
    }
}

/// What the file does not have, in our words.
fn lacks(said: &str) -> String {
    let missing = |kind: &str| {
        let name = said.strip_prefix(&format!("no such {kind}: "))?;
        let name = name.strip_prefix("main.").unwrap_or(name);
        Some(format!("the {kind} `{name}` is missing"))
    };
    let other = || "a table or view is not as the program made it".to_owned();
    missing("table")
        .or_else(|| missing("column"))
        .unwrap_or_else(other)
}

/// What the system said of a file beside the ledger.
pub(super) fn file_error(path: &Path) -> impl FnOnce(std::io::Error) -> LedgerError + '_ {
    |source| LedgerError::File {
        path: path.to_owned(),
        source,
    }
}

/// Why an entry may not be written.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// The record cannot mean what it says.
    #[error("the {} cannot be written as it stands", kind.word())]
    Problems {
        /// Its kind.
        kind: Kind,
        /// Every problem.
        problems: Vec<Problem>,
    },
    /// The author's name or the reason holds what no text may hold.
    #[error("{}: `{}` {}", .0.field, .0.value, .0.what)]
    Header(Problem),
    /// The id is another one's but for small and capital letters.
    #[error("the {} `{id}` differs from `{there}` of entry {entry} in small and capital \
             letters alone", kind.word())]
    SameButCase {
        /// Its kind.
        kind: Kind,
        /// The id that was given.
        id: String,
        /// The id that is there.
        there: String,
        /// The newest entry of the record that has it.
        entry: i64,
    },
    /// A record of that name exists with other content.
    #[error("there is already a {} `{key}` with other content", kind.word())]
    SameKey {
        /// Its kind.
        kind: Kind,
        /// Its name.
        key: String,
        /// The newest entry of the one that exists.
        entry: i64,
        /// What the ledger has.
        old: Box<Body>,
        /// What was to be written.
        new: Box<Body>,
    },
    /// The record exists and is void.
    #[error("the {} `{key}` is void", kind.word())]
    Voided {
        /// Its kind.
        kind: Kind,
        /// Its name.
        key: String,
        /// The entry that voids it.
        entry: i64,
    },
    /// The record that a reference points to does not exist or is void.
    #[error("there is no {} record {id} in force", kind.word())]
    NoSuchRecord {
        /// The kind asked for.
        kind: Kind,
        /// The record.
        id: RecordId,
    },
    /// There is no entry of that number.
    #[error("there is no entry {entry}")]
    NoSuchEntry {
        /// The number.
        entry: i64,
    },
    /// The entry has been replaced already.
    #[error("entry {entry} is not the newest of its record")]
    NotNewest {
        /// The entry named.
        entry: i64,
        /// The newest.
        newest: i64,
    },
    /// An amendment that says what already stands.
    #[error("entry {entry} says that already")]
    NothingChanges {
        /// The entry.
        entry: i64,
    },
    /// An amendment of another kind than the record's.
    #[error("entry {entry} is a {}, not a {}", is.word(), asked.word())]
    OtherKind {
        /// The entry.
        entry: i64,
        /// Its kind.
        is: Kind,
        /// The kind asked for.
        asked: Kind,
    },
    /// Others point to the record, and would point to nothing.
    #[error("{what}, but other entries still point to record {record}")]
    Stranded {
        /// What was to happen.
        what: String,
        /// The record.
        record: RecordId,
        /// The entries that point to it: number and kind.
        referrers: Vec<(i64, Kind)>,
        /// How many there are in all.
        count: i64,
    },
    /// The charter is written once.
    #[error("the charter cannot be voided")]
    CharterStays,
    /// What is private is erased, and what the chain says of it stays.
    #[error("a private record cannot be voided: its content is erased")]
    PrivateStays,
    /// What was erased stays so.
    #[error("it was erased by entry {entry}, and is not kept again")]
    EvidenceErased {
        /// The entry that says so.
        entry: i64,
    },
    /// An erasure of evidence is for good.
    #[error("an erasure of evidence cannot be voided: what it erased does not come back")]
    ErasureStays,
    /// A change needs a reason.
    #[error("a reason is missing")]
    NoReason,
}
