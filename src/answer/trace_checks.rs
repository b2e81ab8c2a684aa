//! Inventories, leak tests, checks of instruments and what the sheet tells, where they could have
//! shown what happened.

use super::error::AnswerError;
use super::item_facts::leak_limit;
use super::load::House;
use super::trace_facts::Both;
use super::trace_rows::Steps;
use crate::calendar::Day;
use crate::record::{CheckSort, EquipmentSort, InstrumentSort, LeakPart, RecordId, Sheet};
use crate::rule::Scheme;
use crate::trace::check::{Beside, CheckLine, Done, Known, judge, of_sheet};
use crate::trace::coverage::Failed;

/// What stands beside the checklist and could have shown what failed, for each piece of it.
pub(super) fn beside(
    both: &Both<'_, '_>,
    found: &Steps<'_>,
) -> Result<Vec<CheckLine>, AnswerError> {
    let mut all: Vec<CheckLine> = Vec::new();
    for step in &found.steps {
        let failures: Vec<&str> = match &step.failed {
            Failed::Human => Vec::new(),
            Failed::Found { failure, .. } => vec![failure],
            Failed::NotFound { failures } => failures.iter().map(String::as_str).collect(),
        };
        let in_event = both.event.body.equipment.iter().map(|it| it.number());
        let mut pieces: Vec<RecordId> = step.piece.into_iter().collect();
        pieces.extend(in_event.filter(|it| step.piece != Some(*it)));
        for check in Beside::ALL {
            if failures.iter().any(|it| check.shows(it)) {
                for piece in &pieces {
                    let line = line(both, *check, *piece)?;
                    all.extend(line.filter(|it| !all.contains(it)));
                }
            }
        }
    }
    Ok(all)
}

/// One of them for one piece; nothing where it is not for such a piece.
fn line(
    both: &Both<'_, '_>,
    check: Beside,
    piece: RecordId,
) -> Result<Option<CheckLine>, AnswerError> {
    let names = &both.now.names;
    let sort = names.equipment_body(piece).map(|it| it.sort);
    let instrument = names.instrument_body(piece).map(|it| it.sort);
    let holds_source = matches!(sort, Some(EquipmentSort::Device | EquipmentSort::Source));
    let day = both.moment.day;
    let scheme = both.now.scheme_on(day)?;
    let told = |interval: &str, last: &dyn Fn(&House) -> Option<Done>| {
        let then = both.then.as_ref().and_then(|it| last(&it.house));
        Some(judge(&Known {
            check,
            piece: names.label(piece),
            in_force: in_force(scheme, interval, then.as_ref(), day),
            then,
            now: last(both.now),
        }))
    };
    Ok(match check {
        Beside::Inventory if holds_source => {
            told("inventory", &|house| inventory(house, piece, day))
        }
        Beside::LeakTest if sort == Some(EquipmentSort::Source) => {
            told("leak-test", &|house| leak_test(house, piece, day))
        }
        Beside::Check => {
            let (interval, sort) = match instrument {
                Some(InstrumentSort::Meter) => ("meter-calibration", CheckSort::Calibration),
                Some(InstrumentSort::Ratemeter) => {
                    ("ratemeter-calibration", CheckSort::Calibration)
                }
                Some(_) => ("dosimeter-response-check", CheckSort::Response),
                None => return Ok(None),
            };
            told(interval, &|house| {
                let last = house.service.last_check(piece, sort, day)?;
                Some(Done {
                    on: last.on,
                    said: if last.passed { "passed" } else { "FAILED" }.to_owned(),
                    is_good: last.passed,
                    entry: last.entry,
                })
            })
        }
        Beside::Alarm if instrument == Some(InstrumentSort::Ratemeter) => Some(alarm(both, piece)?),
        Beside::Survey if sort == Some(EquipmentSort::Device) => Some(survey(both, piece)?),
        _ => None,
    })
}

fn in_force(scheme: &Scheme, interval: &str, last: Option<&Done>, on: Day) -> bool {
    let Some(rule) = scheme.interval(interval) else {
        return last.is_some();
    };
    let last = last.map(|it| it.on);
    rule.interval.status(last, on, scheme.year_start).in_force()
}

fn inventory(house: &House, piece: RecordId, day: Day) -> Option<Done> {
    let mut all = house.upkeep.inventories().iter();
    let last = all.rfind(|it| it.body.on <= day)?;
    let seen = last.body.found.iter().any(|it| it.number() == piece);
    let (by, what) = (&last.body.by, if seen { "seen" } else { "NOT SEEN" });
    Some(Done {
        on: last.body.on,
        said: format!("{what}, by {by}"),
        is_good: seen,
        entry: last.entry,
    })
}

fn leak_test(house: &House, piece: RecordId, day: Day) -> Option<Done> {
    let limit = leak_limit(house, day).ok()?;
    let (last, body) = house
        .upkeep
        .last_leak_test(piece, LeakPart::Source, day, limit)?;
    let what = if last.passed {
        "below the limit"
    } else {
        "NOT below the limit"
    };
    Some(Done {
        on: last.on,
        said: format!("{what}, {}", body.by),
        is_good: last.passed,
        entry: last.entry,
    })
}

/// The sheet of the shift: of the day, else of the day before.
fn sheet(
    both: &Both<'_, '_>,
    shifts: &[(i64, Day)],
) -> Result<Option<(Day, i64, Sheet)>, AnswerError> {
    let Some((entry, day)) = shifts.last() else {
        return Ok(None);
    };
    let sheet = both.snapshot.sheet_at(*entry)?;
    Ok(sheet.map(|it| (*day, *entry, it)))
}

fn since(both: &Both<'_, '_>) -> Day {
    let day = both.moment.day;
    day.pred_opt().unwrap_or(day)
}

fn alarm(both: &Both<'_, '_>, piece: RecordId) -> Result<CheckLine, AnswerError> {
    let day = both.moment.day;
    let shifts = both
        .snapshot
        .shifts_with_ratemeter(piece, since(both), day)?;
    let sheet = sheet(both, &shifts)?;
    let worn = sheet.as_ref().and_then(|(_, _, it)| {
        let wore = |it: &&crate::record::Person| {
            it.ratemeter.as_ref().and_then(|it| it.number()) == Some(piece)
        };
        it.people.iter().find(wore)
    });
    let said = worn.map(|it| format!("heard by {}", both.now.names.words(&it.worker)));
    Ok(of_sheet(
        (Beside::Alarm, both.now.names.label(piece)),
        sheet.as_ref().map(|(on, entry, _)| (*on, *entry)),
        worn.and_then(|it| it.alarm_tested),
        &said.unwrap_or_default(),
    ))
}

fn survey(both: &Both<'_, '_>, piece: RecordId) -> Result<CheckLine, AnswerError> {
    let uses = both.snapshot.uses_of(piece, since(both), both.moment.day)?;
    let shifts: Vec<(i64, Day)> = uses.iter().map(|it| (it.entry, it.day)).collect();
    let sheet = sheet(both, &shifts)?;
    let read = sheet
        .as_ref()
        .and_then(|(_, _, it)| it.storage_survey.clone());
    let said = read.as_ref().map(|it| format!("before storage {it}"));
    Ok(of_sheet(
        (Beside::Survey, both.now.names.label(piece)),
        sheet.as_ref().map(|(on, entry, _)| (*on, *entry)),
        read.map(|_| true),
        &said.unwrap_or_default(),
    ))
}
