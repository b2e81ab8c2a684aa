//! Copies in a folder: which are made, which go, which stay, what a drill says, and that nobody who
//! writes waits for one.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use wearbook::calendar::Day;
use wearbook::ledger::{CopyAsked, CopyKind, Ledger, LedgerError, Mode, Pace};

use crate::ledger_fixture::{Bench, author, day, error_name, first_instant, names, worker};

const ID: &str = "0123456789abcdef";

fn folder(bench: &Bench) -> PathBuf {
    let folder = bench.beside("copies");
    fs::create_dir_all(&folder).expect("a folder");
    folder
}

fn asked(folder: &Path, day: Day, keep: usize) -> CopyAsked<'_> {
    CopyAsked {
        folder,
        keep,
        day,
        now: first_instant(),
        pace: Pace::default(),
    }
}

fn named(day: &str) -> String {
    format!("wearbook-{ID}-{day}.db")
}

fn lock() -> String {
    format!("wearbook-{ID}.lock")
}

#[test]
fn a_copy_is_named_by_ledger_and_day_and_the_oldest_beyond_those_kept_goes() {
    let mut bench = Bench::of_ten_entries();
    let folder = folder(&bench);
    for (at, on) in ["2026-03-01", "2026-03-02", "2026-03-04"]
        .iter()
        .enumerate()
    {
        let done = bench.ledger.copy_into(&asked(&folder, day(on), 2));
        let done = done.expect("a copy");
        let made = done.made.expect("it is new");
        assert!(made.full && made.faults.is_empty());
        assert_eq!(made.count, 10 + at as i64);
        assert_eq!(done.deleted.len(), usize::from(at == 2));
        bench.append(worker(&format!("W5{at}"), "A. Reyes"));
    }
    assert_eq!(
        names(&folder),
        [named("2026-03-02"), named("2026-03-04"), lock()]
    );
    // The same day again has what was written since, and takes the place of the first.
    let again = bench
        .ledger
        .copy_into(&asked(&folder, day("2026-03-04"), 2));
    assert_eq!(again.expect("a copy").made.map(|it| it.count), Some(13));
    // And with nothing new there is nothing to copy.
    let none = bench
        .ledger
        .copy_into(&asked(&folder, day("2026-03-05"), 2));
    let none = none.expect("no copy");
    assert!(none.made.is_none());
    assert_eq!(none.path, folder.join(named("2026-03-04")));
    assert_eq!(
        names(&folder),
        [named("2026-03-02"), named("2026-03-04"), lock()]
    );
}

#[test]
fn what_is_no_copy_of_this_ledgers_own_past_is_never_deleted_or_replaced() {
    let mut bench = Bench::of_ten_entries();
    let folder = folder(&bench);
    let elsewhere = bench.beside("elsewhere.db");
    bench
        .ledger
        .backup(&elsewhere, first_instant())
        .expect("a backup");
    // A letter, a folder, a ledger of another history under this ledger's name, junk under it, and
    // a link to a true copy.
    fs::write(folder.join("letter.txt"), "to the authority").expect("a file");
    fs::create_dir(folder.join(named("2026-02-05"))).expect("a folder");
    let other = Bench::of_nine_others();
    let fork = folder.join(named("2026-02-04"));
    other
        .ledger
        .backup(&fork, first_instant())
        .expect("a backup");
    fs::write(folder.join(named("2026-02-03")), "no ledger").expect("a file");
    let link = folder.join(named("2026-02-02"));
    std::os::unix::fs::symlink(&elsewhere, &link).expect("a link");
    let others = folder.join("wearbook-fedcba9876543210-2026-02-01.db");
    other
        .ledger
        .backup(&others, first_instant())
        .expect("a backup");
    let before = names(&folder);
    for at in 1..=3 {
        bench.append(worker(&format!("W5{at}"), "A. Reyes"));
        let on = day(&format!("2026-03-0{at}"));
        let done = bench
            .ledger
            .copy_into(&asked(&folder, on, 1))
            .expect("a copy");
        let kinds: Vec<&CopyKind> = done.left.iter().map(|it| &it.kind).collect();
        assert_eq!(
            kinds,
            [
                &CopyKind::NoCopy,
                &CopyKind::OtherHistory,
                &CopyKind::NoCopy,
                &CopyKind::NoCopy
            ]
        );
    }
    let mut expected = before.clone();
    expected.extend([named("2026-03-03"), lock()]);
    expected.sort();
    assert_eq!(names(&folder), expected);
    assert!(elsewhere.exists(), "what the link points to");
    // Under the day's name stands something else: no copy, and it stays.
    bench.append(worker("W60", "A. Reyes"));
    for on in ["2026-02-02", "2026-02-03", "2026-02-04", "2026-02-05"] {
        let error = bench.ledger.copy_into(&asked(&folder, day(on), 1));
        assert_eq!(
            error_name(&error.expect_err("in the way")),
            "InTheWay",
            "{on}"
        );
    }
    assert_eq!(names(&folder), expected);
}

#[test]
fn a_folder_that_is_gone_is_not_made_and_a_copy_cut_short_is_cleared_away() {
    let bench = Bench::of_ten_entries();
    let gone = bench.beside("unplugged");
    let error = bench.ledger.copy_into(&asked(&gone, day("2026-03-01"), 3));
    assert_eq!(error_name(&error.expect_err("no folder")), "File");
    assert!(!gone.exists());
    let folder = folder(&bench);
    let half = folder.join(format!("wearbook-{ID}-2026-02-27.db.unfinished"));
    fs::write(&half, "half").expect("a file");
    fs::write(folder.join("mine.new"), "mine").expect("a file");
    // Somebody makes one already.
    let held = fs::File::create(folder.join(lock())).expect("a file");
    held.try_lock().expect("the lock");
    let error = bench
        .ledger
        .copy_into(&asked(&folder, day("2026-03-01"), 3));
    assert_eq!(error_name(&error.expect_err("taken")), "Copying");
    assert!(half.exists());
    drop(held);
    let done = bench
        .ledger
        .copy_into(&asked(&folder, day("2026-03-01"), 3));
    assert!(done.expect("a copy").made.is_some());
    assert_eq!(
        names(&folder),
        ["mine.new".to_owned(), named("2026-03-01"), lock()]
    );
}

#[test]
fn an_unsound_ledger_gets_no_copy_and_the_one_before_stays() {
    let mut bench = Bench::of_ten_entries();
    let folder = folder(&bench);
    let done = bench
        .ledger
        .copy_into(&asked(&folder, day("2026-03-01"), 1));
    assert!(done.expect("a copy").made.is_some());
    let before = fs::read(folder.join(named("2026-03-01"))).expect("the copy");
    bench.append(worker("W50", "A. Reyes"));
    bench
        .raw()
        .execute_batch("UPDATE reading SET end_count = 0 WHERE entry = 8")
        .expect("a changed row");
    let done = bench
        .ledger
        .copy_into(&asked(&folder, day("2026-03-02"), 1));
    let made = done.expect("a report").made.expect("it was tried");
    assert_eq!(made.faults.len(), 1);
    assert_eq!(names(&folder), [named("2026-03-01"), lock()]);
    let after = fs::read(folder.join(named("2026-03-01"))).expect("the copy");
    assert!(before == after);
}

#[test]
fn a_drill_verifies_the_newest_copy_and_asks_whether_the_ledger_had_its_seal() {
    let mut bench = Bench::of_ten_entries();
    let folder = folder(&bench);
    let error = bench.ledger.drill(&folder, first_instant());
    assert_eq!(error_name(&error.expect_err("none")), "NoCopy");
    let done = bench
        .ledger
        .copy_into(&asked(&folder, day("2026-03-01"), 3));
    assert!(done.expect("a copy").made.is_some());
    bench.append(worker("W50", "A. Reyes"));
    let good = bench
        .ledger
        .drill(&folder, first_instant())
        .expect("a drill");
    assert!(good.newest.is_good() && good.older.is_empty());
    let verified = good.newest.verified.expect("a ledger");
    assert_eq!((verified.count, good.newest.behind), (10, 1));
    assert!(verified.full);
    // A byte of an entry that somebody changed in the copy.
    let path = folder.join(named("2026-03-01"));
    let whole = fs::read(&path).expect("the copy");
    let at = whole
        .windows(7)
        .position(|it| it == b"Mile 12")
        .expect("the job");
    let mut changed = whole.clone();
    changed[at] = b'N';
    fs::write(&path, &changed).expect("the copy");
    let bad = bench
        .ledger
        .drill(&folder, first_instant())
        .expect("a drill");
    let verified = bad.newest.verified.as_ref().expect("a ledger");
    assert!(!bad.newest.is_good() && !verified.faults.is_empty());
    fs::write(&path, &whole).expect("the copy");
    // A sound ledger of the same name with another past, newer by its name.
    let other = Bench::of_nine_others();
    let fork = folder.join(named("2026-03-09"));
    other
        .ledger
        .backup(&fork, first_instant())
        .expect("a backup");
    let bad = bench
        .ledger
        .drill(&folder, first_instant())
        .expect("a drill");
    assert_eq!(bad.newest.path, fork);
    assert!(!bad.newest.in_history && !bad.newest.is_good());
    assert!(bad.newest.verified.expect("a ledger").faults.is_empty());
    // The older one is good, and is named.
    assert_eq!(bad.older.len(), 1);
    assert!(bad.older[0].path == path && bad.older[0].is_good());
}

/// The longest that one of so many writes took while something else went on.
fn longest_write(path: &Path, first: usize, count: usize) -> Duration {
    let mut ledger = Ledger::open(path).expect("the ledger");
    let mut longest = Duration::ZERO;
    for at in first..first + count {
        let body = worker(&format!("W{at}"), "A. Reyes");
        let began = Instant::now();
        let done = ledger.write(&author(), first_instant(), Mode::Commit, |it| {
            it.append(body, false)
        });
        done.expect("an entry");
        longest = longest.max(began.elapsed());
        std::thread::sleep(Duration::from_millis(3));
    }
    longest
}

/// A page a slice and a pause after each: the copy lasts far longer than any write may wait, and
/// whoever holds the ledger for the whole of it fails here.
#[test]
fn a_copy_is_made_in_slices_and_nobody_who_writes_waits_for_it() {
    let bench = Bench::of_ten_entries();
    let folder = folder(&bench);
    let alone = longest_write(bench.path(), 100, 20);
    let (path, to) = (bench.path().to_owned(), folder.clone());
    let began = Instant::now();
    let copier = std::thread::spawn(move || {
        let ledger = Ledger::open(&path).expect("the ledger");
        let pace = Pace {
            slice: Duration::ZERO,
            pause: Duration::from_millis(12),
            ..Pace::default()
        };
        let asked = CopyAsked {
            pace,
            ..asked(&to, day("2026-03-01"), 3)
        };
        let done = ledger.copy_into(&asked).expect("a copy");
        (done.made.expect("it is new").count, began.elapsed())
    });
    let beside = longest_write(bench.path(), 200, 40);
    let (count, took) = copier.join().expect("the copy");
    assert!(took > Duration::from_millis(700), "the copy took {took:?}");
    assert_eq!(count, 70, "what was written meanwhile is in it");
    let most = alone + Duration::from_millis(250);
    assert!(beside < most, "a write waited {beside:?}, alone {alone:?}");
}

#[test]
fn a_ledger_that_is_never_still_gets_no_copy_and_its_writers_do_not_wait() {
    let bench = Bench::of_ten_entries();
    let folder = folder(&bench);
    let path = bench.path().to_owned();
    let writer = std::thread::spawn(move || longest_write(&path, 300, 60));
    let pace = Pace {
        slice: Duration::ZERO,
        pause: Duration::from_millis(10),
        most: Duration::from_millis(150),
        stop: None,
    };
    let asked = CopyAsked {
        pace,
        ..asked(&folder, day("2026-03-01"), 3)
    };
    let done = bench.ledger.copy_into(&asked);
    let error = done.expect_err("it is written to all the while");
    assert!(
        matches!(error, LedgerError::NeverStill { begun_again } if begun_again > 0),
        "{error:?}"
    );
    writer.join().expect("all are written");
    assert_eq!(names(&folder), [lock()]);
}
