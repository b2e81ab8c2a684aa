//! A dose from positions at a source, beside what the dosimeters of the day say. Nothing is
//! written: a determination is the RSO's.

use serde::Serialize;

use super::conflict::by_flags;
use super::reconstruct_asked::{EstimateView, ReconstructAsked};
use super::reconstruct_with::{WithConstant, determinations, views, with_others};
use super::strength::{Strength, StrengthView, layer_words};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::calendar::{Day, Instant, Span};
use crate::dose::input::{History, Reported};
use crate::dose::reconstruct::{
    Beside, Estimate, Judged, Position, Reconstruction, Slip, gaps_and_overlaps, judge,
    position_slips, reconstruct, remarks, shield_slips, time_words,
};
use crate::dose::shift::shown;
use crate::quantity::{Dose, DoseUnit, LengthUnit};
use crate::record::{RecordId, Words};
use crate::rule::{RuleSet, ToleranceValue};
use crate::source::Nuclide;
use crate::source::constant::constants_of;

/// What stands with every reconstruction.
fn caution(rule_set: &RuleSet) -> String {
    let rule = rule_set.rule("dose-determined");
    let rule = rule.map_or_else(String::new, |it| format!(" ({})", it.cited()));
    format!(
        "An estimate, and no dose until the RSO or the RSO's designee determines it{rule}. It \
         holds for a point source in air; what ground and walls throw back, the certificate's own \
         uncertainty and how well distance and time were remembered are not in its spread. It \
         never takes the place of sending the badge."
    )
}

/// The formula in words.
pub(crate) const FORMULA: &str = "dose = constant x activity at that hour x time / distance \
    squared, halved by each half-value layer of shielding; low, central and high take the least, \
    the middle and the most of each; the middle of two distances is the square root of one times \
    the other, as of somebody who walks from one to the other at constant speed";

/// One position.
#[derive(Debug, Clone, Serialize)]
pub struct PositionLine {
    /// What was done there.
    pub what: String,
    /// Which part of the body.
    pub part: String,
    /// When it began, HH:MM.
    pub from: Option<String>,
    /// Distance.
    pub distance: String,
    /// How long.
    pub time: String,
    /// What stood in between.
    pub shield: String,
    /// The highest rate there.
    pub rate_nsv_per_hour: i64,
    /// The dose.
    pub dose: EstimateView,
}

/// A figure of record beside the estimate.
#[derive(Debug, Clone, Serialize)]
pub struct BesideLine {
    /// Which dosimeter or badge.
    pub what: String,
    /// What it says.
    pub shows: String,
    /// The entry that says so.
    pub entry: i64,
    /// How it stands to the estimate, in words.
    pub words: String,
    /// Whether somebody has to look into it.
    pub differs: bool,
}

/// The person and day that the estimate is set beside.
#[derive(Debug, Clone, Serialize)]
pub struct BesideView {
    /// The worker's id.
    pub worker: String,
    /// Full name.
    pub name: String,
    /// The day of the shift.
    pub day: Day,
    /// Readings and badge results.
    pub lines: Vec<BesideLine>,
    /// By how much a dosimeter may be wrong, with its source.
    pub tolerance: String,
}

/// A dose from positions.
#[derive(Debug, Clone, Serialize)]
pub struct ReconstructAnswer {
    /// The source.
    pub strength: StrengthView,
    /// The positions.
    pub positions: Vec<PositionLine>,
    /// The whole body; nothing where no position is about it.
    pub whole_body: Option<EstimateView>,
    /// The head, the whole body's positions included; nothing where no position is about it.
    pub head: Option<EstimateView>,
    /// The hand, in the same way.
    pub hand: Option<EstimateView>,
    /// The foot, in the same way.
    pub foot: Option<EstimateView>,
    /// What the other constants in use would make of it.
    pub with_constants: Vec<WithConstant>,
    /// The formula in words.
    pub formula: String,
    /// Half-value layers used.
    pub layers: Vec<String>,
    /// What the times say, and what else is to be known.
    pub notes: Vec<String>,
    /// Readings and badge of a person.
    pub beside: Option<BesideView>,
    /// The commands by which the RSO would record it.
    pub determination: Vec<String>,
    /// The unit of figures for people.
    pub unit: String,
    /// The caution.
    pub caution: String,
    /// The rule set's caution.
    pub confirm: String,
}

/// Reconstructs a dose. Figures that cannot be meant are [`AnswerError::Unlikely`].
pub fn reconstruct_dose(
    house: &OpenHouse<'_>,
    asked: &ReconstructAsked,
    now: Instant,
) -> Result<ReconstructAnswer, AnswerError> {
    let (day, time) = asked.at.settle(house)?;
    not_ahead(day, house.today(now))?;
    let strength = Strength::find(house, &asked.source, day, time)?;
    let nuclide = strength.source.nuclide;
    let found = likely(&strength, &asked.positions)?;
    let unit = house.unit();
    let others = with_others(&strength, asked)?;
    let rule_set = house.rule_set_on(day)?;
    let positions = asked.positions.iter().zip(&found.positions);
    let positions = positions
        .map(|(it, dose)| PositionLine {
            rate_nsv_per_hour: dose.rate.nsv_per_hour(),
            dose: EstimateView::new(dose.dose, unit),
            ..position_line(it, unit)
        })
        .collect();
    let mut notes = gaps_and_overlaps(&asked.positions);
    notes.extend(remarks(nuclide, &asked.positions, &found));
    let shift_day = asked.day.unwrap_or(day);
    let worker = asked.worker.as_ref();
    let worker = worker.map(|id| house.names.worker(id)).transpose()?;
    let beside = worker
        .zip(found.whole_body)
        .map(|(worker, whole)| {
            let allowed = allowed_of(&strength, asked, whole)?;
            beside(house, rule_set, worker.number(), shift_day, allowed)
        })
        .transpose()?;
    if worker.is_some() && found.whole_body.is_none() {
        notes.push("no reading is compared: dosimeters are worn on the trunk".to_owned());
    }
    let id = worker.map_or_else(|| "ID".to_owned(), |it| house.names.label(it.number()));
    let by = worker.map_or("--performed-by ID", |it| {
        by_flags(&house.names, it.number(), shift_day)
    });
    Ok(ReconstructAnswer {
        determination: determinations((&id, by), shift_day, &found, &others, unit),
        layers: layer_words(nuclide, asked.positions.iter().flat_map(|it| &it.shields)),
        strength: strength.view,
        positions,
        whole_body: found.whole_body.map(|it| EstimateView::new(it, unit)),
        head: found.head.map(|it| EstimateView::new(it, unit)),
        hand: found.hand.map(|it| EstimateView::new(it, unit)),
        foot: found.foot.map(|it| EstimateView::new(it, unit)),
        with_constants: views(&others, unit),
        formula: FORMULA.to_owned(),
        notes,
        beside,
        unit: unit.symbol().to_owned(),
        caution: caution(rule_set),
        confirm: rule_set.confirm.clone(),
    })
}

/// The doses of the positions, unless one of them is so unlikely that a unit must be wrong.
fn likely(strength: &Strength, positions: &[Position]) -> Result<Reconstruction, AnswerError> {
    let nuclide = strength.source.nuclide;
    let slips = all_slips(nuclide, positions);
    if !slips.is_empty() {
        return Err(AnswerError::Unlikely(slips));
    }
    Ok(reconstruct(
        nuclide,
        &strength.constant,
        strength.activity,
        positions,
    )?)
}

/// Only what has happened can be reconstructed.
fn not_ahead(day: Day, today: Day) -> Result<(), AnswerError> {
    if day <= today {
        return Ok(());
    }
    Err(AnswerError::Unlikely(vec![Slip {
        position: None,
        field: "at",
        value: day.to_string(),
        what: format!("lies ahead: today is {today}"),
        right: "when it happened; for what is to come: wearbook dose plan".to_owned(),
    }]))
}

/// What of the positions cannot be meant.
fn all_slips(nuclide: Nuclide, positions: &[Position]) -> Vec<Slip> {
    let mut slips = position_slips(positions);
    for (at, it) in positions.iter().enumerate() {
        let found = shield_slips(nuclide, &it.shields).into_iter();
        slips.extend(found.map(|slip| Slip {
            position: Some(at),
            ..slip
        }));
    }
    slips
}

fn position_line(it: &Position, unit: DoseUnit) -> PositionLine {
    let metres = |length: crate::quantity::Length| length.display(LengthUnit::Metre);
    let distance = match it.distance.least == it.distance.most {
        true => metres(it.distance.least),
        false => format!(
            "{} to {}",
            metres(it.distance.least),
            metres(it.distance.most)
        ),
    };
    let time = match it.seconds.least == it.seconds.most {
        true => time_words(it.seconds.least),
        false => format!(
            "{} to {}",
            time_words(it.seconds.least),
            time_words(it.seconds.most)
        ),
    };
    let shields: Vec<String> = it
        .shields
        .iter()
        .map(crate::dose::reconstruct::Shield::words)
        .collect();
    let none = Estimate {
        low: Dose::ZERO,
        central: Dose::ZERO,
        high: Dose::ZERO,
    };
    PositionLine {
        what: it.what.clone(),
        part: it.part.word().to_owned(),
        from: it.from.map(|it| it.format("%H:%M").to_string()),
        distance,
        time,
        shield: shields.join(" + "),
        rate_nsv_per_hour: 0,
        dose: EstimateView::new(none, unit),
    }
}

/// The least and the most that a dosimeter may show: a pocket dosimeter shows exposure, which is
/// lower than ambient dose, so the least is that of the exposure constant where it is lower.
fn allowed_of(
    strength: &Strength,
    asked: &ReconstructAsked,
    whole: Estimate,
) -> Result<(Dose, Dose), AnswerError> {
    let nuclide = strength.source.nuclide;
    let mut low = whole.low;
    for constant in constants_of(nuclide).iter().take(2) {
        let found = reconstruct(nuclide, constant, strength.activity, &asked.positions)?;
        if let Some(found) = found.whole_body {
            low = low.min(found.low);
        }
    }
    Ok((low, whole.high))
}

/// The share by which a dosimeter may be wrong, and its words.
fn tolerance(rule_set: &RuleSet) -> (i64, String) {
    match rule_set.tolerance("dosimeter-response") {
        Some(it) => match it.value {
            ToleranceValue::Permille(permille) => {
                (permille, format!("{} ({})", it.meaning, it.cited()))
            }
            _ => (0, String::new()),
        },
        None => (
            0,
            "the rule set states no tolerance of dosimeters: compared without one".to_owned(),
        ),
    }
}

fn beside(
    house: &OpenHouse<'_>,
    rule_set: &RuleSet,
    worker: RecordId,
    day: Day,
    (low, high): (Dose, Dose),
) -> Result<BesideView, AnswerError> {
    let unit = house.unit();
    let history = house.history(
        worker,
        Span {
            first: day,
            last: day,
        },
    )?;
    let (permille, tolerance) = tolerance(rule_set);
    let allowed = Beside {
        low,
        high,
        permille,
    };
    let mut lines = readings(&history, day, allowed, unit)?;
    lines.extend(badges(&history, day, allowed, unit));
    Ok(BesideView {
        worker: history.facts.id.clone(),
        name: history.facts.name.clone(),
        day,
        lines,
        tolerance,
    })
}

/// A dosimeter's parts of a shift together.
fn readings(
    history: &History,
    day: Day,
    allowed: Beside,
    unit: DoseUnit,
) -> Result<Vec<BesideLine>, AnswerError> {
    let mut lines = Vec::new();
    for shift in history.shifts.iter().filter(|it| it.day == day) {
        let mut names: Vec<&str> = Vec::new();
        for it in &shift.readings {
            if !names.contains(&&*it.dosimeter) {
                names.push(&it.dosimeter);
            }
        }
        for name in names {
            let mut sum = Dose::ZERO;
            let mut open = false;
            let mut held = false;
            for it in shift.readings.iter().filter(|it| *it.dosimeter == *name) {
                if it.is_ruled_out() {
                    continue;
                }
                held |= it.is_held();
                match shown(it)? {
                    Some(dose) if !it.off_scale && dose >= Dose::ZERO => {
                        sum = sum.checked_add(dose)?;
                    }
                    _ => open = true,
                }
            }
            let judged = judge(sum, allowed);
            let shows = match open {
                true => format!("at least {}, undetermined", sum.display(unit)),
                false => sum.display(unit),
            };
            let differs = match open {
                true => judged == Judged::Higher,
                false => judged != Judged::Within,
            };
            let mut words = match (open, judged) {
                (true, Judged::Higher) | (false, _) => reading_words(judged).to_owned(),
                (true, _) => "has no upper bound: nothing against the estimate".to_owned(),
            };
            if held {
                words.push_str("; on hold until somebody resolves it");
            }
            lines.push(BesideLine {
                what: format!("{name}, {} shift", shift.shift.word()),
                shows,
                entry: shift.entry,
                words,
                differs,
            });
        }
    }
    Ok(lines)
}

const fn reading_words(judged: Judged) -> &'static str {
    match judged {
        Judged::Within => "within what the spread explains",
        Judged::Lower => {
            "LESS than the estimate allows: was it worn, does it read right, or are the positions \
             too near or too long?"
        }
        Judged::Higher => {
            "MORE than the estimate allows: the rest of the shift may explain it; else a position \
             is missing, or it was nearer or longer"
        }
        Judged::Thousandfold => {
            "about a THOUSANDFOLD apart: look at the units of both (mR for R, uSv for mSv, GBq \
             for TBq)"
        }
    }
}

/// Results of badges worn that day. They are of a whole period, so that only less than the
/// estimate says something.
fn badges(history: &History, day: Day, allowed: Beside, unit: DoseUnit) -> Vec<BesideLine> {
    let dosimetry = &history.facts.dosimetry;
    let mut lines = Vec::new();
    for result in &dosimetry.results {
        let wear = dosimetry
            .wear
            .iter()
            .find(|it| Some(it.record) == result.wear);
        let days = wear.map_or(result.stated_days, |it| it.days());
        let Some(dose) = result.doses.deep.as_ref().filter(|_| days.contains(day)) else {
            continue;
        };
        let judged = judge(dose.at_most(), allowed);
        let (differs, words) = match judged {
            Judged::Lower => (true, reading_words(judged)),
            Judged::Thousandfold if dose.at_most() < allowed.low => (true, reading_words(judged)),
            _ => (false, "of the whole period: not less than the estimate"),
        };
        let badge = wear.map_or("unknown badge", |it| &it.badge);
        lines.push(BesideLine {
            what: format!("badge {badge}, {} to {}", days.first, days.last),
            shows: match dose {
                Reported::Dose(dose) => dose.display(unit),
                Reported::BelowMinimum { code, minimum } => {
                    format!("{code}, below {}", minimum.display(unit))
                }
            },
            entry: result.entry,
            words: words.to_owned(),
            differs,
        });
    }
    lines
}
