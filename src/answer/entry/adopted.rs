//! The adopted rule sets: which is in force on a day, and as what each holds for the license and at
//! jobs under another authority.

use std::collections::HashMap;
use std::convert::Infallible;
use std::sync::Arc;

use crate::answer::context::names::Names;
use crate::answer::context::read_once::ReadOnce;
use crate::calendar::Day;
use crate::rule::{RuleSet, RuleSetProblems};

/// The rule sets as they hold at jobs under another authority than the license's, by the entry of
/// the adoption and the jurisdiction of the job; nothing where one holds as it is written.
pub(crate) type AtJobs = HashMap<(i64, String), Option<Arc<RuleSet>>>;

/// What a rule set becomes under a jurisdiction; nothing where it stays as it is.
type Held = Option<Arc<RuleSet>>;

/// The text of an adopted rule set read.
pub(crate) fn read(text: &str) -> Result<Arc<RuleSet>, RuleSetProblems> {
    static READ: ReadOnce<String, Arc<RuleSet>> = ReadOnce::new();
    READ.of(text.to_owned(), || {
        RuleSet::parse_adopted(text).map(Arc::new)
    })
}

/// A rule set as it holds under a jurisdiction: for its licensees, or at its jobs.
fn held(rule_set: &Arc<RuleSet>, jurisdiction: &str, at_job: bool) -> Held {
    // The place in memory names the rule set: it stays taken as long as this keeps it.
    static HELD: ReadOnce<(usize, String, bool), (Arc<RuleSet>, Held)> = ReadOnce::new();
    let key = (
        Arc::as_ptr(rule_set).addr(),
        jurisdiction.to_owned(),
        at_job,
    );
    let made = HELD.of(key, || {
        let held = match at_job {
            true => rule_set.at_job(jurisdiction),
            false => rule_set.under(jurisdiction),
        };
        Ok::<_, Infallible>((Arc::clone(rule_set), held.map(Arc::new)))
    });
    match made {
        Ok((_, held)) => held,
    }
}

/// What holds at every job that is not under the authority of the license.
pub(crate) fn at_jobs(written: &[(Day, i64, Arc<RuleSet>)], names: &Names) -> AtJobs {
    let mut all = AtJobs::new();
    for (_, entry, rule_set) in written {
        let own = names.charter.jurisdiction.as_deref();
        let own = own.or(rule_set.jurisdiction());
        let own = own.and_then(|it| rule_set.authority(it));
        for (_, body) in names.jobs() {
            let place = (*entry, body.jurisdiction.clone());
            let Some(theirs) = rule_set.authority(&body.jurisdiction) else {
                continue;
            };
            if own.as_ref().is_some_and(|it| it.is(&theirs)) || all.contains_key(&place) {
                continue;
            }
            let held = held(rule_set, &body.jurisdiction, true);
            all.insert(place, held);
        }
    }
    all
}

/// Each as it holds for a licensee of a jurisdiction; where none is said, of its own.
pub(crate) fn under_license(
    written: &[(Day, i64, Arc<RuleSet>)],
    jurisdiction: Option<&str>,
) -> Vec<(Day, i64, Arc<RuleSet>)> {
    let under = |(from, entry, rule_set): &(Day, i64, Arc<RuleSet>)| {
        let own = jurisdiction.or(rule_set.jurisdiction());
        let held = own.and_then(|own| held(rule_set, own, false));
        (*from, *entry, held.unwrap_or_else(|| Arc::clone(rule_set)))
    };
    written.iter().map(under).collect()
}

/// Of the rule sets adopted from a day or earlier the latest; of two from the same day the one
/// that was written later.
pub(crate) fn in_force(rule_sets: &[(Day, i64, Arc<RuleSet>)], day: Day) -> Option<&RuleSet> {
    in_force_with_entry(rule_sets, day).map(|it| it.1)
}

/// The same with the entry of its adoption.
pub(crate) fn in_force_with_entry(
    rule_sets: &[(Day, i64, Arc<RuleSet>)],
    day: Day,
) -> Option<(i64, &RuleSet)> {
    rule_sets
        .iter()
        .filter(|(from, _, _)| *from <= day)
        .max_by_key(|(from, entry, _)| (*from, *entry))
        .map(|(_, entry, rule_set)| (*entry, &**rule_set))
}

pub(crate) fn newest(rule_sets: &[(Day, i64, Arc<RuleSet>)]) -> Option<&RuleSet> {
    let newest = rule_sets.iter().max_by_key(|it| (it.0, it.1));
    newest.map(|it| &*it.2)
}
