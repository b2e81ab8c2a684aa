//! The start of a shift: the rows of a sheet that say no more than its start become a record.

use super::columns::{Columns, Row};
use super::fault::{Faults, IntakeError};
use super::label::{label, refusal_fault};
use super::sheet::SHEET_COLUMNS;
use super::sheet_rows::{Rows, read_sheet};
use super::taken::{Taken, TakenItem};
use crate::answer::Names;
use crate::ledger::{Instant, LedgerError, Writer};
use crate::record::{Body, ShiftStart};

/// Takes in the start of one shift inside a write: a row a person, in the order of the columns of
/// a sheet.
///
/// # Errors
/// Whatever is wrong with the rows, all of it.
pub fn take_start(
    writer: &mut Writer<'_>,
    now: Instant,
    rows: Vec<Vec<String>>,
) -> Result<Taken, IntakeError> {
    let names = Names::load(&writer.snapshot()?)?;
    let several = rows.len() > 1;
    let rows: Vec<Row> = (1..)
        .zip(rows)
        .map(|(line, values)| {
            let mut row = Row::typed(values);
            row.line = several.then_some(line);
            row
        })
        .collect();
    let mut faults = Faults::default();
    let columns = Columns::whole(SHEET_COLUMNS);
    let Rows::Sound(sheet) = read_sheet(&columns, &rows, &names, now, &mut faults) else {
        return Err(faults.refuse(None, Vec::new()));
    };
    let body = Body::from(ShiftStart::of(&sheet));
    let key = label(&names, &body);
    let written = match writer.append(body, false) {
        Ok(written) => written,
        Err(LedgerError::Refused(refusal)) => {
            let fault = refusal_fault(&writer.snapshot()?, &names, None, &key, &refusal)?;
            faults.push(fault);
            return Err(faults.refuse(None, Vec::new()));
        }
        Err(other) => return Err(other.into()),
    };
    let (count, hash) = writer.head();
    Ok(Taken {
        items: vec![TakenItem {
            line: None,
            kind: "shift start",
            key,
            written,
        }],
        head: crate::ledger::head_text(count, &hash),
        ..Taken::default()
    })
}
