//! The count of writes: whatever honest use does to the file, no reader takes it for another
//! program's doing. A false alarm would teach people to ignore a true one.

use std::path::{Path, PathBuf};

use wearbook::ledger::{KnownAt, Ledger, LedgerError, Mode};

use crate::ledger_fixture::{
    Bench, author, error_name, first_instant, names, of_form_1, sheet, worker,
};

/// Numbers that look random and are the same each time.
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: u64) -> u64 {
        // A linear congruence (Knuth, MMIX); its high bits are good enough to choose by.
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005);
        self.0 = self.0.wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % most
    }
}

/// No reader raises an alarm, and a plain verification finds nothing.
fn is_quiet(path: &Path, when: &str) {
    let ledger = Ledger::open(path).unwrap_or_else(|error| panic!("{when}: {error}"));
    let head = ledger.read(KnownAt::Now, |it| it.head());
    assert!(head.is_ok(), "{when}: {head:?}");
    let found = ledger.verify(None, false).expect("a verification");
    assert!(found.faults.is_empty(), "{when}: {:?}", found.faults);
    assert!(!found.other_writer, "{when}");
}

fn write(ledger: &mut Ledger, id: u64, mode: Mode) -> Result<(), LedgerError> {
    let body = worker(&format!("W{id}"), "A. Reyes");
    ledger.write(&author(), first_instant(), mode, |it| {
        it.append(body, false).map(|_| ())
    })
}

/// One thing that somebody does; its name.
fn step(dice: &mut Dice, path: &Path, at: u64) -> &'static str {
    let open = || Ledger::open(path).expect("the ledger");
    match dice.below(15) {
        0 => {
            write(&mut open(), at, Mode::Commit).expect("a write");
            "a write"
        }
        1 => {
            let mut ledger = open();
            for more in 0..5 {
                write(&mut ledger, 1000 * at + more, Mode::Commit).expect("a write");
            }
            "writes by one connection"
        }
        2 => {
            write(&mut open(), at, Mode::Rehearse).expect("a dry run");
            "a dry run"
        }
        3 => {
            let mut ledger = open();
            let done = ledger.write(&author(), first_instant(), Mode::Commit, |it| {
                it.before_many()?;
                it.append(worker(&format!("V{at}"), "B. Novak"), false)?;
                it.void(1, "no charter is void")
            });
            assert!(done.is_err());
            "a write that is refused at its end"
        }
        4 => {
            let mut ledger = open();
            let again = |ledger: &mut Ledger| write(ledger, 7, Mode::Commit);
            again(&mut ledger)
                .and_then(|()| again(&mut ledger))
                .expect("twice");
            "the same again"
        }
        5 => {
            let (mut one, mut two) = (open(), open());
            for more in 0..4 {
                write(&mut one, 10_000 + 100 * at + more, Mode::Commit).expect("a write");
                two.read(KnownAt::Now, |it| it.head()).expect("a read");
                write(&mut two, 20_000 + 100 * at + more, Mode::Commit).expect("a write");
            }
            "two writers in turn"
        }
        6 => {
            std::thread::scope(|scope| {
                for thread in 0..2 {
                    scope.spawn(move || {
                        for more in 0..3 {
                            let id = 30_000 + 1000 * at + 10 * thread + more;
                            let mut ledger = Ledger::open(path).expect("the ledger");
                            write(&mut ledger, id, Mode::Commit).expect("a write");
                        }
                    });
                }
            });
            "writers at once"
        }
        other => keep(other, dice, path, at),
    }
}

/// What somebody does about the file.
fn keep(which: u64, dice: &mut Dice, path: &Path, at: u64) -> &'static str {
    let dir = path.parent().expect("a folder");
    let beside = |name: &str| -> PathBuf { dir.join(format!("{name}-{at}")) };
    let open = || Ledger::open(path).expect("the ledger");
    let swap = |from: PathBuf| std::fs::rename(from, path).expect("the copy takes its place");
    match which {
        7 => {
            let (to, ledger) = (beside("copy"), open());
            let report = ledger.backup(&to, first_instant()).expect("a backup");
            assert!(report.not_noted.is_none(), "{:?}", report.not_noted);
            is_quiet(&to, "the copy itself");
            drop(ledger);
            if dice.below(2) == 0 {
                swap(to);
            }
            "a backup"
        }
        8 => {
            let lines = beside("lines");
            open().export_entries(&lines).expect("an export");
            let to = beside("restored");
            Ledger::restore(&lines, &to, first_instant(), None).expect("a restore");
            is_quiet(&to, "restored");
            swap(to);
            "a restore"
        }
        9 => {
            open().rebuild(None).expect("a rebuild");
            "a rebuild"
        }
        10 => {
            assert!(!open().upgrade().expect("nothing to upgrade"));
            "an upgrade of what is current"
        }
        11 => {
            let mut ledger = open();
            let found = ledger.verify(None, true).expect("a verification");
            assert!(found.faults.is_empty() && !found.other_writer);
            ledger.accept(&found).expect("nothing to accept");
            "a verification in full"
        }
        12 => {
            let report = open().export(&beside("export"), first_instant());
            assert!(report.expect("an export").not_noted.is_none());
            "an export"
        }
        13 => {
            let mut ledger = open();
            let done = ledger.write(&author(), first_instant(), Mode::Commit, |it| {
                it.before_many()
            });
            done.expect("a write without an entry");
            "indexes put off and nothing written"
        }
        _ => {
            let bytes = std::fs::read(path).expect("the file");
            std::fs::write(beside("by-hand"), bytes).expect("a copy by hand");
            swap(beside("by-hand"));
            "a copy by hand"
        }
    }
}

#[test]
fn no_history_of_honest_use_raises_an_alarm() {
    let mut seen = std::collections::BTreeMap::new();
    for seed in 0..12 {
        let bench = Bench::new();
        let path = bench.path().to_owned();
        let mut dice = Dice(seed);
        let mut done = Vec::new();
        for at in 0..14 {
            let name = step(&mut dice, &path, at);
            *seen.entry(name).or_insert(0) += 1;
            done.push(name);
            is_quiet(&path, &format!("seed {seed}: {done:?}"));
        }
    }
    assert_eq!(seen.len(), 15, "{seen:?}");
}

/// Pages are written before the commit where the cache is too small for a write.
#[test]
fn a_write_larger_than_the_cache_counts_once() {
    let mut bench = Bench::of_ten_entries();
    let now = bench.tick();
    let many = bench.ledger.write(&author(), now, Mode::Commit, |it| {
        for at in 0..600 {
            let mut body = sheet("2026-02-27", 5, 3, 4, "12 mR");
            body.reference = Some(format!("S-{at}"));
            body.note = Some("rain ".repeat(25_000));
            it.append(body.into(), false)?;
        }
        Ok::<_, LedgerError>(())
    });
    many.expect("a large write");
    let size = std::fs::metadata(bench.path()).expect("the file").len();
    assert!(
        size > 70_000_000,
        "{size} bytes are more than the cache of 64 MB"
    );
    is_quiet(bench.path(), "after a large write");
}

#[test]
fn an_older_ledger_begins_to_count_with_its_upgrade() {
    let dir = tempfile::tempdir().expect("a folder");
    let path = of_form_1(dir.path());
    let error = Ledger::open(&path).expect_err("an older form");
    assert_eq!(error_name(&error), "NeedsUpgrade");
    let mut old = Ledger::open_any_form(&path).expect("an older ledger");
    let copy = dir.path().join("copy.db");
    old.backup(&copy, first_instant()).expect("a backup");
    assert!(old.upgrade().expect("an upgrade"));
    drop(old);
    is_quiet(&path, "after the upgrade");
    let mut old = Ledger::open_any_form(&copy).expect("the older copy");
    old.upgrade().expect("an upgrade");
    drop(old);
    is_quiet(&copy, "the copy, after its upgrade");
}

/// An alarm stays until somebody looks: no write and no copy makes it go away.
#[test]
fn an_alarm_outlives_everything_but_a_full_verification() {
    let mut bench = Bench::of_ten_entries();
    bench
        .raw()
        .execute_batch("UPDATE reading SET end_count = 0 WHERE entry = 8")
        .expect("a change");
    let now = bench.tick();
    for mode in [Mode::Commit, Mode::Rehearse] {
        let refused = bench.ledger.write(&author(), now, mode, |it| {
            it.append(worker("W77", "A. Reyes"), false)
        });
        assert_eq!(refused.as_ref().map_err(error_name), Err("OtherWriter"));
    }
    let report = bench.ledger.backup(&bench.beside("copy.db"), now);
    assert!(!report.expect("a report").verified.faults.is_empty());
    assert_eq!(names(bench.dir.path()), ["crew.db"]);
    let export = bench.ledger.export(&bench.beside("out"), now);
    assert_eq!(
        export.as_ref().map(|_| ()).map_err(error_name),
        Err("OtherWriter")
    );
    for full in [false, true] {
        let found = bench.ledger.verify(None, full).expect("a verification");
        bench.ledger.accept(&found).expect("nothing is accepted");
        let read = bench.ledger.read(KnownAt::Now, |it| it.head());
        assert_eq!(
            read.as_ref().map_err(error_name),
            Err("OtherWriter"),
            "{full}"
        );
    }
    bench.ledger.rebuild(None).expect("a rebuild");
    is_quiet(bench.path(), "after the rebuild");
}

/// Between a full verification and its acceptance somebody else writes: what was not looked at
/// is not accepted.
#[test]
fn what_was_written_after_a_verification_is_not_accepted_with_it() {
    let mut bench = Bench::of_ten_entries();
    bench.raw().execute_batch("VACUUM").expect("packed anew");
    let found = bench.ledger.verify(None, true).expect("a verification");
    assert!(found.faults.is_empty() && found.other_writer);
    bench
        .raw()
        .execute_batch("UPDATE reading SET end_count = 0 WHERE entry = 8")
        .expect("a change");
    let accepted = bench.ledger.accept(&found);
    assert_eq!(accepted.as_ref().map_err(error_name), Err("OtherWriter"));
    let read = bench.ledger.read(KnownAt::Now, |it| it.head());
    assert!(read.is_err());
}

/// Rows of other people do not stand in the way of one person's statement, and that person's do:
/// also a row that is gone, and one that an amended sheet left behind.
#[test]
fn what_a_person_rests_on_is_compared_whoever_else_is_wrong() {
    for (sql, of_3, of_9) in [
        (
            "UPDATE reading SET end_count = 0 WHERE entry = 8",
            false,
            true,
        ),
        (
            "UPDATE reading SET ended_by = NULL WHERE entry = 7",
            false,
            true,
        ),
        (
            "PRAGMA foreign_keys = OFF; DELETE FROM crew WHERE entry = 8",
            false,
            true,
        ),
        (
            "UPDATE sheet SET day = '2025-02-27' WHERE entry = 8",
            false,
            true,
        ),
        ("UPDATE record SET voided = 1 WHERE id = 7", false, true),
        (
            "UPDATE reading SET end_count = 0 WHERE entry = 12",
            true,
            false,
        ),
        (
            "PRAGMA foreign_keys = OFF; UPDATE crew SET worker = 3 WHERE entry = 12",
            false,
            false,
        ),
        ("UPDATE crew SET worker = 11 WHERE entry = 8", false, false),
        (
            "UPDATE record SET key = 'J9' WHERE kind = 'job'",
            false,
            false,
        ),
    ] {
        let mut bench = Bench::of_ten_entries();
        bench.append(worker("W09", "B. Novak"));
        let body = sheet("2026-02-28", 5, 11, 4, "30 mR");
        assert_eq!(bench.append(body.into()).entry(), 12);
        let proven = |bench: &Bench, worker: i64| {
            bench
                .ledger
                .read_unwatched(KnownAt::Now, |it| it.prove(Some(&[worker])))
                .map_err(|error| error_name(&error))
        };
        assert_eq!((proven(&bench, 3), proven(&bench, 11)), (Ok(()), Ok(())));
        bench.raw().execute_batch(sql).expect(sql);
        let lies = |fine: bool| if fine { Ok(()) } else { Err("Lying") };
        assert_eq!(proven(&bench, 3), lies(of_3), "{sql}");
        assert_eq!(proven(&bench, 11), lies(of_9), "{sql}");
    }
}
