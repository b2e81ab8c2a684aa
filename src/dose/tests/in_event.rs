//! Who may work on after an event: facts, and stop or none.

use super::sheet::us;
use super::table::{day, history};
use crate::dose::work_status::*;
use crate::record::NearPart;
use crate::rule::Severity;

const IN: &str = "badge B1 2026-06-01 -\nshift 2026-06-10 day: PD-1 0mR>3mR\n";

fn part(near: &[NearPart], unworn: bool) -> InEvent {
    InEvent {
        event: "E-1".to_owned(),
        entry: 77,
        days: [day("2026-06-10")].into(),
        unworn,
        near: near.to_vec(),
    }
}

fn stopped(lines: &str, it: InEvent) -> Option<String> {
    let history = history(&format!("born 1990-01-01\n{lines}"));
    let found = stops(&history, &[it], &us(), day("2026-06-15")).unwrap();
    let found: Vec<_> = found
        .into_iter()
        .filter(|it| it.cause == Cause::InEvent)
        .collect();
    assert!(found.len() <= 1);
    let one = found.into_iter().next()?.finding;
    assert_eq!(one.severity, Severity::Stop);
    assert_eq!(one.entries, [77]);
    assert!(one.remedy.contains("wearbook determination enter"));
    Some(one.what)
}

#[test]
fn at_the_boundary_with_a_reading_nobody_is_stopped() {
    assert_eq!(stopped(IN, part(&[], false)), None);
    // Another part of the question: nobody stops for lens and hands that were not near.
    let history = history(&format!("born 1990-01-01\n{IN}"));
    let settling = Settling::of(&history).unwrap();
    assert!(!settling.knows_lens_and_extremities(&part(&[], false)));
}

#[test]
fn whom_nobody_measured_stops_until_the_deep_dose_is_determined_or_a_result_accepted() {
    let why = Some("dose in E-1 not determined: the deep dose was not measured".to_owned());
    let rows: [(&str, bool); 11] = [
        ("", true),
        // A shift of another day says nothing of this one.
        ("shift 2026-06-09 day: PD-1 0mR>3mR", true),
        ("shift 2026-06-10 day:", true),
        ("shift 2026-06-10 day: PD-1 0mR>3mR", false),
        // The night before ran into the day.
        ("shift 2026-06-09 night over: PD-1 0mR>3mR", false),
        ("determined 2026-06-10..2026-06-10 0mrem", false),
        ("determined 2026-06-10..2026-06-10 3mrem adds", false),
        ("determined 2026-06-10..2026-06-10 3mrem lens", true),
        ("determined 2026-06-11..2026-06-11 3mrem", true),
        (
            "badge B1 2026-06-01 2026-06-14 returned\nresult B1 deep=30mrem",
            true,
        ),
        (
            "badge B1 2026-06-01 2026-06-14 returned\nresult B1 deep=30mrem accepted",
            false,
        ),
    ];
    for (lines, stops) in rows {
        let expected = why.clone().filter(|_| stops);
        assert_eq!(stopped(lines, part(&[], false)), expected, "{lines}");
    }
    // Nobody determines a dose of their own alone.
    let own = "determined 2026-06-10..2026-06-10 0mrem self";
    assert_eq!(stopped(own, part(&[], false)), why);
}

/// Of an event of which only the month is known, the days count on which the person is known to
/// have been at work.
#[test]
fn of_several_days_those_count_on_which_somebody_was_at_work() {
    let june = || InEvent {
        days: (1..=30)
            .map(|it| day(&format!("2026-06-{it:02}")))
            .collect(),
        ..part(&[], false)
    };
    let rows: [(&str, bool); 6] = [
        // Nobody knows of any day: then of none.
        ("", true),
        ("shift 2026-06-10 day: PD-1 0mR>3mR", false),
        (
            "shift 2026-06-10 day: PD-1 0mR>3mR\nshift 2026-06-12 day: PD-1 0mR>1mR",
            false,
        ),
        // It may have been the day without a reading.
        (
            "shift 2026-06-10 day: PD-1 0mR>3mR\nshift 2026-06-12 day:",
            true,
        ),
        ("determined 2026-06-01..2026-06-30 9mrem", false),
        ("determined 2026-06-01..2026-06-29 9mrem", true),
    ];
    for (lines, stops) in rows {
        assert_eq!(stopped(lines, june()).is_some(), stops, "{lines}");
    }
}

#[test]
fn who_wore_no_dosimeter_stops_until_a_determination_and_no_result_ends_it() {
    let why = Some("dose in E-1 not determined: no dosimeter worn, so no deep dose".to_owned());
    let result = "result B1 deep=30mrem accepted";
    assert_eq!(stopped(IN, part(&[], true)), why);
    assert_eq!(stopped(&format!("{IN}{result}"), part(&[], true)), why);
    let determined = "determined 2026-06-10..2026-06-10 12mrem";
    assert_eq!(stopped(&format!("{IN}{determined}"), part(&[], true)), None);
    // The sheet says it as well as the event.
    let sheet = "shift 2026-06-10 day no-badge: PD-1 0mR>3mR";
    assert_eq!(stopped(sheet, part(&[], false)), why);
    let unsaid = "shift 2026-06-10 day badge-unsaid: PD-1 0mR>3mR";
    assert_eq!(stopped(unsaid, part(&[], false)), None);
}

#[test]
fn what_was_near_stops_until_a_dose_of_that_part_is_known() {
    use NearPart::{Foot, Hand, Head, Trunk};
    let ring = "badge R1 2026-06-01 2026-06-14 ring returned\nresult R1 extremity=90mrem";
    let trunk = "result B1 deep=3mrem lens=3mrem shallow=3mrem extremity=3mrem accepted";
    let determined = |what: &str| format!("determined 2026-06-10..2026-06-10 90mrem {what}");
    let rows: [(NearPart, String, bool); 15] = [
        (Hand, String::new(), true),
        (Foot, String::new(), true),
        (Head, String::new(), true),
        (Trunk, String::new(), true),
        // The badge on the trunk bounds no hand and no lens.
        (Hand, trunk.to_owned(), true),
        (Head, trunk.to_owned(), true),
        (Trunk, trunk.to_owned(), false),
        (Hand, determined("extremity"), false),
        (Hand, determined("lens"), true),
        (Hand, determined(""), true),
        (Head, determined("lens"), false),
        (Head, determined("extremity"), true),
        (Trunk, determined(""), false),
        (Hand, ring.to_owned(), true),
        (Hand, format!("{ring} accepted"), false),
    ];
    for (near, lines, stops) in rows {
        let found = stopped(&format!("{IN}{lines}"), part(&[near], false));
        assert_eq!(found.is_some(), stops, "{near:?} {lines}");
    }
    let both = stopped(IN, part(&[Hand, Head], false)).unwrap();
    assert_eq!(
        both,
        "dose in E-1 not determined: hand near an unshielded source, so no extremity dose; head \
         near an unshielded source, so no lens dose"
    );
}

#[test]
fn the_question_about_lens_and_extremities_is_one_for_all_and_says_how_it_is_answered() {
    let us = us();
    assert_eq!(beside_question(&us, ("E-1", 77), &[], false), None);
    let people = ["W03".to_owned(), "W05".to_owned()];
    let asked = beside_question(&us, ("E-1", 77), &people, false).unwrap();
    assert_eq!(asked.severity, Severity::Act);
    assert_eq!(asked.what, "lens and extremities of W03, W05: not recorded");
    assert!(
        asked
            .remedy
            .contains("wearbook report answer E-1 lens-extremity no --because WHY")
    );
}
