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

units! {
    /// The units of absorbed dose. For photons 1 Gy counts as 1 Sv: their quality factor is 1
    /// (10 CFR 20.1004).
    AbsorbedUnit of "absorbed dose" {
        /// Gy.
        Gray = 1_000_000_000, "Gy";
        /// mGy.
        MilliGray = 1_000_000, "mGy";
        /// uGy.
        MicroGray = 1_000, "uGy" | "\u{b5}Gy" | "\u{3bc}Gy";
        /// cGy, a rad.
        CentiGray = 10_000_000, "cGy";
        /// rad, 0.01 Gy exactly (10 CFR 20.1004).
        Rad = 10_000_000, "rad";
        /// mrad.
        Millirad = 10_000, "mrad";
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

    /// Reads an absorbed dose of photons, `3 Gy` or `50 rad`, counted 1 Gy = 1 Sv. Whoever
    /// reads one says so.
    ///
    /// # Errors
    /// [`QuantityError`] for anything that is not exactly an absorbed dose of zero or more.
    pub fn parse_absorbed(text: &str) -> Result<Self, QuantityError> {
        decimal::parse::<AbsorbedUnit>(text, None, Sign::Refused).map(|(count, _)| Self(count))
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

#[cfg(test)]
mod tests {
    use super::super::error::Overflow;
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_dose_prints_in_rem_with_its_sievert_behind() {
        let dose = Dose::from_nsv(120_000);
        assert_eq!(dose.display_with_si(), "12 mrem (0.12 mSv)");
        assert_eq!(
            dose.display_with_si_in(DoseUnit::Rem),
            "0.012 rem (0.12 mSv)"
        );
        assert_eq!(
            dose.display_with_si_in(DoseUnit::MicroRem),
            "12000 urem (120 uSv)"
        );
        assert_eq!(dose.display_with_si_in(DoseUnit::MicroSievert), "120 uSv");
        assert_eq!(dose.display(DoseUnit::Sievert), "0.00012 Sv");
    }

    #[test]
    fn a_stored_dose_is_a_plain_whole_number() {
        let dose = Dose::from_nsv(120_000);
        assert_eq!(serde_json::to_string(&dose).unwrap(), "120000");
        assert_eq!(serde_json::from_str::<Dose>("120000").unwrap(), dose);
        assert!(serde_json::from_str::<Dose>("120000.0").is_err());
    }

    #[test]
    fn a_sum_that_does_not_fit_is_an_error_at_any_step() {
        let most = Dose::from_nsv(i64::MAX);
        let one = Dose::from_nsv(1);
        let back = Dose::from_nsv(-1);
        assert_eq!(Dose::sum([most, one, back]), Err(Overflow));
        assert_eq!(Dose::sum([most, back, one]), Ok(most));
        assert_eq!(Dose::sum([]), Ok(Dose::ZERO));
        assert_eq!(Dose::from_nsv(i64::MIN).checked_mul(-1), Err(Overflow));
        assert_eq!(
            Dose::ZERO.checked_sub(Dose::from_nsv(i64::MIN)),
            Err(Overflow)
        );
    }

    proptest! {
        #[test]
        fn arithmetic_is_exact_or_an_error_and_never_wraps(a in any::<i64>(), b in any::<i64>()) {
            let (one, other) = (Dose::from_nsv(a), Dose::from_nsv(b));
            let wanted = |exact: i128| i64::try_from(exact).map(Dose).map_err(|_| Overflow);
            let (a, b) = (i128::from(a), i128::from(b));
            prop_assert_eq!(one.checked_add(other), wanted(a + b));
            prop_assert_eq!(one.checked_sub(other), wanted(a - b));
            prop_assert_eq!(one.checked_mul(other.nsv()), wanted(a * b));
            prop_assert_eq!(Dose::sum([one, other]), wanted(a + b));
        }
    }
}
