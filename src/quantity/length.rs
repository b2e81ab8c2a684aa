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
    /// Reads `0.250 in`, `6.25 mm`; a bare number takes the unit `bare`, if there is one.
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

    /// As `6.25 mm`, rounded half to even at `decimals`. What is not zero never prints as
    /// zero.
    pub fn display_rounded(self, unit: LengthUnit, decimals: u32) -> String {
        decimal::display(self.0, unit, decimals)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_is_read_in_inches_and_metric_units() {
        for (text, nm) in [
            ("0.250 in", 6_350_000),
            ("0.250\"", 6_350_000),
            (".250 in", 6_350_000),
            ("6.25 mm", 6_250_000),
            ("0.001 in", 25_400),
            ("0.000005 in", 127),
            ("7 ft", 2_133_600_000),
            ("5 \u{3bc}m", 5_000),
            ("2 m", 2_000_000_000),
            ("2.5 cm", 25_000_000),
        ] {
            assert_eq!(Length::parse(text, None).map(Length::nm), Ok(nm), "{text}");
        }
    }

    #[test]
    fn a_tenth_of_a_nanometre_is_refused() {
        assert!(Length::parse("0.0000001 mm", None).is_err());
        assert!(Length::parse("0.000001 in", None).is_err());
    }

    #[test]
    fn a_length_prints_in_the_unit_asked_for() {
        let length = Length::from_nm(6_250_000);
        assert_eq!(length.display(LengthUnit::Millimetre), "6.25 mm");
        assert_eq!(length.display_rounded(LengthUnit::Inch, 3), "0.246 in");
    }
}
