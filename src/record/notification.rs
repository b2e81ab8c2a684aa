//! What an event asks of the RSO besides its cause: answers to the questions of
//! a rule, notices that were given, and conclusions on what an item of the
//! checklist could have shown.

use serde::{Deserialize, Serialize};

use super::event::need_moment;
use super::field::fields;
use super::words::words;
use super::{Event, Id, Item, Kind, Problem, Record, Worker};
use crate::calendar::{Day, When};

/// The answer to a question that a rule asks about an event.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DutyAnswer {
    /// Yes or no.
    pub answer: bool,
    /// When it was answered: local time with its offset.
    pub at: String,
    /// The event.
    pub event: Id<Event>,
    /// The key of the question in the rule set.
    pub question: String,
    /// What the answer rests on.
    pub reason: String,
}

fields! { DutyAnswer {
    answer, at, event, question.needs("its key"), reason.shown("because").needs("what it rests on"),
} }

/// A notice that was given.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DutyDone {
    /// When: local time with its offset.
    pub at: String,
    /// Who gave it.
    pub by: String,
    /// The key of the duty in the rule set.
    pub duty: String,
    /// The event.
    pub event: Id<Event>,
    /// The start of the clock that it answers: one duty can have several.
    pub from: String,
    /// The authority's number, where it gave one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reference: Option<String>,
    /// Who was told.
    pub to: String,
}

fields! { DutyDone {
    at,
    by.shown("performed_by").needs("who made the report"),
    duty.needs("its key"),
    event,
    from,
    reference,
    to.needs("who was notified"),
} }

words! {
    /// Whether an item of the checklist could have shown a failure.
    Coverage {
        /// A good look at it shows it.
        CanDetect = "can detect",
        /// Another mechanism, another place, or below what the gauge shows.
        CannotDetect = "cannot detect",
        /// Nothing looks for this.
        NoItem = "no item",
        /// It arose in use, after the last inspection.
        AroseAfter = "arose after the last look" shown "arose after the last inspection",
        /// Not known.
        NotEstablished = "not established",
    }
}

/// The RSO's conclusion on one item for one event.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Conclusion {
    /// What it rests on.
    pub because: String,
    /// The RSO or designee.
    pub by: Id<Worker>,
    /// Whether the item could have shown it.
    pub coverage: Coverage,
    /// The item that was looked at, or should have been; nothing where it is about a barrier.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub equipment: Option<Id<Item>>,
    /// The event.
    pub event: Id<Event>,
    /// The item's key, or the barrier.
    pub item: String,
    /// The day.
    pub on: Day,
}

fields! { Conclusion {
    because.needs("what it rests on"),
    by.shown("performed_by"),
    coverage,
    equipment,
    event,
    item.needs("the item's key"),
    on,
} }

impl Record for DutyAnswer {
    const KIND: Kind = Kind::DutyAnswer;

    fn about(&self) -> Option<Day> {
        When::first_day(&self.at)
    }

    fn key(&self) -> String {
        format!("{}/{}/{}", self.event, self.question, self.at)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need_moment(&mut problems, "at", &self.at);
        problems
    }
}

impl Record for DutyDone {
    const KIND: Kind = Kind::DutyDone;

    fn about(&self) -> Option<Day> {
        When::first_day(&self.at)
    }

    fn key(&self) -> String {
        format!("{}/{}/{}", self.event, self.duty, self.from)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need_moment(&mut problems, "at", &self.at);
        need_moment(&mut problems, "from", &self.from);
        problems
    }
}

impl Record for Conclusion {
    const KIND: Kind = Kind::Conclusion;

    fn about(&self) -> Option<Day> {
        Some(self.on)
    }

    fn key(&self) -> String {
        match self.equipment {
            Some(equipment) => format!("{}/{equipment}/{}", self.event, self.item),
            None => format!("{}/barrier/{}", self.event, self.item),
        }
    }
}
