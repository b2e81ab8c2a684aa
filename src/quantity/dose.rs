//! Dose, in whole nanosievert.

use super::decimal::{self, Sign};
use super::error::QuantityError;

units! {
    /// The units in which people write a dose. 1 rem = 0.01 Sv exactly (10 CFR 20.1004).
    DoseUnit of "dose" {
        /// mrem, 10 000 nSv.
        Millirem = 10_000, "mrem";
        /// rem, 0.01 Sv.
        Rem = 10_000_000, "rem";
        /// One thousandth of a millirem.
        MicroRem = 10, "urem" | "\u{b5}rem" | "\u{3bc}rem";
        /// mSv.
        MilliSievert = 1_000_000, "mSv";
        /// Printed `uSv`.
        MicroSievert = 1_000, "uSv" | "\u{b5}Sv" | "\u{3bc}Sv";
        /// Sv.
        Sievert = 1_000_000_000, "Sv";
        /// nSv, the smallest that is kept.
        NanoSievert = 1, "nSv";
    }
}

impl DoseUnit {
    /// Whether it is a sievert, not a rem.
    pub const fn is_si(self) -> bool {
        matches!(
            self,
            Self::NanoSievert | Self::MicroSievert | Self::MilliSievert | Self::Sievert
        )
    }

    /// The sievert that is printed beside a rem; a sievert is its own.
    pub const fn si(self) -> Self {
        match self {
            Self::MicroRem => Self::MicroSievert,
            Self::Millirem | Self::Rem => Self::MilliSievert,
            own => own,
        }
    }
}

whole! {
    /// A dose equivalent, effective or ambient dose (which one, the place says).
    ///
    /// May be below zero only as a difference.
    Dose, from_nsv, nsv, "nanosievert"
}

impl Dose {
    /// Reads `12 mrem`, `0.12 mSv`; a bare number takes the unit `bare`, if there is one.
    ///
    /// # Errors
    /// [`QuantityError`] for anything that is not exactly a dose of zero or more; `mR` is
    /// refused, since exposure is not dose.
    pub fn parse(text: &str, bare: Option<DoseUnit>) -> Result<Self, QuantityError> {
        decimal::parse(text, bare, Sign::Refused).map(|(count, _)| Self(count))
    }

    /// The same for a difference, which may be below zero.
    ///
    /// # Errors
    /// [`QuantityError`] for anything that is not exactly a dose.
    pub fn parse_signed(text: &str, bare: Option<DoseUnit>) -> Result<Self, QuantityError> {
        decimal::parse(text, bare, Sign::Allowed).map(|(count, _)| Self(count))
    }

    /// As `12 mrem`: exact, since each unit is printed with all the decimals it can carry.
    pub fn display(self, unit: DoseUnit) -> String {
        self.display_rounded(unit, unit.decimals())
    }

    /// As `12.3 mrem`, rounded half to even at `decimals`. What is not zero never prints as
    /// zero: it prints as `<0.1 mrem`.
    pub fn display_rounded(self, unit: DoseUnit, decimals: u32) -> String {
        decimal::display(self.0, unit, decimals)
    }

    /// As `12 mrem (0.12 mSv)`, the form of dose records under 10 CFR 20.2101.
    pub fn display_with_si(self) -> String {
        self.display_with_si_in(DoseUnit::Millirem)
    }

    /// As `1.2 rem (12 mSv)`: the given unit with its sievert behind it; a sievert stands
    /// alone.
    pub fn display_with_si_in(self, unit: DoseUnit) -> String {
        let mut out = self.display(unit);
        if !unit.is_si() {
            out.push_str(" (");
            out.push_str(&self.display(unit.si()));
            out.push(')');
        }
        out
    }
}
