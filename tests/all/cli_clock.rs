//! A wrong clock, as its user meets it: warned at the write, listed, and deciding nothing; and the
//! days and hours that hang on a place or on the day asked for.

use super::cli_off_scale::lines_of_check;
use super::cli_support::{HEADER, Place, crew, row};
use super::cli_trace::{AFTER, Scene, inspected, of_the_day};

const QUARTER: &str = "2026-05-04";

/// The drive cable of C-1 fails at 13:40 on 16 June, and is entered two days later.
fn failed(place: &mut Place) {
    place.turn_to("wearbook.db", AFTER);
    place.done(
        "event open --kind source-will-not-retract --occurred 2026-06-16T13:40 --equipment C-1 \
         --equipment D-1 --person \"W07=cranked\" --words \"it would not come home\"",
    );
    place.done(
        "event cause E-1 --of C-1 --component \"drive cable\" --failure drive-cable-broken \
         --because \"parted 4 in behind the connector\" --at 2026-06-16T18:00",
    );
}

fn quarter() -> String {
    inspected(QUARTER, "quarterly", ", value=5.9 mm")
}

#[test]
fn one_entry_under_a_clock_of_2035_makes_no_honest_check_late() {
    let mut scene = Scene::new("clock-2035");
    scene.place.turn_to("wearbook.db", "2035-01-01T12:00:00Z");
    let said = scene
        .place
        .done("worker role --worker W09 --role assistant --from 2026-06-01");
    assert!(
        said.err
            .contains("CLOCK: the clock says 2035-01-01 06:00 -06:00, long after")
    );
    assert!(said.err.contains("Set the clock"), "{}", said.err);
    scene.place.turn_to("wearbook.db", "2026-06-16T12:00:00Z");
    let said = scene.place.done(&quarter());
    assert!(said.err.contains("earlier than entry"), "{}", said.err);
    assert_eq!(scene.place.done(&of_the_day()).err, "", "once is enough");
    failed(&mut scene.place);
    let [_, record, claimed, _] = scene.ruled("E-1", "cable-diameter");
    assert_eq!((record.as_str(), claimed.as_str()), ("passed", ""));
    let verified = scene.place.done("ledger verify --full").out;
    assert!(verified.contains("clock: entry "), "{verified}");
    let found = scene.place.done("findings --year 2026").out;
    assert!(found.contains("clock-doubted"), "{found}");
}

#[test]
fn a_check_by_a_clock_that_was_set_back_is_neither_for_nor_against() {
    let mut scene = Scene::new("clock-back").before(&[&of_the_day()]);
    // Written two days after the event, by a clock that says the morning before it.
    scene.place.turn_to("wearbook.db", "2026-06-16T10:00:00Z");
    let said = scene.place.done(&quarter());
    assert!(said.err.contains("earlier than entry"), "{}", said.err);
    failed(&mut scene.place);
    let [_, record, claimed, _] = scene.ruled("E-1", "cable-diameter");
    assert_eq!(
        (record.as_str(), claimed.as_str()),
        ("order unknown", "passed")
    );
    let told = scene.place.done("trace E-1").out;
    assert!(told.contains("ORDER UNKNOWN: whether entries"), "{told}");
    let joined = told.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        joined.contains("order unknown: the clock of entry"),
        "{told}"
    );
    assert!(joined.contains("if all had been before the event whose order is unknown: passed"));
}

#[test]
fn what_is_entered_after_the_event_was_opened_is_never_before_it() {
    let mut scene = Scene::new("clock-after").before(&[&of_the_day()]);
    failed(&mut scene.place);
    scene.place.turn_to("wearbook.db", "2026-06-16T12:30:00Z");
    scene.place.done(&quarter());
    let [_, record, claimed, _] = scene.ruled("E-1", "cable-diameter");
    assert_eq!(
        (record.as_str(), claimed.as_str()),
        ("late entry, unverified", "passed")
    );
}

#[test]
fn a_finding_about_a_clock_is_answered_by_its_key() {
    let mut place = Place::with_registers("clock-answer");
    place.turn_to("wearbook.db", "2035-01-01T12:00:00Z");
    place.done("worker role --worker W09 --role assistant --from 2026-06-01");
    place.turn_to("wearbook.db", "2026-06-16T12:00:00Z");
    place.done("worker role --worker W08 --role assistant --from 2026-06-01");
    let lines = |flags: &str| lines_of_check(&place, flags, "clock-doubted");
    let found = lines("");
    assert_eq!(found.len(), 1);
    assert_eq!(found[0]["severity"], "watch", "the clock is right again");
    let key = found[0]["key"].as_str().expect("a key");
    place.done(&format!(
        "finding answer {key} --reason \"the battery was exchanged\""
    ));
    assert!(lines("").is_empty());
}

fn import(place: &Place, rows: &str) {
    place.hand_in(rows);
}

#[test]
fn a_shift_that_ends_at_midnight_is_over_with_its_day() {
    for (ends, over) in [("00:00", false), ("00:01", true)] {
        let place = Place::with_registers("midnight");
        let rows = crew("2026-06-12", "evening").replace("15:00,23:00", &format!("15:00,{ends}"));
        import(&place, &rows);
        let after = place
            .done("dose show W07 --from 2026-06-13 --to 2026-06-13 --json")
            .out;
        let after: serde_json::Value = serde_json::from_str(&after).expect("JSON");
        let safe = after["data"]["totals"][0]["conservative"]["known_nsv"]
            .as_i64()
            .expect("a dose");
        assert_eq!(safe > 0, over, "{ends}: {after}");
    }
}

#[test]
fn a_sheet_is_of_the_day_that_it_is_at_its_job() {
    // Seven in the morning in Chicago on the 15th is midnight at the other job: the 16th.
    let place = Place::with_registers("job-day");
    place.done(
        "job add --id J-9 --place \"East shore (invented)\" --jurisdiction NRC --setting \
         \"temporary jobsite\" --zone Pacific/Auckland --first-day 2026-01-05",
    );
    let there = |day: &str| {
        row(day, "day", "W07,radiographer,PD-07,1,0,12,no,RM-07,yes,yes").replace(",J-1,", ",J-9,")
    };
    let file = place.file("late.csv", format!("{HEADER}{}", there("2026-06-17")));
    let said = place.quiet(&format!("sheet import {file}"));
    assert!(
        said.err.contains("is in the future: today is 2026-06-16"),
        "{}",
        said.err
    );
    let file = place.file("sheet.csv", format!("{HEADER}{}", there("2026-06-16")));
    let said = place.done(&format!("sheet import {file}")).out;
    // The year so far has the shift in it, though the ledger's own day is the one before.
    let row: Vec<&str> = said
        .lines()
        .find(|it| it.starts_with("W07"))
        .expect("a row")
        .split_whitespace()
        .collect();
    assert_eq!(row[..3], ["W07", "12", "12"], "{said}");
    // The prompt proposes the day on which the hour of the beginning has come there.
    let asked = place.said_at_terminal("sheet enter", "yes\n\n00:00\n");
    assert!(asked.err.contains("[2026-06-16]"), "{}", asked.err);
    let pack = place.done("pack J-9 --json").out;
    assert!(pack.contains("\"on\": \"2026-06-16\""), "{pack}");
}

#[test]
fn what_is_left_of_a_clock_on_an_earlier_day_is_what_was_left_at_its_end() {
    let place = Place::with_registers("clock-on");
    import(
        &place,
        &row(
            "2026-06-12",
            "day",
            "W07,radiographer,PD-07,1,0,,yes,RM-07,yes,yes",
        ),
    );
    let left = |on: &str| -> String {
        let out = place.done(&format!("work-status W07 --on {on} --json")).out;
        let all: serde_json::Value = serde_json::from_str(&out).expect("JSON");
        let clock = &all["data"]["lines"][0]["clocks"][0];
        let words = clock.as_str().expect("a clock");
        let (words, rule) = words.split_once(" (").expect("its rule");
        assert_eq!(rule, "within 24 hours: 10 CFR 34.47(d))");
        words.rsplit(": ").next().unwrap_or_default().to_owned()
    };
    assert_eq!(left("2026-06-12"), "15 h 1 min left");
    assert_eq!(left("2026-06-13"), "overdue by 8 h 59 min");
    // Today and later days stand as now: seven in the morning of the 15th.
    assert_eq!(left("2026-06-15"), "overdue by 40 h 0 min");
    assert_eq!(left("2026-06-20"), left("2026-06-15"));
}

#[test]
fn a_fault_names_the_same_line_whatever_ends_the_lines() {
    let place = Place::with_registers("line-ends");
    let sheet = format!(
        "{HEADER}{}\n{}",
        crew("2026-06-12", "day"),
        row(
            "2026-06-12",
            "evening",
            "W07,radiographer,PD-07,1,0,twelve,no,RM-07,yes,yes"
        )
    );
    let worker = "id,name,role,category,birth_date,monitored_from,monitored_until\n\
                  W20,Ada Able,assistant,exposed,1999-04-04,2026-06-10,\n\n\
                  W21,Bea Bold,assistant,exposed,1999-04-32,2026-06-10,\n";
    let check = "instrument,on,type,result,performed_by\nPD-07,2026-06-12,response check,pass,Ada \
        Able\n\
                 PD-08,12/06/2026,response check,pass,Ada Able\n";
    for (verb, text, line) in [
        ("sheet import", sheet.as_str(), "line 5"),
        ("worker import", worker, "line 4"),
        ("instrument checks", check, "line 3"),
    ] {
        let said = |end: &str| {
            let file = place.file("rows.csv", text.replace('\n', end));
            place.quiet(&format!("{verb} {file}")).err
        };
        let plain = said("\n");
        assert!(plain.contains(line), "{verb}: {plain}");
        assert_eq!(said("\r\n"), plain, "{verb}");
    }
}
