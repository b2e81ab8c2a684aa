//! Checks of how a sheet came into the ledger.

use crate::dose::checks::Found;
use crate::dose::checks::input::SheetFacts;
use crate::rule::{Scheme, Severity};

/// A sheet written long after its shift and not marked as copied from paper.
pub(super) fn late_entry(sheet: &SheetFacts, scheme: &Scheme) -> Vec<Found> {
    let allowed = scheme.tolerance("late-entry").and_then(|one| one.days());
    let late = sheet.written_on.signed_duration_since(sheet.day).num_days();
    match allowed {
        Some(allowed) if late > allowed && !sheet.transcribed => vec![Found {
            severity: Severity::Watch,
            subject: sheet.name(),
            what: format!(
                "{}: written on {}, {late} days after the shift, and not marked as a copy of paper",
                sheet.name(),
                sheet.written_on
            ),
            entries: vec![sheet.entry],
        }],
        _ => Vec::new(),
    }
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
