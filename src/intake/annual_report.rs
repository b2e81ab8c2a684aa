//! That the annual report of a year was sent to the authority.

use super::event_desk::Desk;
use super::fault::IntakeError;
use super::take::{Taken, take_one};
use crate::answer::{House, is_of_somebody};
use crate::ledger::{Author, Instant, Ledger, Mode};
use crate::record::{AnnualReport, Body};

/// Writes down that it was sent.
///
/// # Errors
/// A year that was not over on that day, or in which nobody was monitored; a day that has not come.
pub fn report_sent(
    ledger: &mut Ledger,
    author: &Author,
    now: Instant,
    mode: Mode,
    sent: AnnualReport,
) -> Result<Taken, IntakeError> {
    ledger.write(author, now, mode, |writer| {
        let house = House::load(&writer.snapshot()?)?;
        let faults = {
            let snapshot = writer.snapshot()?;
            let mut desk = Desk::new(&snapshot, &house, now);
            check_sent(&mut desk, &sent)?;
            desk.faults
        };
        take_one(writer, &house.names, Body::from(sent), faults)
    })
}

/// What is wrong with it beside what the ledger knows.
pub(super) fn check_sent(desk: &mut Desk<'_>, sent: &AnnualReport) -> Result<(), IntakeError> {
    let today = desk.house.today(desk.now);
    let scheme = desk.house.scheme_on(today)?;
    if sent.on > today {
        let right = format!("a day up to today, {today}");
        desk.fault("on", &sent.on.to_string(), "has not come", right);
        return Ok(());
    }
    let written = sent.year.to_string();
    let Some(year) = i32::try_from(sent.year)
        .ok()
        .filter(|year| is_of_somebody(desk.house, scheme, *year))
    else {
        let right = "a year in which somebody was monitored, such as `2025`";
        desk.fault("year", &written, "has nobody who was monitored", right);
        return Ok(());
    };
    let last = scheme.year_start.year(year).last;
    if sent.on <= last {
        let what = format!("is not over on {}: it ends on {last}", sent.on);
        let right = "a year that was over when its report was sent";
        desk.fault("year", &written, what, right);
    }
    Ok(())
}
