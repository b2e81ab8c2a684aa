//! Killing commands that write files: under a file's name stands what is whole, or nothing, and
//! the same command given again does what it was asked.

use std::collections::BTreeMap;
use std::os::unix::process::ExitStatusExt;
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::sync::Mutex;
use std::time::Instant;

use super::robust_place::{Dice, Yard, assert_verified, done, run, sheets, wearbook};

/// At least so many processes are killed, of all commands together.
const KILLS: usize = 100;
/// Each command is tried at most so often.
const MOST: usize = 60;

/// A command that writes something under a name of its own.
struct Output {
    /// What it is given; `OUT` stands for the name, `EXPORT` for the entries of an earlier export.
    words: &'static [&'static str],
    /// The name.
    out: &'static str,
    /// The ledger that it makes instead of reading one.
    makes: bool,
    /// Whether the same command writes over what it wrote itself.
    replaces: bool,
}

const fn output(words: &'static [&'static str], out: &'static str) -> Output {
    Output {
        words,
        out,
        makes: false,
        replaces: false,
    }
}

const OUTPUTS: &[Output] = &[
    output(&["ledger", "backup", "OUT"], "copy.db"),
    output(&["ledger", "export", "OUT"], "exported"),
    Output {
        makes: true,
        ..output(&["ledger", "restore", "EXPORT"], "again.db")
    },
    Output {
        makes: true,
        ..output(
            &[
                "ledger",
                "new",
                "--license",
                "1",
                "--licensee",
                "Heron (invented)",
                "--site",
                "Flats",
                "--zone",
                "UTC",
                "--rso",
                "Adaeze Hollow",
                "--from",
                "2015-01-01",
            ],
            "new.db",
        )
    },
    Output {
        replaces: true,
        ..output(
            &["review", "2024-03", "--on", "2024-03-31", "--out", "OUT"],
            "reviews",
        )
    },
    Output {
        replaces: true,
        ..output(
            &[
                "chart",
                "worker",
                "W07",
                "--year",
                "2024",
                "--on",
                "2024-03-31",
                "--out",
                "OUT",
            ],
            "w07.svg",
        )
    },
    output(
        &[
            "dose",
            "statement",
            "--all",
            "--year",
            "2024",
            "--on",
            "2024-03-31",
            "--out",
            "OUT",
        ],
        "statements",
    ),
    Output {
        replaces: true,
        ..output(&["equipment", "labels", "--out", "OUT"], "labels.html")
    },
    output(
        &[
            "dose",
            "statement",
            "W07",
            "--year",
            "2024",
            "--on",
            "2024-03-31",
            "--out",
            "OUT",
        ],
        "w07.html",
    ),
];

impl Output {
    fn words(&self, yard: &Yard) -> Vec<String> {
        let place = |name: &str| yard.dir.path().join(name).to_string_lossy().into_owned();
        let word = |it: &&str| match *it {
            "OUT" => place(self.out),
            "EXPORT" => place("before/entries.jsonl"),
            other => other.to_owned(),
        };
        self.words.iter().map(word).collect()
    }

    /// The ledger that it is told.
    fn ledger(&self, yard: &Yard) -> PathBuf {
        match self.makes {
            true => yard.dir.path().join(self.out),
            false => yard.ledger.clone(),
        }
    }

    /// Fails where something under its name is not whole.
    fn is_whole(&self, yard: &Yard, whole: &BTreeMap<PathBuf, Vec<u8>>, when: &str) -> bool {
        let out = yard.dir.path().join(self.out);
        let there = files(&out);
        if there.is_empty() {
            return false;
        }
        if self.out.ends_with(".db") {
            assert_verified(&out, when);
            return true;
        }
        for (name, bytes) in &there {
            assert!(
                whole.get(name) == Some(bytes),
                "{when}: {name:?} is not whole"
            );
        }
        // A folder that is replaced file by file is resumed; any other appears as one.
        let all = there.len() == whole.len();
        assert!(
            all || self.replaces,
            "{when}: there are only {:?}",
            there.keys()
        );
        all
    }
}

/// What is in a folder, or the one file itself; what is not complete does not count.
fn files(out: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let bytes = |path: &Path| std::fs::read(path).expect("a readable file");
    let complete = |path: &Path| path.extension().is_none_or(|it| it != "unfinished");
    match std::fs::read_dir(out) {
        Ok(all) => all
            .map(|it| it.expect("a readable folder").path())
            .filter(|it| complete(it))
            .map(|it| (it.strip_prefix(out).expect("in it").to_owned(), bytes(&it)))
            .collect(),
        Err(_) if out.is_file() => BTreeMap::from([(PathBuf::new(), bytes(out))]),
        Err(_) => BTreeMap::new(),
    }
}

/// How many things there are that say of themselves that they are not complete.
fn unfinished(dir: &Path) -> usize {
    let all = std::fs::read_dir(dir).expect("a readable folder");
    all.filter(|it| {
        let name = it.as_ref().expect("a readable folder").file_name();
        name.to_string_lossy().contains("unfinished")
    })
    .count()
}

fn remove(out: &Path) {
    // Whichever of the two it is.
    let _ = std::fs::remove_dir_all(out);
    let _ = std::fs::remove_file(out);
}

/// Kills one command again and again; returns how often it was killed before its end.
fn killed(output: &Output, yard: &Yard, whole: &[u8], (dice, share): (&mut Dice, usize)) -> usize {
    let ledger = output.ledger(yard);
    let out = yard.dir.path().join(output.out);
    let words = output.words(yard);
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let begun = Instant::now();
    done(&ledger, &words);
    let long = begun.elapsed();
    let expected = files(&out);
    let mut kills = 0;
    for _ in 0..MOST {
        if kills == share {
            break;
        }
        remove(&out);
        std::fs::write(&yard.ledger, whole).expect("the ledger as it was");
        let mut child = wearbook(&ledger, &words)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("the process starts");
        let delay = dice.within(long);
        std::thread::sleep(delay);
        // Where it has ended already there is nothing to kill.
        let _ = child.kill();
        let status = child.wait().expect("the process ends");
        kills += usize::from(status.signal() == Some(9));
        let when = format!("{words:?} killed after {delay:?}");
        let whole = output.is_whole(yard, &expected, &when);
        let again = run(&ledger, &words);
        match whole && !output.replaces {
            true => again.is_refused("exists already"),
            false => assert_eq!(again.code, Some(0), "{when}: {again:?}"),
        }
        assert!(output.is_whole(yard, &expected, &when), "{when}: not again");
        assert_eq!(unfinished(yard.dir.path()), 0, "{when}");
    }
    kills
}

#[test]
fn after_a_kill_the_same_command_writes_what_it_was_asked() {
    let sum = Mutex::new(0);
    let share = KILLS / OUTPUTS.len() + 1;
    std::thread::scope(|scope| {
        for (thread, part) in OUTPUTS.chunks(OUTPUTS.len() / 2).enumerate() {
            let sum = &sum;
            scope.spawn(move || {
                let yard = Yard::new();
                let file = yard.file("sheets.csv", &sheets("2024-03-01", 20, 0));
                done(&yard.ledger, &["sheet", "import", &file]);
                let before = yard.dir.path().join("before");
                done(
                    &yard.ledger,
                    &["ledger", "export", &before.to_string_lossy()],
                );
                let whole = std::fs::read(&yard.ledger).expect("the ledger");
                let mut dice = Dice(u64::try_from(thread).expect("a small number"));
                for output in part {
                    let kills = killed(output, &yard, &whole, (&mut dice, share));
                    *sum.lock().expect("no thread has failed") += kills;
                }
            });
        }
    });
    let sum = sum.into_inner().expect("no thread has failed");
    assert!(sum >= KILLS, "only {sum} were killed");
}

#[test]
fn what_is_not_complete_is_never_taken_for_a_ledger() {
    let yard = Yard::new();
    let name = yard.dir.path().join("copy.db.unfinished");
    std::fs::copy(&yard.ledger, &name).expect("the test's own folder");
    for words in [["ledger", "seal"], ["ledger", "verify"], ["dose", "crew"]] {
        run(&name, &words).is_refused("is not complete");
    }
}

/// What is written over is of the same kind, and this program's.
#[test]
fn no_command_overwrites_what_it_did_not_write() {
    let yard = Yard::new();
    let chart: &[&str] = &["chart", "worker", "W07", "--year", "2024", "--out"];
    for (name, words) in [
        ("mine.svg", chart),
        ("mine.png", chart),
        ("mine.ics", &["due", "--out"]),
        ("mine.html", &["equipment", "labels", "--out"]),
        ("form.html", &["form", "sheet", "--out"]),
    ] {
        let out = yard.file(name, "mine");
        let words = [words, &[out.as_str()]].concat();
        run(&yard.ledger, &words).is_refused("exists already");
        assert_eq!(std::fs::read(&out).expect("the file"), b"mine");
        std::fs::remove_file(&out).expect("the test's own folder");
        done(&yard.ledger, &words);
        done(&yard.ledger, &words);
    }
    for words in [
        ["due", "--out"].as_slice(),
        &["equipment", "labels", "--out"],
    ] {
        let out = yard.dir.path().join("due.txt");
        let place = out.to_string_lossy();
        let words = [words, &[&*place]].concat();
        assert_ne!(run(&yard.ledger, &words).code, Some(0), "{words:?}");
        assert!(!out.exists(), "{words:?}");
    }
}
