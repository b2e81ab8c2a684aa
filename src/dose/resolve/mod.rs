//! Which record speaks for which shift, once for a worker's whole history.
//!
//! Each shift belongs to one badge, settled from all of the worker's badges
//! (`wearing`). Results, and determinations of days or of a badge, are claims to
//! the shifts that they cover (`claim`); a determination of one reading or one
//! shift is part of what the shift says of itself (`figure`). Two claims to one
//! shift contradict each other unless one names the other as superseded, a
//! resolution chose between them (`decision`), or they agree (`contest`). A
//! determination that stands until a result comes ends shift by shift with a
//! result of that shift. The account takes for each shift the one that speaks
//! for it; the safe side takes of each group of claims that share shifts the
//! highest that they could make together (`group`).
//!
//! Account, safe side and index are three ways to add up what is decided here.
//! A group is decided by its own records alone: what else a history holds
//! changes nothing in it.

mod beside;
mod build;
mod carve;
mod claim;
mod conflict;
mod contest;
mod covered;
mod decision;
pub(crate) mod figure;
pub(crate) mod group;
mod needed;
mod query;
mod ruling;
pub(crate) mod share;
mod silent;
mod together;
mod voice;
mod wearing;

pub use conflict::{Conflict, Dispute, Side};
pub use needed::days_needed;
pub use silent::Silence;

pub(crate) use claim::determined_days;
pub(crate) use decision::Decisions;
pub(crate) use silent::Silent;
pub(crate) use wearing::{is_read_on_demand, trunk_of, was_worn};

use crate::calendar::{Day, Span};
use crate::dose::input::History;
use crate::dose::resolve::group::Group;
use crate::dose::resolve::share::Lump;
use crate::dose::safe_side::Why;
use crate::dose::shift::ShiftDose;
use crate::dose::total::{Amount, Class, PerQuantity};
use crate::quantity::{Dose, Overflow};

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

/// What one shift says in one quantity.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Single {
    /// What the account counts; elsewhere where a lump speaks for it.
    pub account: Amount,
    /// Its class.
    pub class: Class,
    /// Held readings that the account leaves out.
    pub held: u32,
    /// Whether what was determined of it alone is a range, or has no upper bound.
    pub wide: bool,
    /// What the safe side counts; elsewhere where a lump speaks for it.
    pub safe: Amount,
    /// What the safe side counts on the day after, for a night shift that ran
    /// into it.
    pub carries: Amount,
}

/// A badge that was worn at the same time as others: of its dose and theirs
/// the higher counts.
#[derive(Clone, Debug)]
pub(crate) struct Excess {
    /// What it is.
    pub source: Source,
    /// The entry of it.
    pub entry: i64,
    /// Its period.
    pub days: Span,
    /// What the account adds, where it adds anything.
    pub lump: Option<Lump>,
    /// The whole of it.
    pub safe: Amount,
    /// Why it counts.
    pub why: Why,
}

/// What is decided in one quantity.
#[derive(Clone, Debug, Default)]
pub(crate) struct Units {
    /// One for each live shift.
    pub singles: Vec<Single>,
    /// What the account counts besides, by the first day.
    pub lumps: Vec<Lump>,
    /// What the safe side counts besides, by the first day.
    pub groups: Vec<Group>,
    /// In any order.
    pub excesses: Vec<Excess>,
}

/// What is decided of one worker's history.
#[derive(Clone, Debug)]
pub(crate) struct Resolved {
    /// The shifts, ascending by day.
    pub live: Vec<Live>,
    /// The decisions.
    pub of: PerQuantity<Units>,
    /// What is open.
    pub conflicts: Vec<Conflict>,
    /// What counts no more, each record once.
    pub silent: Vec<Silent>,
}

/// The open conflicts of one worker's records, by day. A shift without an upper
/// bound is none: clearance speaks of it.
///
/// # Errors
/// [`Overflow`] when a sum does not fit.
pub fn conflicts(history: &History) -> Result<Vec<Conflict>, Overflow> {
    Ok(Resolved::of(history)?.conflicts)
}
