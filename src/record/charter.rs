//! The first entry: whose ledger this is.

use serde::{Deserialize, Serialize};

use super::field::fields;
use super::problem::need_zone;
use super::words::words;
use super::{Kind, Problem, Record};
use crate::quantity::DoseUnit;

words! {
    /// Where the times of writing come from.
    ClockType {
        /// The computer's own clock.
        System = "system",
        /// A list of instants, as a demonstration or a test needs; every
        /// output of such a ledger says so.
        Scripted = "scripted",
    }
}

/// Whose ledger this is and how it counts. Written once, as entry 1.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Charter {
    /// Where `written_at` comes from.
    pub clock: ClockType,
    /// The first radiation safety officer, by name.
    pub first_rso: String,
    /// Under whose authority the license is; nothing: as the rule set says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub jurisdiction: Option<String>,
    /// A name that tells this ledger from others; it is no secret.
    pub ledger_id: String,
    /// The license number.
    pub licence: String,
    /// Whom the license names.
    pub licensee: String,
    /// Where the office is.
    pub site: String,
    /// The unit of a bare dose and of tables.
    pub unit: String,
    /// The time zone of the ledger's days, an IANA name.
    pub zone: String,
}

fields! { Charter {
    clock.fixed(),
    first_rso.shown("rso").needs("the name of the radiation safety officer"),
    jurisdiction,
    ledger_id.fixed(),
    licence.shown("license").needs("the license number"),
    licensee.needs("the name that the license is issued to"),
    site.needs("the place of the office"),
    unit,
    zone,
} }

impl Charter {
    /// The unit of a bare dose and of tables; `mrem` should the text be damaged.
    pub fn dose_unit(&self) -> DoseUnit {
        DoseUnit::parse(&self.unit).unwrap_or(DoseUnit::Millirem)
    }
}

impl Record for Charter {
    const KIND: Kind = Kind::Charter;

    fn key(&self) -> String {
        "charter".to_owned()
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        if DoseUnit::parse(&self.unit).is_err() {
            problems.push(Problem::new(
                "unit",
                &self.unit,
                "is not a unit of dose",
                "mrem, mSv or uSv",
            ));
        }
        need_zone(&mut problems, &self.zone);
        problems
    }
}
