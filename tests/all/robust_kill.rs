//! Killing the program while it writes: all of a file of sheets is in the ledger, or none.
//!
//! A kill is the end of a process, not of the machine: what the system has been given, it
//! keeps. What these tests prove is that no moment exists at which half of an import counts.

use std::path::Path;
use std::process::{Child, Stdio};
use std::sync::{Mutex, OnceLock};
use std::time::{Duration, Instant};

use super::robust_place::{
    Dice, Yard, assert_verified, counts, done, journal, registers, sheets, wait_until, wearbook,
    with_sheets,
};

/// At least so many processes are killed, half of them while the journal exists.
const KILLS: usize = 200;
/// Sheets of one import: in a debug build it takes one or two tenths of a second.
const SHEETS: usize = 25;
/// Bytes of each sheet's note: they make the write long, and its end too.
const NOTE: usize = 4_000;
const THREADS: u64 = 2;
/// Never more processes than this, however many end before they are killed.
const MOST: usize = 6 * KILLS;

/// When to kill.
#[derive(Debug, Clone, Copy)]
enum Aim {
    /// At any moment of the process's life, or when it is just over.
    Anywhere,
    /// At any moment while the journal exists.
    Journal,
    /// While pages of the ledger itself are being replaced: the journal counts by then.
    Commit,
}

/// What became of the killed imports.
#[derive(Debug, Default, Clone, Copy)]
struct Tally {
    started: usize,
    killed: usize,
    /// The journal was there after the kill.
    with_journal: usize,
    /// And had to be played back.
    hot: usize,
    /// Killed, and nothing of the file was in the ledger.
    nothing: usize,
    /// Killed, and all of the file was in the ledger.
    committed: usize,
    /// Ended by itself before the kill.
    too_late: usize,
}

impl Tally {
    fn is_enough(&self) -> bool {
        self.killed >= KILLS && 2 * self.with_journal >= self.killed
    }
}

/// How long an import takes when it is left alone.
#[derive(Debug, Clone, Copy)]
struct Times {
    whole: Duration,
    journal: Duration,
}

fn start(yard: &Yard, file: &str) -> Child {
    wearbook(&yard.ledger, &["sheet", "import", file])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the process starts")
}

/// The shortest of a few: on a busy machine a longer one would aim behind the end.
fn measured() -> Times {
    static MEASURED: OnceLock<Times> = OnceLock::new();
    *MEASURED.get_or_init(|| {
        let all = [measurement(), measurement(), measurement(), measurement()];
        let shortest = |of: fn(&Times) -> Duration| all.iter().map(of).min().unwrap_or_default();
        Times {
            whole: shortest(|it| it.whole),
            journal: shortest(|it| it.journal),
        }
    })
}

fn measurement() -> Times {
    let yard = Yard::new();
    let file = yard.file("sheets.csv", &sheets("2024-03-01", SHEETS, NOTE));
    let begun = Instant::now();
    let mut child = start(&yard, &file);
    assert!(
        wait_until(Duration::from_secs(30), || journal(&yard.ledger).exists()),
        "no journal appears"
    );
    let appeared = Instant::now();
    wait_until(Duration::from_secs(60), || !journal(&yard.ledger).exists());
    let journal = appeared.elapsed();
    let status = child.wait().expect("the process ends");
    assert!(status.success(), "{status:?}");
    assert_eq!(counts(&yard.ledger), with_sheets(SHEETS));
    Times {
        whole: begun.elapsed(),
        journal,
    }
}

/// Whether the journal has to be played back: its head is written last.
fn is_hot(ledger: &Path) -> bool {
    use std::io::Read;
    let mut first = [0];
    std::fs::File::open(journal(ledger))
        .and_then(|mut file| file.read_exact(&mut first))
        .is_ok()
        && first != [0]
}

/// Starts an import, kills it at the moment aimed at, and judges what is left.
fn kill_once(yard: &Yard, file: &str, aim: Aim, (dice, times): (&mut Dice, Times)) -> Tally {
    use std::os::unix::process::ExitStatusExt;
    std::fs::write(&yard.ledger, registers()).expect("a fresh ledger");
    let mut child = start(yard, file);
    let most = 4 * times.whole + Duration::from_secs(1);
    let ended = |child: &mut Child| child.try_wait().is_ok_and(|it| it.is_some());
    let delay = match aim {
        Aim::Anywhere => dice.within(times.whole * 3 / 2),
        Aim::Journal => {
            wait_until(most, || journal(&yard.ledger).exists() || ended(&mut child));
            dice.within(times.journal)
        }
        Aim::Commit => {
            wait_until(most, || is_hot(&yard.ledger) || ended(&mut child));
            Duration::ZERO
        }
    };
    std::thread::sleep(delay);
    // Where it has ended already there is nothing to kill.
    let _ = child.kill();
    let status = child.wait().expect("the process ends");
    let killed = status.signal() == Some(9);
    assert!(killed || status.success(), "{aim:?}: {status:?}");
    let with_journal = journal(&yard.ledger).exists();
    let hot = is_hot(&yard.ledger);
    let when = format!("{aim:?}, {delay:?}, journal {with_journal}, hot {hot}, killed {killed}");

    assert_verified(&yard.ledger, &when);
    let all = counts(&yard.ledger) == with_sheets(SHEETS);
    if !all {
        assert!(killed, "{when}: it ended well and something is missing");
        let bytes = std::fs::read(&yard.ledger).expect("the ledger");
        assert!(bytes == registers(), "{when}: neither all nor nothing");
    }
    assert!(
        !(with_journal && all),
        "{when}: it counts before its journal is gone"
    );
    let _ = std::fs::remove_file(journal(&yard.ledger));
    Tally {
        started: 1,
        killed: usize::from(killed),
        with_journal: usize::from(killed && with_journal),
        hot: usize::from(killed && hot),
        nothing: usize::from(killed && !all),
        committed: usize::from(killed && all),
        too_late: usize::from(!killed),
    }
}

fn add(sum: &mut Tally, one: Tally) {
    sum.started += one.started;
    sum.killed += one.killed;
    sum.with_journal += one.with_journal;
    sum.hot += one.hot;
    sum.nothing += one.nothing;
    sum.committed += one.committed;
    sum.too_late += one.too_late;
}

/// One thread's share of the kills.
fn kill_many(start: u64, times: Times, sum: &Mutex<Tally>) {
    let yard = Yard::new();
    let file = yard.file("sheets.csv", &sheets("2024-03-01", SHEETS, NOTE));
    let mut dice = Dice(start);
    loop {
        let so_far = *sum.lock().expect("no thread has failed");
        if so_far.is_enough() || so_far.started >= MOST {
            return;
        }
        let aim = match dice.below(10) {
            0..3 => Aim::Anywhere,
            3..8 => Aim::Journal,
            _ => Aim::Commit,
        };
        let one = kill_once(&yard, &file, aim, (&mut dice, times));
        add(&mut sum.lock().expect("no thread has failed"), one);
    }
}

#[test]
fn a_killed_import_leaves_all_or_nothing() {
    let times = measured();
    let sum = Mutex::new(Tally::default());
    std::thread::scope(|scope| {
        for thread in 1..=THREADS {
            scope.spawn({
                let sum = &sum;
                move || kill_many(thread, times, sum)
            });
        }
    });
    let sum = sum.into_inner().expect("no thread has failed");
    println!("{sum:?} {times:?}");
    assert!(sum.killed >= KILLS, "too few were killed: {sum:?}");
    assert!(
        2 * sum.with_journal >= sum.killed,
        "too few were killed while the journal existed: {sum:?}"
    );
    assert!(sum.hot > 0, "no kill left a journal to play back: {sum:?}");
    assert_eq!(sum.nothing + sum.committed, sum.killed, "{sum:?}");
}

/// A file that was cut short is handed in again, as anybody would do.
#[test]
fn after_a_kill_the_same_file_is_taken_in_whole() {
    let times = measured();
    let yard = Yard::new();
    let file = yard.file("sheets.csv", &sheets("2024-03-01", SHEETS, NOTE));
    let mut dice = Dice(3);
    for _ in 0..5 {
        // No verification between the two: the import itself takes back what was left.
        std::fs::write(&yard.ledger, registers()).expect("a fresh ledger");
        let mut child = start(&yard, &file);
        wait_until(times.whole * 4, || journal(&yard.ledger).exists());
        std::thread::sleep(dice.within(times.journal / 2));
        child.kill().expect("a signal");
        child.wait().expect("the process ends");
        done(&yard.ledger, &["sheet", "import", &file]);
        assert_eq!(counts(&yard.ledger), with_sheets(SHEETS));
        assert_verified(&yard.ledger, "after the second import");
        assert!(!journal(&yard.ledger).exists());
    }
}
