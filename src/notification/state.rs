//! How a duty stands.

use serde::{Serialize, Serializer};

use super::fact::FactState;
use super::facts::Given;
use crate::calendar::Instant;
use crate::rule::{Clock, How, KeyedText, Within};

/// Whether a duty arises.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Applies {
    /// It does.
    Yes,
    /// It may: something is not answered or not known, which counts as yes.
    May,
    /// It arises once something is known that nobody knows yet: its clock counts from then.
    Waits,
    /// It does not.
    No,
}

impl Applies {
    /// As printed.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Yes => "applies",
            Self::May => "may apply",
            Self::Waits => "waits",
            Self::No => "does not apply",
        }
    }
}

impl Serialize for Applies {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.word())
    }
}

/// How it stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// Not done, and past.
    Overdue,
    /// Not done, and in time.
    Open,
    /// Its clock starts when another duty is done, which it is not.
    NotBegun,
    /// Its clock starts when something becomes known.
    Waits,
    /// Done.
    Done(Given),
    /// It does not arise.
    NotApplicable,
}

/// How it stands, without who gave the notice; in the order in which somebody must act.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Progress {
    /// Not done, and past.
    Overdue,
    /// Not done, and in time.
    Open,
    /// Its clock starts when another duty is done, which it is not.
    NotBegun,
    /// Its clock starts when something becomes known.
    Waits,
    /// Done.
    Done,
    /// It does not arise.
    NotApplicable,
}

impl Progress {
    /// As printed.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Overdue => "overdue",
            Self::Open => "open",
            Self::NotBegun => "not begun",
            Self::Waits => "waits",
            Self::Done => "done",
            Self::NotApplicable => "does not apply",
        }
    }

    /// Whether somebody still has to do it.
    pub const fn is_open(self) -> bool {
        matches!(self, Self::Overdue | Self::Open | Self::NotBegun)
    }
}

impl Serialize for Progress {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.word())
    }
}

impl State {
    /// How it stands, in a word.
    pub const fn progress(&self) -> Progress {
        match self {
            State::Overdue => Progress::Overdue,
            State::Open => Progress::Open,
            State::NotBegun => Progress::NotBegun,
            State::Waits => Progress::Waits,
            State::Done(_) => Progress::Done,
            State::NotApplicable => Progress::NotApplicable,
        }
    }
}

/// Something that a report must contain.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Content {
    /// Its key.
    pub key: String,
    /// What it is.
    pub text: String,
    /// Whether the ledger has it.
    pub present: bool,
}

/// One clock of one duty.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DutyState {
    /// The duty's key.
    pub duty: String,
    /// The report that serves it, together with others that it serves.
    pub report: String,
    /// What is to be done.
    pub what: String,
    /// Its rule, and whether that text was read.
    pub citation: String,
    /// By telephone or in writing.
    pub how: How,
    /// Whom.
    pub to: String,
    /// What the rule means.
    pub meaning: String,
    /// Whether it arises.
    pub applies: Applies,
    /// Why, or why not.
    pub because: Vec<String>,
    /// Questions that nobody answered.
    pub unanswered: Vec<KeyedText>,
    /// People with a dose that nobody knows and of whom nobody said that it cannot be so much.
    pub unmeasured: Vec<String>,
    /// The newest entry that says that it does not arise; nothing where none does.
    pub not_since: Option<i64>,
    /// What starts its clock.
    pub clock: Clock,
    /// How long there is.
    pub within: Within,
    /// The rule set whose time that is, for want of one of the authority's own; nothing where it is
    /// the authority's, or is no time at all.
    pub time_of: Option<String>,
    /// When the clock started; nothing where it has not.
    pub start: Option<Instant>,
    /// Which fact started it.
    pub start_words: String,
    /// By when.
    pub deadline: Option<Instant>,
    /// The deadline is only the latest that it can be: the clock has not started.
    pub latest: bool,
    /// Minutes left now, or when it was done; negative where late.
    pub left_minutes: Option<i64>,
    /// How it stands.
    pub state: State,
    /// What it must contain.
    pub contents: Vec<Content>,
}

impl DutyState {
    /// Whether somebody still has to do it.
    pub fn is_open(&self) -> bool {
        self.state.progress().is_open()
    }

    /// What it must contain and the ledger does not have.
    pub fn missing(&self) -> impl Iterator<Item = &Content> {
        self.contents.iter().filter(|it| !it.present)
    }
}

/// The duties of an event.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Notifications {
    /// A clock each, the most pressing first: every duty of the rule set has one.
    pub duties: Vec<DutyState>,
    /// What they turn on.
    pub facts: Vec<FactState>,
    /// Notices that were given for a clock that is none of these: facts were changed since.
    pub stray: Vec<Given>,
    /// What to do where the rule set knows no duties.
    pub ask: Option<String>,
}

/// Whole minutes from a moment to another, rounded down: a minute begun is not left.
pub(super) fn minutes_left(deadline: Instant, from: Instant) -> i64 {
    deadline
        .signed_duration_since(from)
        .num_seconds()
        .div_euclid(60)
}
