//! What a trace tells besides its verdicts: how a measured item wore, as known then, and other
//! equipment in the same condition, as known now, what notes say of barriers and against records.

use super::happened::Happened;
use super::trace_facts::TracedItem;
use super::trace_row::{TraceRow, WearThen};
use super::trace_states::{Both, last_day};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::House;
use crate::answer::equipment::measurements::measurements_of;
use crate::answer::equipment::wear_peers::{foreseeable, pool};
use crate::calendar::Day;
use crate::record::{Coverage, LineResult, RecordId};
use crate::trace::barrier::BarrierNote;
use crate::trace::extent::{Elsewhere, ItemElsewhere};
use crate::trace::known::Facts;
use crate::trace::verdict::Testimony;
use crate::wear::series::{Others, Series};

/// How an item wore, by what was written before the event.
pub(crate) fn wear_then(
    both: &Both<'_>,
    equipment: &TracedItem,
    facts: &Facts<'_>,
) -> Result<Option<WearThen>, AnswerError> {
    let day = both.moment.day;
    let mut all = equipment.measurements.iter();
    let found = all.find(|it| it.item.key == facts.item.key && it.wears());
    let Some((it, forecast, part)) = found.and_then(|it| Some((it, it.forecast(day)?, it.now()?)))
    else {
        return Ok(None);
    };
    let since = foreseeable(both.house_then(), it, day)?;
    Ok(Some(WearThen {
        points: forecast.points,
        limit: it.measurement.limit_words(),
        outlook: forecast.outlook.words().to_owned(),
        outlook_at_latest: Some(both.when.last.day)
            .filter(|last| *last > day)
            .and_then(|last| it.forecast(last))
            .map(|it| it.outlook.words().to_owned()),
        earliest: forecast.earliest.map(|it| it.day),
        likely: forecast.likely.map(|it| it.day),
        foreseeable: since.day(),
        foreseeable_words: since.words(),
        cycles_at_least: it.cycles_now(),
        line: line(part, (&it.measurement, it.others), day),
    }))
}

/// The line against days, from the first measure to the event, as two points.
fn line(
    part: &Series,
    (measurement, others): (&crate::rule::ItemMeasurement, Others),
    event: Day,
) -> Vec<(Day, i64)> {
    let (Ok(line), Some(first)) = (part.line_by_days(measurement, others), part.points.first())
    else {
        return Vec::new();
    };
    let at = |day: Day| {
        let days = (day - first.day).num_days() as f64;
        (day, line.value_at(days).round() as i64)
    };
    vec![at(first.day), at(event)]
}

/// Other items of the kind of the one that failed, with the items that may show the failure.
pub(crate) fn others(
    both: &Both<'_>,
    equipment: RecordId,
    component: &str,
    rows: &[(RecordId, TraceRow)],
) -> Result<Vec<Elsewhere>, AnswerError> {
    let (house, snapshot) = (both.now, both.now.snapshot);
    let kind = house.names.type_word(equipment);
    let shows = |coverage| matches!(coverage, Coverage::CanDetect | Coverage::AroseAfter);
    let keys: Vec<(&str, bool)> = rows
        .iter()
        .filter(|(of, row)| *of == equipment && shows(row.verdict.covered.coverage))
        .map(|(_, row)| (row.item.as_str(), row.measurement.is_some()))
        .collect();
    let mut all = Vec::new();
    let (mut all_equipment, mut wear) = (Vec::new(), Vec::new());
    for other in house.names.items() {
        if other == equipment || house.names.type_word(other) != kind {
            continue;
        }
        let day = both.moment.day.max(newest(both, other)?);
        let uses = snapshot.uses_of(other, Day::MIN, day)?;
        wear.extend(measurements_of(house, other, &uses, day)?);
        all_equipment.push((other, day));
    }
    pool(&mut wear, Day::MAX);
    for (other, day) in all_equipment {
        let part = house
            .maintenance
            .parts_of(other)
            .iter()
            .rfind(|it| it.body.component == component);
        let installed = part.map_or(Day::MIN, |it| it.body.installed_on);
        let mut items = Vec::new();
        for (key, measured) in &keys {
            let lines = snapshot.lines_of_key(other, key, installed)?;
            let done = |it: &&crate::ledger::LineRow| it.result != LineResult::NotDone;
            let last = lines.iter().rfind(done);
            let heading = wear
                .iter()
                .find(|it| it.equipment == other && it.item.key == *key && it.wears())
                .and_then(|it| it.forecast(day))
                .filter(|it| it.warns)
                .map(|it| it.outlook.words().to_owned());
            let defect = house
                .maintenance
                .open_defects(other, Day::MAX)
                .find(|it| it.line.line == *key);
            items.push(ItemElsewhere {
                item: (*key).to_owned(),
                measured: *measured,
                figures: lines.iter().filter(|it| it.value.is_some()).count(),
                last: last.map(|it| (it.of.on, it.of.entry)),
                defect: defect.map(|it| it.line.of.entry),
                heading,
            });
        }
        all.push(Elsewhere {
            equipment: house.names.label(other),
            out_of_service: house.service.out_of_service(other, day).is_some(),
            lot: part.and_then(|it| it.body.lot.clone()),
            items,
        });
    }
    Ok(all)
}

/// The day of the last inspection of an item: what is known of its condition is of then.
fn newest(both: &Both<'_>, equipment: RecordId) -> Result<Day, AnswerError> {
    let rows = both
        .now
        .snapshot
        .inspections_of(equipment, Day::MIN, last_day())?;
    Ok(rows.last().map_or(both.moment.day, |it| it.on))
}

pub(crate) fn barrier_notes(event: &Happened) -> Vec<BarrierNote> {
    let note = |it: &crate::ledger::Stored<crate::record::EventNote>| {
        Some(BarrierNote {
            barrier: it.body.barrier?,
            state: it.body.state?,
            words: it.body.words.clone(),
            entry: it.entry,
        })
    };
    event.notes.iter().filter_map(note).collect()
}

pub(crate) fn testimonies(house: &House, event: &Happened) -> Vec<Testimony> {
    let said = |it: &crate::ledger::Stored<crate::record::EventNote>| {
        let who = it.body.person.as_ref().map(|it| house.names.words(it));
        let who = who.map(|it| format!(" ({it})")).unwrap_or_default();
        // What tells of a barrier stands with the barriers.
        let speaks = it.body.disputes.is_some() || it.body.item.is_some();
        speaks.then(|| Testimony {
            disputes: it.body.disputes.map(|it| it.number()),
            at: it.body.at.clone(),
            item: it.body.item.clone(),
            words: format!("{}{who}", it.body.words),
            entry: it.entry,
        })
    };
    event.notes.iter().filter_map(said).collect()
}
