//! Files that are damaged or made to harm: a ledger with one byte changed or its end cut off,
//! a line without an end.

use std::fs;

use super::ledger_fixture::dump;
use super::robust_place::{
    Dice, PROGRAM, Yard, command, counts, done, journal, run, sheets, told, wearbook, with_sheets,
};

const SHEETS: usize = 12;

/// A ledger with sheets, and its bytes.
fn written(note: usize) -> (Yard, Vec<u8>) {
    let yard = Yard::new();
    let file = yard.file("sheets.csv", &sheets("2024-03-01", SHEETS, note));
    done(&yard.ledger, &["sheet", "import", &file]);
    let bytes = fs::read(&yard.ledger).expect("the ledger");
    (yard, bytes)
}

/// A changed byte is found, or it is one that says nothing: unused room of a page.
#[test]
fn one_byte_changed_anywhere_in_the_file_is_found_or_says_nothing() {
    // Long notes: the entries, and not the empty pages of tables without a row, are most of it.
    let (yard, bytes) = written(12_000);
    let before = dump(&yard.ledger);
    let mut dice = Dice(7);
    let (mut found, mut silent) = (0, 0);
    // Every byte of the file's head but its end, then bytes from anywhere.
    let places = (0..72)
        .step_by(3)
        .chain((0..70).map(|_| dice.below(bytes.len() as u64) as usize))
        .collect::<Vec<_>>();
    for at in places {
        let mut changed = bytes.clone();
        changed[at] ^= 1 << dice.below(8);
        fs::write(&yard.ledger, &changed).expect("the test's own folder");
        let told = run(&yard.ledger, &["ledger", "verify", "--full"]);
        match told.code {
            Some(4) => found += 1,
            // The mark of the file itself: not a ledger, or one of a form unknown here.
            Some(1) if at < 100 => found += 1,
            Some(0) => {
                silent += 1;
                assert!(
                    dump(&yard.ledger) == before,
                    "byte {at} changes what is read"
                );
            }
            _ => panic!("byte {at}: {told:?}"),
        }
        let crew = run(&yard.ledger, &["dose", "crew", "--year", "2024"]);
        let ends = matches!(crew.code, Some(0 | 1 | 4));
        assert!(ends, "byte {at}: {crew:?}");
        let _ = fs::remove_file(journal(&yard.ledger));
    }
    println!("{found} found, {silent} in unused room");
    assert!(found > 40, "{found} found, {silent} in unused room");
}

#[test]
fn a_ledger_that_is_cut_off_is_damaged_and_is_not_written() {
    let (yard, bytes) = written(200);
    let file = yard.file("more.csv", &sheets("2024-08-01", 2, 0));
    let damaged = (4, "error: the ledger's file is damaged");
    let foreign = (1, "is not a wearbook ledger");
    let pages = bytes.len() / 4_096;
    for (size, (code, part)) in [
        (0, foreign),
        (15, foreign),
        (71, foreign),
        (72, damaged),
        (100, damaged),
        (4_095, damaged),
        (4_096, damaged),
        (4_097, damaged),
        (pages / 2 * 4_096, damaged),
        (bytes.len() - 4_096, damaged),
    ] {
        let cut = &bytes[..size];
        fs::write(&yard.ledger, cut).expect("the test's own folder");
        for words in [
            vec!["ledger", "verify"],
            vec!["ledger", "verify", "--full"],
            vec!["ledger", "seal"],
            vec!["dose", "crew"],
            vec!["sheet", "import", &file],
        ] {
            let told = run(&yard.ledger, &words);
            assert_eq!(told.code, Some(code), "{size} bytes, {words:?}: {told:?}");
            assert!(told.err.contains(part), "{size} bytes, {words:?}: {told:?}");
            assert_eq!(told.out, "", "{size} bytes, {words:?}");
        }
        assert!(fs::read(&yard.ledger).expect("a file") == cut, "{size}");
    }
    // SQLite takes the rest of a last page for zeros; the chain does not.
    let end = bytes.iter().rposition(|it| *it != 0).expect("a byte");
    fs::write(&yard.ledger, &bytes[..end]).expect("the test's own folder");
    let told = run(&yard.ledger, &["ledger", "verify", "--full"]);
    assert_eq!(told.code, Some(4), "{end} bytes: {told:?}");
}

/// Room for the program itself, and not for the line.
const MEMORY_KIB: u64 = 90_000;
const LINE: u64 = 100_000_000;

/// The line has no end and is longer than the memory that the program is given.
#[test]
fn a_line_of_a_hundred_million_bytes_is_refused_in_little_memory() {
    let yard = Yard::new();
    let good = yard.file("sheets.csv", &sheets("2024-03-01", SHEETS, 0));
    let script = format!("ulimit -v {MEMORY_KIB} && exec \"$0\" --ledger \"$@\"");
    let limited = |file: &str| {
        let mut shell = command("sh");
        shell.arg("-c").arg(&script).arg(PROGRAM).arg(&yard.ledger);
        told(shell.args(["sheet", "import", file]))
    };
    let whole = sheets("2024-03-01", 1, 0);
    let header = whole.lines().next().expect("a header");
    for (name, start) in [
        ("no header.csv", "day,"),
        ("a row.csv", &*format!("{header}\n2024-03-01,day,")),
        ("quoted.csv", &*format!("{header}\n2024-03-01,\"day")),
    ] {
        let file = yard.file(name, start);
        let long = fs::OpenOptions::new()
            .append(true)
            .open(&file)
            .and_then(|it| it.set_len(LINE));
        long.expect("a sparse file");
        let begun = std::time::Instant::now();
        let told = limited(&file);
        told.is_refused("was refused, nothing was written");
        assert!(
            told.err.contains("a row is longer than a million bytes"),
            "{told:?}"
        );
        let took = begun.elapsed();
        assert!(took.as_secs() < 5, "{name}: it took {took:?}");
        yard.is_untouched(name);
    }
    // The limit is one under which the program can work.
    let told = limited(&good);
    assert_eq!(told.code, Some(0), "{told:?}");
    assert_eq!(counts(&yard.ledger), with_sheets(SHEETS));
    let mut again = wearbook(&yard.ledger, &["sheet", "import", &good]);
    assert_eq!(super::robust_place::told(&mut again).code, Some(0));
}
