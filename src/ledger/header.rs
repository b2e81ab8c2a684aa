//! The first bytes of the file, which SQLite has no question for: how the file is journaled, and
//! how many transactions have changed it (SQLite, "Database File Format", 1.3).
//!
//! POSIX drops every lock that a process holds on a file as soon as the process closes *any*
//! handle of it. So a file is opened here once for all ledgers of this process, before SQLite
//! opens it, and closed after the last of them is.

use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::Path;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// How long the header of a SQLite file is.
const LENGTH: usize = 100;

/// What the header says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Header {
    /// How many transactions have changed the file, modulo 2^32.
    pub counter: u32,
    /// Whether the file is kept with a rollback journal: a copy of the one file is whole.
    pub rolls_back: bool,
    /// Who made the file.
    pub application_id: u32,
}

impl Header {
    /// What a file starts with; nothing where that is not the header of a SQLite file.
    fn parse(bytes: &[u8]) -> Option<Header> {
        let word = |at: usize| -> Option<u32> {
            let four: [u8; 4] = bytes.get(at..at + 4)?.try_into().ok()?;
            Some(u32::from_be_bytes(four))
        };
        if !bytes.starts_with(b"SQLite format 3\0") {
            return None;
        }
        Some(Header {
            counter: word(24)?,
            rolls_back: *bytes.get(19)? == 1,
            application_id: word(68)?,
        })
    }

    /// The count that the next transaction leaves.
    pub fn next_counter(self) -> u32 {
        self.counter.wrapping_add(1)
    }
}

/// Which file it is, whatever its name.
type FileId = (u64, u64);

#[derive(Debug)]
struct Open {
    id: Option<FileId>,
    key: u64,
    file: File,
    users: usize,
}

#[derive(Debug)]
struct Files {
    last_key: u64,
    open: Vec<Open>,
}

static FILES: Mutex<Files> = Mutex::new(Files {
    last_key: 0,
    open: Vec::new(),
});

fn files() -> MutexGuard<'static, Files> {
    // Nothing below leaves the list in items.
    FILES.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(unix)]
fn id_of(found: &std::fs::Metadata) -> Option<FileId> {
    use std::os::unix::fs::MetadataExt;
    Some((found.dev(), found.ino()))
}

/// Elsewhere a lock belongs to its handle, and another handle can be closed.
#[cfg(not(unix))]
fn id_of(_: &std::fs::Metadata) -> Option<FileId> {
    None
}

/// A share in the one handle of a file.
#[derive(Debug)]
pub(super) struct HeaderOf(u64);

impl HeaderOf {
    /// Takes a share. To be called before SQLite opens the file, and to be dropped after.
    pub fn of(path: &Path) -> io::Result<HeaderOf> {
        let mut files = files();
        let id = id_of(&std::fs::metadata(path)?);
        if let Some(share) = files.join(id) {
            return Ok(share);
        }
        let file = File::open(path)?;
        let id = id_of(&file.metadata()?);
        if let Some(share) = files.join(id) {
            // Another file took the name in between, and this process has it open: to close
            // this handle would drop its locks.
            std::mem::forget(file);
            return Ok(share);
        }
        files.last_key += 1;
        let key = files.last_key;
        files.open.push(Open {
            id,
            key,
            file,
            users: 1,
        });
        Ok(HeaderOf(key))
    }

    /// What the header says now. Within a transaction of SQLite's nobody else can change it.
    pub fn read(&self) -> io::Result<Option<Header>> {
        let mut files = files();
        let Some(open) = files.open.iter_mut().find(|it| it.key == self.0) else {
            return Ok(None);
        };
        open.file.seek(SeekFrom::Start(0))?;
        let mut bytes = Vec::with_capacity(LENGTH);
        let length = LENGTH as u64;
        (&open.file).take(length).read_to_end(&mut bytes)?;
        Ok(Header::parse(&bytes))
    }
}

impl Files {
    fn join(&mut self, id: Option<FileId>) -> Option<HeaderOf> {
        let open = self
            .open
            .iter_mut()
            .find(|it| id.is_some() && it.id == id)?;
        open.users += 1;
        Some(HeaderOf(open.key))
    }
}

impl Drop for HeaderOf {
    fn drop(&mut self) {
        let mut files = files();
        if let Some(open) = files.open.iter_mut().find(|it| it.key == self.0) {
            open.users -= 1;
        }
        files.open.retain(|it| it.users > 0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rusqlite::Connection;

    #[test]
    fn each_transaction_that_changes_the_file_counts_once() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("any.db");
        File::create_new(&path).unwrap();
        let header = HeaderOf::of(&path).unwrap();
        assert_eq!(header.read().unwrap(), None, "an empty file has none");
        let conn = Connection::open(&path).unwrap();
        conn.execute_batch("CREATE TABLE a (b)").unwrap();
        let count = || header.read().unwrap().unwrap().counter;
        let first = count();
        let many = "INSERT INTO a VALUES (randomblob(900));".repeat(300);
        for (sql, by) in [
            (format!("BEGIN; {many} COMMIT"), 1),
            (format!("BEGIN; {many} ROLLBACK"), 0),
            ("BEGIN IMMEDIATE; COMMIT".to_owned(), 0),
            ("UPDATE a SET b = 1".to_owned(), 1),
            ("VACUUM".to_owned(), 1),
        ] {
            let before = count();
            conn.execute_batch(&sql).unwrap();
            assert_eq!(count(), before + by, "{}", &sql[..12.min(sql.len())]);
        }
        // A cache of a few pages spills in the middle of the transaction.
        conn.execute_batch("PRAGMA cache_size = 5").unwrap();
        let before = count();
        conn.execute_batch(&format!("BEGIN; CREATE TABLE c (d); {many} COMMIT"))
            .unwrap();
        assert_eq!(count(), before + 1, "also where pages were written early");
        assert!(first < before);
    }

    #[test]
    fn a_lock_outlives_another_ledger_of_the_same_process() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("any.db");
        File::create_new(&path).unwrap();
        let mine = HeaderOf::of(&path).unwrap();
        let conn = Connection::open(&path).unwrap();
        conn.execute_batch("CREATE TABLE a (b); BEGIN IMMEDIATE")
            .unwrap();
        drop(HeaderOf::of(&path).unwrap());
        assert_eq!(files().open.iter().filter(|it| it.key == mine.0).count(), 1);
        let other = "import fcntl, sys\nfile = open(sys.argv[1], 'r+b')\nfcntl.lockf(file, \
                     fcntl.LOCK_EX | fcntl.LOCK_NB, 1, 0x40000001)\n";
        let told = std::process::Command::new("python3")
            .args(["-c", other])
            .arg(&path)
            .output();
        if let Ok(told) = told {
            assert!(!told.status.success(), "another process took the lock");
        }
        drop(conn);
        let key = mine.0;
        drop(mine);
        assert!(files().open.iter().all(|it| it.key != key), "it is closed");
    }
}
