//! The chain of hashes against bytes that were hashed by something else.

use serde_json::Value;
use wearbook::ledger::{Hash, KnownAt, Ledger, LedgerError, Mode, head_text};

use crate::ledger_fixture::{Bench, author, faults, first_instant, meter, seal_of, worker};

/// Seven entries with their hashes: a charter, a rule set, a worker copied from paper and amended
/// for a reason beyond ASCII, an instrument that was voided and is in force again.
const VECTOR: &str = include_str!("../reference/entry_hash_v1.json");

fn vector() -> Vec<Value> {
    VECTOR
        .lines()
        .map(|line| serde_json::from_str(line).expect("a line of JSON"))
        .collect()
}

fn vector_hash(entry: usize) -> Hash {
    vector()
        .get(entry - 1)
        .and_then(|it| Hash::parse(it["hash"].as_str()?))
        .expect("a hash of the vector")
}

/// The seven entries of the vector, written by the program; [`Bench`] writes one a second.
fn written_by_the_program() -> Bench {
    let (name, married) = ("Jos\u{e9} \u{c5}berg", "Jos\u{e9} \u{c5}berg-Ruiz");
    let mut bench = Bench::new();
    for step in 3..=7 {
        let now = bench.tick();
        let done = bench
            .ledger
            .write(&author(), now, Mode::Commit, |it| match step {
                3 => it.append(worker("W01", name), true),
                4 => it.append(meter("SM-1", "77", &[]), false),
                5 => it.amend(3, worker("W01", married), "na\u{ef}ve spelling", false),
                6 => it.void(4, "entered twice"),
                _ => it.reinstate(6, "it was not"),
            });
        assert_eq!(done.expect("an entry").entry(), step);
    }
    bench
}

#[test]
fn every_entry_has_the_hash_that_an_independent_script_computed() {
    let bench = written_by_the_program();
    let entries = bench.ledger.read(KnownAt::Now, |it| it.entries(1, 99));
    let entries = entries.expect("entries");
    assert_eq!(entries.len(), vector().len());
    for (entry, wanted) in entries.iter().zip(vector()) {
        let text = |name: &str| wanted[name].as_str();
        assert_eq!(Some(entry.seq), wanted["seq"].as_i64());
        assert_eq!(Some(entry.record), wanted["record"].as_i64());
        assert_eq!(Some(entry.kind.as_str()), text("kind"));
        assert_eq!(Some(entry.version), wanted["version"].as_i64());
        assert_eq!(Some(entry.written_at.as_str()), text("written_at"));
        assert_eq!(Some(entry.written_by.as_str()), text("written_by"));
        assert_eq!(Some(entry.os_user.as_str()), text("os_user"));
        assert_eq!(entry.ends, wanted["ends"].as_i64());
        assert_eq!(entry.reason.as_deref(), text("reason"));
        assert_eq!(Some(entry.transcribed), wanted["transcribed"].as_bool());
        assert_eq!(entry.body.as_deref(), text("body"), "entry {}", entry.seq);
        assert_eq!(Some(entry.hash.to_string().as_str()), text("hash"));
    }
}

#[test]
fn the_vector_restores_to_a_ledger_with_its_own_head() {
    let dir = tempfile::tempdir().expect("a folder");
    let (from, to) = (dir.path().join("vector.jsonl"), dir.path().join("crew.db"));
    std::fs::write(&from, VECTOR).expect("the vector as a file");
    let report =
        Ledger::restore(&from, &to, first_instant(), seal_of(VECTOR)).expect("a restored ledger");
    assert_eq!((report.count, report.head), (7, vector_hash(7)));
    let ledger = Ledger::open(&to).expect("the ledger");
    assert_eq!(faults(&ledger), Vec::<String>::new());
}

#[test]
fn a_vector_with_one_changed_letter_is_refused_and_leaves_no_file() {
    let dir = tempfile::tempdir().expect("a folder");
    for (line, from, to) in [
        (1, "Yard 1", "Yard 2"),
        (3, "\"transcribed\": true", "\"transcribed\": false"),
        (5, "na\\u00efve", "naive"),
        (6, "\"body\": null", "\"body\": \"\""),
        (7, "\"ends\": 6", "\"ends\": 4"),
    ] {
        let file = dir.path().join("vector.jsonl");
        std::fs::write(&file, VECTOR.replacen(from, to, 1)).expect("the changed vector");
        let target = dir.path().join("crew.db");
        match Ledger::restore(&file, &target, first_instant(), None) {
            Err(LedgerError::BadExport { line: found, .. }) => assert_eq!(found, line, "{from}"),
            other => panic!("{from}: {other:?}"),
        }
        let left: Vec<_> = std::fs::read_dir(dir.path()).expect("the folder").collect();
        assert_eq!(left.len(), 1, "only the export is there: {left:?}");
    }
}

#[test]
fn a_reinstated_record_keeps_its_mark_of_having_been_on_paper() {
    let mut bench = Bench::new();
    let now = bench.tick();
    let done = bench.ledger.write(&author(), now, Mode::Commit, |it| {
        it.append(worker("W01", "A. Reyes"), true)?;
        it.void(3, "entered twice")?;
        it.reinstate(4, "it was not")
    });
    let entry = done.expect("entries").entry();
    let entry = bench.ledger.read(KnownAt::Now, |it| it.entry(entry));
    assert!(entry.expect("the entry").transcribed);
}

#[test]
fn the_head_is_printed_as_count_and_hash() {
    let bench = written_by_the_program();
    assert_eq!(bench.head(), head_text(7, &vector_hash(7)));
    assert!(bench.head().starts_with("7:"));
}
