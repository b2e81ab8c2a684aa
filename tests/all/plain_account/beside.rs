//! What stands beside the own badges on the trunk, on the same random histories: rings, badges of
//! other employers, planned special exposures.

use std::sync::Arc;

use wearbook::calendar::Span;
use wearbook::dose::account::Account;
use wearbook::dose::conservative::Conservative;
use wearbook::dose::input::*;
use wearbook::dose::total::PerQuantity;
use wearbook::quantity::Dose;
use wearbook::rule::Quantity;

use super::draw::{Draw, Raw, RawShift, draw};
use super::model::Plain;
use super::records::{history, on};
use super::safe::plain;
use super::{DAYS, as_plain, histories};

/// A badge of one lump: first day, last day, dose, and the lens dose of a trunk badge.
#[derive(Clone, Copy)]
struct Lump {
    first: i64,
    last: i64,
    dose: i64,
    lens: i64,
}

/// Lumps of one kind, one after the other: nobody wears two of them at once.
fn lumps(draw: &mut Draw) -> Vec<Lump> {
    let mut all = Vec::new();
    let mut day = draw.below(40);
    while day < DAYS && draw.below(4) > 0 {
        let last = day + draw.below(60);
        all.push(Lump {
            first: day,
            last,
            dose: draw.below(9_000_001),
            lens: draw.below(9_000_001),
        });
        day = last + 1 + draw.below(30);
    }
    all
}

fn wear(dosimetry: &mut Dosimetry, record: i64, lump: &Lump, ring: bool) {
    dosimetry.wear.push(WearPeriod {
        record,
        entry: record,
        badge: Arc::from("X"),
        kind: match ring {
            true => BadgeKind::Extremity,
            false => BadgeKind::WholeBody,
        },
        issuer: match ring {
            true => Issuer::Own,
            false => Issuer::Other {
                same_dose: Some(false),
            },
        },
        first: on(lump.first),
        last: Some(on(lump.last)),
        planned_last: None,
        read_from: None,
        state: BadgeState::Returned,
        counting: Counting::Counts,
    });
    let some = |dose: i64| Some(Reported::Dose(Dose::from_nsv(dose)));
    dosimetry.results.push(BadgeResult {
        entry: record + 100,
        record: record + 100,
        wear: Some(record),
        stated_days: Span {
            first: on(lump.first),
            last: on(lump.last),
        },
        reported_on: on(lump.last),
        doses: match ring {
            true => PerQuantity {
                extremity: some(lump.dose),
                ..PerQuantity::default()
            },
            false => PerQuantity {
                deep: some(lump.dose),
                lens: some(lump.lens),
                ..PerQuantity::default()
            },
        },
        unstated: Unstated::AsDeep,
        year_to_date: PerQuantity::default(),
        accepted: Some(record + 200),
        corrects: None,
        counting: Counting::Counts,
    });
}

/// Adds lumps day by day: whole where the span holds all of their days, else the share of its days.
fn add(found: &mut Plain, all: &[Lump], lens: bool, own: bool, (from, to): (i64, i64)) {
    for lump in all {
        let dose = if lens { lump.lens } else { lump.dose };
        let days = lump.last - lump.first + 1;
        for today in (from..=to).filter(|it| lump.first <= *it && *it <= lump.last) {
            let n = today - lump.first;
            let step = dose * (n + 1) / days - dose * n / days;
            match (from <= lump.first && lump.last <= to, own) {
                (false, _) => found.apportioned += step,
                (true, true) => found.record += step,
                (true, false) => found.prior += step,
            }
        }
        if lump.first <= to && from <= lump.last {
            found.safe += dose;
        }
    }
}

/// A ring is spread by what the trunk's dosimeters showed on its days, which tells when there was
/// dose; an off-scale one tells nothing. Evenly where none showed anything.
fn spread(found: &mut Plain, all: &[Lump], raw: &Raw, (from, to): (i64, i64)) {
    for ring in all {
        let on_finger = |it: &&RawShift| ring.first <= it.day && it.day <= ring.last;
        let mut shown: Vec<(i64, i64, bool)> = raw
            .shifts
            .iter()
            .filter(on_finger)
            .map(|it| {
                let shows = it.shows.unwrap_or(0).max(it.second.unwrap_or(0));
                (it.day, shows, it.over)
            })
            .collect();
        shown.sort_by_key(|it| it.0);
        let sum: i64 = shown.iter().map(|it| it.1).sum();
        let whole = from <= ring.first && ring.last <= to;
        if sum == 0 || whole || ring.last + 1 < from || to < ring.first {
            add(found, &[*ring], false, true, (from, to));
            continue;
        }
        let mut before = 0_i128;
        let step = |shown: i128| i128::from(ring.dose) * shown / i128::from(sum);
        for (day, dose, over) in shown {
            let after = before + i128::from(dose);
            let share = i64::try_from(step(after) - step(before)).unwrap();
            if from <= day && day <= to {
                found.apportioned += share;
            }
            // A night shift is received on both days; after the ring's last day the share
            // of it may still lie in the span.
            if over && day == ring.last && day + 1 == from {
                found.safe += share;
            }
            before = after;
        }
        if from <= ring.last {
            found.safe += ring.dose;
        }
    }
}

/// Wears rings and badges of other employers beside a history; says how many.
pub(super) fn beside(raw: &Raw, seed: u64) -> (usize, usize) {
    let mut draw = Draw(seed ^ 0x7777);
    let (ring, other) = (lumps(&mut draw), lumps(&mut draw));
    let mut history = history(raw);
    for (all, base, is_ring) in [(&ring, 20_000, true), (&other, 30_000, false)] {
        for (nth, lump) in all.iter().enumerate() {
            let record = base + 1_000 * i64::try_from(nth).unwrap();
            wear(&mut history.facts.dosimetry, record, lump, is_ring);
        }
    }
    let from = draw.below(DAYS);
    let to = from + draw.below(DAYS / 2);
    let span = Span {
        first: on(from),
        last: on(to),
    };
    let account = Account::of(&history, span).unwrap();
    let safe = Conservative::of(&history, span).unwrap();
    for (lens, quantity) in [(false, Quantity::Deep), (true, Quantity::Lens)] {
        let mut expected = plain(raw, lens, from, to);
        add(&mut expected, &other, lens, false, (from, to));
        let found = as_plain(account.totals.get(quantity), safe.totals.get(quantity));
        assert_eq!(found, expected, "history {seed}, {quantity:?}: {raw:#?}");
    }
    let mut expected = Plain::default();
    spread(&mut expected, &ring, raw, (from, to));
    let quantity = Quantity::Extremity;
    let found = as_plain(account.totals.get(quantity), safe.totals.get(quantity));
    assert_eq!(
        (found.record, found.apportioned, found.safe),
        (expected.record, expected.apportioned, expected.safe),
        "history {seed}, rings: {raw:#?}"
    );
    (ring.len(), other.len())
}

#[test]
fn rings_and_badges_of_others_equal_a_plain_walk_and_touch_nothing_else() {
    let (mut rings, mut others) = (0, 0);
    for seed in histories() {
        let (some_rings, some_others) = beside(&draw(seed), seed);
        rings += some_rings;
        others += some_others;
    }
    assert!(rings > 500 && others > 500, "{rings} {others}");
}

/// 10 CFR 20.1206: an authorized exposure counts apart; nothing is lost, and nothing counts twice.
#[test]
fn what_counts_apart_and_what_does_not_add_up_to_a_plain_walk() {
    let mut apart = 0;
    for seed in histories() {
        let raw = draw(seed);
        let mut draw = Draw(seed ^ 0x1206);
        let mut history = history(&raw);
        let (first, authorized) = (draw.below(DAYS), !draw.one_in(4));
        let last = first + draw.below(20);
        history
            .facts
            .dosimetry
            .special
            .push(PlannedSpecialExposure {
                entry: 50_000,
                days: Span {
                    first: on(first),
                    last: on(last),
                },
                // One that is authorized on its first day comes too late.
                authorized_on: Some(on(if authorized { first - 1 } else { first })),
            });
        let (from, to) = (draw.below(DAYS), DAYS + 60);
        let span = Span {
            first: on(from),
            last: on(to),
        };
        let account = Account::of(&history, span).unwrap();
        for (lens, quantity) in [(false, Quantity::Deep), (true, Quantity::Lens)] {
            let all = plain(&raw, lens, from, to);
            let sum = all.record + all.provisional + all.prior + all.apportioned;
            let special = account.special.get(quantity).known().nsv();
            let rest = account.totals.get(quantity).known().nsv();
            assert_eq!(
                rest + special,
                sum,
                "history {seed}, {quantity:?}: {raw:#?}"
            );
            // Apart is at most what a plain walk finds on those days, and those around midnight
            // or of badges that reach into them.
            assert!(
                special == 0 || authorized,
                "history {seed}: {special} apart"
            );
            // Badges and determinations of days spread over others than those apart.
            if raw.badges.is_empty() && raw.fixed.is_empty() {
                let days = plain(&raw, lens, first.max(from), last);
                let most = days.record + days.provisional;
                assert!(special <= most, "history {seed}: {special} of {most} apart");
            }
            apart += usize::from(special > 0);
        }
    }
    assert!(apart > 100, "{apart}");
}
