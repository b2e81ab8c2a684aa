//! Copies of the ledger: backups, exports, and ledgers made of an export.

use std::fs;

use wearbook::ledger::{Ledger, LedgerError, Mode};

use crate::ledger_fixture::{
    Bench, assert_same, author, create, dump, error_name, first_instant, names, of_form_1, seal_of,
    worker,
};

const VECTOR: &str = include_str!("../reference/entry_hash_v1.json");

#[test]
fn a_backup_is_verified_and_the_same_and_leaves_nothing_else() {
    let bench = Bench::of_ten_entries();
    let before = dump(bench.path());
    let to = bench.beside("copy.db");
    // While somebody else is in the middle of a write.
    let other = bench.raw();
    other
        .execute_batch("BEGIN IMMEDIATE; UPDATE record SET key = 'not yet' WHERE id = 3")
        .expect("a write that is not done");
    // It is done while the backup is compared: that a copy was made is noted after it.
    let done = std::thread::spawn(move || {
        std::thread::sleep(std::time::Duration::from_millis(300));
        other.execute_batch("ROLLBACK").expect("not done");
    });
    let report = bench.ledger.backup(&to, first_instant()).expect("a backup");
    done.join().expect("the other");
    assert_eq!(report.path, to);
    assert_eq!(
        (report.verified.count, report.verified.faults.len()),
        (10, 0)
    );
    assert!(report.verified.full);
    assert_same(&dump(&to), &before, "the copy");
    let copy = Ledger::open(&to).expect("the copy");
    assert_eq!(
        copy.verify(None, false).expect("a verification").head,
        report.verified.head
    );
    assert_eq!(names(bench.dir.path()), ["copy.db", "crew.db"]);
    let error = bench
        .ledger
        .backup(&to, first_instant())
        .expect_err("an error");
    assert_eq!(error_name(&error), "Exists");
}

#[test]
fn a_backup_of_a_ledger_that_is_not_sound_is_not_kept() {
    let bench = Bench::of_ten_entries();
    bench
        .raw()
        .execute_batch("UPDATE reading SET end_count = 0 WHERE entry = 8")
        .expect("a changed row");
    let report = bench
        .ledger
        .backup(&bench.beside("copy.db"), first_instant())
        .expect("a report");
    assert_eq!(report.verified.faults.len(), 1);
    assert_eq!(names(bench.dir.path()), ["crew.db"]);
}

#[test]
fn a_ledger_can_be_backed_up_before_its_upgrade() {
    let dir = tempfile::tempdir().expect("a folder");
    let old = Ledger::open_any_form(&of_form_1(dir.path())).expect("an older ledger");
    let to = dir.path().join("copy.db");
    let report = old.backup(&to, first_instant()).expect("a backup");
    assert_eq!(
        (report.verified.count, report.verified.faults.len()),
        (7, 0)
    );
    assert!(
        !report.verified.full,
        "older derived tables are compared with nothing"
    );
    assert_same(&dump(&to), &dump(old.path()), "the copy");
}

#[test]
fn what_is_there_is_not_overwritten_by_a_new_ledger_a_restore_or_an_export() {
    let bench = Bench::of_ten_entries();
    let lines = bench.beside("entries.jsonl");
    let sealed = bench.ledger.export_entries(&lines).expect("an export");
    assert_eq!(sealed.0, 10);
    let taken = bench.beside("taken");
    fs::write(&taken, "something").expect("a file");
    for error in [
        create(&taken).expect_err("an error"),
        Ledger::restore(&lines, &taken, first_instant(), None).expect_err("an error"),
        bench
            .ledger
            .backup(&taken, first_instant())
            .expect_err("an error"),
    ] {
        assert_eq!(error_name(&error), "Exists");
    }
    let error = bench.ledger.export_entries(&taken).expect_err("an error");
    assert_eq!(error_name(&error), "File");
    assert_eq!(fs::read(&taken).expect("the file"), b"something");
    assert_eq!(
        names(bench.dir.path()),
        ["crew.db", "entries.jsonl", "taken"]
    );
}

#[test]
fn an_export_has_the_rows_in_force_and_every_entry() {
    let bench = Bench::of_ten_entries();
    let dir = bench.beside("export");
    let report = bench
        .ledger
        .export(&dir, first_instant())
        .expect("an export");
    let rows = |name: &str| {
        let found = report.files.iter().find(|(path, _)| path.ends_with(name));
        found.map(|(_, rows)| *rows)
    };
    for (name, wanted) in [
        ("entries.jsonl", 10),
        ("sheet.csv", 1),
        ("reading.csv", 1),
        ("instrument.csv", 2),
        ("instrument_scale.csv", 2),
        ("decision.csv", 0),
        ("record.csv", 7),
    ] {
        assert_eq!(rows(name), Some(wanted), "{name}");
    }
    let reading = fs::read_to_string(dir.join("reading.csv")).expect("a file");
    assert_eq!(
        reading,
        "entry,person,ordinal,ended_by,dosimeter,day,part,unit,start_count,end_count,off_scale,\
         recharged\n\
         8,1,1,,4,2026-02-27,1,mR,0,210000,0,\n"
    );
    assert_eq!(names(&dir).len(), report.files.len());
    let again = bench
        .ledger
        .export(&dir, first_instant())
        .expect_err("files are there");
    assert_eq!(error_name(&again), "Exists");
}

#[test]
fn what_is_no_export_is_refused_with_its_line_and_leaves_no_ledger() {
    let dir = tempfile::tempdir().expect("a folder");
    let (lines, to) = (dir.path().join("lines"), dir.path().join("crew.db"));
    let first = VECTOR.lines().next().expect("a line");
    for (text, line) in [
        (Vec::new(), 1),
        (b"\n".to_vec(), 1),
        (b"day,worker\n".to_vec(), 1),
        (b"[]\n".to_vec(), 1),
        (format!("{first}\n{first}\n").into_bytes(), 2),
        (format!("{first}\n\n").into_bytes(), 2),
        ([first.as_bytes(), b"\n\xff\xfe\n"].concat(), 2),
        (
            VECTOR
                .lines()
                .skip(1)
                .collect::<Vec<_>>()
                .join("\n")
                .into_bytes(),
            1,
        ),
    ] {
        fs::write(&lines, &text).expect("a file");
        match Ledger::restore(&lines, &to, first_instant(), None) {
            Err(LedgerError::BadExport { line: found, .. }) => assert_eq!(found, line),
            other => panic!("{}: {other:?}", String::from_utf8_lossy(&text)),
        }
        assert_eq!(names(dir.path()), ["lines"]);
    }
    // A cut-off tail is a chain of its own: without its seal it is taken on somebody's word.
    fs::write(&lines, first).expect("a file");
    let error = Ledger::restore(&lines, &to, first_instant(), None).expect_err("no seal");
    assert_eq!(error_name(&error), "NoSeal");
    let of_all = Ledger::restore(&lines, &to, first_instant(), seal_of(VECTOR));
    assert_eq!(of_all.as_ref().map_err(error_name), Err("BadExport"));
    assert_eq!(names(dir.path()), ["lines"]);
    let report = Ledger::restore(&lines, &to, first_instant(), seal_of(first));
    assert_eq!(report.expect("a ledger of one entry").count, 1);
}

#[test]
fn an_export_is_of_one_moment_while_others_write() {
    const WORKERS: i64 = 40;
    let bench = Bench::new();
    let path = bench.path().to_owned();
    let writer = std::thread::spawn(move || {
        let mut ledger = Ledger::open(&path).expect("the ledger");
        for at in 0..WORKERS {
            let body = worker(&format!("W{at}"), "A. Reyes");
            let done = ledger.write(&author(), first_instant(), Mode::Commit, |it| {
                it.append(body, false)
            });
            done.expect("an entry");
        }
    });
    for at in 0..12 {
        let report = bench
            .ledger
            .export(&bench.beside(&format!("export {at}")), first_instant());
        let files = report.expect("an export").files;
        let rows = |name: &str| {
            let found = files.iter().find(|(path, _)| path.ends_with(name));
            found.map_or(-1, |(_, rows)| *rows)
        };
        assert_eq!(rows("worker.csv") + 2, rows("record.csv"), "export {at}");
        assert_eq!(rows("worker.csv") + 2, rows("entries.jsonl"), "export {at}");
    }
    writer.join().expect("all are written");
}
