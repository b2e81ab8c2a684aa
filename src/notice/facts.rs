//! What is known of an event, as the duties ask for it.

use serde::Serialize;

use crate::calendar::{Instant, Zone};
use crate::quantity::Dose;
use crate::rule::Quantity;

/// What is known of an event at a moment.
#[derive(Debug, Clone)]
pub struct Facts<'a> {
    /// The key of its kind.
    pub kind: &'a str,
    /// When it occurred.
    pub occurred: Instant,
    /// When somebody became aware of it.
    pub discovered: Instant,
    /// When the licensee learned of it; the discovery where nothing is said, the earlier side.
    pub learned: Option<Instant>,
    /// When the test was made that showed it.
    pub tested: Option<Instant>,
    /// The zone whose calendar counts the days.
    pub zone: Zone,
    /// Doses of the people in it, in the order in which they became known; of one person and
    /// quantity the last holds.
    pub doses: Vec<Assessed>,
    /// What their limits leave for the event.
    pub limits: Vec<Left>,
    /// People in it of whom there is no dose at all: it may have reached anything.
    pub unmeasured: Vec<String>,
    /// Answers to the questions of the rules, in the order of answering; the last holds.
    pub answers: Vec<Answered>,
    /// Notices that were given.
    pub done: Vec<Given>,
    /// Contents of reports that are on record: the duty's key and the content's.
    pub present: Vec<(String, String)>,
    /// Now.
    pub now: Instant,
}

/// What was known of one person's dose in one quantity from a moment on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assessed {
    /// Who.
    pub person: String,
    /// Which dose.
    pub quantity: Quantity,
    /// The known part.
    pub dose: Dose,
    /// It has no upper bound, or something is not in it.
    pub open: bool,
    /// Settled by a result or a determination; if not, readings alone.
    pub of_record: bool,
    /// When it became known. Readings are seen at the event and written later: for them a clock
    /// starts at the learning of the event where that is earlier.
    pub known_at: Instant,
    /// The entry whose clock cannot be trusted: the moment is the earliest that is possible.
    pub clock_doubted: Option<i64>,
}

/// What a limit leaves for one person's dose of the event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Left {
    /// Who.
    pub person: String,
    /// Which dose.
    pub quantity: Quantity,
    /// The limit, in words.
    pub limit: String,
    /// The limit without what the person received besides the event. It may be negative.
    pub left: Dose,
    /// Whether a dose equal to the limit counts as above it.
    pub at_or_above: bool,
    /// What the person received besides has no upper bound: any dose may be above.
    pub unsure: bool,
}

/// The answer to a question of a rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answered {
    /// The question's key; of the doses that nobody measured the duty's.
    pub question: String,
    /// Yes or no.
    pub yes: bool,
    /// When.
    pub at: Instant,
}

/// A notice that was given.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Given {
    /// The duty's key.
    pub duty: String,
    /// The start of the clock that it answers.
    pub from: Instant,
    /// When.
    pub at: Instant,
    /// By whom.
    pub by: String,
    /// Who was told.
    pub to: String,
    /// The authority's number.
    pub reference: Option<String>,
}

impl Facts<'_> {
    /// The answer that holds now; one that was given later does not.
    pub(super) fn answer(&self, question: &str) -> Option<&Answered> {
        let mut latest = self.answers.iter().rev();
        latest.find(|it| it.question == question && it.at <= self.now)
    }

    /// The notices that had been given by now.
    pub(super) fn given(&self) -> impl Iterator<Item = &Given> {
        self.done.iter().filter(|it| it.at <= self.now)
    }
}
