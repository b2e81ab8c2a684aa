//! What may be written into the ledger: one file a kind. Each kind names its
//! key, checks itself and lists what it refers to. Uses `quantity`, `calendar`
//! and nothing above them; knows no table and no clock.
//!
//! Fields stand in alphabetical order in every struct, because the canonical
//! form of a body sorts its keys and is written straight from the struct;
//! `Body::canonical` and its tests hold that.

mod adoption;
mod badge;
mod charter;
mod decision;
mod determination;
mod equipment;
mod event;
mod inspection;
mod instrument;
mod job;
mod mapping;
mod notice;
mod prior_dose;
mod problem;
mod qualification;
mod reference;
mod review;
mod sheet;
mod upkeep;
mod words;
mod worker;

pub use adoption::Adoption;
pub use badge::{
    Acceptance, Badge, BadgeChange, BadgeEvent, BadgeResult, BadgeSort, OfRecord, Reported,
    Settlement,
};
pub use charter::{Charter, ClockSort};
pub use decision::{Decision, Outcome, Ruling};
use determination::dose_problem;
pub use determination::{
    Determination, DoseQuantity, Method, PlannedExposure, Relation, Resolution, Scope, Version,
};
pub use equipment::{Equipment, EquipmentSort, ServiceReturn, Withdrawal};
pub use event::{
    Barrier, BarrierState, Event, EventAction, EventCause, EventEnd, EventLink, EventNote,
    EventPerson,
};
pub use inspection::{FittedPart, Inspection, Line, LineResult, ListAdoption, Occasion};
pub use instrument::{
    Check, CheckPoint, CheckResult, CheckSort, Instrument, InstrumentSort, Scale,
};
pub use job::{Job, Setting};
pub use mapping::Mapping;
pub use notice::{Conclusion, Coverage, DutyAnswer, DutyDone};
pub use prior_dose::{MissingQuarter, PriorDose};
pub use problem::Problem;
pub use qualification::{Qualification, QualificationSort};
pub use reference::{Pointer, RecordId, Ref};
pub use review::{Review, SignedFigure};
pub use sheet::{Doubt, DoubtSort, Paper, Person, Reading, Sheet, ShiftName, Work};
pub use upkeep::{Inventory, LeakPart, LeakTest, Loading, Servicing, ServicingSort};
pub use words::Words;
pub use worker::{
    Authorization, Category, Monitoring, MonitoringChange, Pregnancy, PregnancyEnd,
    PregnancyEnding, Role, RoleChange, Worker,
};

use serde::Serialize;
use serde::de::DeserializeOwned;

/// One kind of record: how it names itself, what it refuses of its own accord
/// and which other records it points to.
pub trait Record: Serialize + DeserializeOwned + Clone + PartialEq {
    /// The kind's word, as stored in `entry.kind`.
    const KIND: Kind;

    /// What makes two records of this kind the same thing.
    fn key(&self) -> String;

    /// What this record cannot mean, each with the field and what would be right.
    fn problems(&self) -> Vec<Problem>;

    /// The records that this one points to.
    fn references(&self) -> Vec<Pointer>;

    /// The record without what the program itself added when it was written
    /// (the doubts of a sheet or a badge): the part by which two are compared.
    fn content(&self) -> Self {
        self.clone()
    }
}

/// A body that does not fit its kind: the ledger holds something this program
/// did not write.
#[derive(Debug, thiserror::Error)]
#[error("the body of a `{kind}` entry cannot be read: {detail}")]
pub struct UnreadableBody {
    /// The entry's kind as stored.
    pub kind: String,
    /// What the parser said.
    pub detail: String,
}

macro_rules! kinds {
    ($($variant:ident = $word:literal),+ $(,)?) => {
        /// Every kind of record that the ledger knows.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Kind { $(#[doc = $word] $variant),+ }

        impl Kind {
            /// All kinds, in the order in which help texts list them.
            pub const ALL: &'static [Kind] = &[$(Kind::$variant),+];

            /// The word stored in `entry.kind` and shown to people.
            pub fn word(self) -> &'static str {
                match self { $(Kind::$variant => $word),+ }
            }

            /// The kind with this word.
            pub fn from_word(word: &str) -> Option<Kind> {
                match word { $($word => Some(Kind::$variant),)+ _ => None }
            }
        }

        /// The content of one entry.
        #[derive(Debug, Clone, PartialEq)]
        pub enum Body { $(#[doc = $word] $variant(Box<$variant>)),+ }

        impl Body {
            /// The kind of this body.
            pub fn kind(&self) -> Kind {
                match self { $(Body::$variant(_) => Kind::$variant),+ }
            }

            /// See [`Record::key`].
            pub fn key(&self) -> String {
                match self { $(Body::$variant(it) => it.key()),+ }
            }

            /// See [`Record::problems`].
            pub fn problems(&self) -> Vec<Problem> {
                match self { $(Body::$variant(it) => it.problems()),+ }
            }

            /// See [`Record::references`].
            pub fn references(&self) -> Vec<Pointer> {
                match self { $(Body::$variant(it) => it.references()),+ }
            }

            /// See [`Record::content`].
            pub fn content(&self) -> Body {
                match self { $(Body::$variant(it) => Body::$variant(Box::new(it.content()))),+ }
            }

            /// The bytes that are stored and hashed: JSON with sorted keys, no
            /// spaces, no nulls, no floats.
            pub fn canonical(&self) -> String {
                match self { $(Body::$variant(it) => canonical(&**it)),+ }
            }

            /// Reads a stored body of this kind and version.
            pub fn read(kind: Kind, version: i64, text: &str) -> Result<Body, UnreadableBody> {
                if version != CURRENT_VERSION {
                    return Err(UnreadableBody {
                        kind: kind.word().to_owned(),
                        detail: format!("version {version} is not known to this program"),
                    });
                }
                match kind {
                    $(Kind::$variant => serde_json::from_str(text)
                        .map(|it| Body::$variant(Box::new(it)))
                        .map_err(|e| UnreadableBody {
                            kind: kind.word().to_owned(),
                            detail: e.to_string(),
                        })),+
                }
            }
        }

        $(impl From<$variant> for Body {
            fn from(it: $variant) -> Body { Body::$variant(Box::new(it)) }
        })+
    };
}

kinds! {
    Charter = "charter",
    Adoption = "scheme",
    Job = "job",
    Worker = "worker",
    RoleChange = "role",
    Monitoring = "monitoring",
    Pregnancy = "pregnancy",
    PregnancyEnd = "pregnancy end",
    PriorDose = "prior dose",
    MissingQuarter = "missing quarter",
    Authorization = "authorization",
    Instrument = "instrument",
    Check = "check",
    Equipment = "equipment",
    Withdrawal = "withdrawal",
    ServiceReturn = "return",
    ListAdoption = "checklist",
    FittedPart = "fitted part",
    Inspection = "inspection",
    Servicing = "servicing",
    LeakTest = "leak test",
    Inventory = "inventory",
    Loading = "loading",
    Sheet = "sheet",
    Badge = "badge",
    BadgeEvent = "badge event",
    BadgeResult = "badge result",
    Acceptance = "acceptance",
    Settlement = "settlement",
    Resolution = "resolution",
    Determination = "determination",
    PlannedExposure = "planned special exposure",
    Qualification = "qualification",
    Mapping = "mapping",
    Ruling = "ruling",
    Decision = "decision",
    Event = "event",
    EventNote = "event note",
    EventCause = "event cause",
    EventAction = "event action",
    EventLink = "event link",
    DutyAnswer = "duty answer",
    DutyDone = "duty done",
    Conclusion = "conclusion",
    EventEnd = "event end",
    Review = "review",
}

/// The version of body that this program writes. A later change of a kind's
/// fields raises it and keeps a reader for the old bodies.
pub const CURRENT_VERSION: i64 = 1;

fn canonical<T: Serialize>(record: &T) -> String {
    // A struct of strings, integers, booleans and lists always has a JSON form;
    // the empty text stands for the impossible case and fails the ledger's check.
    serde_json::to_string(record).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_a_word_of_its_own_that_leads_back_to_it() {
        for kind in Kind::ALL {
            assert_eq!(Kind::from_word(kind.word()), Some(*kind));
        }
        assert_eq!(Kind::from_word("nothing"), None);
    }
}
