//! Dose rate, in whole nanosievert an hour.

use super::decimal::{self, Sign};
use super::error::QuantityError;
use super::unit::Unit;

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
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MeterUnit {
    /// A unit of dose rate.
    Dose(DoseRateUnit),
    /// mR/h, which counts as mrem/h by convention.
    Milliroentgen,
    /// R/h.
    Roentgen,
    /// Printed `uR/h`.
    MicroRoentgen,
}

impl MeterUnit {
    /// The symbol as printed, plain ASCII.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Dose(unit) => unit.symbol(),
            Self::Milliroentgen => "mR/h",
            Self::Roentgen => "R/h",
            Self::MicroRoentgen => "uR/h",
        }
    }

    /// How many nSv/h make one of this, 1 mR/h counting as 1 mrem/h.
    pub const fn size(self) -> i64 {
        match self {
            Self::Dose(unit) => unit.size(),
            Self::Milliroentgen => DoseRateUnit::MilliremPerHour.size(),
            Self::Roentgen => DoseRateUnit::RemPerHour.size(),
            Self::MicroRoentgen => DoseRateUnit::MicroRemPerHour.size(),
        }
    }

    /// How many decimals a number in this unit can always carry.
    pub const fn decimals(self) -> u32 {
        super::unit::carried_decimals(self.size())
    }
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

impl Unit for MeterUnit {
    const WHAT: &'static str = "meter reading";

    fn from_symbol(symbol: &str) -> Option<Self> {
        match symbol {
            "mR/h" | "mR/hr" => Some(Self::Milliroentgen),
            "R/h" | "R/hr" => Some(Self::Roentgen),
            "uR/h" | "uR/hr" | "\u{b5}R/h" | "\u{b5}R/hr" | "\u{3bc}R/h" | "\u{3bc}R/hr" => {
                Some(Self::MicroRoentgen)
            }
            other => <DoseRateUnit as Unit>::from_symbol(other).map(Self::Dose),
        }
    }

    fn all() -> &'static [Self] {
        METER_UNITS
    }

    fn symbol(self) -> &'static str {
        Self::symbol(self)
    }

    fn size(self) -> i64 {
        Self::size(self)
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dose_rate_is_read_in_rem_and_sievert_an_hour() {
        for (text, nsv) in [
            ("2 mrem/h", 20_000),
            ("2 mrem/hr", 20_000),
            ("20 uSv/h", 20_000),
            ("20 \u{b5}Sv/h", 20_000),
            ("0.02 mSv/h", 20_000),
            ("1 rem/h", 10_000_000),
        ] {
            let rate = DoseRate::parse(text, None).map(DoseRate::nsv_per_hour);
            assert_eq!(rate, Ok(nsv), "{text}");
        }
    }

    #[test]
    fn an_exposure_rate_is_no_dose_rate_except_on_a_meter() {
        let said = DoseRate::parse("2 mR/h", None).unwrap_err().to_string();
        assert!(
            said.starts_with("`2 mR/h` is exposure in air, not dose rate: write"),
            "{said}"
        );
        for (text, nsv) in [
            ("1.8 mR/h", 18_000),
            ("2 R/hr", 20_000_000),
            ("150 uR/h", 1_500),
            ("1.8 mrem/h", 18_000),
            ("18 uSv/h", 18_000),
            ("1.8", 18_000),
        ] {
            let bare = Some(DoseRateUnit::MilliremPerHour);
            let rate = DoseRate::parse_meter_rate(text, bare).map(DoseRate::nsv_per_hour);
            assert_eq!(rate, Ok(nsv), "{text}");
        }
        assert!(DoseRate::parse_meter_rate("1.8 mR", None).is_err());
        assert!(DoseRate::parse_meter_rate("1.8", None).is_err());
        assert!(DoseRate::parse_meter_rate("-1.8 mR/h", None).is_err());
    }

    #[test]
    fn a_dose_rate_prints_with_its_unit() {
        let rate = DoseRate::from_nsv_per_hour(18_500);
        assert_eq!(rate.display(DoseRateUnit::MilliremPerHour), "1.85 mrem/h");
        assert_eq!(
            rate.display_rounded(DoseRateUnit::MicroSievertPerHour, 0),
            "18 uSv/h"
        );
    }
}
