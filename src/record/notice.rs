//! What an event asks of the RSO besides its cause: answers to the questions of
//! a rule, notices that were given, and conclusions on what an item of the
//! checklist could have shown.

use serde::{Deserialize, Serialize};

use super::event::need_moment;
use super::problem::need;
use super::words::words;
use super::{Kind, Pointer, Problem, Record, RecordId};
use crate::calendar::Day;

/// The answer to a question that a rule asks about an event.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DutyAnswer {
    /// Yes or no.
    pub answer: bool,
    /// When it was answered: local time with its offset.
    pub at: String,
    /// The event.
    pub event: RecordId,
    /// The key of the question in the scheme.
    pub question: String,
    /// What the answer rests on.
    pub reason: String,
}

/// A notice that was given.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DutyDone {
    /// When: local time with its offset.
    pub at: String,
    /// Who gave it.
    pub by: String,
    /// The key of the duty in the scheme.
    pub duty: String,
    /// The event.
    pub event: RecordId,
    /// The start of the clock that it answers: one duty can have several.
    pub from: String,
    /// The authority's number, where it gave one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reference: Option<String>,
    /// Who was told.
    pub to: String,
}

words! {
    /// Whether an item of the checklist could have shown a failure.
    Coverage {
        /// A good look at it shows it.
        CanDetect = "can detect",
        /// Another mechanism, another place, or below what the gauge shows.
        CannotDetect = "cannot detect",
        /// Nothing looks for this.
        NoItem = "no item",
        /// It arose in use, after the last look.
        AroseAfter = "arose after the last look",
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
    pub by: RecordId,
    /// Whether the item could have shown it.
    pub coverage: Coverage,
    /// The piece that was looked at, or should have been.
    pub equipment: RecordId,
    /// The event.
    pub event: RecordId,
    /// The item's key.
    pub item: String,
    /// The day.
    pub on: Day,
}

impl Record for DutyAnswer {
    const KIND: Kind = Kind::DutyAnswer;

    fn key(&self) -> String {
        format!("{}/{}/{}", self.event, self.question, self.at)
    }

    fn problems(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need(&mut problems, "question", &self.question, "its key");
        need(&mut problems, "because", &self.reason, "what it rests on");
        need_moment(&mut problems, "at", &self.at);
        problems
    }

    fn references(&self) -> Vec<Pointer> {
        vec![Pointer::event(self.event)]
    }
}

impl Record for DutyDone {
    const KIND: Kind = Kind::DutyDone;

    fn key(&self) -> String {
        format!("{}/{}/{}", self.event, self.duty, self.from)
    }

    fn problems(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need(&mut problems, "duty", &self.duty, "its key");
        need(&mut problems, "by", &self.by, "who gave the notice");
        need(&mut problems, "to", &self.to, "who was told");
        need_moment(&mut problems, "at", &self.at);
        need_moment(&mut problems, "from", &self.from);
        problems
    }

    fn references(&self) -> Vec<Pointer> {
        vec![Pointer::event(self.event)]
    }
}

impl Record for Conclusion {
    const KIND: Kind = Kind::Conclusion;

    fn key(&self) -> String {
        format!("{}/{}/{}", self.event, self.equipment, self.item)
    }

    fn problems(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need(&mut problems, "item", &self.item, "the item's key");
        need(&mut problems, "because", &self.because, "what it rests on");
        problems
    }

    fn references(&self) -> Vec<Pointer> {
        vec![
            Pointer::event(self.event),
            Pointer::item(self.equipment),
            Pointer::worker(self.by),
        ]
    }
}
