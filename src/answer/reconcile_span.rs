//! What a span of compared periods shows of one person together: a dosimeter
//! that always reads one way, the processor's years to date, shifts without a
//! badge.

use std::collections::{BTreeMap, HashMap};

use serde::Serialize;

use super::error::AnswerError;
use super::reconcile::percent;
use super::view::DoseFigure;
use crate::calendar::{Day, Span};
use crate::dose::checks::rule_text;
use crate::dose::input::{History, Issuer};
use crate::dose::reconcile::{Agreement, Comparison, NoBadge, YearTotals, unbadged, years_to_date};
use crate::quantity::{Dose, DoseUnit};
use crate::record::RecordId;
use crate::rule::{Finding, Scheme, Severity};

/// The harm that a comparison prevents, where a scheme has no rule text.
const HARM: &str = "A dosimeter that reads low hides dose until somebody looks at it.";

/// One person's compared periods together. Those too small to be compared
/// alone are in it.
#[derive(Debug, Clone, Serialize)]
pub struct ReconcileTotal {
    /// The worker's id.
    pub worker: String,
    /// Periods that could be compared.
    pub compared: u32,
    /// Of them, those whose readings are below the result, band or not.
    pub lower: u32,
    /// Of them, those whose readings are above it.
    pub higher: u32,
    /// Readings of those periods.
    pub readings: DoseFigure,
    /// Results of the same periods; below a minimum counts as zero.
    pub results: DoseFigure,
    /// Results where below a minimum counts as the minimum.
    pub results_at_most: DoseFigure,
    /// Readings as a percentage of the results.
    pub ratio: String,
    /// Whether the sums agree, and whether every period differs the same way.
    pub words: String,
}

/// A processor's total of a year so far against our results.
#[derive(Debug, Clone, Serialize)]
pub struct YearToDateLine {
    /// The worker's id.
    pub worker: String,
    /// The last day of the wear period whose report states it.
    pub through: Day,
    /// The quantity.
    pub quantity: String,
    /// What the report says.
    pub theirs: DoseFigure,
    /// The sum of our results.
    pub ours: DoseFigure,
    /// Prior dose of that year on record, where the report has it too.
    pub prior: DoseFigure,
    /// Theirs less ours and that prior dose.
    pub difference: DoseFigure,
    /// Whether they differ beyond the band.
    pub beyond: bool,
    /// Whether the difference is another than in the report before, of the
    /// same year: what went wrong went wrong here.
    pub changed: bool,
    /// The entry of the report.
    pub entry: i64,
}

/// A person's shifts that no badge speaks for, for one reason.
#[derive(Debug, Clone, Serialize)]
pub struct WithoutBadgeLine {
    /// The worker's id.
    pub worker: String,
    /// Why.
    pub why: String,
    /// The days.
    pub days: Vec<Day>,
    /// The sheets' entries.
    pub entries: Vec<i64>,
}

/// Everything that the span shows, person after person.
#[derive(Default)]
pub(super) struct OverSpan {
    keeps_badges: bool,
    pub totals: Vec<ReconcileTotal>,
    pub years_to_date: Vec<YearToDateLine>,
    pub without_badge: Vec<WithoutBadgeLine>,
    pub findings: Vec<Finding>,
}

impl OverSpan {
    /// Where nobody has a badge of ours, a shift without one is nothing to
    /// list.
    pub fn new(histories: &HashMap<RecordId, History>) -> OverSpan {
        let mut all = histories.values().flat_map(|it| &it.facts.dosimetry.wear);
        OverSpan {
            keeps_badges: all.any(|it| it.issuer == Issuer::Own),
            ..OverSpan::default()
        }
    }

    /// Adds one person.
    pub fn add(
        &mut self,
        history: &History,
        found: &[Comparison],
        scheme: &Scheme,
        span: Span,
        unit: DoseUnit,
    ) -> Result<(), AnswerError> {
        let worker = history.facts.id.as_str();
        self.periods(worker, found, scheme, unit);
        self.total(worker, found, scheme, unit)?;
        self.years(history, scheme, span, unit)?;
        if self.keeps_badges {
            self.unbadged(history, span)?;
        }
        Ok(())
    }

    fn find(
        &mut self,
        worker: &str,
        rule: &str,
        scheme: &Scheme,
        (severity, what, entries): (Severity, String, Vec<i64>),
    ) {
        let rule = rule_text(scheme, rule, HARM);
        let finding = Finding::new(severity, &rule, worker, what, entries);
        self.findings.push(finding);
    }

    fn periods(&mut self, worker: &str, found: &[Comparison], scheme: &Scheme, unit: DoseUnit) {
        for it in found.iter().filter(|it| it.agreement.is_beyond()) {
            let result = it
                .result
                .as_ref()
                .map_or("-".to_owned(), |result| result.counted().display(unit));
            let what = format!(
                "badge {} of {} to {}: {}: {} by readings, {result} by the badge",
                it.badge,
                it.days.first,
                it.days.last,
                it.agreement.words(),
                it.readings.display(unit),
            );
            let entries = it.result_entry.into_iter().collect();
            self.find(worker, "reconcile", scheme, (Severity::Act, what, entries));
        }
    }

    fn total(
        &mut self,
        worker: &str,
        found: &[Comparison],
        scheme: &Scheme,
        unit: DoseUnit,
    ) -> Result<(), AnswerError> {
        let totals = YearTotals::of(found)?;
        if totals.compared == 0 {
            return Ok(());
        }
        let always = match (totals.always_lower(), totals.always_higher()) {
            (true, _) => Some("readings below the badge in every period"),
            (_, true) => Some("readings above the badge in every period"),
            _ => None,
        };
        let together = totals.agreement(scheme);
        if always.is_some() || together.is_beyond() {
            let what = format!(
                "{} ({}, sums {}): {} by readings, {} by badges",
                always.unwrap_or("readings and badges together"),
                crate::text::counted(totals.compared, "period", "periods"),
                together.words(),
                totals.readings.display(unit),
                totals.results.display(unit),
            );
            let entries = found.iter().filter_map(|it| it.result_entry).collect();
            // Always low within the band is no cause to act, and worth a look.
            let severity = match together.is_beyond() {
                true => Severity::Act,
                false => Severity::Watch,
            };
            self.find(worker, "reconcile", scheme, (severity, what, entries));
        }
        let words = match (always, together) {
            (Some(always), _) => format!("{always}; sums {}", together.words()),
            (None, Agreement::Within | Agreement::TooSmall) => together.words().to_owned(),
            (None, _) => format!("sums {}", together.words()),
        };
        self.totals.push(ReconcileTotal {
            worker: worker.to_owned(),
            compared: totals.compared,
            lower: totals.lower,
            higher: totals.higher,
            readings: DoseFigure::new(totals.readings, unit),
            results: DoseFigure::new(totals.results, unit),
            results_at_most: DoseFigure::new(totals.results_at_most, unit),
            ratio: totals.ratio_permille.map_or("-".to_owned(), percent),
            words,
        });
        Ok(())
    }

    fn years(
        &mut self,
        history: &History,
        scheme: &Scheme,
        span: Span,
        unit: DoseUnit,
    ) -> Result<(), AnswerError> {
        let worker = history.facts.id.as_str();
        let found = years_to_date(history, scheme)?;
        let mut before: Option<(i32, Dose)> = None;
        for it in &found {
            let year = scheme.year_start.year_of(it.through);
            let known = before.filter(|(of, _)| *of == year).map(|(_, it)| it);
            let changed = known.unwrap_or(Dose::ZERO) != it.difference;
            before = Some((year, it.difference));
            if !span.contains(it.through) {
                continue;
            }
            let beyond = it.is_beyond(scheme);
            if beyond && changed {
                let what = format!(
                    "year to date through {}: {} by the processor, {} by the records here",
                    it.through,
                    it.theirs.display(unit),
                    it.ours.checked_add(it.prior)?.display(unit),
                );
                self.find(
                    worker,
                    "processor-year-to-date",
                    scheme,
                    (Severity::Act, what, vec![it.entry]),
                );
            }
            self.years_to_date.push(YearToDateLine {
                worker: worker.to_owned(),
                through: it.through,
                quantity: it.quantity.name().to_owned(),
                theirs: DoseFigure::new(it.theirs, unit),
                ours: DoseFigure::new(it.ours, unit),
                prior: DoseFigure::new(it.prior, unit),
                difference: DoseFigure::new(it.difference, unit),
                beyond,
                changed,
                entry: it.entry,
            });
        }
        Ok(())
    }

    fn unbadged(&mut self, history: &History, span: Span) -> Result<(), AnswerError> {
        let mut by_reason: BTreeMap<NoBadge, (Vec<Day>, Vec<i64>)> = BTreeMap::new();
        for it in unbadged(history, span)? {
            let (days, entries) = by_reason.entry(it.why).or_default();
            days.push(it.day);
            entries.push(it.entry);
        }
        let lines = by_reason.into_iter().map(|(why, (days, entries))| {
            let why = match why {
                NoBadge::NotIssued => "none on issue",
                NoBadge::NotWorn => "not worn, by the sheet",
                NoBadge::NotSaid => "the sheet does not say whether it was worn",
            };
            WithoutBadgeLine {
                worker: history.facts.id.clone(),
                why: why.to_owned(),
                days,
                entries,
            }
        });
        self.without_badge.extend(lines);
        Ok(())
    }
}
