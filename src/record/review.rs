//! The RSO's signature under a month.

use serde::{Deserialize, Serialize};

use super::field::fields;
use super::{Id, Kind, Problem, Record, Worker};
use crate::calendar::Day;
use crate::quantity::Dose;

/// One person's deep dose as a signed month showed it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SignedFigure {
    /// Whether the month's figure is only a lower bound.
    pub at_least: bool,
    /// Of the month, nanosievert.
    pub month_nsv: Dose,
    /// Resolved by result or determination, of the year up to the month's last day.
    pub of_record_nsv: Dose,
    /// The person.
    pub worker: Id<Worker>,
    /// Of the year up to the month's last day, everything.
    pub year_nsv: Dose,
}

fields! { SignedFigure { at_least, month_nsv, of_record_nsv, worker, year_nsv } }

/// A signed review: what it covers and what it showed. The figures stay what
/// they were, whatever is written later.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Review {
    /// The RSO or designee who signs.
    pub by: Id<Worker>,
    /// How many entries the ledger had.
    pub entries: i64,
    /// What each person's dose was, by person.
    pub figures: Vec<SignedFigure>,
    /// The hash of the last of them, as printed.
    pub head: String,
    /// The month, `2026-05`.
    pub month: String,
    /// The day of the signature.
    pub on: Day,
    /// How many findings said stop and were open.
    pub open_stops: i64,
    /// The program's version.
    pub program: String,
    /// Why it is signed with open stops, or again.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

fields! { Review {
    by.shown("performed_by"),
    entries.fixed(),
    figures.fixed(),
    head.needs("the seal's hash").fixed(),
    month.needs("such as `2026-05`").fixed(),
    on,
    open_stops.fixed(),
    program.fixed(),
    reason,
} }

impl Record for Review {
    const KIND: Kind = Kind::Review;

    fn key(&self) -> String {
        format!("{}/{}", self.month, self.entries)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        let reason = self.reason.as_deref().unwrap_or_default();
        if self.open_stops > 0 && reason.trim().is_empty() {
            let right = "why it is signed while findings that say stop are open";
            problems.push(Problem::missing("reason", right));
        }
        problems
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calendar::Day;

    #[test]
    fn a_month_with_open_stops_is_signed_with_a_reason_only() {
        let mut review = Review {
            by: 3.into(),
            entries: 40,
            figures: Vec::new(),
            head: "0123456789abcdef".to_owned(),
            month: "2026-05".to_owned(),
            on: Day::from_ymd_opt(2026, 6, 5).unwrap(),
            open_stops: 1,
            program: "0.1.0".to_owned(),
            reason: None,
        };
        assert_eq!(review.problems().len(), 1);
        review.reason = Some("W04 is off work until the determination".to_owned());
        assert_eq!(review.problems().len(), 0);
    }
}
