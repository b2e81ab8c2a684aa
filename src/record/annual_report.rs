//! The sending of a year's dose records to the authority, and of a person's own to the person.

use serde::{Deserialize, Serialize};

use chrono::Datelike;

use super::field::fields;
use super::{Id, Kind, Problem, Record, Worker};
use crate::calendar::Day;

/// The annual report of a year that was sent to the authority (10 CFR 20.2206), or the report of
/// their own year that a person was given (10 CFR 19.13(b)).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AnnualReport {
    /// Who sent it.
    pub by: String,
    /// The day on which it was sent.
    pub on: Day,
    /// The authority's receipt, or the number of the parcel, where there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reference: Option<String>,
    /// To whom.
    pub to: String,
    /// The person whose own report it is; nothing where it is everybody's to the authority.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worker: Option<Id<Worker>>,
    /// The licensee's year that it is of.
    pub year: i64,
}

fields! { AnnualReport {
    by.shown("performed_by").needs("who sent it"),
    on,
    reference,
    to.needs("to whom it was sent"),
    worker.fixed(),
    year,
} }

impl Record for AnnualReport {
    const KIND: Kind = Kind::AnnualReport;

    fn about(&self) -> Option<Day> {
        Some(self.on)
    }

    fn key(&self) -> String {
        match self.worker {
            Some(worker) => format!("{}/{}/worker {worker}", self.year, self.on),
            None => format!("{}/{}/{}", self.year, self.on, self.to),
        }
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        // A licensee's year begins in the calendar year of its name and ends no earlier than that.
        if i64::from(self.on.year()) <= self.year {
            let (what, right) = (
                "is before the end of the year that the report is of",
                "the day on which it was sent, after the year",
            );
            problems.push(Problem::new("on", self.on.to_string(), what, right));
        }
        problems
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_report_of_a_year_that_is_not_over_cannot_have_been_sent() {
        let sent = |on: &str| AnnualReport {
            by: "Adaeze Hollow".to_owned(),
            on: on.parse().unwrap(),
            reference: None,
            to: "the authority".to_owned(),
            worker: None,
            year: 2025,
        };
        assert_eq!(sent("2025-12-31").problems().len(), 1);
        assert_eq!(sent("2026-01-01").problems().len(), 0);
    }
}
