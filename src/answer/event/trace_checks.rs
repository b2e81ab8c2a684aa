//! Inventories, leak tests, checks of instruments and what the sheet tells, where they could have
//! shown what happened.

use super::notification_happened::sources_of;
use super::trace_rows::Steps;
use super::trace_states::Both;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::House;
use crate::answer::context::shift_hours::had_begun;
use crate::answer::equipment::item_facts::leak_limit;
use crate::calendar::Day;
use crate::record::{
    CheckType, Coverage, EquipmentType, InstrumentType, LeakPart, RecordId, Sheet,
};
use crate::trace::check::{Asked, Beside, CheckLine, Done, Known, judge, of_sheet};

/// What stands beside the checklist and could have shown what failed or what happened, for each
/// item of it.
pub(crate) fn beside(both: &Both<'_>, found: &Steps<'_>) -> Result<Vec<CheckLine>, AnswerError> {
    let mut all: Vec<CheckLine> = Vec::new();
    let mut kinds: Vec<&str> = vec![&both.event.body.kind];
    let besides = both.event.happenings.iter();
    kinds.extend(besides.map(|it| it.body.happening.as_str()));
    let (sources, worn) = (sources_of(both.now, both.event), instruments(both)?);
    for step in &found.steps {
        let mut all_equipment: Vec<RecordId> = step.equipment.into_iter().collect();
        all_equipment.extend(both.event.body.equipment.iter().map(|it| it.number()));
        all_equipment.extend(sources.iter().chain(&worn));
        for check in Beside::ALL {
            let Some(coverage) = check.could(&step.failed, &kinds) else {
                continue;
            };
            for equipment in &all_equipment {
                let asked = Asked {
                    check: *check,
                    equipment: both.now.names.label(*equipment),
                    coverage,
                    rule: None,
                };
                let same = |it: &CheckLine| it.check == *check && it.equipment == asked.equipment;
                let known = all.iter().position(same);
                match known.and_then(|at| all.get_mut(at)) {
                    // A later cause may establish what an earlier one does not.
                    Some(known) if coverage == Coverage::CanDetect => known.coverage = coverage,
                    Some(_) => {}
                    None => all.extend(line(both, asked, *equipment)?),
                }
            }
        }
    }
    Ok(all)
}

/// The instruments that people in it had with them, by the sheets of the shift.
fn instruments(both: &Both<'_>) -> Result<Vec<RecordId>, AnswerError> {
    let mut all: Vec<RecordId> = Vec::new();
    // Which shift it was is known only where the day is.
    let Some(day) = both.when.one_day() else {
        return Ok(all);
    };
    for person in &both.event.body.people {
        let Some(worker) = person.person.number() else {
            continue;
        };
        let shifts = both.now.snapshot.shifts_of(worker, since(both), day)?;
        let Some(sheet) = shifts
            .last()
            .map(|it| both.now.snapshot.sheet_at(it.entry))
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

/// One of them for one item; nothing where it is not for such an item.
fn line(
    both: &Both<'_>,
    asked: Asked,
    equipment: RecordId,
) -> Result<Option<CheckLine>, AnswerError> {
    let names = &both.now.names;
    let kind = names.equipment_body(equipment).map(|it| it.kind);
    let instrument = names.instrument_body(equipment).map(|it| it.kind);
    let holds_source = matches!(kind, Some(EquipmentType::Device | EquipmentType::Source));
    Ok(match asked.check {
        Beside::Inventory if holds_source => {
            let last = |house: &House, day| inventory(house, equipment, day);
            Some(judge(&known(both, asked, "inventory", last)?))
        }
        Beside::LeakTest if kind == Some(EquipmentType::Source) => {
            let last = |house: &House, day| leak_test(house, equipment, day);
            Some(judge(&known(both, asked, "leak-test", last)?))
        }
        Beside::Check => {
            let (interval, kind) = match instrument {
                Some(InstrumentType::Meter) => ("meter-calibration", CheckType::Calibration),
                Some(InstrumentType::Ratemeter) => {
                    ("ratemeter-calibration", CheckType::Calibration)
                }
                Some(_) => ("dosimeter-response-check", CheckType::Response),
                None => return Ok(None),
            };
            let last = |house: &House, day| instrument_check(house, (equipment, kind), day);
            Some(judge(&known(both, asked, interval, last)?))
        }
        Beside::Alarm if instrument == Some(InstrumentType::Ratemeter) => {
            Some(alarm(both, asked, equipment)?)
        }
        Beside::Survey if kind == Some(EquipmentType::Device) => {
            Some(survey(both, asked, equipment)?)
        }
        _ => None,
    })
}

/// The last that surely was before the event, the last that may have been, and the last that is
/// written now.
fn known(
    both: &Both<'_>,
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

fn instrument_check(
    house: &House,
    (equipment, kind): (RecordId, CheckType),
    day: Day,
) -> Option<Done> {
    let mut all = house.service.checks_of(equipment).iter();
    let is = |it: &&crate::answer::equipment::calibration::Judged| {
        it.check.body.kind == kind && it.check.body.on <= day
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

fn inventory(house: &House, equipment: RecordId, day: Day) -> Option<Done> {
    let mut all = house.maintenance.inventories().iter();
    let last = all.rfind(|it| it.body.on <= day)?;
    let seen = last.body.found.iter().any(|it| it.number() == equipment);
    let (by, what) = (&last.body.by, if seen { "seen" } else { "NOT SEEN" });
    Some(Done {
        on: last.body.on,
        said: format!("{what}, by {by}"),
        is_good: seen,
        entry: last.entry,
    })
}

fn leak_test(house: &House, equipment: RecordId, day: Day) -> Option<Done> {
    let limit = leak_limit(house, day).ok()?;
    let (last, body) = house
        .maintenance
        .last_leak_test(equipment, LeakPart::Source, day, limit)?;
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
fn sheet(both: &Both<'_>, shifts: &[(i64, Day)]) -> Result<Option<(Day, i64, Sheet)>, AnswerError> {
    let hour = both.moment.at.filter(|_| both.when.is_exact());
    for (entry, day) in shifts.iter().rev() {
        let at = hour.filter(|_| *day == both.moment.day);
        let sheet = both.now.snapshot.sheet_at(*entry)?;
        // A shift that began after the hour of the event is not that of it.
        if let Some(it) = sheet.filter(|it| at.is_none_or(|at| had_begun(it, at))) {
            return Ok(Some((*day, *entry, it)));
        }
    }
    Ok(None)
}

fn since(both: &Both<'_>) -> Day {
    let day = both.moment.day;
    day.pred_opt().unwrap_or(day)
}

/// The same, asked for by a rule of the rule set.
fn asked_by(asked: Asked, rule: Option<String>) -> Asked {
    Asked { rule, ..asked }
}

fn alarm(both: &Both<'_>, asked: Asked, equipment: RecordId) -> Result<CheckLine, AnswerError> {
    let day = both.when.last.day;
    let rule_set = both.now.judging(both.moment.day)?;
    let rule = rule_set.interval("ratemeter-alarm-check");
    let shifts = both
        .now
        .snapshot
        .shifts_with_ratemeter(equipment, since(both), day)?;
    let sheet = sheet(both, &shifts)?;
    let worn = sheet.as_ref().and_then(|(_, _, it)| {
        let wore = |it: &&crate::record::Person| {
            it.ratemeter.as_ref().and_then(|it| it.number()) == Some(equipment)
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

fn survey(both: &Both<'_>, asked: Asked, equipment: RecordId) -> Result<CheckLine, AnswerError> {
    let rule_set = both.now.judging(both.moment.day)?;
    let rule = rule_set.rule("no-survey-at-storage");
    let uses = both
        .now
        .snapshot
        .uses_of(equipment, since(both), both.when.last.day)?;
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
