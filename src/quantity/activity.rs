//! Activity of a source, in whole becquerel.

use super::decimal::{self, Sign};
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

    /// As `23.85 Ci`, rounded half to even at `decimals`. What is not zero never prints as
    /// zero.
    pub fn display_rounded(self, unit: ActivityUnit, decimals: u32) -> String {
        decimal::display(self.0, unit, decimals)
    }
}
