//! When an event happened, as far as anybody knows: from its earliest to its latest moment.

use std::fmt;

use serde::Serialize;

use crate::calendar::{Day, TimeOfDay};

/// The moments between which it happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Occurred {
    /// The earliest that is possible; nothing where nothing bounds it.
    pub first: Option<DoneAt>,
    /// The latest that is possible.
    pub last: DoneAt,
    /// Read as if it had happened at its latest, after all that may have been before it.
    at_latest: bool,
}

impl Occurred {
    /// At one moment; without an hour, at some hour of its day.
    pub const fn at(moment: DoneAt) -> Self {
        Self::between(Some(moment), moment)
    }

    /// At some moment from the first to the last.
    pub const fn between(first: Option<DoneAt>, last: DoneAt) -> Self {
        Self {
            first,
            last,
            at_latest: false,
        }
    }

    /// The same, read as if it had happened at its latest.
    pub const fn at_its_latest(self) -> Self {
        Self {
            at_latest: true,
            ..self
        }
    }

    /// Whether it is read as if it had happened at its latest.
    pub const fn is_at_latest(&self) -> bool {
        self.at_latest
    }

    /// Whether its hour is known.
    pub fn is_exact(&self) -> bool {
        self.first == Some(self.last) && self.last.at.is_some()
    }

    /// The day on which it happened, where that is known.
    pub fn one_day(&self) -> Option<Day> {
        self.first
            .map(|it| it.day)
            .filter(|it| *it == self.last.day)
    }

    /// The last day that surely was not after it; read at its latest, its last day. Where nothing
    /// bounds it before, no day surely was.
    pub fn day(&self) -> Day {
        match (self.at_latest, self.first) {
            (true, _) => self.last.day,
            (false, first) => first.map_or(Day::MIN, |it| it.day),
        }
    }

    /// Whether it surely came after a moment. On one day without an hour it did not.
    pub fn is_after(&self, moment: DoneAt) -> bool {
        let first = |it: DoneAt| DoneAt {
            at: it.at.or(Some(TimeOfDay::MIN)),
            ..it
        };
        self.first.is_some_and(|it| moment.is_before(first(it)))
    }

    /// Whether it surely came before a moment, or at the minute of it.
    pub fn is_before(&self, moment: DoneAt) -> bool {
        let same = self.is_exact() && moment == self.last;
        same || self.last.is_before(moment)
    }
}

/// When something was done, as far as it is written, in the ledger's zone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct DoneAt {
    /// The day.
    pub day: Day,
    /// The hour, where it is written.
    pub at: Option<TimeOfDay>,
}

impl DoneAt {
    /// Whether it surely is before another. On one day without an hour it is not.
    pub fn is_before(self, other: Self) -> bool {
        let hours = || matches!((self.at, other.at), (Some(own), Some(other)) if own < other);
        self.day < other.day || self.day == other.day && hours()
    }
}

impl fmt::Display for DoneAt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.at {
            Some(at) => write!(f, "{} {}", self.day, at.format("%H:%M")),
            None => write!(f, "{}", self.day),
        }
    }
}
