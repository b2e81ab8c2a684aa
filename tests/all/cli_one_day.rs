//! One answer stands for one day: what is about a later day changes nothing in it, what was
//! learned later about an earlier one does.

use serde_json::Value;

use super::cli_maintenance_shown::{kept, measured, sheet_of};
use super::cli_support::{Place, crew, row};

/// The test company with a shift, an event and its cause, up to 11 June.
fn begun(name: &str) -> Place {
    let place = kept(name);
    measured(&place, "2026-06-10", "5.85 mm");
    sheet_of(&place, "2026-06-11");
    place.done(
        "event open --kind disconnect --occurred 2026-06-11T13:40 --job J-1 --equipment D-1 \
         --equipment C-1 --person \"W07=cranked the source out\" --words \"it stayed out\"",
    );
    place.done(
        "event cause E-1 --of C-1 --component \"drive cable\" --failure drive-cable-broken \
         --because \"it was frayed\" --at 2026-06-11T18:00",
    );
    place.done(
        "event action E-1 --words \"write a rule for the cable\" --performed-by W01 --due \
            2026-06-13",
    );
    place
}

/// What a command says for 12 June, without the seal and with what was written since left out.
fn said(place: &Place, line: &str) -> Value {
    let said = place.done(&format!("{line} --on 2026-06-12 --json")).out;
    let mut value: Value = serde_json::from_str(&said).expect("JSON");
    let mut data = value["data"].take();
    unseal(&mut data);
    data
}

/// Takes out the seal, which is of everything that is written.
fn unseal(value: &mut Value) {
    match value {
        Value::Array(all) => all.iter_mut().for_each(unseal),
        Value::Object(all) => {
            for (name, hash) in [("entries", "head"), ("entry_count", "head")] {
                if all.remove(hash).is_some() {
                    all.remove(name);
                }
            }
            all.values_mut().for_each(unseal);
        }
        _ => {}
    }
}

/// Where two answers differ, a line each.
fn differences(now: &Value, before: &Value) -> Vec<String> {
    let (now, before) = (format!("{now:#}"), format!("{before:#}"));
    let (now, before): (Vec<&str>, Vec<&str>) = (now.lines().collect(), before.lines().collect());
    let only = |these: &[&str], others: &[&str], sign: &str| -> Vec<String> {
        let mine = these.iter().filter(|it| !others.contains(it));
        mine.map(|it| format!("{sign} {}", it.trim())).collect()
    };
    let mut all = only(&now, &before, "now");
    all.extend(only(&before, &now, "was"));
    if all.is_empty() && now != before {
        all.push("the order of lines".to_owned());
    }
    all
}

/// Each about a day after 12 June.
const LATER: &[&str] = &[
    "event cause E-1 --of D-1 --component lock --failure lock-failure --because x \
     --at 2026-06-13T09:00",
    "event note E-1 --words \"it was wet\" --at 2026-06-13T09:10",
    "event action E-1 --words \"the rule is written\" --performed-by W01 --done 2026-06-13 \
     --carries-out PLAN",
    "report done E-1 call-30-50-b --performed-by W01 --to \"the duty officer\" --at \
    2026-06-13T10:00",
    "report answer E-1 control-lost no --because watched --at 2026-06-13T10:00",
    "trace conclude E-1 cable-diameter --of C-1 --coverage \"cannot detect\" --because x \
     --performed-by W01 --on 2026-06-13",
    "event open --kind drop-or-fire --occurred 2026-06-13T13:40 --equipment D-1 --words x",
    "equipment out-of-service --item S-1 --on 2026-06-13 --reason \"sent back\" --performed-by W01",
    "equipment leak-test --item S-1 --on 2026-06-13 --part source --performed-by Lab \
     --removable \"185 Bq\"",
    "equipment inventory --on 2026-06-13 --performed-by W01 --found S-1",
    "equipment install --equipment C-1 --component \"drive cable\" --installed-on 2026-06-13 \
     --performed-by W01 --serial K-18",
    "inspect enter --item G-2 --on 2026-06-14 --at 15:10 --when daily --performed-by W07 \
     --line \"tube-kinks=defect, note=kink, action=removed from service\" --line \"all \
     others=good\"",
    "badge issue --badge B-1 --worker W07 --type \"whole body\" --first-day 2026-06-13 \
     --last-day 2026-06-30",
    "worker qualification --worker W07 --type \"refresher training\" --on 2026-06-13 \
    --performed-by W01",
];

/// Every answer for the day before them is what it was, however much is written about later days.
#[test]
fn what_is_about_a_later_day_changes_no_answer_for_an_earlier_one() {
    let place = begun("one-day");
    let lines = [
        "review 2026-06",
        "review 2026",
        "trace E-1",
        "report show E-1",
    ];
    let before: Vec<Value> = lines.iter().map(|line| said(&place, line)).collect();
    let plan = place.done("event show E-1").out;
    let plan = plan.split("--carries-out ").nth(1).expect("a plan");
    let plan = plan.split_whitespace().next().expect("its entry");
    for line in LATER {
        place.done(&line.replace("PLAN", plan));
        for (asked, before) in lines.iter().zip(&before) {
            let found = differences(&said(&place, asked), before);
            assert!(found.is_empty(), "{line}\nchanges {asked}: {found:#?}");
        }
    }
    for (shift, day) in [("day", "2026-06-13"), ("evening", "2026-06-14")] {
        place.hand_in(&(crew(day, shift)));
    }
    for (asked, before) in lines.iter().zip(&before) {
        let found = differences(&said(&place, asked), before);
        assert!(found.is_empty(), "sheets change {asked}: {found:#?}");
    }
    // None of it was without effect.
    let today = place.done("review 2026-06").out;
    assert!(today.contains("lock"), "{today}");
}

/// What was learned later of an earlier day counts.
#[test]
fn what_is_written_later_about_an_earlier_day_counts() {
    let place = begun("one-day-late");
    let before = said(&place, "review 2026-06");
    place.hand_in(&crew("2026-06-12", "day"));
    assert_ne!(said(&place, "review 2026-06"), before);
}

/// The draft of a report says what was known and done on its day.
#[test]
fn a_draft_for_a_day_has_nothing_of_a_later_one() {
    let place = begun("one-day-draft");
    let draft = |folder: &str| {
        place.done(&format!(
            "report draft E-1 --out DIR/{folder} --on 2026-06-12"
        ));
        let file = place.dir.join(folder).join("E-1-report.md");
        std::fs::read_to_string(file).expect("the draft")
    };
    let before = draft("before");
    place.done("event note E-1 --words \"it was wet\" --at 2026-06-13T09:10");
    assert_eq!(before, draft("after"));
    assert!(before.contains("2026-06-12 23:59"), "{before}");
}

/// A month that is over is reviewed for its last day, whatever is held or due since.
#[test]
fn the_review_of_a_month_that_is_over_knows_nothing_of_the_next() {
    let mut place = begun("one-day-month");
    place.turn_to("wearbook.db", "2026-07-10T12:00:00Z");
    let review = |place: &Place| {
        let said = place.done("review 2026-06 --json").out;
        let value: Value = serde_json::from_str(&said).expect("JSON");
        value["data"]["sections"].clone()
    };
    let before = review(&place);
    let text = row(
        "2026-07-02",
        "day",
        "W07,radiographer,PD-77,1,0 mR,12 mR,no,RM-07,yes,yes",
    );
    place.hand_in(&text);
    place.done("event note E-1 --words \"it was wet\" --at 2026-07-03T09:10");
    let found = differences(&review(&place), &before);
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn a_day_outside_of_what_is_reviewed_is_refused() {
    let mut place = begun("one-day-refused");
    for line in [
        "review 2026-06 --on 2026-05-31",
        "review 2026-06 --on 2026-06-16",
        "review 2026 --on 2025-12-31",
        "review 2026-06 --on 2026-06-12 --sign --performed-by W01",
        "trace E-1 --on 2026-06-10",
        "report draft E-1 --out DIR/x --on 12/06/2026",
    ] {
        place.refused(line);
    }
}
