//! What is done to instruments, sources and devices besides inspections:
//! servicing, leak tests, inventories and source exchanges.

use serde::{Deserialize, Serialize};

use super::body::numbered;
use super::field::{Shape, fields};
use super::problem::need_json_size;
use super::words::words;
use super::{Device, Equipment, Id, Instrument, Kind, Problem, Record, SourceAssembly, Words};
use crate::calendar::Day;
use crate::quantity::Activity;

words! {
    /// What was done to an instrument.
    ServicingType {
        /// Opened, repaired or adjusted: it needs a calibration before use.
        Servicing = "servicing",
        /// A battery, which is no servicing (10 CFR 34.25(b)(1)).
        Battery = "battery change",
    }
}

words! {
    /// What a leak test wiped.
    LeakPart {
        /// A sealed source.
        Source = "source",
        /// The tube of a depleted-uranium shield, for wear-through.
        Tube = "shield tube",
    }
}

/// Work on an instrument.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Servicing {
    /// Who did it.
    pub by: String,
    /// The instrument.
    pub instrument: Id<Instrument>,
    /// The day.
    pub on: Day,
    /// Servicing, or only a battery.
    #[serde(rename = "sort")]
    pub kind: ServicingType,
    /// What was done.
    pub what: String,
}

fields! { Servicing {
    by.shown("performed_by").needs("who did it"), instrument, on, kind.stored("sort").shown("type"),
    what.needs("what was done to it"),
} }

/// A wipe test for removable activity.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LeakTest {
    /// Whether the laboratory says `less than` the activity.
    pub below: bool,
    /// Who analysed it.
    pub by: String,
    /// The certificate's number.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub certificate: Option<String>,
    /// The source assembly or the device.
    pub item: Id<Equipment>,
    /// The day of the wipe.
    pub on: Day,
    /// What was wiped.
    pub part: LeakPart,
    /// Removable activity.
    pub removable_bq: Activity,
    /// The number of its row in the office's own file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub row: Option<String>,
}

fields! { LeakTest {
    below.hidden(),
    by.shown("performed_by").needs("who analysed the wipe"),
    certificate,
    item,
    on,
    part,
    removable_bq.shown("removable").written(Shape::AtMost { below: "below" }),
    row,
} }

/// A physical inventory: what was seen and counted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Inventory {
    /// Who counted.
    pub by: String,
    /// Every source and device that was seen.
    pub found: Vec<Id<Equipment>>,
    /// Where they were.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub location: Option<String>,
    /// Anything else, such as where a missing one is believed to be.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The day.
    pub on: Day,
}

fields! { Inventory {
    by.shown("performed_by").needs("who counted"), found.between(" "), location, note, on,
} }

/// A source put into a device; the one that was in it is out from then on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Loading {
    /// Who did it.
    pub by: String,
    /// The exposure device.
    pub device: Id<Device>,
    /// The day.
    pub on: Day,
    /// The source assembly.
    pub source: Id<SourceAssembly>,
}

fields! { Loading {
    by.shown("performed_by").needs("who exchanged the source"), device, on, source,
} }

impl Record for Servicing {
    const KIND: Kind = Kind::Servicing;

    fn about(&self) -> Option<Day> {
        Some(self.on)
    }

    fn key(&self) -> String {
        format!("{}/{}/{}", self.instrument, self.on, self.kind.stored())
    }
}

impl Record for LeakTest {
    const KIND: Kind = Kind::LeakTest;

    numbered!();

    fn about(&self) -> Option<Day> {
        Some(self.on)
    }

    fn key(&self) -> String {
        format!("{}/{}/{}", self.item, self.on, self.part.stored())
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need_json_size(&mut problems, "removable", self.removable_bq.bq());
        problems
    }
}

impl Record for Inventory {
    const KIND: Kind = Kind::Inventory;

    fn about(&self) -> Option<Day> {
        Some(self.on)
    }

    fn key(&self) -> String {
        self.on.to_string()
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        if self.found.is_empty() {
            problems.push(Problem::missing(
                "found",
                "the ids of the sources and devices that were seen, separated by spaces",
            ));
        }
        problems
    }
}

impl Record for Loading {
    const KIND: Kind = Kind::Loading;

    fn about(&self) -> Option<Day> {
        Some(self.on)
    }

    fn key(&self) -> String {
        format!("{}/{}", self.device, self.on)
    }
}
