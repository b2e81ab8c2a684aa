//! Dose from other employers, and quarters of which nobody has a record.

use serde::{Deserialize, Serialize};

use super::body::numbered;
use super::field::{Shape, fields};
use super::problem::{days_in_order, need_json_size};
use super::{Id, Kind, Problem, Record, Worker};
use crate::calendar::Day;
use crate::quantity::Dose;

/// Occupational dose received under another employer (10 CFR 20.2104), by
/// period and quantity. A quantity that the record does not state stays unset.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PriorDose {
    /// What proves it: a signed statement, a form, a letter.
    pub basis: String,
    /// Deep dose, whole body.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deep_nsv: Option<Dose>,
    /// Who employed the person then.
    pub employer: String,
    /// Skin of the maximally exposed extremity.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub extremity_nsv: Option<Dose>,
    /// First day of the period.
    pub first_day: Day,
    /// Last day of the period.
    pub last_day: Day,
    /// Lens of the eye.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lens_nsv: Option<Dose>,
    /// The number of its row in the office's own file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub row: Option<String>,
    /// Skin of the whole body.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shallow_nsv: Option<Dose>,
    /// The person.
    pub worker: Id<Worker>,
}

fields! { PriorDose {
    basis.needs("what proves it: a signed statement, a form, a letter"),
    deep_nsv.shown("deep").written(Shape::Dose { bare: true }),
    employer.needs("who employed the person then"),
    extremity_nsv.shown("extremity").written(Shape::Dose { bare: true }),
    first_day,
    last_day,
    lens_nsv.shown("lens").written(Shape::Dose { bare: true }),
    row,
    shallow_nsv.shown("shallow").written(Shape::Dose { bare: true }),
    worker,
} }

/// A request to another employer for the record of somebody's dose (10 CFR 20.2104(c)).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DoseRequest {
    /// What was answered where no dose came of it, such as that there is no record.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub answer: Option<String>,
    /// The day of that answer.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub answered_on: Option<Day>,
    /// Who was asked.
    pub employer: String,
    /// First day of the period that was asked for.
    pub first_day: Day,
    /// Last day of it.
    pub last_day: Day,
    /// The day on which it was sent.
    pub on: Day,
    /// The person.
    pub worker: Id<Worker>,
}

fields! { DoseRequest {
    answer,
    answered_on,
    employer.needs("who was asked"),
    first_day,
    last_day,
    on,
    worker,
} }

impl Record for DoseRequest {
    const KIND: Kind = Kind::DoseRequest;

    fn about(&self) -> Option<Day> {
        Some(self.on)
    }

    fn key(&self) -> String {
        format!("{}/{}/{}", self.worker, self.on, self.employer)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        days_in_order(&mut problems, self.first_day, self.last_day);
        match (self.answered_on, self.answer.as_deref()) {
            (Some(on), _) if on < self.on => problems.push(Problem::new(
                "answered_on",
                on.to_string(),
                format!("is before the request of {}", self.on),
                "the day of the answer",
            )),
            (Some(_), None) => problems.push(Problem::missing("answer", "what was answered")),
            (None, Some(_)) => {
                problems.push(Problem::missing("answered_on", "the day of the answer"))
            }
            _ => {}
        }
        problems
    }
}

/// A quarter of the licensee's year without a record of dose.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MissingQuarter {
    /// Whether the person did work in it that could have exposed them; only
    /// then does 10 CFR 20.2104(e)(1) cut the allowance.
    pub exposure_possible: bool,
    /// What is known about it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// 1 to 4.
    pub quarter: i64,
    /// The person.
    pub worker: Id<Worker>,
    /// The licensee's year.
    pub year: i64,
}

fields! { MissingQuarter { exposure_possible, note, quarter, worker, year } }

impl Record for PriorDose {
    const KIND: Kind = Kind::PriorDose;

    numbered!();

    fn about(&self) -> Option<Day> {
        Some(self.first_day)
    }

    fn key(&self) -> String {
        format!("{}/{}/{}", self.worker, self.first_day, self.employer)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        days_in_order(&mut problems, self.first_day, self.last_day);
        let doses = [
            ("deep", self.deep_nsv),
            ("lens", self.lens_nsv),
            ("shallow", self.shallow_nsv),
            ("extremity", self.extremity_nsv),
        ];
        if doses.iter().all(|(_, dose)| dose.is_none()) {
            problems.push(Problem::missing(
                "deep",
                "at least one of deep, lens, shallow, extremity",
            ));
        }
        for (field, dose) in doses {
            if dose.is_some_and(|dose| dose < Dose::ZERO) {
                problems.push(Problem::new(field, "", "is below zero", "zero or more"));
            }
            if let Some(dose) = dose {
                need_json_size(&mut problems, field, dose.nsv());
            }
        }
        problems
    }
}

impl Record for MissingQuarter {
    const KIND: Kind = Kind::MissingQuarter;

    fn key(&self) -> String {
        format!("{}/{}-Q{}", self.worker, self.year, self.quarter)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        if !(1..=4).contains(&self.quarter) {
            problems.push(Problem::new(
                "quarter",
                self.quarter.to_string(),
                "is not a quarter of a year",
                "1, 2, 3 or 4",
            ));
        }
        if !(1950..=2200).contains(&self.year) {
            problems.push(Problem::new(
                "year",
                self.year.to_string(),
                "is not a year",
                "such as 2026",
            ));
        }
        problems
    }
}
