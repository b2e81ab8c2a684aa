//! What is left of a source on a day: A = A0 * 2^-(t/T), with t in whole days.
//!
//! The result is an estimate: the stated activity has its own uncertainty (the certificate says
//! which), and days are counted whole, which for Ir-192 makes up to 1 %. Where an hour counts,
//! use [`share_left`] with a part of a day.

use super::nuclide::Nuclide;
use crate::calendar::Day;
use crate::quantity::Activity;

/// Why no activity can be given for a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum DecayError {
    /// The stated activity is below zero.
    #[error("an activity below zero, `{0} Bq`, cannot decay")]
    Negative(i64),
    /// So long before the reference day that the activity would not fit.
    #[error("the activity on {on}, before its reference day {reference}, is too large to count")]
    TooLarge {
        /// Day asked for.
        on: Day,
        /// Day for which the activity is stated.
        reference: Day,
    },
}

/// The share of an activity that is left after `days` (a part of a day counts; below zero it is
/// the time before the reference day, and the share is above one). No unit.
pub fn share_left(nuclide: Nuclide, days: f64) -> f64 {
    (-days / nuclide.half_life_days()).exp2()
}

/// The activity on a day, from the activity stated for a reference day; rounded to the nearest
/// becquerel. An estimate: the stated activity itself is not changed and stays the record.
///
/// A day before the reference day is computed backwards, so that a source that was received
/// before its certificate's day is not taken for weaker than it was.
///
/// # Errors
/// [`DecayError::Negative`] for an activity below zero; [`DecayError::TooLarge`] where the
/// activity on an earlier day would not fit.
pub fn activity_on(
    nuclide: Nuclide,
    stated: Activity,
    reference: Day,
    on: Day,
) -> Result<Activity, DecayError> {
    if stated < Activity::ZERO {
        return Err(DecayError::Negative(stated.bq()));
    }
    let days = (on - reference).num_days();
    if days == 0 {
        return Ok(stated);
    }
    // At most some 10^8 days between any two days of the calendar: exact in f64.
    let left = stated.bq() as f64 * share_left(nuclide, days as f64);
    let rounded = left.round();
    // 2^63 is the first whole number above i64; f64 holds it exactly.
    if rounded >= 9_223_372_036_854_775_808.0 {
        return Err(DecayError::TooLarge { on, reference });
    }
    Ok(Activity::from_bq(rounded as i64))
}

#[cfg(test)]
mod tests {
    use super::*;

    const CURIE: i64 = 37_000_000_000;

    fn day(text: &str) -> Day {
        text.parse().unwrap()
    }

    #[test]
    fn the_stated_activity_stands_unchanged_on_its_own_day() {
        let stated = Activity::from_bq(i64::MAX);
        let on = day("2026-03-02");
        assert_eq!(activity_on(Nuclide::Ir192, stated, on, on), Ok(stated));
    }

    #[test]
    fn a_hundred_curies_of_iridium_are_forty_three_after_ninety_days() {
        // 100 Ci * 2^-(90/73.829) = 42.957 Ci.
        let stated = Activity::from_bq(100 * CURIE);
        let on = activity_on(Nuclide::Ir192, stated, day("2026-01-01"), day("2026-04-01"));
        let curies = on.unwrap().bq() as f64 / CURIE as f64;
        assert!((curies - 42.957).abs() < 0.001, "{curies}");
    }

    #[test]
    fn going_back_and_forth_comes_to_the_same_activity() {
        let stated = Activity::from_bq(100 * CURIE);
        let (late, early) = (day("2026-06-01"), day("2026-01-01"));
        for nuclide in Nuclide::ALL {
            let before = activity_on(nuclide, stated, late, early).unwrap();
            assert!(before > stated, "{nuclide}");
            let again = activity_on(nuclide, before, early, late).unwrap();
            assert!(
                (again.bq() - stated.bq()).abs() <= 1,
                "{nuclide}: {again:?}"
            );
        }
    }

    #[test]
    fn what_cannot_be_is_refused() {
        let (from, on) = (day("2026-01-01"), day("2000-01-01"));
        assert_eq!(
            activity_on(Nuclide::Ir192, Activity::from_bq(CURIE), from, on),
            Err(DecayError::TooLarge {
                on,
                reference: from
            })
        );
        assert_eq!(
            activity_on(Nuclide::Ir192, Activity::from_bq(-1), from, on),
            Err(DecayError::Negative(-1))
        );
    }

    #[test]
    fn after_a_very_long_time_nothing_is_left() {
        let gone = activity_on(
            Nuclide::Yb169,
            Activity::from_bq(CURIE),
            day("2000-01-01"),
            day("2100-01-01"),
        );
        assert_eq!(gone, Ok(Activity::ZERO));
    }
}
