//! Which record speaks for which shift, once for a worker's whole history.
//!
//! The order of authority, in each quantity: a determination that replaces; a
//! result, for the shifts on which its badge was worn; a determination that
//! stands until a result; readings. A shift counts as worn where its sheet
//! says so: where it does not say, the readings add to the result, which can
//! only make the dose higher. A shift belongs to the day on which it started,
//! and on the day of an exchange to the badge that was issued later.
//!
//! Account, safe side and index are three ways to add up what is decided here.

mod build;
mod claim;
mod conflict;
pub(crate) mod figure;
pub(crate) mod period;
mod query;
pub(crate) mod share;
mod single;
mod span;

pub use conflict::{Conflict, Dispute};

use crate::calendar::{Day, Span};
use crate::dose::input::{Dosimetry, History, Scope};
use crate::dose::resolve::period::Source;
use crate::dose::resolve::share::Lump;
use crate::dose::safe_side::Why;
use crate::dose::shift::ShiftDose;
use crate::dose::total::{Amount, Class, PerQuantity};
use crate::quantity::Overflow;

/// One shift that the person was on.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Live {
    /// Its place in the history.
    pub at: usize,
    /// The day on which it started.
    pub day: Day,
    /// The sheet's newest entry.
    pub entry: i64,
    /// Whether it ran over midnight.
    pub crosses: bool,
    /// Whether it counts apart, in a planned special exposure.
    pub special: bool,
    /// Whether it was part of an event.
    pub event: bool,
    /// What its readings give.
    pub dose: ShiftDose,
    /// The whole-body badge that was worn, by its place.
    pub trunk: Option<usize>,
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
    /// What the safe side counts; elsewhere where a lump speaks for it.
    pub safe: Amount,
    /// What the safe side counts on the day after, for a night shift that ran
    /// into it.
    pub carries: Amount,
}

/// Something that speaks for a period.
#[derive(Clone, Debug)]
pub(crate) struct Bundle {
    /// What it is.
    pub source: Source,
    /// The entry of it.
    pub entry: i64,
    /// Its period.
    pub days: Span,
    /// The days on which the safe side counts it, whole.
    pub safe_days: Span,
    /// The shifts that it speaks for, by their places among the live ones.
    pub members: Vec<usize>,
    /// What the account counts of it; the members' own figures if nothing.
    pub lump: Option<Lump>,
    /// What the safe side counts of it, whole.
    pub safe: Amount,
    /// Why that is more.
    pub why: Why,
    /// Whether it counts apart, in a planned special exposure.
    pub special: bool,
    /// Whether it is dose received with this licensee.
    pub own: bool,
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
    /// By the first day.
    pub bundles: Vec<Bundle>,
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
}

/// The open conflicts of one worker's records, by day. A shift without an upper
/// bound is none: clearance speaks of it.
///
/// # Errors
/// [`Overflow`] when a sum does not fit.
pub fn conflicts(history: &History) -> Result<Vec<Conflict>, Overflow> {
    Ok(Resolved::of(history)?.conflicts)
}

/// The days of which the shifts are needed so that every lump that reaches into
/// a span is apportioned as in the whole history. A loader asks for these days;
/// with fewer, the shares of a cut would be wrong.
pub fn days_needed(dosimetry: &Dosimetry, span: Span) -> Span {
    let spoken = |record: i64| {
        dosimetry.results.iter().any(|it| it.wear == Some(record))
            || dosimetry
                .determinations
                .iter()
                .any(|it| it.scope == Scope::WearPeriod(record))
    };
    let periods = dosimetry
        .wear
        .iter()
        .filter(|wear| spoken(wear.record))
        .map(|wear| dosimetry.worn_days(wear));
    let spans = dosimetry
        .determinations
        .iter()
        .filter_map(|it| match it.scope {
            Scope::Span(span) => Some(span),
            _ => None,
        });
    let spare = dosimetry.results.iter().filter(|it| it.wear.is_none());
    let all: Vec<Span> = periods
        .chain(spans)
        .chain(spare.map(|it| it.stated_days))
        .collect();
    let mut needed = span;
    // What reaches into the span can overlap what does not, and is decided
    // with it.
    loop {
        let wider = all
            .iter()
            .filter(|it| it.overlaps(&needed))
            .fold(needed, |wide, it| Span {
                first: wide.first.min(it.first),
                last: wide.last.max(it.last),
            });
        if wider == needed {
            return needed;
        }
        needed = wider;
    }
}
