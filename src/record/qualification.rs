//! What a person is qualified for, as dated records (10 CFR 34.43, 34.79).

use serde::{Deserialize, Serialize};

use super::body::numbered;
use super::field::fields;
use super::words::words;
use super::{Id, Kind, Problem, Record, Words, Worker};
use crate::calendar::Day;

words! {
    /// What was done.
    QualificationType {
        /// Certification of a radiographer.
        Certification = "certification",
        /// Refresher training.
        Refresher = "refresher training",
        /// Observed performance on the job.
        Performance = "observed performance" shown "job performance inspection",
        /// Practical examination after a longer time without work.
        Practical = "practical examination",
        /// Instruction, tests and practical examination of an assistant: what lets a person be
        /// the second of a crew.
        Assistant = "assistant qualification",
        /// Approval for unescorted access to sources, and each reinvestigation.
        Access = "unescorted access",
        /// Training of who prepares or carries a shipment of sources.
        Hazmat = "hazmat training",
    }
}

/// One qualification of one person.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Qualification {
    /// Who certified, taught, observed or examined.
    pub by: String,
    /// What was taught or observed, and what was not right.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The day.
    pub on: Day,
    /// The number of its row in the office's own file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub row: Option<String>,
    /// What was done.
    #[serde(rename = "sort")]
    pub kind: QualificationType,
    /// The last day on which it holds, where the paper says one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub until: Option<Day>,
    /// The person.
    pub worker: Id<Worker>,
}

fields! { Qualification {
    by.shown("performed_by").needs("who certified, taught, observed or \
        examined"), note, on, row, kind.stored("sort").shown("type"), until, worker,
} }

impl Record for Qualification {
    const KIND: Kind = Kind::Qualification;

    numbered!();

    fn about(&self) -> Option<Day> {
        Some(self.on)
    }

    fn key(&self) -> String {
        format!("{}/{}/{}", self.worker, self.kind.stored(), self.on)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        if let Some(until) = self.until
            && until < self.on
        {
            problems.push(Problem::new(
                "until",
                until.to_string(),
                format!("is before {}", self.on),
                "the last day on which it holds",
            ));
        }
        problems
    }
}
