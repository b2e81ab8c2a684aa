//! What one command says of a thing, every other says alike.

use super::cli_support::{HEADER, Place, crew, data_of};

fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The first lines of the findings that a command prints.
fn told(out: &str) -> Vec<String> {
    let marks = ["STOP  ", "ACT   ", "watch "];
    let first = |it: &&str| marks.iter().any(|mark| it.starts_with(mark));
    out.lines().filter(first).map(str::to_owned).collect()
}

#[test]
fn a_sheet_and_the_findings_give_one_finding_one_severity() {
    let place = Place::with_registers("alike-severity");
    // A dosimeter that nobody ever checked, an alarm that was not tested, a survey that was too
    // high, and an item that was withdrawn.
    place
        .done("equipment out-of-service --item C-1 --on 2026-06-01 --reason worn --performed-by X");
    let rows = crew("2026-06-10", "day")
        .replace(",PD-08,", ",PD-09,")
        .replace(",RM-08,yes,", ",RM-08,no,")
        .replace(",22 mR/h,", ",260 mR/h,");
    let file = place.file("june.csv", format!("{HEADER}{rows}"));
    let sheet = told(&place.done(&format!("sheet import {file}")).out);
    let findings = told(&place.done("findings").out);
    assert!(sheet.len() >= 4, "{sheet:#?}");
    for line in &sheet {
        assert!(
            findings.contains(line),
            "{line}\nis not among {findings:#?}"
        );
    }
    // The same for a file that is refused: its stops are those that would have been printed.
    let place = Place::with_registers("alike-refused");
    let bad = rows.replace(",W07,W07,radiographer,", ",W07,W07,welder,");
    let bad = format!("{HEADER}{}{bad}", rows.replace("2026-06-10", "2026-06-11"));
    let file = place.file("june.csv", bad);
    let said = place.quiet(&format!("sheet import {file}"));
    assert_eq!(said.code, 1);
    let said = squeezed(&said.err);
    assert!(
        said.contains("STOP PD-09 used on 2026-06-11 day with no response check"),
        "{said}"
    );
}

#[test]
fn a_rule_about_wearing_a_ratemeter_is_cited_where_none_is_worn() {
    let place = Place::with_registers("alike-ratemeter");
    let rows = crew("2026-06-10", "day").replace(",RM-08,yes,", ",,,");
    let file = place.file("june.csv", format!("{HEADER}{rows}"));
    let out = squeezed(&place.done(&format!("sheet import {file}")).out);
    assert!(out.contains("no alarm ratemeter worn"), "{out}");
    assert!(out.contains("10 CFR 34.47(a)"), "{out}");
    assert!(!out.contains("34.47(g)(1)"), "{out}");
}

#[test]
fn whoever_works_without_a_badge_stops_once_the_ledger_keeps_badges() {
    let place = Place::with_registers("alike-no-badge");
    let line = |place: &Place, worker: &str| {
        let data = data_of(place, &format!("work-status {worker}"));
        let line = &data["lines"][0];
        (
            line["may_work"].as_bool().expect("an answer"),
            line.to_string(),
        )
    };
    // A ledger without badges says nothing of them.
    let (_, said) = line(&place, "W08");
    assert!(!said.contains("badge-not-worn"), "{said}");
    place.done(
        "badge issue --badge 0001 --type \"whole body\" --worker W07 --first-day 2026-06-01 \
         --last-day 2026-06-30",
    );
    let (may, said) = line(&place, "W08");
    assert!(!may && said.contains("badge-not-worn"), "{said}");
    assert!(
        said.contains("34.47(a)") && said.contains("STOP") || said.contains("stop"),
        "{said}"
    );
    let (_, said) = line(&place, "W07");
    assert!(!said.contains("badge-not-worn"), "{said}");
}

#[test]
fn what_is_of_a_later_day_is_said_to_be() {
    let place = Place::with_registers("alike-later");
    place.done(
        "event open --kind disconnect --occurred 2026-06-12T10:00 --discovered 2026-06-12T10:05 \
         --job J-1 --equipment D-1 --person \"W07=cranked\" --words \"did not come home\"",
    );
    for command in [
        "trace E-1",
        "report show E-1",
        "event show E-1",
        "trace show E-1",
    ] {
        let said = place.quiet(&format!("{command} --on 2026-06-10"));
        assert_eq!(said.code, 1, "{command}: {}", said.out);
        let told = squeezed(&said.err);
        let wanted = "the event `E-1` is of 2026-06-12, later than 2026-06-10";
        assert!(told.contains(wanted), "{command}: {told}");
        assert!(
            told.contains("--on 2026-06-12 or a later day"),
            "{command}: {told}"
        );
        let said = place.quiet(&format!("{command} --on 2026-06-12"));
        assert!(!said.err.contains("later than"), "{command}: {}", said.err);
    }
    let told = place.quiet("trace E-9 --on 2026-06-10").err;
    assert!(told.contains("there is no event `E-9`"), "{told}");
}

#[test]
fn a_month_that_is_not_signed_is_answered_with_how_to_sign_it() {
    let place = Place::with_registers("alike-unsigned");
    let told = squeezed(&place.quiet("review changes 2026-05").err);
    assert!(told.contains("no month is signed yet"), "{told}");
    assert!(
        told.contains("wearbook review 2026-05 --sign --performed-by ID"),
        "{told}"
    );
    assert!(
        !told.contains("rules list") && !told.contains("did you mean"),
        "{told}"
    );
}

#[test]
fn a_dose_of_whoever_decides_about_doses_is_decided_by_two() {
    let place = Place::with_registers("alike-two");
    place.done("worker role --worker W07 --from 2026-06-01 --role rso");
    for worker in ["W07", "W08"] {
        place.done(&format!(
            "badge issue --badge {worker}-1 --type \"whole body\" --worker {worker} \
             --first-day 2026-06-01 --last-day 2026-06-30"
        ));
        place.done(&format!("badge lost --badge {worker}-1 --on 2026-06-10"));
        let told = squeezed(&place.done(&format!("work-status {worker}")).out);
        assert!(told.contains("--performed-by ID"), "{told}");
        assert_eq!(told.contains("--second-by ID"), worker == "W07", "{told}");
        assert!(!told.contains("--performed-by RSO"), "{told}");
    }
}

#[test]
fn stops_of_one_rule_stand_in_one_table_of_a_review_under_the_rule_once() {
    let place = Place::with_registers("alike-grouped");
    let mut rows = String::new();
    for day in ["2026-06-09", "2026-06-10", "2026-06-11"] {
        rows += &crew(day, "day").replace(",PD-08,", ",PD-09,");
    }
    place.hand_in(&rows);
    let review = place.done("review 2026-06").out;
    let (_, decide) = review
        .split_once("WHAT NEEDS A DECISION NOW")
        .expect("a section");
    let (decide, _) = decide.split_once("More:").expect("its end");
    let flat = decide.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(flat.matches("STOP PD-09 ").count(), 3, "{decide}");
    assert_eq!(
        flat.matches("rule: A direct-reading dosimeter must have been checked")
            .count(),
        1,
        "{decide}"
    );
}
