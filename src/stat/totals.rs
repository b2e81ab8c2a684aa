//! The distribution of a sum of shift doses, as `convolution` leaves it.

use super::sum::{Sum, sum};

/// How far a probability may be off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ErrorBound {
    /// At most this share of the probability itself.
    Relative(f64),
    /// At most this much, whatever the probability; smaller ones are only "below".
    Absolute(f64),
}

/// The distribution of the sum of the shifts to come.
#[derive(Clone, Debug)]
pub struct Totals {
    pub(super) bin_usv: u64,
    pub(super) lowest: usize,
    pub(super) mass: Vec<f64>,
    pub(super) above: f64,
    pub(super) largest: usize,
    pub(super) error: ErrorBound,
}

impl Totals {
    /// The probability that the sum lies strictly above `level_usv`.
    pub fn probability_above(&self, level_usv: u64) -> f64 {
        match usize::try_from(level_usv / self.bin_usv) {
            Ok(bin) => self.mass_from(bin.saturating_add(1)),
            Err(_) => 0.0,
        }
    }

    /// The probability that the sum reaches `level_usv` or lies above it.
    pub fn probability_at_or_above(&self, level_usv: u64) -> f64 {
        usize::try_from(level_usv.div_ceil(self.bin_usv)).map_or(0.0, |bin| self.mass_from(bin))
    }

    /// The smallest sum (uSv) that is not exceeded with the given probability.
    pub fn quantile_usv(&self, probability: f64) -> u64 {
        let mut reached = Sum::default();
        for (bin, mass) in self.mass.iter().enumerate() {
            reached.add(*mass);
            if reached.value() >= probability {
                return (self.lowest + bin) as u64 * self.bin_usv;
            }
        }
        self.largest_usv()
    }

    /// The sum if every shift brought the largest dose, uSv.
    pub fn largest_usv(&self) -> u64 {
        self.largest as u64 * self.bin_usv
    }

    /// How far the probabilities may be off.
    pub fn error(&self) -> ErrorBound {
        self.error
    }

    fn mass_from(&self, bin: usize) -> f64 {
        if bin > self.largest {
            return 0.0;
        }
        // From the thin end, so that the small terms are not lost.
        let from = bin.saturating_sub(self.lowest);
        let bins = self.mass.iter().skip(from).rev().copied();
        let all = sum(std::iter::once(self.above).chain(bins));
        if from == 0 && bin <= self.lowest {
            1.0
        } else {
            all.min(1.0)
        }
    }
}
