//! Records that contradict each other. Nothing is chosen in silence: for the
//! shifts in conflict the account keeps what was told first, the conservative total takes
//! the highest that all could make together, and the conflict stays open until
//! the RSO resolves it.

use crate::calendar::Span;
use crate::quantity::Dose;
use crate::rule::Quantity;

/// What contradicts what.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dispute {
    /// A result and a determination of shifts that it covers.
    ResultAndDetermination,
    /// Two reports of one badge, neither of which corrects the other.
    Results,
    /// Two determinations of one shift, one badge or the same days.
    Determinations,
    /// A shift was off-scale, not read or part of an event, and the readings
    /// of the others are above the result: nothing is left for it. The account
    /// keeps the readings.
    ReadingsAboveResult,
}

/// One result or determination of a conflict.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Side {
    /// Its entry.
    pub entry: i64,
    /// Its record's first entry, then its own: which was told first.
    pub order: (i64, i64),
    /// Its dose.
    pub dose: Dose,
    /// Whether it is a processor's result.
    pub is_result: bool,
    /// Whether it is about more than one shift, so that it can speak for the
    /// rest while others speak for theirs.
    pub of_all: bool,
}

/// One open conflict in one quantity.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Conflict {
    /// What it is about.
    pub dispute: Dispute,
    /// The wear period's record; `None` for determinations of a single shift
    /// or span.
    pub wear: Option<i64>,
    /// The number on the badge.
    pub badge: Option<String>,
    /// The days that it touches.
    pub days: Span,
    /// The quantity.
    pub quantity: Quantity,
    /// The results and determinations, in the order in which they were told.
    pub sides: Vec<Side>,
    /// Their entries, ascending.
    pub entries: Vec<i64>,
}

impl Conflict {
    pub(super) fn new(
        dispute: Dispute,
        wear: Option<(i64, &str)>,
        days: Span,
        quantity: Quantity,
        sides: &[Side],
    ) -> Conflict {
        let mut sides = sides.to_vec();
        sides.sort_by_key(|it| it.order);
        sides.dedup_by_key(|it| it.entry);
        let mut entries: Vec<i64> = sides.iter().map(|it| it.entry).collect();
        entries.sort_unstable();
        entries.dedup();
        Conflict {
            dispute,
            wear: wear.map(|it| it.0),
            badge: wear.map(|it| it.1.to_owned()),
            days,
            quantity,
            sides,
            entries,
        }
    }
}
