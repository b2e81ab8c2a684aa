//! From the trace of an event to its picture, and from the ranking to its own.

use crate::answer::{RankingAnswer, TraceAnswer, TraceRow};
use crate::calendar::Day;
use crate::record::{Coverage, Occasion, Words};
use crate::rule::{Sense, Standing};
use crate::show::chart::ChartError;
use crate::show::chart::ranking::{RankBar, RankingChart};
use crate::show::chart::trace::{Lane, Measured, Sign, TraceChart};
use crate::trace::ranking::FEW_PROVE_LITTLE;
use crate::trace::verdict::{Mark, Seen};

/// At most so many lanes: more press the signs together.
const LANES: usize = 6;

/// The picture of a trace; nothing where no item has anything to show.
///
/// # Errors
/// [`ChartError`] if it cannot be drawn.
pub fn trace_chart_of(answer: &TraceAnswer, scripted: bool) -> Result<Option<String>, ChartError> {
    let told = |it: &&TraceRow| it.verdict.covered.coverage != Coverage::CannotDetect;
    let mut rows: Vec<&TraceRow> = answer.rows.iter().filter(told).collect();
    if let Some(cause) = &answer.cause {
        // The component that failed first; of the others what there is room for.
        let of_part =
            |it: &&TraceRow| it.equipment == cause.equipment && it.component == cause.component;
        rows.sort_by_key(|it| !of_part(it));
    }
    rows.truncate(LANES);
    if rows.is_empty() {
        return Ok(None);
    }
    let installed = answer.cause.as_ref().and_then(|it| it.installed_on);
    let first = installed.unwrap_or_else(|| {
        let inspections = rows.iter().flat_map(|row| drawn(row, None));
        let days = inspections.map(|it| it.inspection.moment.day);
        days.min().unwrap_or(answer.on).min(answer.on)
    });
    let lanes = rows
        .iter()
        .map(|row| lane(row, first, answer.until))
        .collect();
    let measured = rows
        .iter()
        .filter(|row| row.wear.is_some())
        .max_by_key(|row| {
            drawn(row, Some(first))
                .filter(|it| it.inspection.count.is_some())
                .count()
        });
    let mut notes = vec![
        "Inspections count as they were written before the event. The line is an estimate, by the \
         figures that were written before it."
            .to_owned(),
        answer.judges.to_owned(),
    ];
    if let Some([first, _]) = &answer.between {
        let from = first.as_deref().unwrap_or("an unknown time");
        notes.push(format!(
            "When it happened is not known: from {from} on; the mark is the latest day. What lies \
             between is of unknown order."
        ));
    }
    if scripted {
        notes.push("made with a scripted clock: a demonstration".to_owned());
    }
    let uses = answer.uses.iter().filter(|it| it.day >= first);
    let chart = TraceChart {
        title: match &answer.cause {
            Some(cause) => {
                format!(
                    "{}: {} of {}",
                    answer.event, cause.component, cause.equipment
                )
            }
            None => format!("{}: {}", answer.event, answer.kind),
        },
        installed,
        first,
        event: answer.until,
        lanes,
        measured: measured.and_then(|row| figures(row, first, answer.until)),
        uses: uses.map(|it| (it.day, it.exposures.unwrap_or(0))).collect(),
        notes,
        caution: answer.confirm.clone(),
    };
    chart.svg().map(Some)
}

/// The inspections of a row that belong on the time line.
fn drawn(row: &TraceRow, first: Option<Day>) -> impl Iterator<Item = &Seen> {
    row.verdict.seen.iter().filter(move |it| {
        !matches!(it.mark, Mark::After | Mark::OtherPart)
            && first.is_none_or(|first| first <= it.inspection.moment.day)
    })
}

fn sign(it: &Seen) -> Sign {
    match it.mark {
        Mark::Claimed | Mark::OrderUnknown | Mark::WrittenWithin | Mark::SameDay | Mark::Within => {
            return Sign::Claimed;
        }
        Mark::AmendedAfter | Mark::VoidedAfter | Mark::ChangeUnplaced => return Sign::Changed,
        _ => {}
    }
    if it.inspection.is_left_out() {
        Sign::NotDone
    } else if it.inspection.result == Some(crate::record::LineResult::Defect) {
        Sign::Defect
    } else if it.inspection.standing == Some(Standing::Beyond) {
        Sign::Beyond
    } else if it.inspection.occasion == Occasion::Daily {
        Sign::Daily
    } else {
        Sign::Good
    }
}

fn lane(row: &TraceRow, first: Day, event: Day) -> Lane {
    let verdict = &row.verdict;
    let concluded = if verdict.covered.is_concluded() {
        ""
    } else {
        " (not concluded)"
    };
    Lane {
        name: format!(
            "{} {}: {}{concluded}; {}",
            row.equipment,
            row.item,
            verdict.covered.coverage.word(),
            verdict.record.word
        ),
        signs: drawn(row, Some(first))
            .filter(|it| it.inspection.moment.day <= event)
            .map(|it| (it.inspection.moment.day, sign(it)))
            .collect(),
    }
}

fn figures(row: &TraceRow, first: Day, event: Day) -> Option<Measured> {
    let measurement = row.measurement.as_ref()?;
    let marks: Vec<(Day, i64, Sign)> = drawn(row, Some(first))
        .filter(|it| it.inspection.moment.day <= event)
        .filter_map(|it| Some((it.inspection.moment.day, it.inspection.count?, sign(it))))
        .collect();
    if marks.is_empty() {
        return None;
    }
    let line = row.wear.as_ref().map(|it| it.line.clone());
    Some(Measured {
        name: format!("{}: {}", row.item, row.how),
        unit: measurement.unit,
        limit: measurement.limit.count(),
        bad_below: measurement.sense == Sense::NotBelow,
        warn: measurement.warn.map(|it| it.count()),
        step: measurement.step.count(),
        marks,
        line: line.unwrap_or_default(),
    })
}

/// The picture of the ranking.
///
/// # Errors
/// [`ChartError`] if it cannot be drawn.
pub fn ranking_chart_of(answer: &RankingAnswer, scripted: bool) -> Result<String, ChartError> {
    let mut notes = vec![FEW_PROVE_LITTLE.to_owned(), answer.judges.to_owned()];
    if scripted {
        notes.push("made with a scripted clock: a demonstration".to_owned());
    }
    let counted = answer.ranking.items.iter();
    let bars = counted
        .filter(|it| it.caught + it.let_through > 0)
        .map(|it| RankBar {
            name: format!("{}, {}", it.item, it.on),
            caught: it.caught,
            let_through: it.let_through,
            share: it.share.zip(it.interval).map(|(share, bounds)| {
                let percent = |it: f64| (it * 100.0).round() as i64;
                [percent(bounds.lower), percent(share), percent(bounds.upper)]
            }),
        })
        .collect();
    RankingChart { bars, notes }.svg()
}
