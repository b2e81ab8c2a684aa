//! One shift that a person was on, and where a lump comes from.

use crate::calendar::Day;
use crate::dose::shift::ShiftDose;
use crate::quantity::Dose;

/// Where a lump comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Source {
    /// A result, by its place in the dosimetry.
    Result(usize),
    /// A determination, by its place.
    Determination(usize),
    /// Dose of another employer, by its place.
    Prior(usize),
}

/// One shift that the person was on.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Live {
    /// Its place in the history.
    pub at: usize,
    /// The day on which it started.
    pub day: Day,
    /// The sheet's newest entry.
    pub entry: i64,
    /// The sheet's record.
    pub sheet: i64,
    /// Whether it ran over midnight.
    pub crosses: bool,
    /// Whether it counts apart, in a planned special exposure.
    pub special: bool,
    /// Whether it was part of an event.
    pub event: bool,
    /// Whether its sheet says that a badge was worn.
    pub worn: bool,
    /// What its readings give.
    pub dose: ShiftDose,
    /// The most that the readings which wait for somebody would give.
    pub waiting: Dose,
    /// The whole-body badge that was worn, by its place.
    pub trunk: Option<usize>,
    /// The whole-body badge that the sheet names: no other was worn.
    pub named: Option<usize>,
    /// The extremity badge on issue, by its place.
    pub ring: Option<usize>,
}
