//! The start of a shift: the rows of a sheet that say no more than its start become a record.

use super::column::SHEET_COLUMNS;
use super::rows::{Rows, read_sheet};
use crate::answer::{House, Names, stops_of};
use crate::intake::dose::doubt_reading::beyond_range;
use crate::intake::entry::fault::{Fault, Faults, IntakeError};
use crate::intake::entry::label::{label, or_fault};
use crate::intake::entry::taken::{Taken, taken};
use crate::intake::file::columns::{Columns, Row};
use crate::ledger::{Instant, Writer};
use crate::record::{Body, Sheet, ShiftStart};
use crate::rule::CheckKey;

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
    let rows = Row::all_typed(rows);
    let mut faults = Faults::default();
    let columns = Columns::whole(SHEET_COLUMNS);
    let sheet = match read_sheet(&columns, &rows, &names, now, &mut faults) {
        Rows::Sound(sheet) => sheet,
        Rows::Faulty(sheet) => return Err(refused(writer, &names, now, sheet, faults)?),
        Rows::Unreadable => return Err(faults.refuse(None, Vec::new())),
    };
    for it in beyond_range(&sheet, &names) {
        let right = "the figure after it was recharged; if it was worn so, tell the RSO";
        let what = format!("is no reading to begin with: {}", it.about);
        faults.push(Fault::new(None, "start", "", what, right));
    }
    if faults.any() {
        return Err(refused(writer, &names, now, sheet, faults)?);
    }
    let body = Body::from(ShiftStart::of(&sheet));
    let key = label(&names, &body);
    let written = writer.append(body, false);
    let Some(written) = or_fault(writer, &names, (None, &key), written, &mut faults)? else {
        return Err(faults.refuse(None, Vec::new()));
    };
    Ok(taken("shift start", key, written, writer.head()))
}

/// The refusal of a start, with what it says that must stop somebody.
fn refused(
    writer: &Writer<'_>,
    names: &Names,
    now: Instant,
    mut sheet: Sheet,
    faults: Faults,
) -> Result<IntakeError, IntakeError> {
    sheet.held = beyond_range(&sheet, names);
    let snapshot = writer.snapshot()?;
    let house = House::load(&snapshot)?;
    let stops = stops_of(&house.open(&snapshot), &[sheet], house.today(now))?;
    let off_scale = stops.into_iter().filter(|it| it.is(CheckKey::OffScale));
    Ok(faults.refuse(None, off_scale.collect()))
}
