//! What is private about a person. The chain says that something is on file and leads to it; what
//! it is stands in a table of its own, out of which it can be erased.

use serde::{Deserialize, Serialize};

use super::field::fields;
use super::words::words;
use super::{Id, Kind, Problem, Record, Worker};
use crate::calendar::Day;

/// That something private of a person is on file, or was. It does not say what.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Private {
    /// Whether its content was erased with this entry.
    pub erased: bool,
    /// Leads to the content in the private table, and seals it.
    pub reference: String,
    /// The person.
    pub worker: Id<Worker>,
}

fields! { Private { erased.fixed(), reference.fixed(), worker.fixed() } }

impl Record for Private {
    const KIND: Kind = Kind::Private;

    fn key(&self) -> String {
        self.reference.clone()
    }

    fn contradictions(&self) -> Vec<Problem> {
        let is_digest =
            self.reference.len() == 64 && self.reference.bytes().all(|it| it.is_ascii_hexdigit());
        let problem = || {
            let (what, right) = ("is no reference", "64 hexadecimal digits");
            Problem::new("reference", self.reference.clone(), what, right)
        };
        (!is_digest).then(problem).into_iter().collect()
    }
}

words! {
    /// A person's sex, as the authority's form asks for it.
    Sex {
        /// Female.
        Female = "female",
        /// Male.
        Male = "male",
    }
}

/// What the private table holds of a person.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Kept {
    /// A pregnancy declared in writing with the estimated date of conception (10 CFR 20.1003).
    Declaration {
        /// The estimated date of conception, where the declaration has it.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        conception_on: Option<Day>,
        /// The day of the written notice.
        notice_on: Day,
        /// The last day on which the declaration holds, where it was withdrawn.
        #[serde(skip_serializing_if = "Option::is_none")]
        withdrawn_on: Option<Day>,
    },
    /// A number that identifies the person, and which kind of number that is.
    Identification {
        /// The number.
        number: String,
        /// Its kind, as the authority's form names it.
        #[serde(rename = "sort")]
        kind: String,
    },
    /// The person's sex.
    Sex(Sex),
}

impl Kept {
    /// Whether both are of the same thing, so that one takes the place of the other.
    pub fn same_item(&self, other: &Kept) -> bool {
        match (self, other) {
            (Kept::Declaration { notice_on: a, .. }, Kept::Declaration { notice_on: b, .. }) => {
                a == b
            }
            (Kept::Identification { .. }, Kept::Identification { .. })
            | (Kept::Sex(_), Kept::Sex(_)) => true,
            _ => false,
        }
    }
}
