//! The program's own work, called as its commands call it.

use std::path::Path;

use wearbook::calendar::parse_day;
use wearbook::intake::{Register, Rows, SheetBatch, Taken, take_register, take_sheets};
use wearbook::ledger::{Author, Instant, Ledger, Mode};
use wearbook::record::{Adoption, Charter, ClockSort};

use crate::Outcome;

fn author() -> Author {
    Author {
        name: "Edda Brask".to_owned(),
        os_user: "office".to_owned(),
    }
}

/// A day after every shift of the benchmarks.
fn now() -> Outcome<Instant> {
    Ok("2027-01-04T12:00:00Z".parse()?)
}

/// Makes an empty ledger under the first built-in scheme.
pub fn create(path: &Path) -> Outcome<()> {
    let scheme = wearbook::rule::builtin()
        .first()
        .ok_or("there is no scheme")?;
    let charter = Charter {
        clock: ClockSort::Scripted,
        first_rso: "Edda Brask".to_owned(),
        ledger_id: "bench".to_owned(),
        licence: "00-00000-00".to_owned(),
        licensee: "Invented Pipeline Radiography".to_owned(),
        site: "Nowhere".to_owned(),
        unit: "mrem".to_owned(),
        zone: "America/Chicago".to_owned(),
    };
    let adoption = Adoption {
        from: parse_day("2018-01-01")?,
        name: scheme.name.to_owned(),
        text: scheme.text.to_owned(),
    };
    Ledger::create(path, &author(), now()?, charter, adoption)?;
    Ok(())
}

/// Imports a register's file.
pub fn import_register(path: &Path, register: &Register, file: &Path) -> Outcome<()> {
    let mut ledger = Ledger::open(path)?;
    let rows = Rows::File(file);
    take_register(&mut ledger, &author(), now()?, Mode::Commit, register, rows)?;
    Ok(())
}

/// Imports a file of sheets.
pub fn import_sheets(path: &Path, file: &Path) -> Outcome<Taken> {
    take(&mut Ledger::open(path)?, SheetBatch::File(file))
}

/// Hands in one sheet.
pub fn hand_in(ledger: &mut Ledger, rows: Vec<Vec<String>>) -> Outcome<Taken> {
    take(ledger, SheetBatch::Typed(rows))
}

fn take(ledger: &mut Ledger, batch: SheetBatch<'_>) -> Outcome<Taken> {
    let now = now()?;
    Ok(ledger.write(&author(), now, Mode::Commit, |writer| {
        take_sheets(writer, now, batch)
    })?)
}

/// Verifies a ledger, which must be sound.
pub fn verify(path: &Path, full: bool) -> Outcome<()> {
    let found = Ledger::open(path)?.verify(None, full)?;
    match found.faults.first() {
        None => Ok(()),
        Some(fault) => Err(fault.what.clone().into()),
    }
}
