//! The line that a measure follows, mostly wear against cycles or days, and where it
//! reaches its limit.

use super::interval::{Side, student_factor};
use super::regression::{Fit, FitError, Prediction, least_squares};
use super::special::beta_tails;
use super::sum::sum;
use serde::Serialize;

/// Fewest points for a [`Line`].
///
/// Three points leave one degree of freedom, and its 95 % factor of 12.7 makes the band
/// say nothing; four leave two, with 4.3.
pub const FEWEST_POINTS: usize = 4;

/// Fewest degrees of freedom from which a band may warn. With the two of four points alone the
/// 95 % factor is 2.9, and a part that does not wear is warned of; with four it is 2.1.
pub const FEWEST_FREEDOM: u64 = 4;

/// Below this chance a line scatters more than the others, and is judged by itself.
const OTHER_SCATTER: f64 = 0.01;

// Halvings after which a place is known to the last digit.
const HALVINGS: u32 = 120;

/// On which side of its limit a measure is bad. At the limit itself it is reached.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Limit {
    /// The measure must not fall to it, as a cable's diameter.
    Least(f64),
    /// The measure must not rise to it, as an angle or a gap.
    Most(f64),
}

/// When a line or its band reaches a limit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Reach {
    /// It has, at the last point or before.
    Already,
    /// At this place, beyond the last point.
    At(f64),
    /// Not however far one goes.
    Never,
}

/// What lines through other parts leave: the squares of their residuals, and the degrees of
/// freedom that these have.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Squares {
    /// The sum of the squares.
    pub sum: f64,
    /// Points less two for each line.
    pub freedom: u64,
}

impl Squares {
    /// What a line through these points leaves; nothing of fewer than three points or of points
    /// at one place.
    pub fn of(points: &[(f64, f64)]) -> Self {
        let (places, measurements): (Vec<f64>, Vec<f64>) = points.iter().copied().unzip();
        least_squares(&places, &measurements).map_or(Self::default(), |fit| Self {
            sum: fit.residual_sd().powi(2) * fit.freedom() as f64,
            freedom: fit.freedom(),
        })
    }

    /// Both together.
    pub fn and(self, other: Self) -> Self {
        Self {
            sum: self.sum + other.sum,
            freedom: self.freedom + other.freedom,
        }
    }

    /// These without some that are among them.
    pub fn without(self, some: Self) -> Self {
        Self {
            sum: (self.sum - some.sum).max(0.0),
            freedom: self.freedom.saturating_sub(some.freedom),
        }
    }

    // The standard deviation that they show, but at least one that is believed.
    fn sd(self, least: f64) -> f64 {
        (self.sum / self.freedom as f64).sqrt().max(least)
    }
}

/// A straight line through measured points, with its band.
#[derive(Clone, Debug)]
pub struct Line {
    fit: Fit,
    tells: bool,
    middle: f64,
    last: f64,
}

/// The standard deviation that rounding to a gauge's step leaves in each value: the step
/// over the square root of twelve (an even spread over one step).
pub fn rounding_sd(step: f64) -> f64 {
    step / 12f64.sqrt()
}

impl Line {
    /// Fits a line to points (place, measure) in any order.
    ///
    /// `least_sd` is the least standard deviation that a measure is believed to have,
    /// mostly [`rounding_sd`] of the gauge: four readings that happen to lie on a line, or
    /// that a coarse gauge repeats, would otherwise look perfectly sure.
    ///
    /// # Errors
    /// [`FitError`]: fewer than [`FEWEST_POINTS`] points, all at one place, not numbers.
    pub fn through(points: &[(f64, f64)], least_sd: f64) -> Result<Self, FitError> {
        Self::beside(points, least_sd, Squares::default())
    }

    /// The same with the scatter of all such lines together: the same gauge measures them, and
    /// four points of one part alone say little of it (pooled variance; G. W. Snedecor and
    /// W. G. Cochran, "Statistical Methods", 8th ed., chapter 6). A line that surely scatters
    /// more than the others (variance ratio, 1 %) is judged by its own scatter.
    ///
    /// # Errors
    /// As [`through`](Self::through).
    pub fn beside(points: &[(f64, f64)], least_sd: f64, others: Squares) -> Result<Self, FitError> {
        if points.len() < FEWEST_POINTS {
            return Err(FitError::TooFewPoints {
                have: points.len(),
                need: FEWEST_POINTS,
            });
        }
        // Sorted, so that the order of entry does not even change the last digit.
        let mut sorted = points.to_vec();
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let (places, measurements): (Vec<f64>, Vec<f64>) = sorted.into_iter().unzip();
        let last = places.last().copied().unwrap_or_default();
        let middle = sum(places.iter().copied()) / places.len() as f64;
        let fit = least_squares(&places, &measurements)?;
        let own = Squares {
            sum: fit.residual_sd().powi(2) * fit.freedom() as f64,
            freedom: fit.freedom(),
        };
        let alone = others.freedom == 0 || scatters_more(own, others, least_sd);
        let all = if alone { own } else { own.and(others) };
        Ok(Line {
            fit: fit.with_spread(all.sd(least_sd), all.freedom),
            // One that was seen to scatter more than the others has a scatter that is known.
            tells: all.freedom >= FEWEST_FREEDOM || (alone && others.freedom >= FEWEST_FREEDOM),
            middle,
            last,
        })
    }

    /// The fit itself: coefficients, errors, residuals.
    pub fn fit(&self) -> &Fit {
        &self.fit
    }

    /// Whether its scatter is known well enough for a warning.
    pub fn tells(&self) -> bool {
        self.tells
    }

    /// Whether its slope surely leads to the limit, however far that is: one-sided.
    ///
    /// # Errors
    /// A confidence outside 0 to 1.
    pub fn leans(&self, limit: Limit, confidence: f64) -> Result<bool, FitError> {
        let factor = student_factor(self.fit.freedom(), confidence, Side::Upper)?;
        let [_, error] = self.fit.standard_errors();
        Ok(self.room(limit).1 + factor * error < 0.0)
    }

    /// The change of the measure for one step of the place.
    pub fn slope(&self) -> f64 {
        let [_, slope] = self.fit.coefficients();
        slope
    }

    /// The line's value at a place.
    pub fn value_at(&self, place: f64) -> f64 {
        self.fit.value_at(place)
    }

    /// The line's value at a place with the two-sided intervals of its mean and of the
    /// next single measure.
    ///
    /// # Errors
    /// A confidence outside 0 to 1.
    pub fn predict(&self, place: f64, confidence: f64) -> Result<Prediction, FitError> {
        self.fit.predict(place, confidence)
    }

    /// Where the line itself reaches a limit: the likely place.
    pub fn reaches(&self, limit: Limit) -> Reach {
        let (room, slope) = self.room(limit);
        if room + slope * (self.last - self.middle) <= 0.0 {
            Reach::Already
        } else if slope < 0.0 {
            Reach::At(self.middle - room / slope)
        } else {
            Reach::Never
        }
    }

    /// Where the next single measure may first be at a limit: the earliest credible place.
    ///
    /// It is the place at which the one-sided prediction bound of the given confidence
    /// reaches the limit. A line that does not lean towards its limit still has such a
    /// place if its slope is not sure enough.
    ///
    /// # Errors
    /// A confidence outside 0 to 1.
    pub fn may_reach(&self, limit: Limit, confidence: f64) -> Result<Reach, FitError> {
        let factor = student_factor(self.fit.freedom(), confidence, Side::Upper)?;
        let (room, slope) = self.room(limit);
        let [_, error] = self.fit.standard_errors();
        let slope_error = factor * error;
        let at_middle = factor * self.fit.residual_sd() * (1.0 + 1.0 / self.points()).sqrt();
        let left = |from_middle: f64| {
            room + slope * from_middle - at_middle.hypot(slope_error * from_middle)
        };
        let start = self.last - self.middle;
        if left(start) <= 0.0 {
            return Ok(Reach::Already);
        }
        // The room left bends downwards only, towards this slope in the end.
        if slope - slope_error >= 0.0 {
            return Ok(Reach::Never);
        }
        let (mut near, mut far) = (start, 2.0 * start);
        while left(far) > 0.0 {
            if !far.is_finite() {
                return Ok(Reach::Never);
            }
            (near, far) = (far, 2.0 * far);
        }
        for _ in 0..HALVINGS {
            let half = 0.5 * (near + far);
            if left(half) > 0.0 {
                near = half
            } else {
                far = half
            }
        }
        Ok(Reach::At(self.middle + near))
    }

    fn points(&self) -> f64 {
        self.fit.points() as f64
    }

    // What is left to the limit at the middle of the points, and how that changes with
    // the place; both are the same for either side of a limit.
    fn room(&self, limit: Limit) -> (f64, f64) {
        let (value, slope) = (self.value_at(self.middle), self.slope());
        match limit {
            Limit::Least(least) => (value - least, slope),
            Limit::Most(most) => (most - value, -slope),
        }
    }
}

// The variance ratio F of the two, and the chance of one so large (Abramowitz and Stegun, 26.6.2).
fn scatters_more(own: Squares, others: Squares, least_sd: f64) -> bool {
    let (a, b) = (own.freedom as f64, others.freedom as f64);
    let ratio = (own.sd(least_sd) / others.sd(least_sd)).powi(2);
    if !ratio.is_finite() {
        return ratio > 1.0;
    }
    beta_tails(a / 2.0, b / 2.0, a * ratio / (a * ratio + b)).1 < OTHER_SCATTER
}

#[cfg(test)]
mod tests {
    use super::*;

    // Falls by 0.02 in each hundred cycles, give or take.
    const WORN: [(f64, f64); 5] = [
        (0.0, 4.76),
        (100.0, 4.74),
        (200.0, 4.71),
        (300.0, 4.70),
        (400.0, 4.68),
    ];

    fn line(points: &[(f64, f64)]) -> Line {
        Line::through(points, 0.0).expect("a line")
    }

    fn at(reach: Reach) -> f64 {
        match reach {
            Reach::At(place) => place,
            other => panic!("{other:?} instead of a place"),
        }
    }

    #[test]
    fn three_points_are_too_few_and_four_are_enough() {
        let few = FitError::TooFewPoints { have: 3, need: 4 };
        assert_eq!(Line::through(&WORN[..3], 0.0).err(), Some(few));
        assert!(Line::through(&WORN[..4], 0.0).is_ok());
    }

    #[test]
    fn the_earliest_credible_place_comes_before_the_likely_one() {
        let line = line(&WORN);
        let likely = at(line.reaches(Limit::Least(4.60)));
        let early = at(line.may_reach(Limit::Least(4.60), 0.95).expect("a place"));
        let earlier = at(line.may_reach(Limit::Least(4.60), 0.99).expect("a place"));
        assert!(
            400.0 < earlier && earlier < early && early < likely,
            "{earlier} {early}"
        );
        assert!((line.value_at(likely) - 4.60).abs() < 1e-14);
        // A one-sided 95 % bound is the lower end of the two-sided 90 % interval.
        let bound = line.predict(early, 0.90).expect("a prediction").next.lower;
        assert!((bound - 4.60).abs() < 1e-12);
    }

    #[test]
    fn a_rising_measure_is_the_mirror_of_a_falling_one() {
        let mirrored: Vec<(f64, f64)> = WORN.iter().map(|(x, y)| (*x, 10.0 - y)).collect();
        let (falling, rising) = (line(&WORN), line(&mirrored));
        let (least, most) = (Limit::Least(4.6), Limit::Most(5.4));
        assert!((at(falling.reaches(least)) - at(rising.reaches(most))).abs() < 1e-9);
        let early = |line: &Line, limit| at(line.may_reach(limit, 0.95).expect("a place"));
        assert!((early(&falling, least) - early(&rising, most)).abs() < 1e-9);
    }

    #[test]
    fn a_limit_behind_the_last_point_is_reached_already() {
        let line = line(&WORN);
        assert_eq!(line.reaches(Limit::Least(4.70)), Reach::Already);
        assert_eq!(line.may_reach(Limit::Least(4.70), 0.95), Ok(Reach::Already));
        // The band is there before the line is.
        assert!(matches!(line.reaches(Limit::Least(4.675)), Reach::At(_)));
        assert_eq!(
            line.may_reach(Limit::Least(4.675), 0.95),
            Ok(Reach::Already)
        );
    }

    #[test]
    fn a_measure_that_leaves_its_limit_never_reaches_it() {
        let line = line(&WORN);
        assert_eq!(line.reaches(Limit::Most(5.0)), Reach::Never);
        assert_eq!(line.may_reach(Limit::Most(5.0), 0.95), Ok(Reach::Never));
    }

    #[test]
    fn a_level_line_may_still_reach_its_limit() {
        let line = line(&[(0.0, 5.0), (1.0, 5.1), (2.0, 5.1), (3.0, 5.0)]);
        assert!(line.slope().abs() < 1e-15);
        assert!(matches!(
            line.may_reach(Limit::Least(4.0), 0.95),
            Ok(Reach::At(_))
        ));
    }

    #[test]
    fn a_coarse_gauge_that_repeats_itself_is_not_sure() {
        let same = [(0.0, 4.7), (100.0, 4.7), (200.0, 4.7), (300.0, 4.7)];
        let sure = Line::through(&same, 0.0).expect("a line");
        assert_eq!(sure.may_reach(Limit::Least(4.5), 0.95), Ok(Reach::Never));
        let honest = Line::through(&same, rounding_sd(0.1)).expect("a line");
        assert!(matches!(
            honest.may_reach(Limit::Least(4.5), 0.95),
            Ok(Reach::At(_))
        ));
    }

    #[test]
    fn the_order_of_entry_changes_nothing() {
        let mut other = WORN;
        other.reverse();
        other.swap(1, 3);
        let limit = Limit::Least(4.6);
        assert_eq!(line(&WORN).reaches(limit), line(&other).reaches(limit));
        assert_eq!(
            line(&WORN).may_reach(limit, 0.95),
            line(&other).may_reach(limit, 0.95)
        );
    }

    #[test]
    fn the_unit_changes_nothing_but_the_last_digits() {
        let nanometre: Vec<(f64, f64)> = WORN.iter().map(|(x, y)| (*x, y * 1e6)).collect();
        let early = |points: &[(f64, f64)], least| {
            at(line(points)
                .may_reach(Limit::Least(least), 0.95)
                .expect("a place"))
        };
        let (mm, nm) = (early(&WORN, 4.6), early(&nanometre, 4.6e6));
        assert!((mm - nm).abs() < 1e-9 * mm, "{mm} and {nm}");
    }
}
