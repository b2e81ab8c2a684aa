//! Checks of how a sheet came into the ledger.

use crate::dose::checks::Found;
use crate::dose::checks::input::SheetFacts;
use crate::record::StartPart;
use crate::rule::{RuleSet, Severity};

/// A sheet written long after its shift and not marked as copied from paper.
pub(super) fn late_entry(sheet: &SheetFacts, rule_set: &RuleSet) -> Vec<Found> {
    let allowed = rule_set.tolerance("late-entry").and_then(|one| one.days());
    let late = sheet.written_on.signed_duration_since(sheet.day).num_days();
    let Some(allowed) = allowed.filter(|_| !sheet.transcribed) else {
        return Vec::new();
    };
    let name = sheet.name();
    let on = sheet.written_on;
    let what = match sheet.clock_doubted {
        None if late > allowed => {
            let late = crate::text::counted(late, "day", "days");
            format!("{name}: written on {on}, {late} after the shift")
        }
        Some(_) if late > allowed => {
            let late = crate::text::counted(late, "day", "days");
            format!("{name}: written on {on} or later, at least {late} after the shift")
        }
        Some((last, entry)) if last.is_none_or(|it| (it - sheet.day).num_days() > allowed) => {
            let last = last.map_or_else(|| "an unknown day".to_owned(), |it| it.to_string());
            format!(
                "{name}: perhaps written late: order unknown, the clock of entry {entry} cannot \
                 be trusted; written between {on} and {last}"
            )
        }
        _ => return Vec::new(),
    };
    vec![Found {
        severity: Severity::Watch,
        subject: name,
        what: format!("{what}, and not marked as a copy of paper"),
        entries: vec![sheet.entry],
    }]
}

/// A sheet that nobody attests.
pub(super) fn not_attested(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let attested = sheet
        .attested_by
        .as_deref()
        .is_some_and(|name| !name.trim().is_empty());
    if attested {
        return Vec::new();
    }
    vec![Found {
        severity: Severity::Watch,
        subject: sheet.name(),
        what: format!("{}: the sheet is not signed", sheet.name()),
        entries: vec![sheet.entry],
    }]
}

/// A sheet that is signed for the radiographer by somebody who is none.
pub(super) fn signed_by_no_radiographer(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let signed = sheet.signed_by_other.iter();
    let found = signed.map(|who| Found {
        severity: Severity::Act,
        subject: sheet.name(),
        what: format!("{}: signed for the radiographer by {who}", sheet.name()),
        entries: vec![sheet.entry],
    });
    found.collect()
}

/// What was to be done at the start of the shift and was recorded at its end.
pub(super) fn recorded_late(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    const LATE: &str = "recorded at the end of the shift, not when it was done";
    if sheet.transcribed {
        return Vec::new();
    }
    let watch = |subject: String, what: String| Found {
        severity: Severity::Watch,
        subject,
        what,
        entries: vec![sheet.entry],
    };
    let name = sheet.name();
    let late = sheet.people.iter().filter(|person| !person.late.is_empty());
    let mut found: Vec<Found> = late
        .map(|person| {
            let parts: Vec<&str> = person.late.iter().map(|it| of_start(*it)).collect();
            let (who, parts) = (&person.worker, parts.join(", "));
            let what = format!("{who} {}, {name}: {parts}: {LATE}", person.name);
            watch(who.clone(), what)
        })
        .collect();
    let mut of_sheet = Vec::new();
    if sheet.meter_late {
        of_sheet.push(format!("{}: {LATE}", of_start(StartPart::Meter)));
    }
    if let Some(written) = &sheet.started_late {
        of_sheet.push(format!(
            "the start was written at {written}, when the work had begun"
        ));
    }
    if !of_sheet.is_empty() {
        found.push(watch(
            name.clone(),
            format!("{name}: {}", of_sheet.join("; ")),
        ));
    }
    found
}

/// What a part of the start is called in a sentence.
fn of_start(part: StartPart) -> &'static str {
    match part {
        StartPart::Badge => "badge put on",
        StartPart::Recharge => "dosimeter recharged",
        StartPart::Reading => "reading at the beginning",
        StartPart::Alarm => "alarm heard",
        StartPart::Meter => "survey meter checked",
    }
}

/// A sheet that says otherwise than what was recorded at the start.
pub(super) fn not_as_started(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let differs = sheet.not_as_started.iter().map(|(all, start)| Found {
        severity: Severity::Act,
        subject: sheet.name(),
        what: format!("{}: {}", sheet.name(), all.join("; ")),
        entries: vec![*start, sheet.entry],
    });
    differs.collect()
}
