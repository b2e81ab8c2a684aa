//! Where the work is.

use serde::{Deserialize, Serialize};

use super::field::fields;
use super::problem::{days_in_order, need_id, need_zone};
use super::words::words;
use super::{Kind, Problem, Record};
use crate::calendar::Day;

words! {
    /// The two settings that 10 CFR 34.41 and 34.33 treat differently.
    Setting {
        /// Away from a permanent installation.
        Temporary = "temporary job site" shown "temporary jobsite",
        /// A permanent radiographic installation.
        Fixed = "fixed installation" shown "permanent radiographic installation",
    }
}

/// A job: the place decides the zone, the authority and the rules of company.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Job {
    /// For whom the work is done, where the office says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub client: Option<String>,
    /// The first day of work, where known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub first_day: Option<Day>,
    /// The office's own name of the job.
    pub id: String,
    /// Whose rules hold there and whom to notify.
    pub jurisdiction: String,
    /// The last day of work, where known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub last_day: Option<Day>,
    /// Where it is, in words.
    pub place: String,
    /// The day on which the form of reciprocity was filed, where the license is another's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reciprocity_filed: Option<Day>,
    /// The authority's number of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reciprocity_reference: Option<String>,
    /// Temporary job site or permanent radiographic installation.
    pub setting: Setting,
    /// Its time zone, an IANA name.
    pub zone: String,
}

fields! { Job {
    client,
    first_day,
    id,
    jurisdiction.needs("the authority whose rules hold there, such as `US NRC`"),
    last_day,
    place.needs("where the work is"),
    reciprocity_filed,
    reciprocity_reference,
    setting,
    zone,
} }

impl Record for Job {
    const KIND: Kind = Kind::Job;

    fn key(&self) -> String {
        self.id.clone()
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need_id(&mut problems, "id", &self.id);
        need_zone(&mut problems, &self.zone);
        if let (Some(first), Some(last)) = (self.first_day, self.last_day) {
            days_in_order(&mut problems, first, last);
        }
        problems
    }
}
