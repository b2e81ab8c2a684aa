//! Angle, in whole thousandths of a degree.

use super::decimal::{self, Sign};
use super::error::QuantityError;

units! {
    /// The units in which people write an angle.
    AngleUnit of "angle" {
        /// Degree, printed `deg`.
        Degree = 1_000, "deg" | "\u{b0}";
    }
}

whole! {
    /// An angle, which may be below zero.
    Angle, from_millidegrees, millidegrees, "millidegree"
}

impl Angle {
    /// Reads `12.5 deg`, `-3 deg`; a bare number takes the unit `bare`, if there is one.
    ///
    /// # Errors
    /// [`QuantityError`] for anything that is not exactly an angle.
    pub fn parse(text: &str, bare: Option<AngleUnit>) -> Result<Self, QuantityError> {
        decimal::parse(text, bare, Sign::Allowed).map(|(count, _)| Self(count))
    }

    /// As `12.5 deg`: exact.
    pub fn display(self, unit: AngleUnit) -> String {
        self.display_rounded(unit, unit.decimals())
    }

    /// As `12.5 deg`, rounded half to even at `decimals`. What is not zero never prints as
    /// zero.
    pub fn display_rounded(self, unit: AngleUnit, decimals: u32) -> String {
        decimal::display(self.0, unit, decimals)
    }
}
