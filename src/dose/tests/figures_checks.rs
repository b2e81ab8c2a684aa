//! The figures of a sheet: each row changes one thing on a sheet on which all is well, and stands
//! beside a near miss on the other side.

use super::checks::{Row, hold};
use super::sheet::{person, pocket, sheet, us};
use super::table::day;
use crate::dose::checks::input::*;
use crate::dose::checks::sheet_findings;
use crate::quantity::{DoseRate, Length};
use crate::record::{Role, Work};
use crate::rule::{RuleSet, offer};

const NAME: &str = "2026-06-14 night";

fn rate(text: &str) -> DoseRate {
    DoseRate::parse_meter_rate(text, None).unwrap()
}

fn boundary(s: &mut SheetFacts, read: &str, seconds: Option<i64>) {
    s.figures.boundary = Some(rate(read));
    s.figures.source_out_s = seconds;
}

fn survey(s: &mut SheetFacts, read: &str, expected: &str) {
    s.storage_survey = Some(rate(read));
    s.figures.expected = Some(Expected {
        rate: rate(expected),
        surveys: 3,
        entry: 40,
        on: day("2026-05-01"),
        read: rate("30 mR/h"),
        decayed: true,
    });
}

fn away(s: &mut SheetFacts, seconds: i64, minutes: i64, of_device: bool) {
    s.figures.source_out_s = Some(seconds);
    s.figures.away = Some(Away { minutes, of_device });
}

/// The words of the findings of a changed sheet.
fn said(rule_set: &RuleSet, change: impl Fn(&mut SheetFacts)) -> Vec<String> {
    let mut sheet = sheet();
    change(&mut sheet);
    let found = sheet_findings(&sheet, rule_set, rule_set);
    found.into_iter().map(|it| it.what).collect()
}

#[test]
fn the_busiest_hour_at_the_boundary_is_all_minutes_up_to_sixty() {
    const ACT: &[&str] = &["act boundary-rate 2026-06-14 night"];
    let rows: &[Row] = &[
        (
            "2 mR/h for a whole hour is not above 2 mrem",
            |s| boundary(s, "2 mR/h", Some(3_600)),
            &[],
        ),
        (
            "nor for four: no hour has more than 60 minutes",
            |s| boundary(s, "2 mR/h", Some(4 * 3_600)),
            &[],
        ),
        (
            "2.1 mR/h for 57 min is 1.995 mrem",
            |s| boundary(s, "2.1 mR/h", Some(57 * 60)),
            &[],
        ),
        (
            "2.1 mR/h for 58 min is 2.03 mrem",
            |s| boundary(s, "2.1 mR/h", Some(58 * 60)),
            ACT,
        ),
        (
            "in sievert, as much as allowed",
            |s| boundary(s, "0.24 mSv/h", Some(300)),
            &[],
        ),
        (
            "a second longer",
            |s| boundary(s, "0.24 mSv/h", Some(301)),
            ACT,
        ),
        (
            "without minutes the whole hour is taken: 2 mR/h is not above",
            |s| boundary(s, "2 mR/h", None),
            &[],
        ),
        (
            "without minutes, 2.01 mR/h",
            |s| boundary(s, "2.01 mR/h", None),
            ACT,
        ),
        (
            "the source was never out",
            |s| boundary(s, "5 mR/h", Some(0)),
            &[],
        ),
    ];
    hold(rows);
}

#[test]
fn what_is_taken_for_the_busiest_hour_is_said() {
    let words = [
        (
            Some(95 * 60),
            "60 of the 95 min that the source was out, taken as of one hour",
        ),
        (
            Some(50 * 60),
            "all 50 min that the source was out, taken as of one hour",
        ),
        (
            None,
            "the sheet does not say how long the source was out: the whole hour",
        ),
    ];
    for (seconds, words) in words {
        let said = said(&us(), |s| boundary(s, "3 mR/h", seconds));
        assert!(said[0].contains(words), "{said:?}");
    }
    let said = said(&us(), |s| boundary(s, "3 mR/h", Some(50 * 60)));
    let start = "2026-06-14 night: 3 mrem/h at the boundary comes to up to 2.5 mrem in one hour";
    assert!(said[0].starts_with(start), "{said:?}");
    assert!(
        said[0].ends_with("above 2 mrem (10 CFR 20.1301(a)(2))"),
        "{said:?}"
    );
}

#[test]
fn another_rule_set_has_its_own_figure_at_the_boundary_or_none() {
    let of = |name: &str| RuleSet::parse(offer(name).unwrap().text).unwrap();
    let at =
        |rule_set: &RuleSet, read: &str| said(rule_set, |s| boundary(s, read, Some(3_600))).len();
    for (name, read, count) in [
        ("Canada", "0.1 mSv/h", 0),
        ("Canada", "0.101 mSv/h", 2),
        ("IAEA", "0.101 mSv/h", 0),
    ] {
        assert_eq!(at(&of(name), read), count, "{name} {read}");
    }
}

/// SOR/2000-207 s. 30(6): 0.1 mSv in a week. By the sheet alone, and by the whole time where it
/// does not say how long the source was out.
#[test]
fn a_sheet_that_gives_the_public_more_than_a_weeks_dose_is_found() {
    let canada = RuleSet::parse(offer("Canada").unwrap().text).unwrap();
    let away = |minutes, of_device| Some(Away { minutes, of_device });
    for (read, seconds, away, words) in [
        ("0.1 mSv/h", Some(3_600), None, None),
        (
            "0.1 mSv/h",
            Some(3_601),
            None,
            Some("for the 61 min that the source was out comes to up to 0.100028 mSv"),
        ),
        // Ten hours at 10 uSv/h are 0.1 mSv.
        ("10 uSv/h", None, away(600, false), None),
        (
            "10 uSv/h",
            None,
            away(601, false),
            Some("for the 601 min that the shift lasted comes to up to 0.100167 mSv"),
        ),
        (
            "10 uSv/h",
            None,
            away(601, true),
            Some("for the 601 min that the device was out"),
        ),
        ("4 uSv/h", None, None, None),
        (
            "5 uSv/h",
            None,
            None,
            Some("for the 1440 min of a whole day, since the sheet has no hours, comes to"),
        ),
    ] {
        let said = said(&canada, |s| {
            boundary(s, read, seconds);
            s.figures.away = away;
        });
        match words {
            None => assert_eq!(said, [""; 0], "{read}"),
            Some(words) => {
                let [one] = said.as_slice() else {
                    panic!("{read}: {said:?}")
                };
                assert!(one.contains(words), "{one}");
                let limit = "by this sheet alone, above 0.1 mSv in a week (SOR/2000-207 s. 30(6))";
                assert!(one.contains(limit), "{one}");
            }
        }
    }
}

#[test]
fn a_storage_survey_is_held_against_the_surface_limit_and_the_earlier_ones() {
    const STOP: &[&str] = &["stop storage-survey-limit 2026-06-14 night"];
    const ACT: &[&str] = &["act storage-survey-rise 2026-06-14 night"];
    hold(&[
        (
            "as much as a device may show at its surface",
            |s| s.storage_survey = Some(rate("200 mR/h")),
            &[],
        ),
        (
            "more",
            |s| s.storage_survey = Some(rate("200.1 mR/h")),
            STOP,
        ),
        (
            "twice what is expected",
            |s| survey(s, "40 mR/h", "20 mR/h"),
            &[],
        ),
        (
            "more than twice",
            |s| survey(s, "40.1 mR/h", "20 mR/h"),
            ACT,
        ),
        (
            "the same with an older source: less is expected",
            |s| survey(s, "40 mR/h", "19.9 mR/h"),
            ACT,
        ),
        (
            "lower than expected",
            |s| survey(s, "3 mR/h", "20 mR/h"),
            &[],
        ),
        (
            "above the limit and risen: the stop says it",
            |s| survey(s, "300 mR/h", "20 mR/h"),
            STOP,
        ),
        (
            "nothing earlier on record",
            |s| s.storage_survey = Some(rate("90 mR/h")),
            &[],
        ),
    ]);
    let said = said(&us(), |s| survey(s, "41 mR/h", "20 mR/h"));
    assert_eq!(
        said[0],
        "2026-06-14 night: the storage survey read 41 mrem/h, more than 2 times the 20 mrem/h \
         (an estimate) that the last 3 surveys of the device lead to expect (the middle one: \
         30 mrem/h on 2026-05-01; decayed by the sources loaded then and now)"
    );
}

fn surveyed_at(s: &mut SheetFacts, read: &str, at: &str) {
    s.storage_survey = Some(rate(read));
    s.storage_distance = Some(Length::parse(at, None).unwrap());
}

/// 2 mrem/h at 1 m is the portable class of the design standard, the lowest; nearer and beyond
/// there is no limit.
#[test]
fn a_storage_survey_is_held_against_the_limit_of_its_own_distance() {
    const STOP: &[&str] = &["stop storage-survey-limit 2026-06-14 night"];
    const WATCH: &[&str] = &["watch storage-survey-distance 2026-06-14 night"];
    hold(&[
        ("the limit at 1 m", |s| surveyed_at(s, "2 mR/h", "1 m"), &[]),
        ("above it", |s| surveyed_at(s, "2.1 mR/h", "100 cm"), STOP),
        ("far above", |s| surveyed_at(s, "90 mR/h", "1 m"), STOP),
        (
            "above it farther off",
            |s| surveyed_at(s, "3 mR/h", "2 m"),
            STOP,
        ),
        ("farther off", |s| surveyed_at(s, "1 mR/h", "2 m"), WATCH),
        ("nearer", |s| surveyed_at(s, "90 mR/h", "30 cm"), WATCH),
        (
            "nearer, as much as at the surface",
            |s| surveyed_at(s, "200 mR/h", "1 ft"),
            WATCH,
        ),
        (
            "nearer, above the surface",
            |s| surveyed_at(s, "201 mR/h", "1 ft"),
            STOP,
        ),
        ("at no distance", |s| surveyed_at(s, "200 mR/h", "0 m"), &[]),
    ]);
    let words = |rule_set: &RuleSet, read: &str, at: &str| -> String {
        let found = said(rule_set, |s| surveyed_at(s, read, at));
        found.first().cloned().unwrap_or_default()
    };
    let high = words(&us(), "900 mR/h", "1 m");
    assert!(
        high.contains("900 mrem/h at 1 m, above 2 mrem/h at 1 m (10 CFR"),
        "{high}"
    );
    let canada = RuleSet::parse(offer("Canada").unwrap().text).unwrap();
    let none = words(&canada, "90 mR/h", "1 m");
    assert!(
        none.ends_with("not comparable: written at 1 m, the limit is at the surface"),
        "{none}"
    );
    let high = words(&canada, "900 mR/h", "1 m");
    assert!(
        high.contains("at 1 m, above 2 mSv/h even at the surface"),
        "{high}"
    );
}

#[test]
fn a_source_is_not_out_for_longer_than_its_device() {
    const ACT: &[&str] = &["act source-out-too-long 2026-06-14 night"];
    hold(&[
        ("as long as the device", |s| away(s, 3_600, 60, true), &[]),
        ("a second longer", |s| away(s, 3_601, 60, true), ACT),
        ("as long as the shift", |s| away(s, 28_800, 480, false), &[]),
        (
            "longer than the shift",
            |s| away(s, 28_860, 480, false),
            ACT,
        ),
        ("no hours", |s| s.figures.source_out_s = Some(90_000), &[]),
    ]);
}

#[test]
fn a_source_in_the_wrong_device_and_hours_that_had_not_come_are_told() {
    let found = said(&us(), |s| {
        s.figures.misplaced = Some(Misplaced {
            source: "SA-10".to_owned(),
            device: "ED-A".to_owned(),
            instead: "ED-A holds SA-04".to_owned(),
            entry: 30,
        });
        s.figures.ahead = Some(Ahead {
            hours: vec!["device back 15:50".to_owned()],
            written: "2026-06-14 15:10".to_owned(),
        });
    });
    let words = [
        format!("{NAME}: the sheet names SA-10 in ED-A; by the ledger ED-A holds SA-04"),
        format!(
            "{NAME}: written at 2026-06-14 15:10, before hours that stand on it: device back 15:50"
        ),
    ];
    assert_eq!(found, words);
}

/// A crew is judged by who is qualified: the word in the role field alone makes nobody one.
#[test]
fn a_radiographer_without_certification_is_not_one_of_two() {
    const ACT: &[&str] = &["act two-person 2026-06-14 night"];
    hold(&[
        (
            "the radiographer is certified",
            |s| s.people[0].certified = Some(true),
            &[],
        ),
        (
            "the ledger keeps no qualifications",
            |s| s.people[0].certified = None,
            &[],
        ),
        (
            "the only radiographer is not",
            |s| s.people[0].certified = Some(false),
            ACT,
        ),
        (
            "of an assistant none is asked",
            |s| s.people[1].certified = Some(false),
            &[],
        ),
        (
            "two radiographers, the second without",
            |s| {
                s.people[1].role = Role::Radiographer;
                s.people[1].certified = Some(false);
            },
            ACT,
        ),
        (
            "and an assistant with the first",
            |s| {
                s.people[1].role = Role::Radiographer;
                s.people[1].certified = Some(false);
                s.people
                    .push(person("W03", Role::Assistant, pocket("PD-3 0mR>5mR")));
            },
            &[],
        ),
        (
            "the RSO is judged like a radiographer",
            |s| {
                s.people[0].role = Role::Rso;
                s.people[0].certified = Some(false);
            },
            ACT,
        ),
        (
            "no radiography",
            |s| {
                s.work = Work::Transport;
                s.people[0].certified = Some(false);
            },
            &[],
        ),
    ]);
    let words = said(&us(), |s| s.people[0].certified = Some(false));
    assert_eq!(
        words[0],
        "2026-06-14 night: no radiographer with a current certification (W01 radiographer \
         without certification on record, not counted, W02 assistant)"
    );
}

/// An inspection for another occasion that is not the day's check says why, and its entry is named.
#[test]
fn another_look_of_the_day_that_is_not_its_check_says_why() {
    let mut sheet = sheet();
    sheet.equipment[0].maintenance.daily = Daily::Other {
        entry: 60,
        what: "an inspection quarterly does not say its hour".to_owned(),
    };
    let found = sheet_findings(&sheet, &us(), &us());
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].entries, [60, 100]);
    assert_eq!(
        found[0].what,
        "2026-06-14 night: no check of the day is on record for ED-A (an inspection quarterly \
         does not say its hour)"
    );
}
