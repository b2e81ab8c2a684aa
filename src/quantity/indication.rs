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
    IndicationUnit of "reading" {
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
