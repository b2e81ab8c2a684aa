//! Plain values that several answers share: integers with the unit in the
//! name, and the same as people read it.

use serde::Serialize;

use super::error::AnswerError;
use super::load::House;
use crate::calendar::{Day, Span};
use crate::dose::index::DoseIndex;
use crate::dose::input::WorkerFacts;
use crate::dose::level::{Certainty, Standing, standings};
use crate::dose::total::{Extent, Total};
use crate::quantity::{Dose, DoseUnit, Share};
use crate::rule::{AppliesTo, LevelType, Quantity, RuleSet, RuleText, Terms};

/// A dose as a number and as text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DoseFigure {
    /// Nanosievert.
    pub nsv: i64,
    /// With its unit.
    pub shown: String,
}

impl DoseFigure {
    /// A dose in the unit of tables.
    pub fn new(dose: Dose, unit: DoseUnit) -> DoseFigure {
        DoseFigure {
            nsv: dose.nsv(),
            shown: dose.display(unit),
        }
    }
}

/// A total as text, with the parts that it splits into.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TotalView {
    /// Whether there is a figure at all; where not, `known_nsv` is 0 and means nothing.
    pub assessed: bool,
    /// The known part, nanosievert.
    pub known_nsv: i64,
    /// As people read it: `at least 12 mrem, undetermined` where it has no
    /// upper bound.
    pub shown: String,
    /// The same without the reasons: `at least 12 mrem`.
    pub short: String,
    /// Whether it has no upper bound.
    pub undetermined: bool,
    /// Whether `known_nsv` is only a lower bound, for whatever reason.
    pub at_least: bool,
    /// Resolved by result or determination.
    pub of_record: DoseFigure,
    /// Readings only.
    pub provisional: DoseFigure,
    /// Other employers.
    pub prior: DoseFigure,
    /// Shares of lumps that the span cuts.
    pub apportioned: DoseFigure,
}

impl TotalView {
    /// A total in the unit of tables.
    pub fn new(total: &Total, unit: DoseUnit) -> TotalView {
        TotalView {
            assessed: !matches!(total.extent(), Extent::NotAssessed),
            known_nsv: total.known().nsv(),
            shown: total.text(unit),
            short: short(total, unit),
            undetermined: total.undetermined > 0,
            at_least: matches!(total.extent(), Extent::AtLeast(_)),
            of_record: DoseFigure::new(total.of_record, unit),
            provisional: DoseFigure::new(total.provisional, unit),
            prior: DoseFigure::new(total.prior, unit),
            apportioned: DoseFigure::new(total.apportioned, unit),
        }
    }
}

impl TotalView {
    /// With other words than `not assessed` where there is no figure.
    pub(crate) fn said(self, words: &str) -> TotalView {
        TotalView {
            shown: words.to_owned(),
            short: words.to_owned(),
            ..self
        }
    }
}

fn short(total: &Total, unit: DoseUnit) -> String {
    match total.extent() {
        Extent::NotAssessed => "not assessed".to_owned(),
        Extent::Whole(dose) => dose.display(unit),
        // `at least 0` reads as nothing.
        Extent::AtLeast(Dose::ZERO) => "undetermined".to_owned(),
        Extent::AtLeast(dose) => format!("at least {}", dose.display(unit)),
    }
}

/// One worker against one level.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LevelLine {
    /// The level's key.
    pub level: String,
    /// Limit, administrative, investigation.
    #[serde(rename = "type")]
    pub kind: String,
    /// Over which time: licensee year, quarter, entire pregnancy.
    pub over: String,
    /// Deep, lens, shallow or extremity.
    pub quantity: String,
    /// What the level means.
    pub meaning: String,
    /// Its rule, and whether that text was read.
    pub citation: String,
    /// First day of the window.
    pub first: Day,
    /// Last day of the window.
    pub last: Day,
    /// The level's dose.
    pub limit: DoseFigure,
    /// What quarters without records take off.
    pub cut: DoseFigure,
    /// What the records say.
    #[serde(rename = "total")]
    pub account: String,
    /// What levels use; never below the account.
    pub conservative: String,
    /// The same without the reasons.
    pub conservative_short: String,
    /// The known part of it, nanosievert.
    pub conservative_nsv: i64,
    /// Limit less cut less the conservative total; the most that can be left
    /// unless `sure`.
    pub left_nsv: i64,
    /// What is left, as people read it.
    pub left: String,
    /// The same in fewer words; `none` where the dose has no upper bound.
    pub left_short: String,
    /// Whether what is left is a sure figure.
    pub sure: bool,
    /// Whether it says how much the person may still receive: a limit or administrative level
    /// that is assessed, and against which more can count.
    #[serde(skip)]
    pub binds: bool,
    /// Whether it is used up or passed and asks for the RSO, though it bounds no dose.
    #[serde(skip)]
    pub asks: bool,
    /// Of which dose.
    #[serde(skip)]
    pub of: Quantity,
    /// Whether anything measured the dose; where not, its figures mean nothing.
    #[serde(rename = "assessed")]
    pub is_assessed: bool,
    /// Parts per million of the level that are used, rounded up.
    pub share_ppm: Option<i64>,
    /// The same as a percentage.
    pub share: String,
    /// For a declared pregnancy whose budget was fixed at the declaration: how it stands over the
    /// entire pregnancy. The figures above are of what was left at the declaration.
    pub whole: Option<WholeLine>,
    /// Whether the conservative total has reached or passed it.
    pub passed: bool,
    /// What is special about it.
    pub words: Vec<String>,
    /// Whether it is for the person and the RSO alone.
    #[serde(skip)]
    pub is_private: bool,
    /// What the doses are called.
    #[serde(skip)]
    pub terms: Terms,
}

/// A declared pregnancy over all of its days.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WholeLine {
    /// The dose of the level.
    pub of: DoseFigure,
    /// What levels use, since conception.
    pub conservative: String,
    /// The known part of it, nanosievert.
    pub conservative_nsv: i64,
    /// Parts per million of the level that are used, rounded up.
    pub share_ppm: Option<i64>,
    /// The same as a percentage.
    pub share: String,
}

impl LevelLine {
    /// The greatest share that is used of the level, whichever of its shares that is.
    pub fn most_ppm(&self) -> Option<i64> {
        let whole = self.whole.as_ref().and_then(|it| it.share_ppm);
        self.share_ppm.max(whole)
    }

    /// The level in words: `limit, licensee year`, with the quantity where it
    /// is not the deep dose.
    pub fn words(&self) -> String {
        let (kind, over) = (&self.kind, &self.over);
        match self.of {
            Quantity::Deep => format!("{kind}, {over}"),
            other => format!("{} {kind}, {over}", self.terms.short_of(other.name())),
        }
    }

    fn new(it: &Standing<'_>, unit: DoseUnit, terms: Terms) -> LevelLine {
        let undetermined = it.certainty == Certainty::Undetermined;
        let share = share_text(it.certainty, it.share);
        LevelLine {
            level: it.level.key.clone(),
            kind: it.level.kind.name().to_owned(),
            over: it.level.window.to_string(),
            quantity: it.level.quantity.name().to_owned(),
            meaning: it.level.meaning.clone(),
            citation: it.level.cited(),
            first: it.window.first,
            last: it.window.last,
            limit: DoseFigure::new(it.limit, unit),
            cut: DoseFigure::new(it.cut, unit),
            account: it.used.account.text(unit),
            conservative: it.used.safe.text(unit),
            conservative_short: short(&it.used.safe, unit),
            conservative_nsv: it.used.safe.known().nsv(),
            left_nsv: if undetermined {
                it.left.nsv().min(0)
            } else {
                it.left.nsv()
            },
            left: it.left_text(unit),
            left_short: it.left_short(unit),
            is_private: is_private(it),
            terms,
            sure: it.certainty == Certainty::Known,
            binds: it.binds(),
            asks: it.gone().is_some()
                && !matches!(it.level.kind, LevelType::Limit | LevelType::Administrative),
            of: it.level.quantity,
            is_assessed: it.certainty != Certainty::NotAssessed,
            share_ppm: it.share.map(Share::ppm),
            share,
            whole: it.whole.map(|whole| WholeLine {
                of: DoseFigure::new(whole.of, unit),
                conservative: short(&whole.used.safe, unit),
                conservative_nsv: whole.used.safe.known().nsv(),
                share_ppm: whole.share.map(Share::ppm),
                share: share_text(it.certainty, whole.share),
            }),
            passed: it.passed,
            words: it.words.clone(),
        }
    }
}

/// The level of which least is left: of those that say how much a person may still receive, and of
/// those that are used up and ask for the RSO. Of several with as little the first, which is the
/// deep dose's where all were received together.
pub(crate) fn nearest(levels: &[LevelLine]) -> Option<&LevelLine> {
    let binding = levels.iter().filter(|it| it.binds || it.asks);
    binding.min_by_key(|it| it.left_nsv)
}

fn share_text(certainty: Certainty, share: Option<Share>) -> String {
    match (certainty, share) {
        (Certainty::NotAssessed, _) | (_, None) => "-".to_owned(),
        (Certainty::Known, Some(share)) => share.to_string(),
        (_, Some(share)) => format!(">= {share}"),
    }
}

/// One worker against every level that holds on a day.
pub(crate) fn level_lines<'s>(
    house: &House,
    rule_set: &'s RuleSet,
    facts: &WorkerFacts,
    index: &DoseIndex,
    on: Day,
) -> Result<(Vec<LevelLine>, Vec<Standing<'s>>), AnswerError> {
    let found = standings(rule_set, facts, index, on)?;
    let lines = found
        .iter()
        .map(|it| LevelLine::new(it, house.unit(), rule_set.terms()))
        .collect();
    Ok((lines, found))
}

/// The day for which a year stands: today while it runs, else its last day.
pub(crate) fn standing_day(year: Span, today: Day) -> Day {
    if year.contains(today) {
        today
    } else {
        year.last
    }
}

/// Whether a level is one of a declared pregnancy.
pub(crate) fn is_private(standing: &Standing<'_>) -> bool {
    standing.level.applies_to == AppliesTo::DeclaredPregnancy
}

/// The citation of a rule that not every rule set has.
pub(crate) fn cited(rule_set: &RuleSet, key: &str) -> Option<String> {
    rule_set.rule(key).map(RuleText::cited)
}
