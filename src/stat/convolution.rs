//! How the doses of the shifts still to come may add up.
//!
//! Each shift to come is taken as a draw, with replacement, from the doses of
//! recent shifts; the sum of N such draws has the N-fold convolution of their
//! distribution with itself. It is computed in full, bin by bin, and not replaced
//! by a normal curve: shift doses are mostly small with a few large ones, and the
//! normal curve makes the upper tail too thin (by a factor of ten and more where a
//! probability is small).
//!
//! **Bins.** One bin is 1 uSv, or the greatest common divisor of the doses where
//! that is more (readings to 1 mrem are multiples of 10 uSv), which changes nothing
//! in the result. Only where N shifts of the largest dose would need more than
//! [`MOST_BINS`] bins are they made wider; doses are then rounded up to a bin, so
//! that a total is never too low, and [`ShiftDoses::rounds_up`] says so.
//!
//! **Two ways of the same sum.** Short sums go shift by shift: every term is
//! positive, so that even a probability of 1e-30 keeps its digits (relative error
//! below [`STEP_ERROR`]). Long ones go by the Fourier transform, whose error is the
//! same for all bins: below [`TRANSFORM_ERROR`], absolute. [`Totals::error`] says
//! which holds. Tests compare both with each other and with exact fractions.

use super::fourier::{Complex, Roots, back, transform};
use super::sum::{Sum, sum};
pub use super::totals::{ErrorBound, Totals};
use thiserror::Error;

/// Most bins of a distribution of totals; beyond, bins are made wider.
///
/// 2^21 bins of 1 uSv are 200 shifts of 10 mSv each, which no programme plans.
pub const MOST_BINS: u64 = 1 << 21;

/// Most shifts to come: three a day for 366 days, rounded up.
pub const MOST_SHIFTS: u32 = 1_100;

/// Bound of the relative error of a probability summed shift by shift.
///
/// Each of N shifts adds at most (distinct doses + 1) roundings of 1.1e-16; for
/// [`MOST_SHIFTS`] and a few hundred distinct doses this stays below 1e-10.
pub const STEP_ERROR: f64 = 1e-10;

/// Bound of the absolute error of a probability found by the transform.
///
/// Each transformed value errs by a few 1e-16, N times that after the power; summed
/// over the bins of a tail it stays two orders below this figure in the tests.
pub const TRANSFORM_ERROR: f64 = 1e-10;

// A bin at either end holding less than this is given up: its mass moves to a place
// that makes a total higher, never lower.
const TRIM: f64 = 1e-40;

// Standard deviations beyond which a tail is thinner than `TRIM`, near enough to
// guess how much work the shift-by-shift way is.
const TRIM_DEVIATIONS: f64 = 13.5;

// Products up to which the shift-by-shift way is quick (some 20 ms on a small
// machine); beyond, the transform.
const STEP_WORK: f64 = 4e7;

/// Why the doses cannot be added up.
#[derive(Clone, Copy, Debug, Error, PartialEq, Eq)]
pub enum ConvolutionError {
    /// There is no recent shift to draw from.
    #[error("no recent shift to draw from")]
    NoRecentShift,
    /// More shifts to come than a year can hold.
    #[error("`{shifts}` shifts to come are more than a year can hold (at most {MOST_SHIFTS})")]
    TooManyShifts {
        /// The number that was given.
        shifts: u32,
    },
}

// One distinct dose of a shift, in bins, and the share of recent shifts with it.
#[derive(Clone, Copy, Debug)]
struct Step {
    bins: usize,
    share: f64,
}

/// The doses that a shift to come may bring, and how many such shifts there are.
#[derive(Clone, Debug)]
pub struct ShiftDoses {
    bin_usv: u64,
    rounds_up: bool,
    steps: Vec<Step>,
    shifts: u32,
}

impl ShiftDoses {
    /// Takes the doses of recent shifts (uSv), each as likely as the others, and the
    /// number of shifts to come.
    ///
    /// # Errors
    /// If there is no recent shift, or more than [`MOST_SHIFTS`] to come.
    pub fn new(recent_usv: &[u64], shifts: u32) -> Result<Self, ConvolutionError> {
        let Some(&largest) = recent_usv.iter().max() else {
            return Err(ConvolutionError::NoRecentShift);
        };
        if shifts > MOST_SHIFTS {
            return Err(ConvolutionError::TooManyShifts { shifts });
        }
        let finest = recent_usv
            .iter()
            .fold(0, |a, &b| common_divisor(a, b))
            .max(1);
        let mut bin_usv = finest;
        while largest.div_ceil(bin_usv) > MOST_BINS / u64::from(shifts.max(1)) {
            bin_usv = bin_usv.saturating_mul(2);
        }
        let mut counts = std::collections::BTreeMap::<usize, u32>::new();
        for dose in recent_usv {
            // Below MOST_BINS by the loop above, so it fits.
            *counts.entry(dose.div_ceil(bin_usv) as usize).or_default() += 1;
        }
        let all = recent_usv.len() as f64;
        let steps = counts
            .into_iter()
            .map(|(bins, count)| Step {
                bins,
                share: f64::from(count) / all,
            })
            .collect();
        let rounds_up = recent_usv.iter().any(|dose| dose % bin_usv != 0);
        Ok(ShiftDoses {
            bin_usv,
            rounds_up,
            steps,
            shifts,
        })
    }

    /// The width of a bin, uSv.
    pub fn bin_usv(&self) -> u64 {
        self.bin_usv
    }

    /// Whether doses had to be rounded up to wider bins.
    pub fn rounds_up(&self) -> bool {
        self.rounds_up
    }

    /// The distribution of the sum over all shifts to come.
    pub fn totals(&self) -> Totals {
        if self.step_work() <= STEP_WORK {
            self.totals_by_steps()
        } else {
            self.by_transform()
        }
    }

    /// After how many shifts the sum has passed `level_usv` (lies strictly above it),
    /// with at least each of the given probabilities.
    ///
    /// `None` where even the last shift does not bring that probability.
    pub fn shifts_to_pass(&self, level_usv: u64, probabilities: &[f64]) -> Vec<Option<u32>> {
        let highest = usize::try_from(level_usv / self.bin_usv).unwrap_or(usize::MAX);
        let mut found = vec![None; probabilities.len()];
        let mut run = Run::start();
        for shift in 1..=self.shifts {
            run.add_shift(&self.steps, highest);
            let passed = run.above.value();
            for (place, probability) in found.iter_mut().zip(probabilities) {
                if place.is_none() && passed >= *probability {
                    *place = Some(shift);
                }
            }
            if found.iter().all(Option::is_some) {
                break;
            }
        }
        found
    }

    fn largest(&self) -> usize {
        self.steps.last().map_or(0, |step| step.bins)
    }

    // The number of products that the shift-by-shift way needs, roughly.
    fn step_work(&self) -> f64 {
        let shifts = f64::from(self.shifts);
        let mean = sum(self.steps.iter().map(|s| s.share * s.bins as f64));
        let variance = sum(self
            .steps
            .iter()
            .map(|s| s.share * (s.bins as f64 - mean).powi(2)));
        let whole = shifts * self.largest() as f64 / 2.0;
        let trimmed = 2.0 * TRIM_DEVIATIONS * (variance * shifts).sqrt() * 2.0 / 3.0;
        self.steps.len() as f64 * shifts * whole.min(trimmed + self.largest() as f64)
    }

    fn totals_by_steps(&self) -> Totals {
        let mut run = Run::start();
        for _ in 0..self.shifts {
            run.add_shift(&self.steps, usize::MAX);
        }
        Totals {
            bin_usv: self.bin_usv,
            lowest: run.lowest,
            mass: run.mass,
            above: run.above.value(),
            largest: self.largest() * self.shifts as usize,
            error: ErrorBound::Relative(STEP_ERROR),
        }
    }

    fn by_transform(&self) -> Totals {
        let largest = self.largest() * self.shifts as usize;
        let length = (largest + 1).next_power_of_two();
        let roots = Roots::new(length.trailing_zeros());
        let mut values = vec![Complex::default(); length];
        for step in &self.steps {
            if let Some(value) = values.get_mut(step.bins) {
                value.re = step.share;
            }
        }
        transform(&mut values, &roots);
        // Most values are so small that their power vanishes; skipping it saves time.
        let vanishing = 1e-60f64.powf(1.0 / f64::from(self.shifts.max(1)));
        for value in &mut values {
            *value = if value.squared() < vanishing {
                Complex::default()
            } else {
                value.power(self.shifts)
            };
        }
        back(&mut values, &roots);
        // What the transform leaves below zero is its error; taking it as zero can
        // only raise a probability.
        let scale = 1.0 / length as f64;
        let mass = values
            .iter()
            .take(largest + 1)
            .map(|v| (v.re * scale).max(0.0))
            .collect();
        Totals {
            bin_usv: self.bin_usv,
            lowest: 0,
            mass,
            above: 0.0,
            largest,
            error: ErrorBound::Absolute(TRANSFORM_ERROR),
        }
    }
}

// The distribution of the sum after some shifts: the mass of the bins from `lowest`
// on, and what lies above all of them.
struct Run {
    lowest: usize,
    mass: Vec<f64>,
    above: Sum,
}

impl Run {
    // Before the first shift the sum is zero, surely.
    fn start() -> Self {
        Run {
            lowest: 0,
            mass: vec![1.0],
            above: Sum::default(),
        }
    }

    // One more shift; what then lies above bin `highest` stays there for good, since
    // no shift takes dose away.
    fn add_shift(&mut self, steps: &[Step], highest: usize) {
        let least = steps.first().map_or(0, |step| step.bins);
        let spread = steps.last().map_or(0, |step| step.bins) - least;
        let mut next = vec![0.0; self.mass.len() + spread];
        for step in steps {
            let shifted = next.iter_mut().skip(step.bins - least);
            for (to, from) in shifted.zip(&self.mass) {
                *to += step.share * from;
            }
        }
        self.lowest += least;
        let kept = if self.lowest > highest {
            0
        } else {
            (highest - self.lowest).saturating_add(1)
        };
        if kept < next.len() {
            for mass in next.drain(kept..) {
                self.above.add(mass);
            }
        }
        self.mass = next;
        self.trim();
    }

    // Gives up the far ends: the low end moves into the lowest bin that is kept, the
    // high end counts as above everything. Both make the total higher.
    fn trim(&mut self) {
        while self.mass.last().is_some_and(|&mass| mass < TRIM) {
            if let Some(mass) = self.mass.pop() {
                self.above.add(mass);
            }
        }
        let Some(first) = self.mass.iter().position(|&mass| mass >= TRIM) else {
            return;
        };
        let low: f64 = self.mass.drain(..first).sum();
        self.lowest += first;
        if let Some(mass) = self.mass.first_mut() {
            *mass += low;
        }
    }
}

fn common_divisor(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { common_divisor(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn doses(recent: &[u64], shifts: u32) -> ShiftDoses {
        ShiftDoses::new(recent, shifts).expect("good doses")
    }

    // The sums and their probabilities by listing every sequence of draws.
    fn listed(recent: &[u64], shifts: u32, level: u64) -> f64 {
        let mut sums = vec![0u64];
        for _ in 0..shifts {
            sums = sums
                .iter()
                .flat_map(|s| recent.iter().map(move |d| s + d))
                .collect();
        }
        sums.iter().filter(|&&s| s > level).count() as f64 / sums.len() as f64
    }

    #[test]
    fn a_short_sum_agrees_with_listing_every_sequence() {
        let recent = [0, 0, 3, 7, 7, 20];
        for shifts in 0..6 {
            let totals = doses(&recent, shifts).totals();
            for level in 0..110 {
                let listed = listed(&recent, shifts, level);
                let found = totals.probability_above(level);
                assert!(
                    (found - listed).abs() < 1e-14,
                    "{shifts} shifts, above {level} uSv"
                );
            }
        }
    }

    #[test]
    fn both_ways_of_the_sum_agree() {
        let recent = [0, 0, 0, 1, 4, 9, 16, 25, 60, 111];
        let shifts = doses(&recent, 90);
        let (steps, transform) = (shifts.totals_by_steps(), shifts.by_transform());
        for level in (0..9_990).step_by(7) {
            let (a, b) = (
                steps.probability_above(level),
                transform.probability_above(level),
            );
            assert!(
                (a - b).abs() < TRANSFORM_ERROR / 100.0,
                "above {level}: {a} and {b}"
            );
        }
        for probability in [0.05, 0.5, 0.95] {
            assert_eq!(
                steps.quantile_usv(probability),
                transform.quantile_usv(probability)
            );
        }
    }

    #[test]
    fn the_largest_sums_that_are_met_with_keep_the_stated_error() {
        // Shifts of up to 2 000 uSv at a bin of 1 uSv; 60 of them, so that the test is
        // quick, though only more of them would call for the transform.
        let recent = [0, 0, 1, 777, 2_000];
        assert!(doses(&recent, 900).step_work() > STEP_WORK);
        let shifts = doses(&recent, 60);
        let (steps, transform) = (shifts.totals_by_steps(), shifts.by_transform());
        for level in (0..120_000).step_by(10_000) {
            let (a, b) = (
                steps.probability_above(level),
                transform.probability_above(level),
            );
            assert!(
                (a - b).abs() < TRANSFORM_ERROR / 100.0,
                "above {level}: {a} and {b}"
            );
        }
    }

    #[test]
    fn a_certain_dose_gives_a_certain_total() {
        let totals = doses(&[25], 40).totals();
        assert_eq!(totals.probability_above(999), 1.0);
        assert_eq!(totals.probability_at_or_above(1_000), 1.0);
        assert_eq!(totals.probability_above(1_000), 0.0);
        assert_eq!(totals.quantile_usv(0.5), 1_000);
    }

    #[test]
    fn no_shift_to_come_leaves_the_sum_at_zero() {
        let totals = doses(&[10, 20], 0).totals();
        assert_eq!(totals.probability_above(0), 0.0);
        assert_eq!(totals.probability_at_or_above(0), 1.0);
        assert_eq!(totals.quantile_usv(0.95), 0);
    }

    #[test]
    fn the_bin_is_the_common_divisor_of_the_doses() {
        assert_eq!(doses(&[0, 40, 100], 5).bin_usv(), 20);
        assert_eq!(doses(&[0, 40, 101], 5).bin_usv(), 1);
        assert_eq!(doses(&[0, 0], 5).bin_usv(), 1);
    }

    #[test]
    fn a_sum_too_long_for_the_bins_is_rounded_up_never_down() {
        let shifts = doses(&[1, 3_000_001], 3);
        assert!(shifts.rounds_up());
        let totals = shifts.totals();
        assert!(totals.largest_usv() >= 3 * 3_000_001);
        assert!(totals.quantile_usv(1e-9) >= 3);
        // With a chance of 7/8 at least one large shift is among them.
        assert!(totals.quantile_usv(0.5) >= 3_000_001 + 2);
        assert!(!doses(&[1, 9_000], 200).rounds_up());
    }

    #[test]
    fn trimmed_ends_never_lower_a_probability() {
        // With 1 000 shifts both ends fall far below what is kept.
        let totals = doses(&[0, 1], 1_000).totals();
        let sum: f64 = sum(totals.mass.iter().copied().chain([totals.above]));
        assert!((sum - 1.0).abs() < 1e-12);
        assert!(totals.mass.len() < 1_001);
        // The exact values are 2^-1000 each; what was given up stands above them.
        assert!(totals.probability_above(999) >= 2f64.powi(-1000));
        assert_eq!(totals.probability_above(1_000), 0.0);
    }

    #[test]
    fn a_level_is_passed_at_the_first_shift_that_is_likely_enough() {
        // Each shift brings 0 or 10 uSv: above 15 needs two that bring dose. After m
        // shifts that has happened with 1 - (m + 1) / 2^m: 1/4, 1/2, 11/16, 13/16.
        let shifts = doses(&[0, 10], 5);
        let found = shifts.shifts_to_pass(15, &[0.2, 0.3, 0.6, 0.8, 0.9]);
        assert_eq!(found, [Some(2), Some(3), Some(4), Some(5), None]);
    }

    #[test]
    fn shifts_to_pass_and_totals_tell_the_same() {
        let recent = [0, 5, 5, 12, 30, 80];
        for (level, shifts) in [(0, 1), (30, 4), (200, 11), (640, 40)] {
            let p = doses(&recent, shifts).totals().probability_above(level);
            let more = doses(&recent, shifts + 5);
            let found = more.shifts_to_pass(level, &[p - 1e-12, p + 1e-12]);
            assert_eq!(found.first(), Some(&Some(shifts)), "{level}");
            assert_eq!(found.get(1), Some(&Some(shifts + 1)), "{level}");
        }
    }

    #[test]
    fn what_cannot_be_added_up_is_refused() {
        assert_eq!(
            ShiftDoses::new(&[], 3).err(),
            Some(ConvolutionError::NoRecentShift)
        );
        assert_eq!(
            ShiftDoses::new(&[1], 5_000).err(),
            Some(ConvolutionError::TooManyShifts { shifts: 5_000 })
        );
    }
}
