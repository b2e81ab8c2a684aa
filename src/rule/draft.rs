//! A rule set while it is being read: what the file says, laid over what it started from.

use super::authority::Authority;
use super::event::{CategoryQuantity, Duty, EventFact, EventKind};
use super::form::{DoseBands, DoseForm};
use super::keep::Retention;
use super::left_out::Removed;
use super::level::{Level, PregnancyRule};
use super::requirement::{IntervalRule, RuleText, Tolerance};
use super::rule_set::RuleSet;

/// Something that a file tells of by its key.
pub(super) trait Keyed {
    fn key(&self) -> &str;
}

macro_rules! keyed {
    ($($kind:ty),+) => { $(
        impl Keyed for $kind {
            fn key(&self) -> &str {
                &self.key
            }
        }
    )+ };
}
keyed!(
    Level,
    IntervalRule,
    Tolerance,
    RuleText,
    EventKind,
    EventFact,
    Duty,
    CategoryQuantity,
    Authority,
    Retention
);

/// One entry, and where it stands if this file tells it.
#[derive(Debug, Clone)]
pub(super) struct Draft<T> {
    pub(super) value: T,
    pub(super) at: Option<usize>,
}

/// The entries of one section, those of the file over those it started from.
#[derive(Debug, Clone)]
pub(super) struct Section<T> {
    pub(super) entries: Vec<Draft<T>>,
    /// Every key that the file tells, readable or not, with its place.
    pub(super) told: Vec<(String, usize)>,
}

impl<T: Keyed + Clone> Section<T> {
    pub(super) fn over(base: &[T]) -> Self {
        let entries = base.iter().cloned();
        Self {
            entries: entries.map(|value| Draft { value, at: None }).collect(),
            told: Vec::new(),
        }
    }

    /// Puts an entry in the place of the one with its key, or at the end.
    pub(super) fn put(&mut self, value: T, at: usize) {
        let draft = Draft {
            value,
            at: Some(at),
        };
        let same = |other: &&mut Draft<T>| other.value.key() == draft.value.key();
        match self.entries.iter_mut().find(same) {
            Some(place) => *place = draft,
            None => self.entries.push(draft),
        }
    }

    /// Whether this file itself has an entry of this key.
    pub(super) fn is_told(&self, key: &str) -> bool {
        self.told.iter().any(|(told, _)| told == key)
    }

    /// Whether there is an entry of this key, readable or not.
    pub(super) fn has(&self, key: &str) -> bool {
        self.told.iter().any(|(told, _)| told == key)
            || self.entries.iter().any(|entry| entry.value.key() == key)
    }

    pub(super) fn into_values(self) -> Vec<T> {
        self.entries.into_iter().map(|entry| entry.value).collect()
    }
}

/// The sections of a rule set.
pub(super) struct Sections {
    pub(super) levels: Section<Level>,
    pub(super) pregnancy: Option<Draft<PregnancyRule>>,
    pub(super) form: Option<DoseForm>,
    pub(super) bands: Option<DoseBands>,
    pub(super) intervals: Section<IntervalRule>,
    pub(super) tolerances: Section<Tolerance>,
    pub(super) rules: Section<RuleText>,
    pub(super) events: Section<EventKind>,
    pub(super) facts: Section<EventFact>,
    pub(super) notifications: Section<Duty>,
    pub(super) categories: Section<CategoryQuantity>,
    pub(super) authorities: Section<Authority>,
    pub(super) removed: Section<Removed>,
    pub(super) retention: Section<Retention>,
}

impl Sections {
    /// The sections of the rule set that a file starts from, empty without one.
    pub(super) fn over(base: Option<&RuleSet>) -> Self {
        let none = || (&[][..], &[][..], &[][..], &[][..]);
        let (levels, intervals, tolerances, rules) = base.map_or_else(none, |base| {
            (
                base.levels.as_slice(),
                base.intervals.as_slice(),
                base.tolerances.as_slice(),
                base.rules.as_slice(),
            )
        });
        Self {
            levels: Section::over(levels),
            pregnancy: base
                .and_then(|base| base.pregnancy.clone())
                .map(|value| Draft { value, at: None }),
            form: base.and_then(|base| base.form.clone()),
            bands: base.and_then(|base| base.bands.clone()),
            intervals: Section::over(intervals),
            tolerances: Section::over(tolerances),
            rules: Section::over(rules),
            events: Section::over(base.map_or(&[], |base| &base.events)),
            facts: Section::over(base.map_or(&[], |base| &base.facts)),
            notifications: Section::over(base.map_or(&[], |base| &base.notifications)),
            categories: Section::over(base.map_or(&[], |base| &base.categories)),
            authorities: Section::over(base.map_or(&[], |base| &base.authorities)),
            removed: Section::over(base.map_or(&[], |base| &base.removed)),
            retention: Section::over(base.map_or(&[], |base| &base.retention)),
        }
    }
}
