//! What every field of a record is, told once for each kind with `fields!`: how the registers
//! name it, how it is written, whether it may be blank, and what it may refer to. Admission reads
//! the references from it, a correction and a display the names and the forms.

use super::item_type::{EquipmentType, InstrumentType};
use super::kind::Kind;
use super::problem::Problem;
use super::words::{WordPair, Words};
use crate::calendar::Day;
use crate::quantity::{Activity, Dose, Indication};

/// What a reference may lead to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Goal {
    /// The kinds that may stand there.
    pub kinds: &'static [Kind],
    /// Which of them.
    pub only: Only,
}

/// Which items of a register a reference may lead to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Only {
    /// All of them.
    All,
    /// Instruments that people read their dose off.
    Dosimeters,
    /// Instruments of one kind.
    Instrument(InstrumentType),
    /// Equipment of one kind.
    Equipment(EquipmentType),
}

impl Only {
    /// Whether an item of equipment of this kind may stand there.
    pub fn takes_equipment(self, kind: EquipmentType) -> bool {
        match self {
            Only::All => true,
            Only::Equipment(only) => only == kind,
            Only::Dosimeters | Only::Instrument(_) => false,
        }
    }

    /// Whether an instrument of this kind may stand there.
    pub fn takes_instrument(self, kind: InstrumentType) -> bool {
        match self {
            Only::All => true,
            Only::Dosimeters => kind.is_dosimeter(),
            Only::Instrument(only) => only == kind,
            Only::Equipment(_) => false,
        }
    }

    /// What may stand there, in words; nothing where all may.
    pub fn words(self) -> Option<&'static str> {
        match self {
            Only::All => None,
            Only::Dosimeters => Some("pocket or electronic dosimeter"),
            Only::Instrument(kind) => Some(kind.word()),
            Only::Equipment(kind) => Some(kind.word()),
        }
    }
}

/// How a field is written.
#[derive(Debug, Clone, Copy)]
pub enum Shape {
    /// In words. What else holds for them, the record says.
    Text,
    /// Yes or no; the words for both.
    Yes {
        /// What is written for yes.
        yes: &'static str,
        /// What is written for no.
        no: &'static str,
    },
    /// A whole number.
    Count,
    /// Stored in seconds, written in minutes.
    Minutes,
    /// The number of an entry.
    Entry,
    /// A day.
    Day,
    /// An hour of the day, as text.
    Hour,
    /// A dose, stored in nanosievert.
    Dose {
        /// Whether a bare number takes the ledger's unit.
        bare: bool,
    },
    /// An activity, stored in becquerel.
    Activity,
    /// An activity, or less than it: then the yes or no of this name, beside it, says so.
    AtMost {
        /// The stored name beside it.
        below: &'static str,
    },
    /// What the face of a dosimeter shows.
    Shown,
    /// The same, or that it is off-scale: then the yes or no of this name, beside it, says so.
    ShownOrOff {
        /// The stored name beside it.
        off: &'static str,
    },
    /// One of a few words.
    Word(&'static [WordPair]),
    /// A record.
    To(Goal),
    /// A record, or words where the ledger knows none.
    Named {
        /// What it may lead to.
        goal: Goal,
        /// Whether other words may stand there for good.
        anybody: bool,
    },
    /// Any number of them.
    List {
        /// What each is.
        of: &'static Shape,
        /// What stands between them where one cell holds all; nothing where each is a group.
        between: Option<&'static str>,
    },
    /// Fields of their own.
    Group(&'static [Field]),
    /// One of several groups, by the stored name of each.
    OneOf(&'static [(&'static str, &'static [Field])]),
    /// What a report has of one quantity: a dose, or less than the least that can be measured.
    Reported,
    /// Names with a text for each.
    Pairs,
}

/// One field of a record.
#[derive(Debug, Clone, Copy)]
pub struct Field {
    /// Its name in stored bodies. It never changes.
    pub stored: &'static str,
    /// Its name as the registers' columns and the flags have it.
    pub shown: &'static str,
    /// How it is written.
    pub shape: Shape,
    /// Whether it must be there.
    pub needed: bool,
    /// What would be right where a text must say something and is blank.
    pub right: Option<&'static str>,
    /// Whether its own fields are named as if they stood beside it.
    pub flat: bool,
    /// Whether the program writes it and nobody corrects it.
    pub fixed: bool,
    /// Whether another field shows it.
    pub hidden: bool,
}

impl Field {
    /// A field whose type says how it is written.
    pub(super) const fn of(stored: &'static str, (shape, needed): (Shape, bool)) -> Field {
        Field {
            stored,
            shown: stored,
            shape,
            needed,
            right: None,
            flat: false,
            fixed: false,
            hidden: false,
        }
    }

    /// Stored under the name that it had when its kind was first written.
    pub(super) const fn stored(self, stored: &'static str) -> Field {
        Field {
            stored,
            shown: stored,
            ..self
        }
    }

    /// Named otherwise by the registers.
    pub(super) const fn shown(self, shown: &'static str) -> Field {
        Field { shown, ..self }
    }

    /// A text that must say something.
    pub(super) const fn needs(self, right: &'static str) -> Field {
        let right = Some(right);
        Field { right, ..self }
    }

    /// Its fields are named as if they stood beside it.
    pub(super) const fn flat(self) -> Field {
        Field { flat: true, ..self }
    }

    /// The program writes it.
    pub(super) const fn fixed(self) -> Field {
        let fixed = true;
        Field { fixed, ..self }
    }

    /// Another field shows it.
    pub(super) const fn hidden(self) -> Field {
        let hidden = true;
        Field { hidden, ..self }
    }

    /// Written otherwise than its type alone says.
    pub(super) const fn written(self, shape: Shape) -> Field {
        Field { shape, ..self }
    }

    /// A list in one cell.
    pub(super) const fn between(self, between: &'static str) -> Field {
        let shape = match self.shape {
            Shape::List { of, .. } => Shape::List {
                of,
                between: Some(between),
            },
            other => other,
        };
        Field { shape, ..self }
    }

    /// Words that name no record may stand for good.
    pub(super) const fn anybody(self) -> Field {
        let shape = match self.shape {
            Shape::Named { goal, .. } => Shape::Named {
                goal,
                anybody: true,
            },
            other => other,
        };
        Field { shape, ..self }
    }
}

/// A value that a field can have.
pub trait Shaped {
    /// How it is written.
    const SHAPE: Shape;
    /// Whether it must be there.
    const NEEDED: bool = true;

    /// Adds what it refers to.
    fn point(&self, _pointers: &mut Vec<Pointer>) {}

    /// Adds the texts that must say something and are blank, under the names of their fields.
    fn missing(&self, _problems: &mut Vec<Problem>) {}

    /// Whether it is a text that says nothing.
    fn is_blank(&self) -> bool {
        false
    }
}

/// How the type of a field is written, and whether it must be there.
pub(super) const fn shape_of<S, T: Shaped>(_: fn(&S) -> &T) -> (Shape, bool) {
    (T::SHAPE, T::NEEDED)
}

macro_rules! shapes {
    ($($type:ty = $shape:expr),+ $(,)?) => {
        $(impl Shaped for $type { const SHAPE: Shape = $shape; })+
    };
}

shapes! {
    bool = Shape::Yes { yes: "yes", no: "no" },
    i64 = Shape::Count,
    Day = Shape::Day,
    Dose = Shape::Dose { bare: false },
    Activity = Shape::Activity,
    Indication = Shape::Shown,
}

impl<T: Words> Shaped for T {
    const SHAPE: Shape = Shape::Word(T::PAIRS);
}

impl Shaped for String {
    const SHAPE: Shape = Shape::Text;

    fn is_blank(&self) -> bool {
        self.trim().is_empty()
    }
}

impl<T: Shaped> Shaped for Option<T> {
    const SHAPE: Shape = T::SHAPE;
    const NEEDED: bool = false;

    fn point(&self, pointers: &mut Vec<Pointer>) {
        self.iter().for_each(|it| it.point(pointers));
    }

    fn missing(&self, problems: &mut Vec<Problem>) {
        self.iter().for_each(|it| it.missing(problems));
    }
}

impl<T: Shaped + 'static> Shaped for Vec<T> {
    const SHAPE: Shape = Shape::List {
        of: &T::SHAPE,
        between: None,
    };
    const NEEDED: bool = false;

    fn point(&self, pointers: &mut Vec<Pointer>) {
        self.iter().for_each(|it| it.point(pointers));
    }

    fn missing(&self, problems: &mut Vec<Problem>) {
        self.iter().for_each(|it| it.missing(problems));
    }
}

/// Tells the fields of a struct: their names, each with what its type does not say. The compiler
/// refuses a list that leaves one out.
macro_rules! fields {
    ($name:ident { $($field:ident $(. $told:ident ( $($how:tt)* ))*),+ $(,)? }) => {
        impl crate::record::field::Shaped for $name {
            const SHAPE: crate::record::field::Shape =
                crate::record::field::Shape::Group(<$name>::FIELDS);

            fn point(&self, pointers: &mut Vec<crate::record::Pointer>) {
                let $name { $($field),+ } = self;
                $(crate::record::field::Shaped::point($field, pointers);)+
            }

            fn missing(&self, problems: &mut Vec<crate::record::Problem>) {
                let $name { $($field),+ } = self;
                let fields = <$name>::FIELDS.iter();
                let blank = [$(crate::record::field::Shaped::is_blank($field)),+];
                for (field, _) in fields.zip(blank).filter(|(_, blank)| *blank) {
                    if let Some(right) = field.right {
                        problems.push(crate::record::Problem::missing(field.shown, right));
                    }
                }
                $(crate::record::field::Shaped::missing($field, problems);)+
            }
        }

        impl $name {
            /// Its fields.
            pub const FIELDS: &'static [crate::record::field::Field] = &[$(
                crate::record::field::Field::of(
                    stringify!($field),
                    crate::record::field::shape_of(|it: &$name| &it.$field),
                )$(.$told($($how)*))*
            ),+];
        }
    };
}

pub(super) use fields;

/// The identity of a record: the number of its first entry.
pub type RecordId = i64;

/// A reference that the ledger checks: the record must be in force and of one
/// of these kinds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pointer {
    /// The kinds that may stand there.
    pub kinds: &'static [Kind],
    /// The record.
    pub record: RecordId,
}
