//! Dose rate, in whole nanosievert an hour.

use super::decimal::{self, Sign};
use super::error::QuantityError;

units! {
    /// The units in which people write a dose rate.
    DoseRateUnit of "dose rate" {
        /// mrem/h.
        MilliremPerHour = 10_000, "mrem/h" | "mrem/hr";
        /// rem/h.
        RemPerHour = 10_000_000, "rem/h" | "rem/hr";
        /// Printed `urem/h`.
        MicroRemPerHour = 10, "urem/h" | "urem/hr" | "\u{b5}rem/h" | "\u{b5}rem/hr"
            | "\u{3bc}rem/h" | "\u{3bc}rem/hr";
        /// mSv/h.
        MilliSievertPerHour = 1_000_000, "mSv/h" | "mSv/hr";
        /// Printed `uSv/h`.
        MicroSievertPerHour = 1_000, "uSv/h" | "uSv/hr" | "\u{b5}Sv/h" | "\u{b5}Sv/hr"
            | "\u{3bc}Sv/h" | "\u{3bc}Sv/hr";
        /// Sv/h.
        SievertPerHour = 1_000_000_000, "Sv/h" | "Sv/hr";
        /// nSv/h, the smallest that is kept.
        NanoSievertPerHour = 1, "nSv/h" | "nSv/hr";
    }
}

/// What a meter's face may say: a dose rate or an exposure rate.
#[derive(Clone, Copy)]
enum MeterUnit {
    Dose(DoseRateUnit),
    Milliroentgen,
    Roentgen,
    MicroRoentgen,
}

const METER_UNITS: &[MeterUnit] = &[
    MeterUnit::Milliroentgen,
    MeterUnit::Roentgen,
    MeterUnit::MicroRoentgen,
    MeterUnit::Dose(DoseRateUnit::MilliremPerHour),
    MeterUnit::Dose(DoseRateUnit::RemPerHour),
    MeterUnit::Dose(DoseRateUnit::MicroRemPerHour),
    MeterUnit::Dose(DoseRateUnit::MilliSievertPerHour),
    MeterUnit::Dose(DoseRateUnit::MicroSievertPerHour),
    MeterUnit::Dose(DoseRateUnit::SievertPerHour),
    MeterUnit::Dose(DoseRateUnit::NanoSievertPerHour),
];

impl decimal::Unit for MeterUnit {
    const WHAT: &'static str = "meter reading";

    fn from_symbol(symbol: &str) -> Option<Self> {
        match symbol {
            "mR/h" | "mR/hr" => Some(Self::Milliroentgen),
            "R/h" | "R/hr" => Some(Self::Roentgen),
            "uR/h" | "uR/hr" | "\u{b5}R/h" | "\u{b5}R/hr" | "\u{3bc}R/h" | "\u{3bc}R/hr" => {
                Some(Self::MicroRoentgen)
            }
            other => <DoseRateUnit as decimal::Unit>::from_symbol(other).map(Self::Dose),
        }
    }

    fn all() -> &'static [Self] {
        METER_UNITS
    }

    fn symbol(self) -> &'static str {
        match self {
            Self::Dose(unit) => unit.symbol(),
            Self::Milliroentgen => "mR/h",
            Self::Roentgen => "R/h",
            Self::MicroRoentgen => "uR/h",
        }
    }

    fn size(self) -> i64 {
        match self {
            Self::Dose(unit) => unit.size(),
            Self::Milliroentgen => DoseRateUnit::MilliremPerHour.size(),
            Self::Roentgen => DoseRateUnit::RemPerHour.size(),
            Self::MicroRoentgen => DoseRateUnit::MicroRemPerHour.size(),
        }
    }
}

whole! {
    /// A dose rate.
    DoseRate, from_nsv_per_hour, nsv_per_hour, "nanosievert an hour"
}

impl DoseRate {
    /// Reads `2 mrem/h`, `20 uSv/h`; a bare number takes the unit `bare`, if there is one.
    ///
    /// # Errors
    /// [`QuantityError`] for anything that is not exactly a dose rate of zero or more;
    /// `mR/h` is refused here, since exposure is not dose.
    pub fn parse(text: &str, bare: Option<DoseRateUnit>) -> Result<Self, QuantityError> {
        decimal::parse(text, bare, Sign::Refused).map(|(count, _)| Self(count))
    }

    /// Reads what a survey meter's face shows. Exposure rates are taken too: 1 mR/h counts as
    /// 1 mrem/h. That is the convention of record of the trade for gamma radiation, not an
    /// identity: ambient dose equivalent is higher, by some 12 % for Ir-192.
    ///
    /// # Errors
    /// [`QuantityError`] for anything that is not exactly a rate of zero or more.
    pub fn parse_meter_rate(text: &str, bare: Option<DoseRateUnit>) -> Result<Self, QuantityError> {
        decimal::parse(text, bare.map(MeterUnit::Dose), Sign::Refused).map(|(count, _)| Self(count))
    }

    /// As `2 mrem/h`: exact, since each unit is printed with all the decimals it can carry.
    pub fn display(self, unit: DoseRateUnit) -> String {
        self.display_rounded(unit, unit.decimals())
    }

    /// As `2.1 mrem/h`, rounded half to even at `decimals`. What is not zero never prints as
    /// zero.
    pub fn display_rounded(self, unit: DoseRateUnit, decimals: u32) -> String {
        decimal::display(self.0, unit, decimals)
    }
}
