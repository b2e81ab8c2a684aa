//! Checklists as data: what an inspection looks at, item by item.
//!
//! A *checklist* has failure modes and items. An item says on which kind of thing it looks at
//! which component, what makes it good, on which occasions it is looked at, which failure modes
//! it can detect, and where it comes from; some items measure. The built-in list is an offer,
//! as the built-in schemes are: a ledger adopts its full text, or a site's own file that starts
//! from it with `extends`.

mod check;
mod diff;
mod parse;
#[cfg(test)]
mod tests;
mod write;

use serde::Serialize;

use super::word::words;
use crate::quantity::{Amount, AmountUnit};

pub use diff::{ChangeSort, ChecklistChange, FieldChange, diff};

/// The kinds of things that an item can look at: the words of the registers of equipment and
/// instruments.
pub const THINGS: &[&str] = &[
    "exposure device",
    "source assembly",
    "control unit",
    "guide tube",
    "collimator",
    "source changer",
    "storage container",
    "survey meter",
    "alarm ratemeter",
    "pocket dosimeter",
    "electronic dosimeter",
];

words! {
    /// The occasions on which an item is looked at.
    When {
        /// Before use, on each day of use.
        Daily = "daily",
        /// At the periodic inspection and maintenance.
        Quarterly = "quarterly",
        /// After a drop, a fire, a hard crank, a repair.
        AfterEvent = "after an event",
        /// When it comes to the site or comes back to it.
        OnReceipt = "on receipt",
    }
}

words! {
    /// How well it is known where an item comes from.
    ItemStatus {
        /// Read in the published text of its basis.
        Read = "read",
        /// Not read there: every output that uses it says so.
        ToBeConfirmed = "to be confirmed",
        /// Custom of the trade, which no published text that was read gives.
        CommonPractice = "common practice",
    }
}

words! {
    /// On which side of its limit a measure is bad. The limit itself is still kept.
    Sense {
        /// It must not fall below, as a cable's diameter.
        NotBelow = "not below",
        /// It must not rise above, as an angle or a rate.
        NotAbove = "not above",
    }
}

/// What a measure means against its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Standing {
    /// Within, and not yet where the warning begins.
    Good,
    /// Within the limit, at the warning or past it.
    Warning,
    /// Past the limit.
    Beyond,
}

/// What an item measures.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ItemMeasure {
    /// The unit in which the list writes it; a bare number that is typed takes it.
    pub unit: AmountUnit,
    /// The value of a new piece, where there is one.
    pub nominal: Option<Amount>,
    /// Past this the item is a defect.
    pub limit: Amount,
    /// At this or past it there is a warning.
    pub warn: Option<Amount>,
    /// Which side is bad.
    pub sense: Sense,
    /// The resolution of the gauge that is mostly used.
    pub step: Amount,
    /// Below this a value is not believable and is asked back.
    pub lowest: Amount,
    /// Above this a value is not believable and is asked back.
    pub highest: Amount,
}

impl ItemMeasure {
    /// Where a measure stands. Nothing if it is of another kind: an angle for a length.
    #[must_use]
    pub fn standing(&self, value: Amount) -> Option<Standing> {
        if value.kind() != self.unit.kind() {
            return None;
        }
        let past = |mark: Amount| match self.sense {
            Sense::NotBelow => value.count() < mark.count(),
            Sense::NotAbove => value.count() > mark.count(),
        };
        Some(if past(self.limit) {
            Standing::Beyond
        } else if self.warn.is_some_and(|warn| past(warn) || value == warn) {
            Standing::Warning
        } else {
            Standing::Good
        })
    }

    /// Whether a measure is one that a gauge could have shown. One that is not was mostly
    /// mistyped, and is asked back; it may be true all the same.
    #[must_use]
    pub fn is_believable(&self, value: Amount) -> bool {
        value.kind() == self.unit.kind()
            && (self.lowest.count()..=self.highest.count()).contains(&value.count())
    }
}

/// One way in which the equipment fails.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FailureMode {
    /// Its name in files, unique in the list.
    pub key: String,
    /// Its name in the trade's words.
    pub name: String,
    /// What happens, in plain words.
    pub meaning: String,
}

/// One line of a checklist.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChecklistItem {
    /// Its name, unique in the list.
    pub key: String,
    /// The kind of thing it looks at: one of [`THINGS`].
    pub on: String,
    /// The part of it.
    pub component: String,
    /// What to look at.
    pub look: String,
    /// What makes it good.
    pub good: String,
    /// The occasions, in the order of [`When::ALL`].
    pub when: Vec<When>,
    /// Keys of the failure modes that it can detect.
    pub detects: Vec<String>,
    /// Where it comes from: a citation, or "common practice, no source".
    pub basis: String,
    /// Whether that was read.
    pub status: ItemStatus,
    /// For a mating check the kind of the other piece.
    pub pair: Option<String>,
    /// What must be heeded while it is done; printed before the item is asked.
    pub caution: Option<String>,
    /// What it measures, if it does.
    pub measure: Option<ItemMeasure>,
}

impl ChecklistItem {
    /// Whether it is looked at on an occasion, by its word as `daily`.
    #[must_use]
    pub fn is_for(&self, when: &str) -> bool {
        self.when.iter().any(|one| one.name() == when)
    }
}

/// A named list of items.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Checklist {
    /// Its unique name, as `general`.
    pub key: String,
    /// What it is, in one line.
    pub title: String,
    /// The one-line caution that goes with every use of it.
    pub confirm: String,
    /// The built-in list from which a site's own one started.
    pub based_on: Option<String>,
    /// The failure modes.
    pub failures: Vec<FailureMode>,
    /// The items, in the order in which they are asked.
    pub items: Vec<ChecklistItem>,
}

impl Checklist {
    /// The item of a key.
    #[must_use]
    pub fn item(&self, key: &str) -> Option<&ChecklistItem> {
        self.items.iter().find(|item| item.key == key)
    }

    /// The failure mode of a key.
    #[must_use]
    pub fn failure(&self, key: &str) -> Option<&FailureMode> {
        self.failures.iter().find(|failure| failure.key == key)
    }

    /// What is looked at on a kind of thing (a word of [`THINGS`]) on an occasion (a word of
    /// [`When`]). A mating check comes with the thing that its `on` names.
    pub fn items_for(&self, on: &str, when: &str) -> impl Iterator<Item = &ChecklistItem> {
        let fits = move |item: &&ChecklistItem| item.on == on && item.is_for(when);
        self.items.iter().filter(fits)
    }

    /// The components of a kind of thing, each once, in the order of the list.
    #[must_use]
    pub fn components_of(&self, on: &str) -> Vec<&str> {
        let mut components: Vec<&str> = Vec::new();
        for item in self.items.iter().filter(|item| item.on == on) {
            if !components.contains(&item.component.as_str()) {
                components.push(&item.component);
            }
        }
        components
    }
}
