//! Which nuclides there are, and the activities that sources for radiography have: what is
//! doubtful about a source as somebody writes it. Estimates and the register ask here.

use super::Nuclide;
use crate::quantity::{Activity, ActivityUnit};

/// What a nuclide's name says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Named {
    /// One of which decay and dose rate are known here.
    Known(Nuclide),
    /// One that exists and is in sealed sources, of which nothing is known here.
    Other(&'static str),
    /// None; those that are spelled nearly so, the likeliest first.
    Nothing(Vec<&'static str>),
}

/// Nuclides of sealed sources besides those with a half-life here: common knowledge of the
/// trade, names alone.
const OTHERS: &[&str] = &[
    "Ag-110m", "Am-241", "Au-198", "Ba-133", "C-14", "Cd-109", "Ce-144", "Cf-252", "Cm-244",
    "Co-57", "Cs-134", "Eu-152", "Eu-154", "Eu-155", "Fe-55", "Gd-153", "H-3", "I-125", "I-131",
    "Ir-194", "Kr-85", "Mn-54", "Na-22", "Na-24", "Ni-63", "Pd-103", "Pm-147", "Po-210", "Pu-238",
    "Pu-239", "Ra-226", "Ru-106", "Sb-124", "Sm-153", "Sr-90", "Ta-182", "Tl-204", "Tm-170",
    "U-238", "Zn-65",
];

/// Symbol in small letters and the mass number with its `m`.
fn parts(name: &str) -> Option<(String, String)> {
    let plain: String = name
        .chars()
        .filter(|it| it.is_ascii_alphanumeric())
        .collect::<String>()
        .to_ascii_lowercase();
    let first = plain.find(|it: char| it.is_ascii_digit())?;
    if first > 0 {
        let (symbol, mass) = plain.split_at(first);
        return Some((symbol.to_owned(), mass.to_owned()));
    }
    let end = plain.find(|it: char| it.is_ascii_alphabetic())?;
    let (mass, symbol) = plain.split_at(end);
    Some((symbol.to_owned(), mass.to_owned()))
}

/// What a name of a nuclide says.
pub fn named(name: &str) -> Named {
    if let Ok(nuclide) = name.parse() {
        return Named::Known(nuclide);
    }
    let given = parts(name);
    let all = || {
        let known = Nuclide::ALL.into_iter().map(Nuclide::name);
        known.chain(OTHERS.iter().copied())
    };
    if given.is_some()
        && let Some(other) = OTHERS.iter().find(|it| parts(it) == given)
    {
        return Named::Other(other);
    }
    let mut near: Vec<(u8, &'static str)> = all()
        .filter_map(|it| Some((distance(given.as_ref()?, &parts(it)?)?, it)))
        .collect();
    near.sort_by_key(|it| it.0);
    near.truncate(3);
    Named::Nothing(near.into_iter().map(|it| it.1).collect())
}

/// How far two names are apart: the same symbol with the digits in another order, the same
/// symbol, the same mass; nothing beyond that.
fn distance(given: &(String, String), known: &(String, String)) -> Option<u8> {
    let sorted = |it: &str| {
        let mut digits: Vec<char> = it.chars().collect();
        digits.sort_unstable();
        digits
    };
    match (given.0 == known.0, given.1 == known.1) {
        (true, _) if sorted(&given.1) == sorted(&known.1) => Some(0),
        (true, _) => Some(1),
        (false, true) => Some(2),
        (false, false) => None,
    }
}

/// An activity that no source of a nuclide for radiography has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unusual {
    /// The activity as people read it.
    pub shown: String,
    /// What is unusual about it.
    pub what: String,
    /// The slip of the unit that is likely.
    pub meant: &'static str,
}

/// From the least to the most that a source for radiography has when it is made, in curies.
/// Common practice, no source; wide, but below the least a slip of the unit is likelier than such
/// a source, and a slip there makes a dose look lower than it was.
const fn usual_curies(nuclide: Nuclide) -> (i64, i64) {
    match nuclide {
        Nuclide::Ir192 => (10, 1000),
        Nuclide::Co60 | Nuclide::Cs137 => (5, 1000),
        Nuclide::Se75 => (5, 500),
        Nuclide::Yb169 => (1, 200),
    }
}

const CURIE: i64 = 37_000_000_000;

/// What is unusual about the stated activity of a source; not about what is left of it.
pub fn unusual(nuclide: Nuclide, stated: Activity) -> Option<Unusual> {
    let (least, most) = usual_curies(nuclide);
    let (what, meant) = if stated.bq() < least * CURIE {
        (
            format!(
                "is less than {nuclide} sources for radiography have when they are made (at least \
                 {least} Ci; common practice, no source)"
            ),
            "was `TBq` meant for `GBq`, `Ci` for `GBq`, or `Ci` for `mCi`?",
        )
    } else if stated.bq() > most * CURIE {
        (
            format!(
                "is more than {nuclide} sources for radiography have (at most {most} Ci; common \
                 practice, no source)"
            ),
            "was `GBq` meant for `TBq`?",
        )
    } else {
        return None;
    };
    Some(Unusual {
        shown: shown(stated),
        what,
        meant,
    })
}

/// As `3 GBq (0.08 Ci)`.
pub fn shown(activity: Activity) -> String {
    format!(
        "{} ({})",
        activity.display_rounded(ActivityUnit::GigaBecquerel, 2),
        activity.display_rounded(ActivityUnit::Curie, 2)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_nuclide_that_does_not_exist_has_near_names() {
        for (name, wanted) in [
            ("Se-75", Named::Known(Nuclide::Se75)),
            ("192Ir", Named::Known(Nuclide::Ir192)),
            ("tm 170", Named::Other("Tm-170")),
            ("Se-57", Named::Nothing(vec!["Se-75", "Co-57"])),
            ("Ir-129", Named::Nothing(vec!["Ir-192", "Ir-194"])),
            ("Cs-173", Named::Nothing(vec!["Cs-137", "Cs-134"])),
            ("Xq-75", Named::Nothing(vec!["Se-75"])),
            ("Ir", Named::Nothing(vec![])),
            ("", Named::Nothing(vec![])),
            ("192", Named::Nothing(vec![])),
        ] {
            assert_eq!(named(name), wanted, "{name}");
        }
    }

    #[test]
    fn a_thousandfold_slip_is_unusual_for_every_nuclide() {
        for (nuclide, usual) in [
            (Nuclide::Ir192, "100 Ci"),
            (Nuclide::Se75, "80 Ci"),
            (Nuclide::Co60, "100 Ci"),
            (Nuclide::Yb169, "10 Ci"),
            (Nuclide::Cs137, "50 Ci"),
        ] {
            let usual = Activity::parse(usual, None).unwrap();
            assert_eq!(unusual(nuclide, usual), None, "{nuclide}");
            let more = Activity::from_bq(usual.bq() * 1000);
            let less = Activity::from_bq(usual.bq() / 1000);
            assert!(unusual(nuclide, more).unwrap().meant.contains("GBq"));
            assert!(unusual(nuclide, less).unwrap().meant.contains("TBq"));
        }
        for text in ["1800 TBq", "3 GBq", "60 GBq"] {
            let given = Activity::parse(text, None).unwrap();
            assert!(unusual(Nuclide::Se75, given).is_some(), "{text}");
        }
    }
}
