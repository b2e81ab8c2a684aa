//! Folders and files that the user may not write to, and places where no ledger can be.
//!
//! Permissions do not bind root. Where the tests run as root they give up those rights for the
//! one command; where that cannot be done, they say so and prove nothing.

use std::fs::{self, Permissions};
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::Command;

use super::robust_place::{
    PROGRAM, Told, Yard, assert_verified, command, counts, done, init, journal, registers, run,
    sheets, told, with_sheets,
};

const READ_ONLY: &str = "the ledger cannot be written: it or its folder is read-only";
const CUT_SHORT: &str = "an earlier write was cut short";

fn allow(path: &Path, mode: u32) {
    fs::set_permissions(path, Permissions::from_mode(mode)).expect("permissions");
}

/// How to run the program so that permissions bind it.
struct Bound {
    before: Vec<String>,
    program: String,
}

impl Bound {
    /// The tests' own user where permissions bind it, else the user nobody.
    fn new(yard: &Yard) -> Option<Bound> {
        allow(yard.dir.path(), 0o755);
        let probe = yard.dir.path().join("probe");
        fs::write(&probe, "").expect("the test's own folder");
        allow(&probe, 0o444);
        if fs::OpenOptions::new().append(true).open(&probe).is_err() {
            return Some(Bound {
                before: Vec::new(),
                program: PROGRAM.to_owned(),
            });
        }
        // The program may stand where nobody may look.
        let copy = yard.dir.path().join("wearbook");
        if fs::hard_link(PROGRAM, &copy).is_err() {
            fs::copy(PROGRAM, &copy).expect("a copy of the program");
        }
        for flags in [
            "setpriv --reuid=65534 --regid=65534 --clear-groups",
            "su nobody -s /bin/sh -c",
        ] {
            let bound = Bound {
                before: flags.split(' ').map(str::to_owned).collect(),
                program: copy.to_string_lossy().into_owned(),
            };
            let append = format!("echo >> '{}'", probe.display());
            let can = bound.command("true").status().is_ok_and(|it| it.success());
            let may = bound.command(&append).status();
            if can && may.is_ok_and(|it| !it.success()) {
                return Some(bound);
            }
        }
        println!("skipped: the tests run as root, and no command here gives up its rights");
        None
    }

    /// A line of the shell, under the bound user.
    fn command(&self, line: &str) -> Command {
        let Some((first, rest)) = self.before.split_first() else {
            let mut shell = command("sh");
            shell.arg("-c").arg(line);
            return shell;
        };
        let mut bound = command(first);
        bound.args(rest);
        if first != "su" {
            bound.args(["sh", "-c"]);
        }
        bound.arg(line);
        bound
    }

    fn run(&self, ledger: &Path, words: &[&str]) -> Told {
        let mut line = format!("'{}' --ledger '{}'", self.program, ledger.display());
        for word in words {
            line.push_str(&format!(" '{word}'"));
        }
        told(&mut self.command(&line))
    }
}

/// A folder inside the yard, with its ledger and perhaps the journal of a killed write.
fn folder(yard: &Yard) -> std::path::PathBuf {
    let folder = yard.dir.path().join("office");
    fs::create_dir(&folder).expect("the test's own folder");
    let ledger = folder.join("crew.db");
    fs::write(&ledger, registers()).expect("the test's own folder");
    ledger
}

fn set(ledger: &Path, (files, folder): (u32, u32)) {
    for path in [ledger.to_owned(), journal(ledger)] {
        if path.exists() {
            allow(&path, files);
        }
    }
    allow(ledger.parent().expect("a folder"), folder);
}

#[test]
fn in_a_read_only_folder_the_ledger_is_read_and_not_written() {
    let yard = Yard::new();
    let Some(bound) = Bound::new(&yard) else {
        return;
    };
    let file = yard.file("sheets.csv", &sheets("2024-03-01", 3, 0));
    let ledger = folder(&yard);
    let copy = ledger.with_file_name("copy.db");
    let copy_text = copy.to_string_lossy().into_owned();
    for modes in [(0o444, 0o555), (0o666, 0o555), (0o444, 0o777)] {
        let when = format!("files {:o}, folder {:o}", modes.0, modes.1);
        set(&ledger, modes);
        let verified = bound.run(&ledger, &["ledger", "verify", "--full"]);
        assert_eq!(verified.code, Some(0), "{when}: {verified:?}");
        let crew = bound.run(&ledger, &["dose", "crew"]);
        assert_eq!(crew.code, Some(0), "{when}: {crew:?}");
        for words in [
            vec!["sheet", "import", &file],
            vec!["sheet", "import", &file, "--dry-run"],
            vec!["ledger", "rebuild"],
        ] {
            bound.run(&ledger, &words).is_refused(READ_ONLY);
        }
        if modes.1 == 0o555 {
            let backup = bound.run(&ledger, &["ledger", "backup", &copy_text]);
            backup.is_refused("copy.db` may not be used by this user");
            bound.run(&copy, init()).is_refused(READ_ONLY);
        }
        set(&ledger, (0o644, 0o755));
        assert!(fs::read(&ledger).expect("the ledger") == registers());
        let names = fs::read_dir(yard.dir.path().join("office")).expect("a folder");
        assert_eq!(names.count(), 1, "{when}: something is left");
    }
    set(&ledger, (0o600, 0o755));
    if !bound.before.is_empty() {
        let head = bound.run(&ledger, &["ledger", "seal"]);
        head.is_refused("may not be used by this user");
    }
}

/// Leaves a write that was ended while it replaced pages of the ledger.
fn cut_short(yard: &Yard, ledger: &Path) {
    let file = yard.file("many.csv", &sheets("2024-03-01", 60, 4_000));
    let limit = (registers().len() + 65_536) / 512;
    let script = format!("ulimit -f {limit} && exec \"$0\" --ledger \"$@\"");
    let mut shell = command("sh");
    shell.arg("-c").arg(script).arg(PROGRAM).arg(ledger);
    let told = told(shell.args(["sheet", "import", &file]));
    assert!(told.signal.is_some(), "{told:?}");
    let bytes = fs::read(ledger).expect("the ledger");
    assert!(bytes != registers() && journal(ledger).exists());
}

#[test]
fn a_write_that_was_cut_short_is_named_where_it_cannot_be_taken_back() {
    let yard = Yard::new();
    let Some(bound) = Bound::new(&yard) else {
        return;
    };
    let file = yard.file("sheets.csv", &sheets("2024-03-01", 3, 0));
    let ledger = folder(&yard);
    for modes in [(0o444, 0o555), (0o666, 0o555), (0o444, 0o777)] {
        let when = format!("files {:o}, folder {:o}", modes.0, modes.1);
        set(&ledger, (0o644, 0o755));
        fs::write(&ledger, registers()).expect("a fresh ledger");
        cut_short(&yard, &ledger);
        set(&ledger, modes);
        for words in [
            vec!["ledger", "seal"],
            vec!["ledger", "verify", "--full"],
            vec!["dose", "crew"],
            vec!["sheet", "import", &file],
        ] {
            let told = bound.run(&ledger, &words);
            told.is_refused(CUT_SHORT);
            assert!(told.err.contains("crew.db-journal"), "{told:?}");
            assert!(told.err.contains("never delete the journal"), "{told:?}");
            assert_eq!(told.out, "", "{when}");
        }
        assert!(journal(&ledger).exists(), "{when}: half a write is left");
        set(&ledger, (0o666, 0o777));
        let verified = bound.run(&ledger, &["ledger", "verify", "--full"]);
        assert_eq!(verified.code, Some(0), "{when}: {verified:?}");
        assert!(fs::read(&ledger).expect("the ledger") == registers());
        assert!(!journal(&ledger).exists());
    }
}

/// A journal that does not count (its head was never written) harms no reader. A write would
/// come to its last step, the deletion of the journal, and fail there.
#[test]
fn a_write_is_refused_at_once_where_its_journal_could_not_be_deleted() {
    let yard = Yard::new();
    let Some(bound) = Bound::new(&yard) else {
        return;
    };
    let file = yard.file("sheets.csv", &sheets("2024-03-01", 3, 0));
    let ledger = folder(&yard);
    fs::write(journal(&ledger), [0; 4_096]).expect("the test's own folder");
    set(&ledger, (0o666, 0o555));
    for words in [vec!["sheet", "import", &file], vec!["ledger", "rebuild"]] {
        bound.run(&ledger, &words).is_refused(READ_ONLY);
        assert!(fs::read(&ledger).expect("the ledger") == registers());
        let head = bound.run(&ledger, &["ledger", "seal"]);
        assert_eq!(head.code, Some(0), "{head:?}");
    }
    set(&ledger, (0o666, 0o777));
    let import = bound.run(&ledger, &["sheet", "import", &file]);
    assert_eq!(import.code, Some(0), "{import:?}");
    assert_eq!(counts(&ledger), with_sheets(3));
    let names = fs::read_dir(yard.dir.path().join("office")).expect("a folder");
    assert_eq!(names.count(), 1, "only the ledger is left");
}

#[test]
fn where_no_ledger_can_be_nothing_is_made() {
    let yard = Yard::new();
    let file = yard.file("sheets.csv", &sheets("2024-03-01", 3, 0));
    let dir = yard.dir.path();
    fs::create_dir(dir.join("folder.db")).expect("the test's own folder");
    let head: &[&str] = &["ledger", "seal"];
    let import: &[&str] = &["sheet", "import", &file];
    for (place, words, part) in [
        ("nowhere/crew.db", head, "there is no ledger at "),
        ("nowhere/crew.db", import, "there is no ledger at "),
        (
            "nowhere/crew.db",
            init(),
            "nowhere: there is no such folder",
        ),
        ("absent.db", head, "there is no ledger at "),
        ("absent.db", import, "there is no ledger at "),
        ("sheets.csv/crew.db", head, "there is no ledger at "),
        ("sheets.csv/crew.db", init(), "it is not a folder"),
        ("folder.db", head, "is not a wearbook ledger"),
        ("folder.db", import, "is not a wearbook ledger"),
        ("folder.db", init(), "exists already"),
        ("sheets.csv", head, "is not a wearbook ledger"),
        ("sheets.csv", import, "is not a wearbook ledger"),
        ("sheets.csv", init(), "exists already"),
        ("crew.db", init(), "exists already"),
    ] {
        let told = run(&dir.join(place), words);
        told.is_refused(part);
        assert_eq!(told.out, "", "{place} {words:?}");
    }
    let backup = dir.join("nowhere/copy.db").to_string_lossy().into_owned();
    run(&yard.ledger, &["ledger", "backup", &backup])
        .is_refused("nowhere: there is no such folder");
    let mut names: Vec<_> = fs::read_dir(dir)
        .expect("a folder")
        .map(|it| it.expect("a name").file_name())
        .collect();
    names.sort();
    assert_eq!(names, ["crew.db", "folder.db", "sheets.csv"]);
    yard.is_untouched("after all that");
    assert_verified(&yard.ledger, "after all that");
    done(&yard.ledger, import);
}
