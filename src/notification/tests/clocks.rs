//! Which fact starts a clock and when it ends.

use super::*;
use crate::notification::deadline::deadline;
use crate::rule::Within;

/// The worked disconnect: happened 1 March, discovered 3 March.
#[test]
fn a_disconnect_has_three_clocks_of_its_own() {
    let found = us(&facts("disconnect"));
    let report = one(&found, "written-34-101");
    assert_eq!(report.start, Some(at("2026-03-01T13:40-06:00")));
    // 31 March by the calendar; the hour is that of the start, on a clock set forward since.
    assert_eq!(report.deadline, Some(at("2026-03-31T13:40-05:00")));
    let call = one(&found, "call-30-50-b");
    assert_eq!(call.start, Some(at("2026-03-03T08:00-06:00")));
    assert_eq!(call.deadline, Some(at("2026-03-04T08:00-06:00")));
    assert_eq!(call.left_minutes, Some(23 * 60));
    assert_eq!(call.state, State::Open);
    let follow = one(&found, "written-30-50");
    assert_eq!(follow.state, State::NotBegun);
    assert_eq!(follow.start, None);
    assert!(follow.latest);
    assert_eq!(follow.deadline, Some(at("2026-04-03T08:00-05:00")));
}

#[test]
fn the_follow_up_runs_from_the_call_and_not_from_its_deadline() {
    let mut asked = facts("disconnect");
    let called = at("2026-03-03T10:30-06:00");
    asked.done = vec![given("call-30-50-b", asked.discovered.at, called)];
    asked.now = at("2026-03-03T11:00-06:00");
    let found = us(&asked);
    assert_eq!(
        one(&found, "call-30-50-b").state,
        State::Done(asked.done[0].clone())
    );
    let follow = one(&found, "written-30-50");
    assert_eq!(follow.start, Some(called));
    assert_eq!(follow.deadline, Some(at("2026-04-02T10:30-05:00")));
    assert!(!follow.latest);
    // A late call does not make the earlier clock look kept.
    asked.done[0].at = at("2026-03-05T08:01-06:00");
    asked.now = asked.done[0].at;
    let found = us(&asked);
    assert_eq!(
        one(&found, "call-30-50-b").left_minutes,
        Some(-(24 * 60 + 1))
    );
}

/// 10 CFR 30.50(c)(2) asks it of a call under (a) as of one under (b), each by its own clock.
#[test]
fn each_of_two_calls_has_a_follow_up_of_its_own() {
    let mut asked = facts("drop-or-fire");
    answer(&mut asked, "prevents-protection", true);
    let follow = one(&us(&asked), "written-30-50-a").clone();
    assert_eq!(follow.state, State::NotBegun);
    // The call's four hours, and 30 days.
    assert_eq!(follow.deadline, Some(at("2026-04-02T12:00-05:00")));
    let called = at("2026-03-03T08:40-06:00");
    asked.done = vec![given("call-30-50-a", asked.discovered.at, called)];
    let found = us(&asked);
    assert_eq!(one(&found, "written-30-50-a").start, Some(called));
    assert_eq!(one(&found, "written-30-50").state, State::NotBegun);
}

/// Asked about a moment in the past, nothing looks done that was done later.
#[test]
fn what_was_told_or_answered_later_does_not_count_before() {
    let mut asked = facts("disconnect");
    let called = at("2026-03-04T07:30-06:00");
    asked.done = vec![given("call-30-50-b", asked.discovered.at, called)];
    asked.now = called;
    answer(&mut asked, "prevents-protection", false);
    let found = us(&asked);
    assert!(!one(&found, "call-30-50-b").is_open());
    assert_eq!(applies(&found, "call-30-50-a"), Some(Applies::No));
    asked.now = at("2026-03-04T07:29-06:00");
    let found = us(&asked);
    let call = one(&found, "call-30-50-b");
    assert_eq!((&call.state, call.left_minutes), (&State::Open, Some(31)));
    assert_eq!(one(&found, "written-30-50").state, State::NotBegun);
    assert_eq!(one(&found, "call-30-50-a").state, State::Overdue);
    assert!(found.stray.is_empty());
}

/// 10 CFR 20.2203(a): levels in an unrestricted area, whatever anybody's dose is.
#[test]
fn high_levels_in_an_unrestricted_area_are_reported_without_any_dose() {
    let mut asked = facts("disconnect");
    let found = us(&asked);
    let report = one(&found, "written-20-2203-area");
    assert_eq!(report.applies, Applies::May);
    assert_eq!(report.deadline, Some(at("2026-04-02T08:00-05:00")));
    assert_eq!(applies(&found, "written-20-2203"), Some(Applies::No));
    answer(&mut asked, "unrestricted-area", false);
    let found = us(&asked);
    assert_eq!(applies(&found, "written-20-2203-area"), Some(Applies::No));
    let dosimeter = us(&facts("off-scale-dosimeter"));
    let area = applies(&dosimeter, "written-20-2203-area");
    assert_eq!(area, Some(Applies::No));
}

#[test]
fn a_follow_up_of_a_call_that_was_never_made_is_overdue_in_the_end() {
    let mut asked = facts("disconnect");
    asked.now = at("2026-04-03T08:00-05:00");
    assert_eq!(one(&us(&asked), "written-30-50").state, State::NotBegun);
    asked.now = at("2026-04-03T08:01-05:00");
    assert_eq!(one(&us(&asked), "written-30-50").state, State::Overdue);
}

#[test]
fn a_clock_is_overdue_a_minute_after_its_end_and_not_at_it() {
    let mut asked = facts("disconnect");
    asked.now = at("2026-03-04T08:00-06:00");
    assert_eq!(one(&us(&asked), "call-30-50-b").state, State::Open);
    asked.now = at("2026-03-04T08:01-06:00");
    let found = us(&asked);
    let call = one(&found, "call-30-50-b");
    assert_eq!(
        (&call.state, call.left_minutes),
        (&State::Overdue, Some(-1))
    );
}

#[test]
fn a_leaking_source_is_reported_within_five_days_of_the_test() {
    let mut asked = facts("leaking-source");
    asked.tested = Some(at("2026-02-27T09:00-06:00"));
    let found = us(&asked);
    let report = one(&found, "leaking-source-34-27");
    assert_eq!(report.deadline, Some(at("2026-03-04T09:00-06:00")));
    // Without the test the earliest moment is taken, and that is said.
    asked.tested = None;
    let found = us(&asked);
    let report = one(&found, "leaking-source-34-27");
    assert_eq!(report.start, Some(asked.occurred.at));
    assert!(report.start_words.contains("not on record"));
    // Of other events it does not arise.
    let other = us(&facts("disconnect"));
    assert_eq!(applies(&other, "leaking-source-34-27"), Some(Applies::No));
}

#[test]
fn lost_material_is_told_when_it_is_known_and_in_writing_after_each_call() {
    let mut asked = facts("lost-source");
    asked.discovered = start("2026-03-03T07:00-06:00");
    let found = us(&asked);
    let now = one(&found, "lost-20-2201-at-once");
    let known = Some(asked.discovered.at);
    assert_eq!((now.applies, now.deadline), (Applies::Yes, known));
    assert_eq!(now.state, State::Overdue);
    let month = one(&found, "lost-20-2201-30-days");
    assert_eq!(month.deadline, Some(at("2026-04-02T07:00-05:00")));
    let called = at("2026-03-03T08:30-06:00");
    asked.done = vec![given(
        "lost-20-2201-at-once",
        at("2026-03-03T07:00-06:00"),
        called,
    )];
    answer(&mut asked, "still-missing", false);
    let found = us(&asked);
    assert_eq!(one(&found, "lost-20-2201-written").start, Some(called));
    let later = one(&found, "lost-20-2201-written-later");
    assert_eq!(later.state, State::NotApplicable);
}

/// What happened besides an event of 1 March 13:40, discovered on 3 March 8:00; when; the duty; the
/// start of its clock.
const BESIDES: [[&str; 5]; 8] = [
    [
        "disconnect",
        "lost-source",
        "2026-03-04T15:10-06:00",
        "lost-20-2201-at-once",
        "2026-03-04T15:10-06:00",
    ],
    [
        "disconnect",
        "lost-source",
        "2026-03-02T15:10-06:00",
        "lost-20-2201-at-once",
        "2026-03-03T08:00-06:00",
    ],
    [
        "disconnect",
        "lost-source",
        "2026-03-04T15:10-06:00",
        "written-34-101",
        "2026-03-01T13:40-06:00",
    ],
    [
        "disconnect",
        "lost-source",
        "2026-03-04T15:10-06:00",
        "call-30-50-b",
        "2026-03-03T08:00-06:00",
    ],
    [
        "overexposure",
        "disconnect",
        "2026-02-27T10:00-06:00",
        "written-34-101",
        "2026-02-27T10:00-06:00",
    ],
    [
        "overexposure",
        "disconnect",
        "2026-03-05T10:00-06:00",
        "written-34-101",
        "2026-03-05T10:00-06:00",
    ],
    [
        "overexposure",
        "disconnect",
        "2026-02-27T10:00-06:00",
        "call-30-50-b",
        "2026-03-03T08:00-06:00",
    ],
    [
        "disconnect",
        "transport-incident",
        "2026-03-05T10:00-06:00",
        "transport-171-16",
        "2026-03-05T10:00-06:00",
    ],
];

/// The clock of a rule counts from what the rule is about: 20.2201 from the loss, not from the
/// disconnect before it; 34.101 from the disconnect, whenever the overexposure was. It never
/// begins before the event's own discovery where it counts from that.
#[test]
fn what_happened_later_or_earlier_starts_its_own_clocks() {
    for [kind, besides, when, duty, expected] in BESIDES {
        let mut asked = facts(kind);
        asked.happenings.push(Happening {
            key: besides.to_owned(),
            entry: 11,
            at: Some(start(when)),
        });
        let found = us(&asked);
        let found = one(&found, duty);
        assert_eq!(
            found.start,
            Some(at(expected)),
            "{kind} {besides} {when}: {found:#?}"
        );
        // Nobody knows when: the event's own moments are taken, the earlier side.
        asked.happenings[1].at = None;
        let found = us(&asked);
        let of_event = [asked.occurred.at, asked.discovered.at].map(Some);
        assert!(
            of_event.contains(&one(&found, duty).start),
            "{kind} {besides}"
        );
    }
}

/// At the minute of discovery what is to be told at once is to be told now, whichever moment its
/// clock counts from; a minute later it is overdue by all of that time.
#[test]
fn at_once_is_now_at_the_minute_of_discovery() {
    let minute = chrono::TimeDelta::minutes(1);
    for (duty, late) in [("lost-20-2201-at-once", -1), ("at-once-20-2202", -2541)] {
        let mut asked = facts("lost-source");
        asked.doses = vec![dose(Quantity::Deep, "30 rem")];
        asked.now = asked.discovered.at;
        let found = us(&asked);
        let it = one(&found, duty);
        assert_eq!(
            (&it.state, it.left_minutes),
            (&State::Open, Some(0)),
            "{duty}"
        );
        asked.now += minute;
        let found = us(&asked);
        let it = one(&found, duty);
        assert_eq!(
            (&it.state, it.left_minutes),
            (&State::Overdue, Some(late)),
            "{duty}"
        );
        // A call at the minute of discovery is not late, one a minute later is.
        let start = it.start.expect("it has begun");
        for (after, left) in [(chrono::TimeDelta::zero(), 0), (minute, late)] {
            let told = asked.discovered.at + after;
            asked.done = vec![given(duty, start, told)];
            let found = us(&asked);
            assert_eq!(one(&found, duty).left_minutes, Some(left), "{duty}");
        }
    }
}

/// 10 CFR 21.21: four clocks, each from the one before.
#[test]
fn a_defect_has_a_chain_of_clocks() {
    let mut asked = facts("disconnect");
    let found = us(&asked);
    let evaluate = one(&found, "defect-21-21-evaluate");
    assert_eq!(evaluate.deadline, Some(at("2026-05-02T08:00-05:00")));
    // 2 May is a Saturday: five working days on is Friday the 8th.
    let officer = one(&found, "defect-21-21-officer");
    assert_eq!(officer.deadline, Some(at("2026-05-08T08:00-05:00")));
    let first = one(&found, "defect-21-21-first");
    assert_eq!(first.deadline, Some(at("2026-05-10T08:00-05:00")));
    let done = at("2026-03-06T09:00-06:00");
    asked.done = vec![given("defect-21-21-evaluate", asked.discovered.at, done)];
    asked.now = done;
    let found = us(&asked);
    // From a Friday: the next Friday.
    let officer = one(&found, "defect-21-21-officer");
    assert_eq!(officer.deadline, Some(at("2026-03-13T09:00-05:00")));
    let written = one(&found, "defect-21-21-written");
    assert_eq!(written.state, State::NotBegun);
    answer(&mut asked, "defect", false);
    let found = us(&asked);
    for duty in ["officer", "first", "written"] {
        let duty = format!("defect-21-21-{duty}");
        assert_eq!(one(&found, &duty).state, State::NotApplicable, "{duty}");
    }
}

#[test]
fn hours_are_hours_whatever_the_clocks_on_the_wall_do() {
    let zone = Zone::parse("America/Chicago").unwrap();
    for (start, end) in [
        // The clocks go forward in between, back in between, not at all.
        ("2026-03-07T20:00-06:00", "2026-03-08T21:00-05:00"),
        ("2026-10-31T20:00-05:00", "2026-11-01T19:00-06:00"),
        ("2026-06-01T20:00-05:00", "2026-06-02T20:00-05:00"),
    ] {
        assert_eq!(
            deadline(Within::Hours(24), at(start), zone),
            Some(at(end)),
            "{start}"
        );
    }
}

#[test]
fn days_end_at_the_hour_of_the_start_the_earlier_where_the_clocks_leave_a_choice() {
    let zone = Zone::parse("America/Chicago").unwrap();
    for (days, start, end) in [
        (30, "2026-02-06T02:30-06:00", "2026-03-08T01:30-06:00"),
        (30, "2026-10-02T01:30-05:00", "2026-11-01T01:30-05:00"),
        (1, "2026-10-31T12:00-05:00", "2026-11-01T12:00-06:00"),
        // Near midnight the calendar of the place counts, not that of the meridian.
        (30, "2026-03-01T23:30-06:00", "2026-03-31T23:30-05:00"),
        (30, "2028-02-01T08:00-06:00", "2028-03-02T08:00-06:00"),
    ] {
        assert_eq!(
            deadline(Within::Days(days), at(start), zone),
            Some(at(end)),
            "{start}"
        );
    }
}

#[test]
fn working_days_leave_out_saturdays_and_sundays_and_no_holidays() {
    for (days, start, end) in [
        (5, "2026-03-02", "2026-03-09"),
        (5, "2026-03-06", "2026-03-13"),
        (5, "2026-03-07", "2026-03-13"),
        (5, "2026-03-08", "2026-03-13"),
        (1, "2026-12-24", "2026-12-25"),
    ] {
        let start = at(&format!("{start}T08:00Z"));
        let end = at(&format!("{end}T08:00Z"));
        assert_eq!(
            deadline(Within::WorkingDays(days), start, Zone::UTC),
            Some(end)
        );
    }
}
