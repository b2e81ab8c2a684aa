//! After an event: who stops, who works on, what ends it, and people who are no workers.

use serde_json::Value;
use wearbook::answer::{AnswerError, House};
use wearbook::calendar::{Span, parse_day};
use wearbook::ledger::{KnownAt, Ledger, Snapshot};

use super::cli_demo::list;
use super::cli_support::{HEADER, INIT, Place, crew, data_of as data};

/// W07 reached in and W08 stood at the boundary, both with ordinary readings; nobody measured W09.
fn reached_in(name: &str) -> Place {
    let place = Place::with_registers(name);
    let sheet = place.file(
        "sheet.csv",
        format!("{HEADER}{}", crew("2026-06-14", "day")),
    );
    place.done(&format!("sheet import {sheet}"));
    place.done(
        "event open --kind disconnect --occurred 2026-06-14T13:40 --job J-1 --equipment D-1 \
         --person \"W07=held the tube while it was uncoupled\" --near W07=hand \
         --person \"W08=kept the boundary\" --person \"W09=kept the gate\" --words \"source out\"",
    );
    place
}

/// Whether somebody may go out: board, work status, dose and findings have to say the same.
fn may_go(place: &Place, id: &str) -> bool {
    let board = data(place, "board");
    let line = list(&board["people"]).iter().find(|it| it["worker"] == id);
    let may = line.expect("on the board")["may_go"] == true;
    let one = data(place, &format!("work-status {id}"));
    assert_eq!(one["lines"][0]["may_work"], may, "work-status of {id}");
    let is_stop = |it: &&Value| {
        it["severity"] == "stop"
            && it["subject"] == id
            && (it["check"] == "event-dose" || it["check"] == "lost-badge")
    };
    let dose = data(place, &format!("dose show {id} --year 2026"));
    let shown = list(&dose["findings"]).iter().filter(is_stop).count();
    assert_eq!(shown == 0, may, "dose show of {id}");
    let found = data(place, "findings --year 2026 --answered");
    let found = list(&found["lines"]).iter().filter(is_stop).count();
    assert_eq!(found, shown, "findings of {id}");
    may
}

fn determine(id: &str, quantity: &str, dose: &str, by: &str) -> String {
    let method = match dose {
        "0 mrem" => "no exposure",
        _ => "time and distance",
    };
    format!(
        "determination enter --worker {id} --first-day 2026-06-14 --last-day 2026-06-14 \
         --quantity {quantity} --relation replaces --dose \"{dose}\" --method \"{method}\" \
         --basis \"stood behind the hill the whole time\" --on 2026-06-15 --performed-by {by}"
    )
}

#[test]
fn who_stood_at_the_boundary_works_and_who_reached_in_or_was_not_measured_does_not() {
    let mut place = reached_in("in-event");
    assert!(!may_go(&place, "W07"));
    assert!(may_go(&place, "W08"));
    assert!(!may_go(&place, "W09"));
    place.run("findings --year 2026");
    place.run("work-status W09");
    // None of these is a determination of the dose.
    place.done("report answer E-1 exposure-possible no --because \"W09 was far\"");
    place.done("report answer E-1 lens-extremity no --because \"asked each of them\"");
    place.done("finding answer event-dose/W09/29 --reason \"was far\"");
    assert!(!may_go(&place, "W09"));
    place.refused(&determine("W09", "deep", "0 mrem", "W07"));
    place.done(&determine("W09", "lens", "0 mrem", "W01"));
    assert!(!may_go(&place, "W09"));
    place.done(&determine("W09", "deep", "0 mrem", "W01"));
    assert!(may_go(&place, "W09"));
    // The hand is not known by the dose of the trunk.
    place.done(&determine("W07", "deep", "12 mrem", "W01"));
    assert!(!may_go(&place, "W07"));
    place.done(&determine("W07", "extremity", "400 mrem", "W01"));
    assert!(may_go(&place, "W07"));
    place.golden("in-event");
}

#[test]
fn a_hand_that_is_told_of_later_stops_and_the_question_for_the_others_is_answered_once() {
    let place = reached_in("in-event-later");
    let asked = |place: &Place| {
        let found = data(place, "findings --year 2026");
        let lines = list(&found["lines"]).iter();
        let mut lines = lines.filter(|it| it["check"] == "event-lens-extremity");
        let first = lines.next().map(|it| it["what"].clone());
        assert!(lines.next().is_none(), "one question for all");
        first
    };
    let of = |who: &str| {
        Some(Value::from(format!(
            "lens and extremities of {who}: not recorded"
        )))
    };
    assert_eq!(asked(&place), of("W08"));
    place.done(&determine("W09", "deep", "0 mrem", "W01"));
    assert_eq!(asked(&place), of("W08, W09"));
    place.done("report answer E-1 lens-extremity no --because \"both stood at the boundary\"");
    assert_eq!(asked(&place), None);
    assert!(may_go(&place, "W08"));
    place.done("event person E-1 --near W08=head");
    assert!(!may_go(&place, "W08"));
    let shown = place.done("event show E-1").out;
    assert!(shown.contains("near an unshielded"), "{shown}");
}

#[test]
fn a_lost_badge_stops_alike_until_there_is_another_and_the_dose_is_determined() {
    let place = Place::with_registers("in-event-lost");
    place.done(
        "badge issue --badge 0417 --worker W08 --type \"whole body\" --first-day 2026-06-01 \
         --last-day 2026-06-30",
    );
    place.done("badge lost --badge 0417 --on 2026-06-13");
    assert!(!may_go(&place, "W08"));
    place.done(
        "badge issue --badge 0418 --worker W08 --type \"whole body\" --first-day 2026-06-13 \
         --last-day 2026-06-30",
    );
    assert!(!may_go(&place, "W08"));
    place.done(
        "determination enter --worker W08 --badge 0417 --quantity deep --dose \"12 mrem\" --method \
         co-worker --basis \"W07 beside her\" --on 2026-06-14 --performed-by W01",
    );
    assert!(may_go(&place, "W08"));
}

/// The dose of a hand is open for the duties as long as it stops its owner.
#[test]
fn a_hand_that_was_near_is_unmeasured_for_the_duties_until_its_dose_is_determined() {
    let place = reached_in("in-event-duties");
    place.done(&determine("W09", "deep", "0 mrem", "W01"));
    let because = |place: &Place| {
        let notifications = data(place, "report show E-1");
        let mut clocks = list(&notifications["clocks"]).iter();
        let call = clocks.find(|it| it["duty"] == "at-once-20-2202");
        call.expect("the duty")["because"].to_string()
    };
    let open = "the dose of W07 was not measured";
    assert!(because(&place).contains(open), "{}", because(&place));
    place.done(&determine("W07", "deep", "12 mrem", "W01"));
    assert!(because(&place).contains(open), "{}", because(&place));
    place.done(&determine("W07", "extremity", "400 mrem", "W01"));
    assert!(!because(&place).contains(open), "{}", because(&place));
}

fn applies(place: &Place, duty: &str) -> Value {
    let notifications = data(place, "report show E-1");
    let clock = list(&notifications["clocks"])
        .iter()
        .find(|it| it["duty"] == duty);
    clock.expect("the duty")["applies"].clone()
}

#[test]
fn people_who_are_no_workers_count_at_the_high_end_against_the_limit_of_the_public() {
    let open = |name: &str, dose: &str| {
        let place = Place::with_registers(name);
        let sheet = place.file(
            "sheet.csv",
            format!("{HEADER}{}", crew("2026-06-14", "day")),
        );
        place.done(&format!("sheet import {sheet}"));
        place.done(&format!(
            "event open --kind disconnect --occurred 2026-06-14T13:40 --job J-1 --person \
             \"W07=cranked\" --person \"W08=surveyed\" --words \"source out\" --bystander \"a \
             family=lived beside it; member of the public; 4 people; {dose}\""
        ));
        place
    };
    let duty = "written-20-2203";
    let within = open("in-event-public-within", "1 to 100 mrem");
    assert_eq!(applies(&within, duty), "does not apply");
    let above = open("in-event-public-above", "1 to 100.1 mrem");
    assert_eq!(applies(&above, duty), "applies");
    // A year's limit of a worker is none of theirs: the low end alone leaves it open.
    let open_end = open("in-event-public-open", "at least 1 mrem");
    assert_ne!(applies(&open_end, duty), "does not apply");
    // `above` is at least, as in a determination.
    let dose = |place: &Place| data(place, "trace E-1")["people"][2]["estimate"].clone();
    let over = open("in-event-public-over", "above 100 mrem");
    assert_ne!(applies(&over, duty), "does not apply");
    assert_eq!(dose(&over), "at least 100 mrem");
    // The trace tells of nobody's dose as unknown that was estimated.
    assert_eq!(dose(&within), "1 mrem to 100 mrem");
    let text = |place: &Place| place.done("trace E-1").out;
    assert!(text(&within).contains("NONE: 1 mrem to 100 mrem, estimated"));
    let unknown = open("in-event-public-unknown", "dose unknown");
    assert_eq!(dose(&unknown), serde_json::Value::Null);
    assert!(text(&unknown).contains("NONE: dose not known"));
    assert_ne!(applies(&unknown, duty), "does not apply");
    let mut within = within;
    within.run("event show E-1");
    within.run("report show E-1");
    within.golden("in-event-public");
}

#[test]
fn what_is_not_said_of_people_who_are_no_workers_is_asked_for() {
    let mut place = reached_in("in-event-refused");
    for text in [
        "a family",
        "a family=lived beside it",
        "a family=lived beside it; member of the public; 4 people",
        "a family=lived beside it; 4 people; 9 mrem",
        "a family=lived beside it; public; 4 people; 9 mrem",
        "a family=lived beside it; member of the public; 0 people; 9 mrem",
        "a family=lived beside it; member of the public; 4 people; 9 to 1 mrem",
        "a family=lived beside it; member of the public; 4 people; 9",
        "a family=lived beside it; member of the public; 4 people; 9 mR",
        "W07=cranked; worker of another firm; 9 mrem",
    ] {
        let said = place.refused(&format!("event person E-1 --bystander \"{text}\""));
        assert!(said.err.contains("right:"), "{text}: {}", said.err);
    }
    place.refused("event person E-1 --person \"W08=kept the boundary\"");
    place.refused("event person E-1 --near W07=hand");
    place.golden("in-event-refused");
}

#[test]
fn a_role_that_is_no_radiation_work_wants_its_category_said() {
    let mut place = Place::with_registers("role-other");
    let add = "worker add --id W20 --name \"Edda Brook\" --role other --monitored-from 2026-06-01";
    place.refused(add);
    place.done(&format!("{add} --category other"));
    let head = "id,name,role,category,monitored_from\n";
    let file = place.file(
        "people.csv",
        format!("{head}W21,Ole Finch,other,,2026-06-01\n"),
    );
    place.refused(&format!("worker import {file}"));
    let file = place.file(
        "people.csv",
        format!("{head}W21,Ole Finch,other,exposed,2026-06-01\n"),
    );
    place.done(&format!("worker import {file}"));
    // A trainee is exposed unless something else is said.
    place
        .done("worker add --id W22 --name \"Una Lark\" --role trainee --monitored-from 2026-06-01");
    let entry = place
        .head()
        .split(':')
        .next()
        .unwrap_or_default()
        .to_owned();
    let amend = format!("entry correct {entry} --reason slip role=other");
    place.refused(&amend);
    place.done(&format!("{amend} category=other"));
    place.golden("role-other");
}

/// What each command says of the dose of W09: whether it has an upper bound.
fn bounded(place: &Place) -> Vec<(&'static str, bool)> {
    let out = |line: &str| place.quiet(line).out;
    let lists = out("dose lists --year 2026 --share 10");
    let open = lists.split("Without an upper bound").nth(1);
    let statement = out("dose statement W09 --year 2026");
    let leaver = out("dose leaver W09 --on 2026-06-15");
    let review = data(place, "review 2026-06").to_string();
    let crew = out("dose crew --year 2026");
    vec![
        (
            "dose show",
            !out("dose show W09 --year 2026").contains("undetermined"),
        ),
        ("dose crew", !crew.contains("undetermined")),
        ("dose lists", !open.expect("the list").contains("W09")),
        ("dose statement", !statement.contains("at least")),
        ("dose leaver", !leaver.contains("at least")),
        ("review", !review.contains("the deep dose was not measured")),
    ]
}

#[test]
fn a_dose_that_an_event_left_open_has_no_upper_bound_anywhere_until_it_is_determined() {
    let place = reached_in("in-event-open");
    for (command, bounded) in bounded(&place) {
        assert!(!bounded, "{command} gives W09 a dose with an upper bound");
    }
    place.done(&determine("W09", "deep", "0 mrem", "W01"));
    for (command, bounded) in bounded(&place) {
        assert!(bounded, "{command} still leaves the dose of W09 open");
    }
}

/// What an event left open is told by the state of the ledger that is asked, not by the first
/// that anybody asked.
#[test]
fn a_house_that_was_asked_of_an_earlier_day_tells_of_a_later_one_what_is_known_then() {
    let place = reached_in("in-event-states");
    let day = |text: &str| parse_day(text).expect("a day");
    let span = Span {
        first: day("2026-06-14"),
        last: day("2026-06-14"),
    };
    let ledger = Ledger::open(&place.ledger()).expect("the ledger");
    let asked = ledger.read(KnownAt::Now, |now| {
        let house = House::load(now)?;
        let worker = house.names.worker("W09")?.number();
        let open = |snapshot: &Snapshot<'_>| -> Result<usize, AnswerError> {
            let history = house.open(snapshot).history(worker, span)?;
            Ok(history.facts.unmeasured.len())
        };
        let before = now.until(day("2026-06-13"));
        Ok::<_, AnswerError>([open(&before)?, open(now)?, open(&before)?])
    });
    assert_eq!(asked.expect("an answer"), [0, 1, 0]);
}

/// Nobody is free of duties, and nobody goes back to the source, because the first rule set was
/// adopted the day after.
#[test]
fn an_event_from_before_the_first_rule_set_is_judged_by_the_earliest_and_says_so() {
    for (name, occurred, before) in [
        ("in-event-before", "2026-06-14T13:40", true),
        // It may have been before.
        (
            "in-event-perhaps",
            "between 2026-06-13 and 2026-06-15",
            true,
        ),
        ("in-event-after", "2026-06-15T05:40", false),
    ] {
        let place = Place::empty(name);
        place.done(&format!("{INIT} --from 2026-06-15"));
        for id in ["W07", "W08"] {
            place.done(&format!(
                "worker add --id {id} --name \"{id} Example\" --role radiographer \
                 --monitored-from 2026-06-01"
            ));
        }
        place.done("equipment add --id D-1 --type device --serial A1 --in-service 2026-01-01");
        place.done(&format!(
            "event open --kind disconnect --occurred \"{occurred}\" --discovered \
             2026-06-15T06:00 --equipment D-1 --person \"W07=cranked\" --words \"source out\""
        ));
        place.done("event happening E-1 lost-source --at 2026-06-15T06:10");
        let board = data(&place, "board");
        for (id, may) in [("W07", false), ("W08", true)] {
            let line = list(&board["people"]).iter().find(|it| it["worker"] == id);
            assert_eq!(
                line.expect("on the board")["may_go"],
                may,
                "{occurred}: {id}"
            );
        }
        for duty in ["call-30-50-b", "lost-20-2201-at-once", "written-34-101"] {
            assert_eq!(applies(&place, duty), "applies", "{occurred}: {duty}");
        }
        let shown = place.done("report show E-1").out;
        let flat = shown.split_whitespace().collect::<Vec<_>>().join(" ");
        let said = flat.contains("no rule set was in force here on 2026-06-1");
        assert_eq!(said, before, "{occurred}: {shown}");
        for line in [
            "event show E-1",
            "event list",
            "trace E-1",
            "worker show W07",
            "review 2026-06",
            "report list",
            "report answer E-1 no-redundant yes --because \"one drive\"",
        ] {
            place.done(line);
        }
    }
}

/// Whoever opens an event is told at once who stays in; so is whoever learns more about it.
#[test]
fn whom_an_event_keeps_in_is_told_where_it_is_written() {
    let place = Place::with_registers("in-event-told");
    let sheet = place.file(
        "sheet.csv",
        format!("{HEADER}{}", crew("2026-06-14", "day")),
    );
    place.done(&format!("sheet import {sheet}"));
    let stops = |line: &str| -> Vec<String> {
        let out = place.done(line).out;
        let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
        let told = flat
            .split("STOP: ")
            .nth(1)
            .and_then(|it| it.split(" stay").next());
        told.map_or_else(Vec::new, |it| it.split(", ").map(str::to_owned).collect())
    };
    let open = "event open --kind lock-failure --occurred 2026-06-14T13:40 --job J-1 --equipment \
                D-1 --person \"W07=cranked\" --person \"W09=kept the gate\" --words \"no lock\"";
    assert_eq!(stops(open), ["W09"]);
    assert_eq!(stops("event person E-1 --near W07=hand"), ["W07", "W09"]);
    place.done("report answer E-1 exposure-possible no --because \"the source was home\"");
    let board = data(&place, "board");
    let kept = list(&board["people"])
        .iter()
        .filter(|it| it["may_go"] == false);
    assert_eq!(kept.count(), 0);
    // That a source was out takes the answer back.
    assert_eq!(stops("event happening E-1 disconnect"), ["W07", "W09"]);
    place.done(&determine("W09", "deep", "0 mrem", "W01"));
    place.done(&determine("W07", "extremity", "40 mrem", "W01"));
    assert_eq!(stops("event happening E-1 loss-of-control"), [""; 0]);
}
