//! The forecast against hand calculations and what it must say.

use super::*;
use crate::calendar::parse_day;
use crate::quantity::DoseUnit;

fn day(text: &str) -> Day {
    parse_day(text).expect("a day")
}

fn usv(count: i64) -> Dose {
    Dose::from_nsv(count * 1_000)
}

/// A shift every third day since a day, up to 30 June 2026, each with its dose in uSv.
fn worked(since: &str, dose: impl Fn(Day) -> i64) -> Worked {
    let span = Span {
        first: day(since),
        last: day("2026-06-30"),
    };
    let shifts: Vec<Day> = span.each_day().step_by(3).collect();
    let doses = shifts.iter().map(|it| (*it, usv(dose(*it))));
    Worked::new(span, doses.collect(), shifts)
}

fn question(worked: Worked, level: i64) -> Question {
    Question {
        so_far: usv(1_000),
        on: day("2026-06-30"),
        until: day("2026-12-31"),
        worked,
        marks: vec![Mark {
            key: "year".to_string(),
            dose: usv(level),
        }],
        plain: Some(Rate {
            dose: usv(1_000),
            days: 181,
        }),
        worst_quarter: None,
        unit: DoseUnit::MicroSievert,
    }
}

/// Ten, twenty, thirty and so on to fifty.
fn mixed(day: Day) -> i64 {
    10 * (1 + i64::from(chrono::Datelike::ordinal(&day)) % 5)
}

fn of(question: &Question) -> Forecast {
    forecast(question).expect("a forecast")
}

#[test]
fn too_few_shifts_or_days_or_no_dose_give_rates_only() {
    for (since, dose, why) in [
        // 84 days with 28 shifts are enough.
        ("2026-04-08", 10, None),
        ("2026-04-09", 10, Some("83 days of work are too few")),
        ("2026-06-30", 10, Some("1 day of work is too few")),
        ("2025-07-01", 0, Some("no recent shift brought a dose")),
    ] {
        let made = of(&question(worked(since, |_| dose), 2_000));
        assert_eq!(made.totals.is_empty(), why.is_some(), "{since}");
        assert_eq!(made.levels[0].chance.is_none(), why.is_some(), "{since}");
        assert!(made.at_plain_rate.is_some());
        let said = made.too_few.unwrap_or_default();
        assert!(said.starts_with(why.unwrap_or("")), "{said}");
        assert_eq!(said.is_empty(), why.is_none(), "{said}");
    }
    // 19 shifts in a year, and 20.
    for (shifts, enough) in [(19, false), (20, true)] {
        let mut some = worked("2025-07-01", mixed);
        some.shifts = some.shifts.into_iter().step_by(6).take(shifts).collect();
        some.doses.retain(|it| some.shifts.contains(&it.0));
        let some = Worked::new(some.span, some.doses, some.shifts);
        assert_eq!(of(&question(some, 2_000)).totals.len(), usize::from(enough));
    }
    let uneven = worked("2025-07-01", |it| {
        i64::from(it == day("2026-01-15")) * 9_000 + 1
    });
    let said = of(&question(uneven, 2_000)).too_few.expect("a reason");
    assert!(said.starts_with("a few doses make up most"), "{said}");
}

#[test]
fn a_short_time_predicts_less_surely_than_a_long_one() {
    let width = |since: &str| {
        let made = of(&question(worked(since, mixed), 2_000)).totals[0];
        made.high.nsv() - made.low.nsv()
    };
    assert!(width("2026-04-01") > width("2025-12-01"));
    assert!(width("2025-12-01") > width("2025-07-01"));
}

#[test]
fn the_days_of_passing_lie_in_order_and_the_plain_mean_lies_among_them() {
    // 10 uSv a day on average: 1 000 more come in about 100 days.
    let made = of(&question(worked("2025-07-01", mixed), 2_000));
    let chance = made.levels[0].chance.expect("a chance");
    let days = [chance.early, chance.median, chance.late].map(|it| it.expect("a day"));
    assert!(days[0] < days[1] && days[1] < days[2], "{days:?}");
    let mean = day("2026-10-08");
    assert!(days[0] < mean && mean < days[2], "{days:?}");
    assert!(chance.above > 0.95 && !chance.below);
}

#[test]
fn no_chance_is_smaller_than_the_days_behind_can_tell() {
    let chance = of(&question(worked("2025-07-01", mixed), 50_000)).levels[0].chance;
    let chance = chance.expect("a chance");
    // Thirteen stretches of four weeks.
    assert!(chance.below);
    assert!((chance.above - 1.0 / 14.0).abs() < 1e-12);
    assert_eq!(
        (chance.early, chance.median, chance.late),
        (None, None, None)
    );
    // Six of two weeks.
    let made = of(&question(worked("2026-04-01", mixed), 500_000));
    assert_eq!(made.levels[0].chance.map(|it| it.above), Some(1.0 / 7.0));
}

#[test]
fn a_level_already_passed_has_no_chance_and_no_day() {
    let made = of(&question(worked("2025-07-01", mixed), 999));
    let level = &made.levels[0];
    assert!(level.passed && level.chance.is_none());
    assert_eq!((level.at_plain_rate, level.at_worst_quarter), (None, None));
    // Exactly at the level it is not passed; the next dose passes it.
    let made = of(&question(worked("2025-07-01", mixed), 1_000));
    assert!(!made.levels[0].passed);
    assert_eq!(made.levels[0].chance.map(|it| it.above), Some(1.0));
    assert_eq!(made.levels[0].at_plain_rate, Some(day("2026-07-01")));
}

#[test]
fn a_dose_below_zero_does_not_lower_the_forecast() {
    let plain = of(&question(worked("2025-07-01", mixed), 2_000));
    let mut less = worked("2025-07-01", mixed);
    less.doses.push((day("2026-02-01"), usv(-5_000)));
    let less = of(&question(less, 2_000));
    assert_eq!(less.totals, plain.totals);
    assert!(less.totals[0].low >= usv(1_000));
}

#[test]
fn a_step_up_is_said_and_leads_and_a_step_down_does_not_lead() {
    let step = |times: i64| {
        worked("2025-07-01", move |it| {
            let recent = it >= day("2026-04-02");
            mixed(it) * if recent { times } else { 6 }
        })
    };
    let up = of(&question(step(18), 2_000));
    let change = up.change.expect("a change");
    assert!(change.more && change.dose > change.high && change.high > change.low);
    assert_eq!((change.first, change.days), (day("2026-04-02"), 90));
    let begins: Vec<Day> = up.totals.iter().map(|it| it.like.first).collect();
    assert_eq!(begins, [day("2026-04-02"), day("2025-07-01")]);
    assert!(up.totals[0].median > up.totals[1].median);

    let down = of(&question(step(2), 2_000));
    let change = down.change.expect("a change");
    assert!(!change.more && change.dose < change.low);
    let begins: Vec<Day> = down.totals.iter().map(|it| it.like.first).collect();
    assert_eq!(begins, [day("2025-07-01"), day("2026-04-02")]);

    assert_eq!(of(&question(step(6), 2_000)).change, None);
}

#[test]
fn a_rate_of_a_few_days_says_so() {
    let says = |days: i64| {
        let mut asked = question(worked("2025-07-01", mixed), 2_000);
        asked.plain = Some(Rate {
            dose: usv(1_000),
            days,
        });
        let all = of(&asked).assumes;
        all.iter().any(|it| it.contains("one shift more or less"))
    };
    assert!(says(1) && says(83) && !says(84));
}

#[test]
fn the_first_thing_assumed_is_that_work_goes_on() {
    let made = of(&question(worked("2025-07-01", mixed), 2_000));
    assert!(made.assumes[0].starts_with("it assumes that work continues as before"));
}

#[test]
fn an_absence_is_named_and_its_days_do_not_count() {
    let mut away = worked("2025-07-01", mixed);
    let absent = Span {
        first: day("2025-12-01"),
        last: day("2026-02-28"),
    };
    away.shifts.retain(|it| !absent.contains(*it));
    away.doses.retain(|it| !absent.contains(it.0));
    let away = Worked::new(away.span, away.doses, away.shifts);
    let made = of(&question(away, 2_000));
    assert!(made.totals[0].days < 365 - 88, "{}", made.totals[0].days);
    let said = made.assumes.join("; ");
    assert!(said.contains("do not count from 2025-"), "{said}");
    // The same work on fewer days is heading as high as without the absence.
    let plain = of(&question(worked("2025-07-01", mixed), 2_000));
    let (with, without) = (made.totals[0].median.nsv(), plain.totals[0].median.nsv());
    assert!((with - without).abs() < without / 20, "{with} {without}");
}

#[test]
fn what_cannot_be_forecast_is_refused() {
    let mut asked = question(worked("2025-07-01", mixed), 2_000);
    asked.until = day("2026-06-29");
    assert!(matches!(
        forecast(&asked),
        Err(ForecastError::EndsBefore { .. })
    ));
    let mut asked = question(worked("2025-07-01", mixed), 2_000);
    asked.so_far = Dose::from_nsv(i64::MAX);
    assert_eq!(forecast(&asked), Err(ForecastError::TooLarge(Overflow)));
}

#[test]
fn a_fan_starts_at_the_dose_so_far_ends_at_the_forecast_and_only_rises() {
    let asked = question(worked("2025-07-01", mixed), 2_000);
    let days = ["2026-06-30", "2026-07-31", "2026-10-31", "2026-12-31"].map(day);
    let points = fan(&asked, &days).expect("a fan");
    assert_eq!(points.len(), 4);
    assert_eq!(points[0].1.high, asked.so_far);
    assert_eq!(points[3].1, of(&asked).totals[0]);
    for pair in points.windows(2) {
        let (a, b) = (pair[0].1, pair[1].1);
        assert!(a.low <= b.low && a.median < b.median && a.high < b.high);
    }
    let late = fan(&asked, &[day("2027-01-01")]);
    assert!(matches!(late, Err(ForecastError::EndsBefore { .. })));
}
