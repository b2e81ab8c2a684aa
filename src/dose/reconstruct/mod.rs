//! A dose from where somebody was, for how long and behind what: an estimate for the RSO.
//!
//! dose = constant x activity x time / distance squared, halved by each half-value layer. Each
//! position has a low, a central and a high figure: the low one takes the least constant and
//! activity, the farthest distance, the shortest time and the thinnest half-value layer, the high
//! one the contrary. Floats live inside the estimate; what comes out is a [`Dose`], the high one
//! rounded up, the low one down.
//!
//! `slip` finds figures that cannot be meant, `beside` holds the estimate against readings.

mod beside;
mod slip;

pub use beside::{Beside, Judged, judge};
pub use slip::{
    MOST_LAYERS, Slip, activity_slip, constant_slip, position_slips, shield_slips,
    source_activity_slip,
};

use crate::calendar::TimeOfDay;
use crate::quantity::{Dose, DoseRate, Length, Overflow};
use crate::source::layer::layer_of;
use crate::source::rate::{NOISE, kept, rates, transmission};
use crate::source::{Constant, Material, Nuclide, Spread};

/// Which part of the body a position is about. Head and trunk are the whole body, hand and
/// foot are extremities (10 CFR 20.1003).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BodyPart {
    /// All of the body: the distance is that of the nearest part of the trunk.
    WholeBody,
    /// The chest, for the trunk.
    Chest,
    /// The head, with the lens of the eye.
    Head,
    /// Hand and forearm.
    Hand,
    /// Foot and lower leg.
    Foot,
}

impl BodyPart {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::WholeBody,
        Self::Chest,
        Self::Head,
        Self::Hand,
        Self::Foot,
    ];

    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::WholeBody => "whole body",
            Self::Chest => "chest",
            Self::Head => "head",
            Self::Hand => "hand",
            Self::Foot => "foot",
        }
    }

    /// The part of a word.
    pub fn from_word(word: &str) -> Option<Self> {
        let word = word.trim().to_lowercase();
        Self::ALL.into_iter().find(|it| it.word() == word)
    }
}

/// From the least to the most that somebody remembers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Range<T> {
    /// The least.
    pub least: T,
    /// The most; the same where one figure was given.
    pub most: T,
}

/// Something between a source and a person.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shield {
    /// So much of a material.
    Of(Material, Length),
    /// Half-value layers, in thousandths.
    Layers(i64),
}

impl Shield {
    /// As `lead 10 mm`, `2 half-value layers`.
    pub fn words(&self) -> String {
        match self {
            Self::Of(material, thick) => {
                let unit = crate::quantity::LengthUnit::Millimetre;
                format!("{} {}", material.word(), thick.display(unit))
            }
            Self::Layers(thousandths) => {
                format!("{} half-value layers", *thousandths as f64 / 1e3)
            }
        }
    }
}

/// One place where somebody was.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Position {
    /// What was done there.
    pub what: String,
    /// When it began, where that is known.
    pub from: Option<TimeOfDay>,
    /// Distance from the source.
    pub distance: Range<Length>,
    /// How long, in seconds.
    pub seconds: Range<i64>,
    /// What stood in between.
    pub shields: Vec<Shield>,
    /// Which part of the body.
    pub part: BodyPart,
    /// Whether its time was rounded up to whole seconds.
    pub rounded: bool,
}

/// The share that shields let through; nothing where the half-value layer of one is not known.
pub fn through(nuclide: Nuclide, shields: &[Shield]) -> Option<Spread> {
    let mut all = Spread::one(1.0);
    for shield in shields {
        let one = match shield {
            Shield::Layers(thousandths) => {
                Spread::one(transmission(*thousandths as f64 / 1e3, 1.0))
            }
            Shield::Of(material, thick) => {
                let millimetres = thick.nm() as f64 / 1e6;
                let layer = layer_of(nuclide, *material)?.millimetres;
                layer.with(layer, |layer, _| transmission(millimetres, layer))
            }
        };
        all = all.with(one, |before, now| before * now);
    }
    Some(all)
}

/// A dose with its low and high side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Estimate {
    /// Rounded down.
    pub low: Dose,
    /// Rounded to the nearest nanosievert.
    pub central: Dose,
    /// Rounded up.
    pub high: Dose,
}

impl Estimate {
    /// From nanosievert.
    fn of(nsv: Spread) -> Result<Self, Overflow> {
        let whole = |value: f64| kept(value).map(|it| Dose::from_nsv(it.nsv_per_hour()));
        Ok(Self {
            low: whole((nsv.low * (1.0 + NOISE)).floor())?,
            central: whole(nsv.central.round())?,
            high: whole(nsv.high)?,
        })
    }

    /// The higher, side by side.
    pub fn or_higher(self, other: Self) -> Self {
        Self {
            low: self.low.max(other.low),
            central: self.central.max(other.central),
            high: self.high.max(other.high),
        }
    }

    /// From the lowest to the highest of both.
    pub fn spanning(self, other: Self) -> Self {
        Self {
            low: self.low.min(other.low),
            central: self.central,
            high: self.high.max(other.high),
        }
    }

    /// The sum, side by side.
    ///
    /// # Errors
    /// [`Overflow`] where it does not fit.
    pub fn plus(self, other: Self) -> Result<Self, Overflow> {
        Ok(Self {
            low: self.low.checked_add(other.low)?,
            central: self.central.checked_add(other.central)?,
            high: self.high.checked_add(other.high)?,
        })
    }
}

/// What one position gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PositionDose {
    /// The highest rate there, rounded up.
    pub rate: DoseRate,
    /// The dose.
    pub dose: Estimate,
}

/// What all of them give.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reconstruction {
    /// Position by position.
    pub positions: Vec<PositionDose>,
    /// The whole body, of chest and head the higher; nothing where no position is about any
    /// of them: the trunk is not assessed then.
    pub whole_body: Option<Estimate>,
    /// The head: its own positions and those of the whole body, which count for every part;
    /// nothing where no position is about the head.
    pub head: Option<Estimate>,
    /// The hand, in the same way.
    pub hand: Option<Estimate>,
    /// The foot, in the same way.
    pub foot: Option<Estimate>,
}

impl Reconstruction {
    /// The extremity: of hand and foot the higher.
    pub fn extremity(&self) -> Option<Estimate> {
        higher([self.hand, self.foot])
    }
}

/// The higher of those that there are.
fn higher<const N: usize>(of: [Option<Estimate>; N]) -> Option<Estimate> {
    of.into_iter().flatten().reduce(Estimate::or_higher)
}

/// Nanosievert at a position, low, central and high.
pub fn nsv_at(
    constant: &Constant,
    activity: Spread,
    distance: Range<Length>,
    seconds: Range<i64>,
    through: Spread,
) -> Spread {
    let at = |distance| rates(constant, activity, distance, through);
    let (near, far) = (at(distance.least), at(distance.most));
    // Who walks from the one to the other at constant speed has the mean of 1 / d^2 over the way,
    // which is 1 / (nearest x farthest).
    let middle = distance.least.nm() as f64 * distance.most.nm() as f64;
    let middle = Length::from_nm(middle.sqrt().round() as i64);
    let hours = |seconds: i64| seconds as f64 / 3600.0;
    Spread {
        low: far.low * hours(seconds.least),
        central: at(middle).central * (hours(seconds.least) + hours(seconds.most)) / 2.0,
        high: near.high * hours(seconds.most),
    }
}

/// The dose of a sequence of positions at a source of this activity (in becquerel). A shield
/// whose half-value layer is not known counts as none; [`shield_slips`] finds it before.
///
/// # Errors
/// [`Overflow`] where a dose does not fit.
pub fn reconstruct(
    nuclide: Nuclide,
    constant: &Constant,
    activity: Spread,
    positions: &[Position],
) -> Result<Reconstruction, Overflow> {
    let mut doses = Vec::with_capacity(positions.len());
    for it in positions {
        let through = through(nuclide, &it.shields).unwrap_or(Spread::one(1.0));
        let nsv = nsv_at(constant, activity, it.distance, it.seconds, through);
        let highest = rates(constant, activity, it.distance.least, through).high;
        doses.push(PositionDose {
            rate: kept(highest)?,
            dose: Estimate::of(nsv)?,
        });
    }
    let sum = |part: BodyPart| -> Result<Option<Estimate>, Overflow> {
        let all = positions.iter().zip(&doses);
        let mut mine = all.filter(|(it, _)| it.part == part).map(|(_, it)| it.dose);
        let Some(first) = mine.next() else {
            return Ok(None);
        };
        mine.try_fold(first, Estimate::plus).map(Some)
    };
    let body = sum(BodyPart::WholeBody)?;
    let of = |part: BodyPart| -> Result<Option<Estimate>, Overflow> {
        match (sum(part)?, body) {
            (Some(own), Some(body)) => own.plus(body).map(Some),
            (own, _) => Ok(own),
        }
    };
    let head = of(BodyPart::Head)?;
    Ok(Reconstruction {
        whole_body: higher([body, of(BodyPart::Chest)?, head]),
        head,
        hand: of(BodyPart::Hand)?,
        foot: of(BodyPart::Foot)?,
        positions: doses,
    })
}

/// Seconds of a day.
const DAY: i64 = 24 * 3600;

/// What the times of timed positions say of each other, in words: gaps and overlaps between
/// positions of the same part that follow each other. A start that seems earlier than the one
/// before by more than half a day is after midnight.
pub fn gaps_and_overlaps(positions: &[Position]) -> Vec<String> {
    let mut said = Vec::new();
    for part in BodyPart::ALL {
        let mut before: Option<(&Position, i64)> = None;
        for it in positions.iter().filter(|it| it.part == part) {
            let Some(from) = it.from else {
                // Its time is not known, so nothing is known of what lies around it.
                before = None;
                continue;
            };
            let clock = from.signed_duration_since(TimeOfDay::MIN).num_seconds();
            let start = match before {
                Some((_, last)) => clock + (last - clock + DAY / 2).div_euclid(DAY) * DAY,
                None => clock,
            };
            if let Some((earlier, began)) = before {
                said.extend(between(earlier, began, it, start));
            }
            before = Some((it, start));
        }
    }
    said
}

fn between(one: &Position, began: i64, other: &Position, start: i64) -> Option<String> {
    let (soonest, latest) = (began + one.seconds.least, began + one.seconds.most);
    let names = format!("`{}` and `{}`", one.what, other.what);
    if start < began {
        Some(format!(
            "`{}` begins before `{}`, which stands above it: are they in order?",
            other.what, one.what
        ))
    } else if start < soonest {
        Some(format!(
            "{names} overlap by {}: both are counted, which makes the dose higher",
            time_words(soonest - start)
        ))
    } else if start > latest {
        Some(format!(
            "between {names} {} are not accounted for: they count as no dose; where was the \
             person?",
            time_words(start - latest)
        ))
    } else {
        None
    }
}

/// As `2 min 30 s`; whole seconds.
pub fn time_words(seconds: i64) -> String {
    let (hours, minutes, seconds) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    let mut words = Vec::new();
    for (count, unit) in [(hours, "h"), (minutes, "min"), (seconds, "s")] {
        if count > 0 {
            words.push(format!("{count} {unit}"));
        }
    }
    match words.is_empty() {
        true => "0 s".to_owned(),
        false => words.join(" "),
    }
}

/// What of the figures is worth a word besides: near positions, thick shields, large doses.
pub fn remarks(nuclide: Nuclide, positions: &[Position], found: &Reconstruction) -> Vec<String> {
    let mut said = Vec::new();
    let near = Length::from_nm(100_000_000);
    if positions.iter().any(|it| it.distance.least < near) {
        said.push(
            "a position is nearer than 10 cm: there the source is no point, and the figure is \
             arithmetic only; a dose at contact is for a qualified expert (common practice, no \
             source)"
                .to_owned(),
        );
    }
    let least = transmission(12.0, 1.0);
    let thin = |it: &Position| through(nuclide, &it.shields).is_some_and(|it| it.central < least);
    if positions.iter().any(thin) {
        said.push(
            "a shield is thicker than 12 half-value layers: what comes round it and through gaps \
             may be more than what comes through it; the dose may be higher"
                .to_owned(),
        );
    }
    if found.whole_body.is_none() {
        said.push(
            "no position is about the whole body, the chest or the head: the trunk is NOT \
             ASSESSED, which is not zero"
                .to_owned(),
        );
    }
    for it in positions.iter().filter(|it| it.rounded) {
        let what = &it.what;
        said.push(format!(
            "`{what}`: its time was rounded up to whole seconds"
        ));
    }
    let most = [found.whole_body, found.hand, found.foot];
    let most = most.into_iter().flatten();
    if most.map(|it| it.high).max() > Some(Dose::from_nsv(1_000_000_000)) {
        said.push(
            "more than 1 Sv (100 rem): if that is so, medical help goes before any sum; if not, \
             check the units of activity, distance and time"
                .to_owned(),
        );
    }
    said
}

#[cfg(test)]
mod tests;
