//! How one record points to another. The number of one kind of record cannot slip into the place
//! of another's: each reference has the kind of what it points to in its type.

use std::cmp::Ordering;
use std::fmt;
use std::hash::{Hash, Hasher};
use std::marker::PhantomData;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::body::Record;
use super::field::{Goal, Only, Pointer, RecordId, Shape, Shaped};
use super::item_type::{EquipmentType, InstrumentType};
use super::kind::Kind;

/// What a reference can lead to: a kind of record, or a marker where several kinds may stand.
pub trait Target {
    /// What may stand there.
    const GOAL: Goal;
}

impl<T: Record> Target for T {
    const GOAL: Goal = Goal {
        kinds: &[T::KIND],
        only: Only::All,
    };
}

macro_rules! targets {
    ($(
        $(#[$meta:meta])*
        $name:ident = $only:ident $(($item_type:expr))? [$($kind:ident),+ $(,)?];
    )+) => {
        $(
            $(#[$meta])*
            #[derive(Debug, Clone, Copy, PartialEq, Eq)]
            pub enum $name {}

            impl Target for $name {
                const GOAL: Goal = Goal {
                    kinds: &[$(Kind::$kind),+],
                    only: Only::$only $(($item_type))?,
                };
            }
        )+
    };
}

targets! {
    /// Anything that can be taken out of service.
    Item = All [Equipment, Instrument];
    /// An instrument that people read their dose off.
    Dosimeter = Dosimeters [Instrument];
    /// An exposure device.
    Device = Equipment(EquipmentType::Device) [Equipment];
    /// A source assembly.
    SourceAssembly = Equipment(EquipmentType::Source) [Equipment];
    /// Crank, conduit and drive cable.
    ControlUnit = Equipment(EquipmentType::Control) [Equipment];
    /// A guide tube.
    GuideTube = Equipment(EquipmentType::GuideTube) [Equipment];
    /// A survey meter.
    SurveyMeter = Instrument(InstrumentType::Meter) [Instrument];
    /// An alarm ratemeter.
    AlarmRatemeter = Instrument(InstrumentType::Ratemeter) [Instrument];
    /// Anything that can hold a doubtful item.
    Held = All [Sheet, Badge, BadgeResult, Equipment];
    /// What can be linked to an event.
    Linked = All [
        Sheet, Badge, BadgeResult, Determination, Inspection, Servicing, InstalledPart,
    ];
    /// What a photo or a paper can go with.
    Documented = All [
        Sheet, ShiftStart, Event, EventNote, EventHappening, EventCause, EventAction, DutyDone,
        Equipment, Instrument, Inspection, InstalledPart, Check, Servicing, Withdrawal,
        ServiceReturn, LeakTest, Inventory, Loading, SourceCheck, Badge, BadgeResult,
        Determination, PriorDose, Qualification,
    ];
    /// What claims to say a dose.
    Claim = All [BadgeResult, Determination];
}

/// The identity of a record of a kind, stored as its number.
pub struct Id<T> {
    number: RecordId,
    of: PhantomData<fn() -> T>,
}

impl<T> Id<T> {
    /// The record of this number. Whether there is one of this kind, the ledger says when it is
    /// written.
    pub const fn new(number: RecordId) -> Id<T> {
        let of = PhantomData;
        Id { number, of }
    }

    /// The number, for rows and for rooms that know no records.
    pub const fn number(self) -> RecordId {
        self.number
    }
}

impl<T> From<RecordId> for Id<T> {
    fn from(number: RecordId) -> Id<T> {
        Id::new(number)
    }
}

impl<T> Clone for Id<T> {
    fn clone(&self) -> Id<T> {
        *self
    }
}

impl<T> Copy for Id<T> {}

impl<T> PartialEq for Id<T> {
    fn eq(&self, other: &Id<T>) -> bool {
        self.number == other.number
    }
}

impl<T> Eq for Id<T> {}

impl<T> PartialOrd for Id<T> {
    fn partial_cmp(&self, other: &Id<T>) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl<T> Ord for Id<T> {
    fn cmp(&self, other: &Id<T>) -> Ordering {
        self.number.cmp(&other.number)
    }
}

impl<T> Hash for Id<T> {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.number.hash(state);
    }
}

impl<T> fmt::Debug for Id<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.number.fmt(f)
    }
}

impl<T> fmt::Display for Id<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.number.fmt(f)
    }
}

impl<T> Serialize for Id<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_i64(self.number)
    }
}

impl<'de, T> Deserialize<'de> for Id<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Id<T>, D::Error> {
        RecordId::deserialize(deserializer).map(Id::new)
    }
}

impl<T: Target> Shaped for Id<T> {
    const SHAPE: Shape = Shape::To(T::GOAL);

    fn point(&self, pointers: &mut Vec<Pointer>) {
        pointers.push(Pointer::to(*self));
    }
}

/// A pointer from a crew's sheet or a processor's report: to a record that the ledger knows, or the
/// words as written where it knows none. A crew's words are never refused for
/// an unknown name; they are held until somebody says who was meant.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged, bound = "")]
pub enum Ref<T> {
    /// A record, by its identity.
    Known(Id<T>),
    /// What the sheet says, which the ledger does not know.
    Written(String),
}

impl<T> Ref<T> {
    /// The record of this number.
    pub fn to(number: impl Into<Id<T>>) -> Ref<T> {
        Ref::Known(number.into())
    }

    /// The record, where it is known.
    pub fn known(&self) -> Option<Id<T>> {
        match self {
            Ref::Known(id) => Some(*id),
            Ref::Written(_) => None,
        }
    }

    /// The same, whatever item it is.
    pub fn any(&self) -> Ref<Item> {
        match self {
            Ref::Known(id) => Ref::to(id.number()),
            Ref::Written(words) => Ref::Written(words.clone()),
        }
    }

    /// The number of the record, where it is known.
    pub fn number(&self) -> Option<RecordId> {
        self.known().map(Id::number)
    }

    /// The words as written, where no record is known.
    pub fn written(&self) -> Option<&str> {
        match self {
            Ref::Known(_) => None,
            Ref::Written(words) => Some(words),
        }
    }
}

impl<T: Target> Shaped for Ref<T> {
    const SHAPE: Shape = Shape::Named {
        goal: T::GOAL,
        anybody: false,
    };

    fn point(&self, pointers: &mut Vec<Pointer>) {
        pointers.extend(self.known().map(Pointer::to));
    }
}

impl Pointer {
    /// The reference to what an id names.
    pub fn to<T: Target>(id: Id<T>) -> Pointer {
        Pointer {
            kinds: T::GOAL.kinds,
            record: id.number(),
        }
    }
}
