//! The plain model's decisions, and which badge a shift was worn with.

use std::collections::{BTreeMap, BTreeSet};

use super::draw::{Raw, RawShift};

/// Which claims were set aside, which chosen, which speak for the rest beside
/// which others.
pub(super) struct Decided {
    pub(super) out: BTreeSet<i64>,
    pub(super) chosen: BTreeSet<i64>,
    pub(super) rest: BTreeMap<i64, Vec<i64>>,
}

pub(super) fn decided(raw: &Raw) -> Decided {
    let results = raw
        .badges
        .iter()
        .flat_map(|it| &it.results)
        .map(|it| it.entry);
    let known: BTreeSet<i64> = results.chain(raw.fixed.iter().map(|it| it.entry)).collect();
    type Step = (i64, Vec<i64>, Option<i64>, Vec<i64>);
    let mut steps: Vec<Step> = Vec::new();
    for one in raw.fixed.iter().filter(|it| !it.supersedes.is_empty()) {
        steps.push((one.entry, Vec::new(), None, one.supersedes.clone()));
    }
    for one in &raw.choices {
        steps.push((one.entry, one.stands.clone(), one.rest, one.aside.clone()));
    }
    steps.sort();
    let mut found = Decided {
        out: BTreeSet::new(),
        chosen: BTreeSet::new(),
        rest: BTreeMap::new(),
    };
    for (_, stands, rest, aside) in steps {
        if !stands.iter().all(|it| known.contains(it)) {
            continue;
        }
        for it in &stands {
            found.out.remove(it);
            found.chosen.insert(*it);
            found.rest.remove(it);
        }
        for it in &aside {
            found.out.insert(*it);
            found.chosen.remove(it);
        }
        if let Some(rest) = rest {
            let others = stands.iter().copied().filter(|it| *it != rest).collect();
            found.rest.insert(rest, others);
        }
    }
    found
}

/// The last day on which a badge was worn; `None` while it is.
pub(super) fn worn_until(raw: &Raw, place: usize) -> Option<i64> {
    let badge = &raw.badges[place];
    let reported = badge.results.iter().any(|it| !it.held);
    badge
        .last
        .or(reported.then_some(badge.planned.max(badge.first)))
}

/// The badge of a shift: the one that the sheet names if it could be, else of
/// those on issue the one issued last.
pub(super) fn badge_of(raw: &Raw, shift: &RawShift) -> Option<usize> {
    if shift.worn != Some(true) {
        return None;
    }
    let within = |place: usize, last: Option<i64>| {
        raw.badges[place].first <= shift.day && last.is_none_or(|last| shift.day <= last)
    };
    if let Some(named) = shift.named {
        let last = worn_until(raw, named).map(|it| it.max(raw.badges[named].planned));
        if within(named, last) {
            return Some(named);
        }
    }
    (0..raw.badges.len())
        .rev()
        .find(|place| within(*place, worn_until(raw, *place)))
}
