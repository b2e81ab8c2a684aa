//! Inventories, leak tests, checks of instruments and what the sheet tells, where they could have
//! shown what happened.

use super::notification_happened::sources_of;
use super::trace_facts::Both;
use super::trace_rows::Steps;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::House;
use crate::answer::context::shift_hours::had_begun;
use crate::answer::equipment::item_facts::leak_limit;
use crate::calendar::Day;
use crate::record::{
    CheckSort, Coverage, EquipmentSort, InstrumentSort, LeakPart, RecordId, Sheet,
};
use crate::trace::check::{Asked, Beside, CheckLine, Done, Known, judge, of_sheet};

/// What stands beside the checklist and could have shown what failed or what happened, for each
/// piece of it.
pub(crate) fn beside(
    both: &Both<'_, '_>,
    found: &Steps<'_>,
) -> Result<Vec<CheckLine>, AnswerError> {
    let mut all: Vec<CheckLine> = Vec::new();
    let mut kinds: Vec<&str> = vec![&both.event.body.kind];
    let besides = both.event.happenings.iter();
    kinds.extend(besides.map(|it| it.body.happening.as_str()));
    let (sources, worn) = (sources_of(both.now, both.event), instruments(both)?);
    for step in &found.steps {
        let mut pieces: Vec<RecordId> = step.piece.into_iter().collect();
        pieces.extend(both.event.body.equipment.iter().map(|it| it.number()));
        pieces.extend(sources.iter().chain(&worn));
        for check in Beside::ALL {
            let Some(coverage) = check.could(&step.failed, &kinds) else {
                continue;
            };
            for piece in &pieces {
                let asked = Asked {
                    check: *check,
                    piece: both.now.names.label(*piece),
                    coverage,
                    rule: None,
                };
                let same = |it: &CheckLine| it.check == *check && it.piece == asked.piece;
                let known = all.iter().position(same);
                match known.and_then(|at| all.get_mut(at)) {
                    // A later cause may establish what an earlier one does not.
                    Some(known) if coverage == Coverage::CanDetect => known.coverage = coverage,
                    Some(_) => {}
                    None => all.extend(line(both, asked, *piece)?),
                }
            }
        }
    }
    Ok(all)
}

/// The instruments that people in it had with them, by the sheets of the shift.
fn instruments(both: &Both<'_, '_>) -> Result<Vec<RecordId>, AnswerError> {
    let mut all: Vec<RecordId> = Vec::new();
    // Which shift it was is known only where the day is.
    let Some(day) = both.when.one_day() else {
        return Ok(all);
    };
    for person in &both.event.body.people {
        let Some(worker) = person.person.number() else {
            continue;
        };
        let shifts = both.snapshot.shifts_of(worker, since(both), day)?;
        let Some(sheet) = shifts
            .last()
            .map(|it| both.snapshot.sheet_at(it.entry))
            .transpose()?
            .flatten()
        else {
            continue;
        };
        let own = sheet
            .people
            .iter()
            .find(|it| it.worker.number() == Some(worker));
        let ratemeter = own.and_then(|it| it.ratemeter.as_ref()?.number());
        let meter = sheet.meter.as_ref().and_then(|it| it.number());
        let found = ratemeter.into_iter().chain(meter);
        all.extend(found.filter(|it| !all.contains(it)).collect::<Vec<_>>());
    }
    Ok(all)
}

/// One of them for one piece; nothing where it is not for such a piece.
fn line(
    both: &Both<'_, '_>,
    asked: Asked,
    piece: RecordId,
) -> Result<Option<CheckLine>, AnswerError> {
    let names = &both.now.names;
    let sort = names.equipment_body(piece).map(|it| it.sort);
    let instrument = names.instrument_body(piece).map(|it| it.sort);
    let holds_source = matches!(sort, Some(EquipmentSort::Device | EquipmentSort::Source));
    Ok(match asked.check {
        Beside::Inventory if holds_source => {
            let last = |house: &House, day| inventory(house, piece, day);
            Some(judge(&known(both, asked, "inventory", last)?))
        }
        Beside::LeakTest if sort == Some(EquipmentSort::Source) => {
            let last = |house: &House, day| leak_test(house, piece, day);
            Some(judge(&known(both, asked, "leak-test", last)?))
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
            let last = |house: &House, day| instrument_check(house, (piece, sort), day);
            Some(judge(&known(both, asked, interval, last)?))
        }
        Beside::Alarm if instrument == Some(InstrumentSort::Ratemeter) => {
            Some(alarm(both, asked, piece)?)
        }
        Beside::Survey if sort == Some(EquipmentSort::Device) => Some(survey(both, asked, piece)?),
        _ => None,
    })
}

/// The last that surely was before the event, the last that may have been, and the last that is
/// written now.
fn known(
    both: &Both<'_, '_>,
    asked: Asked,
    interval: &str,
    last: impl Fn(&House, Day) -> Option<Done>,
) -> Result<Known, AnswerError> {
    let rule_set = both.now.judging(both.moment.day)?;
    let rule = rule_set.interval(interval);
    let latest = both.when.last.day;
    let before = both.when.first.and_then(|it| it.day.pred_opt());
    let then = both.then.as_ref().map(|it| &it.house);
    let perhaps = both.perhaps_house().or(then);
    Ok(Known {
        asked: Asked {
            rule: rule.map(crate::rule::IntervalRule::cited),
            ..asked
        },
        interval: rule.map(|it| (it.interval, rule_set.year_start)),
        event: both.when,
        then: then.and_then(|house| last(house, before?)),
        perhaps: perhaps.and_then(|house| last(house, latest)),
        now: last(both.now, latest),
    })
}

fn instrument_check(house: &House, (piece, sort): (RecordId, CheckSort), day: Day) -> Option<Done> {
    let mut all = house.service.checks_of(piece).iter();
    let is = |it: &&crate::answer::equipment::calibration::Judged| {
        it.check.body.sort == sort && it.check.body.on <= day
    };
    let last = all.rfind(is)?;
    let what = if last.passed() { "passed" } else { "FAILED" };
    Some(Done {
        on: last.check.body.on,
        said: format!("{what}, {}", last.check.body.by),
        is_good: last.passed(),
        entry: last.check.entry,
    })
}

fn inventory(house: &House, piece: RecordId, day: Day) -> Option<Done> {
    let mut all = house.maintenance.inventories().iter();
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
        .maintenance
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
    let hour = both.moment.at.filter(|_| both.when.is_exact());
    for (entry, day) in shifts.iter().rev() {
        let at = hour.filter(|_| *day == both.moment.day);
        let sheet = both.snapshot.sheet_at(*entry)?;
        // A shift that began after the hour of the event is not that of it.
        if let Some(it) = sheet.filter(|it| at.is_none_or(|at| had_begun(it, at))) {
            return Ok(Some((*day, *entry, it)));
        }
    }
    Ok(None)
}

fn since(both: &Both<'_, '_>) -> Day {
    let day = both.moment.day;
    day.pred_opt().unwrap_or(day)
}

/// The same, asked for by a rule of the rule set.
fn asked_by(asked: Asked, rule: Option<String>) -> Asked {
    Asked { rule, ..asked }
}

fn alarm(both: &Both<'_, '_>, asked: Asked, piece: RecordId) -> Result<CheckLine, AnswerError> {
    let day = both.when.last.day;
    let rule_set = both.now.judging(both.moment.day)?;
    let rule = rule_set.interval("ratemeter-alarm-check");
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
        &asked_by(asked, rule.map(crate::rule::IntervalRule::cited)),
        both.when,
        sheet.as_ref().map(|(on, entry, _)| (*on, *entry)),
        worn.and_then(|it| it.alarm_tested),
        &said.unwrap_or_default(),
    ))
}

fn survey(both: &Both<'_, '_>, asked: Asked, piece: RecordId) -> Result<CheckLine, AnswerError> {
    let rule_set = both.now.judging(both.moment.day)?;
    let rule = rule_set.rule("no-survey-at-storage");
    let uses = both
        .snapshot
        .uses_of(piece, since(both), both.when.last.day)?;
    let shifts: Vec<(i64, Day)> = uses.iter().map(|it| (it.entry, it.day)).collect();
    let sheet = sheet(both, &shifts)?;
    let read = sheet
        .as_ref()
        .and_then(|(_, _, it)| it.storage_survey.clone());
    let said = read.as_ref().map(|it| format!("before storage {it}"));
    Ok(of_sheet(
        &asked_by(asked, rule.map(crate::rule::RuleText::cited)),
        both.when,
        sheet.as_ref().map(|(on, entry, _)| (*on, *entry)),
        read.map(|_| true),
        &said.unwrap_or_default(),
    ))
}
