//! What somebody decides, over random histories: dispositions, acceptances, choices between
//! records that contradict each other.

use wearbook::dose::input::{Chosen, Counting, History, Resolution};
use wearbook::dose::resolve::{Conflict, Dispute, conflicts};
use wearbook::rule::Quantity;

use super::draw::{Raw, draw};
use super::histories;
use super::records::history;
use super::rules::{BOTH, all_days, safe};

/// What was tried on one history, and how often the conservative total was another after it.
#[derive(Debug, Default)]
pub(super) struct Found {
    pub(super) tried: usize,
    pub(super) changed: usize,
}

/// Holds that the conservative total is not higher after a decision than before it.
fn not_raised(before: &History, after: &History, found: &mut Found, told: &dyn Fn() -> String) {
    found.tried += 1;
    for quantity in BOTH {
        let (was, was_open) = safe(before, all_days(), quantity);
        let (is, is_open) = safe(after, all_days(), quantity);
        assert!(
            is <= was && (was_open || !is_open),
            "{}, {quantity:?}: {was:?}, then {is:?}",
            told()
        );
        found.changed += usize::from(is < was);
    }
}

/// Rules on the badge of a history that is on hold, in both ways.
pub(super) fn rule(raw: &Raw, seed: u64) -> Found {
    let mut found = Found::default();
    let before = history(raw);
    if let Some(place) = raw.badges.iter().position(|it| it.held) {
        for disposition in [Counting::Counts, Counting::RuledOut] {
            let mut after = before.clone();
            after.facts.dosimetry.wear[place].counting = disposition;
            not_raised(&before, &after, &mut found, &|| {
                format!("history {seed}, {disposition:?}: {raw:#?}")
            });
        }
    }
    found
}

/// Accepts each report of a history by itself.
pub(super) fn accept(raw: &Raw, seed: u64) -> Found {
    let mut found = Found::default();
    let before = history(raw);
    for (badge, result) in reports(raw) {
        let mut accepted = raw.clone();
        let of_it = &mut accepted.badges[badge].results[result];
        if of_it.accepted || of_it.held || raw.badges[badge].held {
            continue;
        }
        of_it.accepted = true;
        not_raised(&before, &history(&accepted), &mut found, &|| {
            format!("history {seed}, report {result} of badge {badge}: {raw:#?}")
        });
    }
    found
}

/// The places of the reports of a history, by badge.
fn reports(raw: &Raw) -> impl Iterator<Item = (usize, usize)> {
    let badges = raw.badges.iter().enumerate();
    badges.flat_map(|(badge, it)| (0..it.results.len()).map(move |result| (badge, result)))
}

/// A badge on hold is never below what a disposition makes of it: worn and counted, or
/// not.
#[test]
fn no_disposition_on_a_badge_raises_the_conservative() {
    let (mut tried, mut lowered) = (0, 0);
    for seed in histories() {
        let found = rule(&draw(seed), seed);
        tried += found.tried;
        lowered += found.changed;
    }
    assert!(tried > 60 && lowered > 60, "{tried} {lowered}");
}

/// A result that nobody accepted is never below what its acceptance makes of it.
#[test]
fn no_acceptance_raises_the_conservative() {
    let (mut tried, mut lowered) = (0, 0);
    for seed in histories() {
        let found = accept(&draw(seed), seed);
        tried += found.tried;
        lowered += found.changed;
    }
    assert!(tried > 60 && lowered > 60, "{tried} {lowered}");
}

/// The ways out of a conflict, as the program offers them.
fn ways(conflict: &Conflict) -> Vec<Chosen> {
    let entries = |which: &dyn Fn(i64) -> bool| -> Vec<i64> {
        conflict
            .entries
            .iter()
            .copied()
            .filter(|it| which(*it))
            .collect()
    };
    let mut ways = Vec::new();
    for side in &conflict.sides {
        ways.push(Chosen::Entries {
            stands: vec![side.entry],
            rest: None,
            set_aside: entries(&|it| it != side.entry),
        });
    }
    for rest in conflict.sides.iter().filter(|it| it.of_all) {
        let reports = |entry: i64| {
            let other = conflict.sides.iter().find(|it| it.entry == entry);
            rest.is_result && other.is_some_and(|it| it.is_result)
        };
        let beside = entries(&|it| it != rest.entry && !reports(it));
        if !beside.is_empty() {
            ways.push(Chosen::Entries {
                stands: beside.into_iter().chain([rest.entry]).collect(),
                rest: Some(rest.entry),
                set_aside: entries(&|it| it != rest.entry && reports(it)),
            });
        }
    }
    ways
}

/// Each conflict of two, with each way out of it as a history of its own.
fn settled(open: &History) -> Vec<(Conflict, Chosen, History)> {
    let all = conflicts(open).unwrap();
    let of_two = all
        .into_iter()
        .filter(|it| it.dispute != Dispute::ReadingsAboveResult && it.sides.len() == 2);
    let each = of_two.flat_map(|conflict| {
        let ways = ways(&conflict).into_iter();
        ways.map(move |of| (conflict.clone(), of))
    });
    each.map(|(conflict, of)| {
        let mut settled = open.clone();
        settled.facts.dosimetry.resolutions.push(Resolution {
            entry: 100_000,
            of: of.clone(),
        });
        (conflict, of, settled)
    })
    .collect()
}

/// The record that speaks for the rest, where one does.
fn rest_of(chosen: &Chosen) -> Option<i64> {
    match chosen {
        Chosen::Entries { rest, .. } => *rest,
        Chosen::OfBadge { .. } => None,
    }
}

fn sets_a_result_aside(conflict: &Conflict, chosen: &Chosen) -> bool {
    let results = conflict.sides.iter().filter(|it| it.is_result);
    let aside: &[i64] = match chosen {
        Chosen::Entries { set_aside, .. } => set_aside,
        Chosen::OfBadge { .. } => &[],
    };
    results.into_iter().any(|it| aside.contains(&it.entry))
}

/// How many of the records of one conflict another names.
fn shared(conflict: &Conflict, other: &Conflict) -> usize {
    let sides = other.sides.iter();
    sides
        .filter(|it| conflict.entries.contains(&it.entry))
        .count()
}

#[test]
fn every_conflict_of_two_is_resolved_by_one_decision_to_each_of_its_outcomes() {
    let mut tried = 0;
    for seed in histories() {
        let raw = draw(seed);
        for (conflict, of, settled) in settled(&history(&raw)) {
            tried += 1;
            let left = conflicts(&settled).unwrap();
            let again =
                |it: &&Conflict| it.quantity == conflict.quantity && shared(&conflict, it) > 1;
            assert!(
                !left.iter().any(|it| again(&it)),
                "history {seed}, {conflict:?}, {of:?}: {raw:#?}"
            );
        }
    }
    assert!(tried > 300, "{tried}");
}

/// A decision between two raises the conservative total only where something comes back that one of
/// them had ended or agreed with: what contradicts the choice now is told as a conflict.
#[test]
fn no_decision_between_two_raises_the_conservative_in_silence() {
    let (mut tried, mut raised) = (0, 0);
    for seed in histories() {
        let found = decide(&draw(seed), seed);
        tried += found.tried;
        raised += found.changed;
    }
    assert!(tried > 300 && raised * 20 < tried, "{raised} of {tried}");
}

/// Decides every conflict of two of a history in each way.
pub(super) fn decide(raw: &Raw, seed: u64) -> Found {
    let mut found = Found::default();
    let mut raw = raw.clone();
    // An estimate that an accepted result ended comes back with the result
    // set aside, and what waits for somebody may still contradict what was
    // chosen: neither is a conflict, and both are told in their own way.
    // Whoever decides against an earlier decision takes back what that left out.
    raw.choices.clear();
    let badges = raw.badges.iter_mut();
    badges.for_each(|it| {
        it.held = false;
        it.results.retain(|it| !it.held);
    });
    let open = history(&raw);
    for (conflict, of, settled) in settled(&open) {
        let until = raw.fixed.iter().any(|it| it.until);
        if until && sets_a_result_aside(&conflict, &of) {
            continue;
        }
        found.tried += 1;
        let quantity = conflict.quantity;
        let (before, _) = safe(&open, all_days(), quantity);
        let (after, _) = safe(&settled, all_days(), quantity);
        // Where a determination speaks for the rest, the readings that it had replaced
        // count again beside a result below the minimum or with a reading on hold.
        let rest = conflict
            .sides
            .iter()
            .find(|it| rest_of(&of) == Some(it.entry));
        let replaced = rest.is_some_and(|it| !it.is_result);
        let below = raw.badges.iter().flat_map(|it| &it.results).any(|it| {
            let value = it.deep.or(it.lens);
            conflict.entries.contains(&it.entry) && value.is_some_and(|it| it.below)
        });
        // In the lens a deep dose that had stood in counts again.
        let held = raw.shifts.iter().any(|it| it.held.is_some());
        if after <= before || replaced && (below || held) || quantity == Quantity::Lens {
            continue;
        }
        found.changed += 1;
        let left = conflicts(&settled).unwrap();
        // What it had replaced may count again beside a result that leaves nothing for a
        // shift, of which the open conflict tells.
        let told = |it: &&Conflict| {
            let nothing_left =
                it.dispute == Dispute::ReadingsAboveResult && it.days.overlaps(&conflict.days);
            it.quantity == quantity && (shared(&conflict, it) == 1 || nothing_left)
        };
        assert!(
            left.iter().any(|it| told(&it)),
            "history {seed}, {before:?} {after:?} {conflict:?}, {of:?}: {left:?} {raw:#?}"
        );
    }
    found
}
