//! The rules of the dose account, each held over random histories.

use wearbook::dose::index::DoseIndex;
use wearbook::dose::input::{Chosen, Counting, History, Resolution};
use wearbook::dose::resolve::{Conflict, Dispute, conflicts, days_needed};
use wearbook::quantity::Dose;
use wearbook::rule::Quantity;

use super::draw::{About, Draw, Raw, RawFixed, RawResult, Value, draw};
use super::records::{history, on};
use super::{DAYS, histories, span_of};

const BOTH: [Quantity; 2] = [Quantity::Deep, Quantity::Lens];

fn all_days() -> wearbook::calendar::Span {
    span_of(-30, DAYS + 100)
}

fn safe(history: &History, span: wearbook::calendar::Span, quantity: Quantity) -> (Dose, bool) {
    let index = DoseIndex::build(history).unwrap();
    let total = index.safe(span, quantity).unwrap();
    (total.known(), total.undetermined > 0)
}

/// A shift belongs to one badge, whatever is asked for: nothing vanishes between
/// two years.
#[test]
fn any_cut_of_time_adds_up_to_the_whole() {
    let mut apportioned = 0;
    for seed in histories() {
        let raw = draw(seed);
        let index = DoseIndex::build(&history(&raw)).unwrap();
        let mut draw = Draw(seed ^ 0x0C07);
        let mut cuts: Vec<i64> = (0..draw.below(4)).map(|_| draw.below(DAYS)).collect();
        cuts.extend([-30, DAYS + 100]);
        cuts.sort_unstable();
        cuts.dedup();
        for quantity in BOTH {
            let whole = index.account(all_days(), quantity).unwrap();
            let (mut sum, mut provisional, mut prior, mut parted) = (0, 0, 0, 0);
            for (nth, pair) in cuts.windows(2).enumerate() {
                let first = if nth == 0 { pair[0] } else { pair[0] + 1 };
                let part = index.account(span_of(first, pair[1]), quantity).unwrap();
                sum += part.known().nsv();
                provisional += part.provisional.nsv();
                prior += part.prior.nsv();
                parted += part.apportioned.nsv();
            }
            assert_eq!(
                sum,
                whole.known().nsv(),
                "history {seed}, {quantity:?}, {cuts:?}"
            );
            // What no cut goes through keeps its class.
            assert!(provisional <= whole.provisional.nsv(), "history {seed}");
            assert!(prior <= whole.prior.nsv(), "history {seed}");
            apportioned += usize::from(parted > 0);
        }
    }
    assert!(apportioned > 100, "{apportioned}");
}

/// What a window loads gives what the whole history gives.
#[test]
fn a_group_alone_gives_what_the_whole_history_gives() {
    for seed in histories() {
        let raw = draw(seed);
        let whole = history(&raw);
        let all = DoseIndex::build(&whole).unwrap();
        let mut draw = Draw(seed ^ 0x6A0E);
        let first = draw.below(DAYS);
        let last = first + draw.below(40);
        // A question about days also asks for the night before.
        let asked = span_of(first - 1, last);
        let days = days_needed(&whole.facts.dosimetry, asked);
        let mut part = whole.clone();
        part.shifts.retain(|it| days.contains(it.day));
        let alone = DoseIndex::build(&part).unwrap();
        let span = span_of(first, last);
        for quantity in BOTH {
            let (a, b) = (alone.used(span, quantity), all.used(span, quantity));
            assert_eq!(
                a.unwrap(),
                b.unwrap(),
                "history {seed}, {quantity:?}: {raw:#?}"
            );
        }
    }
}

/// The places of the reports of a history, by badge.
fn reports(raw: &Raw) -> impl Iterator<Item = (usize, usize)> {
    let badges = raw.badges.iter().enumerate();
    badges.flat_map(|(badge, it)| (0..it.results.len()).map(move |result| (badge, result)))
}

/// A badge on hold is never below what a ruling makes of it: worn and counted, or
/// not.
#[test]
fn no_ruling_on_a_badge_raises_the_safe_side() {
    let (mut tried, mut lowered) = (0, 0);
    for seed in histories() {
        let raw = draw(seed);
        let Some(place) = raw.badges.iter().position(|it| it.held) else {
            continue;
        };
        let before = history(&raw);
        tried += 1;
        for ruling in [Counting::Counts, Counting::RuledOut] {
            let mut after = before.clone();
            after.facts.dosimetry.wear[place].counting = ruling;
            for quantity in BOTH {
                let (was, was_open) = safe(&before, all_days(), quantity);
                let (is, is_open) = safe(&after, all_days(), quantity);
                assert!(
                    is <= was && (was_open || !is_open),
                    "history {seed}, {quantity:?}, {ruling:?}: {was:?}, then {is:?}: {raw:#?}"
                );
                lowered += usize::from(is < was);
            }
        }
    }
    assert!(tried > 60 && lowered > 60, "{tried} {lowered}");
}

/// A result that nobody accepted is never below what its acceptance makes of it.
#[test]
fn no_acceptance_raises_the_safe_side() {
    let (mut tried, mut lowered) = (0, 0);
    for seed in histories() {
        let raw = draw(seed);
        let before = history(&raw);
        for (badge, result) in reports(&raw) {
            let mut accepted = raw.clone();
            let of_it = &mut accepted.badges[badge].results[result];
            if of_it.accepted || of_it.held || raw.badges[badge].held {
                continue;
            }
            of_it.accepted = true;
            let after = history(&accepted);
            tried += 1;
            for quantity in BOTH {
                let (was, was_open) = safe(&before, all_days(), quantity);
                let (is, is_open) = safe(&after, all_days(), quantity);
                assert!(
                    is <= was && (was_open || !is_open),
                    "history {seed}, {quantity:?}, report {result} of badge {badge}: {was:?}, \
                     then {is:?}: {raw:#?}"
                );
                lowered += usize::from(is < was);
            }
        }
    }
    assert!(tried > 60 && lowered > 60, "{tried} {lowered}");
}

/// In which order things became known changes no level and no stop.
#[test]
fn no_order_of_telling_changes_the_safe_side() {
    for seed in histories() {
        let mut raw = draw(seed);
        // What was decided names what was known before it; without decisions
        // the order says nothing but who came first.
        raw.choices.clear();
        raw.fixed.iter_mut().for_each(|it| it.supersedes.clear());
        let told = history(&raw);
        let results = raw.badges.iter_mut().flat_map(|it| &mut it.results);
        for (nth, result) in (0_i64..).zip(results) {
            result.told = 9_000 - 7 * nth;
        }
        for (nth, one) in (0_i64..).zip(&mut raw.fixed) {
            one.told = 8_999 - 5 * nth;
        }
        let otherwise = history(&raw);
        for quantity in BOTH {
            for span in [all_days(), span_of(40, 90), span_of(91, 140)] {
                assert_eq!(
                    safe(&told, span, quantity),
                    safe(&otherwise, span, quantity),
                    "history {seed}, {quantity:?}: {raw:#?}"
                );
            }
        }
    }
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

/// A decision between two raises the safe side only where something comes back that one of
/// them had ended or agreed with: what contradicts the choice now is told as a conflict.
#[test]
fn no_decision_between_two_raises_the_safe_side_in_silence() {
    let (mut tried, mut raised) = (0, 0);
    for seed in histories() {
        let mut raw = draw(seed);
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
            tried += 1;
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
            raised += 1;
            let left = conflicts(&settled).unwrap();
            let told = |it: &&Conflict| it.quantity == quantity && shared(&conflict, it) == 1;
            assert!(
                left.iter().any(|it| told(&it)),
                "history {seed}, {before:?} {after:?} {conflict:?}, {of:?}: {left:?} {raw:#?}"
            );
        }
    }
    assert!(tried > 300 && raised * 20 < tried, "{raised} of {tried}");
}

/// Adds something that nobody accepted and that supersedes nothing.
fn with_one_more(raw: &Raw, draw: &mut Draw) -> Option<Raw> {
    let mut more = raw.clone();
    let entry = 50_000;
    let dose = draw.below(3_000_001);
    let count = i64::try_from(raw.badges.len()).unwrap();
    let place = (count > 0).then(|| usize::try_from(draw.below(count)).unwrap());
    let result = |held| RawResult {
        entry,
        told: entry,
        deep: Some(Value { dose, below: false }),
        lens: None,
        accepted: false,
        corrects: None,
        held,
    };
    match (draw.below(4), place) {
        (0, Some(place)) => more.badges[place].results.push(result(false)),
        (1, Some(place)) => more.badges[place].results.push(result(true)),
        (2, _) => {
            let first = draw.below(DAYS);
            more.fixed.push(RawFixed {
                entry,
                told: entry,
                about: About::Days(first, first + draw.below(30)),
                until: true,
                lens: false,
                dose,
                high: dose,
                above: false,
                supersedes: Vec::new(),
            });
        }
        (3, Some(place)) => more.fixed.push(RawFixed {
            entry,
            told: entry,
            about: About::Badge(place, raw.badges[place].first + draw.below(30)),
            until: true,
            lens: false,
            dose,
            high: dose,
            above: false,
            supersedes: Vec::new(),
        }),
        _ => return None,
    }
    Some(more)
}

#[test]
fn nothing_but_a_decision_lowers_the_safe_side() {
    let mut raised = 0;
    for seed in histories() {
        let raw = draw(seed);
        let mut draw = Draw(seed ^ 0x5AFE);
        let Some(more) = with_one_more(&raw, &mut draw) else {
            continue;
        };
        let (before, after) = (history(&raw), history(&more));
        // A report closes a badge of which no return is recorded: a shift after
        // its planned days is no longer its own, which is no new claim.
        if raw.badges.iter().any(|it| it.last.is_none()) {
            continue;
        }
        for quantity in BOTH {
            for span in [all_days(), span_of(40, 90), span_of(91, 140)] {
                let (was, is) = (safe(&before, span, quantity), safe(&after, span, quantity));
                assert!(
                    is.0 >= was.0,
                    "history {seed}, {quantity:?}, {was:?} {is:?}, {:?}: {raw:#?}",
                    on(0)
                );
                raised += usize::from(is.0 > was.0);
            }
        }
    }
    assert!(raised > 100, "{raised}");
}

/// The same fact, told of a reading, its day or its badge, where the three cover
/// one shift with one dosimeter.
#[test]
fn one_fact_gives_one_figure_however_it_is_told() {
    let mut tried = 0;
    for seed in histories() {
        let mut raw = draw(seed);
        raw.fixed.clear();
        raw.choices.clear();
        let Some(at) = raw
            .shifts
            .iter()
            .position(|it| it.second.is_none() && it.held.is_none())
        else {
            continue;
        };
        // One badge, and one shift on the day.
        let day = raw.shifts[at].day;
        raw.badges.truncate(1);
        let Some(badge) = raw.badges.first_mut() else {
            continue;
        };
        (badge.first, badge.last, badge.planned) = (day - 3, Some(day + 3), day + 3);
        raw.shifts = vec![raw.shifts[at].clone()];
        raw.shifts[0].worn = Some(true);
        raw.shifts[0].named = None;
        let mut draw = Draw(seed ^ 0x2E);
        let (until, dose) = (draw.one_in(2), draw.below(2_000_001));
        let tell = |about| {
            let mut told = raw.clone();
            told.fixed.push(RawFixed {
                entry: 90,
                told: 90,
                about,
                until,
                lens: false,
                dose,
                high: dose,
                above: false,
                supersedes: Vec::new(),
            });
            let index = DoseIndex::build(&history(&told)).unwrap();
            BOTH.map(|quantity| index.used(all_days(), quantity).unwrap())
        };
        let first = tell(About::Reading(0));
        for about in [
            About::Shift(0),
            About::Days(day, day),
            About::Badge(0, day + 3),
        ] {
            let found = tell(about);
            for (a, b) in first.iter().zip(&found) {
                assert_eq!(
                    (
                        a.account.known(),
                        a.account.extent(),
                        a.safe.known(),
                        a.safe.extent()
                    ),
                    (
                        b.account.known(),
                        b.account.extent(),
                        b.safe.known(),
                        b.safe.extent()
                    ),
                    "history {seed}, {about:?}: {raw:#?}"
                );
            }
        }
        tried += 1;
    }
    assert!(tried > 300, "{tried}");
}
