//! A disk that takes no more: the command says so, nothing of it counts, and what was there
//! before is as it was.

use std::path::Path;

use super::robust_place::{
    PROGRAM, Told, Yard, assert_verified, command, counts, done, journal, registers, run, sheets,
    told, with_sheets,
};

const SHEETS: usize = 60;
const NOTE: usize = 4_000;

/// Runs the program under a limit on the size of files, in blocks of 512 bytes. Told to ignore
/// the signal, the system answers a write beyond the limit with an error, as a quota does;
/// else the signal ends the program in the middle of that write.
fn limited(yard: &Yard, bytes: u64, signal: &str, words: &[&str]) -> Told {
    let script = format!(
        "{signal} ulimit -f {} && exec \"$0\" --ledger \"$@\"",
        bytes / 512
    );
    let mut shell = command("sh");
    shell.arg("-c").arg(script).arg(PROGRAM).arg(&yard.ledger);
    told(shell.args(words))
}

const IGNORED: &str = "trap '' XFSZ;";
const DEADLY: &str = "";

/// Limits from below the journal's size to just below what the import needs.
fn limits() -> Vec<u64> {
    let size = registers().len() as u64;
    vec![4_096, 20_480, size, size + 8_192, size + 65_536]
}

#[test]
fn a_write_beyond_a_limit_of_the_system_is_refused_and_changes_nothing() {
    for limit in limits() {
        let yard = Yard::new();
        let file = yard.file("sheets.csv", &sheets("2024-03-01", SHEETS, NOTE));
        let told = limited(&yard, limit, IGNORED, &["sheet", "import", &file]);
        told.is_refused("the system could not read or write the ledger's file");
        assert_eq!(told.out, "", "at {limit} bytes");
        // What is left is taken back by the next command.
        assert_verified(&yard.ledger, &format!("at {limit} bytes"));
        yard.is_untouched(&format!("at {limit} bytes"));
        done(&yard.ledger, &["sheet", "import", &file]);
        assert_eq!(counts(&yard.ledger), with_sheets(SHEETS));
    }
}

#[test]
fn a_process_that_a_limit_of_the_system_ends_leaves_nothing_that_counts() {
    let mut cut_in_the_ledger = 0;
    for limit in limits() {
        let yard = Yard::new();
        let file = yard.file("sheets.csv", &sheets("2024-03-01", SHEETS, NOTE));
        let told = limited(&yard, limit, DEADLY, &["sheet", "import", &file]);
        assert!(told.signal.is_some(), "at {limit} bytes: {told:?}");
        let bytes = std::fs::read(&yard.ledger).expect("the ledger");
        cut_in_the_ledger += usize::from(bytes != registers());
        assert_verified(&yard.ledger, &format!("at {limit} bytes"));
        let bytes = std::fs::read(&yard.ledger).expect("the ledger");
        assert!(bytes == registers(), "at {limit} bytes");
        done(&yard.ledger, &["sheet", "import", &file]);
        assert_eq!(counts(&yard.ledger), with_sheets(SHEETS));
    }
    assert!(cut_in_the_ledger > 0, "no limit struck the ledger itself");
}

/// Runs a script with a disk of so many kibibytes of its own at `$DISK`, which nobody else
/// sees and which is gone afterwards. `None`, with the reason printed, where this machine
/// lets nobody do so.
fn on_small_disk(yard: &Yard, kib: u64, script: &str) -> Option<Told> {
    const NO_DISK: i32 = 77;
    let disk = yard.dir.path().join("disk");
    std::fs::create_dir_all(&disk).expect("the test's own folder");
    let script =
        format!("mount -t tmpfs -o size={kib}k none \"$DISK\" || exit {NO_DISK}\n{script}");
    for flags in [&["-m"][..], &["-r", "-m"]] {
        let mut unshare = command("unshare");
        unshare.args(flags).args(["sh", "-c", &script]);
        unshare
            .env("DISK", &disk)
            .env("PROGRAM", PROGRAM)
            .env("YARD", yard.dir.path());
        match unshare.output().map(Told::from) {
            Ok(told) if told.code == Some(NO_DISK) || told.err.starts_with("unshare:") => {}
            Ok(told) => return Some(told),
            Err(_) => break,
        }
    }
    println!("skipped: this user can mount no small disk on this machine");
    None
}

#[test]
fn an_import_onto_a_full_disk_is_refused_and_goes_in_when_there_is_room() {
    let kib = registers().len() as u64 / 1024;
    for spare in [4, 16, 60, 250] {
        let yard = Yard::new();
        yard.file("sheets.csv", &sheets("2024-03-01", SHEETS, NOTE));
        let script = r#"
            cp "$YARD/crew.db" "$DISK/crew.db" || exit 70
            "$PROGRAM" --ledger "$DISK/crew.db" sheet import "$YARD/sheets.csv"
            echo "exit $?" > "$YARD/after"
            ls "$DISK" >> "$YARD/after"
            "$PROGRAM" --ledger "$DISK/crew.db" ledger verify --full >> "$YARD/after" || exit 71
            cp "$DISK/crew.db" "$YARD/then.db"
            mount -o remount,size=8m "$DISK" || exit 72
            "$PROGRAM" --ledger "$DISK/crew.db" sheet import "$YARD/sheets.csv" || exit 73
            cp "$DISK/crew.db" "$YARD/crew.db"
        "#;
        let Some(told) = on_small_disk(&yard, kib + spare, script) else {
            return;
        };
        assert_eq!(told.code, Some(0), "{spare} KiB to spare: {told:?}");
        let refused = "error: the disk is full; nothing was written\n";
        assert!(told.err.starts_with(refused), "{spare}: {}", told.err);
        let after = std::fs::read_to_string(yard.dir.path().join("after")).expect("a file");
        let expected = "exit 1\ncrew.db\nverified in full";
        assert!(after.starts_with(expected), "{spare}: {after}");
        let then = std::fs::read(yard.dir.path().join("then.db")).expect("a file");
        assert!(then == registers(), "{spare}: the ledger's file changed");
        assert_eq!(counts(&yard.ledger), with_sheets(SHEETS), "{spare}");
        assert_verified(&yard.ledger, "with room");
    }
}

#[test]
fn nothing_half_made_is_left_on_a_full_disk() {
    let kib = registers().len() as u64 / 1024;
    let yard = Yard::new();
    done(
        &yard.ledger,
        &[
            "ledger",
            "export",
            &yard.dir.path().join("out").to_string_lossy(),
        ],
    );
    let script = r#"
        cp "$YARD/crew.db" "$DISK/crew.db" || exit 70
        "$PROGRAM" --ledger "$DISK/crew.db" ledger backup "$DISK/copy.db"; echo "backup $?"
        "$PROGRAM" --ledger "$DISK/again.db" ledger restore "$YARD/out/entries.jsonl"
        echo "restore $?"
        "$PROGRAM" --ledger "$DISK/other.db" ledger new --license 00-TEST-2 \
            --licensee "Heron Radiography (invented)" --site "Heron Flats (invented)" \
            --zone America/Chicago --rso "Adaeze Hollow"
        echo "init $?"
        ls "$DISK"
    "#;
    let Some(told) = on_small_disk(&yard, kib + 60, script) else {
        return;
    };
    assert_eq!(
        told.out, "backup 1\nrestore 1\ninit 1\ncrew.db\n",
        "{told:?}"
    );
    let full = "error: the disk is full; nothing was written\n";
    assert_eq!(told.err.matches(full).count(), 3, "{told:?}");
}

/// The entries stand before the report of them is printed. Who cannot read the report must not
/// take it that nothing was written: the exit code and the message say that it was.
#[test]
fn a_report_that_cannot_be_printed_leaves_the_sheets_in_the_ledger() {
    let full = Path::new("/dev/full");
    let Ok(out) = std::fs::OpenOptions::new().write(true).open(full) else {
        println!("skipped: this machine has no {}", full.display());
        return;
    };
    let yard = Yard::new();
    let file = yard.file("sheets.csv", &sheets("2024-03-01", 5, 0));
    let mut import = super::robust_place::wearbook(&yard.ledger, &["sheet", "import", &file]);
    let told = told(import.stdout(out));
    assert_eq!(told.code, Some(74), "{told:?}");
    assert!(
        told.err
            .contains("what the command wrote to the ledger stands"),
        "{told:?}"
    );
    assert_eq!(counts(&yard.ledger), with_sheets(5));
    assert_verified(&yard.ledger, "after a report that nobody got");
    let again = run(&yard.ledger, &["sheet", "import", &file]);
    assert_eq!(again.code, Some(0), "{again:?}");
    assert_eq!(counts(&yard.ledger), with_sheets(5));
    assert!(!journal(&yard.ledger).exists());
}

#[test]
fn a_full_disk_of_copies_is_a_sentence_and_nothing_half_stays_on_it() {
    let yard = Yard::new();
    let kib = registers().len() as u64 / 1024 / 2;
    let script = r#"
        "$PROGRAM" --ledger "$YARD/crew.db" ledger copies --dir "$DISK"
        echo "exit $?" > "$YARD/after"
        ls "$DISK" >> "$YARD/after"
    "#;
    let Some(told) = on_small_disk(&yard, kib, script) else {
        return;
    };
    assert!(
        told.err
            .contains("is full; no copy was made, and those before stay"),
        "{told:?}"
    );
    let after = std::fs::read_to_string(yard.dir.path().join("after")).expect("a file");
    assert!(after.starts_with("exit 1\n"), "{after}");
    assert_eq!(after.lines().count(), 2, "only the lock stays: {after}");
    assert_eq!(counts(&yard.ledger), with_sheets(0));
    assert_verified(&yard.ledger, "after a copy that found no room");
}
