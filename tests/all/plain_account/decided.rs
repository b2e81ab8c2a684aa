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

impl Decided {
    /// Which of several that contradict each other goes on speaking, the least: what
    /// was chosen, then what was told first.
    pub(super) fn rank(&self, entry: i64, told: i64) -> (bool, i64, i64) {
        (!self.chosen.contains(&entry), told, entry)
    }
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

/// The days of a badge; without an end while it is worn.
fn days(raw: &Raw, place: usize) -> (i64, i64) {
    let first = raw.badges[place].first;
    (
        first,
        worn_until(raw, place).map_or(i64::MAX, |it| it.max(first)),
    )
}

/// Whether two badges were worn at the same time: the one was issued while the
/// other was neither due nor handed in.
pub(super) fn together(raw: &Raw, a: usize, b: usize) -> bool {
    let (one, other) = match (raw.badges[a].first, a) < (raw.badges[b].first, b) {
        true => (a, b),
        false => (b, a),
    };
    let due = days(raw, one).1.min(raw.badges[one].planned);
    a != b && (raw.badges[other].first < due || days(raw, a) == days(raw, b))
}

/// The badge that a sheet names, if it could be that one.
fn named(raw: &Raw, shift: &RawShift) -> Option<usize> {
    let named = shift.named?;
    let (first, last) = days(raw, named);
    let last = last.max(raw.badges[named].planned);
    (first <= shift.day && shift.day <= last).then_some(named)
}

/// The badge of a shift that counts: the one that the sheet names if it could be,
/// else of those on issue the one issued last; none where one on hold would take it.
pub(super) fn badge_of(raw: &Raw, shift: &RawShift) -> Option<usize> {
    if shift.worn != Some(true) {
        return None;
    }
    if let Some(named) = named(raw, shift) {
        return (!raw.badges[named].held).then_some(named);
    }
    let on_issue = |place: &usize| {
        let (first, last) = days(raw, *place);
        first <= shift.day && shift.day <= last
    };
    let mut all: Vec<usize> = (0..raw.badges.len()).filter(on_issue).collect();
    all.sort_by_key(|it| std::cmp::Reverse((raw.badges[*it].first, *it)));
    let nth = all.iter().position(|it| !raw.badges[*it].held)?;
    let beside = all[..nth].iter().all(|it| together(raw, *it, all[nth]));
    beside.then_some(all[nth])
}

/// Whether a badge was worn on a shift; of one on hold, whether it would be if it
/// counted.
pub(super) fn was_worn(raw: &Raw, place: usize, shift: &RawShift) -> bool {
    let (first, last) = days(raw, place);
    let on_issue = first <= shift.day && shift.day <= last;
    let named = match shift.worn {
        Some(true) => named(raw, shift),
        _ => None,
    };
    match badge_of(raw, shift) {
        Some(of) if of == place => true,
        Some(of) => on_issue && named.is_none() && together(raw, place, of),
        None => {
            let could = raw.badges[place].held && shift.worn == Some(true);
            could && on_issue && named.is_none_or(|it| it == place)
        }
    }
}
