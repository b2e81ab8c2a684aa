//! The ledger as a file: what is opened and what is not, older and newer forms,
//! two processes, folders that cannot be written.

use std::fs;
use std::path::Path;
use std::sync::mpsc;
use std::time::Duration;

use rusqlite::Connection;
use wearbook::ledger::{Hash, Instant as Moment, KnownAt, Ledger, LedgerError, Mode, Written};

use crate::ledger_fixture::{
    Bench, assert_same, author, chained, create, dump, error_name, faults, first_instant,
    of_form_1, seal_of, worker,
};

/// The entries that stand in it.
const VECTOR: &str = include_str!("../reference/entry_hash_v1.json");

fn opened(path: &Path) -> &'static str {
    Ledger::open(path).map_or_else(|error| error_name(&error), |_| "opened")
}

#[test]
fn what_is_not_a_ledger_is_not_opened_and_not_touched() {
    let dir = tempfile::tempdir().expect("a folder");
    let at = |name: &str| dir.path().join(name);
    let other = Connection::open(at("other.db")).expect("another database");
    other
        .execute_batch("CREATE TABLE entry (seq INTEGER PRIMARY KEY)")
        .expect("a table");
    drop(other);
    fs::create_dir(at("folder")).expect("a folder");
    let whole = fs::read(Bench::new().path()).expect("a ledger's bytes");
    for (name, bytes) in [
        ("empty", Vec::new()),
        ("short", b"SQLite format 3".to_vec()),
        ("sheet.csv", b"day,worker,start,end\n".repeat(500)),
        (
            "noise",
            (0..9000_u32).map(|it| ((it * 7919) >> 3) as u8).collect(),
        ),
        ("head cut off", whole[100..].to_vec()),
    ] {
        fs::write(at(name), &bytes).expect("a file");
        assert_eq!(opened(&at(name)), "NotALedger", "{name}");
        assert_eq!(fs::read(at(name)).expect("the file"), bytes, "{name}");
    }
    let before = fs::read(at("other.db")).expect("the file");
    assert_eq!(opened(&at("other.db")), "NotALedger");
    assert_eq!(fs::read(at("other.db")).expect("the file"), before);
    assert_eq!(opened(&at("folder")), "NotALedger");
    assert_eq!(opened(&at("nothing")), "Missing");
    assert_eq!(opened(&at("no folder/crew.db")), "Missing");
    assert!(!at("nothing").exists(), "looking makes no file");
}

#[test]
fn a_newer_ledger_is_refused_before_anything_is_written() {
    let bench = Bench::of_ten_entries();
    bench
        .raw()
        .execute_batch("PRAGMA user_version = 8; INSERT INTO form VALUES ('entry 8', 'newer')")
        .expect("a newer form");
    let before = fs::read(bench.path()).expect("the file");
    for error in [
        Ledger::open(bench.path()).expect_err("an error"),
        Ledger::open_any_form(bench.path()).expect_err("an error"),
    ] {
        assert_eq!(
            error.to_string(),
            "the ledger has form 8; this program knows forms up to 7"
        );
    }
    assert_eq!(fs::read(bench.path()).expect("the file"), before);
}

/// Tables, index and guards of the entries, word for word.
fn schema_of_entries(path: &Path) -> Vec<(String, String, Option<String>)> {
    Connection::open(path)
        .expect("a plain connection")
        .prepare(
            "SELECT type, name, sql FROM sqlite_schema WHERE tbl_name IN ('entry', 'form')
             ORDER BY type, name",
        )
        .and_then(|mut it| {
            it.query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?
                .collect()
        })
        .expect("the schema")
}

#[test]
fn the_released_form_of_the_entries_is_never_edited() {
    let bench = Bench::new();
    let dir = tempfile::tempdir().expect("a folder");
    let old = of_form_1(dir.path());
    let released = schema_of_entries(&old);
    // Two tables, the key of `form`, the index on `ends`, four guards.
    assert_eq!(released.len(), 8);
    let mut current = schema_of_entries(bench.path());
    // A later form finds entries by their kind, and adds no more than that.
    current.retain(|(_, name, _)| name != "entry_kind");
    assert_eq!(current, released);
    let mark = |path: &Path| {
        let lines = dump(path).into_iter();
        lines
            .filter(|it| it.contains("\"entry 1\""))
            .collect::<Vec<_>>()
    };
    assert_eq!(mark(bench.path()), mark(&old));
    assert_eq!(mark(&old).len(), 1);
}

#[test]
fn an_older_ledger_asks_for_its_upgrade_and_is_whole_after_it() {
    let dir = tempfile::tempdir().expect("a folder");
    let path = of_form_1(dir.path());
    assert_eq!(opened(&path), "NeedsUpgrade");
    let mut old = Ledger::open_any_form(&path).expect("an older ledger");
    let chain = old.verify(None, false).expect("a verification");
    assert_eq!((chain.count, chain.faults.len()), (7, 0));
    assert!(old.upgrade().expect("an upgrade"));
    assert!(
        !old.upgrade().expect("no upgrade"),
        "the second time there is nothing to do"
    );
    drop(old);
    let new = Ledger::open(&path).expect("a ledger of the current form");
    assert_eq!(faults(&new), Vec::<String>::new());
    assert_eq!(
        new.verify(None, true).expect("a verification").head,
        chain.head
    );
    // The same as a ledger that the program made of these entries.
    let (lines, fresh) = (dir.path().join("lines"), dir.path().join("fresh.db"));
    fs::write(&lines, VECTOR).expect("the entries");
    Ledger::restore(&lines, &fresh, first_instant(), seal_of(VECTOR)).expect("a restored ledger");
    assert_same(&dump(&path), &dump(&fresh), "upgraded");
}

#[test]
fn an_upgrade_that_does_not_come_to_its_end_changes_nothing() {
    // A current ledger with an older mark, and an entry that this program cannot read: the
    // rebuild stops there, as it would when the process dies.
    let bench = Bench::of_ten_entries();
    let raw = bench.raw();
    raw.execute_batch("UPDATE form SET digest = 'older' WHERE name = 'derived'")
        .expect("an older form");
    chained(&raw, "riddle", "{}");
    drop(raw);
    let before = dump(bench.path());
    let mut ledger = Ledger::open_any_form(bench.path()).expect("a ledger");
    let error = ledger.upgrade().expect_err("an error");
    assert_eq!(error_name(&error), "Unreadable", "{error}");
    assert_same(&dump(bench.path()), &before, "after the failed upgrade");
    assert_eq!(opened(bench.path()), "NeedsUpgrade");
}

#[test]
fn a_folder_that_is_not_there_is_named() {
    let bench = Bench::of_ten_entries();
    let lines = bench.beside("entries.jsonl");
    bench.ledger.export_entries(&lines).expect("an export");
    let folder = bench.beside("no folder");
    let to = folder.join("crew.db");
    for error in [
        create(&to).expect_err("an error"),
        Ledger::restore(&lines, &to, first_instant(), None).expect_err("an error"),
        bench
            .ledger
            .backup(&to, first_instant())
            .expect_err("an error"),
    ] {
        match &error {
            LedgerError::File { path, source } => {
                assert_eq!(path, &folder);
                assert_eq!(source.kind(), std::io::ErrorKind::NotFound);
            }
            other => panic!("{other:?}"),
        }
    }
    assert!(!folder.exists(), "no folder is made");
}

fn set_writable(path: &Path, writable: bool) {
    let mut permissions = fs::metadata(path).expect("permissions").permissions();
    permissions.set_readonly(!writable);
    fs::set_permissions(path, permissions).expect("permissions");
}

#[test]
fn a_ledger_that_cannot_be_written_is_read_and_says_so() {
    let mut bench = Bench::of_ten_entries();
    let before = dump(bench.path());
    let path = bench.path().to_owned();
    set_writable(&path, false);
    if fs::OpenOptions::new().append(true).open(&path).is_ok() {
        eprintln!("skipped: this user can write to a read-only file");
        return;
    }
    bench.ledger = Ledger::open(&path).expect("a ledger to read");
    assert_eq!(bench.faults(), Vec::<String>::new());
    let error = bench
        .try_append(worker("W02", "A. Reyes"))
        .expect_err("an error");
    assert_eq!(error_name(&error), "ReadOnly", "{error}");
    set_writable(&path, true);
    assert_same(&dump(&path), &before, "nothing was written");

    set_writable(bench.dir.path(), false);
    bench.ledger = Ledger::open(&path).expect("a ledger to read");
    let written = bench.try_append(worker("W02", "A. Reyes"));
    let created = create(&bench.beside("new.db"));
    set_writable(bench.dir.path(), true);
    for error in [written.err(), created.err()] {
        assert_eq!(
            error.as_ref().map(error_name),
            Some("ReadOnly"),
            "{error:?}"
        );
    }
    assert_same(&dump(&path), &before, "nothing was written");
}

#[test]
fn a_second_writer_that_waits_long_enough_writes() {
    let mut bench = Bench::of_ten_entries();
    let path = bench.path().to_owned();
    let (begun, is_begun) = mpsc::channel();
    let first = std::thread::spawn(move || {
        let mut ledger = Ledger::open(&path).expect("the ledger");
        ledger.write(&author(), first_instant(), Mode::Commit, |it| {
            let written = it.append(worker("W02", "A. Reyes"), false);
            begun.send(()).expect("somebody waits");
            std::thread::sleep(Duration::from_millis(300));
            written
        })
    });
    is_begun.recv().expect("the first writer has begun");
    let second = bench.append(worker("W03", "B. Novak")).entry();
    let first = first.join().expect("the first writer").expect("an entry");
    assert_eq!((first.entry(), second), (11, 12));
    assert_eq!(bench.faults(), Vec::<String>::new());
}

#[test]
fn writers_in_turn_make_one_chain() {
    const EACH: i64 = 12;
    let bench = Bench::new();
    std::thread::scope(|scope| {
        for writer in 0..3 {
            let path = bench.path();
            scope.spawn(move || {
                let mut ledger = Ledger::open(path).expect("the ledger");
                for at in 0..EACH {
                    let body = worker(&format!("W{writer}-{at}"), "A. Reyes");
                    let done = ledger.write(&author(), first_instant(), Mode::Commit, |it| {
                        it.append(body, false)
                    });
                    done.expect("an entry");
                }
            });
        }
    });
    assert!(bench.head().starts_with(&format!("{}:", 2 + 3 * EACH)));
    assert_eq!(bench.faults(), Vec::<String>::new());
}

#[test]
fn a_rehearsal_says_what_the_write_would_and_leaves_the_file_as_it_is() {
    let mut bench = Bench::of_ten_entries();
    let before = fs::read(bench.path()).expect("the file");
    let now = bench.tick();
    let ledger = &mut bench.ledger;
    let rehearsed = two_entries(ledger, now, Mode::Rehearse);
    assert_eq!(fs::read(ledger.path()).expect("the file"), before);
    assert_eq!(two_entries(ledger, now, Mode::Commit), rehearsed);
    assert_ne!(fs::read(ledger.path()).expect("the file"), before);
    assert_eq!(bench.faults(), Vec::<String>::new());
}

/// A worker and the end of it; returns the first entry, and count and head at the end.
fn two_entries(ledger: &mut Ledger, now: Moment, mode: Mode) -> (Written, (i64, Hash)) {
    let done = ledger.write(&author(), now, mode, |it| {
        let written = it.append(worker("W02", "A. Reyes"), false)?;
        it.void(written.entry(), "entered twice")?;
        Ok::<_, LedgerError>((written, it.head()))
    });
    done.expect("two entries")
}

#[test]
fn nothing_is_known_at_an_entry_that_is_not_there() {
    let bench = Bench::of_ten_entries();
    for entry in [i64::MIN, -1, 0, 11, i64::MAX] {
        let read = bench.ledger.read(KnownAt::Entry(entry), |it| it.head());
        assert!(read.is_err(), "{entry}");
    }
    let read = bench.ledger.read(KnownAt::Entry(10), |it| it.head());
    assert_eq!(read.expect("a head").0, 10);
}
