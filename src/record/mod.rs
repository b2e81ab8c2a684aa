//! What may be written into the ledger: one file a kind. Each kind names its
//! key, checks itself and tells its fields, which say what it refers to. Uses
//! `quantity`, `calendar` and nothing above them; knows no table and no clock.
//!
//! Fields stand in alphabetical order in every struct, because the canonical
//! form of a body kinds its keys and is written straight from the struct;
//! `Body::canonical` and its tests hold that.

mod adoption;
mod annual_report;
mod badge;
mod body;
mod charter;
mod decision;
mod determination;
mod dose;
mod doubt;
mod draft;
mod equipment;
mod event;
mod event_cause;
mod event_happening;
mod evidence;
mod field;
mod form;
mod inspection;
mod instrument;
mod item_type;
mod job;
mod kind;
mod layout;
mod maintenance;
mod mapping;
mod notification;
mod plain;
mod prior_dose;
mod private;
mod problem;
mod qualification;
mod reference;
mod review;
mod sheet;
mod sheet_problems;
mod shift;
mod shift_start;
mod source_check;
mod words;
mod worker;

pub use adoption::Adoption;
pub use annual_report::AnnualReport;
pub use badge::{
    Acceptance, Badge, BadgeChange, BadgeEvent, BadgeResult, BadgeType, OfRecord, Reported,
    Settlement,
};
pub use body::{Record, Step};
pub use charter::{Charter, ClockType};
pub use decision::{Decision, Disposition, Outcome};
pub use determination::{
    Determination, Method, PlannedExposure, Relation, Resolution, Scope, Version,
};
pub use dose::DoseQuantity;
pub use doubt::{Doubt, DoubtType};
pub use draft::{Astray, Draft, Place};
pub use equipment::{Equipment, ServiceReturn, Withdrawal};
pub use event::{
    Barrier, BarrierState, Bystander, Event, EventAction, EventEnd, EventLink, EventNote,
    EventPerson, NearPart,
};
pub use event_cause::{CauseType, EventCause, HumanCause};
pub use event_happening::EventHappening;
pub use evidence::{Evidence, EvidenceErasure, EvidenceType};
pub use field::{Field, Goal, Only, Pointer, RecordId, Shape, Shaped};
pub use form::{UnreadableBody, read};
pub use inspection::{
    Inspection, InstalledPart, Line, LineResult, ListAdoption, Occasion, shows_repair,
};
pub use instrument::{Check, CheckPoint, CheckResult, CheckType, Instrument, Scale};
pub use item_type::{EquipmentType, InstrumentType};
pub use job::{Job, Setting};
pub use kind::Kind;
pub use layout::{Cell, Line as BodyLine, differences, lines};
pub use maintenance::{Inventory, LeakPart, LeakTest, Loading, Servicing, ServicingType};
pub use mapping::{EVERY_DOSE, MappedWord, Mapping};
pub use notification::{Conclusion, Coverage, DutyAnswer, DutyDone};
pub use plain::{header_problem, lines_of};
pub use prior_dose::{DoseRequest, MissingQuarter, PriorDose};
pub use private::{Kept, Private, Sex};
pub use problem::Problem;
pub use qualification::{Qualification, QualificationType};
pub use reference::{
    AlarmRatemeter, Claim, ControlUnit, Device, Documented, Dosimeter, GuideTube, Held, Id, Item,
    Linked, Ref, SourceAssembly, SurveyMeter, Target,
};
pub use review::{Review, SignedFigure};
pub use sheet::{Paper, Person, Reading, Sheet};
pub use shift::{ShiftName, Work};
pub use shift_start::{ShiftStart, StartPart, StartPerson, StartReading};
pub use source_check::{SourceCheck, SourceCheckType};
pub use words::{WordPair, Words, word_list};
pub use worker::{
    AlertReader, AlertScope, Authorization, Category, LONGEST_PREGNANCY, Monitoring,
    MonitoringChange, Pregnancy, PregnancyEnd, PregnancyEnding, Role, RoleChange, Worker,
};

use serde::Serialize;
use serde_json::Value;

use kind::every_kind;

macro_rules! bodies {
    ($($variant:ident = $word:literal $(shown $shown:literal)?),+ $(,)?) => {
        impl Kind {
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

every_kind!(bodies);

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
