//! How many wear periods were compared, and why the others were not: agreement is said only of
//! what was compared.

use crate::dose::reconcile::Agreement;

/// Wear periods by what came of them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Counts {
    /// Readings and result stood against each other.
    pub compared: usize,
    /// Of those, beyond the band.
    pub beyond: usize,
    /// Without a result.
    pub without_result: usize,
    /// Both below the minimum for a comparison.
    pub too_small: usize,
    /// With a result and nothing to compare it with, or the other way round: readings without a
    /// sum, a result without a deep dose, a rule set without a band.
    pub nothing_to_compare: usize,
}

impl Counts {
    /// Counts what came of each period.
    pub fn of(all: impl IntoIterator<Item = Agreement>) -> Counts {
        let mut counts = Counts::default();
        for it in all {
            match it {
                Agreement::NoResult => counts.without_result += 1,
                Agreement::NotComparable | Agreement::ReadingsIncomplete => {
                    counts.nothing_to_compare += 1;
                }
                Agreement::TooSmall => counts.too_small += 1,
                Agreement::Within => counts.compared += 1,
                Agreement::ReadingsHigher | Agreement::ReadingsLower => {
                    counts.compared += 1;
                    counts.beyond += 1;
                }
            }
        }
        counts
    }

    /// Why the others were not compared: `12 without a result, 1 with nothing to compare`; blank
    /// where all were.
    fn others(&self) -> String {
        let parts = [
            (self.too_small, "below the minimum for a comparison"),
            (self.without_result, "without a result"),
            (self.nothing_to_compare, "with nothing to compare"),
        ];
        let parts = parts.into_iter().filter(|(count, _)| *count > 0);
        let parts: Vec<String> = parts.map(|(count, why)| format!("{count} {why}")).collect();
        parts.join(", ")
    }

    /// `9 compared, 1 beyond the band, 3 without a result`.
    pub fn words(&self) -> String {
        let mut words = format!("{} compared", self.compared);
        if self.compared > 0 {
            words += &format!(", {} beyond the band", self.beyond);
        }
        match self.others() {
            others if others.is_empty() => words,
            others => format!("{words}, {others}"),
        }
    }

    /// What can be said of the periods where none is beyond the band.
    pub fn agreement_words(&self) -> String {
        let after = |mark: &str| match self.others() {
            others if others.is_empty() => ".".to_owned(),
            others => format!("{mark} {others}."),
        };
        let others = after(";");
        match self.compared {
            0 => format!("Nothing was compared: 0 compared{}", after(",")),
            all if self.beyond > 0 => format!(
                "{all} periods were compared, {} beyond the band, as single periods are at times; \
                 none differs enough to be a finding by itself{others}",
                self.beyond
            ),
            1 => format!("The one period that was compared agrees within the band{others}"),
            all => format!("The {all} periods that were compared agree within the band{others}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Agreement::{
        NoResult, NotComparable, ReadingsHigher, ReadingsIncomplete, ReadingsLower, TooSmall,
        Within,
    };

    #[test]
    fn agreement_is_said_only_of_what_was_compared() {
        let may = [&[NoResult; 12][..], &[ReadingsIncomplete]].concat();
        for (all, words, agreement) in [
            (
                &may[..],
                "0 compared, 12 without a result, 1 with nothing to compare",
                "Nothing was compared: 0 compared, 12 without a result, 1 with nothing to compare.",
            ),
            (&[], "0 compared", "Nothing was compared: 0 compared."),
            (
                &[Within],
                "1 compared, 0 beyond the band",
                "The one period that was compared agrees within the band.",
            ),
            (
                &[Within, TooSmall, Within, NoResult, NotComparable],
                "2 compared, 0 beyond the band, 1 below the minimum for a comparison, 1 without \
                 a result, 1 with nothing to compare",
                "The 2 periods that were compared agree within the band; 1 below the minimum \
                 for a comparison, 1 without a result, 1 with nothing to compare.",
            ),
            (
                &[TooSmall, TooSmall],
                "0 compared, 2 below the minimum for a comparison",
                "Nothing was compared: 0 compared, 2 below the minimum for a comparison.",
            ),
        ] {
            let counts = Counts::of(all.iter().copied());
            assert_eq!(counts.words(), words);
            assert_eq!(counts.agreement_words(), agreement);
        }
        let counts = Counts::of([Within, ReadingsLower, ReadingsHigher]);
        assert_eq!(counts.words(), "3 compared, 2 beyond the band");
    }
}
