//! What counts no more.

use crate::calendar::Span;
use crate::dose::resolve::live::Source;

/// What took its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Silence {
    /// A decision, or a determination that supersedes it.
    SetAside,
    /// A result: it only stood until one came.
    Ended,
    /// A later report of the same badge that corrects it.
    Corrected,
    /// A badge that was worn together with its own and has more.
    Lower,
}

/// One record, or what it says of some shifts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Silent {
    /// What says it.
    pub source: Source,
    /// Its entry.
    pub entry: i64,
    /// Its days.
    pub days: Span,
    /// What kind of thing took its place.
    pub how: Silence,
    /// The entry of that.
    pub by: i64,
}
