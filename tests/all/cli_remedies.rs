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
             --quantity deep --relation adds --method co-worker --on 2026-05-21 --performed-by W01 \
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
        assert!(!again.contains("corrected by"), "{what}: {remedy}\n{again}");
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
        let remedy = command(&said.err, "to reinstate it");
        place.done(&remedy);
        let again = place.done(&first).out;
        assert!(again.contains("already"), "{what}: {remedy}\n{again}");
    }
}

/// A result that came before its badge was handed in is held, and is accepted once somebody ruled.
#[test]
fn the_disposition_that_a_refused_acceptance_prints_lets_the_result_be_accepted() {
    let mut place = issued("remedy-disposition");
    let said = place.done(
        "badge result --badge B-08/2026-05-01 --report R-1 --reported-on 2026-05-20 \
         --deep \"31 mrem\"",
    );
    let said = one_line(&said.out);
    let (_, rest) = said.split_once("entry ").expect("an entry");
    let entry: String = rest.chars().take_while(char::is_ascii_digit).collect();
    let accept = format!("badge accept {entry} --performed-by W01");
    let refused = place.refused(&accept);
    place.done(&command(&refused.err, "resolve it first"));
    place.done(&accept);
}

#[test]
fn the_change_of_role_that_a_refused_decision_prints_lets_its_writer_decide() {
    let mut place = issued("remedy-role");
    let line = "determination enter --worker W08 --first-day 2026-05-20 --last-day 2026-05-20 \
                --quantity deep --relation adds --method co-worker --basis \"as the others\" \
                --dose \"14 mrem\" --on 2026-05-21 --performed-by W07";
    let said = one_line(&place.refused(line).err);
    let (_, remedy) = said
        .split_once("a change of role: wearbook ")
        .expect("a remedy");
    let (remedy, _) = remedy.split_once("designee\"").expect("a role");
    place.done(&format!("{remedy}designee\""));
    place.done(line);
}

#[test]
fn the_loss_that_a_determination_without_a_last_day_prints_makes_it_need_none() {
    let mut place = issued("remedy-lost");
    let line = "determination enter --worker W08 --badge B-18 --quantity deep --relation replaces \
                --method \"own periods\" --basis \"April and May\" --dose \"14 mrem\" \
                --on 2026-06-14 --performed-by W01";
    let said = one_line(&place.refused(line).err);
    let (_, remedy) = said.split_once("was lost: wearbook ").expect("a remedy");
    let (remedy, _) = remedy.split_once("DATE").expect("a day");
    place.done(&format!("{remedy}2026-06-10"));
    place.done(line);
}

/// Every way out of a conflict that is printed ends it.
#[test]
fn each_command_that_a_conflict_prints_ends_it() {
    let conflict = |name: &str| {
        let place = issued(name);
        for (days, dose) in [("2026-05-20", 14), ("2026-05-22", 40)] {
            place.done(&format!(
                "determination enter --worker W08 --first-day 2026-05-20 --last-day {days} \
                 --quantity deep --relation replaces --method co-worker --basis b \
                 --dose \"{dose} mrem\" --on 2026-05-23 --performed-by W01"
            ));
        }
        place
    };
    let ways = |place: &Place| -> Vec<String> {
        let out = place.done("dose show W08 --year 2026 --json").out;
        let all: serde_json::Value = serde_json::from_str(&out).expect("JSON");
        let conflicts = all["data"]["conflicts"].as_array().expect("conflicts");
        let outcomes = conflicts.iter().filter_map(|it| it["outcomes"].as_array());
        let commands = outcomes.flatten().filter_map(|it| it["command"].as_str());
        commands.map(str::to_owned).collect()
    };
    let found = ways(&conflict("remedy-conflict"));
    assert!(found.len() >= 2, "{found:?}");
    for (nth, command) in found.iter().enumerate() {
        let place = conflict(&format!("remedy-conflict-{nth}"));
        let line = command.replace("--performed-by ID", "--performed-by W01");
        let line = line.strip_prefix("wearbook ").expect("the program");
        place.done(line);
        assert!(ways(&place).is_empty(), "{line}");
    }
}
