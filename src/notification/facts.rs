//! What is known of an event, as the duties ask for it.

use serde::Serialize;

use crate::calendar::{Instant, Zone};
use crate::quantity::Dose;
use crate::rule::{Authority, Measured, Quantity};

/// What is known of an event at a moment.
#[derive(Debug, Clone)]
pub struct Facts {
    /// Everything that happened in it, the kind that it was opened with among it, and a
    /// component that a cause names.
    pub happenings: Vec<Happening>,
    /// When it occurred.
    pub occurred: Start,
    /// When somebody became aware of it.
    pub discovered: Start,
    /// The category of the sources in it, in words; nothing where it cannot be told.
    pub category: Option<Category>,
    /// Whom to tell at the job; nothing where the rule set does not say.
    pub authority: Option<Authority>,
    /// When the test was made that showed it.
    pub tested: Option<Instant>,
    /// The zone whose calendar counts the days.
    pub zone: Zone,
    /// Doses of the people in it, in the order in which they became known; of one person and
    /// quantity the last holds.
    pub doses: Vec<Assessed>,
    /// What their limits leave for the event.
    pub limits: Vec<Left>,
    /// People in it of whom nobody measured some dose: it may have reached anything.
    pub unmeasured: Vec<Unmeasured>,
    /// Answers to the questions of the rules, in the order of answering; the last holds.
    pub answers: Vec<Answered>,
    /// Notices that were given.
    pub done: Vec<Given>,
    /// Contents of reports that are on record: the duty's key and the content's.
    pub present: Vec<(String, String)>,
    /// Now.
    pub now: Instant,
}

/// Something that happened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Happening {
    /// The key of an event kind, or what stands for a failed component.
    pub key: String,
    /// The entry that says so.
    pub entry: i64,
    /// When, where it has a moment of its own; nothing: with the event.
    pub at: Option<Start>,
}

/// From when a clock can count.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Start {
    /// The moment; of one that is not known to the minute the earliest that is possible.
    pub at: Instant,
    /// Why that one, where it is not known to the minute.
    pub taken: Option<String>,
}

/// The category of the sources in an event, all of them together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Category {
    /// Whether they are of category 2 or more.
    pub two: bool,
    /// Whether they are of category 1.
    pub one: bool,
    /// By what, in words.
    pub words: String,
}

/// Somebody of whom nobody measured some dose.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unmeasured {
    /// Who.
    pub person: String,
    /// Which doses.
    pub quantities: Vec<Quantity>,
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
    /// Resolved by a result or a determination; if not, readings alone.
    pub of_record: bool,
    /// Whether a result in it waits to be accepted: it is measured, and not of record yet.
    pub reported: bool,
    /// When it became known. Readings are seen at the event and written later: for them a clock
    /// starts at the learning of the event where that is earlier.
    pub known_at: Instant,
    /// The entry whose clock cannot be trusted: the moment is the earliest that is possible.
    pub clock_doubted: Option<i64>,
}

impl Assessed {
    /// How sure it is, in a word.
    pub fn class(&self) -> &'static str {
        match (self.of_record, self.reported) {
            (true, false) => "of record",
            (true, true) => "reported, not accepted yet",
            (false, _) => "provisional",
        }
    }
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
    /// The entry that says so.
    pub entry: i64,
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

impl Facts {
    /// The answer that holds now; one that was given later does not.
    pub(super) fn answer(&self, question: &str) -> Option<&Answered> {
        let answers = self.answers.iter();
        answers
            .filter(|it| it.question == question && it.at <= self.now)
            .max_by_key(|it| (it.at, it.entry))
    }

    /// What the program finds out itself; nothing where it cannot.
    pub(super) fn measured(&self, what: Measured) -> Option<(Known, String)> {
        let found = self.category.as_ref()?;
        let is = match what {
            Measured::CategoryTwo => found.two,
            Measured::CategoryOne => found.one,
        };
        let known = if is { Known::Yes } else { Known::No };
        Some((known, found.words.clone()))
    }

    /// The notices that had been given by now.
    pub(super) fn given(&self) -> impl Iterator<Item = &Given> {
        self.done.iter().filter(|it| it.at <= self.now)
    }
}

/// Whether something is so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Known {
    /// It is.
    Yes,
    /// It is not.
    No,
    /// Nobody knows.
    Unknown,
}
