//! A rule set as the program uses it.

use super::authority::{Above, Authority};
use super::event::{CategoryQuantity, Duty, EventFact, EventKind};
use super::form::{DoseBands, DoseForm};
use super::keep::Retention;
use super::left_out::Removed;
use super::level::{Level, PregnancyRule};
use super::requirement::{IntervalRule, RuleText, Tolerance, ToleranceValue};
use super::word::AppliesTo;
use crate::calendar::YearStart;
use crate::quantity::{Dose, DoseUnit, Overflow};

/// A named set of limits, levels, intervals, tolerances and rule texts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleSet {
    /// Its unique name, as `10 CFR`.
    pub key: String,
    /// What it is, in one line.
    pub title: String,
    /// The unit in which tables print doses.
    pub unit: DoseUnit,
    /// Whether statements print the sievert in parentheses beside the rem (10 CFR 20.2101).
    pub si_in_parentheses: bool,
    /// The one-line caution that goes with every figure of this rule set.
    pub confirm: String,
    /// When the year begins over which doses are summed.
    pub year_start: YearStart,
    /// The built-in rule set from which a site's own one started.
    pub based_on: Option<String>,
    /// The levels.
    pub levels: Vec<Level>,
    /// The budget of a declared pregnancy.
    pub pregnancy: Option<PregnancyRule>,
    /// The authority's form of a year's dose record, where the rule set names one.
    pub form: Option<DoseForm>,
    /// The bands of dose by which its law tells how many people lie where, if it names any.
    pub bands: Option<DoseBands>,
    /// How often something falls due.
    pub intervals: Vec<IntervalRule>,
    /// Accuracies, bands and other single numbers.
    pub tolerances: Vec<Tolerance>,
    /// The rules in plain words.
    pub rules: Vec<RuleText>,
    /// Kinds of events.
    pub(super) events: Vec<EventKind>,
    /// What duties turn on.
    pub(super) facts: Vec<EventFact>,
    /// What must be told about events.
    pub(super) notifications: Vec<Duty>,
    /// From which activity sources are of category 2.
    pub(super) categories: Vec<CategoryQuantity>,
    /// Whom to tell, by jurisdiction.
    pub(super) jurisdiction: Option<String>,
    pub(super) authorities: Vec<Authority>,
    pub(super) retention: Vec<Retention>,
    /// The rule sets between that one and this, each starting from the one before.
    pub through: Vec<String>,
    /// What holds of it at jobs under another authority.
    pub(super) elsewhere: Elsewhere,
    /// What it leaves out of the one that it started from.
    pub(super) removed: Vec<Removed>,
    pub(super) cautions: Vec<Caution>,
}

/// What decides which levels are a worker's own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct WorkerFacts {
    /// Under 18 on the day. Who does not know the age must not take the person for an adult.
    pub under_18: bool,
    /// An apprentice or student in training for the work.
    pub apprentice: bool,
    /// A radiation worker; if not, the levels of other people hold.
    pub exposed: bool,
}

impl RuleSet {
    /// The level of this key.
    pub fn level(&self, key: &str) -> Option<&Level> {
        self.levels.iter().find(|level| level.key == key)
    }

    /// The rule text of this key; every key of [`RULE_KEYS`](super::RULE_KEYS) has one.
    pub fn rule(&self, key: &str) -> Option<&RuleText> {
        self.rules.iter().find(|rule| rule.key == key)
    }

    /// The interval of this key; every key of [`INTERVAL_KEYS`](super::INTERVAL_KEYS) has one.
    pub fn interval(&self, key: &str) -> Option<&IntervalRule> {
        self.intervals.iter().find(|interval| interval.key == key)
    }

    /// The tolerance of this key; every key of [`TOLERANCE_KEYS`](super::TOLERANCE_KEYS) has
    /// one, of the kind that the checks expect.
    pub fn tolerance(&self, key: &str) -> Option<&Tolerance> {
        self.tolerances.iter().find(|one| one.key == key)
    }

    /// What an RSO should look at before adopting this rule set; nothing for the built-in ones.
    pub fn cautions(&self) -> &[Caution] {
        &self.cautions
    }

    /// Which levels are this worker's own. Other people come first, since theirs are the lowest;
    /// an apprentice under 18 has apprentice levels only where the rule set knows them.
    pub fn population(&self, worker: WorkerFacts) -> AppliesTo {
        let knows = |who| self.levels.iter().any(|level| level.applies_to == who);
        match worker {
            WorkerFacts { exposed: false, .. } => AppliesTo::Other,
            WorkerFacts {
                under_18: true,
                apprentice: true,
                ..
            } if knows(AppliesTo::Apprentice) => AppliesTo::Apprentice,
            WorkerFacts { under_18: true, .. } => AppliesTo::Minor,
            _ => AppliesTo::Adult,
        }
    }

    /// The levels of such a person and those of anyone, in the order of the file; of a declared
    /// pregnancy only its own, since they come on top of the worker's. Levels that
    /// need an authorization are left out unless `authorized` names their key; one that is named
    /// takes the place of the level that it stands for.
    pub fn levels_of<'s>(
        &'s self,
        who: AppliesTo,
        authorized: &'s [&'s str],
    ) -> impl Iterator<Item = &'s Level> {
        let in_force = move |level: &Level| {
            !level.needs_authorization || authorized.contains(&level.key.as_str())
        };
        let replaced = move |level: &Level| {
            self.levels.iter().any(|other| {
                other.needs_authorization
                    && in_force(other)
                    && other.instead_of.as_deref() == Some(level.key.as_str())
            })
        };
        self.levels
            .iter()
            .filter(move |level| {
                level.applies_to == who
                    || (level.applies_to == AppliesTo::Anyone
                        && who != AppliesTo::DeclaredPregnancy)
            })
            .filter(move |level| in_force(level) && !replaced(level))
    }

    /// What `quarters` without records take from the allowance under a level: for each the share
    /// of the tolerance `missing-quarter`, rounded up, and never more than the level itself.
    ///
    /// 10 CFR 20.2104(e) has 1.25 rem of 5 rem a quarter; HPPOS Q55 the same for other limits.
    ///
    /// # Errors
    /// [`Overflow`] where the numbers do not fit.
    pub fn missing_quarter_cut(&self, level: &Level, quarters: u32) -> Result<Dose, Overflow> {
        if !level.cut_by_missing_quarters {
            return Ok(Dose::ZERO);
        }
        let permille = match self.tolerance("missing-quarter").map(|one| one.value) {
            Some(ToleranceValue::Permille(permille)) => permille,
            // A quarter of a year's limit for a quarter of a year.
            _ => 250,
        };
        let parts = level.dose.checked_mul(permille)?.nsv();
        let one = Dose::from_nsv(parts.div_euclid(1000) + i64::from(parts.rem_euclid(1000) > 0));
        Ok(one.checked_mul(i64::from(quarters))?.min(level.dose))
    }
}

impl RuleSet {
    /// The kinds of events; none in a rule set adopted before they stood in rule sets.
    pub fn events(&self) -> &[EventKind] {
        &self.events
    }

    /// What must be told about events; none where the rule set does not know.
    pub fn notifications(&self) -> &[Duty] {
        &self.notifications
    }

    /// What duties turn on.
    pub fn facts(&self) -> &[EventFact] {
        &self.facts
    }

    /// The fact of this key.
    pub fn fact(&self, key: &str) -> Option<&EventFact> {
        self.facts.iter().find(|it| it.key == key)
    }

    /// From which activity a nuclide's sources are of category 2.
    pub fn category(&self, nuclide: &str) -> Option<&CategoryQuantity> {
        let mut all = self.categories.iter();
        all.find(|it| it.key.eq_ignore_ascii_case(nuclide))
    }

    /// Whether it tells categories of sources at all.
    pub fn has_categories(&self) -> bool {
        !self.categories.is_empty()
    }

    /// Whom to tell under a jurisdiction; nothing where the rule set names no authority at all.
    /// One that it does not name, where it names others, has an authority of its own with rules
    /// that are equivalent to those cited.
    pub fn authority(&self, jurisdiction: &str) -> Option<Authority> {
        let named = self
            .authorities
            .iter()
            .find(|it| it.is_of(jurisdiction))
            .cloned();
        let mut found = named.or_else(|| {
            self.authorities.first()?;
            Some(Authority {
                key: String::new(),
                jurisdictions: vec![jurisdiction.trim().to_owned()],
                name: format!("the radiation control authority of {}", jurisdiction.trim()),
                telephone: None,
                equivalent: true,
                times: Vec::new(),
                citations: Vec::new(),
                own: Vec::new(),
                binds: Vec::new(),
                names: Vec::new(),
                above: Vec::new(),
                reciprocity: None,
            })
        })?;
        let others = self.authorities.iter().filter(|it| !it.is(&found));
        found.above = others.map(Above::of).collect();
        Some(found)
    }

    /// The kind of this key.
    pub fn event(&self, key: &str) -> Option<&EventKind> {
        self.events.iter().find(|it| it.key == key)
    }

    /// The duty of this key.
    pub fn duty(&self, key: &str) -> Option<&Duty> {
        self.notifications.iter().find(|it| it.key == key)
    }
}

/// The kinds that come with the program: they stand in for those of a rule set without any.
///
/// Nothing should the built-in text not be readable, which a test excludes.
pub fn event_kinds() -> &'static [EventKind] {
    use std::sync::OnceLock;
    static KINDS: OnceLock<Vec<EventKind>> = OnceLock::new();
    KINDS.get_or_init(|| {
        super::offer("10 CFR")
            .and_then(|offer| RuleSet::parse(offer.text).ok())
            .map(|rule_set| rule_set.events)
            .unwrap_or_default()
    })
}

/// The differences between the rule set and what holds of it elsewhere.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Elsewhere {
    pub(super) rules: Vec<RuleText>,
    pub(super) tolerances: Vec<Tolerance>,
    pub(super) notifications: Vec<Duty>,
    /// What there is nothing of elsewhere: `rule`, `tolerance` or `notification`, and the key.
    pub(super) without: Vec<(String, String)>,
}

/// A point of a site's own file that an RSO should look at before adopting it: a limit looser
/// than the one it started from, a longer interval, a later notice, a key that nothing uses.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub struct Caution {
    /// The key it is about.
    pub about: String,
    /// What is to be looked at, in one line.
    pub what: String,
}

impl std::fmt::Display for Caution {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "`{}`: {}", self.about, self.what)
    }
}
