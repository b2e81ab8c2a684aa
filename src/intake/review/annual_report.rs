//! That the annual report of a year was sent to the authority, or a person's own given to the
//! person.

use crate::answer::{House, is_of_somebody, monitored_in};
use crate::intake::entry::fault::IntakeError;
use crate::intake::entry::take::take_one;
use crate::intake::entry::taken::Taken;
use crate::intake::event::desk::EventDesk;
use crate::ledger::{Instant, Writer};
use crate::record::{AnnualReport, Body, Id, RecordId};

/// Of whom the report is that was sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReportOf<'a> {
    /// Everybody's, to the authority.
    Authority,
    /// A person's own, to the person; of this id, or of everybody who was monitored in the year.
    Person(&'a str),
}

/// Stands for everybody in the place of an id.
pub const EVERYBODY: &str = "all";

/// Writes down that it was sent or given.
///
/// # Errors
/// A year that was not over on that day, or in which nobody, or not that person, was monitored; a
/// day that has not come; an id that is nobody's.
pub fn report_sent(
    writer: &mut Writer<'_>,
    now: Instant,
    (sent, of): (AnnualReport, ReportOf<'_>),
) -> Result<Taken, IntakeError> {
    let house = House::load(&writer.snapshot()?)?;
    let mut all = Taken::default();
    for sent in each(&house, &sent, of, now)? {
        let faults = {
            let snapshot = writer.snapshot()?;
            let house = &house.open(&snapshot);
            let mut desk = EventDesk::new(house, now);
            check_sent(&mut desk, &sent)?;
            desk.faults
        };
        all.add(take_one(writer, &house.names, Body::from(sent), faults)?);
    }
    Ok(all)
}

/// One record a person, or the one to the authority.
fn each(
    house: &House,
    sent: &AnnualReport,
    of: ReportOf<'_>,
    now: Instant,
) -> Result<Vec<AnnualReport>, IntakeError> {
    let id = match of {
        ReportOf::Authority => return Ok(vec![sent.clone()]),
        ReportOf::Person(id) => id,
    };
    let rule_set = house.rule_set_on(house.today(now))?;
    let year = i32::try_from(sent.year).unwrap_or(i32::MAX);
    let people = match id {
        EVERYBODY => monitored_in(house, rule_set, year),
        id => {
            let worker = house.names.worker(id)?.number();
            vec![(worker, house.facts(worker)?.name.clone())]
        }
    };
    let one = |(worker, name): (RecordId, String)| AnnualReport {
        worker: Some(Id::new(worker)),
        to: name,
        ..sent.clone()
    };
    match people.is_empty() {
        // Refused by the check: nobody was monitored.
        true => Ok(vec![sent.clone()]),
        false => Ok(people.into_iter().map(one).collect()),
    }
}

/// What is wrong with it beside what the ledger knows.
pub(crate) fn check_sent(desk: &mut EventDesk<'_>, sent: &AnnualReport) -> Result<(), IntakeError> {
    let today = desk.house.today(desk.now);
    let rule_set = desk.house.rule_set_on(today)?;
    if sent.on > today {
        let right = format!("a day up to today, {today}");
        desk.fault("on", &sent.on.to_string(), "has not come", right);
        return Ok(());
    }
    let written = sent.year.to_string();
    let Some(year) = i32::try_from(sent.year)
        .ok()
        .filter(|year| is_of_somebody(desk.house, rule_set, *year))
    else {
        let right = "a year in which someone was monitored, such as `2025`";
        desk.fault("year", &written, "has no one who was monitored", right);
        return Ok(());
    };
    if let Some(worker) = sent.worker
        && !monitored_in(desk.house, rule_set, year)
            .iter()
            .any(|it| it.0 == worker.number())
    {
        let id = desk.house.names.label(worker.number());
        let what = format!("was not monitored in {year}");
        desk.fault(
            "worker",
            &id,
            what,
            "a person who was monitored in that year",
        );
    }
    let last = rule_set.year_start.year(year).last;
    if sent.on <= last {
        let what = format!("is not over on {}: it ends on {last}", sent.on);
        let right = "a year that was over when its report was sent";
        desk.fault("year", &written, what, right);
    }
    Ok(())
}
