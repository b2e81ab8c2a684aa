//! What went wrong, told item by item: the event itself, lines of its time
//! line, causes as they were believed, actions, records that belong to it, and
//! its end. Each thing learned is a record of its own, so that what was known
//! when stays readable.

use chrono::TimeDelta;
use serde::{Deserialize, Serialize};

use super::body::Record;
use super::field::{RecordId, fields};
use super::inspection::Inspection;
use super::job::Job;
use super::kind::Kind;
use super::problem::{Problem, need_id, need_when};
use super::reference::{Id, Ref};
use super::words::{Words, words};
use super::worker::Worker;
use super::{Dosimeter, Item, Linked};
use crate::calendar::{Day, Instant, When, parse_instant};
use crate::quantity::Dose;

words! {
    /// Somebody in an event who is no worker of this license.
    Bystander {
        /// Anybody: the limits for members of the public hold.
        Public = "member of the public",
        /// Of another firm at the job; the same limits, unless that firm monitors them.
        OtherFirm = "worker of another firm",
        /// Fire brigade, police, ambulance.
        Emergency = "emergency worker",
    }
}

/// One person of an event, or a group.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EventPerson {
    /// Of somebody who is no worker of this license: which rules hold for the dose.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub category: Option<Bystander>,
    /// Of a group: how many.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<i64>,
    /// Of somebody without a dosimeter: the estimated deep dose at the most, nanosievert.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high_nsv: Option<Dose>,
    /// And at the least.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low_nsv: Option<Dose>,
    /// Whether a dosimeter was worn. Nothing said counts as not.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub monitored: Option<bool>,
    /// Parts of the body that may have been near an unshielded source.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub near: Vec<NearPart>,
    /// Who.
    pub person: Ref<Worker>,
    /// What the person did, in words, such as `retrieved the source`.
    pub role: String,
}

fields! { EventPerson {
    category,
    count,
    high_nsv.shown("dose_high"),
    low_nsv.shown("dose_low"),
    monitored,
    near.between(" "),
    person.anybody(), role.needs("`ID=what the person did`"),
} }

/// An event as it was opened.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Event {
    /// When somebody became aware of it: local time with its offset, or what is known of it.
    pub discovered: String,
    /// The equipment and instruments in it.
    pub equipment: Vec<Id<Item>>,
    /// The job.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub job: Option<Id<Job>>,
    /// The key of an event kind of the rule set.
    pub kind: String,
    /// Its name, such as `E-1`.
    pub name: String,
    /// When it happened: local time with its offset, or what is known of it.
    pub occurred: String,
    /// Who had a part in it.
    pub people: Vec<EventPerson>,
    /// Where, in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    /// The first words about it.
    pub words: String,
}

fields! { Event {
    discovered,
    equipment.between(" "),
    job,
    kind.needs("a kind of the rule set"),
    name,
    occurred,
    people,
    place,
    words.needs("what happened"),
} }

words! {
    /// What stands between a source that is not home and a person.
    Barrier {
        /// The check of the coupling at a set-up.
        MatingCheck = "mating check",
        /// The survey after the exposure (10 CFR 34.49).
        Survey = "survey",
        /// The alarm ratemeter.
        Ratemeter = "alarm ratemeter",
        /// The dosimeter that shows its reading.
        Dosimeter = "dosimeter",
    }
}

words! {
    /// How a barrier stood.
    BarrierState {
        /// It was there and worked.
        Present = "present",
        /// It was not there, or not done.
        Absent = "absent",
        /// It was there, switched off or dead.
        Off = "off",
        /// It warned, and nobody acted.
        Unheeded = "unheeded",
    }
}

/// A line of an event's time line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EventNote {
    /// When it was so: local time with its offset, or what is known of it.
    pub at: String,
    /// The barrier that it tells of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub barrier: Option<Barrier>,
    /// The inspection against whose record it speaks.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub disputes: Option<Id<Inspection>>,
    /// The event.
    pub event: Id<Event>,
    /// The checklist's item that it speaks of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub item: Option<String>,
    /// Who says it, or of whom it tells.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub person: Option<Ref<Worker>>,
    /// How the barrier stood.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub state: Option<BarrierState>,
    /// What happened.
    pub words: String,
}

fields! { EventNote {
    at, barrier, disputes, event, item, person.anybody(), state, words.needs("what happened"),
} }

words! {
    /// A part of the body that handled an unshielded source or a tube that held one, or came
    /// within a foot (0.3 m) of it: no dosimeter elsewhere on the body measured its dose.
    NearPart {
        /// A hand.
        Hand = "hand",
        /// A foot.
        Foot = "foot",
        /// The head: its lens.
        Head = "head",
        /// The trunk, and with it the whole body.
        Trunk = "trunk",
    }
}

/// Something that is to be done, or was, so that it does not happen again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EventAction {
    /// Who does it.
    pub by: String,
    /// When it was done.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub done_on: Option<Day>,
    /// By when it is to be done.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub due_on: Option<Day>,
    /// The event.
    pub event: Id<Event>,
    /// The planned action that this one carries out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plan: Option<Id<EventAction>>,
    /// What.
    pub words: String,
}

fields! { EventAction {
    by.shown("performed_by").needs("who does it"),
    done_on.shown("done"),
    due_on.shown("due"),
    event,
    plan.shown("carries_out"),
    words.needs("what is to be done"),
} }

/// A record that belongs to an event.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EventLink {
    /// Of a sheet: the dosimeter of one reading.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dosimeter: Option<Id<Dosimeter>>,
    /// The event.
    pub event: Id<Event>,
    /// The sheet, badge, result, determination, inspection, servicing or part.
    pub record: Id<Linked>,
    /// Of a sheet: the person of one reading.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worker: Option<Id<Worker>>,
}

fields! { EventLink { dosimeter, event, record.shown("entry"), worker } }

/// The end of an investigation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EventEnd {
    /// The RSO or designee who closes it.
    pub by: Id<Worker>,
    /// The event.
    pub event: Id<Event>,
    /// The day.
    pub on: Day,
    /// What was concluded.
    pub words: String,
}

fields! { EventEnd {
    by.shown("performed_by"), event, on, words.needs("what was concluded"),
} }

/// Lists a problem when a moment cannot be read.
pub(super) fn need_moment(problems: &mut Vec<Problem>, field: &str, text: &str) -> Option<Instant> {
    match parse_instant(text) {
        Ok(at) => Some(at.to_utc()),
        Err(error) => {
            let right = "a local time with its offset, such as `2026-05-19T13:40-05:00`";
            problems.push(Problem::new(field, text, error.to_string(), right));
            None
        }
    }
}

/// Whether one moment surely was before another, whatever zone their days are of.
fn surely_before(one: &When, other: &When) -> bool {
    let slack = match one.is_exact() && other.is_exact() {
        true => TimeDelta::zero(),
        false => TimeDelta::days(1),
    };
    let (latest, earliest) = (one.latest, other.earliest);
    latest
        .zip(earliest)
        .is_some_and(|(one, other)| one + slack < other)
}

impl Record for Event {
    const KIND: Kind = Kind::Event;

    fn about(&self) -> Option<Day> {
        // Nobody knew of it before it was discovered.
        When::first_day(&self.discovered).max(When::first_day(&self.occurred))
    }

    fn key(&self) -> String {
        self.name.clone()
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need_id(&mut problems, "name", &self.name);
        let occurred = need_when(&mut problems, "occurred", &self.occurred);
        let discovered = need_when(&mut problems, "discovered", &self.discovered);
        if let (Some(occurred), Some(discovered)) = (occurred, discovered)
            && surely_before(&discovered, &occurred)
        {
            problems.push(Problem::new(
                "discovered",
                &self.discovered,
                format!("is before it occurred, {}", self.occurred),
                "when someone became aware of it, at that moment or later",
            ));
        }
        for it in &self.people {
            let who = it.person.written().unwrap_or_default();
            if it
                .low_nsv
                .zip(it.high_nsv)
                .is_some_and(|(low, high)| high < low)
            {
                let right = "the higher of the two last";
                problems.push(Problem::new(
                    "dose_high",
                    who,
                    "is below the lower end",
                    right,
                ));
            }
            if it.count.is_some_and(|it| it < 1) {
                problems.push(Problem::new(
                    "count",
                    who,
                    "names no one",
                    "how many people, 1 or more",
                ));
            }
        }
        for (at, it) in self.people.iter().enumerate() {
            if self
                .people
                .iter()
                .take(at)
                .any(|other| other.person == it.person)
            {
                problems.push(Problem::new(
                    "person",
                    it.person.written().unwrap_or_default(),
                    "is named twice",
                    "each person once, with everything that the person did",
                ));
            }
        }
        if (1..self.equipment.len()).any(|at| {
            let (before, rest) = self.equipment.split_at(at);
            rest.first().is_some_and(|it| before.contains(it))
        }) {
            let right = "each item once";
            problems.push(Problem::new("equipment", "", "is named twice", right));
        }
        problems
    }
}

impl Record for EventNote {
    const KIND: Kind = Kind::EventNote;

    fn about(&self) -> Option<Day> {
        When::first_day(&self.at)
    }

    fn key(&self) -> String {
        format!("{}/{}/{}", self.event, self.at, self.words)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need_when(&mut problems, "at", &self.at);
        if self.barrier.is_some() != self.state.is_some() {
            let right = format!(
                "`BARRIER=STATE`: {}; {}",
                Barrier::list(),
                BarrierState::list()
            );
            problems.push(Problem::missing("barrier", right));
        }
        problems
    }
}

impl Record for EventAction {
    const KIND: Kind = Kind::EventAction;

    fn about(&self) -> Option<Day> {
        self.done_on
    }

    fn key(&self) -> String {
        match self.plan {
            Some(plan) => format!("{}/done/{plan}", self.event),
            None => format!("{}/{}", self.event, self.words),
        }
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        if self.done_on.is_none() && self.due_on.is_none() {
            let right = "the day by which it is to be done, or --done with the day on which it was";
            problems.push(Problem::missing("due", right));
        }
        if self.plan.is_some() && self.done_on.is_none() {
            problems.push(Problem::missing("done", "the day on which it was done"));
        }
        problems
    }
}

impl Record for EventLink {
    const KIND: Kind = Kind::EventLink;

    fn key(&self) -> String {
        let part = |it: Option<RecordId>| it.map(|it| format!("/{it}")).unwrap_or_default();
        let worker = part(self.worker.map(Id::number));
        let dosimeter = part(self.dosimeter.map(Id::number));
        format!("{}/{}{worker}{dosimeter}", self.event, self.record)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        if self.dosimeter.is_some() && self.worker.is_none() {
            let right = "whose reading it is";
            problems.push(Problem::missing("worker", right));
        }
        problems
    }
}

impl Record for EventEnd {
    const KIND: Kind = Kind::EventEnd;

    fn about(&self) -> Option<Day> {
        Some(self.on)
    }

    fn key(&self) -> String {
        self.event.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn event(occurred: &str, discovered: &str) -> Event {
        Event {
            discovered: discovered.to_owned(),
            equipment: vec![9.into()],
            job: None,
            kind: "disconnect".to_owned(),
            name: "E-1".to_owned(),
            occurred: occurred.to_owned(),
            people: Vec::new(),
            place: None,
            words: "the source stayed out".to_owned(),
        }
    }

    fn fields(problems: &[Problem]) -> Vec<&str> {
        problems.iter().map(|it| it.field.as_str()).collect()
    }

    #[test]
    fn an_event_is_not_discovered_before_it_occurred_whatever_the_offsets_look_like() {
        let fine = event("2026-05-19T13:40-05:00", "2026-05-19T13:40-05:00");
        assert_eq!(fields(&fine.problems()), [""; 0]);
        // 13:40 in the east is an hour before 13:40 here.
        let early = event("2026-05-19T13:40-05:00", "2026-05-19T13:40-04:00");
        assert_eq!(fields(&early.problems()), ["discovered"]);
        let no_offset = event("2026-05-19T13:40", "2026-05-19T14:40-05:00");
        assert_eq!(fields(&no_offset.problems()), ["occurred"]);
    }

    #[test]
    fn a_equipment_and_a_person_stand_once() {
        let mut twice = event("2026-05-19T13:40-05:00", "2026-05-19T13:40-05:00");
        twice.equipment = vec![9.into(), 4.into(), 9.into()];
        twice.people = vec![
            EventPerson {
                category: None,
                count: None,
                high_nsv: None,
                low_nsv: None,
                monitored: None,
                near: Vec::new(),
                person: Ref::Known(3.into()),
                role: "cranked".to_owned(),
            };
            2
        ];
        assert_eq!(fields(&twice.problems()), ["person", "equipment"]);
    }
}
