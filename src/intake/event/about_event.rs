//! What is written about an event, as it was typed.

use super::happening::NewHappening;
use crate::answer::{Moment, Roughly};
use crate::calendar::Day;
use crate::record::CauseType;

/// A line of the time line as it was typed.
#[derive(Debug, Clone)]
pub struct NewNote {
    /// When it was so.
    pub at: Roughly,
    /// `BARRIER=STATE`.
    pub barrier: Option<String>,
    /// The entry of an inspection against whose record it speaks.
    pub disputes: Option<i64>,
    /// An item of the checklist.
    pub item: Option<String>,
    /// Who says it.
    pub person: Option<String>,
    /// What happened.
    pub words: String,
}

/// A cause as it was typed.
#[derive(Debug, Clone)]
pub struct NewCause {
    /// From when it is believed; now where nothing is said.
    pub at: Option<Moment>,
    /// What it rests on.
    pub because: String,
    /// Equipment, component, failure mode; nothing here and in `human`: not found.
    pub found: Option<[String; 3]>,
    /// What people did or left out.
    pub human: Option<String>,
    /// The entry of the cause to which it led.
    pub leads_to: Option<i64>,
    /// How it counts beside others; nothing: it stands alone.
    pub kind: Option<CauseType>,
}

/// What is written about an event.
#[derive(Debug, Clone)]
pub enum AboutEvent {
    /// Something more that happened.
    Happening(NewHappening),
    /// A line of its time line.
    Note(NewNote),
    /// A cause, or that none was found.
    Cause(NewCause),
    /// An action.
    Action {
        /// Who does it.
        by: String,
        /// When it was done.
        done: Option<Day>,
        /// By when it is to be done.
        due: Option<Day>,
        /// The entry of the planned action that it carries out.
        plan: Option<i64>,
        /// What; of a planned action its own words where none are given.
        words: Option<String>,
    },
    /// A record that belongs to it.
    Link {
        /// A sheet's reference, or an entry of the record.
        item: String,
        /// Of a sheet: whose reading.
        worker: Option<String>,
        /// Of a sheet: of which dosimeter.
        dosimeter: Option<String>,
    },
    /// The answer to a question of a rule.
    Answer(NewAnswer),
    /// A notice that was given.
    Given(NewNotification),
    /// Its end.
    End {
        /// The id of the RSO or designee.
        by: String,
        /// The day; today where none is given.
        on: Option<Day>,
        /// What was concluded.
        words: String,
    },
}

/// An answer as it was typed.
#[derive(Debug, Clone)]
pub struct NewAnswer {
    /// The key of a question, or of a duty whose dose nobody measured.
    pub question: String,
    /// Yes or no.
    pub yes: bool,
    /// What it rests on.
    pub because: String,
    /// When it was answered; now where nothing is said.
    pub at: Option<Moment>,
}

/// A notice as it was typed.
#[derive(Debug, Clone)]
pub struct NewNotification {
    /// The key of a report, or of one duty.
    pub duty: String,
    /// Who gave it.
    pub by: String,
    /// Who was told.
    pub to: String,
    /// When; now where nothing is said.
    pub at: Option<Moment>,
    /// The start of the clock that it answers; the oldest that is open where nothing is said.
    pub from: Option<Moment>,
    /// The authority's number.
    pub reference: Option<String>,
}

impl AboutEvent {
    /// Whether duties to give notice can turn on it.
    pub(crate) fn turns_duties(&self) -> bool {
        match self {
            Self::Happening(_) | Self::Cause(_) | Self::Link { .. } => true,
            Self::Answer(_) | Self::Given(_) => true,
            Self::Note(_) | Self::Action { .. } | Self::End { .. } => false,
        }
    }
}

/// People of an event as they were typed.
#[derive(Debug, Clone, Default)]
pub struct NewPeople {
    /// People whose dosimeter is not in question: `ID=what the person did`.
    pub people: Vec<String>,
    /// People without a dosimeter: `NAME=what the person did`.
    pub unmonitored: Vec<String>,
    /// People who are no workers: `WHO=WHAT; CATEGORY; HOW MANY; DOSE`.
    pub bystanders: Vec<String>,
    /// Parts of the body that may have been near an unshielded source: `ID=PART`.
    pub near: Vec<String>,
}
