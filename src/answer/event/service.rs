//! What stands in an event is out of service from its discovery until an inspection after it finds
//! it good.

use std::collections::HashMap;

use super::happened::{discovered_at, kind_of, occurred_at};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::context::service::{EventOut, OutBy};
use crate::answer::equipment::checked::{left_out, standing};
use crate::calendar::{Day, TimeOfDay, parse_time};
use crate::dose::checks::input::Withdrawal;
use crate::ledger::InspectionRow;
use crate::record::{Body, CheckType, Event, LineResult, Occasion, RecordId};
use crate::rule::Standing;

/// Every item that an event or an inspection took out of service, by item.
pub(crate) fn event_outs(
    house: &OpenHouse<'_>,
) -> Result<HashMap<RecordId, Vec<EventOut>>, AnswerError> {
    let mut all: HashMap<RecordId, Vec<EventOut>> = HashMap::new();
    for it in house.snapshot.all::<Event>()? {
        // Nobody takes out of service what nobody knows of: use before that is no fault.
        let discovered = discovered_at(house, &it)?;
        let (_, last) = occurred_at(house, &it)?;
        let zone = house.names.zone_of(it.body.job.map(|it| it.number()));
        let day = zone.local_day(discovered);
        // An inspection that may have been before it puts nothing right.
        let last = zone.local(last.max(discovered)).naive_local();
        let kind = house
            .judging(day)
            .ok()
            .and_then(|rule_set| kind_of(rule_set, &it.body.kind));
        if kind.as_ref().is_some_and(|kind| !kind.withdraws) {
            continue;
        }
        let what = kind.map_or_else(|| it.body.kind.clone(), |kind| kind.name);
        for item in &it.body.equipment {
            let back = back(house, item.number(), last.date(), last.time())?;
            all.entry(item.number()).or_default().push(EventOut {
                out: Withdrawal {
                    entry: it.entry,
                    on: day,
                    reason: format!("in event {}, {what}, and not inspected since", it.body.name),
                },
                by: OutBy::Event(it.body.name.clone()),
                back,
            });
        }
    }
    for defect in house.maintenance.taken_out_by_inspection() {
        let line = &defect.line;
        let note = line.note.as_deref().unwrap_or("no words");
        all.entry(line.of.item).or_default().push(EventOut {
            out: Withdrawal {
                entry: line.of.entry,
                on: line.of.on,
                reason: format!("defect at {} on {}: {note}", line.line, line.of.on),
            },
            by: OutBy::Inspection,
            back: defect.cleared_on.zip(defect.cleared_by),
        });
    }
    Ok(all)
}

/// The first inspection after an event that finds everything good; of an instrument for which
/// the checklist asks none, the first check that it passed.
fn back(
    house: &OpenHouse<'_>,
    item: RecordId,
    day: Day,
    time: TimeOfDay,
) -> Result<Option<(Day, i64)>, AnswerError> {
    let last = Day::from_ymd_opt(9999, 12, 31).unwrap_or(Day::MAX);
    let mut rows = house
        .snapshot
        .inspections_for(item, Occasion::AfterEvent, last)?;
    rows.sort_by(|a, b| (a.on, &a.at, a.entry).cmp(&(b.on, &b.at, b.entry)));
    for row in rows.iter().filter(|row| is_after(row, day, time)) {
        if finds_good(house, row)? {
            return Ok(Some((row.on, row.entry)));
        }
    }
    let asked =
        crate::answer::equipment::item_facts::is_asked(house, item, Occasion::AfterEvent, day);
    if asked || house.names.instrument_body(item).is_none() {
        return Ok(None);
    }
    let passed = house.service.checks_of(item).iter().find(|it| {
        let full = matches!(
            it.check.body.kind,
            CheckType::Calibration | CheckType::Response
        );
        full && it.check.body.on >= day && it.passed()
    });
    Ok(passed.map(|it| (it.check.body.on, it.check.entry)))
}

/// Without an hour, an inspection `after an event` on the event's day came after it: so it says.
fn is_after(row: &InspectionRow, day: Day, time: TimeOfDay) -> bool {
    let at = row.at.as_deref().and_then(|at| parse_time(at).ok());
    row.on > day || (row.on == day && at.is_none_or(|at| at >= time))
}

/// Each item of the list that is active has a line, and each line is good or a measure within its
/// limit.
fn finds_good(house: &OpenHouse<'_>, row: &InspectionRow) -> Result<bool, AnswerError> {
    let Some(Body::Inspection(it)) = house.snapshot.body(row.entry)? else {
        return Ok(false);
    };
    let list = house.list_of(&it);
    let good = it.lines.iter().all(|line| {
        let item = list.and_then(|list| list.item(&line.item));
        let item = item.map(|item| house.item_on(it.item.number(), item, it.on));
        let beyond = standing(item.as_ref(), line.value.as_deref()) == Some(Standing::Beyond);
        match line.result {
            LineResult::Good | LineResult::Measured => !beyond,
            LineResult::NotDone => item.is_some_and(|it| it.is_inactive()),
            LineResult::Defect => false,
        }
    });
    Ok(good && left_out(house, &it).is_empty())
}
