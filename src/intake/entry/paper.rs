//! A printed form is typed in once, whichever way it comes.

use super::fault::Fault;
use crate::answer::{typed_in_inspections, typed_in_sheets};
use crate::ledger::{LedgerError, Writer};
use crate::record::Body;

/// Why a record of a printed form is not taken in: another record was typed in from the same form.
/// What is this record already, by its key, is not in its way.
pub(crate) fn typed_in_before(
    writer: &Writer<'_>,
    body: &Body,
    line: Option<u64>,
) -> Result<Option<Fault>, LedgerError> {
    let snapshot = writer.snapshot()?;
    let of_paper = match body {
        Body::Sheet(it) => it.paper.as_ref().and_then(|it| it.form.as_ref()),
        Body::Inspection(it) => it.paper_form.as_ref(),
        _ => None,
    };
    let Some(code) = of_paper else {
        return Ok(None);
    };
    let before: Vec<(i64, Body)> = match body {
        Body::Sheet(it) => typed_in_sheets(&snapshot, code, it.day)?
            .into_iter()
            .map(|it| (it.entry, it.body.into()))
            .collect(),
        Body::Inspection(it) => typed_in_inspections(&snapshot, code, (it.item.number(), it.on))?
            .into_iter()
            .map(|(entry, it)| (entry, it.into()))
            .collect(),
        _ => Vec::new(),
    };
    let key = body.key();
    let other = before.iter().find(|it| it.1.key() != key);
    Ok(other.map(|(entry, _)| {
        Fault::new(
            line,
            "paper_form",
            code,
            format!("was typed in already: entry {entry}"),
            "each form once: correct that entry, or leave it blank for another shift that was \
             written on a copy of the paper",
        )
    }))
}
