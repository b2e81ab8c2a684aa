//! What a span of compared periods shows of one person together: readings and
//! badges that differ on average, the processor's years to date, shifts without a
//! badge.

use std::collections::{BTreeMap, HashMap};

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::view::DoseFigure;
use crate::calendar::{Day, Span};
use crate::dose::input::{History, Issuer};
use crate::dose::reconcile::{Comparison, NoBadge, unbadged, years_to_date};
use crate::dose::reconcile_mean::MeanRatio;
use crate::quantity::{Dose, DoseUnit};
use crate::record::RecordId;
use crate::rule::{CheckKey, Finding, RuleSet, Severity};

/// One person's compared periods together. Those too small to be compared
/// alone are in it.
#[derive(Debug, Clone, Serialize)]
pub struct ReconcileTotal {
    /// The worker's id.
    pub worker: String,
    /// Periods that could be compared.
    pub compared: u32,
    /// Ratios that they give; small periods are added up.
    pub ratios: u32,
    /// Periods left out: the result is only known to be below a minimum.
    pub below_minimum: u32,
    /// Readings of the compared periods.
    pub readings: DoseFigure,
    /// Their results.
    pub results: DoseFigure,
    /// The mean ratio of readings to result, geometric, as a percentage.
    pub ratio: String,
    /// Its interval, for however many looks; blank with too few periods.
    pub interval: String,
    /// The mean ratio in thousandths, and the ends of its interval.
    pub ratio_permille: Option<i64>,
    /// The lower end.
    pub lower_permille: Option<i64>,
    /// The upper end.
    pub upper_permille: Option<i64>,
    /// Whether readings and badges differ by more than the band, or perhaps so.
    pub differs: bool,
    /// Whether they differ, in words.
    pub words: String,
    /// What may explain it, at either dosimeter.
    pub explanations: Vec<String>,
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

impl ReconcileTotal {
    fn new(worker: &str, mean: &MeanRatio, unit: DoseUnit) -> Self {
        let permille = |it: f64| Some((1_000.0 * it).round() as i64).filter(|it| *it < i64::MAX);
        let ratio = mean.ratio();
        let ratio_permille = ratio.and_then(|it| permille(it.0));
        let ends = ratio.and_then(|it| it.1);
        let lower_permille = ends.and_then(|it| permille(it.0));
        let upper_permille = ends.and_then(|it| permille(it.1));
        let shown = |it: Option<i64>| it.map_or("-".to_owned(), percent);
        Self {
            worker: worker.to_owned(),
            compared: mean.compared,
            ratios: mean.ratios,
            below_minimum: mean.below_minimum,
            readings: DoseFigure::new(mean.readings, unit),
            results: DoseFigure::new(mean.results, unit),
            ratio: shown(ratio_permille),
            interval: match ends {
                None => "-".to_owned(),
                Some(_) => format!("{} to {}", shown(lower_permille), shown(upper_permille)),
            },
            ratio_permille,
            lower_permille,
            upper_permille,
            differs: mean.verdict.differs(),
            words: mean.verdict.words().to_owned(),
            explanations: mean
                .verdict
                .explanations()
                .iter()
                .map(|it| (*it).to_owned())
                .collect(),
        }
    }
}

/// Everything that the span shows, person after person.
#[derive(Default)]
pub(crate) struct OverSpan {
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
        (found, together): (&[Comparison], &[Comparison]),
        rule_set: &RuleSet,
        span: Span,
        unit: DoseUnit,
    ) -> Result<(), AnswerError> {
        let worker = history.facts.id.as_str();
        self.periods(worker, found, rule_set, unit);
        let is_new = found.iter().any(|it| it.result.is_some());
        self.total(worker, (together, is_new), rule_set, unit)?;
        self.years(history, rule_set, span, unit)?;
        if self.keeps_badges {
            self.unbadged(history, span)?;
        }
        Ok(())
    }

    fn find(
        &mut self,
        worker: &str,
        rule: CheckKey,
        rule_set: &RuleSet,
        (severity, what, entries): (Severity, String, Vec<i64>),
    ) {
        let rule = rule_set.text_of(rule);
        let finding = Finding::new(severity, &rule, worker, what, entries);
        self.findings.push(finding);
    }

    fn periods(&mut self, worker: &str, found: &[Comparison], rule_set: &RuleSet, unit: DoseUnit) {
        for it in found.iter().filter(|it| it.by_itself) {
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
            self.find(
                worker,
                CheckKey::Reconcile,
                rule_set,
                (Severity::Act, what, entries),
            );
        }
    }

    /// It is a finding where the span has a result to judge by: not again in each month that has
    /// none.
    fn total(
        &mut self,
        worker: &str,
        (found, is_new): (&[Comparison], bool),
        rule_set: &RuleSet,
        unit: DoseUnit,
    ) -> Result<(), AnswerError> {
        let mean = MeanRatio::of(found, rule_set)?;
        if mean.compared + mean.below_minimum == 0 {
            return Ok(());
        }
        let total = ReconcileTotal::new(worker, &mean, unit);
        if mean.verdict.differs() && is_new {
            let left_out = match mean.below_minimum {
                0 => String::new(),
                count => format!("; {count} below the minimum left out"),
            };
            let what = format!(
                "{} on average: {} of the result, {} at any comparison, over {}{left_out}: {} by \
                 readings, {} by badges. Either may explain it: the dosimeter, its reading or its \
                 wear, or the badge, its wear or its report",
                total.words,
                total.ratio,
                total.interval,
                crate::text::counted(mean.compared, "period", "periods"),
                mean.readings.display(unit),
                mean.results.display(unit),
            );
            let entries = found.iter().filter_map(|it| it.result_entry).collect();
            // Whether it is more than the band may be open yet; that it differs is not.
            let severity = match mean.beyond {
                true => Severity::Act,
                false => Severity::Watch,
            };
            self.find(
                worker,
                CheckKey::Reconcile,
                rule_set,
                (severity, what, entries),
            );
        }
        self.totals.push(total);
        Ok(())
    }

    fn years(
        &mut self,
        history: &History,
        rule_set: &RuleSet,
        span: Span,
        unit: DoseUnit,
    ) -> Result<(), AnswerError> {
        let worker = history.facts.id.as_str();
        let found = years_to_date(history, rule_set)?;
        let mut before: Option<(i32, Dose)> = None;
        for it in &found {
            let year = rule_set.year_start.year_of(it.through);
            let known = before.filter(|(of, _)| *of == year).map(|(_, it)| it);
            let changed = known.unwrap_or(Dose::ZERO) != it.difference;
            before = Some((year, it.difference));
            if !span.contains(it.through) {
                continue;
            }
            let beyond = it.is_beyond(rule_set);
            if beyond && changed {
                let across = it.across.map_or(String::new(), |worn| {
                    format!(
                        "; the badge worn {} to {} is in this year here, and may be in the year \
                         before with the processor",
                        worn.first, worn.last
                    )
                });
                let what = format!(
                    "year to date through {}: {} by the processor, {} by the records here{across}",
                    it.through,
                    it.theirs.display(unit),
                    it.ours.checked_add(it.prior)?.display(unit),
                );
                self.find(
                    worker,
                    CheckKey::ProcessorYearToDate,
                    rule_set,
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

pub(crate) fn percent(permille: i64) -> String {
    format!("{}.{} %", permille / 10, (permille % 10).abs())
}
