//! Events and what is learned of them: words become records. Moments are the clock on the wall
//! at the job, else in the ledger's zone; the record keeps them with their offset.

use super::about_event::{AboutEvent, NewNote, NewPeople};
use super::cause::{looked_for_elsewhere, read_cause};
use super::desk::EventDesk;
use super::happening::{kind, read_happening};
use super::notification::{read_answer, read_given, told_changes};
use super::people::{read_people, stay_in};
use crate::answer::{
    Happened, House, NoSuchName, Roughly, Sought, duty_changes, happened, missing_to_close, near,
    notifications_of, notifications_to_close,
};
use crate::calendar::{Day, When};
use crate::intake::entry::authority;
use crate::intake::entry::fault::{Fault, Faults, IntakeError};
use crate::intake::entry::take::take_one;
use crate::intake::entry::taken::Taken;
use crate::intake::file::named::what_of;
use crate::intake::file::words::with_article;
use crate::ledger::{Instant, LedgerError, Snapshot, Writer};
use crate::record::{
    Barrier, BarrierState, Body, Dosimeter, Event, EventAction, EventEnd, EventLink, EventNote, Id,
    Kind, Linked, Ref, Target, Words,
};

/// An event as it was typed.
#[derive(Debug, Clone)]
pub struct NewEvent {
    /// Its name; the next free `E-N` where none is given.
    pub name: Option<String>,
    /// A kind of the rule set, by key or name.
    pub kind: String,
    /// When it occurred.
    pub occurred: Roughly,
    /// When it was discovered; at once where nothing else is said.
    pub discovered: Option<Roughly>,
    /// Where, in words.
    pub place: Option<String>,
    /// The id of the job.
    pub job: Option<String>,
    /// Ids of equipment and instruments.
    pub equipment: Vec<String>,
    /// Who had a part in it.
    pub who: NewPeople,
    /// The first words about it.
    pub words: String,
}

/// Opens an event.
///
/// # Errors
/// A kind that the rule set does not know, a moment that is none, an item that was not yet in
/// service, discovery before occurrence.
pub fn open_event(
    writer: &mut Writer<'_>,
    now: Instant,
    new: &NewEvent,
) -> Result<Taken, IntakeError> {
    let house = House::load(&writer.snapshot()?)?;
    let (body, faults) = {
        let snapshot = writer.snapshot()?;
        let house = &house.open(&snapshot);
        let mut desk = EventDesk::new(house, now);
        let event = read_event(&mut desk, new)?;
        (event, desk.faults)
    };
    let name = body.name.clone();
    let mut taken = take_one(writer, &house.names, Body::from(body), faults)?;
    taken
        .notes
        .extend(stay_in(&writer.snapshot()?, &name, now)?);
    Ok(taken)
}

pub(crate) fn read_event(desk: &mut EventDesk<'_>, new: &NewEvent) -> Result<Event, IntakeError> {
    let house = desk.house;
    let job = new
        .job
        .as_deref()
        .map(|job| house.names.job(job))
        .transpose()?;
    let zone = house.names.zone_of(job.map(|it| it.number()));
    let occurred = desk.roughly("occurred", &new.occurred, zone);
    let discovered = match &new.discovered {
        Some(at) => desk.roughly("discovered", at, zone),
        None => occurred.clone(),
    };
    // Of a moment that is not known the rules and the equipment of its latest day are taken:
    // what came into service within it may have been there.
    let latest = When::parse(&occurred, zone).ok().and_then(|it| it.latest);
    let day = zone.local_day(latest.map_or(desk.now, |it| it.min(desk.now)));
    let kind = kind(desk, "kind", &new.kind, day)?;
    let mut equipment = Vec::new();
    for id in &new.equipment {
        let item = house.names.item(id)?;
        if let Some(from) = house
            .names
            .in_service(item.number())
            .filter(|from| *from > day)
        {
            let what = format!("came into service on {from}, after the event");
            desk.fault("equipment", id, what, "what was in use on that day");
        }
        equipment.push(item);
    }
    let mut people = Vec::new();
    read_people(desk, &new.who, &mut people);
    let name = match &new.name {
        Some(name) => name.trim().to_owned(),
        None => free_name(desk.house.snapshot)?,
    };
    Ok(Event {
        discovered,
        equipment,
        job,
        kind: kind.unwrap_or_default(),
        name,
        occurred,
        people,
        place: new.place.clone(),
        words: new.words.clone(),
    })
}

/// The next `E-N` that no event has.
fn free_name(snapshot: &Snapshot<'_>) -> Result<String, LedgerError> {
    let mut number = 1_u32;
    loop {
        let name = format!("E-{number}");
        if snapshot.find(Kind::Event, &name)?.is_none() {
            return Ok(name);
        }
        number += 1;
    }
}

/// Writes something about an event.
///
/// # Errors
/// A name that leads nowhere, a component that the kind of thing does not have, a failure mode
/// that the checklist does not know, a closing with something missing.
pub fn write_about(
    writer: &mut Writer<'_>,
    now: Instant,
    name: &str,
    about: &AboutEvent,
) -> Result<Taken, IntakeError> {
    let house = House::load(&writer.snapshot()?)?;
    let (event, bodies, before, beside, faults) = {
        let snapshot = writer.snapshot()?;
        let house = &house.open(&snapshot);
        let event = happened(house, name)?;
        let before = about.turns_duties();
        let before = before.then(|| notifications_of(house, &event, now));
        let before = before.transpose()?;
        let mut desk = EventDesk::new(house, now);
        let bodies = read_about(&mut desk, &event, about)?;
        let mut beside = Vec::new();
        for body in &bodies {
            if let Body::EventCause(cause) = body {
                beside.extend(looked_for_elsewhere(&desk, &event, cause)?);
            }
        }
        let faults = desk.faults;
        (event, bodies, before, beside, faults)
    };
    if faults.any() {
        return Err(faults.refuse(None, Vec::new()));
    }
    let mut taken = Taken::default();
    for body in bodies {
        let one = take_one(writer, &house.names, body, Faults::default())?;
        taken.add(one);
    }
    if let Some(before) = before {
        let changes = duty_changes((&event, before), &writer.snapshot()?, now)?;
        taken.notes = told_changes(about, &changes);
        if let AboutEvent::Happening(_) = about {
            let stop = stay_in(&writer.snapshot()?, name, now)?;
            taken.notes.splice(0..0, stop);
        }
    }
    taken.notes.extend(beside);
    Ok(taken)
}

fn read_about(
    desk: &mut EventDesk<'_>,
    event: &Happened,
    about: &AboutEvent,
) -> Result<Vec<Body>, IntakeError> {
    let body = match about {
        AboutEvent::Happening(new) => read_happening(desk, event, new)?,
        AboutEvent::Note(note) => read_note(desk, event, note).map(Body::from)?,
        AboutEvent::Cause(cause) => read_cause(desk, event, cause).map(Body::from)?,
        AboutEvent::Action {
            by,
            done,
            due,
            plan,
            words,
        } => {
            let planned = match plan {
                Some(entry) => planned(desk, event, *entry)?,
                None => None,
            };
            let own = planned.as_ref().map(|(_, words)| words.clone());
            Body::from(EventAction {
                by: by.clone(),
                done_on: *done,
                due_on: *due,
                event: event.record.into(),
                plan: planned.map(|it| it.0),
                words: words.clone().or(own).unwrap_or_default(),
            })
        }
        AboutEvent::Link {
            item,
            worker,
            dosimeter,
        } => read_link(desk, event, item, (worker.as_deref(), dosimeter.as_deref()))?,
        AboutEvent::Answer(new) => read_answer(desk, event, new)?,
        AboutEvent::Given(new) => return read_given(desk, event, new),
        AboutEvent::End { by, on, words } => read_end(desk, event, (by, *on, words))?,
    };
    Ok(vec![body])
}

/// The end, with everything that is missing before it.
pub(crate) fn read_end(
    desk: &mut EventDesk<'_>,
    event: &Happened,
    (by, on, words): (&str, Option<Day>, &str),
) -> Result<Body, IntakeError> {
    let by = desk.house.names.worker(by)?;
    let on = on.unwrap_or_else(|| desk.house.today(desk.now));
    let body = Body::from(EventEnd {
        by,
        event: event.record.into(),
        on,
        words: words.to_owned(),
    });
    for problem in authority::problems(desk.house.snapshot, &desk.house.names, &body)? {
        desk.faults.push(Fault::of_problem(None, problem));
    }
    let mut missing = missing_to_close(event);
    missing.extend(notifications_to_close(desk.house, event, desk.now)?);
    for missing in missing {
        desk.fault("close", "", "cannot be yet", missing);
    }
    Ok(body)
}

pub(crate) fn read_note(
    desk: &mut EventDesk<'_>,
    event: &Happened,
    note: &NewNote,
) -> Result<EventNote, IntakeError> {
    let at = desk.roughly("at", &note.at, event.zone);
    let said = note.barrier.as_deref().and_then(|text| {
        let (barrier, state) = text.split_once('=')?;
        Some((
            Barrier::from_word(barrier)?,
            BarrierState::from_word(state)?,
        ))
    });
    if let Some(text) = note.barrier.as_deref().filter(|_| said.is_none()) {
        let right = format!(
            "`BARRIER=STATE`: {}; {}",
            Barrier::list(),
            BarrierState::list()
        );
        desk.fault("barrier", text, "is no barrier and state", right);
    }
    if let Some(key) = &note.item {
        let list = desk.list(event.day())?;
        if list.item(key).is_none() {
            let near = near(key, list.items.iter().map(|it| it.key.as_str()));
            let right = near.first().map(|it| format!("did you mean `{it}`?"));
            let right =
                right.unwrap_or_else(|| "the key of an item: wearbook checklist show".into());
            desk.fault(
                "item",
                key,
                "is no item of the checklist of that day",
                right,
            );
        }
    }
    let disputes = match note.disputes {
        Some(entry) => {
            let stored = desk.house.snapshot.entry(entry)?;
            if stored.kind != Kind::Inspection.stored() {
                let what = format!("is an entry of the kind {}", stored.kind_word());
                desk.fault(
                    "disputes",
                    &entry.to_string(),
                    what,
                    "the entry of an inspection",
                );
            }
            Some(stored.record.into())
        }
        None => None,
    };
    Ok(EventNote {
        at,
        barrier: said.map(|it| it.0),
        disputes,
        event: event.record.into(),
        item: note.item.clone(),
        person: note
            .person
            .as_deref()
            .map(|it| desk.house.names.worker_ref(it)),
        state: said.map(|it| it.1),
        words: note.words.clone(),
    })
}

/// The planned action of an entry: its record and words.
pub(crate) fn planned(
    desk: &mut EventDesk<'_>,
    event: &Happened,
    entry: i64,
) -> Result<Option<(Id<EventAction>, String)>, IntakeError> {
    let record = desk.house.snapshot.entry(entry)?.record;
    let found = event.actions.iter().find(|it| it.record == record);
    if found.is_none() {
        let open: Vec<String> = event.open_plans().map(|it| it.entry.to_string()).collect();
        let right = match open.as_slice() {
            [] => "there is none that is open".to_owned(),
            open => format!("the entry of an open one: {}", open.join(", ")),
        };
        let what = format!("is no action of {}", event.body.name);
        desk.fault("carries-out", &entry.to_string(), what, right);
    }
    Ok(found.map(|it| (it.record.into(), it.body.words.clone())))
}

pub(crate) fn read_link(
    desk: &mut EventDesk<'_>,
    event: &Happened,
    item: &str,
    (worker, dosimeter): (Option<&str>, Option<&str>),
) -> Result<Body, IntakeError> {
    let entry = match (item.parse(), desk.house.snapshot.find(Kind::Sheet, item)?) {
        (Ok(entry), _) => entry,
        (Err(_), Some(sheet)) => desk.house.snapshot.newest(sheet)?,
        (Err(_), None) => {
            return Err(NoSuchName {
                what: Sought::Sheet,
                name: item.to_owned(),
                near: Vec::new(),
            }
            .into());
        }
    };
    let stored = desk.house.snapshot.entry(entry)?;
    let record = stored.record;
    let kinds = Linked::GOAL.kinds;
    if !kinds.iter().any(|kind| kind.stored() == stored.kind) {
        let words: Vec<&str> = kinds.iter().map(|kind| kind.word()).collect();
        let what = format!("is an entry of the kind {}", stored.kind_word());
        let right = format!("an entry of one of {}", words.join(", "));
        desk.fault("entry", &entry.to_string(), what, right);
    }
    let names = &desk.house.names;
    let worker = worker.map(|id| names.worker(id)).transpose()?;
    let dosimeter = match dosimeter.map(|id| (id, names.equipment_ref::<Dosimeter>(id))) {
        None => None,
        Some((_, Ok(Ref::Known(it)))) => Some(it),
        Some((id, Ok(Ref::Written(_)))) => Some(names.instrument(id)?.number().into()),
        Some((id, Err(kind))) => {
            let what = format!("is {}", with_article(kind));
            desk.fault("dosimeter", id, what, what_of(Dosimeter::GOAL));
            None
        }
    };
    if worker.is_some() {
        let sheet = match desk
            .house
            .snapshot
            .body(desk.house.snapshot.newest(record)?)?
        {
            Some(Body::Sheet(sheet)) => Some(sheet),
            _ => None,
        };
        let there = sheet.is_some_and(|sheet| {
            let mut mine = sheet.people.iter().filter(|it| it.worker.known() == worker);
            mine.any(|it| {
                let mut read = it.readings.iter();
                dosimeter.is_none() || read.any(|it| it.dosimeter.known() == dosimeter)
            })
        });
        if !there {
            let what = "has no such reading";
            let right = "the entry of a sheet, and a person and dosimeter on it";
            desk.fault("entry", &entry.to_string(), what, right);
        }
    }
    Ok(Body::from(EventLink {
        dosimeter,
        event: event.record.into(),
        record: record.into(),
        worker,
    }))
}
