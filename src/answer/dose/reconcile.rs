//! Readings against badge results.

use std::collections::HashMap;

use serde::Serialize;

use super::reconcile_span::{OverSpan, ReconcileTotal, WithoutBadgeLine, YearToDateLine, percent};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::context::view::DoseFigure;
use crate::calendar::{Day, Span};
use crate::dose::compared::Counts;
use crate::dose::input::{History, Reported};
use crate::dose::reconcile::{Agreement, Comparison, compare};
use crate::quantity::{Dose, DoseUnit};
use crate::record::RecordId;
use crate::rule::{Finding, RuleSet, Terms, Tolerance};

/// What the judgement of periods together rests on.
const ASSUMES: &str = "Together: the interval of the mean ratio at 90 %, for however many \
    comparisons; \
assumes that a person's periods scatter alike about one ratio. An estimate: it says that two \
dosimeters differ, not which of them is right, and changes no dose.";

/// One wear period.
#[derive(Debug, Clone, Serialize)]
pub struct ReconcileLine {
    /// The worker's id.
    pub worker: String,
    /// The badge.
    pub badge: String,
    /// First day of wear.
    pub first: Day,
    /// Last day of wear.
    pub last: Day,
    /// How many shifts the badge was worn on.
    pub shifts: usize,
    /// Shifts of the period on which it was not worn.
    pub not_worn: u32,
    /// The sum of the readings of those shifts.
    pub readings: DoseFigure,
    /// The result as reported.
    pub result: String,
    /// The same, nanosievert; for what is below a minimum, the minimum.
    pub result_nsv: Option<i64>,
    /// Whether the result is only known to be below a minimum.
    pub below_minimum: bool,
    /// Its entry.
    pub result_entry: Option<i64>,
    /// Readings as a percentage of the result.
    pub ratio: String,
    /// Whether they agree, in words.
    pub agreement: String,
    /// The same, for a chart.
    #[serde(skip)]
    #[serde(rename = "type")]
    pub kind: Agreement,
    /// Whether they are beyond the band, as single periods are at times.
    pub beyond: bool,
    /// Whether they differ so far that this period alone is looked into.
    pub by_itself: bool,
    /// What the usual explanations are.
    pub explanations: Vec<String>,
}

/// Readings against badge results.
#[derive(Debug, Clone, Serialize)]
pub struct ReconcileAnswer {
    /// First day.
    pub first: Day,
    /// Last day.
    pub last: Day,
    /// The unit of figures for people.
    pub unit: String,
    /// What the doses are called.
    #[serde(skip)]
    pub terms: Terms,
    /// How many of the wear periods were compared, and why the others were not.
    pub counts: Counts,
    /// The wear periods that ended in the span.
    pub lines: Vec<ReconcileLine>,
    /// The first day of the periods that are judged together: of a year at least.
    pub together_first: Day,
    /// Each person's periods together.
    pub totals: Vec<ReconcileTotal>,
    /// The processor's years to date against our results.
    pub years_to_date: Vec<YearToDateLine>,
    /// Shifts that no badge on issue speaks for.
    pub without_badge: Vec<WithoutBadgeLine>,
    /// What the judgement of periods together assumes.
    pub assumes: String,
    /// What somebody has to look into. Nothing here changes a dose.
    pub findings: Vec<Finding>,
    /// The band, with its source.
    pub band: String,
    /// The band in thousandths of the result, where the rule set has one.
    pub band_permille: Option<i64>,
    /// The dose below which nothing is compared, nanosievert.
    pub minimum_nsv: Option<i64>,
    /// The rule set's caution.
    pub confirm: String,
}

/// Compares the readings and results of wear periods that ended in a span.
pub fn reconcile(
    house: &OpenHouse<'_>,
    worker: Option<RecordId>,
    span: Span,
) -> Result<ReconcileAnswer, AnswerError> {
    let wide = days_of(house.rule_set_on(span.last)?, span);
    let histories = match worker {
        Some(worker) => [(worker, house.history(worker, wide)?)].into(),
        None => house.histories(wide)?,
    };
    reconcile_from(house, &histories, span)
}

/// The days that a comparison over a span looks at.
pub(crate) fn days_of(rule_set: &RuleSet, span: Span) -> Span {
    // A period that ended in the span may have begun before it.
    let earlier = |day: Day| day.checked_sub_days(chrono::Days::new(120)).unwrap_or(day);
    let before = earlier(span.first);
    // A year to date is held against the results of the whole year.
    let year = rule_set
        .year_start
        .year(rule_set.year_start.year_of(before));
    Span {
        first: before.min(year.first).min(earlier(together_of(span).first)),
        last: span.last,
    }
}

/// The days whose periods are judged together: the span, but at least the year that it ends.
/// A month alone has one period a person.
pub(crate) fn together_of(span: Span) -> Span {
    let year = span.last.checked_sub_days(chrono::Days::new(364));
    Span {
        first: year.map_or(span.first, |it| span.first.min(it)),
        last: span.last,
    }
}

/// The same of shifts that are loaded, over [`days_of`] at least.
pub(crate) fn reconcile_from(
    house: &House,
    histories: &HashMap<RecordId, History>,
    span: Span,
) -> Result<ReconcileAnswer, AnswerError> {
    let rule_set = house.rule_set_on(span.last)?;
    let unit = house.unit();
    let mut lines = Vec::new();
    let mut over = OverSpan::new(histories);
    for facts in house.workers() {
        let Some(history) = histories.get(&facts.record) else {
            continue;
        };
        let found = compare(history, rule_set, span)?;
        let together = compare(history, rule_set, together_of(span))?;
        over.add(history, (&found, &together), rule_set, span, unit)?;
        lines.extend(found.into_iter().map(|it| line(&facts.id, it, unit)));
    }
    let band = ["reconcile-relative", "reconcile-minimum"]
        .iter()
        .filter_map(|key| rule_set.tolerance(key))
        .map(|it| format!("{} ({})", it.meaning, it.cited()))
        .collect::<Vec<_>>()
        .join(" ");
    let tolerance = |key| rule_set.tolerance(key);
    Ok(ReconcileAnswer {
        first: span.first,
        last: span.last,
        unit: unit.symbol().to_owned(),
        terms: house.terms(),
        counts: Counts::of(lines.iter().map(|it| it.kind)),
        lines,
        together_first: together_of(span).first,
        assumes: ASSUMES.to_owned(),
        totals: over.totals,
        years_to_date: over.years_to_date,
        without_badge: over.without_badge,
        findings: over.findings,
        band,
        band_permille: tolerance("reconcile-relative").and_then(Tolerance::permille),
        minimum_nsv: tolerance("reconcile-minimum")
            .and_then(Tolerance::dose)
            .map(Dose::nsv),
        confirm: rule_set.confirm.clone(),
    })
}

fn line(worker: &str, it: Comparison, unit: DoseUnit) -> ReconcileLine {
    let result = match &it.result {
        None => "-".to_owned(),
        Some(Reported::Dose(dose)) => dose.display(unit),
        Some(Reported::BelowMinimum { minimum, .. }) => format!("<{}", minimum.display(unit)),
    };
    let (result_nsv, below_minimum) = match &it.result {
        None => (None, false),
        Some(Reported::Dose(dose)) => (Some(dose.nsv()), false),
        Some(Reported::BelowMinimum { minimum, .. }) => (Some(minimum.nsv()), true),
    };
    ReconcileLine {
        worker: worker.to_owned(),
        badge: it.badge,
        first: it.days.first,
        last: it.days.last,
        shifts: it.shifts.len(),
        not_worn: it.not_worn,
        readings: DoseFigure::new(it.readings, unit),
        result,
        result_nsv,
        below_minimum,
        result_entry: it.result_entry,
        // Of readings that are no sum a ratio would be one of something that nobody received.
        ratio: match it.agreement {
            Agreement::ReadingsIncomplete => "-".to_owned(),
            _ => it.ratio_permille.map_or("-".to_owned(), percent),
        },
        agreement: it.agreement.words().to_owned(),
        kind: it.agreement,
        beyond: it.agreement.is_beyond(),
        by_itself: it.by_itself,
        explanations: it
            .agreement
            .usual_explanations()
            .iter()
            .map(|it| (*it).to_owned())
            .collect(),
    }
}
