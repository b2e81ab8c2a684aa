//! What happened in an event besides what it was opened with.

use serde::{Deserialize, Serialize};

use super::body::Record;
use super::event::Event;
use super::field::fields;
use super::kind::Kind;
use super::problem::{Problem, need_when};
use super::reference::Id;
use crate::calendar::{Day, When};

/// Something that happened in an event besides what it was opened with: a source that came off
/// and then could not be found is both.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EventHappening {
    /// When: local time with its offset, or what is known of it.
    pub at: String,
    /// The event.
    pub event: Id<Event>,
    /// The key of an event kind of the rule set.
    pub happening: String,
    /// What is known about it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub words: Option<String>,
}

fields! { EventHappening { at, event, happening.needs("a kind of the rule set"), words } }

impl Record for EventHappening {
    const KIND: Kind = Kind::EventHappening;

    fn about(&self) -> Option<Day> {
        When::first_day(&self.at)
    }

    fn key(&self) -> String {
        format!("{}/{}", self.event, self.happening)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need_when(&mut problems, "at", &self.at);
        problems
    }
}
