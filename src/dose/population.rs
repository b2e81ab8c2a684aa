//! Of which population a worker is on a day, and which limits of a year that
//! person has.

use chrono::Datelike;

use crate::calendar::{Day, Window, months_on};
use crate::dose::input::WorkerFacts;
use crate::record::Category;
use crate::rule::{self, AppliesTo, Level, LevelType, RuleSet, Severity, Status};

/// From which age anybody is exposed at work.
const EXPOSED_FROM: &str = "exposed-from-age";

/// From which age somebody is in training for it.
const TRAINING_FROM: &str = "training-from-age";

/// The last day on which the worker is under 18; `None` where no birth date is
/// given.
pub fn last_day_under_18(facts: &WorkerFacts) -> Option<Day> {
    last_day_under(facts.birth_date?, 18)
}

fn last_day_under(birth: Day, years: i64) -> Option<Day> {
    let of_age = months_on(birth, u32::try_from(12 * years).ok()?);
    // Born on 29 February: of age on 1 March where the year has no 29th.
    if of_age.day() == birth.day() {
        of_age.pred_opt()
    } else {
        Some(of_age)
    }
}

/// The population of somebody who is or is not under 18.
pub fn population(rule_set: &RuleSet, facts: &WorkerFacts, under_18: bool) -> AppliesTo {
    rule_set.population(rule::WorkerFacts {
        under_18,
        apprentice: facts.category == Category::Apprentice,
        exposed: facts.category != Category::Other,
    })
}

/// The population on a day. Whose age is not known is not taken for an adult.
pub fn population_on(rule_set: &RuleSet, facts: &WorkerFacts, on: Day) -> AppliesTo {
    let under_18 =
        facts.birth_date.is_none() || last_day_under_18(facts).is_some_and(|eve| on <= eve);
    population(rule_set, facts, under_18)
}

/// What the rule set's ages say against exposed work of a person on a day, and whether it stops the
/// person; `None` where they say nothing against it. A person who is not exposed at work has no
/// such age, and of one without a birth date on record nothing is said.
pub fn too_young(rule_set: &RuleSet, facts: &WorkerFacts, on: Day) -> Option<(Severity, String)> {
    let birth = facts.birth_date?;
    if leaves_age_open(rule_set) {
        let is_open = facts.category != Category::Other
            && last_day_under_18(facts).is_some_and(|eve| on <= eve);
        let what = "under 18: the youngest age for exposed work is open here";
        return is_open.then(|| (Severity::Watch, what.to_owned()));
    }
    let from = |key: &str| rule_set.tolerance(key).and_then(|it| it.years());
    let under = |years: &i64| last_day_under(birth, *years).is_some_and(|eve| on <= eve);
    let exposed = from(EXPOSED_FROM).filter(under);
    let training = from(TRAINING_FROM).filter(under);
    match (facts.category, exposed, training) {
        (Category::Other, ..) | (_, None, None) => None,
        (_, _, Some(years)) => Some((
            Severity::Stop,
            format!("under {years}: too young for exposed work"),
        )),
        (Category::Apprentice, ..) => None,
        (_, Some(years), None) => Some((
            Severity::Stop,
            format!(
                "under {years} and no apprentice or student: only in training is anybody so young \
                 exposed at work"
            ),
        )),
    }
}

/// Whether the rule set has neither an age from which anybody is exposed at work nor a limit of its
/// law for those under 18. Where it has such a limit, the law knows them as workers.
fn leaves_age_open(rule_set: &RuleSet) -> bool {
    let of_the_young = |it: &&Level| {
        it.kind == LevelType::Limit
            && matches!(it.applies_to, AppliesTo::Minor | AppliesTo::Apprentice)
    };
    let has_age = [EXPOSED_FROM, TRAINING_FROM]
        .iter()
        .any(|key| rule_set.tolerance(key).is_some());
    let mut limits = rule_set.levels.iter().filter(of_the_young);
    !has_age && !limits.any(|it| it.status == Status::Read)
}

/// The limits of one year that apply to a worker on a day, one a quantity: the
/// lowest where there are several. That of a pregnancy, or of several years
/// together, is of no one year.
pub fn year_limits<'s>(rule_set: &'s RuleSet, facts: &WorkerFacts, on: Day) -> Vec<&'s Level> {
    let authorized = facts.authorized_on(on);
    let keys: Vec<&str> = rule_set
        .levels_of(population_on(rule_set, facts, on), &authorized)
        .filter(|level| level.kind == LevelType::Limit)
        .filter(|level| {
            let over = level.over();
            matches!(over, Some(Window::LicenseeYear | Window::CalendarYear))
        })
        .map(|level| level.key.as_str())
        .collect();
    let mut limits: Vec<&Level> = Vec::new();
    for level in &rule_set.levels {
        if !keys.contains(&level.key.as_str()) {
            continue;
        }
        match limits.iter_mut().find(|it| it.quantity == level.quantity) {
            Some(known) if level.dose < known.dose => *known = level,
            Some(_) => {}
            None => limits.push(level),
        }
    }
    limits
}
