//! Looking back at what a wrong instrument showed, and whether one may be used.

use proptest::prelude::*;

use super::super::assessment::Ratio;
use super::super::look_back::{CheckFact, look_back, raised};
use super::super::usable::{Calibration, Facts, Reason, Servicing, Withdrawn, usable};
use super::{MR, day};
use crate::calendar::{Interval, YearStart};

/// Checks as day, found, left; `+` right, `-` wrong, `?` not known.
fn checks(text: &str) -> Vec<CheckFact> {
    let known = |sign: char| match sign {
        '+' => Some(true),
        '-' => Some(false),
        _ => None,
    };
    let each = text.split_whitespace().enumerate();
    each.map(|(n, word)| {
        let mut signs = word[10..].chars();
        CheckFact {
            entry: n as i64 + 1,
            on: day(&word[..10]),
            found_ok: known(signs.next().expect("a sign")),
            left_ok: known(signs.next().expect("a sign")),
        }
    })
    .collect()
}

#[test]
fn a_look_back_goes_from_the_last_good_check_to_the_one_that_failed() {
    for (text, spans) in [
        ("2026-01-10++ 2026-07-01++", &[][..]),
        ("2026-01-10++ 2026-07-01-+", &[(Some(1), 2)]),
        ("2026-07-01-+", &[(None, 1)]),
        // Adjusted without looking: it was right as left.
        ("2026-01-10?+ 2026-07-01-+", &[(Some(1), 2)]),
        // Wrong as left too: the next one reaches back over it.
        (
            "2026-01-10++ 2026-03-01-- 2026-07-01-+",
            &[(Some(1), 2), (Some(1), 3)],
        ),
        // Right as found, spoilt by the adjustment: right up to that day.
        ("2026-01-10++ 2026-03-01+- 2026-07-01-+", &[(Some(2), 3)]),
        // Not known as found is not a failure.
        ("2026-01-10++ 2026-07-01?+", &[]),
        // In any order of entry.
        ("2026-07-01-+ 2026-01-10++", &[(Some(2), 1)]),
    ] {
        let found = look_back(&checks(text));
        let told: Vec<(Option<i64>, i64)> = found
            .iter()
            .map(|it| (it.good_entry, it.failed_entry))
            .collect();
        assert_eq!(told, spans, "{text}");
    }
}

#[test]
fn use_on_both_days_of_a_look_back_counts_and_beyond_them_does_not() {
    let found = look_back(&checks("2026-01-10++ 2026-07-01-+"));
    for (on, covered) in [
        ("2026-01-09", false),
        ("2026-01-10", true),
        ("2026-07-01", true),
        ("2026-07-02", false),
    ] {
        assert_eq!(found[0].covers(day(on)), covered, "{on}");
    }
    assert!(look_back(&checks("2026-07-01-+"))[0].covers(day("1999-01-01")));
}

#[test]
fn a_reading_of_a_dosimeter_that_read_low_is_raised_and_never_lowered() {
    let worst = |true_value, reading| Ratio {
        true_value,
        reading,
    };
    // Read 25 % low: a third is added.
    assert_eq!(raised(30 * MR, worst(100, 75)), Some(40 * MR));
    assert_eq!(raised(1, worst(100, 75)), Some(2));
    assert_eq!(raised(0, worst(100, 75)), Some(0));
    assert_eq!(raised(30 * MR, worst(100, 125)), Some(30 * MR));
    assert_eq!(raised(30 * MR, worst(100, 100)), Some(30 * MR));
    assert_eq!(raised(30 * MR, worst(100, 0)), None);
    assert_eq!(raised(i64::MAX, worst(2, 1)), None);
}

proptest! {
    #[test]
    fn a_raised_reading_is_never_below_the_reading(
        reading in 0..i64::MAX / 4, truth in 1..1_000_000_i64, shown in 1..1_000_000_i64,
    ) {
        let ratio = Ratio { true_value: truth, reading: shown };
        if let Some(up) = raised(reading, ratio) {
            prop_assert!(up >= reading);
            prop_assert!(i128::from(up) * i128::from(shown) >= i128::from(reading) * i128::from(
                truth.min(shown)));
        }
    }

    #[test]
    fn the_order_of_the_checks_does_not_matter(shift in 0..6_usize) {
        let mut all = checks("2026-01-10++ 2026-02-10-- 2026-03-10?+ 2026-04-10+- 2026-05-10-+ \
                              2026-06-10-+");
        let wanted = look_back(&all);
        all.rotate_left(shift);
        prop_assert_eq!(look_back(&all), wanted);
    }
}

fn facts() -> Facts {
    Facts {
        in_service: Some(day("2025-01-01")),
        calibrations: vec![Calibration {
            entry: 1,
            on: day("2026-01-10"),
            passed: true,
        }],
        servicings: Vec::new(),
        withdrawn: None,
        interval: Interval::NotToExceedMonths(6),
        year: YearStart::JANUARY_FIRST,
    }
}

fn service(on: &str, battery_only: bool) -> Servicing {
    Servicing {
        entry: 9,
        on: day(on),
        battery_only,
        what: "new tube".to_owned(),
    }
}

fn told(on: &str, facts: &Facts) -> Vec<String> {
    let found = usable(day(on), facts);
    assert_eq!(found.ok, found.reasons.is_empty());
    found.reasons.iter().map(Reason::to_string).collect()
}

#[test]
fn a_calibration_holds_up_to_and_with_its_last_day() {
    assert_eq!(told("2026-07-10", &facts()), [""; 0]);
    assert_eq!(
        usable(day("2026-07-10"), &facts()).until,
        Some(day("2026-07-10"))
    );
    assert_eq!(
        told("2026-07-11", &facts()),
        ["calibration overdue since 2026-07-11"]
    );
    assert_eq!(told("2026-01-09", &facts()), ["no calibration is recorded"]);
    let mut failed = facts();
    failed.calibrations.push(Calibration {
        entry: 2,
        on: day("2026-03-01"),
        passed: false,
    });
    assert_eq!(told("2026-02-28", &failed), [""; 0]);
    assert_eq!(
        told("2026-03-01", &failed),
        ["its calibration of 2026-03-01 failed"]
    );
}

#[test]
fn servicing_asks_for_a_calibration_and_a_battery_does_not() {
    let with = |servicing| Facts {
        servicings: vec![servicing],
        ..facts()
    };
    let serviced = with(service("2026-02-01", false));
    assert_eq!(
        told("2026-02-01", &serviced),
        ["serviced on 2026-02-01 (new tube) and not calibrated since"]
    );
    assert_eq!(told("2026-01-31", &serviced), [""; 0]);
    assert_eq!(
        told("2026-02-01", &with(service("2026-02-01", true))),
        [""; 0]
    );
    assert_eq!(
        told("2026-02-01", &with(service("2026-01-09", false))),
        [""; 0]
    );
    let same_day = with(service("2026-01-10", false));
    assert_eq!(told("2026-02-01", &same_day), [""; 0]);
    assert_eq!(usable(day("2026-02-01"), &same_day).notes.len(), 1);
}

#[test]
fn what_is_withdrawn_or_not_yet_in_service_is_not_used() {
    let withdrawn = Facts {
        withdrawn: Some(Withdrawn {
            entry: 4,
            on: day("2026-02-01"),
            reason: "dropped".to_owned(),
        }),
        ..facts()
    };
    assert_eq!(
        told("2026-02-02", &withdrawn),
        ["withdrawn on 2026-02-01: dropped"]
    );
    assert_eq!(usable(day("2026-02-02"), &withdrawn).entries, [4, 1]);
    let later = Facts {
        in_service: Some(day("2026-03-01")),
        ..facts()
    };
    assert_eq!(
        told("2026-02-28", &later),
        ["not in service before 2026-03-01"]
    );
    assert_eq!(told("2026-03-01", &later), [""; 0]);
}
