//! Figures that cannot be meant: a distance of zero, a unit a thousand times too large, a source
//! stronger than it can have been.

use super::{Position, Shield, through};
use crate::quantity::{Activity, Length};
use crate::source::constant::constants_of;
use crate::source::layer::layer_of;
use crate::source::usual::{shown, unusual};
use crate::source::{Constant, Material, Nuclide};

/// A figure that cannot be meant, with what would be right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slip {
    /// Which position, counted from 0; nothing where it is about the source.
    pub position: Option<usize>,
    /// The field.
    pub field: &'static str,
    /// Its value.
    pub value: String,
    /// What is wrong.
    pub what: String,
    /// What would be right.
    pub right: String,
}

impl Slip {
    fn new(field: &'static str, value: String, what: impl Into<String>, right: &str) -> Slip {
        Slip {
            position: None,
            field,
            value,
            what: what.into(),
            right: right.to_owned(),
        }
    }
}

/// The most half-value layers that are taken: less than a millionth comes through them.
pub const MOST_LAYERS: f64 = 20.0;

const CENTIMETRE: Length = Length::from_nm(10_000_000);
const KILOMETRE: Length = Length::from_nm(1_000_000_000_000);
const DAY_SECONDS: i64 = 24 * 3600;

/// What of distances and times cannot be meant.
pub fn position_slips(positions: &[Position]) -> Vec<Slip> {
    let mut slips = Vec::new();
    for (at, it) in positions.iter().enumerate() {
        let distance = it.distance.least;
        let metres = || format!("{} m", it.distance.least.nm() as f64 / 1e9);
        let mut add = |field, value, what: &str, right: &str| {
            slips.push(Slip {
                position: Some(at),
                ..Slip::new(field, value, what, right)
            });
        };
        if distance <= Length::ZERO {
            add(
                "distance",
                metres(),
                "is no distance: the rate at zero has no bound",
                "from the source to the nearest part of the body, such as `30 cm`",
            );
        } else if distance < CENTIMETRE {
            add(
                "distance",
                metres(),
                "is nearer than 1 cm, where the formula does not apply",
                "a distance such as `30 cm`; a dose at contact is for a qualified expert",
            );
        } else if it.distance.most > KILOMETRE {
            add(
                "distance",
                format!("{} m", it.distance.most.nm() as f64 / 1e9),
                "is more than 1 km",
                "was `mm` or `cm` meant?",
            );
        }
        if it.distance.least > it.distance.most {
            add(
                "distance",
                metres(),
                "is more than what follows it",
                "the nearer one first",
            );
        }
        let time = format!("{} s", it.seconds.least);
        if it.seconds.most <= 0 {
            add(
                "minutes",
                time,
                "is no time",
                "leave the position out, or say how long",
            );
        } else if it.seconds.least > it.seconds.most {
            add(
                "minutes",
                time,
                "is more than what follows it",
                "the shorter one first",
            );
        } else if it.seconds.most > DAY_SECONDS {
            let time = format!("{} s", it.seconds.most);
            add("minutes", time, "is more than a day", "was `s` meant?");
        }
    }
    slips
}

/// What of the shields of a nuclide cannot be meant or is not known.
pub fn shield_slips(nuclide: Nuclide, shields: &[Shield]) -> Vec<Slip> {
    let mut slips = Vec::new();
    for shield in shields {
        if let Shield::Of(material, _) = shield
            && layer_of(nuclide, *material).is_none()
        {
            let known: Vec<&str> = Material::ALL
                .into_iter()
                .filter(|it| layer_of(nuclide, *it).is_some())
                .map(Material::word)
                .collect();
            slips.push(Slip::new(
                "shield",
                material.word().to_owned(),
                format!("has no known half-value layer for {nuclide}"),
                &format!("one of {}, or half-value layers: `2 HVL`", known.join(", ")),
            ));
        }
    }
    let least = (-MOST_LAYERS).exp2();
    if through(nuclide, shields).is_some_and(|it| it.central < least) {
        let words: Vec<String> = shields.iter().map(Shield::words).collect();
        slips.push(Slip::new(
            "shield",
            words.join(" + "),
            "is implausibly thick: more than 20 half-value layers, where the formula does not \
             apply",
            "was `mm` meant? behind such a shield measure, or take its survey report",
        ));
    }
    slips
}

/// An activity that no source of the nuclide for radiography has, which is mostly a unit that is
/// off by a thousand. The activity is the one that is stated, not the decayed one.
pub fn activity_slip(nuclide: Nuclide, stated: Activity) -> Option<Slip> {
    let it = unusual(nuclide, stated)?;
    let right = format!("{} if it is right, add --as-stated", it.meant);
    Some(Slip::new("activity", it.shown, it.what, &right))
}

/// An activity of a registered source that is above what its certificate leaves of it on that
/// day by more than a tenth, or less than half of it: decay is known far better than that, and
/// the lower figure would make a dose look lower. The second may be meant, where it is said so.
pub fn source_activity_slip(given: Activity, could_be: Activity, as_stated: bool) -> Option<Slip> {
    let (given_bq, could) = (i128::from(given.bq()), i128::from(could_be.bq()));
    if given_bq * 10 > could * 11 {
        Some(Slip::new(
            "activity",
            shown(given),
            format!(
                "is more than the source could have had that day, {}",
                shown(could_be)
            ),
            "leave it out to use the register; was the unit or the day another one?",
        ))
    } else if given_bq * 2 < could && !as_stated {
        Some(Slip::new(
            "activity",
            shown(given),
            format!(
                "is less than half of what the register leaves of it that day, {}",
                shown(could_be)
            ),
            "leave it out to use the register; was `TBq` or `Ci` meant for `GBq`? if it is right, \
             add --as-stated",
        ))
    } else {
        None
    }
}

/// A constant that is far from every one that is in use for the nuclide.
pub fn constant_slip(nuclide: Nuclide, given: &Constant) -> Option<Slip> {
    let known = || constants_of(nuclide).iter().map(Constant::nsv_per_hour_bq);
    let least = known().map(|it| it.low).fold(f64::INFINITY, f64::min);
    let most = known().map(|it| it.high).fold(0.0, f64::max);
    let value = given.nsv_per_hour_bq();
    if value.low * 1.5 >= least && value.high <= most * 1.5 {
        return None;
    }
    let ratio = value.central / most;
    let thousand = !(1.0 / 300.0..=300.0).contains(&ratio);
    let right = match thousand {
        true => "a factor of about a thousand: was `R` meant for `mR`, `uSv` for `mSv`?".to_owned(),
        false => {
            let all: Vec<String> = constants_of(nuclide)
                .iter()
                .map(|it| it.figures(false))
                .collect();
            format!("in use for {nuclide}: {}", all.join("; "))
        }
    };
    Some(Slip::new(
        "constant",
        given.figures(false),
        format!("is far from every constant in use for {nuclide}"),
        &right,
    ))
}
