//! The program's own work, called as its commands call it.

use std::path::Path;

use wearbook::answer::{House, board, dose_of, dose_of_crew, findings, review};
use wearbook::calendar::{Day, Month, Span, parse_day};
use wearbook::intake::{
    Register, Rows, Said, SheetBatch, TableFile, Taken, take_register, take_sheets,
};
use wearbook::ledger::{Author, Instant, KnownAt, Ledger, Mode};
use wearbook::record::{Adoption, Charter, ClockType};

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

/// Makes an empty ledger under the first built-in rule set.
pub fn create(path: &Path) -> Outcome<()> {
    let rule_set = wearbook::rule::builtin()
        .first()
        .ok_or("there is no rule set")?;
    let charter = Charter {
        jurisdiction: None,
        clock: ClockType::Scripted,
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
        name: rule_set.name.to_owned(),
        reason: None,
        text: rule_set.text.to_owned(),
    };
    // Before the first shift: a review of a month before the charter is refused.
    let begun: Instant = "2018-01-01T12:00:00Z".parse()?;
    Ledger::create(path, &author(), begun, charter, adoption)?;
    Ok(())
}

/// Imports a register's file.
pub fn import_register(path: &Path, register: &Register, file: &Path) -> Outcome<()> {
    let mut ledger = Ledger::open(path)?;
    let said = Said::default();
    let rows = Rows::File(TableFile {
        path: file,
        said: &said,
    });
    let now = now()?;
    ledger.write(&author(), now, Mode::Commit, |writer| {
        take_register(writer, now, register, rows)
    })?;
    Ok(())
}

/// Imports a file of sheets.
pub fn import_sheets(path: &Path, file: &Path) -> Outcome<Taken> {
    let said = Said::default();
    let file = TableFile {
        path: file,
        said: &said,
    };
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

/// One worker's account over all eight years, with the levels, from opening the
/// file to the answer. Returns how many contributions it has.
pub fn account(path: &Path, worker: &str) -> Outcome<usize> {
    let span = Span {
        first: parse_day("2018-01-01")?,
        last: parse_day("2026-12-31")?,
    };
    let ledger = Ledger::open(path)?;
    Ok(ledger.read(KnownAt::Now, |snapshot| {
        let house = House::load(snapshot)?;
        let worker = house.names.worker(worker)?;
        dose_of(&house.open(snapshot), worker.number(), span, span.last).map(|it| it.why.len())
    })?)
}

/// Everybody's dose of a year, as `dose crew --year` gives it. Returns how many people.
pub fn crew_of(path: &Path, year: Span) -> Outcome<usize> {
    let ledger = Ledger::open(path)?;
    Ok(ledger.read(KnownAt::Now, |snapshot| {
        let house = House::load(snapshot)?;
        dose_of_crew(&house.open(snapshot), year, year.last).map(|it| it.lines.len())
    })?)
}

/// The board of a day. Returns how many people are on it.
pub fn board_of(path: &Path, day: Day) -> Outcome<usize> {
    let now = now()?;
    let ledger = Ledger::open(path)?;
    Ok(ledger.read(KnownAt::Now, |snapshot| {
        let house = House::load(snapshot)?;
        board(&house.open(snapshot), &[], day, now).map(|it| it.people.len())
    })?)
}

/// The review of a month. Returns how many people are in it.
pub fn review_of(path: &Path, month: &str) -> Outcome<usize> {
    let month = Month::parse(month)?;
    let now = now()?;
    let ledger = Ledger::open(path)?;
    Ok(ledger.read(KnownAt::Now, |snapshot| {
        let house = House::load(snapshot)?;
        review(&house.open(snapshot), month, (None, now)).map(|it| it.people.len())
    })?)
}

/// The findings of one day, with everybody's levels. Returns how many there are.
pub fn findings_of(path: &Path, day: Day) -> Outcome<usize> {
    let span = Span {
        first: day,
        last: day,
    };
    let now = now()?;
    let ledger = Ledger::open(path)?;
    Ok(ledger.read(KnownAt::Now, |snapshot| {
        let house = House::load(snapshot)?;
        findings(&house.open(snapshot), (span, day, now), false).map(|it| it.lines.len())
    })?)
}
