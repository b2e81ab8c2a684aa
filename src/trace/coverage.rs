//! Whether an item could have shown the failure: what the checklist's data say, until the RSO
//! concludes it. Nothing here looks at the record.

use serde::{Serialize, Serializer};

use crate::calendar::Day;
use crate::record::{Coverage, Words};
use crate::rule::{Checklist, ChecklistItem, Half};

/// What failed, as far as it is known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Failed {
    /// A component of a kind of thing, by a failure mode.
    Found {
        /// The kind of thing, in the checklist's words.
        on: String,
        /// The component.
        component: String,
        /// The key of the failure mode.
        failure: String,
        /// What it meets, where it is a half of a joint.
        beside: Beside,
    },
    /// What people did or left out: no item looks for it.
    Human,
    /// No cause is known: the failure modes that such an event may come from.
    NotFound {
        /// Their keys.
        failures: Vec<String>,
    },
}

/// What a half of a joint meets.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Beside {
    /// Every place of the joint, its own half too.
    pub halves: Vec<Half>,
    /// Keys of the items that look at both halves together.
    pub mating: Vec<String>,
}

impl Beside {
    /// What a component meets, by a list; nothing where it is no half of a joint.
    pub fn of(list: &Checklist, on: &str, component: &str) -> Self {
        let mut found = Self::default();
        for joint in list.joints_of(on, component) {
            found.halves.extend(joint.halves().cloned());
            found.mating.extend(joint.mating.iter().cloned());
        }
        found
    }

    /// Whether a joint has it.
    pub fn has(&self, item: &ChecklistItem) -> bool {
        let is = |it: &Half| it.on == item.on && it.component == item.component;
        self.mating.contains(&item.key) || self.halves.iter().any(is)
    }
}

/// Where a coverage word comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "from", rename_all = "snake_case")]
pub enum Source {
    /// The checklist's data, of a barrier its own kind; not yet concluded.
    Checklist,
    /// The RSO's conclusion.
    Concluded {
        /// Who concluded it.
        by: String,
        /// The day.
        on: Day,
        /// Why.
        because: String,
        /// The entry.
        entry: i64,
    },
}

/// The coverage of one item.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Covered {
    /// The word.
    #[serde(serialize_with = "word")]
    pub coverage: Coverage,
    /// Where it comes from.
    #[serde(flatten)]
    pub source: Source,
}

fn word<S: Serializer>(coverage: &Coverage, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(coverage.word())
}

impl Covered {
    /// In words: who says so.
    pub fn said_by(&self) -> String {
        match &self.source {
            Source::Checklist => "by the checklist's data, not yet concluded".to_owned(),
            Source::Concluded {
                by,
                on,
                because,
                entry,
            } => format!("concluded by {by} on {on} (entry {entry}): {because}"),
        }
    }

    /// Whether the RSO concluded it.
    pub const fn is_concluded(&self) -> bool {
        matches!(self.source, Source::Concluded { .. })
    }
}

/// What the checklist's data say of an item; nothing where it has nothing to do with the failure.
///
/// An item on the failed component, or one that looks at both halves of its joint, can detect
/// it if it names the mode; if it does not, it cannot. An item on the other half, on another
/// component of the same kind, or a mating check against that kind, that names the mode inspections
/// at another place: not established. Where no cause is known every item that names a mode in
/// question is not established.
pub fn by_data(item: &ChecklistItem, failed: &Failed) -> Option<Coverage> {
    match failed {
        Failed::Human => None,
        Failed::NotFound { failures } => item
            .detects
            .iter()
            .any(|it| failures.contains(it))
            .then_some(Coverage::NotEstablished),
        Failed::Found {
            on,
            component,
            failure,
            beside,
        } => {
            let detects = item.detects.contains(failure);
            let own = item.on == *on && item.component == *component;
            if own || beside.mating.contains(&item.key) {
                return Some(if detects {
                    Coverage::CanDetect
                } else {
                    Coverage::CannotDetect
                });
            }
            let near = item.on == *on || item.pair.as_ref() == Some(on);
            match detects {
                true if near || beside.has(item) => Some(Coverage::NotEstablished),
                false if beside.has(item) => Some(Coverage::CannotDetect),
                _ => None,
            }
        }
    }
}
