//! What somebody does to the file behind the program's back, and whether it is found.

use rusqlite::Connection;
use rusqlite::types::Value;
use wearbook::ledger::{Fault, Hash, KnownAt, Ledger, LedgerError, Verification};

use crate::ledger_fixture::{Bench, assert_same, dump, error_name};

const COLUMNS: [&str; 12] = [
    "seq",
    "record",
    "kind",
    "version",
    "written_at",
    "written_by",
    "os_user",
    "ends",
    "reason",
    "transcribed",
    "body",
    "hash",
];

/// A plain connection with the guards taken away and nothing checked.
fn tamperer(bench: &Bench) -> Connection {
    let conn = bench.raw();
    conn.execute_batch(
        "PRAGMA foreign_keys = OFF;
         PRAGMA ignore_check_constraints = ON;
         PRAGMA synchronous = OFF;
         PRAGMA journal_mode = MEMORY;
         DROP TRIGGER entry_is_never_changed;
         DROP TRIGGER entry_is_never_removed;
         DROP TRIGGER entry_is_never_overwritten;
         DROP TRIGGER entry_comes_next;",
    )
    .expect("the guards are gone");
    conn
}

/// What is changed of a byte: its least bit, or its greatest, which makes text no text.
const MASKS: [u8; 2] = [0x01, 0x80];

/// Every value that differs from this one in one byte.
fn one_byte_off(value: &Value) -> Vec<Value> {
    let flips = |bytes: &[u8]| -> Vec<Vec<u8>> {
        let mut found = Vec::new();
        for at in 0..bytes.len() {
            let mut changed = bytes.to_vec();
            changed[at] ^= MASKS[at % MASKS.len()];
            found.push(changed);
        }
        found
    };
    match value {
        Value::Integer(number) => flips(&number.to_le_bytes())
            .into_iter()
            .filter_map(|bytes| bytes.try_into().ok().map(i64::from_le_bytes))
            .map(Value::Integer)
            .collect(),
        // As text, so that STRICT takes it even where the bytes are no UTF-8 any more.
        Value::Text(text) => flips(text.as_bytes())
            .into_iter()
            .map(Value::Blob)
            .collect(),
        Value::Blob(bytes) => flips(bytes).into_iter().map(Value::Blob).collect(),
        Value::Null | Value::Real(_) => Vec::new(),
    }
}

/// Sets a column, keeping its type; text comes as its bytes.
fn set(conn: &Connection, rowid: i64, column: &str, value: &Value) -> rusqlite::Result<usize> {
    let as_text = matches!(value, Value::Blob(_)) && column != "hash";
    let new = if as_text { "CAST(?1 AS TEXT)" } else { "?1" };
    conn.execute(
        &format!("UPDATE entry SET {column} = {new} WHERE seq = ?2"),
        (value, rowid),
    )
}

fn cell(conn: &Connection, seq: i64, column: &str) -> Value {
    conn.query_row(
        &format!("SELECT {column} FROM entry WHERE seq = ?1"),
        [seq],
        |row| row.get(0),
    )
    .expect("a cell")
}

fn is_found(ledger: &Ledger) -> bool {
    match ledger.verify(None, false) {
        Ok(Verification { faults, .. }) => !faults.is_empty(),
        Err(LedgerError::Damaged { .. }) => true,
        Err(other) => panic!("not an answer of a verification: {other:?}"),
    }
}

#[test]
fn one_byte_changed_anywhere_in_any_column_of_any_entry_is_found() {
    let bench = Bench::of_ten_entries();
    let before = dump(bench.path());
    let conn = tamperer(&bench);
    let mut tried = 0;
    for seq in 1..=10 {
        for column in COLUMNS {
            let was = cell(&conn, seq, column);
            for changed in one_byte_off(&was) {
                // A number that is taken, or an `ends` that is not unique, SQLite refuses.
                if set(&conn, seq, column, &changed).is_err() {
                    continue;
                }
                assert!(is_found(&bench.ledger), "{seq} {column}: {changed:?}");
                tried += 1;
                let now_at = match (column, &changed) {
                    ("seq", Value::Integer(number)) => *number,
                    _ => seq,
                };
                let back = match &was {
                    Value::Text(text) => Value::Blob(text.clone().into_bytes()),
                    other => other.clone(),
                };
                set(&conn, now_at, column, &back).expect("set back");
            }
        }
    }
    drop(conn);
    assert!(tried > 1000, "{tried} changes were tried");
    assert_same(&dump(bench.path()), &before, "all was set back");
    assert_eq!(bench.faults(), Vec::<String>::new());
}

#[test]
fn what_was_missing_and_is_there_and_what_was_there_and_is_missing_is_found() {
    for (seq, column, value) in [
        (3, "ends", Value::Integer(1)),
        (3, "reason", Value::Text(String::new())),
        (8, "ends", Value::Null),
        (8, "reason", Value::Null),
        (9, "body", Value::Text("{}".to_owned())),
        (8, "body", Value::Null),
        (3, "transcribed", Value::Integer(0)),
        (4, "transcribed", Value::Integer(1)),
        (3, "transcribed", Value::Integer(2)),
        (3, "body", Value::Text(String::new())),
    ] {
        let bench = Bench::of_ten_entries();
        set(&tamperer(&bench), seq, column, &value).expect("a change");
        assert!(is_found(&bench.ledger), "{seq} {column} {value:?}");
    }
}

/// The fault and the first entry that it names, after some SQL without the guards.
fn first_fault(sql: &str) -> (Option<i64>, String) {
    let bench = Bench::of_ten_entries();
    tamperer(&bench).execute_batch(sql).expect(sql);
    let found = bench.ledger.verify(None, false).expect("a verification");
    let first = found.faults.first().cloned();
    first.map_or((None, "nothing".to_owned()), |it| (it.entry, it.what))
}

#[test]
fn entries_that_were_swapped_removed_or_made_up_are_found_where_it_happened() {
    let swap = |a: i64, b: i64| {
        format!(
            "UPDATE entry SET seq = -1 WHERE seq = {a}; UPDATE entry SET seq = {a} WHERE seq = {b};
             UPDATE entry SET seq = {b} WHERE seq = -1;"
        )
    };
    let bodies = "CREATE TEMP TABLE was AS SELECT seq, body FROM entry WHERE seq IN (3, 4);
                  UPDATE entry SET body = (SELECT body FROM was WHERE was.seq = 7 - entry.seq)
                  WHERE seq IN (3, 4);";
    for (sql, entry, what) in [
        (swap(3, 4), 3, "its hash does not fit"),
        (swap(1, 10), 1, "its hash does not fit"),
        (bodies.to_owned(), 3, "its hash does not fit"),
        (
            "DELETE FROM entry WHERE seq = 5".to_owned(),
            6,
            "entry 5 is missing",
        ),
        (
            "DELETE FROM entry WHERE seq = 1".to_owned(),
            2,
            "entry 1 is missing",
        ),
        (
            "INSERT INTO entry SELECT 11, 11, kind, version, written_at, written_by, os_user,
             ends, reason, transcribed, body, hash FROM entry WHERE seq = 3"
                .to_owned(),
            11,
            "its hash does not fit",
        ),
    ] {
        let (found, text) = first_fault(&sql);
        assert_eq!(found, Some(entry), "{sql}\n  {text}");
        assert!(text.contains(what), "{sql}\n  {text}");
    }
}

/// Two faults of one entry are no fault of the next: the chain goes on from the stored hash.
#[test]
fn one_changed_entry_is_one_fault() {
    let bench = Bench::of_ten_entries();
    tamperer(&bench)
        .execute_batch("UPDATE entry SET written_by = 'somebody else' WHERE seq = 4")
        .expect("a change");
    let found = bench.ledger.verify(None, false).expect("a verification");
    let entries: Vec<_> = found.faults.iter().filter_map(|it| it.entry).collect();
    assert_eq!(entries, [4]);
}

#[test]
fn an_entry_whose_text_is_no_text_any_more_is_named() {
    let bench = Bench::of_ten_entries();
    let conn = tamperer(&bench);
    set(&conn, 4, "body", &Value::Blob(vec![b'{', 0xff, b'}'])).expect("a change");
    for full in [false, true] {
        let found = bench.ledger.verify(None, full).expect("a verification");
        assert_eq!(found.faults.first().and_then(|it| it.entry), Some(4));
        assert_eq!(found.count, 10);
    }
}

fn head_of(ledger: &Ledger) -> (i64, Hash) {
    ledger.read(KnownAt::Now, |it| it.head()).expect("a head")
}

#[test]
fn a_tail_cut_off_is_found_by_the_tables_and_by_what_was_noted_down() {
    let mut bench = Bench::of_ten_entries();
    let noted = head_of(&bench.ledger);
    tamperer(&bench)
        .execute_batch("DELETE FROM entry WHERE seq > 7")
        .expect("a shorter ledger");
    // A shorter chain is sound in itself; the tables know that there was more.
    let plain = bench.ledger.verify(None, false).expect("a verification");
    let tail = |it: &Fault| {
        it.what
            .contains("`record` knows entry 10: entries were cut off")
    };
    assert!(plain.faults.iter().any(tail), "{:?}", plain.faults);
    assert!(plain.faults.iter().all(|it| it.entry.is_none()));
    let found = bench
        .ledger
        .verify(Some(noted), false)
        .expect("a verification");
    assert_eq!(
        found.faults.first().map(|it| it.what.as_str()),
        Some("10 entries were expected; there are 7")
    );
    assert_eq!(found.expected_found, None);
    assert!(
        !bench.faults().is_empty(),
        "rows of cut-off entries are left over"
    );
    // Even after a rebuild, which mends those rows, the note finds it.
    let error = bench.ledger.rebuild(None).expect_err("an end is missing");
    assert_eq!(error_name(&error), "Unsound");
    let seven = bench.ledger.read_unwatched(KnownAt::Now, |it| it.head());
    let seven = seven.expect("a head");
    bench.ledger.rebuild(Some(seven)).expect("a rebuild");
    assert_eq!(bench.faults(), Vec::<String>::new());
    let found = bench
        .ledger
        .verify(Some(noted), false)
        .expect("a verification");
    assert_eq!(found.faults.len(), 1);
}

#[test]
fn a_past_written_anew_is_found_by_an_older_note_also_after_more_entries() {
    let honest = Bench::of_ten_entries();
    let other = Bench::of_nine_others();
    let noted = honest
        .ledger
        .read(KnownAt::Now, |it| it.entry(8))
        .expect("entry 8");
    let note = Some((8, noted.hash));
    let found = honest.ledger.verify(note, true).expect("a verification");
    assert_eq!(
        (found.faults.len(), found.expected_found),
        (0, Some(noted.hash))
    );
    let found = other.ledger.verify(note, true).expect("a verification");
    assert_eq!(found.faults.len(), 1, "{:?}", found.faults);
    assert_eq!(found.faults[0].entry, Some(8));
    assert!(found.faults[0].what.contains(&noted.hash.to_string()));
}

/// Changes of derived rows and the table in which a full verification finds each.
const DERIVED: &[(&str, &str)] = &[
    (
        "UPDATE reading SET end_count = 0 WHERE entry = 8",
        "reading",
    ),
    (
        "UPDATE reading SET ended_by = NULL WHERE entry = 7",
        "reading",
    ),
    ("DELETE FROM reading WHERE entry = 8", "reading"),
    ("UPDATE crew SET badge_worn = NULL WHERE entry = 8", "crew"),
    (
        "UPDATE sheet SET day = '2026-02-26' WHERE entry = 8",
        "sheet",
    ),
    ("INSERT INTO reference VALUES (3, 2)", "reference"),
    ("UPDATE record SET voided = 1 WHERE id = 3", "record"),
    ("UPDATE record SET key = 'W1' WHERE id = 3", "record"),
    (
        "INSERT INTO former_key VALUES ('worker', 'W9', 3, 3)",
        "former_key",
    ),
];

#[test]
fn a_changed_derived_row_is_found_in_full_and_mended_by_a_rebuild() {
    for (sql, table) in DERIVED {
        let mut bench = Bench::of_ten_entries();
        let before = dump(bench.path());
        bench.raw().execute_batch(sql).expect(sql);
        assert!(dump(bench.path()) != before, "{sql}: it changes something");
        let plain = bench.ledger.verify(None, false).expect("a verification");
        let said = plain.faults.iter().map(|it| it.what.as_str());
        let other = "another program has written to the file; `--full` checks what it left";
        let about_rows = said.filter(|it| !it.contains("the table `record` knows"));
        assert_eq!(about_rows.collect::<Vec<_>>(), [other], "{sql}");
        let found = bench.faults();
        let wanted = format!("table {table}: ");
        assert!(
            found.iter().any(|it| it.contains(&wanted)),
            "{sql}\n  {found:?}"
        );
        assert_eq!(bench.ledger.rebuild(None).expect("a rebuild").0, 10);
        assert_eq!(bench.faults(), Vec::<String>::new(), "{sql}");
        assert_same(&dump(bench.path()), &before, sql);
    }
}

#[test]
fn a_derived_table_that_is_gone_or_another_is_a_fault_and_not_a_failure() {
    for sql in [
        "DROP TABLE held",
        "DROP TABLE held; CREATE TABLE held (entry, ordinal)",
        "DROP TABLE fitted_part; CREATE TABLE fitted_part (entry, ended_by, answer, finding)",
        "DROP VIEW decision",
        "DROP VIEW worker; CREATE VIEW worker AS SELECT 1 AS entry, NULL AS ended_by, 'W' AS id",
        "DROP INDEX entry_kind",
    ] {
        let mut bench = Bench::of_ten_entries();
        let before = dump(bench.path());
        bench.raw().execute_batch(sql).expect(sql);
        let found = bench.faults();
        assert_eq!(found.len(), 1, "{sql}\n  {found:?}");
        bench.ledger.rebuild(None).expect("a rebuild");
        assert_same(&dump(bench.path()), &before, sql);
        assert_eq!(bench.faults(), Vec::<String>::new());
    }
}

/// A byte of the file changed on disk: either a verification in full says so, or the file says
/// the same as before (the byte stood in unused space, a counter or a comment).
#[test]
fn a_changed_byte_of_the_file_is_found_or_means_nothing() {
    const EVERY: usize = 311;
    let bench = Bench::of_ten_entries();
    let (bytes, before) = (
        std::fs::read(bench.path()).expect("the file"),
        dump(bench.path()),
    );
    let target = bench.beside("flipped.db");
    let (mut tried, mut found) = (0, 0);
    // Most zero bytes stand in unused space.
    let places = (0..bytes.len()).filter(|at| bytes[*at] != 0);
    for at in places.step_by(EVERY) {
        let mut flipped = bytes.clone();
        flipped[at] ^= 0x04;
        std::fs::write(&target, &flipped).expect("the flipped file");
        tried += 1;
        let found_out = Ledger::open(&target)
            .and_then(|ledger| ledger.verify(None, true))
            .map_or(true, |it| !it.faults.is_empty());
        if found_out {
            found += 1;
        } else {
            assert_same(&dump(&target), &before, &format!("byte {at}"));
        }
    }
    assert!(
        tried > 50 && found > 15,
        "{found} of {tried} changes were found"
    );
}

#[test]
fn a_guard_that_somebody_dropped_is_found() {
    let bench = Bench::of_ten_entries();
    let plain = Connection::open(bench.path()).unwrap();
    plain
        .execute_batch("DROP TRIGGER entry_is_never_changed")
        .unwrap();
    drop(plain);
    let found = Ledger::open(bench.path())
        .unwrap()
        .verify(None, true)
        .unwrap();
    let said: Vec<&str> = found.faults.iter().map(|it| it.what.as_str()).collect();
    assert_eq!(
        said,
        [
            "`entry_is_never_changed`, which guards the entries, is missing",
            "another program has written to the file",
        ]
    );
}
