//! Who had a part in an event: named when it is opened, or later, as a correction of the event.

use super::about_event::NewPeople;
use super::desk::EventDesk;
use crate::answer::{House, happened, kept_in};
use crate::intake::entry::fault::{Fault, IntakeError};
use crate::intake::entry::taken::{Taken, taken};
use crate::ledger::{Instant, LedgerError, Refusal, Snapshot, Writer};
use crate::record::{Body, Event, EventPerson, Record};

/// Adds them to those whom the event names already.
pub(crate) fn read_people(
    desk: &mut EventDesk<'_>,
    new: &NewPeople,
    people: &mut Vec<EventPerson>,
) {
    for text in &new.people {
        people.extend(desk.person("person", text, None));
    }
    for text in &new.unmonitored {
        people.extend(desk.person("unmonitored", text, Some(false)));
    }
    for text in &new.bystanders {
        people.extend(desk.bystander(text));
    }
    for text in &new.near {
        desk.near(people, text);
    }
}

/// Adds people to an event that is open, or parts of the body to those whom it names: the event is
/// amended, and what it said before stays readable.
///
/// # Errors
/// A name that leads nowhere, somebody who is named already, nothing new.
pub fn add_people(
    writer: &mut Writer<'_>,
    now: Instant,
    (name, new, reason): (&str, &NewPeople, &str),
) -> Result<Taken, IntakeError> {
    let house = House::load(&writer.snapshot()?)?;
    let (entry, key, before, event, transcribed, mut faults) = {
        let snapshot = writer.snapshot()?;
        let house = &house.open(&snapshot);
        let it = happened(house, name)?;
        let mut desk = EventDesk::new(house, now);
        let mut people = it.body.people.clone();
        read_people(&mut desk, new, &mut people);
        let event = Event {
            people,
            ..it.body.clone()
        };
        let transcribed = snapshot.entry(it.entry)?.transcribed;
        let key = it.body.name.clone();
        (it.entry, key, it.body, event, transcribed, desk.faults)
    };
    let stood = before.problems();
    for problem in event.problems() {
        if !stood.contains(&problem) {
            faults.push(Fault::of_problem(None, problem));
        }
    }
    if faults.any() {
        return Err(faults.refuse(None, Vec::new()));
    }
    if event == before {
        return Err(LedgerError::from(Refusal::NothingChanges { entry }).into());
    }
    let body = Body::from(event);
    let kind = body.kind().word();
    let written = writer.amend(entry, body, reason, transcribed)?;
    let stop = stay_in(&writer.snapshot()?, name, now)?;
    let mut taken = taken(kind, key, written, writer.head());
    taken.notes.extend(stop);
    Ok(taken)
}

/// Who may not go back to work after something was written about an event, in words: whoever
/// writes it in the worst hour is told at once.
pub(crate) fn stay_in(
    snapshot: &Snapshot<'_>,
    event: &str,
    now: Instant,
) -> Result<Option<String>, IntakeError> {
    let kept = kept_in(&House::load(snapshot)?.open(snapshot), event, now)?;
    let first = kept.first().cloned();
    Ok(first.map(|first| {
        let (stay, all) = match kept.len() {
            1 => ("stays", first.clone()),
            _ => ("stay", kept.join(", ")),
        };
        format!(
            "STOP: {all} {stay} off work, the dose from {event} is not known; cleared by the dose \
             that the RSO or designee determines or accepts: wearbook work-status {first}"
        )
    }))
}
