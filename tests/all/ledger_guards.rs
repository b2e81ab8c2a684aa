//! The four guards on the table `entry`, as another tool meets them: a plain connection with
//! SQLite's own defaults, recursive triggers off, foreign keys on or off.

use rusqlite::Connection;

use crate::ledger_fixture::{Bench, dump};

const CHANGED: &str = "an entry is never changed: amend it with a new one";
const REMOVED: &str = "an entry is never removed: void it with a new one";
const OVERWRITTEN: &str = "an entry is never overwritten";
/// What [`OVERWRITTEN`] and [`NEXT`] both begin with.
const NOT_NEW: &str = "an entry ";
const NEXT: &str = "an entry takes the next number";

/// A row for `entry`: number, record, what it ends.
fn row(seq: &str, record: &str, ends: &str) -> String {
    let reason = if ends == "NULL" { "NULL" } else { "'why'" };
    format!(
        "({seq}, {record}, 'worker', 1, '2026-03-01T12:00:00Z', 'x', 'x', {ends}, {reason}, 0, \
         '{{}}', zeroblob(32))"
    )
}

/// Statements that must fail, on a ledger of ten entries in which 8 ends 7; each with the
/// guard that stops it.
fn attempts() -> Vec<(String, &'static str)> {
    let mut attempts: Vec<(String, &'static str)> = [
        ("UPDATE entry SET body = '{}' WHERE seq = 3", CHANGED),
        ("UPDATE entry SET seq = 99 WHERE seq = 10", CHANGED),
        ("UPDATE entry SET hash = hash WHERE seq = 3", CHANGED),
        ("UPDATE OR REPLACE entry SET seq = 3 WHERE seq = 4", CHANGED),
        (
            "UPDATE OR IGNORE entry SET reason = 'x' WHERE seq = 8",
            CHANGED,
        ),
        ("DELETE FROM entry", REMOVED),
        ("DELETE FROM entry WHERE seq = 10", REMOVED),
    ]
    .map(|(sql, guard)| (sql.to_owned(), guard))
    .to_vec();
    for verb in ["INSERT", "INSERT OR REPLACE", "REPLACE", "INSERT OR IGNORE"] {
        for (row, guard) in [
            // A number that is there, which two guards refuse: either may be the first to.
            (row("1", "1", "NULL"), NOT_NEW),
            (row("4", "4", "NULL"), NOT_NEW),
            (row("10", "6", "9"), NOT_NEW),
            // The next number, but it ends what is ended already.
            (row("11", "7", "7"), OVERWRITTEN),
            // A gap, a number before the first, and none at all.
            (row("12", "12", "NULL"), NEXT),
            (row("0", "0", "NULL"), NEXT),
            (row("-1", "-1", "NULL"), NEXT),
            (row("NULL", "11", "8"), NEXT),
        ] {
            attempts.push((format!("{verb} INTO entry VALUES {row}"), guard));
        }
    }
    attempts.push((
        format!(
            "INSERT INTO entry VALUES {} ON CONFLICT (seq) DO UPDATE SET body = excluded.body",
            row("4", "4", "NULL")
        ),
        NOT_NEW,
    ));
    attempts
}

fn message(conn: &Connection, sql: &str) -> String {
    match conn.execute_batch(sql) {
        Ok(()) => "it was done".to_owned(),
        Err(rusqlite::Error::SqliteFailure(_, Some(text))) => text,
        Err(rusqlite::Error::SqlInputError { msg, .. }) => msg,
        Err(other) => other.to_string(),
    }
}

fn refuse_all(foreign_keys: bool, recursive_triggers: bool) {
    let bench = Bench::of_ten_entries();
    let before = dump(bench.path());
    let conn = bench.raw();
    for (name, on) in [
        ("foreign_keys", foreign_keys),
        ("recursive_triggers", recursive_triggers),
    ] {
        conn.pragma_update(None, name, on).expect("a setting");
        let found: bool = conn
            .pragma_query_value(None, name, |row| row.get(0))
            .expect("a setting");
        assert_eq!(found, on, "{name}");
    }
    for (sql, guard) in attempts() {
        let found = message(&conn, &sql);
        assert!(found.contains(guard), "{sql}\n  {found}\n  wanted: {guard}");
    }
    drop(conn);
    assert_eq!(dump(bench.path()), before);
    assert_eq!(bench.faults(), Vec::<String>::new());
}

#[test]
fn no_entry_is_changed_removed_or_slipped_in_by_a_tool_with_plain_settings() {
    refuse_all(false, false);
}

#[test]
fn no_entry_is_changed_removed_or_slipped_in_with_the_programs_own_settings() {
    refuse_all(true, true);
}

#[test]
fn the_guards_let_the_next_entry_through() {
    // Else the tests above would pass on a table that refuses everything.
    let bench = Bench::of_ten_entries();
    let conn = bench.raw();
    for row in [row("11", "11", "NULL"), row("12", "7", "8")] {
        conn.execute_batch(&format!("INSERT INTO entry VALUES {row}"))
            .expect("the next number, ending what is not ended");
    }
    // The guards stop mistakes; that these two are no entries of the program, the chain shows.
    let found = bench.ledger.verify(None, false).expect("a verification");
    assert_eq!(found.faults.first().and_then(|it| it.entry), Some(11));
}

/// Which guard is there for what is shown by taking it away: then the statement goes through.
#[test]
fn each_of_the_four_guards_is_needed() {
    for (guard, sql) in [
        (
            "entry_is_never_changed",
            "UPDATE entry SET body = '{}' WHERE seq = 3".to_owned(),
        ),
        (
            "entry_is_never_removed",
            "DELETE FROM entry WHERE seq = 10".to_owned(),
        ),
        (
            "entry_is_never_overwritten",
            format!(
                "INSERT OR REPLACE INTO entry VALUES {}",
                row("11", "7", "7")
            ),
        ),
        (
            "entry_comes_next",
            format!("INSERT INTO entry VALUES {}", row("12", "12", "NULL")),
        ),
    ] {
        let bench = Bench::of_ten_entries();
        let conn = bench.raw();
        assert_ne!(message(&conn, &sql), "it was done", "{guard}");
        conn.pragma_update(None, "foreign_keys", false)
            .expect("a setting");
        conn.execute_batch(&format!("DROP TRIGGER {guard}"))
            .expect("the guard of that name");
        assert_eq!(message(&conn, &sql), "it was done", "{guard}");
        if guard != "entry_is_never_removed" {
            let found = bench.ledger.verify(None, false).expect("a verification");
            assert!(!found.faults.is_empty(), "{guard}: the chain shows it");
        }
    }
}
