//! Everybody's dose over a span, one line a person.

use serde::Serialize;

use super::nobody::{NobodysLine, nobodys};
use super::private::{open_findings, open_levels};
use crate::answer::context::error::AnswerError;
use crate::answer::context::here::{NO_RECORD, has_badge, is_elsewhere, opening_count};
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::context::view::{LevelLine, TotalView, level_lines, nearest};
use crate::calendar::{Day, Span};
use crate::dose::checks::level_findings;
use crate::dose::index::{DoseIndex, Used};
use crate::dose::total::Total;
use crate::quantity::DoseUnit;
use crate::rule::{Quantity, RuleSet, Severity, Tells, Terms};

/// One person's line.
#[derive(Debug, Clone, Serialize)]
pub struct CrewLine {
    /// The worker's id.
    pub worker: String,
    /// Full name.
    pub name: String,
    /// Deep dose over the span, as the records say.
    #[serde(rename = "total")]
    pub account: TotalView,
    /// Deep dose over the span, as levels use it.
    pub conservative: TotalView,
    /// The level of which the largest share is used.
    pub nearest: Option<LevelLine>,
    /// Whether a level stops the person, or the dose is undetermined.
    pub stop: bool,
    /// Why, in one line.
    pub why: String,
    /// Levels of the deep dose whose window is the span: what a chart draws.
    #[serde(skip)]
    pub levels: Vec<LevelLine>,
}

/// Everybody's dose.
#[derive(Debug, Clone, Serialize)]
pub struct CrewAnswer {
    /// First day.
    pub first: Day,
    /// Last day.
    pub last: Day,
    /// The day for which the levels stand.
    pub on: Day,
    /// The unit of every figure for people.
    pub unit: String,
    /// What the doses are called.
    #[serde(skip)]
    pub terms: Terms,
    /// The lines, by id.
    pub lines: Vec<CrewLine>,
    /// Results that are unassigned, and so are in no figure above.
    pub nobodys: Vec<NobodysLine>,
    /// Whether what other employers reported is in the figure of everybody together.
    pub has_elsewhere: bool,
    /// How many totals from before the ledger are in the figures.
    pub opening: usize,
    /// Deep dose of everybody together, the known part, nanosievert.
    pub collective_nsv: i64,
    /// The same as text.
    pub collective: String,
    /// The rule set's caution.
    pub confirm: String,
}

/// The days of which everybody's doses over a span need the records.
pub(crate) fn needed_by_all(house: &House, rule_set: &RuleSet, span: Span, on: Day) -> Span {
    let each = house.workers().into_iter();
    each.map(|facts| house.span_needed(rule_set, facts, span, on))
        .reduce(|a, b| Span {
            first: a.first.min(b.first),
            last: a.last.max(b.last),
        })
        .unwrap_or(span)
}

/// Whether a total rests on anything: what rests on nothing is not zero.
pub(crate) fn is_told(total: &Total) -> bool {
    total.assessed > 0 || total.unassessed > 0
}

/// The account and the conservative total of one person. Where the ledger holds nothing that is
/// said, for it is not zero.
fn views(used: &Used, has_badge: bool, unit: DoseUnit) -> [TotalView; 2] {
    let totals = [&used.account, &used.safe];
    let no_record = !has_badge && !totals.into_iter().any(is_told);
    totals.map(|total| match no_record {
        true => TotalView::new(total, unit).said(NO_RECORD),
        false => TotalView::new(total, unit),
    })
}

/// Everybody's dose over a span, with the levels as of `on`.
pub fn dose_of_crew(house: &OpenHouse<'_>, span: Span, on: Day) -> Result<CrewAnswer, AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    let unit = house.unit();
    let workers = house.workers();
    let needed = needed_by_all(house, rule_set, span, on);
    let histories = house.histories(needed)?;
    let mut lines = Vec::new();
    let mut collective = Total::default();
    let mut has_elsewhere = false;
    for facts in workers {
        let Some(history) = histories.get(&facts.record) else {
            continue;
        };
        has_elsewhere |= is_elsewhere(house, history, span);
        let index = DoseIndex::build(history)?;
        let used = index.used(span, Quantity::Deep)?;
        collective = collective.plus(&used.account)?;
        let (levels, standings) = level_lines(house, rule_set, facts, &index, on)?;
        let levels = open_levels(levels);
        let findings = open_findings(level_findings(facts, &standings, &index, rule_set)?);
        let stop = findings.iter().find(|it| it.severity == Severity::Stop);
        let undetermined = used.safe.undetermined > 0;
        let why = match (stop, undetermined) {
            (Some(finding), _) => finding.what.clone(),
            (None, true) => "the dose is undetermined".to_owned(),
            (None, false) => String::new(),
        };
        let whole = |it: &&LevelLine| {
            it.of == Quantity::Deep && (it.first, it.last) == (span.first, span.last)
        };
        let over_span = levels.iter().filter(whole).cloned().collect();
        let [account, conservative] = views(&used, has_badge(history, span), unit);
        // No allowance beside `no record`: it would be one of a dose that nobody knows.
        let nearest = nearest(&levels)
            .filter(|_| account.short != NO_RECORD)
            .cloned();
        lines.push(CrewLine {
            worker: facts.id.clone(),
            name: facts.name.clone(),
            account,
            conservative,
            nearest,
            stop: stop.is_some() || undetermined,
            why,
            levels: over_span,
        });
    }
    Ok(CrewAnswer {
        first: span.first,
        last: span.last,
        on,
        unit: unit.symbol().to_owned(),
        terms: house.terms(),
        lines,
        nobodys: nobodys(house)?,
        has_elsewhere,
        opening: opening_count(house, span),
        collective_nsv: collective.known().nsv(),
        collective: collective.text(unit),
        confirm: rule_set.caution_of(Tells::Levels),
    })
}
