//! What a sum over days to come may be, from amounts on days behind.
//!
//! **Distribution.** The sum behind and the sum to come are taken as gamma distributed, with one
//! scale and with shapes in proportion to their days. Then the sum to come over the sum behind
//! is an inverted beta variable, an F by another name, whatever the scale (J. Aitchison and
//! I. R. Dunsmore, Statistical Prediction Analysis, 1975, chapter 2: the predictive distribution
//! of the gamma model). It is never below zero and leans to the high side, as sums of doses do,
//! and its spread has both parts: that of the days to come, and that of a mean known from so
//! many days only. Like N stretches behind and n to come its variance goes as n + n^2/N.
//!
//! **Shape.** The shape behind is the square of the sum over its variance. The variance is the
//! largest of several: the amounts one by one, as of a compound Poisson sum, so that their number
//! varies too; stretches of 28 days (shorter where fewer than [`FEWEST_STRETCHES`] are behind);
//! and stretches two, three and four times as long, which vary more where work on one job is
//! alike. The variance itself is known from few stretches, so it is raised by the square of
//! Student's factor over the normal one ("Student", Biometrika 6 (1908) 1). That the largest is
//! taken, and from how many degrees of freedom, is common practice, no source: how often the
//! band holds is measured (`tests/bench/coverage_forecast.rs`).

use super::special::{Tail, beta_quantile, beta_tails, student_quantile};
use super::sum::sum;

/// The days of a stretch.
pub const STRETCH: i64 = 28;

/// Days are cut into at least so many stretches.
pub const FEWEST_STRETCHES: i64 = 6;

/// Fewest days behind from which a sum is predicted: as many stretches of two weeks.
pub const FEWEST_DAYS: i64 = FEWEST_STRETCHES * 14;

/// The least shape behind: below it one or two amounts make up most of the sum, and the band
/// would run from nothing to many times what is expected.
const LEAST_SHAPE: f64 = 2.0;

/// What lies beyond either end of the band that the factor is taken for.
const OUTSIDE: f64 = 0.05;

/// The normal quantile of [`OUTSIDE`].
const NORMAL: f64 = 1.644_853_626_951_472_2;

/// Degrees of freedom of a longer stretch's variance, at least.
const LEAST_FREEDOM: i64 = 4;

/// Why nothing is predicted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TooLittle {
    /// Fewer than [`FEWEST_DAYS`] days.
    Days,
    /// No amount above zero.
    Nothing,
    /// The amounts vary too much: few make up most of the sum.
    Uneven,
}

/// Amounts on days behind, as far as a prediction needs them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Behind {
    sum: f64,
    shape: f64,
    days: i64,
    stretches: i64,
}

impl Behind {
    /// From amounts, each with its day counted from 0, over `days` days.
    ///
    /// # Errors
    /// [`TooLittle`] where they are too few or vary too much.
    pub fn of(amounts: &[(i64, f64)], days: i64) -> Result<Behind, TooLittle> {
        if days < FEWEST_DAYS {
            return Err(TooLittle::Days);
        }
        let all = sum(amounts.iter().map(|it| it.1));
        if all <= 0.0 {
            return Err(TooLittle::Nothing);
        }
        let stretches = ((days + STRETCH / 2) / STRETCH).max(FEWEST_STRETCHES.min(days / 14));
        let (variance, freedom) = widest(amounts, days, stretches);
        let student = student_quantile(freedom, Tail::Upper(OUTSIDE));
        let shape = all * all / (variance * (student / NORMAL).powi(2));
        if shape < LEAST_SHAPE {
            return Err(TooLittle::Uneven);
        }
        Ok(Behind {
            sum: all,
            shape,
            days,
            stretches,
        })
    }

    /// The chance that the sum over so many days to come is above `room`.
    pub fn above(&self, ahead: i64, room: f64) -> f64 {
        if ahead <= 0 {
            return if room < 0.0 { 1.0 } else { 0.0 };
        }
        if room <= 0.0 {
            return 1.0;
        }
        beta_tails(self.shape_of(ahead), self.shape, room / (room + self.sum)).1
    }

    /// The sum over so many days to come that is not passed with this probability.
    pub fn quantile(&self, ahead: i64, probability: f64) -> f64 {
        if ahead <= 0 {
            return 0.0;
        }
        let come = self.shape_of(ahead);
        // Whichever of the share and its complement is the smaller keeps the digits.
        let share = beta_quantile(come, self.shape, Tail::Lower(probability));
        let odds = if share < 0.5 {
            share / (1.0 - share)
        } else {
            let rest = beta_quantile(self.shape, come, Tail::Upper(probability));
            (1.0 - rest) / rest
        };
        self.sum * odds
    }

    /// The least chance that the days behind can tell from none: that a stretch is above each of
    /// the N before it has a chance of 1/(N + 1) where all are alike.
    pub fn least(&self) -> f64 {
        1.0 / (self.stretches + 1) as f64
    }

    /// Into how many stretches the days were cut.
    pub fn stretches(&self) -> i64 {
        self.stretches
    }

    fn shape_of(&self, ahead: i64) -> f64 {
        self.shape * ahead as f64 / self.days as f64
    }
}

/// The largest of the variances of the whole sum, and its degrees of freedom.
fn widest(amounts: &[(i64, f64)], days: i64, stretches: i64) -> (f64, f64) {
    let (mut widest, mut freedom) = (of_stretches(amounts, days, stretches), stretches - 1);
    for times in 2..=4 {
        let longer = (stretches + times / 2) / times;
        if longer < 3 {
            break;
        }
        let variance = of_stretches(amounts, days, longer);
        if variance > widest {
            (widest, freedom) = (variance, (longer - 1).max(LEAST_FREEDOM));
        }
    }
    let single = sum(amounts.iter().map(|it| it.1 * it.1));
    if single < widest {
        return (widest, freedom as f64);
    }
    // The amounts are skewed, so that three of them count as one.
    let some = amounts.iter().filter(|it| it.1 > 0.0).count() as i64;
    (single, freedom.max((some / 3).min(30)) as f64)
}

/// The variance of the whole sum by equal stretches: so many times the variance of one.
fn of_stretches(amounts: &[(i64, f64)], days: i64, stretches: i64) -> f64 {
    let mut sums = vec![0.0; usize::try_from(stretches).unwrap_or(0)];
    for (day, amount) in amounts {
        let at = (day * stretches / days).clamp(0, stretches - 1);
        if let Some(slot) = usize::try_from(at).ok().and_then(|at| sums.get_mut(at)) {
            *slot += amount;
        }
    }
    let count = stretches as f64;
    let mean = sum(sums.iter().copied()) / count;
    count * sum(sums.iter().map(|it| (it - mean).powi(2))) / (count - 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn even(days: i64) -> Behind {
        let amounts: Vec<(i64, f64)> = (0..days).map(|day| (day, 10.0)).collect();
        Behind::of(&amounts, days).expect("enough days")
    }

    #[test]
    fn too_little_is_told_apart() {
        let of = |amounts: &[(i64, f64)], days| Behind::of(amounts, days).err();
        assert_eq!(of(&[(0, 1.0)], FEWEST_DAYS - 1), Some(TooLittle::Days));
        assert_eq!(of(&[], 365), Some(TooLittle::Nothing));
        assert_eq!(of(&[(0, 0.0); 100], 365), Some(TooLittle::Nothing));
        let mut one: Vec<(i64, f64)> = (0..100).map(|n| (3 * n, 1.0)).collect();
        assert_eq!(of(&one, 365), None);
        one.push((200, 1000.0));
        assert_eq!(of(&one, 365), Some(TooLittle::Uneven));
    }

    #[test]
    fn days_are_cut_into_four_weeks_and_into_six_at_least() {
        for (days, stretches) in [(84, 6), (91, 6), (167, 6), (196, 7), (365, 13), (366, 13)] {
            assert_eq!(even(days).stretches(), stretches, "{days} days");
        }
        assert_eq!(even(365).least(), 1.0 / 14.0);
    }

    #[test]
    fn even_amounts_vary_as_their_number_does() {
        // Every stretch has the same sum, so the single amounts decide: 364 amounts of 10 have a
        // variance of 364 * 100, raised by (t(30) / z)^2 = (1.6973 / 1.6449)^2 = 1.0647.
        let shape = even(364).shape;
        assert!((shape - 364.0 / 1.0647).abs() < 0.05, "{shape}");
    }

    #[test]
    fn the_middle_is_what_was_behind_and_the_ends_lie_around_it() {
        let behind = even(364);
        for ahead in [1, 30, 182, 364] {
            let [low, middle, high] = [0.05, 0.5, 0.95].map(|p| behind.quantile(ahead, p));
            let mean = 10.0 * ahead as f64;
            assert!(low < middle && middle < high, "{ahead}");
            assert!(low < mean && mean < high, "{ahead}");
            for (quantile, above) in [(low, 0.95), (middle, 0.5), (high, 0.05)] {
                assert!(
                    (behind.above(ahead, quantile) - above).abs() < 1e-9,
                    "{ahead}"
                );
            }
        }
        assert_eq!(behind.quantile(0, 0.95), 0.0);
        assert_eq!((behind.above(0, 0.0), behind.above(0, -1.0)), (0.0, 1.0));
        assert_eq!(behind.above(1, 0.0), 1.0);
    }

    #[test]
    fn work_that_is_alike_for_months_widens_the_band() {
        // The same amounts, once mixed and once those above the mean for half a year.
        let amounts = |high: fn(i64) -> bool| -> Vec<(i64, f64)> {
            let amount = |day| if high(day) { 15.0 } else { 5.0 };
            (0..364).map(|day| (day, amount(day))).collect()
        };
        let mixed = Behind::of(&amounts(|day| day % 2 == 0), 364).expect("enough");
        let alike = Behind::of(&amounts(|day| day < 182), 364).expect("enough");
        assert!(alike.quantile(182, 0.95) > 1.2 * mixed.quantile(182, 0.95));
        assert!((alike.sum - mixed.sum).abs() < 1e-9);
    }
}
