//! What the measures of parts need: a part heading for its limit, one figure many times
//! running, an item that is never measured.

use super::inactive::inactive_findings;
use super::measurements::{Measurements, measurements_of};
use super::wear_peers::pool;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::calendar::{Day, Span};
use crate::quantity::Amount;
use crate::record::Words;
use crate::rule::{CheckKey, Finding, RuleSet, Severity};
use crate::wear::forecast::Outlook;
use crate::wear::signal::{Coverage, Measured, never_measured, same_figure};

/// The signals of a span, and what heads for its limit on a day.
pub(crate) fn wear_findings(
    house: &OpenHouse<'_>,
    rule_set: &RuleSet,
    (span, on): (Span, Day),
) -> Result<Vec<Finding>, AnswerError> {
    if house.checklist_on(on).is_none() {
        return Ok(Vec::new());
    }
    let uses = house.snapshot.uses_by_item(on)?;
    let mut all = Vec::new();
    for item in house.names.items() {
        let mine = uses.get(&item).map(Vec::as_slice).unwrap_or_default();
        all.extend(measurements_of(house, item, mine, on)?);
    }
    pool(&mut all, on);
    let mut found = inactive_findings(house, rule_set, on);
    for it in &all {
        found.extend(heading(house, rule_set, it, on));
        found.extend(repeated(house, rule_set, it, &all, span));
        found.extend(unmeasured(house, rule_set, it, (span, on))?);
    }
    Ok(found)
}

fn subject(house: &House, it: &Measurements) -> String {
    format!("{}-{}", house.names.label(it.equipment), it.item.key)
}

/// A part that may reach its limit before somebody looks again. One that is past it, or is
/// withdrawn, has a finding of its own.
fn heading(house: &House, rule_set: &RuleSet, it: &Measurements, on: Day) -> Option<Finding> {
    if !it.wears() || house.service.out_of_service(it.equipment, on).is_some() {
        return None;
    }
    let forecast = it.forecast(on)?;
    if !forecast.warns || forecast.outlook == Outlook::Beyond {
        return None;
    }
    let rule = rule_set.text_of(CheckKey::WearHeading);
    let subject = subject(house, it);
    let earliest = forecast
        .earliest
        .map_or("a day not known".to_owned(), |it| it.day.to_string());
    let due = it
        .next_inspection
        .map_or("no next inspection known".to_owned(), |day| {
            format!("next inspection due {day}")
        });
    let words = forecast.outlook.words();
    let limit = it.measurement.limit.display(it.measurement.unit);
    let points = forecast.points;
    let what = match forecast.outlook {
        Outlook::Refuted => {
            format!("{subject} {words} (an estimate from {points} measures); limit {limit}, {due}")
        }
        _ => format!(
            "{subject} {words}: a measurement may be at {limit} from {earliest} (95 %, an estimate \
             from {points} measures), {due}"
        ),
    };
    let entries = it.now()?.points.iter().map(|it| it.entry).collect();
    let severity = match forecast.outlook {
        Outlook::MayBeBeyond => Severity::Act,
        _ => Severity::Watch,
    };
    Some(Finding::new(severity, &rule, subject, what, entries))
}

/// The same figure many times running, judged by how the others repeat.
fn repeated(
    house: &House,
    rule_set: &RuleSet,
    it: &Measurements,
    all: &[Measurements],
    span: Span,
) -> Vec<Finding> {
    let rule = rule_set.text_of(CheckKey::SameFigure);
    let Some(now) = it.now() else {
        return Vec::new();
    };
    let lines: Vec<Measured> = now
        .points
        .iter()
        .map(|point| Measured {
            entry: point.entry,
            day: point.day,
            count: point.count,
        })
        .collect();
    let others: Vec<Vec<i64>> = all
        .iter()
        .filter(|other| other.item.key == it.item.key)
        .flat_map(|other| {
            let same_equipment = other.equipment == it.equipment;
            let skip = usize::from(same_equipment);
            let parts = other.series.len().saturating_sub(skip);
            other.series.iter().take(parts)
        })
        .map(|part| part.points.iter().map(|point| point.count).collect())
        .collect();
    same_figure(&lines, &others, &it.measurement)
        .into_iter()
        .filter(|run| run.first <= span.last && run.last >= span.first)
        .map(|run| {
            let subject = subject(house, it);
            let figure = Amount::from_count(it.measurement.unit.kind(), run.count);
            let what = format!(
                "{subject} is written as {} {} times running, to its gauge, {} to {}: a chance of \
                 {} at most for a part that does not wear, if honest figures scatter as they do \
                 elsewhere ({} triples of them), an estimate",
                figure.display(it.measurement.unit),
                run.entries.len(),
                run.first,
                run.last,
                chance(run.chance),
                run.triples
            );
            Finding::new(Severity::Watch, &rule, subject, what, run.entries)
        })
        .collect()
}

/// A chance in words, rounded up: `1 in 200`, and no rarer than a model of scatter can say.
fn chance(chance: f64) -> String {
    const RAREST: f64 = 1_000.0;
    match (1.0 / chance).floor() {
        it if it < RAREST => format!("1 in {it:.0}"),
        _ => format!("1 in {RAREST:.0}"),
    }
}

/// An item that asks for a measure and never got one on the part that is there.
fn unmeasured(
    house: &OpenHouse<'_>,
    rule_set: &RuleSet,
    it: &Measurements,
    (span, on): (Span, Day),
) -> Result<Option<Finding>, AnswerError> {
    let out = house.service.out_of_service(it.equipment, on).is_some();
    if out || it.now().is_some_and(|part| !part.points.is_empty()) {
        return Ok(None);
    }
    let since = it.now().and_then(|part| part.installed).map(|it| it.day);
    let inspections: Vec<(i64, Day)> = house
        .snapshot
        .inspections_of(it.equipment, since.unwrap_or(Day::MIN), on)?
        .into_iter()
        .filter(|row| it.item.is_for(row.occasion.stored()))
        .map(|row| (row.entry, row.on))
        .collect();
    let last = inspections.last().map(|(_, day)| *day);
    let coverage = Coverage {
        inspections,
        measured: 0,
    };
    let Some(never) =
        never_measured(&coverage).filter(|_| last.is_some_and(|last| span.contains(last)))
    else {
        return Ok(None);
    };
    let rule = rule_set.text_of(CheckKey::NeverMeasured);
    let subject = subject(house, it);
    let what = format!(
        "{subject} was never measured at {} since {}",
        crate::text::counted(never.entries.len(), "inspection", "inspections"),
        never.since
    );
    let entries = never.entries.last().copied().into_iter().collect();
    Ok(Some(Finding::new(
        Severity::Watch,
        &rule,
        subject,
        what,
        entries,
    )))
}
