//! A running sum that keeps the digits which plain addition drops
//! (A. Neumaier, Z. Angew. Math. Mech. 54 (1974) 39).

/// A compensated sum: its error does not grow with the number of terms.
#[derive(Clone, Copy, Debug, Default)]
pub struct Sum {
    total: f64,
    dropped: f64,
}

impl Sum {
    /// Adds one term.
    pub fn add(&mut self, term: f64) {
        let total = self.total + term;
        self.dropped += if self.total.abs() >= term.abs() {
            (self.total - total) + term
        } else {
            (term - total) + self.total
        };
        self.total = total;
    }

    /// The sum so far.
    pub fn value(self) -> f64 {
        self.total + self.dropped
    }
}

/// The compensated sum of some terms.
pub fn sum(terms: impl IntoIterator<Item = f64>) -> f64 {
    let mut all = Sum::default();
    for term in terms {
        all.add(term);
    }
    all.value()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_terms_survive_beside_large_ones() {
        assert_eq!(sum([1.0, 1e100, 1.0, -1e100]), 2.0);
    }

    #[test]
    fn a_million_tenths_are_a_hundred_thousand() {
        assert_eq!(sum(std::iter::repeat_n(0.1, 1_000_000)), 100_000.0);
    }
}
