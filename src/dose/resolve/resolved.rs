//! What is decided of one worker's history.

use crate::calendar::Span;
use crate::dose::input::History;
use crate::dose::resolve::conflict::Conflict;
use crate::dose::resolve::group::Group;
use crate::dose::resolve::live::{Live, Source};
use crate::dose::resolve::share::Lump;
use crate::dose::resolve::silence::Silent;
use crate::dose::resolve::why::Why;
use crate::dose::total::{Amount, Class, PerQuantity};
use crate::quantity::Overflow;

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
    /// What the conservative total counts; elsewhere where a lump speaks for it.
    pub safe: Amount,
    /// What the conservative total counts on the day after, for a night shift that ran
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
    /// What the conservative total counts besides, by the first day.
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
/// bound is none: work status speaks of it.
///
/// # Errors
/// [`Overflow`] when a sum does not fit.
pub fn conflicts(history: &History) -> Result<Vec<Conflict>, Overflow> {
    Ok(Resolved::of(history)?.conflicts)
}
