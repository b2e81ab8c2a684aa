//! Findings as they stand on a day: what was put right or taken away since stops nobody and asks
//! for nothing that can no longer be done.

use super::sheet_figures::survey_distance;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::equipment::due::lines_of;
use crate::answer::equipment::due_line::{DueLine, DueState};
use crate::calendar::{Day, Span};
use crate::dose::checks::{CHECKS, Survey, judge_survey, with_result};
use crate::ledger::Snapshot;
use crate::quantity::DoseRate;
use crate::record::{Body, RecordId, Ref};
use crate::rule::{CheckKey, Finding, INTERVAL_KEYS, Severity};

/// The interval that a check of a sheet finds to have run out, if that is what it finds: it has
/// the name of the interval, but for one. What was to be done on the day of use is past with it.
fn interval_of(check: &str) -> Option<&'static str> {
    let known = CHECKS.iter().find(|it| it.key.key() == check)?;
    match known.key {
        CheckKey::ResponseCheck => Some("dosimeter-response-check"),
        CheckKey::DailyCheck => None,
        other => INTERVAL_KEYS.iter().copied().find(|it| *it == other.key()),
    }
}

/// Checks whose remedy is something to be done to the item before its next use.
const ASKS_OF_EQUIPMENT: &[CheckKey] = &[CheckKey::ServicedNotCalibrated, CheckKey::UsedWithDefect];

/// A device that nobody surveyed is to be surveyed until somebody has.
const NO_SURVEY: CheckKey = CheckKey::NoSurveyAtStorage;

/// What somebody was to do on a shift itself, and what is left of it once that day is past: the
/// shift is over, and nobody can be stopped in it.
const OF_THE_SHIFT: &[(CheckKey, &str)] = &[
    (
        CheckKey::TwoPerson,
        "That shift is over: the RSO finds out who was there and how it happened, and answers \
         this finding. If a second qualified individual was there, correct the sheet.",
    ),
    (
        CheckKey::RatemeterNotWorn,
        "That shift is over: the RSO finds out how it happened, and answers this finding.",
    ),
    (
        CheckKey::RatemeterNotTested,
        "That shift is over: the RSO finds out whether the alarm was tested, and answers this \
         finding.",
    ),
    (
        NO_SURVEY,
        "The device has been surveyed since. Ask the crew whether it was surveyed that day, and \
         correct the sheet with what the meter read; otherwise the RSO answers this finding with \
         why the record is missing.",
    ),
];

/// A finding of a shift that is past tells nobody what to do in it.
fn of_past_shift(
    snapshot: &Snapshot<'_>,
    finding: &mut Finding,
    on: Day,
) -> Result<(), AnswerError> {
    let left = OF_THE_SHIFT.iter().find(|it| finding.is(it.0));
    let Some((_, left)) = left.filter(|_| finding.severity != Severity::Stop) else {
        return Ok(());
    };
    let Some(Body::Sheet(sheet)) = of_last(snapshot, finding)? else {
        return Ok(());
    };
    let device = sheet.device.as_ref().and_then(Ref::number);
    let is_past = match (finding.is(NO_SURVEY), device, sheet.day.succ_opt()) {
        (true, Some(device), Some(next)) => !snapshot.surveys_of(device, (next, on), 1)?.is_empty(),
        (true, _, _) => false,
        (false, _, _) => sheet.day < on,
    };
    if is_past {
        finding.remedy = (*left).to_owned();
    }
    Ok(())
}

/// How urgent a finding is on a day, and what ends it then.
pub(crate) fn as_it_stands(
    house: &OpenHouse<'_>,
    finding: &mut Finding,
    on: Day,
) -> Result<(), AnswerError> {
    if finding.is(CheckKey::StorageSurveyLimit) {
        return of_survey(house, finding, on);
    }
    of_past_shift(house.snapshot, finding, on)?;
    if let Some(worker) = house.names.find_worker(&finding.subject) {
        return of_person(house, worker.number(), finding, on);
    }
    match house.names.find_item(&finding.subject) {
        Some(item) => of_equipment(house, item.number(), finding, on),
        None => Ok(()),
    }
}

/// What the first entry of a finding says. A sheet of a refused file is in no entry.
fn of_first(snapshot: &Snapshot<'_>, finding: &Finding) -> Result<Option<Body>, AnswerError> {
    match finding.entries.first() {
        Some(entry) if *entry > 0 => Ok(snapshot.body(*entry)?),
        _ => Ok(None),
    }
}

/// What the last entry of a finding says: that of the sheet, behind what was wrong with an item.
fn of_last(snapshot: &Snapshot<'_>, finding: &Finding) -> Result<Option<Body>, AnswerError> {
    match finding.entries.last() {
        Some(entry) if *entry > 0 => Ok(snapshot.body(*entry)?),
        _ => Ok(None),
    }
}

/// A storage survey above the limit stops until a later one of the device says that the source is
/// home; how it came about is still to be told.
fn of_survey(house: &OpenHouse<'_>, finding: &mut Finding, on: Day) -> Result<(), AnswerError> {
    let Some(Body::Sheet(sheet)) = of_first(house.snapshot, finding)? else {
        return Ok(());
    };
    let device = sheet.device.as_ref().and_then(Ref::number);
    let rule_set = house.rule_set_on(on)?;
    let (Some(device), Some(next)) = (device, sheet.day.succ_opt()) else {
        return Ok(());
    };
    let last = house.snapshot.surveys_of(device, (next, on), 1)?;
    let read = last.first().and_then(|it| {
        let read = DoseRate::parse_meter_rate(&it.read, None).ok()?;
        let at = survey_distance(it.at.as_deref());
        (judge_survey(read, at, rule_set) == Some(Survey::Within)).then_some((it.day, read))
    });
    if let Some((day, read)) = read {
        finding.severity = finding.severity.max(Severity::Act);
        let read = rule_set.print_rate(read);
        finding.what += &format!("; the device read {read} at storage on {day}");
    }
    Ok(())
}

/// The badge of an off-scale shift is sent once.
fn of_person(
    house: &OpenHouse<'_>,
    worker: RecordId,
    finding: &mut Finding,
    on: Day,
) -> Result<(), AnswerError> {
    if finding.severity != Severity::Stop {
        return Ok(());
    }
    let Some(Body::Sheet(sheet)) = of_first(house.snapshot, finding)? else {
        return Ok(());
    };
    let day = Span {
        first: sheet.day,
        last: sheet.day,
    };
    let history = house.history(worker, day)?;
    with_result(&history, house.rule_set_on(on)?, finding, on);
    Ok(())
}

/// Use of an item that was not to be used: a stop while the item is as it was and may go out
/// again, for somebody to act on once it was put right or taken out of service.
fn of_equipment(
    house: &OpenHouse<'_>,
    item: RecordId,
    finding: &mut Finding,
    on: Day,
) -> Result<(), AnswerError> {
    let out = house.service.out_of_service(item, on);
    let interval = interval_of(&finding.check);
    if let Some(key) = interval {
        let duties = lines_of(house, item, on)?;
        let overdue = |it: &DueLine| it.key == key && it.state != DueState::InTime;
        if finding.severity == Severity::Act && out.is_none() && duties.iter().any(overdue) {
            finding.stop();
        }
    }
    put_right(house, item, finding, on)?;
    let right = match CheckKey::of(&finding.check) {
        Some(CheckKey::UsedWithDefect) => {
            out.is_some() || house.maintenance.open_defects(item, on).next().is_none()
        }
        Some(CheckKey::WithdrawnUsed) => out.is_none(),
        _ => false,
    };
    if right && finding.severity == Severity::Stop {
        finding.severity = Severity::Act;
        finding.remedy = format!(
            "{} has been repaired or returned to service since: the RSO finds out how it was used \
             in between, and answers this finding.",
            finding.subject
        );
    }
    let asks = interval.is_some() || ASKS_OF_EQUIPMENT.iter().any(|it| finding.is(*it));
    if let Some(out) = out.filter(|_| asks) {
        finding.remedy = format!(
            "{} has been out of service since {} ({}): nothing is due while it is. The RSO \
             records what its earlier use led to.",
            finding.subject, out.on, out.reason
        );
    }
    Ok(())
}

/// What puts the use of an item that was not fit for it right: what was done since.
fn put_right(
    house: &OpenHouse<'_>,
    item: RecordId,
    finding: &mut Finding,
    on: Day,
) -> Result<(), AnswerError> {
    let interval = interval_of(&finding.check);
    if !finding.is(CheckKey::ServicedNotCalibrated) && interval.is_none() {
        return Ok(());
    }
    let Some(Body::Sheet(sheet)) = of_last(house.snapshot, finding)? else {
        return Ok(());
    };
    let duties = lines_of(house, item, on)?;
    // An instrument has one check, which is what its servicing asks for.
    let mut mine = duties
        .iter()
        .filter(|it| interval.is_none_or(|key| it.key == key));
    let Some(duty) = mine.next().filter(|it| it.state == DueState::InTime) else {
        return Ok(());
    };
    let Some(day) = duty.last.filter(|last| *last >= sheet.day) else {
        return Ok(());
    };
    finding.what += &format!("; done since, {} {day}", duty.what);
    finding.remedy = "It has been done since: the RSO judges the use in between, and answers this \
                      finding."
        .to_owned();
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rule::{RuleSet, builtin};

    /// The checks of what has run out are those whose remedy is to be done before the next use.
    #[test]
    fn each_interval_is_one_of_the_rule_sets() {
        let intervals: Vec<&str> = CHECKS
            .iter()
            .filter_map(|it| interval_of(it.key.key()))
            .collect();
        assert_eq!(
            intervals,
            [
                "dosimeter-response-check",
                "ratemeter-calibration",
                "meter-calibration",
                "leak-test",
                "shield-leak-test",
                "equipment-inspection",
            ]
        );
        for offer in builtin() {
            let rule_set = RuleSet::parse(offer.text).expect("a built-in rule set");
            for key in &intervals {
                assert!(rule_set.interval(key).is_some(), "{}: {key}", offer.name);
            }
        }
        // Intervals that no check of a sheet is about.
        assert_eq!(interval_of("inventory"), None);
        assert_eq!(interval_of("meter-check"), None);
        assert_eq!(interval_of("daily-check"), None);
    }
}
