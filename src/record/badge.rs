//! Processed dosimeters: who had which badge when, what became of it, what its
//! processor reported, and what the RSO says of that report.

use serde::{Deserialize, Serialize};

use super::body::Record;
use super::dose::{DoseQuantity, dose_problem};
use super::doubt::Doubt;
use super::field::{RecordId, Shape, Shaped, fields};
use super::kind::Kind;
use super::problem::{Problem, days_in_order, need_id, need_when};
use super::reference::{Id, Ref};
use super::words::{Words, words};
use super::worker::Worker;
use crate::calendar::Day;
use crate::quantity::{Dose, DoseUnit};

words! {
    /// What a badge measures.
    BadgeType {
        /// On the trunk: deep, lens and shallow dose.
        WholeBody = "whole body" also ["body", "badge"],
        /// On a hand or foot.
        Extremity = "extremity" also ["ring", "wrist"],
        /// On nobody: what the batch received that no person did.
        Control = "control",
    }
}

words! {
    /// What became of a badge.
    BadgeChange {
        /// Handed back; the last day of wear.
        Returned = "returned",
        /// Sent to its processor.
        Sent = "sent",
        /// Lost; the last day of wear.
        Lost = "lost",
        /// Damaged; the last day of wear.
        Damaged = "damaged",
    }
}

words! {
    /// Which figure is of record where a result and a determination disagree.
    OfRecord {
        /// The processor's result.
        Result = "result",
        /// The determination.
        Determination = "determination",
    }
}

/// A badge issued for a wear period.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Badge {
    /// The number on the badge.
    pub badge: String,
    /// Another employer whose badge it is, worn beside ours.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub employer: Option<String>,
    /// First day of wear.
    pub first_day: Day,
    /// What is doubtful about it, found when it was written.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub held: Vec<Doubt>,
    /// Last day of wear, as planned.
    pub last_day: Day,
    /// Of one read on demand: the day of the read before its first day, from which the
    /// interval to the next read runs. Unset where it was not read before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last_read: Option<Day>,
    /// Whether it is read on demand and goes to no processor. It is then not exchanged:
    /// each read ends a wear period and begins the next. Unset: it is processed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on_demand: Option<bool>,
    /// Of another employer's badge: whether it measured the same dose as ours,
    /// on the same shifts. Unset until somebody knows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub same_dose: Option<bool>,
    /// Whole body, extremity or control.
    #[serde(rename = "sort")]
    pub kind: BadgeType,
    /// Who wears it; nobody wears a control badge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worker: Option<Id<Worker>>,
}

fields! { Badge {
    badge, employer, first_day, held.fixed(), last_day, last_read, on_demand, same_dose,
    kind.stored("sort").shown("type"),
    worker,
} }

/// What became of a badge on a day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BadgeEvent {
    /// The badge's record.
    pub badge: Id<Badge>,
    /// What happened.
    pub change: BadgeChange,
    /// What is known about it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The day.
    pub on: Day,
}

fields! { BadgeEvent { badge, change, note, on } }

/// What the processor reports for one quantity.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reported {
    /// Whether it is a code for less than can be measured; then the dose is zero.
    pub below: bool,
    /// The least that the processor reports, where it is below that: so it says itself, or it is
    /// a number that no report with this minimum can tell.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minimum_nsv: Option<Dose>,
    /// The dose, nanosievert.
    pub nsv: Dose,
    /// As the report has it; a number with its unit.
    pub written: String,
}

impl Shaped for Reported {
    const SHAPE: Shape = Shape::Reported;
}

impl Reported {
    /// The minimum that a number is below, though it is given as a number.
    pub fn under_minimum(&self) -> Option<Dose> {
        let said = self.minimum_nsv.filter(|_| !self.below);
        said.filter(|least| self.nsv < *least)
    }
}

/// A processor's result for a badge.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BadgeResult {
    /// The badge, or its number where the ledger knows none of it: a spare that was never
    /// issued. Such a result is held until somebody says whose it is.
    pub badge: Ref<Badge>,
    /// Deep dose.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deep: Option<Reported>,
    /// Dose of the extremity.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub extremity: Option<Reported>,
    /// Gross value of a control badge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gross_nsv: Option<Dose>,
    /// What is doubtful about it, found when it was written.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub held: Vec<Doubt>,
    /// Lens dose.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lens: Option<Reported>,
    /// When anyone at the licensee first had it, by telephone too: local time with its offset, or
    /// what is known of it. Nothing: when it was written down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub received_at: Option<String>,
    /// The processor's number of the report.
    pub report: String,
    /// The report's date.
    pub reported_on: Day,
    /// Shallow dose.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shallow: Option<Reported>,
    /// Of a badge read on demand: the running total that it showed, from which the next read's
    /// dose can be told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub total_nsv: Option<Dose>,
    /// The processor's own deep dose of the year to date.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub year_to_date_nsv: Option<Dose>,
}

fields! { BadgeResult {
    badge,
    deep,
    extremity,
    gross_nsv.shown("gross"),
    held.fixed(),
    lens,
    received_at,
    report.needs("the processor's number of the report"),
    reported_on,
    shallow,
    total_nsv.shown("total"),
    year_to_date_nsv.shown("year_to_date"),
} }

/// The RSO's acceptance of one version of a result: from then on levels use it
/// alone. When the result is amended, it is to be accepted anew.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Acceptance {
    /// Who accepts: RSO or designee.
    pub by: Id<Worker>,
    /// The entry that says what is accepted.
    pub entry: RecordId,
    /// The day.
    pub on: Day,
    /// The result's record.
    pub result: Id<BadgeResult>,
    /// The second person, where the dose is the accepter's own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub second_by: Option<Id<Worker>>,
}

fields! { Acceptance {
    by.shown("performed_by"), entry.written(Shape::Entry).fixed(), on, result.fixed(), second_by,
} }

/// The RSO's choice between a result and a determination for a badge, as earlier
/// ledgers have it. Today a [`Resolution`](super::Resolution) is written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settlement {
    /// The badge's record.
    pub badge: Id<Badge>,
    /// Who resolves: RSO or designee.
    pub by: Id<Worker>,
    /// Which is of record.
    pub of_record: OfRecord,
    /// The day.
    pub on: Day,
    /// Why.
    pub reason: String,
    /// The second person, where the dose is the settler's own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub second_by: Option<Id<Worker>>,
}

fields! { Settlement {
    badge,
    by.shown("performed_by"),
    of_record,
    on,
    reason.needs("why this figure is of record"),
    second_by,
} }

impl Record for Badge {
    const KIND: Kind = Kind::Badge;

    fn about(&self) -> Option<Day> {
        Some(self.first_day)
    }

    fn key(&self) -> String {
        format!("{}/{}", self.badge, self.first_day)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need_id(&mut problems, "badge", &self.badge);
        days_in_order(&mut problems, self.first_day, self.last_day);
        if self.same_dose.is_some() && self.employer.is_none() {
            problems.push(Problem::new(
                "same_dose",
                "",
                "is asked of another employer's badge alone",
                "the employer too, or a blank",
            ));
        }
        self.on_demand_problems(&mut problems);
        match (self.kind, self.worker) {
            (BadgeType::Control, Some(_)) => problems.push(Problem::new(
                "worker",
                "",
                "a control badge is not worn",
                "leave the worker blank",
            )),
            (BadgeType::WholeBody | BadgeType::Extremity, None) => {
                problems.push(Problem::missing("worker", "who wears it"));
            }
            _ => {}
        }
        problems
    }

    fn content(&self) -> Badge {
        Badge {
            held: Vec::new(),
            ..self.clone()
        }
    }
}

impl Badge {
    /// Whether it is read on demand and goes to no processor.
    pub fn is_on_demand(&self) -> bool {
        self.on_demand == Some(true)
    }

    fn on_demand_problems(&self, problems: &mut Vec<Problem>) {
        let ours = self.employer.is_none() && self.kind != BadgeType::Control;
        if self.is_on_demand() && !ours {
            problems.push(Problem::new(
                "on_demand",
                "yes",
                "applies only to our own badges that are worn",
                "a blank",
            ));
        }
        let Some(last_read) = self.last_read else {
            return;
        };
        if !self.is_on_demand() {
            problems.push(Problem::new(
                "last_read",
                last_read.to_string(),
                "is said of a badge that is read on demand",
                "a blank, or on_demand yes",
            ));
        } else if last_read > self.first_day {
            problems.push(Problem::new(
                "last_read",
                last_read.to_string(),
                format!("is after the first day {}", self.first_day),
                "the day of the read before its first day",
            ));
        }
    }
}

impl Record for BadgeEvent {
    const KIND: Kind = Kind::BadgeEvent;

    fn key(&self) -> String {
        format!("{}/{}", self.badge, self.change.stored())
    }
}

impl Record for BadgeResult {
    const KIND: Kind = Kind::BadgeResult;

    fn key(&self) -> String {
        match &self.badge {
            Ref::Known(badge) => format!("#{badge}/{}", self.report),
            Ref::Written(number) => format!("{number}/{}", self.report),
        }
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        let values = [&self.deep, &self.lens, &self.shallow, &self.extremity];
        if values.iter().all(|it| it.is_none()) && self.gross_nsv.is_none() {
            problems.push(Problem::missing(
                "deep",
                "at least one of deep, lens, shallow, extremity",
            ));
        }
        let minimum_missing = values
            .into_iter()
            .flatten()
            .any(|it| it.below && it.minimum_nsv.is_none());
        if minimum_missing {
            problems.push(Problem::missing(
                "minimum",
                "the least dose that the processor reports, with its unit",
            ));
        }
        if let Some(received) = &self.received_at {
            need_when(&mut problems, "received_at", received);
        }
        self.dose_problems(&mut problems);
        problems
    }

    fn content(&self) -> BadgeResult {
        BadgeResult {
            held: Vec::new(),
            ..self.clone()
        }
    }
}

impl BadgeResult {
    /// What it states of each quantity, under the quantity's name.
    pub fn values(&self) -> [(DoseQuantity, Option<&Reported>); 4] {
        [
            (DoseQuantity::Deep, self.deep.as_ref()),
            (DoseQuantity::Lens, self.lens.as_ref()),
            (DoseQuantity::Shallow, self.shallow.as_ref()),
            (DoseQuantity::Extremity, self.extremity.as_ref()),
        ]
    }

    fn dose_problems(&self, problems: &mut Vec<Problem>) {
        for (quantity, value) in self.values() {
            let Some(value) = value else { continue };
            let field = quantity.word();
            // Whoever corrects the one must correct the other.
            if let Ok(said) = Dose::parse(&value.written, None)
                && said != value.nsv
            {
                problems.push(Problem::new(
                    field,
                    &value.written,
                    format!("is written beside {} nSv", value.nsv.nsv()),
                    format!(
                        "both the same: {field}.written and {field}.nsv={}",
                        said.nsv()
                    ),
                ));
            }
            if value.below && value.nsv != Dose::ZERO {
                problems.push(Problem::new(
                    field,
                    &value.written,
                    "is below the minimum and has a dose",
                    "a dose of zero, with the minimum",
                ));
            }
            problems.extend(dose_problem(field, value.nsv, quantity));
            let minimum = value.minimum_nsv.filter(|_| value.below);
            if let Some(minimum) = minimum {
                if minimum <= Dose::ZERO {
                    problems.push(Problem::new(
                        "minimum",
                        minimum.display(DoseUnit::Millirem),
                        "is nothing that a dose can be below",
                        "the least dose that the processor reports, with its unit",
                    ));
                }
                problems.extend(dose_problem("minimum", minimum, quantity));
            }
        }
        for (field, dose) in [
            ("gross", self.gross_nsv),
            ("total", self.total_nsv),
            ("year_to_date", self.year_to_date_nsv),
        ] {
            problems.extend(dose.and_then(|it| dose_problem(field, it, DoseQuantity::Deep)));
        }
    }
}

impl Record for Acceptance {
    const KIND: Kind = Kind::Acceptance;

    fn key(&self) -> String {
        self.entry.to_string()
    }
}

impl Record for Settlement {
    const KIND: Kind = Kind::Settlement;

    fn key(&self) -> String {
        self.badge.to_string()
    }
}
