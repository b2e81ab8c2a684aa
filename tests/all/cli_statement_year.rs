//! What a statement of a year is of: the whole year with this licensee and nothing else, with the
//! standing of each figure and its real reason, on the authority's form.

use serde_json::Value;

use super::cli_demo::{data, demo, doses_of_record, list, nsv as mrem_in_nsv};
use super::cli_support::{HEADER, Place, crew, row};

fn json(place: &Place, line: &str) -> Value {
    let said = place.done(&format!("{line} --json")).out;
    let mut value: Value = serde_json::from_str(&said).expect("JSON");
    value["data"].take()
}

fn sheets(place: &Place, name: &str, days: &[&str]) {
    let rows: String = days.iter().map(|day| crew(day, "day")).collect();
    let file = place.file(name, format!("{HEADER}{rows}"));
    place.done(&format!("sheet import {file}"));
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The item of the deep dose: its figure in mrem and its standing.
fn deep(answer: &Value) -> (Option<i64>, &str) {
    let item = &answer["items"][0];
    assert_eq!(item["code"], "DDE");
    let mrem = item["nsv"].as_i64().map(|nsv| nsv / 10_000);
    (mrem, item["standing"].as_str().expect("a word"))
}

fn nsv(value: &Value) -> i64 {
    value.as_i64().expect("nanosievert")
}

#[test]
fn a_year_of_which_the_ledger_holds_nothing_is_no_record_and_never_zero() {
    let place = Place::with_registers("statement-no-record");
    sheets(&place, "june.csv", &["2026-06-12"]);
    // Monitored for years, and the ledger is of June 2026.
    for year in ["2019", "2025"] {
        let line = format!("dose statement W07 --year {year}");
        let answer = json(&place, &line);
        assert_eq!(answer["no_record"], true, "{year}");
        for item in list(&answer["items"]) {
            assert!(item["nsv"].is_null(), "{item}");
            assert_eq!(item["standing"], "no record");
            assert_eq!(item["shown"], "no record");
        }
        let said = flat(&place.done(&line).out);
        assert!(said.contains("NO RECORD"), "{said}");
        assert!(!said.contains(" 0 rem"), "{said}");
        place.done(&format!("{line} --out DIR/{year}.html"));
        let page = std::fs::read_to_string(place.path(&format!("{year}.html"))).expect("page");
        assert!(
            page.contains("NO RECORD") && !page.contains(">0 rem"),
            "{page}"
        );
    }
    let said = flat(&place.done("dose show W07 --year 2025").out);
    assert!(said.contains("deep no record - - - - no record"), "{said}");
    let said = flat(&place.done("dose crew --year 2025").out);
    assert!(said.contains("W07 Mirko Sandpiper no record"), "{said}");
    // Monitored in a year with a ledger, and nothing of this person in it: the RSO.
    let answer = json(&place, "dose statement W01 --year 2026");
    assert_eq!(deep(&answer), (None, "no record"));
    // A badge without a result and without a shift: not zero either.
    place.done(
        "badge issue --badge B-1 --type \"whole body\" --worker W01 --first-day 2026-06-01 \
         --last-day 2026-06-30",
    );
    let answer = json(&place, "dose statement W01 --year 2026");
    assert_eq!(deep(&answer), (None, "estimate"));
    assert_eq!(answer["items"][0]["shown"], "not known yet");
}

#[test]
fn days_without_a_record_are_stated_as_not_covered() {
    let place = Place::with_registers("statement-gaps");
    sheets(&place, "june.csv", &["2026-06-11"]);
    let gap = |first: &str, last: &str, why: &str| -> Value {
        serde_json::json!({"first": first, "last": last, "why": why})
    };
    let answer = json(&place, "dose statement W07 --year 2026");
    let before = gap("2026-01-01", "2026-06-10", "before_ledger");
    assert_eq!(list(&answer["gaps"]), [before]);
    assert_eq!(answer["periods"][0]["first"], "2026-06-11");
    let said = flat(&place.done("dose statement W07 --year 2026").out);
    let words = "Not covered: 2026-01-01 to 2026-06-10, before this ledger's first sheet.";
    assert!(said.contains(words), "{said}");
    // W08 was monitored from September 2024 on.
    let answer = json(&place, "dose statement W08 --year 2024");
    let gaps = [
        gap("2024-01-01", "2024-09-01", "before_monitoring"),
        gap("2024-09-02", "2024-12-31", "before_ledger"),
    ];
    assert_eq!(list(&answer["gaps"]), gaps);
}

const PRIOR: &str = "worker,first_day,last_day,employer,deep,lens,shallow,extremity,basis
W07,2026-01-01,2026-04-30,heron  radiography (Invented),100 mrem,100 mrem,100 mrem,,own paper
W07,2026-05-01,2026-05-31,Dunmore Inspection (invented),700 mrem,700 mrem,700 mrem,,letter
W08,2026-05-01,2026-05-31,Dunmore Inspection (invented),300 mrem,300 mrem,300 mrem,,letter
";

#[test]
fn a_statement_has_all_of_the_year_with_this_licensee_and_no_other_employers_dose() {
    let place = Place::with_registers("statement-here");
    let file = place.file("prior.csv", PRIOR);
    place.done(&format!("worker prior-doses {file}"));
    sheets(&place, "june.csv", &["2026-06-12"]);
    let answer = json(&place, "dose statement W07 --year 2026");
    assert_eq!(deep(&answer), (Some(112), "estimate"));
    let parts: Vec<(&str, i64)> = list(&answer["parts"])
        .iter()
        .map(|it| (it["part"].as_str().expect("a word"), nsv(&it["nsv"])))
        .collect();
    assert_eq!(parts, [("provisional", 120_000), ("earlier", 1_000_000)]);
    let said = flat(&place.done("dose statement W07 --year 2026").out);
    for words in [
        "With this licensee before this ledger: 2026-01-01 to 2026-04-30, 0.1 rem (1 mSv)",
        "Dose with another employer in this year is on record and not in this statement",
        "Not covered: 2026-05-01 to 2026-06-11",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    assert!(!said.contains("0.7 rem"), "{said}");
    // The limits go on counting it.
    let shown = json(&place, "dose show W07 --year 2026");
    assert_eq!(shown["totals"][0]["total"]["known_nsv"], 8_120_000);
    let review = json(&place, "review 2026");
    assert_eq!(review["collective"]["known_nsv"], 1_200_000);
    assert_eq!(review["beside"]["elsewhere"], "1000 mrem");
    // Of May, and of the year before, the ledger holds nothing: no record, and not zero.
    let months = list(&review["months"]).iter();
    let empty: Vec<bool> = months.map(|it| it["no_record"] == true).collect();
    assert_eq!(empty, [false, false, false, false, true, false]);
    assert!(review["collective_before"].is_null() && review["change"].is_null());
    let said = flat(&place.done("review 2026").out);
    let words = "120 mrem this year, no record in the same days of the year before";
    assert!(said.contains(words), "{said}");
    assert!(
        said.contains("2026-05 - - - - no record no record"),
        "{said}"
    );
}

/// The parts of a total, which are columns of a row.
fn parts_of(total: &Value) -> i64 {
    ["of_record", "provisional", "prior", "apportioned"]
        .iter()
        .map(|part| nsv(&total[*part]["nsv"]))
        .sum()
}

/// Holds a year's collective dose against the statements of the year.
fn adds_up(review: &Value, what: &str) {
    let known = |it: &Value| nsv(&it["known_nsv"]);
    let statements = list(&review["statements"]);
    let doses = statements.iter().map(|it| it["items"][0]["nsv"].as_i64());
    let sum: i64 = doses.clone().flatten().sum();
    assert_eq!(known(&review["collective"]), sum, "{what}");
    let months = list(&review["months"]).iter().map(|it| &it["total"]);
    assert_eq!(months.clone().map(known).sum::<i64>(), sum, "{what}");
    for total in months.chain([&review["collective"]]) {
        assert_eq!(parts_of(total), known(total), "{what}");
    }
    for it in statements {
        let parts: i64 = list(&it["parts"]).iter().map(|it| nsv(&it["nsv"])).sum();
        assert_eq!(parts, it["items"][0]["nsv"].as_i64().unwrap_or(0), "{it}");
    }
    let people = |band: &str| -> usize {
        let mut lines = list(&review["bands"]).iter();
        let line = lines.find(|it| it["band"] == band);
        line.map_or(0, |it| it["people"].as_u64().expect("people") as usize)
    };
    let zero = doses.clone().filter(|it| *it == Some(0)).count();
    // A lower bound of zero is not known yet and is not zero.
    assert!(people("none measured: 0") <= zero, "{what}");
    let all: u64 = list(&review["bands"])
        .iter()
        .map(|it| it["people"].as_u64().expect("people"))
        .sum();
    assert_eq!(all as usize, statements.len(), "{what}");
}

#[test]
fn the_collective_dose_of_each_year_is_the_sum_of_its_statements() {
    for year in ["2025", "2026"] {
        adds_up(&data(&format!("review {year}")), year);
    }
    // January and February 2025 of twelve people, on paper before the ledger.
    let review = data("review 2025");
    assert_eq!(review["collective"]["prior"]["nsv"], 1_712 * 10_000);
    let said = flat(&demo().place.done("review 2025").out);
    assert!(said.contains("all 10601 0 1712 388.41 12701.41"), "{said}");
    let statements = list(&review["statements"]);
    assert!(statements.iter().all(|it| it["no_record"] == false));
}

/// The demonstration's own small reckoning has no code in common with the statements.
#[test]
fn statements_are_what_the_demos_own_table_adds_up_to() {
    for row in doses_of_record() {
        let (id, of_2025, so_far) = (&row[0], &row[5], &row[9]);
        for (year, mrem) in [("2025", of_2025), ("2026", so_far)] {
            let answer = data(&format!("dose statement {id} --year {year}"));
            assert_eq!(answer["items"][0]["nsv"], mrem_in_nsv(mrem), "{id}, {year}");
        }
    }
    // Of 2024 this company's own paper is on record; W14 was with another then.
    let answer = data("dose statement W07 --year 2024");
    assert_eq!(deep(&answer), (Some(1216), "record"));
    let place = &demo().place;
    let said = place.done("dose statement --all --year 2024 --out DIR/statements-2024");
    let table = std::fs::read_to_string(place.path("statements-2024/statements.csv"));
    let table = table.expect("the year's file");
    assert!(!table.contains("W14,"), "{table}");
    assert!(!table.contains(",0 rem"), "{table}");
    assert!(said.out.contains("12 statements are in"), "{}", said.out);
}

/// Chance without a crate: the same every time.
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        (self.0 >> 33) % most
    }
}

/// Badges, shifts, reports and dose of other times and places, over the end of a year.
fn random_ledger(seed: u64) -> Place {
    let place = Place::with_registers(&format!("statement-random-{seed}"));
    let mut dice = Dice(seed);
    let mut prior = PRIOR.lines().next().expect("headings").to_owned() + "\n";
    for (at, worker) in ["W07", "W08", "W07"].into_iter().enumerate() {
        let employer = match dice.below(2) {
            0 => "Heron Radiography (invented)",
            _ => "Dunmore Inspection (invented)",
        };
        let (first, last) = [
            ("2026-02-01", "2026-04-30"),
            ("2025-11-01", "2026-03-31"),
            ("2026-05-01", "2026-05-31"),
        ][at];
        let dose = dice.below(900);
        prior += &format!("{worker},{first},{last},{employer},{dose} mrem,,,,letter\n");
    }
    let file = place.file("prior.csv", prior);
    place.done(&format!("worker prior-doses {file}"));
    let days: Vec<String> = (0..6 + dice.below(8))
        .map(|at| match at % 2 {
            0 => format!("2025-12-{:02}", 11 + dice.below(20)),
            _ => format!("2026-01-{:02}", 1 + dice.below(28)),
        })
        .collect();
    let mut days: Vec<&str> = days.iter().map(String::as_str).collect();
    days.sort_unstable();
    days.dedup();
    sheets(&place, "sheets.csv", &days);
    for (badge, worker) in [("B-7", "W07"), ("B-8", "W08")] {
        let last = 5 + dice.below(20);
        place.done(&format!(
            "badge issue --badge {badge} --type \"whole body\" --worker {worker} --first-day \
             2025-12-15 --last-day 2026-01-{last:02}"
        ));
        for report in 0..dice.below(3) {
            let dose = dice.below(120);
            place.done(&format!(
                "badge result --badge {badge} --report R-{report} --reported-on 2026-02-{:02} \
                 --deep \"{dose} mrem\"",
                report + 1
            ));
        }
    }
    if dice.below(2) == 0 {
        place.done(
            "badge issue --badge X-7 --type \"whole body\" --worker W07 --employer \"Dunmore \
             Inspection (invented)\" --same-dose no --first-day 2026-02-01 --last-day 2026-02-28",
        );
        place.done(
            "badge result --badge X-7 --report X --reported-on 2026-03-01 --deep \"55 mrem\"",
        );
    }
    place
}

#[test]
fn in_random_ledgers_too_the_collective_dose_is_the_sum_of_the_statements() {
    for seed in 1..=12 {
        let place = random_ledger(seed);
        let review = json(&place, "review 2026");
        adds_up(&review, &format!("ledger {seed}"));
    }
}

/// Reasons of a statement by their kind.
fn reasons(answer: &Value) -> Vec<&str> {
    let all = list(&answer["reasons"]).iter();
    all.map(|it| it["reason"].as_str().expect("a word"))
        .collect()
}

/// A badge over New Year with a shift on each side.
fn over_new_year(name: &str) -> Place {
    let place = Place::with_registers(name);
    sheets(&place, "sheets.csv", &["2025-12-20", "2026-01-05"]);
    place.done(
        "badge issue --badge B-7 --type \"whole body\" --worker W07 --first-day 2025-12-15 \
         --last-day 2026-01-10",
    );
    place
}

const OF_2025: &str = "dose statement W07 --year 2025";

fn determined(days: (&str, &str), quantity: &str, dose: &str, result: i64) -> String {
    let (first, last) = days;
    format!(
        "determination enter --worker W07 --first-day {first} --last-day {last} --dose \"{dose}\" \
         --quantity {quantity} --relation replaces --method \"own periods\" --basis \
         \"split of the badge at the year's end\" --on 2026-02-10 --performed-by W01 --supersedes \
         {result}"
    )
}

#[test]
fn an_estimate_says_its_real_reason_and_becomes_record_once_that_is_gone() {
    let place = over_new_year("statement-reasons");
    let answer = json(&place, OF_2025);
    assert_eq!(deep(&answer), (Some(12), "estimate"));
    assert_eq!(reasons(&answer), ["no_result", "exposure_as_dose"]);
    let said = flat(&place.done(OF_2025).out);
    assert!(said.contains("No result yet of badge B-7"), "{said}");
    place.done("badge result --badge B-7 --report R-1 --reported-on 2026-02-01 --deep \"40 mrem\"");
    let answer = json(&place, OF_2025);
    assert_eq!(deep(&answer), (Some(20), "estimate"));
    assert_eq!(reasons(&answer), ["apportioned"]);
    let result = nsv(&answer["reasons"][0]["entry"]);
    let said = flat(&place.done(OF_2025).out);
    assert!(
        said.contains("Apportioned until the RSO fixes the split"),
        "{said}"
    );
    let split = |quantity: &str| {
        for (days, dose) in [
            (("2025-12-15", "2025-12-31"), "25 mrem"),
            (("2026-01-01", "2026-01-10"), "15 mrem"),
        ] {
            place.done(&determined(days, quantity, dose, result));
        }
        json(&place, OF_2025)
    };
    // Of the deep dose alone: lens and skin wait for theirs.
    let answer = split("deep");
    assert_eq!(deep(&answer), (Some(25), "record"));
    assert_eq!(answer["items"][1]["standing"], "estimate");
    split("lens");
    let answer = split("shallow");
    let standings = list(&answer["items"]).iter().map(|it| &it["standing"]);
    let wanted = ["record", "record", "record", "not monitored", "record"];
    assert!(standings.eq(wanted.iter()), "{}", answer["items"]);
    assert_eq!(answer["estimate"], false, "{}", answer["reasons"]);
    let next = json(&place, "dose statement W07 --year 2026");
    assert_eq!(deep(&next), (Some(15), "record"));
}

#[test]
fn a_second_report_on_hold_is_said_even_where_it_is_the_lower() {
    for (at, second) in ["5 mrem", "400 mrem"].into_iter().enumerate() {
        let place = Place::with_registers(&format!("statement-second-{at}"));
        sheets(&place, "sheets.csv", &["2026-01-05"]);
        place.done(
            "badge issue --badge B-7 --type \"whole body\" --worker W07 --first-day 2026-01-01 \
             --last-day 2026-01-31",
        );
        let report = |name: &str, dose: &str| {
            place.done(&format!(
                "badge result --badge B-7 --report {name} --reported-on 2026-02-01 --deep \
                 \"{dose}\""
            ));
        };
        report("R-1", "40 mrem");
        let line = "dose statement W07 --year 2026";
        assert_eq!(deep(&json(&place, line)), (Some(40), "record"));
        report("R-2", second);
        let answer = json(&place, line);
        assert_eq!(deep(&answer), (Some(40), "estimate"));
        assert_eq!(reasons(&answer), ["report_held"]);
        assert_eq!(answer["reasons"][0]["second"], true);
        let said = flat(&place.done(line).out);
        let words = "On hold and in no figure: the second report of 2026-02-01 on badge B-7";
        assert!(said.contains(words), "{said}");
    }
}

#[test]
fn what_is_below_the_minimum_is_of_record_and_says_so() {
    let answer = data("dose statement W01 --year 2025");
    assert_eq!(deep(&answer), (Some(14), "record"));
    assert_eq!(reasons(&answer), ["below_minimum"]);
}

/// ND: monitored, nothing detected (from memory; the form's instructions were not at hand).
#[test]
fn a_year_in_which_no_result_reached_the_minimum_is_nd_on_the_form_and_no_figure() {
    let place = Place::with_registers("statement-nd");
    let results = |row: &str| {
        let head = "badge,report,reported_on,unit,deep,lens,shallow,minimum,below_code";
        let text = format!("{head}\n{row}\n");
        std::fs::write(place.path("r.csv"), text).expect("the test's own folder");
        place.done("badge results DIR/r.csv");
        flat(&place.done("dose statement W07 --year 2025").out)
    };
    for (badge, first, last) in [
        ("B-1", "2025-05-01", "2025-05-31"),
        ("B-2", "2025-06-01", "2025-06-30"),
    ] {
        place.done(&format!(
            "badge issue --badge {badge} --type \"whole body\" --worker W07 --first-day {first} \
             --last-day {last}"
        ));
    }
    // The second has no result yet: a year that may still rise is no ND.
    let waits = results("B-1/2025-05-01,R-1,2025-06-10,mrem,M,M,M,10,M");
    assert!(!waits.contains(" ND "), "{waits}");
    let nothing = results("B-2/2025-06-01,R-2,2025-07-10,mrem,M,M,M,10,M");
    assert!(
        nothing.contains("11B DDE, deep dose equivalent ND"),
        "{nothing}"
    );
    assert!(
        nothing.contains("ND means monitored, nothing detected"),
        "{nothing}"
    );
    assert!(nothing.contains("(reported as M)"), "{nothing}");
}

/// A lost badge has no result to come; once the dose up to the loss is determined in each quantity
/// nothing of it is open, and one that is not determined still is.
#[test]
fn a_lost_badge_whose_dose_is_determined_is_no_reason_for_an_estimate() {
    let place = Place::with_registers("statement-lost");
    place.done(
        "badge issue --badge B-1 --type \"whole body\" --worker W07 --first-day 2026-05-01 \
         --last-day 2026-06-30",
    );
    sheets(&place, "june.csv", &["2026-06-02"]);
    place.done("badge lost --badge B-1 --on 2026-06-10");
    let waits = || {
        let answer = json(&place, "dose statement W07 --year 2026");
        let reasons = list(&answer["reasons"]).iter();
        let mut words = reasons.map(Value::to_string);
        words.any(|it| it.contains("B-1"))
    };
    let determined = |quantity: &str| {
        place.done(&format!(
            "determination enter --worker W07 --badge B-1 --quantity {quantity} --dose \"12 mrem\" \
             --method \"other dosimeter\" --relation replaces --basis x --performed-by W01 --on \
             2026-06-12"
        ));
    };
    assert!(waits());
    for quantity in ["deep", "lens", "shallow"] {
        determined(quantity);
    }
    assert!(
        !waits(),
        "{:#}",
        json(&place, "dose statement W07 --year 2026")["reasons"]
    );
}

/// A dose without an upper bound may be above what a report is owed from: it is owed until
/// somebody determines the dose.
#[test]
fn a_report_of_a_dose_without_an_upper_bound_is_owed_until_it_is_determined() {
    let place = Place::with_registers("statement-open");
    sheets(&place, "june.csv", &["2026-06-11"]);
    let owed = |place: &Place| {
        let answer = json(place, "dose statement W07 --year 2026");
        answer["must_be_given"].as_str().map(str::to_owned)
    };
    assert_eq!(owed(&place), None);
    let off = row(
        "2026-06-12",
        "day",
        "W07,radiographer,PD-07,1,0,,yes,RM-07,yes,yes",
    );
    place.hand_in(&off);
    let why = owed(&place).expect("it is owed");
    assert!(why.contains("may be above 100 mrem"), "{why}");
}
