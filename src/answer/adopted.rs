//! The adopted rule sets: which is in force on a day, and as what each holds for the licence and at
//! jobs under another authority.

use std::collections::HashMap;
use std::convert::Infallible;
use std::sync::Arc;

use super::names::Names;
use super::read_once::ReadOnce;
use crate::calendar::Day;
use crate::rule::{Scheme, SchemeProblems};

/// The rule sets as they hold at jobs under another authority than the licence's, by the entry of
/// the adoption and the jurisdiction of the job; nothing where one holds as it is written.
pub(super) type AtJobs = HashMap<(i64, String), Option<Arc<Scheme>>>;

/// What a rule set becomes under a jurisdiction; nothing where it stays as it is.
type Held = Option<Arc<Scheme>>;

/// The text of an adopted rule set read.
pub(super) fn read(text: &str) -> Result<Arc<Scheme>, SchemeProblems> {
    static READ: ReadOnce<String, Arc<Scheme>> = ReadOnce::new();
    READ.of(text.to_owned(), || {
        Scheme::parse_adopted(text).map(Arc::new)
    })
}

/// A rule set as it holds under a jurisdiction: for its licensees, or at its jobs.
fn held(scheme: &Arc<Scheme>, jurisdiction: &str, at_job: bool) -> Held {
    // The place in memory names the rule set: it stays taken as long as this keeps it.
    static HELD: ReadOnce<(usize, String, bool), (Arc<Scheme>, Held)> = ReadOnce::new();
    let key = (Arc::as_ptr(scheme).addr(), jurisdiction.to_owned(), at_job);
    let made = HELD.of(key, || {
        let held = match at_job {
            true => scheme.at_job(jurisdiction),
            false => scheme.under(jurisdiction),
        };
        Ok::<_, Infallible>((Arc::clone(scheme), held.map(Arc::new)))
    });
    match made {
        Ok((_, held)) => held,
    }
}

/// What holds at every job that is not under the authority of the licence.
pub(super) fn at_jobs(written: &[(Day, i64, Arc<Scheme>)], names: &Names) -> AtJobs {
    let mut all = AtJobs::new();
    for (_, entry, scheme) in written {
        let own = names.charter.jurisdiction.as_deref();
        let own = own.or(scheme.jurisdiction());
        let own = own.and_then(|it| scheme.authority(it));
        for (_, body) in names.jobs() {
            let place = (*entry, body.jurisdiction.clone());
            let Some(theirs) = scheme.authority(&body.jurisdiction) else {
                continue;
            };
            if own.as_ref().is_some_and(|it| it.is(&theirs)) || all.contains_key(&place) {
                continue;
            }
            let held = held(scheme, &body.jurisdiction, true);
            all.insert(place, held);
        }
    }
    all
}

/// Each as it holds for a licensee of a jurisdiction; where none is said, of its own.
pub(super) fn under_licence(
    written: &[(Day, i64, Arc<Scheme>)],
    jurisdiction: Option<&str>,
) -> Vec<(Day, i64, Arc<Scheme>)> {
    let under = |(from, entry, scheme): &(Day, i64, Arc<Scheme>)| {
        let own = jurisdiction.or(scheme.jurisdiction());
        let held = own.and_then(|own| held(scheme, own, false));
        (*from, *entry, held.unwrap_or_else(|| Arc::clone(scheme)))
    };
    written.iter().map(under).collect()
}

/// Of the schemes adopted from a day or earlier the latest; of two from the same day the one
/// that was written later.
pub(super) fn in_force(schemes: &[(Day, i64, Arc<Scheme>)], day: Day) -> Option<&Scheme> {
    in_force_with_entry(schemes, day).map(|it| it.1)
}

/// The same with the entry of its adoption.
pub(super) fn in_force_with_entry(
    schemes: &[(Day, i64, Arc<Scheme>)],
    day: Day,
) -> Option<(i64, &Scheme)> {
    schemes
        .iter()
        .filter(|(from, _, _)| *from <= day)
        .max_by_key(|(from, entry, _)| (*from, *entry))
        .map(|(_, entry, scheme)| (*entry, &**scheme))
}

pub(super) fn newest(schemes: &[(Day, i64, Arc<Scheme>)]) -> Option<&Scheme> {
    let newest = schemes.iter().max_by_key(|it| (it.0, it.1));
    newest.map(|it| &*it.2)
}
