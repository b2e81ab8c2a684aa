//! Dated checks of sources and reports about them: surveys on receipt, presence checks, reports of
//! transactions, reconciliations, shipping papers, controls. Each says that it was done, by whom
//! and when, and nothing of how sources are guarded.

use serde::{Deserialize, Serialize};

use super::body::numbered;
use super::field::{Shape, fields};
use super::words::words;
use super::{Id, Kind, Problem, Record, SourceAssembly, Words};
use crate::calendar::{Day, parse_time};

words! {
    /// What was done.
    SourceCheckType {
        /// The survey of the package in which a source came.
        ReceiptSurvey = "receipt survey",
        /// That a source which came in the licensee's own vehicle is lodged in its shield.
        Lodged = "lodged check",
        /// That sources are still there.
        Presence = "presence check",
        /// A receipt told to the tracking system.
        ReceiptReport = "receipt report",
        /// A transfer told to the tracking system.
        TransferReport = "transfer report",
        /// The yearly comparison of the tracking system with the inventory.
        Reconciliation = "reconciliation",
        /// From that day on the sources are kept at a place.
        Stored = "stored",
        /// A shipping paper under which they went or came, with its date.
        ShippingPaper = "shipping paper",
        /// That the controls of the vehicle which carries them were looked at.
        VehicleControls = "vehicle controls",
        /// That the controls of the place where they are kept were looked at.
        StorageControls = "storage controls",
    }
}

impl SourceCheckType {
    /// Whether it is made when a source comes.
    pub const fn is_on_receipt(self) -> bool {
        matches!(self, Self::ReceiptSurvey | Self::Lodged)
    }

    /// Whether a number of it is asked for: an inspection or a place has none.
    pub const fn has_reference(self) -> bool {
        !matches!(
            self,
            Self::Presence | Self::Stored | Self::VehicleControls | Self::StorageControls
        )
    }
}

/// One check or report.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SourceCheck {
    /// When the package came, HH:MM.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub arrived: Option<String>,
    /// When it was done, HH:MM.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<String>,
    /// Who did it.
    pub by: String,
    /// The day.
    pub on: Day,
    /// Where they are kept from then on: a name, and nothing of how it is secured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    /// Number of the survey, of the paper, of the report or of its confirmation.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reference: Option<String>,
    /// The number of its row in the office's own file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub row: Option<String>,
    /// What was done.
    #[serde(rename = "sort")]
    pub kind: SourceCheckType,
    /// The sources.
    pub sources: Vec<Id<SourceAssembly>>,
}

fields! { SourceCheck {
    arrived.written(Shape::Hour), at.written(Shape::Hour),
    by.shown("performed_by").needs("who did it"), on, place,
    reference, row, kind.stored("sort").shown("type"), sources.between(" "),
} }

impl SourceCheck {
    /// Minutes from the coming of the package to the survey, where both hours are told.
    pub fn minutes(&self) -> Option<i64> {
        let time = |it: &Option<String>| parse_time(it.as_deref()?).ok();
        let (arrived, at) = (time(&self.arrived)?, time(&self.at)?);
        Some(at.signed_duration_since(arrived).num_minutes())
    }
}

impl Record for SourceCheck {
    const KIND: Kind = Kind::SourceCheck;

    numbered!();

    fn about(&self) -> Option<Day> {
        Some(self.on)
    }

    fn key(&self) -> String {
        let sources: Vec<String> = self.sources.iter().map(ToString::to_string).collect();
        let (kind, sources) = (self.kind.stored(), sources.join("+"));
        match (self.kind, &self.reference) {
            // Of papers there may be several on one day.
            (SourceCheckType::ShippingPaper, Some(paper)) => {
                format!("{kind}/{}/{sources}/{paper}", self.on)
            }
            _ => format!("{kind}/{}/{sources}", self.on),
        }
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        if self.sources.is_empty() {
            problems.push(Problem::missing("sources", "the ids of the sources"));
        }
        for (field, time) in [("arrived", &self.arrived), ("at", &self.at)] {
            if let Some(time) = time
                && let Err(error) = parse_time(time)
            {
                let right = "an hour such as `08:40`";
                problems.push(Problem::new(field, time.clone(), error.to_string(), right));
            }
        }
        let is_stored = self.kind == SourceCheckType::Stored;
        match &self.place {
            None if is_stored => {
                problems.push(Problem::missing("place", "the name of the place"));
            }
            Some(place) if !is_stored => {
                let (what, right) = ("is of `stored` alone", "leave it blank");
                problems.push(Problem::new("place", place.clone(), what, right));
            }
            _ => {}
        }
        if self.kind == SourceCheckType::ShippingPaper && self.reference.is_none() {
            problems.push(Problem::missing("reference", "the number of the paper"));
        }
        let Some(arrived) = &self.arrived else {
            return problems;
        };
        if !self.kind.is_on_receipt() {
            let (what, right) = ("is of a receipt alone", "leave it blank");
            problems.push(Problem::new("arrived", arrived.clone(), what, right));
        } else if self.minutes().is_some_and(|it| it < 0) {
            let at = self.at.as_deref().unwrap_or_default();
            let what = format!("is after the survey at {at}");
            let right = "the hour at which the package came, the same day";
            problems.push(Problem::new("arrived", arrived.clone(), what, right));
        }
        problems
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fields_of(kind: SourceCheckType, arrived: &str, at: &str) -> Vec<String> {
        let check = SourceCheck {
            arrived: Some(arrived.to_owned()).filter(|it| !it.is_empty()),
            at: Some(at.to_owned()).filter(|it| !it.is_empty()),
            by: "A. Hollow".to_owned(),
            on: "2026-06-12".parse().unwrap(),
            place: None,
            reference: None,
            row: None,
            kind,
            sources: vec![9.into()],
        };
        let problems = check.problems().into_iter();
        problems.map(|it| it.field.clone()).collect()
    }

    #[test]
    fn an_hour_of_arrival_is_of_a_receipt_and_before_its_survey() {
        use SourceCheckType::{Lodged, Presence, ReceiptSurvey, ShippingPaper, Stored};
        for (kind, arrived, at, wanted) in [
            (ReceiptSurvey, "08:00", "10:59", vec![]),
            (ReceiptSurvey, "08:00", "08:00", vec![]),
            (ReceiptSurvey, "", "10:59", vec![]),
            (Lodged, "08:00", "", vec![]),
            (ReceiptSurvey, "11:00", "10:59", vec!["arrived"]),
            (ReceiptSurvey, "8 am", "10:59", vec!["arrived"]),
            (Presence, "08:00", "10:59", vec!["arrived"]),
            (Presence, "", "25:00", vec!["at"]),
            (Stored, "", "", vec!["place"]),
            (ShippingPaper, "", "", vec!["reference"]),
        ] {
            assert_eq!(fields_of(kind, arrived, at), wanted, "{arrived} {at}");
        }
    }
}
