//! Activity of a source, in whole becquerel.

use super::decimal::{self, Sign};
use super::dose::DoseUnit;
use super::error::QuantityError;

units! {
    /// The units in which people write an activity. 1 Ci = 3.7 x 10^10 Bq exactly
    /// (10 CFR 20.1005).
    ActivityUnit of "activity" {
        /// Ci.
        Curie = 37_000_000_000, "Ci";
        /// mCi.
        Millicurie = 37_000_000, "mCi";
        /// Printed `uCi`.
        Microcurie = 37_000, "uCi" | "\u{b5}Ci" | "\u{3bc}Ci";
        /// TBq.
        TeraBecquerel = 1_000_000_000_000, "TBq";
        /// GBq.
        GigaBecquerel = 1_000_000_000, "GBq";
        /// MBq.
        MegaBecquerel = 1_000_000, "MBq";
        /// kBq.
        KiloBecquerel = 1_000, "kBq";
        /// Bq, the smallest that is kept.
        Becquerel = 1, "Bq";
    }
}

whole! {
    /// The activity of a source on a stated day.
    Activity, from_bq, bq, "becquerel"
}

impl ActivityUnit {
    /// The unit in which people state a source who count dose in this unit.
    pub const fn beside(doses: DoseUnit) -> Self {
        match doses.is_si() {
            true => Self::TeraBecquerel,
            false => Self::Curie,
        }
    }

    /// Decimals of a source's activity today: a tenth of a curie is 0.0037 TBq.
    const fn decimals_today(self) -> u32 {
        match self {
            Self::Curie => 1,
            _ => 3,
        }
    }
}

impl Activity {
    /// Reads `45 Ci`, `1.67 TBq`; a bare number takes the unit `bare`, if there is one.
    ///
    /// # Errors
    /// [`QuantityError`] for anything that is not exactly an activity of zero or more.
    pub fn parse(text: &str, bare: Option<ActivityUnit>) -> Result<Self, QuantityError> {
        decimal::parse(text, bare, Sign::Refused).map(|(count, _)| Self(count))
    }

    /// As `45 Ci`, with all the decimals the unit can carry; a becquerel is no round number of
    /// curies, so the last decimal may be rounded (half to even).
    pub fn display(self, unit: ActivityUnit) -> String {
        self.display_rounded(unit, unit.decimals())
    }

    /// A source's activity today, as an estimate by decay is printed: `53.1 Ci`, `1.965 TBq`.
    pub fn display_today(self, unit: ActivityUnit) -> String {
        self.display_rounded(unit, unit.decimals_today())
    }

    /// As `23.85 Ci`, rounded half to even at `decimals`. What is not zero never prints as
    /// zero.
    pub fn display_rounded(self, unit: ActivityUnit, decimals: u32) -> String {
        decimal::display(self.0, unit, decimals)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_activity_is_read_in_curies_and_becquerels() {
        for (text, bq) in [
            ("45 Ci", 1_665_000_000_000),
            ("1.67 TBq", 1_670_000_000_000),
            ("0.005 uCi", 185),
            ("0.005 \u{b5}Ci", 185),
            ("185 Bq", 185),
            ("0.000000001 Ci", 37),
        ] {
            assert_eq!(
                Activity::parse(text, None).map(Activity::bq),
                Ok(bq),
                "{text}"
            );
        }
    }

    #[test]
    fn a_part_of_a_becquerel_is_refused_and_not_rounded() {
        let said = Activity::parse("0.0000000001 Ci", None)
            .unwrap_err()
            .to_string();
        assert_eq!(
            said,
            "`0.0000000001 Ci` is finer than can be kept: `Ci` takes 9 decimals at most"
        );
        assert!(Activity::parse("0.5 Bq", None).is_err());
    }

    #[test]
    fn todays_activity_prints_rounded_and_never_as_none() {
        let activity = Activity::from_bq(882_345_678_901);
        assert_eq!(activity.display_rounded(ActivityUnit::Curie, 2), "23.85 Ci");
        assert_eq!(
            Activity::from_bq(1).display(ActivityUnit::Curie),
            "<0.000000001 Ci"
        );
    }
}
