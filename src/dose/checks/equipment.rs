//! Checks of survey meters and of the equipment that a sheet used.

use crate::calendar::DueStatus;
use crate::dose::checks::Found;
use crate::dose::checks::input::{Instrument, Item, LastCheck, SheetFacts};
use crate::record::Work;
use crate::rule::{CheckKey, RuleSet, Severity};

/// A survey meter out of calibration on the day it was used, or radiography
/// without any meter on the sheet.
pub(super) fn meter_calibration(sheet: &SheetFacts, rule_set: &RuleSet) -> Vec<Found> {
    let near_a_source = matches!(
        sheet.work,
        Work::Radiography | Work::SourceExchange | Work::Retrieval
    );
    if sheet.meters.is_empty() && near_a_source {
        return vec![Found {
            severity: Severity::Act,
            subject: sheet.name(),
            what: format!("{}: the sheet names no survey meter", sheet.name()),
            entries: vec![sheet.entry],
        }];
    }
    let check = |meter| uncalibrated(sheet, rule_set, CheckKey::MeterCalibration, meter);
    sheet.meters.iter().filter_map(check).collect()
}

/// Something withdrawn that the sheet used all the same. Where it was
/// withdrawn on the sheet's own day, which came first is left to somebody.
pub(super) fn withdrawn_used(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let people = sheet.people.iter();
    let ratemeters = people
        .clone()
        .filter_map(|person| person.ratemeter.as_ref());
    let dosimeters = people
        .flat_map(|person| &person.dosimeters)
        .map(|worn| &worn.item);
    let used = sheet
        .equipment
        .iter()
        .chain(sheet.meters.iter().map(|meter| &meter.item))
        .chain(ratemeters.map(|meter| &meter.item))
        .chain(dosimeters);
    let mut found: Vec<Found> = Vec::new();
    for Item {
        id,
        kind,
        out_of_service,
        ..
    } in used
    {
        let Some(out_of_service) = out_of_service else {
            continue;
        };
        // The same item twice on a sheet is one finding.
        if out_of_service.on > sheet.day || found.iter().any(|one| one.subject == *id) {
            continue;
        }
        let (on, reason, sheet_name) = (out_of_service.on, &out_of_service.reason, sheet.name());
        let (used, same_day) = (sheet.used(), on == sheet.day && !sheet.at_start);
        found.push(Found {
            severity: super::used_unfit(same_day),
            subject: id.clone(),
            what: if same_day {
                format!(
                    "{id} ({kind}) was used and removed from service on {on} ({reason}): which \
                    came first?"
                )
            } else {
                format!(
                    "{id} ({kind}) {used} on {sheet_name}, out of service since {on} \
                    ({reason})"
                )
            },
            entries: vec![out_of_service.entry, sheet.entry],
        });
    }
    found
}

/// A device that went into storage, or a source that was exchanged, without a
/// survey on record (10 CFR 34.49(c)).
pub(super) fn no_survey_at_storage(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let due = sheet.device_back || sheet.work == Work::SourceExchange;
    let unsaid = sheet.has_device && matches!(sheet.work, Work::Radiography | Work::Retrieval);
    if sheet.storage_survey.is_some() || !(due || unsaid) {
        return Vec::new();
    }
    let what = if due {
        "no storage survey on the sheet"
    } else {
        "storage time and storage survey missing from the sheet"
    };
    vec![Found {
        severity: if due { Severity::Act } else { Severity::Watch },
        subject: sheet.name(),
        what: format!("{}: {what}", sheet.name()),
        entries: vec![sheet.entry],
    }]
}

/// An instrument out of calibration.
pub(super) fn uncalibrated(
    sheet: &SheetFacts,
    rule_set: &RuleSet,
    check: CheckKey,
    it: &Instrument,
) -> Option<Found> {
    let (id, last) = (&it.item.id, it.calibrated);
    out_of_date(sheet, rule_set, check.key(), id, last, "calibration")
}

/// A check that is not in force on the sheet's day: never done, overdue, or
/// failed when it was last done.
pub(super) fn out_of_date(
    sheet: &SheetFacts,
    rule_set: &RuleSet,
    interval: &str,
    id: &str,
    last: Option<LastCheck>,
    what: &str,
) -> Option<Found> {
    let rule = rule_set.interval(interval)?;
    let status = rule
        .interval
        .status(last.map(|last| last.on), sheet.day, rule_set.year_start);
    let failed = last.filter(|last| !last.passed && last.on <= sheet.day);
    let why = match (failed, status, last) {
        (Some(last), ..) => format!("after it failed its {what} on {}", last.on),
        (None, DueStatus::InTime { .. }, _) => return None,
        (None, DueStatus::NeverDone, _) | (None, _, None) => format!("with no {what} on record"),
        (None, DueStatus::Overdue { since }, Some(last)) => {
            format!("with its {what} overdue since {since} (last {})", last.on)
        }
        (None, DueStatus::BeforeUse { held_until }, Some(last)) => {
            let since = held_until.and_then(|day| day.succ_opt());
            let since = since.map_or(String::new(), |day| format!(" since {day}"));
            format!("with its {what} overdue{since} (last {})", last.on)
        }
    };
    let mut entries: Vec<i64> = last.map(|last| last.entry).into_iter().collect();
    entries.push(sheet.entry);
    Some(Found {
        severity: Severity::Act,
        subject: id.to_string(),
        what: format!("{id} used on {} {why}", sheet.name()),
        entries,
    })
}

/// A device that was not locked when it was back. It is no stop: the record does not say that
/// nobody watched it, and there is no dose in it.
pub(super) fn not_locked(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    if sheet.locked != Some(false) {
        return Vec::new();
    }
    vec![Found {
        severity: Severity::Act,
        subject: sheet.name(),
        what: format!("{}: the device was not locked at its return", sheet.name()),
        entries: vec![sheet.entry],
    }]
}
