//! What may be written into the ledger: one file a kind. Each kind names its
//! key, checks itself and tells its fields, which say what it refers to. Uses
//! `quantity`, `calendar` and nothing above them; knows no table and no clock.
//!
//! Fields stand in alphabetical order in every struct, because the canonical
//! form of a body sorts its keys and is written straight from the struct;
//! `Body::canonical` and its tests hold that.

mod adoption;
mod annual_report;
mod badge;
mod charter;
mod decision;
mod determination;
mod draft;
mod equipment;
mod event;
mod event_cause;
mod event_happening;
mod field;
mod form;
mod inspection;
mod instrument;
mod job;
mod layout;
mod mapping;
mod notice;
mod plain;
mod prior_dose;
mod private;
mod problem;
mod qualification;
mod reference;
mod review;
mod sheet;
mod sheet_problems;
mod shift_start;
mod source_check;
mod upkeep;
mod words;
mod worker;

pub use adoption::Adoption;
pub use annual_report::AnnualReport;
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
pub use draft::{Astray, Draft, Place};
pub use equipment::{Equipment, EquipmentSort, ServiceReturn, Withdrawal};
pub use event::{
    Barrier, BarrierState, Bystander, Event, EventAction, EventEnd, EventLink, EventNote,
    EventPerson, NearPart,
};
pub use event_cause::{CauseSort, EventCause, HumanCause};
pub use event_happening::EventHappening;
pub use field::{Field, Goal, Only, Shape, Shaped, WordPair};
pub use form::{Step, UnreadableBody, read};
pub use inspection::{FittedPart, Inspection, Line, LineResult, ListAdoption, Occasion};
pub use instrument::{
    Check, CheckPoint, CheckResult, CheckSort, Instrument, InstrumentSort, Scale,
};
pub use job::{Job, Setting};
pub use layout::{Cell, Line as BodyLine, differences, lines};
pub use mapping::{EVERY_DOSE, MappedWord, Mapping};
pub use notice::{Conclusion, Coverage, DutyAnswer, DutyDone};
pub use plain::{header_problem, lines_of};
pub use prior_dose::{DoseRequest, MissingQuarter, PriorDose};
pub use private::{Kept, Private, Sex};
pub use problem::Problem;
pub use qualification::{Qualification, QualificationSort};
pub use reference::{
    AlarmRatemeter, Claim, ControlUnit, Device, Dosimeter, GuideTube, Held, Id, Item, Linked,
    Pointer, RecordId, Ref, SourceAssembly, SurveyMeter, Target,
};
pub use review::{Review, SignedFigure};
pub use sheet::{Doubt, DoubtSort, Paper, Person, Reading, Sheet, ShiftName, Work};
pub use shift_start::{ShiftStart, StartPart, StartPerson, StartReading};
pub use source_check::{SourceCheck, SourceCheckSort};
pub use upkeep::{Inventory, LeakPart, LeakTest, Loading, Servicing, ServicingSort};
pub use words::{Words, word_list};
pub use worker::{
    Authorization, Category, LONGEST_PREGNANCY, Monitoring, MonitoringChange, Pregnancy,
    PregnancyEnd, PregnancyEnding, Role, RoleChange, Worker,
};

use crate::calendar::Day;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

/// One kind of record: how it names itself, what it refuses of its own accord
/// and which other records it points to.
pub trait Record: Shaped + Serialize + DeserializeOwned + Clone + PartialEq {
    /// The kind's word, as stored in `entry.kind`.
    const KIND: Kind;

    /// How a body of each earlier form becomes one of the next: the first step reads form 1.
    const STEPS: &'static [Step] = &[];

    /// The form that this program writes, stored in `entry.version`.
    const FORM: i64 = Self::STEPS.len() as i64 + 1;

    /// What makes two records of this kind the same thing, in stored words.
    fn key(&self) -> String;

    /// The first day of the world that this record is about, where it is about one: a question
    /// for an earlier day does not know it. What tells of an earlier dose (a result, a
    /// determination, a ruling, the return of a badge) is about none, however late it comes.
    fn about(&self) -> Option<Day> {
        None
    }

    /// The number of its row in the office's own file, where its kind keeps one: the same row
    /// again is the same record, also where the file was mended.
    fn row(&self) -> Option<&str> {
        None
    }

    /// Keeps that number.
    fn put_row(&mut self, _row: Option<String>) {}

    /// What in this record contradicts itself, each with the field and what would be right.
    fn contradictions(&self) -> Vec<Problem> {
        Vec::new()
    }

    /// What this record cannot mean: texts that say nothing, and contradictions.
    fn problems(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        self.missing(&mut problems);
        problems.extend(self.contradictions());
        problems
    }

    /// The records that this one points to.
    fn references(&self) -> Vec<Pointer> {
        let mut pointers = Vec::new();
        self.point(&mut pointers);
        pointers
    }

    /// The record without what the program itself added when it was written
    /// (the doubts of a sheet or a badge): the part by which two are compared.
    fn content(&self) -> Self {
        self.clone()
    }
}

/// A record that keeps the number of its row.
macro_rules! numbered {
    () => {
        fn row(&self) -> Option<&str> {
            self.row.as_deref()
        }

        fn put_row(&mut self, row: Option<String>) {
            self.row = row;
        }
    };
}

use numbered;

macro_rules! kinds {
    ($($variant:ident = $word:literal $(shown $shown:literal)?),+ $(,)?) => {
        /// Every kind of record that the ledger knows.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Kind { $(#[doc = $word] $variant),+ }

        impl Kind {
            /// All kinds, in the order in which help texts list them.
            pub const ALL: &'static [Kind] = &[$(Kind::$variant),+];

            /// The word that people read and write.
            pub fn word(self) -> &'static str {
                match self { $(Kind::$variant => words::shown!($word $($shown)?)),+ }
            }

            /// The word stored in `entry.kind`. It never changes.
            pub fn stored(self) -> &'static str {
                match self { $(Kind::$variant => $word),+ }
            }

            /// The kind that somebody means by this word.
            pub fn from_word(word: &str) -> Option<Kind> {
                Kind::ALL.iter().copied().find(|kind| kind.word() == word)
            }

            /// The kind of a stored entry.
            pub fn from_stored(stored: &str) -> Option<Kind> {
                match stored { $($word => Some(Kind::$variant),)+ _ => None }
            }

            /// The form of body that this program writes.
            pub fn form(self) -> i64 {
                match self { $(Kind::$variant => <$variant as Record>::FORM),+ }
            }

            /// The fields of its bodies.
            pub fn fields(self) -> &'static [Field] {
                match self { $(Kind::$variant => $variant::FIELDS),+ }
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

            /// See [`Record::row`].
            pub fn row(&self) -> Option<&str> {
                match self { $(Body::$variant(it) => it.row()),+ }
            }

            /// See [`Record::put_row`].
            pub fn put_row(&mut self, row: Option<String>) {
                match self { $(Body::$variant(it) => it.put_row(row)),+ }
            }

            /// See [`Record::problems`]; and what of any kind no text may hold.
            pub fn problems(&self) -> Vec<Problem> {
                let mut problems = match self { $(Body::$variant(it) => it.problems()),+ };
                problems.extend(plain::text_problems(self));
                problems
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

            /// The same as a value, with the stored names.
            pub fn value(&self) -> Value {
                match self { $(Body::$variant(it) => value(&**it)),+ }
            }

            /// Reads a stored body of this kind and form.
            pub fn read(kind: Kind, form: i64, text: &str) -> Result<Body, UnreadableBody> {
                Ok(match kind {
                    $(Kind::$variant => Body::$variant(Box::new(read(form, text)?))),+
                })
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
    Private = "private" shown "private record",
    Pregnancy = "pregnancy" shown "private record of the older form",
    PregnancyEnd = "pregnancy end" shown "end of a private record of the older form",
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
    SourceCheck = "source check",
    Sheet = "sheet",
    ShiftStart = "shift start",
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
    EventHappening = "event happening",
    EventNote = "event note",
    EventCause = "event cause",
    EventAction = "event action",
    EventLink = "event link",
    DutyAnswer = "duty answer",
    DutyDone = "duty done",
    Conclusion = "conclusion",
    EventEnd = "event end",
    Review = "review",
    AnnualReport = "annual report",
    DoseRequest = "dose request",
}

fn canonical<T: Serialize>(record: &T) -> String {
    // A struct of strings, integers, booleans and lists always has a JSON form;
    // the empty text stands for the impossible case and fails the ledger's check.
    serde_json::to_string(record).unwrap_or_default()
}

fn value<T: Serialize>(record: &T) -> Value {
    serde_json::to_value(record).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_a_word_of_its_own_that_leads_back_to_it() {
        for kind in Kind::ALL {
            assert_eq!(Kind::from_word(kind.word()), Some(*kind));
            assert_eq!(Kind::from_stored(kind.stored()), Some(*kind));
        }
        assert_eq!(Kind::from_word("nothing"), None);
        assert_eq!(Kind::from_stored("nothing"), None);
    }
}
