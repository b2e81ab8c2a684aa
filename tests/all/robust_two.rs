//! Two processes on one ledger: writes come one after the other, whoever waits in vain says
//! so, and a reader sees a state that was written whole.

use std::process::Child;
use std::time::{Duration, Instant};

use rusqlite::Connection;

use super::robust_place::{
    REGISTERED, Told, Yard, assert_verified, command, counts, done, init, journal, sheets, told,
    wait_until, wearbook, with_sheets,
};

/// Told to wait so long, a command says this of a writer.
const WAIT: &str = "2";
const BUSY: &str = "another process is writing to the ledger; waited 2 s for it";
const SHEETS: usize = 10;

fn end(child: Child) -> Told {
    child.wait_with_output().expect("the process ends").into()
}

/// Starts commands at once and waits for all of them.
fn at_once(yard: &Yard, commands: &[&[&str]]) -> Vec<Told> {
    let children: Vec<Child> = commands
        .iter()
        .map(|words| wearbook(&yard.ledger, words).spawn().expect("it starts"))
        .collect();
    children.into_iter().map(end).collect()
}

#[test]
fn two_files_handed_in_at_once_are_both_taken_in_one_after_the_other() {
    let yard = Yard::new();
    for (year, done) in (2020..2026).zip(1..) {
        let one = yard.file("a.csv", &sheets(&format!("{year}-02-01"), SHEETS, 0));
        let two = yard.file("b.csv", &sheets(&format!("{year}-05-01"), SHEETS, 0));
        let imports: [&[&str]; 2] = [&["sheet", "import", &one], &["sheet", "import", &two]];
        for told in at_once(&yard, &imports) {
            assert_eq!(told.code, Some(0), "{told:?}");
        }
        assert_eq!(counts(&yard.ledger), with_sheets(2 * done * SHEETS));
    }
    assert_verified(&yard.ledger, "after twelve imports");
}

#[test]
fn the_same_file_from_two_processes_at_once_is_in_the_ledger_once() {
    for _ in 0..6 {
        let yard = Yard::new();
        let file = yard.file("sheets.csv", &sheets("2024-03-01", SHEETS, 0));
        let import: &[&str] = &["sheet", "import", &file];
        let both = at_once(&yard, &[import, import]);
        let new = both
            .iter()
            .filter(|it| it.out.contains(&format!("{SHEETS} written")));
        assert_eq!(new.count(), 1, "{both:?}");
        assert!(both.iter().all(|it| it.code == Some(0)), "{both:?}");
        assert_eq!(counts(&yard.ledger), with_sheets(SHEETS));
        assert_verified(&yard.ledger, "after two of the same");
    }
}

/// None is kept waiting until it gives up: each tries as often as the others.
#[test]
fn eight_that_write_at_once_all_come_through() {
    const WRITERS: i64 = 8;
    const EACH: i64 = 5;
    let yard = Yard::new();
    std::thread::scope(|scope| {
        for writer in 0..WRITERS {
            let yard = &yard;
            scope.spawn(move || {
                for one in 0..EACH {
                    let month = 1 + one;
                    let text = sheets(&format!("{}-{month:02}-01", 2016 + writer), 1, 0);
                    let file = yard.file(&format!("{writer}-{one}.csv"), &text);
                    done(&yard.ledger, &["sheet", "import", &file]);
                }
            });
        }
    });
    let all = usize::try_from(WRITERS * EACH).expect("a small number");
    assert_eq!(counts(&yard.ledger), with_sheets(all));
    assert_verified(&yard.ledger, "after forty writes by eight");
}

#[test]
fn two_that_make_the_same_ledger_at_once_make_it_once() {
    for _ in 0..10 {
        let yard = Yard::new();
        std::fs::remove_file(&yard.ledger).expect("no ledger yet");
        let both = at_once(&yard, &[init(), init()]);
        let made: Vec<&Told> = both.iter().filter(|it| it.code == Some(0)).collect();
        assert_eq!(made.len(), 1, "{both:?}");
        for told in both.iter().filter(|it| it.code != Some(0)) {
            // After the first one was done, or while it was at it.
            match told.err.contains("by another command") {
                true => told.is_refused("is being written"),
                false => told.is_refused("exists already"),
            }
        }
        let head = done(&yard.ledger, &["ledger", "seal"]).out;
        assert!(made[0].out.contains(head.trim()), "{head} of {both:?}");
        assert_verified(&yard.ledger, "after two of the same");
        let beside = std::fs::read_dir(yard.dir.path()).expect("the test's own folder");
        assert_eq!(beside.count(), 1, "something stays beside the ledger");
    }
}

/// A reader that stays keeps a write from its end, and is told from a writer.
#[test]
fn a_write_that_a_reader_keeps_from_its_end_says_so() {
    let yard = Yard::new();
    let file = yard.file("sheets.csv", &sheets("2024-03-01", SHEETS, 0));
    let other = Connection::open(&yard.ledger).expect("a plain connection");
    let read = "BEGIN; SELECT count(*) FROM entry;";
    other.execute_batch(read).expect("a read that stays");
    let words = ["sheet", "import", &file, "--wait", "1"];
    told(&mut wearbook(&yard.ledger, &words))
        .is_refused("another process is reading the ledger; waited 1 s for it");
    other.execute_batch("ROLLBACK").expect("the read ends");
    done(&yard.ledger, &words);
}

/// Whoever waited did so for as long as a command does; the lock is given back.
fn waited_in_vain(yard: &Yard, begun: Instant, other: Connection) {
    let waited = begun.elapsed();
    assert!(waited >= Duration::from_millis(1_800), "only {waited:?}");
    other.execute_batch("ROLLBACK").expect("the lock is free");
    drop(other);
    yard.is_untouched("after the wait");
}

/// The lock is held from outside for longer than any command waits.
#[test]
fn writers_that_wait_in_vain_say_so_while_readers_read() {
    let yard = Yard::new();
    let file = yard.file("sheets.csv", &sheets("2024-03-01", SHEETS, 0));
    let other = Connection::open(&yard.ledger).expect("a plain connection");
    other.execute_batch("BEGIN IMMEDIATE").expect("the lock");
    let begun = Instant::now();
    let waiting: Vec<Child> = [
        vec!["sheet", "import", &file, "--wait", WAIT],
        vec!["sheet", "import", &file, "--dry-run", "--wait", WAIT],
        vec!["ledger", "rebuild", "--wait", WAIT],
    ]
    .iter()
    .map(|words| wearbook(&yard.ledger, words).spawn().expect("it starts"))
    .collect();
    // The lock is held all the time: a reader that needed it would be refused as well.
    assert_verified(&yard.ledger, "while another writes");
    done(&yard.ledger, &["dose", "crew"]);
    for child in waiting {
        end(child).is_refused(BUSY);
    }
    waited_in_vain(&yard, begun, other);
}

/// The last moments of a write keep readers out too.
#[test]
fn a_reader_that_waits_in_vain_says_so() {
    let yard = Yard::new();
    let other = Connection::open(&yard.ledger).expect("a plain connection");
    other.execute_batch("BEGIN EXCLUSIVE").expect("the lock");
    let begun = Instant::now();
    let questions: [&[&str]; 2] = [
        &["ledger", "seal", "--wait", WAIT],
        &["dose", "crew", "--wait", WAIT],
    ];
    for told in at_once(&yard, &questions) {
        told.is_refused(BUSY);
        assert_eq!(told.out, "");
    }
    waited_in_vain(&yard, begun, other);
}

#[test]
fn a_writer_that_waits_long_enough_writes() {
    let yard = Yard::new();
    let file = yard.file("sheets.csv", &sheets("2024-03-01", SHEETS, 0));
    let other = Connection::open(&yard.ledger).expect("a plain connection");
    other.execute_batch("BEGIN IMMEDIATE").expect("the lock");
    let begun = Instant::now();
    let mut child = wearbook(&yard.ledger, &["sheet", "import", &file])
        .spawn()
        .expect("it starts");
    std::thread::sleep(Duration::from_millis(1_500));
    let ended = child.try_wait().expect("a process");
    assert!(ended.is_none(), "it did not wait: {ended:?}");
    other.execute_batch("COMMIT").expect("the lock is free");
    let told = end(child);
    assert_eq!(told.code, Some(0), "{told:?}");
    assert!(begun.elapsed() >= Duration::from_millis(1_500));
    drop(other);
    assert_eq!(counts(&yard.ledger), with_sheets(SHEETS));
}

/// A process that was started here, by its number.
fn signal(name: &str, child: &Child) {
    let told = told(command("kill").args([name, &child.id().to_string()]));
    assert_eq!(told.code, Some(0), "{told:?}");
}

/// The writer is stopped in the middle of its work, so that the reader surely comes in there.
#[test]
fn a_reader_in_the_middle_of_a_write_sees_the_state_before_it() {
    let yard = Yard::new();
    let file = yard.file("sheets.csv", &sheets("2024-03-01", 60, 4_000));
    let before = done(&yard.ledger, &["ledger", "seal"]).out;
    let crew = done(&yard.ledger, &["dose", "crew", "--year", "2024"]).out;
    let mut child = wearbook(&yard.ledger, &["sheet", "import", &file])
        .spawn()
        .expect("it starts");
    assert!(
        wait_until(Duration::from_secs(30), || journal(&yard.ledger).exists()),
        "no journal appears"
    );
    signal("-STOP", &child);
    let ended = child.try_wait().expect("a process");
    assert!(ended.is_none() && journal(&yard.ledger).exists());
    let read = done(&yard.ledger, &["ledger", "seal"]).out;
    let told = done(&yard.ledger, &["dose", "crew", "--year", "2024"]).out;
    assert_verified(&yard.ledger, "in the middle of a write");
    let in_between = counts(&yard.ledger);
    signal("-CONT", &child);
    let written = end(child);
    assert_eq!((read, told), (before.clone(), crew.clone()));
    assert_eq!(in_between, (REGISTERED, 0, 0));
    assert_eq!(written.code, Some(0), "{written:?}");
    assert_eq!(counts(&yard.ledger), with_sheets(60));
    assert_ne!(done(&yard.ledger, &["ledger", "seal"]).out, before);
    let after = done(&yard.ledger, &["dose", "crew", "--year", "2024"]).out;
    assert_ne!(after, crew, "the sheets are in the doses");
}
