//! Length, in whole nanometre.

use super::decimal::{self, Sign};
use super::error::QuantityError;

units! {
    /// The units in which people write a length. 1 in = 25.4 mm and 1 ft = 12 in exactly (the
    /// international foot and inch of 1959).
    LengthUnit of "length" {
        /// mm.
        Millimetre = 1_000_000, "mm";
        /// Inch.
        Inch = 25_400_000, "in" | "\"";
        /// cm.
        Centimetre = 10_000_000, "cm";
        /// m.
        Metre = 1_000_000_000, "m";
        /// Foot.
        Foot = 304_800_000, "ft";
        /// Printed `um`.
        Micrometre = 1_000, "um" | "\u{b5}m" | "\u{3bc}m";
    }
}

whole! {
    /// A length or distance, or a measure of wear.
    Length, from_nm, nm, "nanometre"
}

impl Length {
    /// Reads `0.250 in`, `4.75 mm`; a bare number takes the unit `bare`, if there is one.
    ///
    /// # Errors
    /// [`QuantityError`] for anything that is not exactly a length of zero or more.
    pub fn parse(text: &str, bare: Option<LengthUnit>) -> Result<Self, QuantityError> {
        decimal::parse(text, bare, Sign::Refused).map(|(count, _)| Self(count))
    }

    /// The same for a difference or a position, which may be below zero.
    ///
    /// # Errors
    /// [`QuantityError`] for anything that is not exactly a length.
    pub fn parse_signed(text: &str, bare: Option<LengthUnit>) -> Result<Self, QuantityError> {
        decimal::parse(text, bare, Sign::Allowed).map(|(count, _)| Self(count))
    }

    /// As `0.25 in`, with all the decimals the unit can carry; a nanometre is no round number
    /// of inches, so the last decimal may be rounded (half to even).
    pub fn display(self, unit: LengthUnit) -> String {
        self.display_rounded(unit, unit.decimals())
    }

    /// As `4.75 mm`, rounded half to even at `decimals`. What is not zero never prints as
    /// zero.
    pub fn display_rounded(self, unit: LengthUnit, decimals: u32) -> String {
        decimal::display(self.0, unit, decimals)
    }
}
