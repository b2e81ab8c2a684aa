//! Which shift it was, and the key of what is written of it.

use super::reference::{Ref, Target};
use super::words::{Words, words};
use crate::calendar::Day;

words! {
    /// What was done; all of these can carry dose.
    Work {
        /// Making radiographs.
        Radiography = "radiography",
        /// Exchanging a source.
        SourceExchange = "source exchange",
        /// Maintenance of equipment.
        Maintenance = "maintenance",
        /// Transport of sources.
        Transport = "transport",
        /// Retrieval of a source that would not come home.
        Retrieval = "retrieval",
    }
}

words! {
    /// Which shift of the day it was; the day is the day on which it began.
    ShiftName {
        /// Day shift.
        Day = "day",
        /// Evening shift.
        Evening = "evening",
        /// Night shift, which runs into the next day.
        Night = "night",
    }
}

/// The key of what is written of one shift: the office's number, else day, shift and device.
pub(super) fn shift_key<T: Target>(
    reference: Option<&str>,
    day: Day,
    shift: ShiftName,
    device: Option<&Ref<T>>,
) -> String {
    if let Some(reference) = reference {
        return reference.to_owned();
    }
    let device = match device {
        Some(Ref::Known(id)) => format!("#{id}"),
        Some(Ref::Written(words)) => words.clone(),
        None => "no device".to_owned(),
    };
    format!("{day}/{}/{device}", shift.stored())
}

/// A reading is stored as people write it, value and unit.
pub(super) mod shown {
    use serde::{Deserialize, Deserializer, Serializer};

    use crate::quantity::Indication;

    pub fn serialize<S: Serializer>(it: &Option<Indication>, s: S) -> Result<S::Ok, S::Error> {
        match it {
            Some(it) => s.collect_str(it),
            None => s.serialize_none(),
        }
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(d: D) -> Result<Option<Indication>, D::Error> {
        let text = String::deserialize(d)?;
        Indication::parse(&text, None)
            .map(Some)
            .map_err(serde::de::Error::custom)
    }
}
