//! Checks of what a sheet used against its inspection and maintenance: leak tests, periodic
//! inspections, the check of the day, servicing, and defects that were written down.

use crate::dose::checks::Found;
use crate::dose::checks::equipment::out_of_date;
use crate::dose::checks::input::{Daily, Item, SheetFacts};
use crate::record::Work;
use crate::rule::{RuleSet, Severity};

/// A source used without a leak test current.
pub(super) fn leak_test(sheet: &SheetFacts, rule_set: &RuleSet) -> Vec<Found> {
    duty(sheet, rule_set, "leak-test")
}

/// A device used whose shield's tube was not tested in time.
pub(super) fn shield_leak_test(sheet: &SheetFacts, rule_set: &RuleSet) -> Vec<Found> {
    duty(sheet, rule_set, "shield-leak-test")
}

/// Equipment used although its periodic inspection is overdue.
pub(super) fn equipment_inspection(sheet: &SheetFacts, rule_set: &RuleSet) -> Vec<Found> {
    duty(sheet, rule_set, "equipment-inspection")
}

fn duty(sheet: &SheetFacts, rule_set: &RuleSet, key: &str) -> Vec<Found> {
    let of = |item: &Item| {
        let duty = item.maintenance.duties.iter().find(|it| it.key == key)?;
        out_of_date(sheet, rule_set, key, &item.id, duty.last, duty.what)
    };
    each(sheet).filter_map(of).collect()
}

/// Everything that was used, each once.
fn each(sheet: &SheetFacts) -> impl Iterator<Item = &Item> {
    sheet
        .equipment
        .iter()
        .chain(sheet.meters.iter().map(|meter| &meter.item))
}

/// Whether the equipment was worked with, and not only carried closed.
fn worked_with(sheet: &SheetFacts) -> bool {
    matches!(
        sheet.work,
        Work::Radiography | Work::SourceExchange | Work::Retrieval
    )
}

/// Use on a day for which no check is on record, or of a meter of which the crew says itself that
/// it was not checked. One finding names all of it, because the remedy is one.
pub(super) fn daily_check(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let mut entries = Vec::new();
    let mut missing: Vec<String> = Vec::new();
    if sheet.meter_checked == Some(false) {
        let meters = sheet.meters.iter().map(|meter| meter.item.id.as_str());
        let meters = meters.collect::<Vec<_>>().join(" ");
        let of = if meters.is_empty() {
            "the survey meter"
        } else {
            &meters
        };
        missing.push(format!("{of} (not checked before use, as the crew says)"));
    }
    let said = |item: &Item| {
        let mut meters = sheet.meters.iter();
        sheet.meter_checked == Some(false) && meters.any(|meter| meter.item.id == item.id)
    };
    for item in each(sheet).filter(|it| !said(it)) {
        match &item.maintenance.daily {
            Daily::Missing => missing.push(item.id.clone()),
            Daily::Other { entry, what } => {
                missing.push(format!("{} ({what})", item.id));
                entries.push(*entry);
            }
            Daily::NotAsked | Daily::Inspected { .. } => {}
        }
    }
    if missing.is_empty() || !worked_with(sheet) {
        return Vec::new();
    }
    entries.push(sheet.entry);
    vec![Found {
        severity: Severity::Act,
        subject: sheet.name(),
        what: format!(
            "{}: no check of the day is on record for {}",
            sheet.name(),
            missing.join(", ")
        ),
        entries,
    }]
}

/// A check of the day that says itself that it came after the use.
pub(super) fn checked_after_use(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let Some(in_use_by) = sheet.in_use_by.filter(|_| worked_with(sheet)) else {
        return Vec::new();
    };
    let of = |item: &Item| {
        let Daily::Inspected {
            entry,
            at: Some(at),
        } = item.maintenance.daily
        else {
            return None;
        };
        (at > in_use_by).then(|| Found {
            severity: Severity::Act,
            subject: item.id.clone(),
            what: format!(
                "{} was checked at {} on {}, after its use on {} ({})",
                item.id,
                at.format("%H:%M"),
                sheet.day,
                sheet.name(),
                in_use_by.format("%H:%M")
            ),
            entries: vec![entry, sheet.entry],
        })
    };
    each(sheet).filter_map(of).collect()
}

/// Use of something with a defect that an earlier inspection wrote down. Where it was
/// written down on the sheet's own day, which came first is left to somebody.
pub(super) fn used_with_defect(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let of = |item: &Item| {
        let defect = item.maintenance.defect.as_ref()?;
        let same_day = defect.on == sheet.day && !sheet.at_start;
        let (id, on, what) = (&item.id, defect.on, &defect.what);
        Some(Found {
            severity: super::used_unfit(same_day),
            subject: id.clone(),
            what: if same_day {
                format!("{id} was used and found with a defect on {on} ({what}): which came first?")
            } else {
                let (used, sheet) = (sheet.used(), sheet.name());
                format!("{id} {used} on {sheet} with a defect written down on {on} ({what})")
            },
            entries: vec![defect.entry, sheet.entry],
        })
    };
    each(sheet).filter_map(of).collect()
}

/// An instrument used after servicing and before a calibration.
pub(super) fn serviced_not_calibrated(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let people = sheet.people.iter();
    let ratemeters = people
        .clone()
        .filter_map(|person| person.ratemeter.as_ref())
        .map(|meter| &meter.item);
    let dosimeters = people
        .flat_map(|person| &person.dosimeters)
        .map(|worn| &worn.item);
    let meters = sheet.meters.iter().map(|meter| &meter.item);
    let of = |item: &Item| {
        let serviced = item.maintenance.serviced.as_ref()?;
        Some(Found {
            severity: Severity::Act,
            subject: item.id.clone(),
            what: format!(
                "{} used on {} without calibration after its service on {} ({})",
                item.id,
                sheet.name(),
                serviced.on,
                serviced.what
            ),
            entries: vec![serviced.entry, sheet.entry],
        })
    };
    let mut found: Vec<Found> = Vec::new();
    for one in meters.chain(ratemeters).chain(dosimeters).filter_map(of) {
        if !found.iter().any(|other| other.subject == one.subject) {
            found.push(one);
        }
    }
    found
}
