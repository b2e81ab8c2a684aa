//! Dose-rate constants: the rate at one metre of a unit of activity.
//!
//! Several are in circulation for each nuclide, and they differ by more than a quarter for
//! Ir-192: partly they are different quantities (exposure, air kerma, dose equivalent), partly
//! they are rounded upwards. So each stands here under a name, with the quantity that it is, how
//! the source is encapsulated in it, and where it comes from.
//!
//! The one that is used unless another is asked for is ambient dose equivalent, H*(10). No
//! published value for an encapsulated source in that quantity is known here; the capsule is stood
//! for by a cut-off, below which nothing leaves it: 30 keV on the high side (the capsule stops
//! the softest lines alone), 100 keV on the low side. Nothing is taken off for what source and
//! capsule hold back above that, which can only make the dose higher.

use std::fmt;

use super::Nuclide;

/// What a constant is a rate of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Measure {
    /// Ambient dose equivalent, H*(10).
    AmbientDose,
    /// Exposure in air, of which 1 R counts as 1 rem: the convention of record of the trade.
    Exposure,
    /// Air kerma, of which 1 gray counts as 1 sievert here; lower than H*(10).
    AirKerma,
    /// A dose equivalent that its source does not define further, or by another definition.
    DoseEquivalent,
}

impl Measure {
    /// As it is printed.
    pub const fn words(self, in_si: bool) -> &'static str {
        match self {
            Self::AmbientDose => "ambient dose equivalent H*(10)",
            Self::Exposure if in_si => "exposure, counted as dose equivalent by convention",
            Self::Exposure => "exposure, counted 1 R = 1 rem by convention",
            Self::AirKerma => "air kerma, counted 1 Gy = 1 Sv",
            Self::DoseEquivalent => "dose equivalent, not stated to be H*(10)",
        }
    }
}

/// The units in which constants are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum GammaUnit {
    /// uSv m2/(h GBq).
    MicroSievert,
    /// mSv m2/(h GBq).
    MilliSievert,
    /// uGy m2/(h GBq).
    MicroGray,
    /// mSv m2/(h Ci).
    MilliSievertPerCurie,
    /// rem m2/(h Ci).
    RemPerCurie,
    /// R m2/(h Ci).
    RoentgenPerCurie,
    /// mR m2/(h Ci).
    MilliRoentgenPerCurie,
    /// R ft2/(h Ci): the rate at one foot.
    RoentgenPerCurieAtAFoot,
}

/// Becquerel in a curie, exactly (10 CFR 20.1005).
const CURIE: f64 = 3.7e10;
/// Square metres in a square foot, exactly.
const SQUARE_FOOT: f64 = 0.3048 * 0.3048;

impl GammaUnit {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::MicroSievert,
        Self::MilliSievert,
        Self::MicroGray,
        Self::MilliSievertPerCurie,
        Self::RemPerCurie,
        Self::RoentgenPerCurie,
        Self::MilliRoentgenPerCurie,
        Self::RoentgenPerCurieAtAFoot,
    ];

    /// The symbol as printed, plain ASCII.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::MicroSievert => "uSv m2/(h GBq)",
            Self::MilliSievert => "mSv m2/(h GBq)",
            Self::MicroGray => "uGy m2/(h GBq)",
            Self::MilliSievertPerCurie => "mSv m2/(h Ci)",
            Self::RemPerCurie => "rem m2/(h Ci)",
            Self::RoentgenPerCurie => "R m2/(h Ci)",
            Self::MilliRoentgenPerCurie => "mR m2/(h Ci)",
            Self::RoentgenPerCurieAtAFoot => "R ft2/(h Ci)",
        }
    }

    /// What a constant in it is a rate of, where nothing more is said.
    pub const fn measure(self) -> Measure {
        match self {
            Self::MicroSievert | Self::MilliSievert => Measure::DoseEquivalent,
            Self::MilliSievertPerCurie | Self::RemPerCurie => Measure::DoseEquivalent,
            Self::MicroGray => Measure::AirKerma,
            _ => Measure::Exposure,
        }
    }

    const fn is_si(self) -> bool {
        matches!(
            self,
            Self::MicroSievert | Self::MilliSievert | Self::MicroGray
        )
    }

    /// nSv m2/(h Bq) in one of this unit; 1 R counts as 10 mSv, 1 Gy as 1 Sv.
    const fn size(self) -> f64 {
        match self {
            Self::MicroSievert | Self::MicroGray => 1e3 / 1e9,
            Self::MilliSievert => 1e6 / 1e9,
            Self::MilliSievertPerCurie => 1e6 / CURIE,
            Self::RemPerCurie | Self::RoentgenPerCurie => 1e7 / CURIE,
            Self::MilliRoentgenPerCurie => 1e4 / CURIE,
            Self::RoentgenPerCurieAtAFoot => 1e7 * SQUARE_FOOT / CURIE,
        }
    }
}

/// A low, a central and a high figure. In `f64`, since they live inside an estimate only.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// The low one.
    pub low: f64,
    /// The central one.
    pub central: f64,
    /// The high one.
    pub high: f64,
}

impl Spread {
    /// One figure without a spread.
    pub const fn one(value: f64) -> Self {
        Self {
            low: value,
            central: value,
            high: value,
        }
    }

    /// From low to high, central in the middle.
    pub const fn between(low: f64, high: f64) -> Self {
        Self {
            low,
            central: f64::midpoint(low, high),
            high,
        }
    }

    /// Each figure with the one of the same side.
    pub fn with(self, other: Self, join: impl Fn(f64, f64) -> f64) -> Self {
        Self {
            low: join(self.low, other.low),
            central: join(self.central, other.central),
            high: join(self.high, other.high),
        }
    }
}

/// A constant with what it is and where it comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Constant {
    /// The name by which it is asked for.
    pub key: &'static str,
    /// What it is a rate of.
    pub measure: Measure,
    /// Its figures.
    pub value: Spread,
    /// Their unit.
    pub unit: GammaUnit,
    /// How the source is encapsulated in it, and from which energy on lines count.
    pub capsule: &'static str,
    /// Where it comes from: author, title, year or section, or that it is unverified.
    pub source: &'static str,
}

impl Constant {
    /// A constant that somebody writes with its unit.
    pub const fn written(value: f64, unit: GammaUnit) -> Self {
        Self {
            key: "as written",
            measure: unit.measure(),
            value: Spread::one(value),
            unit,
            capsule: "capsule as its source has it",
            source: "given with the question",
        }
    }

    /// Nanosievert an hour at one metre of one becquerel, by the conventions of [`Measure`].
    pub fn nsv_per_hour_bq(&self) -> Spread {
        self.value
            .with(Spread::one(self.unit.size()), |value, size| value * size)
    }

    /// As `137 to 139.1 uSv m2/(h GBq)`; as it was published, or in SI units to four digits.
    pub fn figures(&self, in_si: bool) -> String {
        let Spread { low, high, .. } = self.value;
        let si = GammaUnit::MicroSievert;
        let (low, high, unit) = match in_si && !self.unit.is_si() {
            true => {
                let one = self.unit.size() / si.size();
                (four_digits(low * one), four_digits(high * one), si)
            }
            false => (low, high, self.unit),
        };
        match (high - low).abs() < f64::EPSILON * high {
            true => format!("{high} {}", unit.symbol()),
            false => format!("{low} to {high} {}", unit.symbol()),
        }
    }

    /// The figures and what they are a rate of.
    pub fn words(&self, in_si: bool) -> String {
        format!("{}, {}", self.figures(in_si), self.measure.words(in_si))
    }
}

const COMPUTED: &str = "computed from the gamma and x-ray lines of ENSDF, ICRP publication 107 \
    and UKDD-12, the least and the greatest of the three";
const BARE: &str = "bare source with a cut-off for the capsule: lines from 100 keV (low) and \
    from 30 keV (high)";
const NOT_STATED: &str = "capsule not stated";
const TEXTBOOK: &str = "Physics and Engineering of Radiation Detection, Table 11.2.3";
const ANS_1977: &str = "ORNL/RSIC-45/R1, 1982, dose equivalent by ANSI/ANS-6.1.1-1977; unverified";

const fn ambient(low: f64, high: f64) -> Constant {
    Constant {
        key: "ambient",
        measure: Measure::AmbientDose,
        value: Spread::between(low, high),
        unit: GammaUnit::MicroSievert,
        capsule: BARE,
        source: COMPUTED,
    }
}

const fn exposure(low: f64, high: f64) -> Constant {
    Constant {
        key: "exposure",
        measure: Measure::Exposure,
        value: Spread::between(low, high),
        unit: GammaUnit::RoentgenPerCurie,
        capsule: BARE,
        source: COMPUTED,
    }
}

const fn named(
    key: &'static str,
    value: f64,
    unit: GammaUnit,
    capsule: &'static str,
    source: &'static str,
) -> Constant {
    Constant {
        key,
        measure: unit.measure(),
        value: Spread::one(value),
        unit,
        capsule,
        source,
    }
}

use GammaUnit::{MicroSievert, RemPerCurie, RoentgenPerCurie};

const IR192: &[Constant] = &[
    ambient(136.969, 139.004),
    exposure(0.455_842, 0.460_887),
    named(
        "exposure-textbook",
        0.48,
        RoentgenPerCurie,
        NOT_STATED,
        TEXTBOOK,
    ),
    named(
        "formula-sheet",
        130.0,
        MicroSievert,
        NOT_STATED,
        "public sheet of radiography formulas, unverified",
    ),
    named(
        "dose-equivalent-1977",
        0.5916,
        RemPerCurie,
        "bare source",
        ANS_1977,
    ),
];
const SE75: &[Constant] = &[
    ambient(64.9322, 65.8732),
    exposure(0.200_846, 0.203_308),
    named(
        "exposure-textbook",
        0.2,
        RoentgenPerCurie,
        NOT_STATED,
        TEXTBOOK,
    ),
    named(
        "exposure-trade",
        0.203,
        RoentgenPerCurie,
        NOT_STATED,
        "common practice, no source",
    ),
];
const CO60: &[Constant] = &[
    ambient(348.053, 348.053),
    exposure(1.29167, 1.29167),
    named(
        "exposure-textbook",
        1.32,
        RoentgenPerCurie,
        NOT_STATED,
        TEXTBOOK,
    ),
    named(
        "dose-equivalent-1977",
        1.37,
        RemPerCurie,
        "bare source",
        ANS_1977,
    ),
];
const YB169: &[Constant] = &[
    ambient(31.33, 71.1145),
    exposure(0.093_233_3, 0.192_252),
    named(
        "exposure-trade",
        0.125,
        RoentgenPerCurie,
        "encapsulated source",
        "common practice, no source",
    ),
];
const CS137: &[Constant] = &[
    ambient(90.7896, 92.6821),
    exposure(0.318_836, 0.325_469),
    named(
        "exposure-textbook",
        0.33,
        RoentgenPerCurie,
        NOT_STATED,
        TEXTBOOK,
    ),
    named(
        "dose-equivalent-1977",
        0.382,
        RemPerCurie,
        "bare source",
        ANS_1977,
    ),
];

/// The constants of a nuclide; the first is used unless another is asked for, the second is the
/// same source in exposure, which is what a pocket dosimeter shows.
pub const fn constants_of(nuclide: Nuclide) -> &'static [Constant] {
    match nuclide {
        Nuclide::Ir192 => IR192,
        Nuclide::Se75 => SE75,
        Nuclide::Co60 => CO60,
        Nuclide::Yb169 => YB169,
        Nuclide::Cs137 => CS137,
    }
}

/// The constant of a name.
pub fn constant(nuclide: Nuclide, key: &str) -> Option<Constant> {
    let all = constants_of(nuclide).iter();
    all.copied()
        .find(|it| it.key.eq_ignore_ascii_case(key.trim()))
}

fn four_digits(value: f64) -> f64 {
    let digits = 3 - value.abs().log10().floor() as i32;
    let by = 10f64.powi(digits);
    (value * by).round() / by
}

impl fmt::Display for Constant {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words(false))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_constant_is_ambient_dose_and_the_second_exposure() {
        for nuclide in Nuclide::ALL {
            let measures: Vec<Measure> = constants_of(nuclide)
                .iter()
                .take(2)
                .map(|it| it.measure)
                .collect();
            assert_eq!(measures, [Measure::AmbientDose, Measure::Exposure]);
        }
    }

    #[test]
    fn no_name_stands_twice() {
        for nuclide in Nuclide::ALL {
            for it in constants_of(nuclide) {
                assert_eq!(constant(nuclide, it.key), Some(*it), "{nuclide} {}", it.key);
            }
        }
    }
}
