//! Work status, its clocks, and qualifications.

use super::levels::rule_set;
use super::sheet::us;
use super::table::{day, history};
use crate::calendar::parse_instant;
use crate::dose::index::DoseIndex;
use crate::dose::level::standings;
use crate::dose::qualification::*;
use crate::dose::work_status::*;
use crate::rule::{CheckKey, Severity};

const ON: &str = "2026-06-15";

fn at(text: &str) -> chrono::DateTime<chrono::Utc> {
    parse_instant(text).unwrap().to_utc()
}

pub(super) fn clear(lines: &str, facts: &WorkStatusFacts) -> WorkStatus {
    let history = history(&format!("born 1990-01-01\n{lines}"));
    let us = us();
    let index = DoseIndex::build(&history).unwrap();
    let standings = standings(&us, &history.facts, &index, day(ON)).unwrap();
    let now = at("2026-06-15T12:00:00Z");
    WorkStatus::of(&history, &standings, facts, &us, day(ON), now).unwrap()
}

fn causes(lines: &str) -> Vec<Cause> {
    let found = clear(lines, &WorkStatusFacts::default());
    // A stop is kept for what stops: the others ask somebody to act.
    let acts = [Cause::BadgeOverdue, Cause::Held, Cause::Instrument];
    let stops = |it: &&Reason| it.finding.severity == Severity::Stop;
    for it in &found.reasons {
        assert_eq!(stops(&it), !acts.contains(&it.cause), "{:?}", it.cause);
    }
    let stopped = found.reasons.iter().filter(stops).count();
    assert_eq!(found.may_work(), stopped == 0);
    // The most serious stand first.
    assert!(found.reasons.iter().take(stopped).all(|it| stops(&it)));
    found.reasons.iter().map(|it| it.cause).collect()
}

/// 10 CFR 34.47(d): no work until the dose is determined by the RSO or the
/// RSO's designee.
#[test]
fn an_off_scale_dosimeter_stops_until_the_dose_is_determined() {
    let off = "shift 2026-06-10 day: PD-1 0mR>- off-scale
        badge B1 2026-06-01 -\n";
    let rows: [(&str, &[Cause]); 11] = [
        ("", &[Cause::OffScale]),
        ("determined 2026-06-10/PD-1 30mrem", &[]),
        ("determined 2026-06-10/PD-1 30mrem until", &[]),
        ("determined 2026-06-10 30mrem", &[]),
        ("determined event:2026-06-10 30mrem", &[]),
        // The badge is still worn, and nobody said up to which day.
        ("determined B1 30mrem", &[Cause::OffScale]),
        ("determined 2026-06-10/PD-1 30mrem self", &[Cause::OffScale]),
        // What stands until a result stands until that is accepted.
        (
            "determined 2026-06-10/PD-1 30mrem until
             result B1 deep=30mrem lens=30mrem shallow=31mrem",
            &[],
        ),
        // A result alone rules nothing; the RSO's acceptance does.
        ("result B1 deep=30mrem", &[Cause::OffScale]),
        (
            "result B1 deep=30mrem lens=30mrem shallow=31mrem accepted",
            &[],
        ),
        // The report says nothing of lens and shallow dose: the convention
        // for photons does.
        ("result B1 deep=30mrem accepted", &[]),
    ];
    for (rest, expected) in rows {
        assert_eq!(causes(&format!("{off}{rest}")), expected, "{rest}");
    }
    let handed_in = "shift 2026-06-10 day: PD-1 0mR>- off-scale
        badge B1 2026-06-01 2026-06-11 returned
        determined B1 30mrem";
    assert_eq!(causes(handed_in), []);
    // Another reading's determination resolves nothing; what has not happened
    // yet stops nobody.
    let two = "shift 2026-06-10 day: PD-1 0mR>- off-scale, PD-2 0mR>5mR
        determined 2026-06-10/PD-2 5mrem";
    assert_eq!(causes(two), [Cause::OffScale]);
    assert_eq!(causes("shift 2026-06-16 day: PD-1 0mR>- off-scale"), []);
}

#[test]
fn a_dose_without_a_bound_says_which_days_and_entries_leave_it_open() {
    let lines = "shift 2026-06-08 day: PD-1 0mR>2mR
        shift 2026-06-10 day:
        shift 2026-06-12 day:";
    let found = clear(lines, &WorkStatusFacts::default());
    let finding = &found.reasons[0].finding;
    assert_eq!(
        finding.what,
        "deep, lens, shallow dose without an upper bound: 2026-06-10, 2026-06-12"
    );
    let shifts = history(&format!("born 1990-01-01\n{lines}")).shifts;
    assert_eq!(finding.entries, [shifts[1].entry, shifts[2].entry]);
    assert_eq!(finding.check, "undetermined");
    assert!(finding.remedy.contains("determine the dose of each day"));
}

#[test]
fn a_shift_that_nobody_measured_leaves_no_work_status() {
    assert_eq!(causes("shift 2026-06-10 day:"), [Cause::Undetermined]);
    assert_eq!(
        causes(
            "shift 2026-06-10 day:
             determined 2026-06-10 12mrem"
        ),
        []
    );
}

/// 10 CFR 34.47(d): an electronic dosimeter above 2 mSv.
#[test]
fn above_the_shift_level_stops_until_the_dose_is_determined() {
    let facts = WorkStatusFacts {
        over_shift_level: vec![OverShiftLevel {
            sheet: 2,
            words: "ED-1 shows 201 mrem".to_string(),
        }],
        ..WorkStatusFacts::default()
    };
    let lines = "shift 2026-06-10 day: ED-1 0mSv>2.01mSv\n";
    let found = clear(lines, &facts);
    assert_eq!(found.reasons[0].cause, Cause::OverShiftLevel);
    assert!(found.reasons[0].finding.what.contains("201 mrem"));
    let found = clear(&format!("{lines}determined 2026-06-10 201mrem"), &facts);
    assert!(found.may_work());
}

/// 10 CFR 34.47(e): until a replacement is provided and the dose from issue to
/// loss is calculated.
#[test]
fn a_lost_badge_stops_until_replaced_and_calculated() {
    for state in ["lost", "damaged"] {
        let lost = format!("badge B1 2026-06-01 2026-06-10 {state}\n");
        let both = "no replacement and no calculated dose";
        let rows = [
            ("", both),
            ("badge B2 2026-06-10 -", "no calculated dose"),
            ("determined B1 12mrem", "no replacement"),
            ("badge B2 2026-06-09 - ", both),
            ("badge B2 2026-06-16 - ", both),
            ("determined B1 12mrem adds lens", both),
        ];
        for (rest, expected) in rows {
            let found = clear(&format!("{lost}{rest}"), &WorkStatusFacts::default());
            assert_eq!(found.reasons.len(), 1, "{rest}");
            let what = &found.reasons[0].finding.what;
            assert!(what.ends_with(&format!(": {expected}")), "{rest}: {what}");
        }
        let done = format!(
            "{lost}badge B2 2026-06-10 -
             determined B1 12mrem"
        );
        assert_eq!(causes(&done), []);
    }
}

/// 10 CFR 34.47(a)(3): at most three months, in the rule set's interval; a film's
/// one month is the day planned for it.
#[test]
fn a_badge_past_its_exchange_is_still_worn_and_asks_somebody_to_act() {
    let rows: [(&str, &[Cause]); 4] = [
        ("badge B1 2026-03-15 -", &[]),
        ("badge B1 2026-03-14 -", &[Cause::BadgeOverdue]),
        // The site's own earlier day counts.
        ("badge B1 2026-06-01 - 2026-06-14", &[Cause::BadgeOverdue]),
        ("badge B1 2026-01-01 2026-03-31 returned", &[]),
    ];
    for (lines, expected) in rows {
        assert_eq!(causes(lines), expected, "{lines}");
    }
}

/// 10 CFR 34.47(a)(3): all badges are evaluated at least quarterly, those that are read on demand
/// three months after their issue or last read, whatever the first day of wear since.
#[test]
fn a_badge_past_its_read_on_demand_asks_somebody_to_act() {
    let overdue: &[Cause] = &[Cause::BadgeOverdue];
    let rows: [(&str, &[Cause]); 6] = [
        ("badge B1 2026-03-15 - on-demand", &[]),
        ("badge B1 2026-03-14 - on-demand", overdue),
        ("badge B1 2026-03-16 - last-read=2026-03-15", &[]),
        ("badge B1 2026-03-15 - last-read=2026-03-14", overdue),
        // The end of its use is an end all the same.
        ("badge B1 2026-06-01 - on-demand 2026-06-14", overdue),
        ("badge B1 2026-01-01 2026-03-31 on-demand returned", &[]),
    ];
    for (lines, expected) in rows {
        assert_eq!(causes(lines), expected, "{lines}");
    }
    let found = clear(
        "badge B1 2026-03-14 - on-demand",
        &WorkStatusFacts::default(),
    );
    let finding = &found.reasons[0].finding;
    assert_eq!(finding.check, "badge-read");
    assert_eq!(
        finding.what,
        "badge B1 was due for a read on demand by 2026-06-14, by the rule set's interval"
    );
    assert!(finding.cited().ends_with("(to be confirmed)"));
}

#[test]
fn a_read_is_due_on_the_same_day_three_months_on_or_the_last_of_that_month() {
    let us = us();
    for (from, planned, due) in [
        ("2026-03-31", "2028-12-31", "2026-06-30"),
        ("2025-11-30", "2028-12-31", "2026-02-28"),
        ("2026-01-01", "2028-12-31", "2026-04-01"),
        ("2026-01-01", "2026-04-01", "2026-04-01"),
        ("2026-01-01", "2026-03-31", "2026-03-31"),
    ] {
        assert_eq!(read_due(&us, day(from), day(planned)), day(due), "{from}");
    }
    // Where the rule set names no interval, the day that the site planned.
    let planned = day("2026-12-31");
    let due = read_due(&rule_set("EU"), day("2026-01-01"), planned);
    assert_eq!(due, planned);
}

#[test]
fn where_badges_are_kept_nobody_works_without_one() {
    let facts = WorkStatusFacts {
        needs_badge: true,
        ..WorkStatusFacts::default()
    };
    let cause = |lines: &str| clear(lines, &facts).reasons.first().map(|it| it.cause);
    assert_eq!(cause(""), Some(Cause::NoBadge));
    assert_eq!(cause("badge B1 2026-06-01 -"), None);
    assert_eq!(cause("badge B1 2026-06-16 -"), Some(Cause::NoBadge));
    assert_eq!(cause("badge R1 2026-06-01 - ring"), Some(Cause::NoBadge));
}

#[test]
fn a_limit_reached_on_the_conservative_stops_and_missing_quarters_do_not() {
    let rows: [(&str, &[Cause]); 5] = [
        ("shift 2026-06-10 day: ED-1 0mrem>4999mrem", &[]),
        ("shift 2026-06-10 day: ED-1 0mrem>5000mrem", &[Cause::Limit]),
        // A result that nobody accepted.
        (
            "shift 2026-06-10 day: ED-1 0mrem>10mrem
             badge B1 2026-06-01 2026-06-12 returned
             result B1 deep=5100mrem",
            &[Cause::Limit],
        ),
        (
            "missing 2026 1 exposed
             missing 2026 2 exposed
             missing 2026 3 exposed
             missing 2026 4 exposed",
            &[],
        ),
        // A declared pregnancy whose budget is gone.
        (
            "shift 2026-03-10 day: PD-1 0mR>180mR
             pregnancy 2026-05-01 conceived 2026-02-01
             shift 2026-05-02 day: PD-1 0mR>190mR
             shift 2026-05-03 day: PD-1 0mR>190mR",
            &[Cause::Limit],
        ),
    ];
    for (lines, expected) in rows {
        assert_eq!(causes(lines), expected, "{lines}");
    }
}

#[test]
fn held_items_instruments_and_qualifications_stand_with_their_words() {
    let us = us();
    let facts = WorkStatusFacts {
        held: vec![HeldItem {
            entry: 9,
            words: "end below start".to_string(),
        }],
        instruments: vec![
            Assigned {
                id: "RM-02".to_string(),
                kind: "alarm ratemeter".to_string(),
                rule: CheckKey::RatemeterCalibration,
                in_force: false,
                words: "calibration overdue since 2026-06-01".to_string(),
                entries: vec![4],
            },
            Assigned {
                id: "PD-01".to_string(),
                kind: "pocket dosimeter".to_string(),
                rule: CheckKey::ResponseCheck,
                in_force: true,
                words: "until 2026-09-01".to_string(),
                entries: vec![5],
            },
        ],
        duties: duties(
            &Qualifications {
                acts: true,
                training: vec![Done {
                    entry: 7,
                    on: day("2025-06-14"),
                }],
                inspections: vec![Done {
                    entry: 8,
                    on: day("2026-03-01"),
                }],
                ..Qualifications::default()
            },
            &us,
            day(ON),
        ),
        ..WorkStatusFacts::default()
    };
    let found = clear("", &facts);
    let said: Vec<(Cause, &str)> = found
        .reasons
        .iter()
        .map(|it| (it.cause, it.finding.what.as_str()))
        .collect();
    assert_eq!(
        said,
        [
            (
                Cause::Qualification,
                "refresher training lapsed since 2026-06-15"
            ),
            (
                Cause::Held,
                "on hold, the RSO must resolve it: end below start"
            ),
            (
                Cause::Instrument,
                "alarm ratemeter RM-02: calibration overdue since 2026-06-01"
            ),
        ]
    );
    assert_eq!(found.reasons[0].finding.citation, "10 CFR 34.43(d)");
    assert_eq!(found.reasons[2].finding.citation, "10 CFR 34.47(g)(4)");
}

/// 10 CFR 34.47(d): the badge is sent within 24 hours.
#[test]
fn a_clock_says_what_is_left_and_never_more() {
    let started = |at_: &str, done: Option<&str>| Started {
        on_demand: false,
        entry: 3,
        what: "send badge 0417".to_string(),
        at: at(at_),
        done: done.map(at),
    };
    let rows = [
        ("2026-06-14T22:30:00Z", None, "10 h 30 min left"),
        ("2026-06-14T22:30:59Z", None, "10 h 30 min left"),
        ("2026-06-14T12:00:00Z", None, "0 h 0 min left"),
        ("2026-06-14T11:59:59Z", None, "overdue by 0 h 1 min"),
        ("2026-06-14T10:00:00Z", None, "overdue by 2 h 0 min"),
        (
            "2026-06-13T10:00:00Z",
            Some("2026-06-14T10:00:00Z"),
            "done in time",
        ),
        (
            "2026-06-13T10:00:00Z",
            Some("2026-06-14T12:30:00Z"),
            "done 2 h 30 min late",
        ),
    ];
    for (begun, done, expected) in rows {
        let facts = WorkStatusFacts {
            clocks: vec![started(begun, done)],
            ..WorkStatusFacts::default()
        };
        let found = clear("", &facts);
        let said = found.clocks[0].to_string();
        let rule = "(within 24 hours: 10 CFR 34.47(d))";
        assert_eq!(said, format!("send badge 0417: {expected} {rule}"));
        assert_eq!(found.clocks[0].citation, "10 CFR 34.47(d)");
    }
    // A read has the rule of its own.
    let read = Started {
        on_demand: true,
        ..started("2026-06-14T22:30:00Z", None)
    };
    let facts = WorkStatusFacts {
        clocks: vec![read],
        ..WorkStatusFacts::default()
    };
    let found = clear("", &facts);
    assert_eq!(found.clocks[0].left_minutes, 630);
    assert_eq!(
        found.clocks[0].citation,
        "10 CFR 34.47(d), changed in 2020 (85 FR 15347) (to be confirmed)"
    );
}
