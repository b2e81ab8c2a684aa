//! The account and the safe side against a second calculation that shares no
//! code with them: plain numbers, day by day, slow, on random histories.
//!
//! The model below is written from the rules and knows nothing of lumps,
//! bundles or running totals. A history is drawn as raw numbers; one function
//! turns it into the records that the program computes from, another walks its
//! days. Doses are nanosievert, days count from 2025-10-01.

mod beside;
mod draw;
mod model;
mod records;

use wearbook::calendar::Span;
use wearbook::dose::account::Account;
use wearbook::dose::index::DoseIndex;
use wearbook::dose::safe_side::SafeSide;
use wearbook::dose::total::Total;
use wearbook::quantity::Dose;
use wearbook::rule::Quantity;

use draw::{Draw, Raw, draw};
use model::{Plain, plain};
use records::{history, on};

/// Histories that are drawn, and spans that each is asked for.
const HISTORIES: u64 = 2_000;
const SPANS: u64 = 3;
/// Days that a history covers.
const DAYS: i64 = 200;

fn compare(seed: u64, raw: &Raw) {
    let history = history(raw);
    let index = DoseIndex::build(&history).unwrap();
    let mut draw = Draw(seed ^ 0x5555);
    for _ in 0..SPANS {
        let from = draw.below(DAYS + 20) - 10;
        let to = from + draw.below(DAYS / 2);
        let span = Span {
            first: on(from),
            last: on(to),
        };
        let account = Account::of(&history, span).unwrap();
        let safe = SafeSide::of(&history, span).unwrap();
        for (lens, quantity) in [(false, Quantity::Deep), (true, Quantity::Lens)] {
            let total = account.totals.get(quantity);
            let high = safe.totals.get(quantity);
            let found = as_plain(total, high);
            let expected = plain(raw, lens, from, to);
            assert_eq!(
                found, expected,
                "history {seed}, {quantity:?} from day {from} to {to}: {raw:#?}"
            );
            assert_eq!(*total, index.account(span, quantity).unwrap());
            assert_eq!(*high, index.safe(span, quantity).unwrap());
            hold(&account, &safe, quantity, seed);
            // Two parts of a span add up to the whole of it.
            let cut = from + (to - from) / 2;
            let known = |first: i64, last: i64| {
                let span = Span {
                    first: on(first),
                    last: on(last),
                };
                let total = index.account(span, quantity).unwrap();
                if first <= last {
                    total.known().nsv()
                } else {
                    0
                }
            };
            assert_eq!(known(from, cut) + known(cut + 1, to), total.known().nsv());
            // The safe side never shrinks as the span grows.
            let less = Span {
                last: on(cut),
                ..span
            };
            assert!(index.safe(less, quantity).unwrap().known() <= high.known());
        }
    }
}

fn as_plain(total: &Total, safe: &Total) -> Plain {
    Plain {
        record: total.of_record.nsv(),
        provisional: total.provisional.nsv(),
        prior: total.prior.nsv(),
        apportioned: total.apportioned.nsv(),
        undetermined: total.undetermined > 0,
        held: i64::from(total.held),
        safe: safe.known().nsv(),
        safe_open: safe.undetermined > 0,
    }
}

/// What must hold between the two figures and their parts, whatever they are.
fn hold(account: &Account, safe: &SafeSide, quantity: Quantity, seed: u64) {
    let total = account.totals.get(quantity);
    let high = safe.totals.get(quantity);
    assert!(high.known() >= total.known(), "history {seed}");
    assert!(
        total.undetermined == 0 || high.undetermined > 0,
        "history {seed}"
    );
    let parts = account.contributions.iter();
    let sum: i64 = parts
        .filter_map(|it| it.doses.get(quantity).known())
        .map(Dose::nsv)
        .sum();
    assert_eq!(sum, total.known().nsv(), "history {seed}");
    let raised: Vec<i64> = safe
        .raised_by
        .iter()
        .map(|it| it.by.get(quantity).nsv())
        .collect();
    assert!(raised.iter().all(|by| *by >= 0), "history {seed}");
    assert_eq!(
        raised.iter().sum::<i64>(),
        high.known().nsv() - total.known().nsv(),
        "history {seed}"
    );
}

#[test]
fn account_and_safe_side_equal_a_plain_walk_over_the_days() {
    for seed in 1..=HISTORIES {
        compare(seed, &draw(seed));
    }
}

#[test]
fn the_histories_drawn_hold_what_the_rules_speak_of() {
    let (mut stated, mut open, mut two, mut settled, mut below, mut amended) = (0, 0, 0, 0, 0, 0);
    let (mut determined, mut no_lens) = (0, 0);
    for seed in 1..=HISTORIES {
        let raw = draw(seed);
        for badge in &raw.badges {
            stated += badge.results.len();
            two += usize::from(badge.results.len() > 1);
            settled += usize::from(badge.settled.is_some());
            determined += usize::from(badge.fixed.is_some() && !badge.results.is_empty());
            no_lens += badge.results.iter().filter(|it| it.lens.is_none()).count();
            below += badge
                .results
                .iter()
                .filter(|it| it.deep.is_some_and(|v| v.below))
                .count();
            let named = badge
                .settled
                .iter()
                .flat_map(|(of, aside)| aside.iter().chain([of]));
            let named: Vec<i64> = named.copied().collect();
            amended += usize::from(
                badge.settled.is_some()
                    && badge.results.iter().any(|it| !named.contains(&it.entry)),
            );
        }
        open += raw.shifts.iter().filter(|it| it.shows.is_none()).count();
    }
    for seen in [
        stated, open, two, settled, below, amended, determined, no_lens,
    ] {
        assert!(
            seen > 200,
            "{stated} {open} {two} {settled} {below} {amended}"
        );
    }
}
