//! The radionuclides of sealed sources in gamma radiography, with their half-lives.
//!
//! The half-lives are those of the evaluated nuclear structure data file (ENSDF), each with the
//! standard deviation that its evaluators give; they are kept in whole units of 0.0001 day.
//! Other evaluations (ICRP publication 107, UKDD-12) lie within 0.4 % of them; the reference
//! test `decay_reference` holds all of them side by side.

use std::fmt;
use std::str::FromStr;

/// A radionuclide used as a sealed gamma source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Nuclide {
    /// Iridium-192.
    Ir192,
    /// Selenium-75; softer than iridium.
    Se75,
    /// Cobalt-60; harder than iridium.
    Co60,
    /// Ytterbium-169; soft and short-lived.
    Yb169,
    /// Caesium-137; long-lived.
    Cs137,
}

/// A name that is none of the nuclides known here.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("unknown nuclide `{given}`; known are Ir-192, Se-75, Co-60, Yb-169, Cs-137")]
pub struct UnknownNuclide {
    /// What was written.
    pub given: String,
}

/// Parts of a day in which half-lives are kept.
const PER_DAY: f64 = 10_000.0;

impl Nuclide {
    /// All of them, the commonest first.
    pub const ALL: [Self; 5] = [
        Self::Ir192,
        Self::Se75,
        Self::Co60,
        Self::Yb169,
        Self::Cs137,
    ];

    /// Symbol and mass number, as `Ir-192`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ir192 => "Ir-192",
            Self::Se75 => "Se-75",
            Self::Co60 => "Co-60",
            Self::Yb169 => "Yb-169",
            Self::Cs137 => "Cs-137",
        }
    }

    /// Half-life and its standard deviation in 0.0001 day. Source: ENSDF, as evaluated. Cs-137
    /// is given there as 30.08 +- 0.09 years and is counted with 365 days a year as the data
    /// package has it; a year of 365.2422 days would make it 0.07 % longer, well inside the
    /// standard deviation.
    const fn half_life(self) -> (u32, u32) {
        match self {
            Self::Ir192 => (738_290, 110),
            Self::Se75 => (1_197_800, 500),
            Self::Co60 => (19_252_800, 1_400),
            Self::Yb169 => (320_180, 50),
            Self::Cs137 => (109_792_000, 328_500),
        }
    }

    /// Half-life in days (ENSDF).
    pub fn half_life_days(self) -> f64 {
        f64::from(self.half_life().0) / PER_DAY
    }

    /// Standard deviation of the half-life in days (ENSDF).
    pub fn half_life_deviation_days(self) -> f64 {
        f64::from(self.half_life().1) / PER_DAY
    }

    /// What the half-life is taken from, to be printed beside a computed activity.
    pub const fn half_life_source(self) -> &'static str {
        "half-life: ENSDF evaluation"
    }
}

impl fmt::Display for Nuclide {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

impl FromStr for Nuclide {
    type Err = UnknownNuclide;

    /// Reads `Ir-192`, `ir192`, `IR 192`, `192Ir`: letters and digits count, nothing else.
    fn from_str(text: &str) -> Result<Self, UnknownNuclide> {
        let letters: String = text.chars().filter(|c| !c.is_ascii_digit()).collect();
        let mass: String = text.chars().filter(char::is_ascii_digit).collect();
        let symbol = letters.trim().trim_matches('-').trim();
        let unknown = || UnknownNuclide {
            given: text.trim().to_owned(),
        };
        // Digits on one side of the letters only: `1Ir92` is no nuclide.
        if !text.contains(&mass) {
            return Err(unknown());
        }
        let same = |n: &Self| {
            let known = n.name().split_once('-');
            known.is_some_and(|(s, m)| s.eq_ignore_ascii_case(symbol) && m == mass)
        };
        Self::ALL.into_iter().find(same).ok_or_else(unknown)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_nuclide_is_read_as_people_write_it() {
        for (text, wanted) in [
            ("Ir-192", Some(Nuclide::Ir192)),
            (" ir192 ", Some(Nuclide::Ir192)),
            ("IR 192", Some(Nuclide::Ir192)),
            ("192Ir", Some(Nuclide::Ir192)),
            ("Se-75", Some(Nuclide::Se75)),
            ("co60", Some(Nuclide::Co60)),
            ("Yb-169", Some(Nuclide::Yb169)),
            ("Cs 137", Some(Nuclide::Cs137)),
            ("Ir-191", None),
            ("1Ir92", None),
            ("Ir", None),
            ("192", None),
            ("", None),
            ("Ir-192m", None),
        ] {
            assert_eq!(text.parse::<Nuclide>().ok(), wanted, "{text}");
        }
    }

    #[test]
    fn every_name_is_read_back() {
        for nuclide in Nuclide::ALL {
            assert_eq!(nuclide.to_string().parse(), Ok(nuclide));
        }
    }

    #[test]
    fn an_unknown_nuclide_is_told_which_are_known() {
        let error = "Am-241".parse::<Nuclide>().unwrap_err().to_string();
        assert!(
            error.contains("`Am-241`") && error.contains("Ir-192, Se-75"),
            "{error}"
        );
    }
}
