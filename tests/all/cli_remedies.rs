//! The command that a refusal prints, followed to the letter, does what it says.

use super::cli_badges::issued;
use super::cli_support::{HEADER, Place, crew};

/// The text without the breaks of the page.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The command that a refusal prints for this purpose, without its program.
fn command(said: &str, purpose: &str) -> String {
    let said = one_line(said);
    let (_, rest) = said
        .split_once(&format!("{purpose}: wearbook "))
        .unwrap_or_else(|| panic!("no `{purpose}`: {said}"));
    let (command, _) = rest
        .split_once("--reason WHY")
        .unwrap_or_else(|| panic!("no reason is asked for: {said}"));
    format!("{command}--reason WHY")
}

/// What is on record, and what comes under the same name with other content: sheets, results,
/// determinations.
fn cases(place: &Place) -> Vec<(&'static str, String, String)> {
    let sheet = |name: &str, rows: &str| {
        let file = place.file(name, format!("{HEADER}{rows}"));
        format!("sheet import {file}")
    };
    let rows = crew("2026-06-12", "day");
    let other = rows
        .replace("1.8 mR/h", "1.6 mR/h")
        .replace("1,0,12,", "1,0,14,");
    assert_ne!(rows, other);
    let result = |name: &str, row: &str| {
        let file = place.file(name, format!("badge,report,reported_on,deep,lens\n{row}\n"));
        format!("badge results {file}")
    };
    let dose = |rest: &str| {
        format!(
            "determination enter --worker W08 --first-day 2026-05-20 --last-day 2026-05-20 \
             --quantity deep --relation adds --method co-worker --on 2026-05-21 --by-worker W01 \
             {rest}"
        )
    };
    vec![
        (
            "a sheet",
            sheet("one.csv", &rows),
            sheet("other.csv", &other),
        ),
        (
            "a result",
            result("r1.csv", "B-08/2026-05-01,R-1,2026-06-10,31 mrem,33 mrem"),
            result("r2.csv", "B-08/2026-05-01,R-1,2026-06-10,41 mrem,43 mrem"),
        ),
        (
            "a determination",
            dose("--dose \"14 mrem\" --basis \"as the others\""),
            dose("--dose \"18 mrem\" --basis \"as W07, nearer\""),
        ),
        (
            "a determination that becomes a range",
            dose("--dose \"14 mrem\" --basis \"as the others\"")
                .replace("05-20", "05-22")
                .replace("05-21", "05-23"),
            dose("--dose \"12 to 18 mrem\" --basis \"as W07, nearer\"")
                .replace("05-20", "05-22")
                .replace("05-21", "05-23"),
        ),
        (
            "a range that becomes a figure",
            dose("--dose \"12 to 18 mrem\" --basis \"as the others\"")
                .replace("05-20", "05-24")
                .replace("05-21", "05-25"),
            dose("--dose \"14 mrem\" --basis \"all beside him\"")
                .replace("05-20", "05-24")
                .replace("05-21", "05-25"),
        ),
    ]
}

#[test]
fn the_amendment_that_a_refusal_prints_makes_the_entry_say_what_was_handed_in() {
    let mut place = issued("remedy-amend");
    for (what, first, other) in cases(&place) {
        place.done(&first);
        let said = place.refused(&other);
        let remedy = command(&said.err, "if the entry is wrong");
        place.done(&remedy);
        let again = place.done(&other).out;
        assert!(again.contains("already"), "{what}: {remedy}\n{again}");
        assert!(!again.contains("1 written"), "{what}: {remedy}\n{again}");
        // It is the newest version that says so.
        assert!(!again.contains("amended by"), "{what}: {remedy}\n{again}");
    }
    place.done("ledger verify --full");
}

#[test]
fn the_reinstatement_that_a_refusal_prints_puts_the_record_in_force_again() {
    let mut place = issued("remedy-reinstate");
    for (what, first, _) in cases(&place).into_iter().take(4) {
        let said = one_line(&place.done(&first).out);
        let (_, rest) = said.split_once("entry ").expect("an entry");
        let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
        place.done(&format!("entry void {digits} --reason \"by mistake\""));
        let said = place.refused(&first);
        let remedy = command(&said.err, "to put it in force again");
        place.done(&remedy);
        let again = place.done(&first).out;
        assert!(again.contains("already"), "{what}: {remedy}\n{again}");
    }
}
