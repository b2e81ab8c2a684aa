//! The forecast against hand calculations and what it must say.

use super::*;
use crate::calendar::parse_day;

fn day(text: &str) -> Day {
    parse_day(text).expect("a day")
}

fn usv(count: i64) -> Dose {
    Dose::from_nsv(count * 1_000)
}

fn question(recent: &[i64], shifts_to_come: u32, level: i64) -> Question {
    Question {
        so_far: usv(1_000),
        on: day("2026-06-30"),
        until: day("2026-12-31"),
        recent: recent.iter().map(|&dose| usv(dose)).collect(),
        shifts_to_come,
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

fn chance_of(question: &Question) -> Chance {
    let made = forecast(question).expect("a forecast");
    made.levels
        .first()
        .expect("a level")
        .chance
        .expect("a chance")
}

#[test]
fn nineteen_shifts_give_rates_only_and_twenty_give_chances() {
    let made = forecast(&question(&[10; 19], 60, 2_000)).expect("a forecast");
    assert!(made.total.is_none() && made.levels[0].chance.is_none());
    assert!(
        made.too_few
            .expect("a reason")
            .starts_with("19 recent shifts are too few")
    );
    assert!(made.at_plain_rate.is_some());
    let made = forecast(&question(&[10; 20], 60, 2_000)).expect("a forecast");
    assert!(made.total.is_some() && made.too_few.is_none());
}

#[test]
fn at_the_level_is_not_above_it() {
    // 60 shifts of 10 uSv on 1 000 uSv are 1 600 uSv for certain.
    for (level, above) in [(1_599, 1.0), (1_600, 0.0)] {
        assert_eq!(
            chance_of(&question(&[10; 20], 60, level)).above,
            above,
            "{level}"
        );
    }
}

#[test]
fn a_certain_rate_passes_on_the_day_of_its_shift() {
    // 184 shifts in 184 days: the 51st brings the total from 1 500 to 1 510 uSv.
    let chance = chance_of(&question(&[10; 20], 184, 1_500));
    let expected = Some(day("2026-08-20"));
    assert_eq!(
        (chance.early, chance.median, chance.late),
        (expected, expected, expected)
    );
    // Half as many shifts stand on every second day, the first one tomorrow.
    let chance = chance_of(&question(&[10; 20], 92, 1_005));
    assert_eq!(chance.median, Some(day("2026-07-01")));
}

#[test]
fn the_band_of_the_day_widens_with_what_shifts_may_bring() {
    let mut recent = vec![0; 19];
    recent.push(1_000);
    // Above 1 500 with the first large shift: a chance of 1/20 at each.
    let chance = chance_of(&question(&recent, 184, 1_500));
    assert_eq!(chance.early, Some(day("2026-07-01")));
    // 1 - 0.95^13 = 0.487 and 1 - 0.95^14 = 0.512; 0.95^58 = 0.051, 0.95^59 = 0.048.
    assert_eq!(chance.median, Some(day("2026-07-14")));
    assert_eq!(chance.late, Some(day("2026-08-28")));
}

#[test]
fn a_level_that_the_year_does_not_bring_has_no_day() {
    let chance = chance_of(&question(&[10; 20], 60, 50_000));
    assert_eq!(
        (chance.early, chance.median, chance.late),
        (None, None, None)
    );
    assert_eq!(chance.above, 0.0);
}

#[test]
fn a_level_already_passed_is_certain_from_the_first_day() {
    let made = forecast(&question(&[0; 20], 60, 999)).expect("a forecast");
    let level = made.levels.first().expect("a level");
    assert!(level.passed);
    assert_eq!(level.at_plain_rate, Some(day("2026-06-30")));
    assert_eq!(level.chance.map(|chance| chance.above), Some(1.0));
    // Exactly at the level it is not passed, and shifts without dose do not pass it.
    let made = forecast(&question(&[0; 20], 60, 1_000)).expect("a forecast");
    let level = made.levels.first().expect("a level");
    assert!(!level.passed);
    assert_eq!(level.chance.map(|chance| chance.above), Some(0.0));
}

#[test]
fn doses_finer_than_a_microsievert_are_rounded_up_and_it_is_said() {
    let mut asked = question(&[10; 20], 100, 1_000 + 1_049);
    asked.recent = vec![Dose::from_nsv(10_001); 20];
    let made = forecast(&asked).expect("a forecast");
    assert_eq!(
        made.total.map(|total| total.median),
        Some(usv(1_000 + 1_100))
    );
    assert!(
        made.assumes
            .iter()
            .any(|a| a.starts_with("20 doses finer than 1 uSv"))
    );
}

#[test]
fn a_dose_below_zero_does_not_lower_the_forecast() {
    let mut asked = question(&[10; 20], 10, 2_000);
    asked.recent.extend([usv(-500); 20]);
    let made = forecast(&asked).expect("a forecast");
    assert_eq!(made.total.map(|total| total.largest), Some(usv(1_100)));
    assert!(made.total.is_some_and(|total| total.low >= usv(1_000)));
    assert!(
        made.assumes
            .iter()
            .any(|a| a.starts_with("20 doses below zero"))
    );
}

#[test]
fn a_finer_dose_so_far_is_kept_to_the_nanosievert() {
    let mut asked = question(&[10; 20], 1, 1_010);
    assert_eq!(chance_of(&asked).above, 0.0);
    asked.so_far = Dose::from_nsv(1_000_001);
    assert_eq!(chance_of(&asked).above, 1.0);
}

#[test]
fn a_larger_dose_than_was_seen_is_not_taken_as_impossible() {
    let made = forecast(&question(&[0; 20], 60, 2_000)).expect("a forecast");
    assert!(
        made.assumes
            .iter()
            .any(|a| a.contains("as often as once in 7 shifts"))
    );
}

#[test]
fn what_cannot_be_forecast_is_refused() {
    let mut asked = question(&[10; 20], 60, 2_000);
    asked.until = day("2026-06-29");
    assert!(matches!(
        forecast(&asked),
        Err(ForecastError::EndsBefore { .. })
    ));
    let asked = question(&[10; 20], 9_999, 2_000);
    assert!(matches!(forecast(&asked), Err(ForecastError::Shifts(_))));
    let mut asked = question(&[10; 20], 60, 2_000);
    asked.so_far = Dose::from_nsv(i64::MAX);
    assert_eq!(forecast(&asked), Err(ForecastError::TooLarge(Overflow)));
}

#[test]
fn a_fan_starts_at_the_dose_so_far_ends_at_the_forecast_and_only_rises() {
    let recent: Vec<i64> = (0..40).map(|n| n % 7).collect();
    let asked = question(&recent, 60, 2_000);
    let days = ["2026-06-30", "2026-07-31", "2026-10-31", "2026-12-31"].map(day);
    let points = fan(&asked, &days).expect("a fan");
    let whole = forecast(&asked)
        .expect("a forecast")
        .total
        .expect("a total");
    assert_eq!(points.len(), 4);
    assert_eq!(points[0].1.high, asked.so_far);
    assert_eq!(points[3].1, whole);
    for pair in points.windows(2) {
        let (a, b) = (pair[0].1, pair[1].1);
        assert!(a.low <= b.low && a.median < b.median && a.high < b.high);
    }
    // 31 of 184 days bring 10.1 of 60 shifts: the eleventh has begun.
    let certain = question(&[10; 20], 60, 2_000);
    let points = fan(&certain, &days).expect("a fan");
    assert_eq!(points[1].1.median, usv(1_110));
    let late = fan(&asked, &[day("2027-01-01")]);
    assert!(matches!(late, Err(ForecastError::EndsBefore { .. })));
}
