//! Checklists as data: what an inspection covers, item by item.
//!
//! A *checklist* has failure modes and items. An item says on which kind of thing it looks at
//! which component, what makes it good, on which occasions it is looked at, which failure modes
//! it can detect, and where it comes from; some items measure. How far a part may wear is its
//! maker's to say: an item that measures wear is *inactive* until the site's list or the record of
//! the part gives its figures. The built-in list is an offer, as the built-in rule sets are: a
//! ledger adopts its full text, or a site's own file that starts from it with `extends`.

mod check;
mod diff;
mod joint;
mod measurement;
mod parse;
#[cfg(test)]
mod tests;
mod write;

use super::word::words;
use crate::text::Language;

pub use diff::{ChangeType, ChecklistChange, FieldChange, diff};
pub use joint::{Half, Joint};
pub use measurement::{
    FiguresOf, INACTIVE, ItemMeasurement, OpenMeasurement, PartFigures, Sense, Standing, is_wear,
};

/// The kinds of things that an item can look at: the words of the registers of equipment and
/// instruments.
pub const ITEMS: &[&str] = &[
    "exposure device",
    "source assembly",
    "control unit",
    "guide tube",
    "collimator",
    "source changer",
    "storage container",
    "permanent radiographic installation",
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
    pub how: String,
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
    /// For a mating check the kind of the other item.
    pub pair: Option<String>,
    /// What must be heeded while it is done; printed before the item is asked.
    pub caution: Option<String>,
    /// What it measures and against which figures, if it does and they are given.
    pub measurement: Option<ItemMeasurement>,
    /// What it would measure, where nobody gave figures yet. Never beside `measure`.
    pub open: Option<OpenMeasurement>,
    /// Its words in Spanish, where the list gives them.
    pub spanish: InSpanish,
}

/// The words of an item in Spanish, beside those of the list's own language.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct InSpanish {
    /// The part of it.
    pub component: Option<String>,
    /// What to look at.
    pub how: Option<String>,
    /// What makes it good.
    pub good: Option<String>,
    /// What must be heeded while it is done.
    pub caution: Option<String>,
}

impl InSpanish {
    /// Each under the name that it has in a file.
    pub(super) fn fields(&self) -> [(&'static str, Option<&str>); 4] {
        [
            ("component_es", self.component.as_deref()),
            ("look_es", self.how.as_deref()),
            ("good_es", self.good.as_deref()),
            ("caution_es", self.caution.as_deref()),
        ]
    }
}

impl ChecklistItem {
    /// The item with its words in a language, as far as the list gives them.
    #[must_use]
    pub fn said(&self, language: Language) -> ChecklistItem {
        let mut said = self.clone();
        if language == Language::Spanish {
            let InSpanish {
                component,
                how,
                good,
                caution,
            } = self.spanish.clone();
            said.component = component.unwrap_or(said.component);
            said.how = how.unwrap_or(said.how);
            said.good = good.unwrap_or(said.good);
            said.caution = caution.or(said.caution);
        }
        said
    }

    /// Whether it is looked at on an occasion, by its word as `daily`.
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
    /// Connections of two halves.
    pub joints: Vec<Joint>,
}

impl Checklist {
    /// The item of a key.
    pub fn item(&self, key: &str) -> Option<&ChecklistItem> {
        self.items.iter().find(|item| item.key == key)
    }

    /// The failure mode of a key.
    pub fn failure(&self, key: &str) -> Option<&FailureMode> {
        self.failures.iter().find(|failure| failure.key == key)
    }

    /// What is looked at on a kind of thing (a word of [`THINGS`]) on an occasion (a word of
    /// [`When`]). A mating check comes with the thing that its `on` names.
    pub fn items_for(&self, on: &str, when: &str) -> impl Iterator<Item = &ChecklistItem> {
        let fits = move |item: &&ChecklistItem| item.on == on && item.is_for(when);
        self.items.iter().filter(fits)
    }

    /// The components of a kind of thing, each once, in the order of the list; a half of a joint
    /// is one even where no item looks at it.
    pub fn components_of(&self, on: &str) -> Vec<&str> {
        let mut components: Vec<&str> = Vec::new();
        let items = self.items.iter().filter(|item| item.on == on);
        let halves = self.joints.iter().flat_map(Joint::halves);
        let halves = halves.filter(|half| half.on == on);
        let named = items.map(|it| &it.component);
        for component in named.chain(halves.map(|it| &it.component)) {
            if !components.contains(&component.as_str()) {
                components.push(component);
            }
        }
        components
    }
}
