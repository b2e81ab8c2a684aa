//! Why an item of a sheet, a badge, a result or a source is held.

use serde::{Deserialize, Serialize};

use super::field::{RecordId, Shape, fields};
use super::words::words;

words! {
    /// Why an item is held: possible, but doubtful.
    DoubtType {
        /// The ledger knows no such worker.
        UnknownWorker = "unknown worker",
        /// The ledger knows no such dosimeter.
        UnknownDosimeter = "unknown dosimeter",
        /// The ledger knows no such job, instrument or item of equipment.
        UnknownItem = "unknown item",
        /// The end reading is below the start reading.
        EndBelowStart = "end below start",
        /// A reading is above what the dosimeter can show.
        AboveRange = "above the range",
        /// One dosimeter on two people in one shift.
        DosimeterTwice = "dosimeter on two people",
        /// One device on two sheets at the same time.
        DeviceTwice = "device in two places",
        /// Two sheets of one person at the same time.
        Overlap = "overlapping sheets",
        /// The person was not yet, or no longer, monitored.
        NotMonitored = "outside monitoring",
        /// The shift is before the dosimeter's or the equipment's first day.
        NotInService = "not yet in service",
        /// The ledger knows no such badge: a spare that was never issued.
        UnknownBadge = "unknown badge",
        /// A result of a badge that is still to be worn.
        BeforePeriodEnd = "before the period's end",
        /// Two badges of one person and kind, or one badge on two people, on the same days.
        OverlappingWear = "overlapping wear periods",
        /// Another report has a result of this badge already.
        SecondReport = "second report",
        /// A dose below the least that its own report can tell.
        BelowMinimum = "dose below the report's minimum",
        /// An activity that no source of that nuclide and use has.
        UnusualActivity = "unusual activity",
        /// A nuclide of which decay and dose rate are not known here.
        UnusualNuclide = "unusual nuclide",
    }
}

impl DoubtType {
    /// Whether the dose concerned stays out of the account until somebody
    /// rules on them. An unknown crank or meter is a doubt about the sheet, not
    /// about the dose.
    pub fn keeps_dose_out(self) -> bool {
        !matches!(
            self,
            DoubtType::UnknownItem
                | DoubtType::DeviceTwice
                | DoubtType::NotInService
                | DoubtType::NotMonitored
                | DoubtType::UnusualActivity
                | DoubtType::UnusualNuclide
        )
    }
}

/// One doubtful item of a sheet, a badge, a result or a source, found when that was written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Doubt {
    /// What it is about, in the words that were handed in.
    pub about: String,
    /// The part of the reading, counted from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<i64>,
    /// The person, counted from 1 in the order of the sheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub person: Option<i64>,
    /// The reading, counted from 1 in the order of that person's: the doubt holds it alone. Of
    /// older sheets every reading of the part.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reading: Option<i64>,
    /// Why it is held.
    #[serde(rename = "sort")]
    pub kind: DoubtType,
    /// The other sheet, badge or result, where two contradict each other.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub with: Option<RecordId>,
}

fields! { Doubt { about, part, person, reading, kind.stored("sort"), with.written(Shape::Entry) } }
