//! A rule set of limits that is in force from a day on, with its full text.

use serde::{Deserialize, Serialize};

use super::field::fields;
use super::{Kind, Record};
use crate::calendar::Day;

/// The adoption of a rule set. The text stands in the entry, so that a new
/// version of the program changes no past month.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Adoption {
    /// The first day on which it is in force.
    pub from: Day,
    /// The rule set's own name.
    pub name: String,
    /// Why, where it changes what was said of days that are past.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// The rule set's text, TOML.
    pub text: String,
}

fields! { Adoption {
    from,
    name.needs("the name of the rule set"),
    reason,
    text.needs("the text of the rule set").fixed(),
} }

impl Record for Adoption {
    const KIND: Kind = Kind::Adoption;

    fn about(&self) -> Option<Day> {
        Some(self.from)
    }

    fn key(&self) -> String {
        format!("{} from {}", self.name, self.from)
    }
}
