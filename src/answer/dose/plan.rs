//! Before a retrieval: rates at distances, distances to boundary rates, minutes to a dose budget,
//! and whom a dose budget fits.

use serde::Serialize;

use super::strength::{SourceAsked, Strength, StrengthView, Way, layer_words, three_digits};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::context::moment::Moment;
use crate::answer::context::view::{DoseFigure, LevelLine};
use crate::answer::status::work_status::{WorkStatusLine, work_status};
use crate::calendar::Instant;
use crate::dose::reconstruct::{Shield, shield_slips, through, time_words};
use crate::quantity::{Dose, DoseRate, DoseRateUnit, DoseUnit, Length, LengthUnit};
use crate::rule::{Quantity, RuleSet, Tells, ToleranceValue};
use crate::source::Spread;
use crate::source::rate::{distance_to, kept, rates};

/// Under which rule a source is recovered.
const RECOVERY: &str = "source-recovery";

/// What stands with every plan.
fn caution(rule_set: &RuleSet) -> String {
    let rule = match rule_set.rule(RECOVERY) {
        Some(rule) => format!("the license's own procedure ({})", rule.cited()),
        None => "the license's own procedure and what the authority allows".to_owned(),
    };
    format!(
        "Source recovery is only for those who are trained and licensed for it, by {rule}. \
         Measure, do not trust the sum: it is an estimate for a point source in air, without \
         what ground and walls throw back. Turn back when the meter shows more than the plan."
    )
}

/// The rate that is used as a boundary where the rule set has none of its own.
const BOUNDARY: (i64, &str) = (
    20_000,
    "0.02 mSv in any one hour (common practice, no source): ask your authority",
);

/// Tolerances of a rule set that are rates of a boundary or of an instrument at it.
const RATE_KEYS: [&str; 4] = [
    "public-any-one-hour",
    "barrier-rate",
    "ratemeter-preset",
    "meter-range-high",
];

/// Distances of the table, in metres by ten.
const TENTHS: [i64; 11] = [3, 5, 10, 20, 30, 50, 75, 100, 200, 300, 500];

/// A rate as a number and as text.
#[derive(Debug, Clone, Serialize)]
pub struct RateFigure {
    /// Nanosievert an hour, rounded up.
    pub nsv_per_hour: i64,
    /// In three digits, rounded up.
    pub shown: String,
}

/// One distance.
#[derive(Debug, Clone, Serialize)]
pub struct DistanceLine {
    /// Nanometre.
    pub nm: i64,
    /// In metre and feet.
    pub distance: String,
    /// The rate without shielding.
    pub bare: RateFigure,
    /// The rate behind the shielding that was stated.
    pub shielded: Option<RateFigure>,
    /// Whole seconds to the budget without shielding.
    pub bare_seconds: Option<i64>,
    /// The same behind the shielding.
    pub shielded_seconds: Option<i64>,
}

/// One boundary rate.
#[derive(Debug, Clone, Serialize)]
pub struct BoundaryLine {
    /// The rate.
    pub rate: RateFigure,
    /// The distance without shielding, rounded up.
    pub bare: String,
    /// The distance behind the shielding, rounded up.
    pub shielded: Option<String>,
    /// What it means, with its source.
    pub meaning: String,
}

/// One person.
#[derive(Debug, Clone, Serialize)]
pub struct AllowanceLine {
    /// The worker's id.
    pub worker: String,
    /// Full name.
    pub name: String,
    /// Whether nothing on record stands against work.
    pub may_work: bool,
    /// Whether the budget fits what is left of every level of the person; nothing without a budget.
    /// What is left is nobody's but the person's and the RSO's.
    pub fits: Option<bool>,
    /// Why not, where it does not.
    pub why: String,
}

/// A plan.
#[derive(Debug, Clone, Serialize)]
pub struct PlanAnswer {
    /// The source.
    pub strength: StrengthView,
    /// The shielding in words; nothing where none was stated.
    pub shield: Option<String>,
    /// Half-value layers used.
    pub layers: Vec<String>,
    /// The budget.
    pub budget: Option<DoseFigure>,
    /// Rates at distances.
    pub distances: Vec<DistanceLine>,
    /// Distances to rates.
    pub boundaries: Vec<BoundaryLine>,
    /// Whom the budget fits.
    pub people: Vec<AllowanceLine>,
    /// What is to be known besides.
    pub notes: Vec<String>,
    /// The unit of figures for people.
    pub unit: String,
    /// The unit of rates.
    pub rate_unit: String,
    /// The caution.
    pub caution: String,
    /// The rule set's caution.
    pub confirm: String,
}

/// What is asked.
#[derive(Debug)]
pub struct PlanAsked {
    /// Of which source.
    pub source: SourceAsked,
    /// For when.
    pub at: Moment,
    /// Behind what.
    pub shields: Vec<Shield>,
    /// How much somebody may receive.
    pub budget: Option<Dose>,
}

/// Rates, distances and times before a retrieval. Figures that cannot be meant are
/// [`AnswerError::Unlikely`].
pub fn plan(
    house: &OpenHouse<'_>,
    asked: &PlanAsked,
    now: Instant,
) -> Result<PlanAnswer, AnswerError> {
    let (day, time) = asked.at.settle(house)?;
    let strength = Strength::find(house, &asked.source, day, time)?;
    let nuclide = strength.source.nuclide;
    let slips = shield_slips(nuclide, &asked.shields);
    if !slips.is_empty() {
        return Err(AnswerError::Unlikely(slips));
    }
    let rule_set = house.rule_set_on(day)?;
    let unit = house.unit();
    let behind = through(nuclide, &asked.shields)
        .filter(|_| !asked.shields.is_empty())
        .map(|it| it.high);
    let words: Vec<String> = asked.shields.iter().map(Shield::words).collect();
    let at = Rates {
        strength: &strength,
        behind,
        unit,
    };
    let mut notes = Vec::new();
    if let Some(budget) = asked.budget {
        notes.extend(budget_notes(rule_set, budget, unit));
    }
    let people = work_status(house, None, day, now)?.lines;
    Ok(PlanAnswer {
        distances: at.distances(asked.budget)?,
        boundaries: at.boundaries(rule_set)?,
        layers: layer_words(nuclide, asked.shields.iter()),
        people: people
            .iter()
            .map(|it| allowance(it, asked.budget))
            .collect(),
        shield: (!words.is_empty()).then(|| words.join(" + ")),
        budget: asked.budget.map(|it| DoseFigure::new(it, unit)),
        notes,
        unit: unit.symbol().to_owned(),
        rate_unit: at.rate_unit().symbol().to_owned(),
        caution: caution(rule_set),
        confirm: rule_set.caution_of(Tells::Levels),
        strength: strength.view,
    })
}

/// A budget that is itself above a limit is said to be so.
fn budget_notes(rule_set: &RuleSet, budget: Dose, unit: DoseUnit) -> Option<String> {
    let level = rule_set.level("deep-year")?;
    (budget > level.dose).then(|| {
        format!(
            "the budget {} is above the limit of a year, {} ({})",
            budget.display(unit),
            level.dose.display(unit),
            level.cited()
        )
    })
}

/// Rates around one source.
struct Rates<'a> {
    strength: &'a Strength,
    /// The share that the shielding lets through, on the high side.
    behind: Option<f64>,
    unit: DoseUnit,
}

impl Rates<'_> {
    fn rate_unit(&self) -> DoseRateUnit {
        match self.unit {
            DoseUnit::Millirem | DoseUnit::Rem => DoseRateUnit::MilliremPerHour,
            DoseUnit::MicroSievert => DoseRateUnit::MicroSievertPerHour,
            _ => DoseRateUnit::MilliSievertPerHour,
        }
    }

    fn figure(&self, rate: DoseRate) -> RateFigure {
        let shown = DoseRate::from_nsv_per_hour(three_digits(rate.nsv_per_hour(), Way::Up));
        RateFigure {
            nsv_per_hour: rate.nsv_per_hour(),
            shown: shown.display(self.rate_unit()),
        }
    }

    fn distances(&self, budget: Option<Dose>) -> Result<Vec<DistanceLine>, AnswerError> {
        let mut lines = Vec::new();
        for tenths in TENTHS {
            let distance = Length::from_nm(tenths * 100_000_000);
            let rate = |share: f64| {
                let through = Spread::one(share);
                let it = rates(
                    &self.strength.constant,
                    self.strength.activity,
                    distance,
                    through,
                );
                kept(it.high)
            };
            let bare = rate(1.0)?;
            let shielded = self.behind.map(rate).transpose()?;
            lines.push(DistanceLine {
                nm: distance.nm(),
                distance: self.distance(distance),
                bare: self.figure(bare),
                shielded: shielded.map(|it| self.figure(it)),
                bare_seconds: budget.map(|it| seconds_to(it, bare)),
                shielded_seconds: budget.zip(shielded).map(|(it, rate)| seconds_to(it, rate)),
            });
        }
        Ok(lines)
    }

    /// Distances to the rates of the rule set, the highest rate first.
    fn boundaries(&self, rule_set: &RuleSet) -> Result<Vec<BoundaryLine>, AnswerError> {
        let mut all: Vec<(i64, String)> = RATE_KEYS
            .iter()
            .filter_map(|key| rule_set.tolerance(key))
            .filter_map(|it| {
                let nsv = match it.value {
                    ToleranceValue::Rate(rate) => rate.nsv_per_hour(),
                    // A dose in any one hour, the source out all the time.
                    ToleranceValue::Dose(dose) => dose.nsv(),
                    _ => return None,
                };
                Some((nsv, format!("{} ({})", it.meaning, it.cited())))
            })
            .collect();
        let (nsv, meaning) = BOUNDARY;
        if !all.iter().any(|(it, _)| *it == nsv) {
            all.push((nsv, meaning.to_owned()));
        }
        all.sort_by_key(|(nsv, _)| std::cmp::Reverse(*nsv));
        let lines = all.into_iter().map(|(nsv, meaning)| BoundaryLine {
            rate: self.figure(DoseRate::from_nsv_per_hour(nsv)),
            bare: self.metres_to(nsv, 1.0),
            shielded: self.behind.map(|it| self.metres_to(nsv, it)),
            meaning,
        });
        Ok(lines.collect())
    }

    /// A distance of the table; with feet for people who count dose in rem.
    fn distance(&self, it: Length) -> String {
        let metres = it.display(LengthUnit::Metre);
        match self.unit.is_si() {
            true => metres,
            false => format!("{metres} ({})", it.display_rounded(LengthUnit::Foot, 1)),
        }
    }

    /// Metres, rounded up to a tenth; with feet for people who count dose in rem.
    fn metres_to(&self, nsv: i64, through: f64) -> String {
        let per_bq = self.strength.constant.nsv_per_hour_bq().high;
        let metres = distance_to(nsv as f64, per_bq, self.strength.activity.high, through);
        let tenths = (metres * 10.0).ceil();
        let feet = (tenths / 10.0 / 0.3048).ceil();
        match self.unit.is_si() {
            true => format!("{:.1} m", tenths / 10.0),
            false => format!("{:.1} m ({feet} ft)", tenths / 10.0),
        }
    }
}

/// Whole seconds until a dose is received at a rate, rounded down.
fn seconds_to(budget: Dose, rate: DoseRate) -> i64 {
    let rate = i128::from(rate.nsv_per_hour()).max(1);
    let seconds = i128::from(budget.nsv()) * 3600 / rate;
    i64::try_from(seconds).unwrap_or(i64::MAX)
}

/// As `2 min 30 s`, from ten minutes on in whole minutes, rounded down; a long time in words.
fn seconds_words(seconds: i64) -> String {
    match seconds {
        0 => "less than 1 s".to_owned(),
        1..600 => time_words(seconds),
        600..360_000 => time_words(seconds - seconds % 60),
        _ => "more than 100 h".to_owned(),
    }
}

impl DistanceLine {
    /// The time to the budget without and with shielding, in words.
    pub fn times(&self) -> [Option<String>; 2] {
        [self.bare_seconds, self.shielded_seconds].map(|it| it.map(seconds_words))
    }
}

/// Whether a budget fits what one person has left of each limit and administrative level of the
/// whole body. Of which level it is, and how much, would give away what is private.
fn allowance(line: &WorkStatusLine, budget: Option<Dose>) -> AllowanceLine {
    let levels: Vec<&LevelLine> = line
        .levels
        .iter()
        .filter(|it| it.of == Quantity::Deep && (it.binds || !it.is_assessed))
        .collect();
    let fits = budget.map(|budget| {
        let fits = |it: &&LevelLine| it.sure && budget.nsv() <= it.left_nsv;
        line.may_work && !levels.is_empty() && levels.iter().all(fits)
    });
    let why = match (line.may_work, line.reasons.first(), fits) {
        (false, Some(reason), _) => reason.finding.what.clone(),
        (true, _, Some(false)) => "the budget does not fit: see RSO".to_owned(),
        _ => String::new(),
    };
    AllowanceLine {
        worker: line.worker.clone(),
        name: line.name.clone(),
        may_work: line.may_work,
        fits,
        why,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_time_to_a_budget_is_rounded_down() {
        let seconds =
            |budget, rate| seconds_to(Dose::from_nsv(budget), DoseRate::from_nsv_per_hour(rate));
        // 50 mrem at 1 rem/h is 3 minutes.
        assert_eq!(seconds(500_000, 10_000_000), 180);
        assert_eq!(seconds(500_000, 10_000_001), 179);
        assert_eq!(seconds(1, 36_000), 0);
        assert_eq!(seconds_words(0), "less than 1 s");
        assert_eq!(seconds_words(seconds(i64::MAX, 1)), "more than 100 h");
    }
}
