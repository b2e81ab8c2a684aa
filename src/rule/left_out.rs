//! A level or a duty that a site's own rule set leaves out.

use serde::Serialize;

use super::word::{AppliesTo, words};

/// Something of the rule set that a file started from, which it leaves out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Removed {
    /// The key of a level or of a duty to tell.
    pub key: String,
    /// Why, as the site says.
    pub reason: String,
    /// Which it was, and where its rule stands; nothing until the rule set is whole.
    pub what: Option<String>,
    /// Of which kind; nothing in a rule set that was written out before this was.
    pub of: Option<RemovedType>,
    /// The rule set whose file leaves it out; nothing in one written out before this was.
    pub by: Option<String>,
    /// Of a level, whose dose it was of; nothing in one written out before this was.
    pub applies_to: Option<AppliesTo>,
}

words! {
    /// What can be left out.
    RemovedType {
        /// A level.
        Level = "level",
        /// Something to tell.
        Duty = "duty",
    }
}

/// What an output tells of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tells {
    /// Of doses against levels.
    Levels,
    /// Of what must be told to whom.
    Duties,
    /// Of both.
    Both,
    /// Of neither.
    Neither,
}

impl Tells {
    pub(super) const fn is_changed_by(self, kind: Option<RemovedType>) -> bool {
        match (self, kind) {
            (Self::Neither, _) => false,
            (Self::Both, _) | (_, None) => true,
            (Self::Levels, Some(it)) => matches!(it, RemovedType::Level),
            (Self::Duties, Some(it)) => matches!(it, RemovedType::Duty),
        }
    }
}
