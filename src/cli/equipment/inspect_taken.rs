//! Inspections handed in, by flags or item by item: the one write, and what it means.

use crate::answer::{AfterInspections, House, after_inspections};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::session::Session;
use crate::cli::sheet::photo::keep_photo;
use crate::intake::{Batch, EvidenceFile, INSPECTION_COLUMNS, Taken, take_inspections};
use crate::ledger::Mode;
use crate::record::{Occasion, Words};
use crate::show::{after_inspections_report, with_taken};

pub(crate) fn occasion(text: &str) -> Result<Occasion, Failure> {
    Occasion::from_word(text).ok_or_else(|| {
        let what = format!("`{text}` is no occasion of an inspection");
        Failure::flag("when", what, &Occasion::list())
    })
}

/// Takes inspections in and works out what they mean, in one write.
pub(crate) fn hand_in(
    session: &mut Session<'_>,
    by: Option<&str>,
    mode: Mode,
    batch: Batch<'_>,
) -> Result<HandedIn, Failure> {
    hand_in_with(session, (by, mode), batch, None)
}

/// The same with the photo of its paper.
pub(crate) fn hand_in_with(
    session: &mut Session<'_>,
    how: (Option<&str>, Mode),
    batch: Batch<'_>,
    photo: Option<&EvidenceFile>,
) -> Result<HandedIn, Failure> {
    session.write_as(how, |writer, now| {
        let mut taken = take_inspections(writer, now, batch)?;
        let entries = taken.new_entries();
        keep_photo(writer, &mut taken, photo)?;
        let snapshot = writer.snapshot()?;
        let house = House::load(&snapshot)?;
        let answer = after_inspections(&house.open(&snapshot), &entries)?;
        Ok((taken, answer))
    })
}

pub(crate) fn show_taken(
    session: &mut Session<'_>,
    (taken, answer): HandedIn,
    dry_run: bool,
) -> Result<(), Failure> {
    let new = taken.new_count() > 0;
    let told = new.then(|| after_inspections_report(&answer));
    session.output.report(with_taken(told, &taken, dry_run))
}

/// Puts a value under a column.
pub(crate) fn put(row: &mut [String], column: &str, value: impl Into<String>) {
    let place = INSPECTION_COLUMNS.iter().position(|it| *it == column);
    if let Some(cell) = place.and_then(|place| row.get_mut(place)) {
        *cell = value.into();
    }
}

/// What was taken, and what it means.
pub(crate) type HandedIn = (Taken, AfterInspections);
