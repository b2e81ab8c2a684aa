//! Dose rate at a distance from a source: constant x activity / distance squared, halved by each
//! half-value layer in between.
//!
//! The formula holds for a point in air, without what the ground and walls throw back and without
//! what the air takes away. Everything here is an estimate in `f64`; what is kept is a
//! [`DoseRate`], rounded up.

use super::{Constant, DecayError, Nuclide, Spread, share_left};
use crate::calendar::{Day, TimeOfDay};
use crate::quantity::{Activity, DoseRate, Length, Overflow};

/// What is behind a shield: 2^-(thickness / half-value layer). No unit.
pub fn transmission(thickness_mm: f64, layer_mm: f64) -> f64 {
    (-thickness_mm / layer_mm).exp2()
}

/// Nanosievert an hour at a distance: `per_bq` in nSv m2/(h Bq), activity in Bq, distance in m,
/// the share that shielding lets through.
pub fn rate_at(per_bq: f64, activity_bq: f64, metres: f64, through: f64) -> f64 {
    per_bq * activity_bq / (metres * metres) * through
}

/// Metres at which the rate is `nsv_per_hour`.
pub fn distance_to(nsv_per_hour: f64, per_bq: f64, activity_bq: f64, through: f64) -> f64 {
    (per_bq * activity_bq * through / nsv_per_hour).sqrt()
}

/// A source with the activity that its certificate states for a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// Its nuclide.
    pub nuclide: Nuclide,
    /// The stated activity.
    pub stated: Activity,
    /// The day for which it is stated.
    pub on: Day,
}

impl Source {
    /// The activity at an hour, in becquerel. A certificate states no hour: its day counts from
    /// its end on the high side, from its beginning on the low side, from noon in between.
    pub fn activity_at(&self, day: Day, time: TimeOfDay) -> Spread {
        let hours = |time: TimeOfDay| {
            let from_midnight = time.signed_duration_since(TimeOfDay::MIN);
            from_midnight.num_seconds() as f64 / 3600.0
        };
        let days = (day - self.on).num_days() as f64 + hours(time) / 24.0;
        let left = |since: f64| self.stated.bq() as f64 * share_left(self.nuclide, since);
        Spread {
            low: left(days),
            central: left(days - 0.5),
            high: left(days - 1.0),
        }
    }

    /// The same as a whole number for printing; rounded to the nearest becquerel.
    ///
    /// # Errors
    /// [`DecayError::TooLarge`] where it does not fit.
    pub fn central_at(&self, day: Day, time: TimeOfDay) -> Result<Activity, DecayError> {
        whole(self.activity_at(day, time).central.round())
            .map(Activity::from_bq)
            .ok_or(DecayError::TooLarge {
                on: day,
                reference: self.on,
            })
    }
}

/// A float that is a whole number which fits the store.
fn whole(value: f64) -> Option<i64> {
    // 2^63 is the first whole number above i64; f64 holds it exactly.
    (0.0..9_223_372_036_854_775_808.0)
        .contains(&value)
        .then_some(value as i64)
}

/// The rates at a distance with a constant: low, central and high, in nanosievert an hour.
pub fn rates(constant: &Constant, activity: Spread, distance: Length, through: Spread) -> Spread {
    let metres = distance.nm() as f64 / 1e9;
    constant
        .nsv_per_hour_bq()
        .with(activity, |per_bq, bq| per_bq * bq)
        .with(through, |at_a_metre, through| {
            rate_at(at_a_metre, 1.0, metres, through)
        })
}

/// What the last binary digits of a product may be off by, as a share of it.
pub const NOISE: f64 = 1e-12;

/// A rate to be kept: rounded up, so that it is never lower than the estimate. Digits below
/// [`NOISE`] are no part of it: 250 000.000 000 03 is 250 000.
///
/// # Errors
/// [`Overflow`] where it does not fit.
pub fn kept(nsv_per_hour: f64) -> Result<DoseRate, Overflow> {
    whole((nsv_per_hour * (1.0 - NOISE)).ceil())
        .map(DoseRate::from_nsv_per_hour)
        .ok_or(Overflow)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::constant::constant;

    fn source() -> Source {
        Source {
            nuclide: Nuclide::Ir192,
            stated: Activity::from_bq(3_700_000_000_000),
            on: "2026-01-01".parse().unwrap(),
        }
    }

    fn noon() -> TimeOfDay {
        TimeOfDay::from_hms_opt(12, 0, 0).unwrap()
    }

    #[test]
    fn at_noon_of_its_day_the_central_activity_is_the_stated_one() {
        let at = source().activity_at("2026-01-01".parse().unwrap(), noon());
        assert_eq!(at.central, 3.7e12);
        assert!(at.low < at.central && at.central < at.high);
        // Half a day of Ir-192 is half a per cent.
        assert!((at.high / at.low - 1.0094).abs() < 1e-4, "{at:?}");
    }

    #[test]
    fn four_times_the_distance_is_a_sixteenth_of_the_rate() {
        let constant = constant(Nuclide::Ir192, "ambient").unwrap();
        let at = |metres: i64| {
            let distance = Length::from_nm(metres * 1_000_000_000);
            rates(&constant, Spread::one(1e12), distance, Spread::one(1.0)).high
        };
        assert!((at(4) * 16.0 / at(1) - 1.0).abs() < 1e-14);
        // 139.004 uSv/h of a GBq at a metre.
        assert!((at(1) - 139_004_000.0).abs() < 1e-3, "{}", at(1));
    }

    #[test]
    fn what_is_kept_is_never_below_the_estimate() {
        assert_eq!(kept(1.000_1).unwrap().nsv_per_hour(), 2);
        assert_eq!(kept(2.0).unwrap().nsv_per_hour(), 2);
        assert_eq!(kept(1e19), Err(Overflow));
        assert_eq!(kept(f64::NAN), Err(Overflow));
        assert_eq!(kept(f64::INFINITY), Err(Overflow));
    }

    #[test]
    fn the_distance_to_a_rate_has_that_rate() {
        let metres = distance_to(20_000.0, 0.000_139, 3.7e12, 0.25);
        let back = rate_at(0.000_139, 3.7e12, metres, 0.25);
        assert!((back / 20_000.0 - 1.0).abs() < 1e-14, "{back}");
    }
}
