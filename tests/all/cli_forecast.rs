//! Where a year is heading, as the program says it: days that count, what is drawn on, what is left
//! out.

use super::cli_demo::list;
use super::cli_support::{HEADER, Place, row};
use chrono::Datelike;
use serde_json::Value;
use wearbook::calendar::{Day, parse_day};

/// Sheets of one person on every second day up to 14 June 2026, with the end of the dosimeter.
fn worked(name: &str, first: &str, end: impl Fn(Day) -> u32) -> Place {
    worked_on(name, first, |day| Some(end(day)))
}

/// The same without the days that have no end.
fn worked_on(name: &str, first: &str, end: impl Fn(Day) -> Option<u32>) -> Place {
    let place = Place::with_registers(name);
    let mut sheets = HEADER.to_owned();
    let days = parse_day(first).expect("a day").iter_days().step_by(2);
    for day in days.take_while(|it| *it <= parse_day("2026-06-14").expect("a day")) {
        let Some(end) = end(day) else {
            continue;
        };
        let person = format!("W07,radiographer,PD-07,1,0,{end},no,RM-07,yes,yes");
        sheets.push_str(&row(&day.to_string(), "day", &person));
    }
    let file = place.file("sheets.csv", sheets);
    place.done(&format!("sheet import {file}"));
    place
}

const ASKED: &str = "dose forecast W07 --on 2026-06-14";

fn data(place: &Place) -> Value {
    let out = place.done(&format!("{ASKED} --json")).out;
    let all: Value = serde_json::from_str(&out).expect("JSON");
    all["data"].clone()
}

fn mixed(day: Day) -> u32 {
    3 + day.ordinal() % 9
}

#[test]
fn days_before_the_first_sheet_do_not_count() {
    let mut place = worked("forecast-hired", "2026-03-10", mixed);
    let found = data(&place);
    assert_eq!(found["behind"]["first"], "2026-03-10");
    assert_eq!(found["rate_days"], 97);
    let end = &list(&found["ends"])[0];
    assert_eq!((&end["days"], &end["shifts"]), (&97.into(), &49.into()));
    // 97 days are six stretches: below one in seven nothing can be told.
    for level in list(&found["levels"]) {
        let above = level["above"].as_f64().expect("a chance");
        assert!(above >= 1.0 / 7.0 - 1e-9, "{level}");
    }
    place.run(ASKED);
    place.run(&format!("{ASKED} --csv"));
    place.golden("forecast-hired");
}

#[test]
fn a_few_days_give_rates_with_their_caution_and_no_empty_columns() {
    let mut place = worked("forecast-few", "2026-06-14", mixed);
    let said = place.run(ASKED).out;
    assert!(said.contains("1 day of work is too few"), "{said}");
    assert!(said.contains("is that of 1 day only"), "{said}");
    assert!(!said.contains(" - ") && !said.contains("chance "), "{said}");
    place.golden("forecast-few");
}

#[test]
fn more_in_the_last_ninety_days_is_said_and_both_are_shown() {
    let step = parse_day("2026-03-17").expect("a day");
    let mut place = worked("forecast-step", "2026-01-06", |day| {
        mixed(day) * if day >= step { 4 } else { 1 }
    });
    // 70 days before are too few to compare with.
    assert_eq!(data(&place)["change"], Value::Null);
    let more = worked("forecast-step-long", "2025-09-02", |day| {
        mixed(day) * if day >= step { 4 } else { 1 }
    });
    let found = data(&more);
    assert_eq!(found["change"]["more"], true);
    let firsts: Vec<&Value> = list(&found["ends"])
        .iter()
        .map(|it| &it["like"]["first"])
        .collect();
    assert_eq!(firsts, ["2026-03-17", "2025-09-02"]);
    place = more;
    place.run(ASKED);
    place.golden("forecast-step");
}

/// Days that differ and are too few for a forecast by them alone have no line, and it says so.
#[test]
fn what_stands_below_is_said_as_it_stands() {
    let step = parse_day("2026-03-17").expect("a day");
    let told = [
        "both stand below",
        "they alone stand below",
        "they have no line of their own below",
    ];
    for (name, every, dose, expected) in [("both", 1, 30, told[0]), ("few", 12, 90, told[2])] {
        let place = worked_on(&format!("below-{name}"), "2025-09-02", |day| {
            match day >= step {
                true => (day.ordinal() % every < 2).then_some(dose),
                false => Some(mixed(day)),
            }
        });
        let said = place.done(ASKED).out.replace("\n  ", " ");
        for words in told {
            assert_eq!(said.contains(words), words == expected, "{name}: {said}");
        }
        // As the lines are: one of the last ninety days, one of all.
        let of_late = |it: &Value| it["like"]["first"] == "2026-03-17";
        let found = data(&place);
        let ends = list(&found["ends"]);
        let (own, all) = (ends.iter().any(of_late), ends.len());
        let by_lines = match (own, all) {
            (false, _) => told[2],
            (true, 1) => told[1],
            (true, _) => told[0],
        };
        assert_eq!(by_lines, expected, "{name}");
    }
}

#[test]
fn a_determination_takes_the_place_of_its_reading() {
    let place = worked("forecast-determined", "2026-01-06", mixed);
    let middle = |it: &Value| list(&it["ends"])[0]["band"][1]["nsv"].as_i64();
    let before = data(&place);
    place.done(
        "determination enter --worker W07 --first-day 2026-04-02 --last-day 2026-04-02 \
         --quantity deep --dose \"60 mrem\" --relation replaces --method co-worker --basis \
         \"was left near the device (invented)\" --on 2026-06-14 --performed-by W01",
    );
    let after = data(&place);
    assert!(middle(&after) > middle(&before), "{after}");
}
