//! The account and the conservative total against a second calculation that shares no
//! code with them: plain numbers, slow, by trying, on random histories.
//!
//! The model is written from the rules and knows nothing of lumps, groups or
//! running totals. A history is drawn as raw numbers; one function turns it
//! into the records that the program computes from. Doses are nanosievert, days
//! count from 2025-10-01.
//!
//! `WEARBOOK_HISTORIES=10000` draws so many, `WEARBOOK_HISTORIES=171-171` one
//! again; the suite draws fewer.

mod beside;
mod decided;
mod deciding;
mod draw;
mod heard;
mod model;
mod own;
mod records;
mod rules;
mod safe;

use wearbook::calendar::Span;
use wearbook::dose::account::Account;
use wearbook::dose::by_sheet::{SheetDose, by_sheet};
use wearbook::dose::conservative::Conservative;
use wearbook::dose::index::DoseIndex;
use wearbook::dose::input::History;
use wearbook::dose::total::{Class, Total};
use wearbook::quantity::Dose;
use wearbook::rule::Quantity;

use draw::{Draw, Raw, draw};
use model::Plain;
use records::{history, on};
use safe::plain;

/// Spans that each history is asked for.
const SPANS: u64 = 3;
/// Days that a history covers.
const DAYS: i64 = 200;

/// Later histories that once broke a rule: they are drawn each time.
const BROKE_ONCE: [u64; 17] = [
    1_255, 3_181, 5_953, 11_237, 13_186, 14_474, 14_846, 15_334, 21_434, 23_656, 27_354, 28_370,
    29_655, 37_215, 38_083, 41_578, 49_780,
];

/// Histories that are drawn.
fn histories() -> impl Iterator<Item = u64> {
    let asked = std::env::var("WEARBOOK_HISTORIES").unwrap_or_default();
    let number = |text: &str| text.parse().ok();
    let (drawn, besides) = match asked.split_once('-') {
        Some((first, last)) => (
            number(first).unwrap_or(1)..=number(last).unwrap_or(1),
            false,
        ),
        None => (1..=number(&asked).unwrap_or(600), true),
    };
    let last = *drawn.end();
    let more = BROKE_ONCE.into_iter();
    drawn.chain(more.filter(move |it| besides && *it > last))
}

fn span_of(first: i64, last: i64) -> Span {
    Span {
        first: on(first),
        last: on(last),
    }
}

fn compare(seed: u64, raw: &Raw) {
    let history = history(raw);
    let index = DoseIndex::build(&history).unwrap();
    let mut draw = Draw(seed ^ 0x5555);
    for _ in 0..SPANS {
        let from = draw.below(DAYS + 20) - 10;
        let to = from + draw.below(DAYS / 2);
        let span = span_of(from, to);
        let account = Account::of(&history, span).unwrap();
        let safe = Conservative::of(&history, span).unwrap();
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
            hold_by_sheet(&history, total, quantity, (span, seed));
        }
    }
    hold_dated(&history, &index, seed);
}

/// What a forecast draws on: each dose once, in all not below what the account has of this
/// licensee and not above the conservative figure; and a cut of time loses none of it.
fn hold_dated(history: &History, index: &DoseIndex, seed: u64) {
    let nsv = |span: Span| -> i64 {
        let found = index.dated(span, Quantity::Deep).unwrap();
        assert!(found.doses.iter().all(|it| it.1 >= Dose::ZERO), "{seed}");
        found.doses.iter().map(|it| it.1.nsv()).sum()
    };
    let whole = span_of(-800, 800);
    let account = Account::of(history, whole).unwrap();
    let own = account.contributions.iter();
    let own = own.filter(|it| !it.special && it.class != Class::Prior);
    let own: i64 = own
        .filter_map(|it| it.doses.deep.known())
        .map(Dose::nsv)
        .sum();
    let safe = index.safe(whole, Quantity::Deep).unwrap().known().nsv();
    let dated = nsv(whole);
    assert!(own <= dated, "history {seed}: {dated} of {own}");
    assert!(dated <= safe, "history {seed}: {dated} above {safe}");
    let cut = (seed % 200) as i64;
    let parts = nsv(span_of(-800, cut)) + nsv(span_of(cut + 1, 800));
    assert_eq!(parts, dated, "history {seed}");
}

/// The parts by sheet are none below zero, add up to the account and say where it is a lower bound.
/// What a sheet has does not hang on the days that were asked for.
fn hold_by_sheet(history: &History, total: &Total, quantity: Quantity, (span, seed): (Span, u64)) {
    let parts = by_sheet(history, span, quantity).unwrap();
    let sum = |parts: &[SheetDose], of: Option<Option<i64>>| -> i64 {
        let mine = parts.iter().filter(|it| of.is_none_or(|of| it.sheet == of));
        mine.filter_map(|it| it.dose).map(Dose::nsv).sum()
    };
    assert!(
        parts
            .iter()
            .all(|it| it.dose.is_none_or(|it| it >= Dose::ZERO)),
        "history {seed}"
    );
    assert_eq!(
        sum(&parts, None),
        total.known().nsv(),
        "history {seed}, {span:?}"
    );
    let open = total.undetermined > 0 || total.held > 0 || total.unassessed > 0;
    assert_eq!(
        parts.iter().any(|it| it.open),
        open,
        "history {seed}, {span:?}"
    );
    for shift in history.shifts.iter().filter(|it| span.contains(it.day)) {
        let (first, last) = (shift.day, shift.day);
        let alone = by_sheet(history, Span { first, last }, quantity).unwrap();
        let of = Some(Some(shift.sheet));
        assert_eq!(
            sum(&parts, of),
            sum(&alone, of),
            "history {seed}, {}",
            shift.day
        );
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
fn hold(account: &Account, safe: &Conservative, quantity: Quantity, seed: u64) {
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
    assert_eq!(
        raised.iter().sum::<i64>(),
        high.known().nsv() - total.known().nsv(),
        "history {seed}"
    );
}

#[test]
fn account_and_conservative_equal_a_plain_reckoning() {
    for seed in histories() {
        compare(seed, &draw(seed));
    }
}

#[test]
fn the_histories_drawn_hold_what_the_rules_speak_of() {
    let mut seen = std::collections::BTreeMap::<&str, usize>::new();
    for seed in 1..=1_000 {
        let raw = draw(seed);
        let history = history(&raw);
        let mut add = |what, count: usize| *seen.entry(what).or_default() += count;
        let results = || raw.badges.iter().flat_map(|it| &it.results);
        add("results", results().count());
        add(
            "two reports",
            raw.badges.iter().filter(|it| it.results.len() > 1).count(),
        );
        add(
            "below the minimum",
            results()
                .filter(|it| it.deep.is_some_and(|v| v.below))
                .count(),
        );
        add(
            "no lens stated",
            results().filter(|it| it.lens.is_none()).count(),
        );
        add(
            "late returns",
            raw.badges
                .iter()
                .filter(|it| it.last > Some(it.planned))
                .count(),
        );
        add(
            "early returns",
            raw.badges
                .iter()
                .filter(|it| it.last < Some(it.planned))
                .count(),
        );
        add(
            "still worn",
            raw.badges.iter().filter(|it| it.last.is_none()).count(),
        );
        add(
            "second badges on hold",
            raw.badges.iter().filter(|it| it.held).count(),
        );
        let second = raw.badges.last().filter(|it| !it.held).into_iter();
        let seconds = second.filter(|_| {
            let last = raw.badges.len() - 1;
            (0..last).any(|it| decided::together(&raw, it, last))
        });
        add("badges worn together", seconds.count());
        add(
            "badges named",
            raw.shifts.iter().filter(|it| it.named.is_some()).count(),
        );
        add(
            "off-scale",
            raw.shifts.iter().filter(|it| it.shows.is_none()).count(),
        );
        add(
            "above the range",
            raw.shifts.iter().filter(|it| it.beyond).count(),
        );
        add(
            "two dosimeters",
            raw.shifts.iter().filter(|it| it.second.is_some()).count(),
        );
        for about in ["Reading", "Shift", "Days", "Badge"] {
            let of = |it: &&draw::RawFixed| format!("{:?}", it.about).starts_with(about);
            add(about, raw.fixed.iter().filter(of).count());
        }
        add(
            "supersessions",
            raw.fixed
                .iter()
                .filter(|it| !it.supersedes.is_empty())
                .count(),
        );
        add("choices", raw.choices.len());
        add(
            "one for the rest",
            raw.choices.iter().filter(|it| it.rest.is_some()).count(),
        );
        for conflict in wearbook::dose::resolve::conflicts(&history).unwrap() {
            add("conflicts", 1);
            let name = match conflict.dispute {
                wearbook::dose::resolve::Dispute::Results => "of results",
                wearbook::dose::resolve::Dispute::Determinations => "of determinations",
                wearbook::dose::resolve::Dispute::ResultAndDetermination => "of both",
                wearbook::dose::resolve::Dispute::ReadingsAboveResult => "readings above",
            };
            add(name, 1);
        }
    }
    assert!(seen.values().all(|it| *it > 40), "{seen:#?}");
    assert_eq!(seen.len(), 25, "{seen:#?}");
}
