//! Checks of how a sheet came into the ledger.

use crate::dose::checks::Found;
use crate::dose::checks::input::SheetFacts;
use crate::rule::{Scheme, Severity};

/// A sheet written long after its shift and not marked as copied from paper.
pub(super) fn late_entry(sheet: &SheetFacts, scheme: &Scheme) -> Vec<Found> {
    let allowed = scheme.tolerance("late-entry").and_then(|one| one.days());
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
pub(super) fn not_attested(sheet: &SheetFacts, _: &Scheme) -> Vec<Found> {
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
        what: format!("{}: nobody attests the sheet", sheet.name()),
        entries: vec![sheet.entry],
    }]
}
