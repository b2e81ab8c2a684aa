//! What is done to instruments, sources and devices besides inspections:
//! servicing, leak tests, inventories and source exchanges.

use serde::{Deserialize, Serialize};

use super::problem::{need, need_json_size};
use super::words::words;
use super::{Kind, Pointer, Problem, Record, RecordId, Words};
use crate::calendar::Day;
use crate::quantity::Activity;

words! {
    /// What was done to an instrument.
    ServicingSort {
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
    pub instrument: RecordId,
    /// The day.
    pub on: Day,
    /// Servicing, or only a battery.
    pub sort: ServicingSort,
    /// What was done.
    pub what: String,
}

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
    pub item: RecordId,
    /// The day of the wipe.
    pub on: Day,
    /// What was wiped.
    pub part: LeakPart,
    /// Removable activity.
    pub removable_bq: Activity,
}

/// A physical inventory: what was seen and counted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Inventory {
    /// Who counted.
    pub by: String,
    /// Every source and device that was seen.
    pub found: Vec<RecordId>,
    /// Anything else, such as where a missing one is believed to be.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The day.
    pub on: Day,
}

/// A source put into a device; the one that was in it is out from then on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Loading {
    /// Who did it.
    pub by: String,
    /// The exposure device.
    pub device: RecordId,
    /// The day.
    pub on: Day,
    /// The source assembly.
    pub source: RecordId,
}

impl Record for Servicing {
    const KIND: Kind = Kind::Servicing;

    fn key(&self) -> String {
        format!("{}/{}/{}", self.instrument, self.on, self.sort.word())
    }

    fn problems(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need(&mut problems, "what", &self.what, "what was done to it");
        need(&mut problems, "by", &self.by, "who did it");
        problems
    }

    fn references(&self) -> Vec<Pointer> {
        vec![Pointer::instrument(self.instrument)]
    }
}

impl Record for LeakTest {
    const KIND: Kind = Kind::LeakTest;

    fn key(&self) -> String {
        format!("{}/{}/{}", self.item, self.on, self.part.word())
    }

    fn problems(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need(&mut problems, "by", &self.by, "who analysed the wipe");
        need_json_size(&mut problems, "removable", self.removable_bq.bq());
        problems
    }

    fn references(&self) -> Vec<Pointer> {
        vec![Pointer::equipment(self.item)]
    }
}

impl Record for Inventory {
    const KIND: Kind = Kind::Inventory;

    fn key(&self) -> String {
        self.on.to_string()
    }

    fn problems(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need(&mut problems, "by", &self.by, "who counted");
        if self.found.is_empty() {
            problems.push(Problem::missing(
                "found",
                "the ids of the sources and devices that were seen, parted by blanks",
            ));
        }
        problems
    }

    fn references(&self) -> Vec<Pointer> {
        self.found.iter().copied().map(Pointer::equipment).collect()
    }
}

impl Record for Loading {
    const KIND: Kind = Kind::Loading;

    fn key(&self) -> String {
        format!("{}/{}", self.device, self.on)
    }

    fn problems(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need(&mut problems, "by", &self.by, "who exchanged the source");
        problems
    }

    fn references(&self) -> Vec<Pointer> {
        vec![
            Pointer::equipment(self.device),
            Pointer::equipment(self.source),
        ]
    }
}
