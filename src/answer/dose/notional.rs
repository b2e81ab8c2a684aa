//! The limit's share of some days, which the RSO may enter where nothing better
//! can be had.

use serde::Serialize;

use super::conflict::by_flags;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::House;
use crate::answer::context::view::DoseFigure;
use crate::calendar::{Day, Span};
use crate::dose::determine::notional;
use crate::dose::population::year_limits;
use crate::record::RecordId;
use crate::rule::{Tells, Terms};

/// Where the formula stands.
const CITATION: &str = "Ionising Radiations Regulations 2017 (UK), reg. 23(1)";

/// What stands with every notional dose.
const CAUTION: &str = "An estimate, and no dose until the RSO or the RSO's designee determines it: \
    where the facts allow an estimate of what was received, that goes first. Ask your authority \
    whether it takes a notional dose at all.";

/// The share of one limit.
#[derive(Debug, Clone, Serialize)]
pub struct NotionalLine {
    /// The quantity.
    pub quantity: String,
    /// The limit of a year.
    pub limit: DoseFigure,
    /// Its share of the days, rounded up.
    pub dose: DoseFigure,
    /// How it comes about.
    pub formula: String,
    /// Where the limit stands.
    pub citation: String,
}

/// A notional dose in each quantity that has a limit of a year.
#[derive(Debug, Clone, Serialize)]
pub struct NotionalAnswer {
    /// The worker's id.
    pub worker: String,
    /// Full name.
    pub name: String,
    /// First day.
    pub first: Day,
    /// Last day.
    pub last: Day,
    /// How many days that is.
    pub days: i64,
    /// The unit of every figure for people.
    pub unit: String,
    /// What the doses are called.
    #[serde(skip)]
    pub terms: Terms,
    /// The lines.
    pub lines: Vec<NotionalLine>,
    /// Where the formula stands.
    pub citation: String,
    /// The command that records one.
    pub command: String,
    /// What an estimate is not.
    pub caution: String,
    /// The rule set's caution.
    pub confirm: String,
}

/// The share of each of a worker's yearly limits that falls on some days of
/// one year of the rule set.
pub fn notional_of(
    house: &House,
    worker: RecordId,
    span: Span,
) -> Result<NotionalAnswer, AnswerError> {
    let facts = house.facts(worker)?;
    let rule_set = house.rule_set_on(span.last)?;
    let unit = house.unit();
    let year = rule_set
        .year_start
        .year(rule_set.year_start.year_of(span.first));
    if !year.contains(span.last) {
        return Err(AnswerError::OverYears {
            first: span.first,
            last: year.last,
        });
    }
    let days = span.days();
    let mut lines = Vec::new();
    for level in year_limits(rule_set, facts, span.last) {
        let Some(dose) = notional(level.dose, days, year.days())? else {
            continue;
        };
        lines.push(NotionalLine {
            quantity: level.quantity.name().to_owned(),
            limit: DoseFigure::new(level.dose, unit),
            dose: DoseFigure::new(dose, unit),
            formula: format!(
                "{} x {days}/{} days, rounded up",
                level.dose.display(unit),
                year.days()
            ),
            citation: level.cited(),
        });
    }
    Ok(NotionalAnswer {
        worker: facts.id.clone(),
        name: facts.name.clone(),
        first: span.first,
        last: span.last,
        days,
        unit: unit.symbol().to_owned(),
        terms: house.terms(),
        lines,
        citation: CITATION.to_owned(),
        command: format!(
            "wearbook determination enter --worker {} --first-day {} --last-day {} --quantity Q \
             --dose D --relation replaces --method notional --basis WHY --on DATE {}",
            facts.id,
            span.first,
            span.last,
            by_flags(&house.names, worker, span.last)
        ),
        caution: CAUTION.to_owned(),
        confirm: rule_set.caution_of(Tells::Levels),
    })
}
