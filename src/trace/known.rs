//! What is known of one checklist item of one item of equipment around an event.

use serde::Serialize;

use super::inspection::{PastInspection, World};
use super::occurred::{DoneAt, Occurred};
use crate::calendar::{Day, Interval, YearStart};
use crate::record::RecordId;
use crate::rule::ChecklistItem;

/// One sheet's use of the item.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Use {
    /// The sheet's entry.
    pub entry: i64,
    /// The day on which the shift began.
    pub day: Day,
    /// Exposures made, where the sheet says so.
    pub exposures: Option<i64>,
}

/// What is known of one checklist item of one item of equipment around an event.
#[derive(Debug, Clone)]
pub struct Facts<'i> {
    /// The item of the list that was in force.
    pub item: &'i ChecklistItem,
    /// When it happened.
    pub event: Occurred,
    /// Whether the item was in use when it happened; in doubt it was.
    pub in_use: bool,
    /// The day of the shift in which it happened: the day before, where the shift ran past
    /// midnight.
    pub shift_day: Day,
    /// Sheets that used the item, up to the event, by day.
    pub uses: &'i [Use],
    /// How often the periodic inspection falls due, with the start of the licensee's year.
    pub periodic: Option<(Interval, YearStart)>,
    /// For a mating check: the other items that were in the event.
    pub mates: Vec<RecordId>,
    /// What called for an inspection.
    pub triggers: Vec<Trigger>,
    /// What was surely written before the event.
    pub known: World,
    /// The same with what may have been written before it, by a clock that cannot be trusted;
    /// nothing where every clock can.
    pub perhaps: Option<World>,
    /// What is written now.
    pub now: World,
}

/// Looks that were not surely written, or not surely made, before the event.
#[derive(Debug, Default)]
pub(super) struct Unproven<'l> {
    /// Perhaps before it: they were made, or written, when it may have happened, or by a clock
    /// that cannot be trusted.
    pub unplaced: Vec<&'l PastInspection>,
    /// Surely after it.
    pub claims: Vec<&'l PastInspection>,
}

/// Something after which an item is inspected before its next use.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Trigger {
    /// The entry that tells it.
    pub entry: i64,
    /// From when on an inspection surely answers it: its latest moment.
    pub moment: DoneAt,
    /// From when on an inspection may answer it, where that is not the same.
    pub from: DoneAt,
    /// What it was, such as `E-3: drop or fire`.
    pub what: String,
    /// The component, where it concerns one alone: a part that was installed.
    pub component: Option<String>,
    /// Whether it was written down before the event.
    pub learned: Learned,
}

/// Whether something was written down before the event.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Learned {
    /// Before it.
    Before,
    /// The clock of its entry cannot be trusted.
    OrderUnknown,
    /// Only after it.
    After,
}
