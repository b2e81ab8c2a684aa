//! What the crew of a day has to wear, test and read, each with the paragraph that asks for it.

use super::cli_support::{HEADER, Place, row};

/// The cells of the person on the sheet of 12 June, the check that finds what is missing, and the
/// paragraph of 10 CFR 34 that asks for it (10 CFR 34.25 and 34.47, text of 2015).
const DUTIES: &[(&str, &str, &str)] = &[
    (
        "PD-07,1,0,12,no,,,yes",
        "ratemeter-not-worn",
        "10 CFR 34.47(a)",
    ),
    (
        "PD-07,1,0,12,no,RM-07,no,yes",
        "ratemeter-not-tested",
        "10 CFR 34.47(g)(1)",
    ),
    (
        "PD-07,1,0,12,no,RM-07,,yes",
        "ratemeter-not-tested",
        "10 CFR 34.47(g)(1)",
    ),
    (
        "PD-07,1,0,12,no,RM-09,yes,yes",
        "ratemeter-calibration",
        "10 CFR 34.47(g)(4)",
    ),
    (
        "PD-07,1,0,12,no,RM-07,yes,no",
        "badge-not-worn",
        "10 CFR 34.47(a)",
    ),
    (",,,,,RM-07,yes,yes", "no-dosimeter", "10 CFR 34.47(a), (b)"),
    (
        "PD-07,1,0,,no,RM-07,yes,yes",
        "no-dosimeter",
        "10 CFR 34.47(a), (b)",
    ),
    (
        "PD-07,1,40,52,no,RM-07,yes,yes",
        "start-not-last-end",
        "10 CFR 34.47(b)",
    ),
    (
        "PD-09,1,0,12,no,RM-07,yes,yes",
        "response-check",
        "10 CFR 34.47(c)",
    ),
    (
        "PD-07,1,0,O/S,,RM-07,yes,yes",
        "off-scale",
        "10 CFR 34.47(d)",
    ),
    (
        "EL-01,1,0,2100,no,RM-07,yes,yes",
        "electronic-over-shift-limit",
        "10 CFR 34.47(d)",
    ),
];

fn place(name: &str) -> Place {
    let place = Place::with_registers(name);
    place
        .done("instrument add --id RM-09 --type ratemeter --serial R9 --alarm-preset \"500 mR/h\"");
    let before = row(
        "2026-06-11",
        "day",
        "W07,radiographer,PD-07,1,0,12,no,RM-07,yes,yes",
    );
    place.hand_in(&before);
    place
}

#[test]
fn each_duty_of_the_day_cites_the_paragraph_that_asks_for_it() {
    for (person, check, citation) in DUTIES {
        let place = place("duties");
        let sheet = row("2026-06-12", "day", &format!("W07,radiographer,{person}"));
        let file = place.file("june.csv", format!("{HEADER}{sheet}"));
        let said = place.done(&format!("sheet import {file}")).out;
        let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
        let keyed = format!("key: {check}/");
        let told = flat.split("rule: ").find(|it| it.contains(&keyed));
        let told = told.unwrap_or_else(|| panic!("{person}: no {check}\n{said}"));
        assert!(told.contains(&format!("({citation})")), "{person}\n{told}");
        let found = place.quiet("findings --year 2026 --json").out;
        let all: serde_json::Value = serde_json::from_str(&found).expect("JSON");
        let lines = all["data"]["lines"].as_array().expect("lines").iter();
        let mine: Vec<_> = lines.filter(|it| it["check"] == *check).collect();
        assert!(!mine.is_empty(), "{person}\n{found}");
        for line in mine {
            assert_eq!(line["citation"], *citation, "{person}");
        }
    }
}

#[test]
fn a_sheet_without_a_survey_meter_cites_the_paragraph_on_surveys() {
    let place = place("duties-meter");
    let sheet = row(
        "2026-06-12",
        "day",
        "W07,radiographer,PD-07,1,0,12,no,RM-07,yes,yes",
    );
    let file = place.file(
        "june.csv",
        format!("{HEADER}{}", sheet.replace(",SM-1,", ",,")),
    );
    let said = place.done(&format!("sheet import {file}")).out;
    assert!(said.contains("(10 CFR 34.25(a), (b)(1), (b)(2))"), "{said}");
}

/// What may not go out, and why, as whoever sends a crew out reads it.
#[test]
fn the_work_status_cites_the_same_paragraphs() {
    let place = place("duties-status");
    for (person, citation) in [
        ("PD-07,1,0,12,no,RM-09,yes,yes", "10 CFR 34.47(g)(4)"),
        ("PD-09,1,0,12,no,RM-07,yes,yes", "10 CFR 34.47(c)"),
        ("PD-07,1,0,O/S,,RM-07,yes,yes", "10 CFR 34.47(d)"),
    ] {
        let sheet = row("2026-06-12", "day", &format!("W07,radiographer,{person}"));
        let file = place.file("june.csv", format!("{HEADER}{sheet}"));
        let copy = format!("sheet import {file}");
        let copied = Place::with_registers("duties-copy");
        std::fs::copy(place.ledger(), copied.ledger()).expect("a copy of the ledger");
        copied.done(&copy);
        let said = copied.done("work-status W07 --on 2026-06-13").out;
        let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(citation), "{person}\n{said}");
    }
}
