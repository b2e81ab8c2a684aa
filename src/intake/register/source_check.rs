//! Dated checks of sources and reports about them.

use super::maintenance::day_of;
use super::{Column, Reader, Register, RowBodies, RowDesk, did_you_mean, only, register};
use crate::intake::file::fields::Fields;
use crate::intake::file::named::what_of;
use crate::ledger::LedgerError;
use crate::record::{Id, Ref, SourceAssembly, SourceCheck, SourceCheckType, Target};

register!(SOURCE_CHECKS: "equipment" "source-check" "source-checks" "source check",
    RowDesk read_source_check, [
    "type" true "receipt survey, lodged check, presence check, receipt report, transfer report, \
                 reconciliation, stored, shipping paper, vehicle controls or storage controls",
    "sources" true "ids of the source assemblies, separated by spaces",
    "on" true "day",
    "performed_by" true "who did it",
    "at" false "hour at which it was done, such as `09:30`",
    "arrived" false "of a receipt: hour at which the package came, such as `08:00`",
    "reference" false "number of the survey, of the paper, of the report or of its confirmation",
    "place" false "of `stored`: where they are kept from then on, by name alone",
    "row" false "the number of its row in the office's own file, such as `117`",
]);

/// The sources that a cell names, each once.
fn sources(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
    column: usize,
) -> Option<Vec<Id<SourceAssembly>>> {
    let cell = fields.needed(column, "ids separated by spaces")?;
    let (mut found, mut sound) = (Vec::new(), true);
    for id in cell.split_whitespace() {
        let wanted = what_of(SourceAssembly::GOAL);
        // Of several the one that is meant is named.
        let has = |is: String| match id == cell {
            true => is,
            false => format!("has `{id}`, which {is}"),
        };
        match desk.names.equipment_ref::<SourceAssembly>(id) {
            Ok(Ref::Known(record)) if found.contains(&record) => {
                fields.fault(column, format!("has `{id}` twice"), "each id once");
            }
            Ok(Ref::Known(record)) => found.push(record),
            Ok(Ref::Written(_)) => {
                let near = desk.names.near_fitting(SourceAssembly::GOAL, id);
                let what = has(format!("is not {wanted} that the ledger knows"));
                let right = did_you_mean(&near, "register it first");
                fields.fault(column, what, right);
            }
            Err(kind) => {
                let what = has(format!("is {}", super::with_article(kind)));
                fields.fault(column, what, wanted);
            }
        }
        sound &= matches!(
            desk.names.equipment_ref::<SourceAssembly>(id),
            Ok(Ref::Known(_))
        );
    }
    sound.then_some(found)
}

fn read_source_check(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
) -> Result<Option<RowBodies>, LedgerError> {
    let kind = fields.needed_word::<SourceCheckType>(0);
    let sources = sources(fields, desk, 1);
    // A source is surveyed when it comes, which may be before its first day of service.
    let on = day_of(fields, 2, desk, None);
    let by = fields.needed(3, "who did it");
    let (at, arrived) = (fields.hour(4, &[5]), fields.hour(5, &[4]));
    let (reference, place) = (fields.text(6), fields.text(7));
    let (Some(by), Some(on), Some(kind), Some(sources)) = (by, on, kind, sources) else {
        return Ok(None);
    };
    Ok(only(SourceCheck {
        arrived,
        at,
        by,
        on,
        place,
        reference,
        row: None,
        kind,
        sources,
    }))
}
