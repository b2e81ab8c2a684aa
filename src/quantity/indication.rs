//! What the face of a direct-reading dosimeter shows, in the unit it shows it.
//!
//! Pocket dosimeters show exposure (mR), electronic ones dose (mrem, uSv, mSv). The number and
//! the unit are kept as they were read. Setting 1 mR down as 1 mrem is a convention of record;
//! it happens in one place, [`Indication::as_dose_by_convention`].

use std::cmp::Ordering;
use std::fmt;

use serde::{Deserialize, Serialize};

use super::decimal::{self, Sign};
use super::dose::{Dose, DoseUnit};
use super::error::{Overflow, QuantityError};

units! {
    /// What a dosimeter's face may be marked in. The sizes are in 1 nSv for a dose and in
    /// 0.1 uR for exposure, so that 10 000 make the milli-unit in both.
    IndicationUnit of "a reading" {
        /// mR: exposure in air.
        Milliroentgen = 10_000, "mR";
        /// R: exposure in air.
        Roentgen = 10_000_000, "R";
        /// Printed `uR`: exposure in air.
        MicroRoentgen = 10, "uR" | "\u{b5}R" | "\u{3bc}R";
        /// mrem.
        Millirem = 10_000, "mrem";
        /// rem.
        Rem = 10_000_000, "rem";
        /// Printed `urem`.
        MicroRem = 10, "urem" | "\u{b5}rem" | "\u{3bc}rem";
        /// mSv.
        MilliSievert = 1_000_000, "mSv";
        /// Printed `uSv`.
        MicroSievert = 1_000, "uSv" | "\u{b5}Sv" | "\u{3bc}Sv";
    }
}

impl IndicationUnit {
    /// Whether it measures exposure in air, not dose.
    pub const fn is_exposure(self) -> bool {
        matches!(
            self,
            Self::Milliroentgen | Self::Roentgen | Self::MicroRoentgen
        )
    }

    /// The dose unit of the same number: itself, or for exposure the rem of the same prefix by
    /// the convention of record.
    pub const fn dose_unit_by_convention(self) -> DoseUnit {
        match self {
            Self::Milliroentgen | Self::Millirem => DoseUnit::Millirem,
            Self::Roentgen | Self::Rem => DoseUnit::Rem,
            Self::MicroRoentgen | Self::MicroRem => DoseUnit::MicroRem,
            Self::MilliSievert => DoseUnit::MilliSievert,
            Self::MicroSievert => DoseUnit::MicroSievert,
        }
    }
}

/// One reading of a dosimeter's face, with its unit.
///
/// Two of them are equal only if the unit is the same too; [`Indication::compare`] looks at
/// the amount.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Indication {
    /// In 1 nSv for a dose unit, in 0.1 uR for an exposure unit.
    count: i64,
    unit: IndicationUnit,
}

impl Indication {
    /// From a count (1 nSv for a dose unit, 0.1 uR for an exposure unit) and the unit shown.
    pub const fn new(count: i64, unit: IndicationUnit) -> Self {
        Self { count, unit }
    }

    /// The count: in 1 nSv for a dose unit, in 0.1 uR for an exposure unit.
    pub const fn count(&self) -> i64 {
        self.count
    }

    /// The unit on the face.
    pub const fn unit(&self) -> IndicationUnit {
        self.unit
    }

    /// Whether it is exposure in air, not dose.
    pub const fn is_exposure(&self) -> bool {
        self.unit.is_exposure()
    }

    /// Reads `12 mR`, `12mR`, `0.31 mSv`; a bare number takes the unit of the face, if known.
    ///
    /// # Errors
    /// [`QuantityError`] for anything that is not exactly a reading of zero or more.
    pub fn parse(text: &str, bare: Option<IndicationUnit>) -> Result<Self, QuantityError> {
        decimal::parse(text, bare, Sign::Refused).map(|(count, unit)| Self { count, unit })
    }

    /// The same for a difference, which may be below zero.
    ///
    /// # Errors
    /// [`QuantityError`] for anything that is not exactly a reading.
    pub fn parse_signed(text: &str, bare: Option<IndicationUnit>) -> Result<Self, QuantityError> {
        decimal::parse(text, bare, Sign::Allowed).map(|(count, unit)| Self { count, unit })
    }

    /// The dose that is set down for it. Exposure counts 1 mR = 1 mrem: the stated convention
    /// of record for gamma radiation, not an identity. Ambient dose equivalent is higher, by
    /// some 12 % for Ir-192 and 20 % for Se-75; where that matters, say so.
    pub const fn as_dose_by_convention(&self) -> Dose {
        Dose::from_nsv(self.count)
    }

    /// `later` less this one, in this one's unit; below zero if the face went down.
    ///
    /// # Errors
    /// [`QuantityError::ExposureAgainstDose`] if one is exposure and the other dose;
    /// [`QuantityError::Overflow`] if the difference does not fit.
    pub fn difference(&self, later: &Self) -> Result<Self, QuantityError> {
        if self.is_exposure() != later.is_exposure() {
            return Err(QuantityError::ExposureAgainstDose {
                first: self.to_string(),
                second: later.to_string(),
            });
        }
        let count = later.count.checked_sub(self.count).ok_or(Overflow)?;
        Ok(Self {
            count,
            unit: self.unit,
        })
    }

    /// Which is more, whatever the units; nothing if one is exposure and the other dose.
    pub fn compare(&self, other: &Self) -> Option<Ordering> {
        (self.is_exposure() == other.is_exposure()).then(|| self.count.cmp(&other.count))
    }
}

/// As `12 mR`: exact, in the unit of the face.
impl fmt::Display for Indication {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&decimal::display(
            self.count,
            self.unit,
            self.unit.decimals(),
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn read(text: &str) -> Indication {
        Indication::parse(text, None).unwrap()
    }

    #[test]
    fn a_reading_prints_as_it_was_written() {
        for (text, printed) in [
            ("12 mR", "12 mR"),
            ("12mR", "12 mR"),
            ("0.31 mSv", "0.31 mSv"),
            ("31 \u{b5}Sv", "31 uSv"),
            ("0.0001 mR", "0.0001 mR"),
            ("0.2 R", "0.2 R"),
        ] {
            assert_eq!(read(text).to_string(), printed);
        }
    }

    #[test]
    fn a_bare_number_takes_the_unit_of_the_face_and_none_is_guessed() {
        let bare = Indication::parse("12", Some(IndicationUnit::Milliroentgen));
        assert_eq!(bare, Ok(read("12 mR")));
        assert!(matches!(
            Indication::parse("12", None),
            Err(QuantityError::NoUnit { .. })
        ));
        assert!(Indication::parse("-1 mR", None).is_err());
        assert!(Indication::parse("12 mR/h", None).is_err());
    }

    #[test]
    fn a_milliroentgen_is_set_down_as_a_millirem_by_convention_only() {
        assert_eq!(
            read("12 mR").as_dose_by_convention(),
            Dose::from_nsv(120_000)
        );
        assert_eq!(
            read("12 mR").unit().dose_unit_by_convention(),
            DoseUnit::Millirem
        );
        assert!(read("12 mR").is_exposure());
        assert!(!read("12 mrem").is_exposure());
        assert_eq!(
            read("0.12 mSv").as_dose_by_convention(),
            Dose::from_nsv(120_000)
        );
        assert_eq!(read("12 mR").compare(&read("12 mrem")), None);
    }

    #[test]
    fn a_difference_goes_from_start_to_end_and_may_be_below_zero() {
        let rise = read("3 mR").difference(&read("12 mR")).unwrap();
        assert_eq!(rise.to_string(), "9 mR");
        let fall = read("31 mR").difference(&read("12 mR")).unwrap();
        assert_eq!(fall.to_string(), "-19 mR");
        assert_eq!(fall, Indication::parse_signed("-19 mR", None).unwrap());
        let mixed = read("100 uSv").difference(&read("0.31 mSv")).unwrap();
        assert_eq!(mixed.to_string(), "210 uSv");
    }

    #[test]
    fn exposure_and_dose_are_not_subtracted() {
        let said = read("3 mR")
            .difference(&read("12 mrem"))
            .unwrap_err()
            .to_string();
        assert_eq!(
            said,
            "`3 mR` and `12 mrem` cannot be set against each other: one is exposure"
        );
    }

    #[test]
    fn readings_compare_by_amount_within_exposure_or_dose() {
        assert_eq!(
            read("0.2 R").compare(&read("200 mR")),
            Some(Ordering::Equal)
        );
        assert_ne!(read("0.2 R"), read("200 mR"));
        assert_eq!(read("1 mrem").compare(&read("1 mSv")), Some(Ordering::Less));
    }

    #[test]
    fn a_difference_that_does_not_fit_is_an_error() {
        let low = Indication::new(i64::MIN, IndicationUnit::Milliroentgen);
        assert_eq!(
            low.difference(&read("1 mR")),
            Err(QuantityError::Overflow(Overflow))
        );
    }

    #[test]
    fn a_stored_reading_keeps_count_and_unit() {
        let stored = serde_json::to_string(&read("12 mR")).unwrap();
        assert_eq!(stored, r#"{"count":120000,"unit":"mR"}"#);
        assert_eq!(
            serde_json::from_str::<Indication>(&stored).unwrap(),
            read("12 mR")
        );
    }

    proptest! {
        #[test]
        fn what_is_printed_of_a_reading_reads_back(count in 0..=decimal::MOST) {
            for unit in IndicationUnit::ALL {
                let shown = Indication::new(count, *unit);
                prop_assert_eq!(Indication::parse(&shown.to_string(), None), Ok(shown));
            }
        }

        #[test]
        fn a_difference_is_exact_or_an_error(a in any::<i64>(), b in any::<i64>()) {
            let unit = IndicationUnit::MicroSievert;
            let found = Indication::new(a, unit).difference(&Indication::new(b, unit));
            let wanted = i64::try_from(i128::from(b) - i128::from(a));
            prop_assert_eq!(found.ok().map(|d| d.count()), wanted.ok());
        }
    }
}
