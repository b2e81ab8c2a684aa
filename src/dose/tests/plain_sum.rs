//! Account, index and conservative total against a plain sum over the raw numbers.

use std::sync::Arc;

use proptest::prelude::*;

use super::table::day;
use crate::calendar::{Day, Span};
use crate::dose::account::Account;
use crate::dose::conservative::Conservative;
use crate::dose::index::DoseIndex;
use crate::dose::input::*;
use crate::dose::total::{QUANTITIES, Total};
use crate::quantity::{Dose, Indication, IndicationUnit};
use crate::record::{DoubtType, ShiftName, Work};

/// One shift in raw numbers: what two dosimeters showed in two parts.
#[derive(Clone, Debug)]
struct Raw {
    day: i64,
    over: bool,
    /// nSv of part 1, part 2 of the first dosimeter; the second dosimeter.
    first: (i64, Option<i64>),
    second: Option<i64>,
    second_held: bool,
    off_scale: bool,
}

/// A prior period: first day, days, deep, extremity.
type RawPrior = (i64, i64, i64, Option<i64>);

const START: &str = "2025-11-01";

fn on(n: i64) -> Day {
    day(START) + chrono::Duration::days(n)
}

fn reading(name: &str, part: i64, nsv: i64, held: bool, off_scale: bool) -> Reading {
    let at = |count| Some(Indication::new(count, IndicationUnit::MilliSievert));
    Reading {
        record: Some(if name == "PD-1" { 1 } else { 2 }),
        dosimeter: Arc::from(name),
        part,
        start: at(7_000),
        end: at(7_000 + nsv),
        off_scale,
        held: if held {
            vec![DoubtType::DosimeterTwice]
        } else {
            Vec::new()
        },
        disposition: None,
    }
}

fn history(raw: &[Raw], prior: &[RawPrior]) -> History {
    let mut history = History::default();
    for (nth, one) in raw.iter().enumerate() {
        let mut readings = vec![reading("PD-1", 1, one.first.0, false, one.off_scale)];
        readings.extend(one.first.1.map(|nsv| reading("PD-1", 2, nsv, false, false)));
        readings.extend(
            one.second
                .map(|nsv| reading("PD-2", 1, nsv, one.second_held, false)),
        );
        let entry = i64::try_from(nth).unwrap();
        history.shifts.push(Shift {
            sheet: entry,
            entry,
            day: on(one.day),
            crosses_midnight: one.over,
            shift: ShiftName::Day,
            badge_worn: None,
            badge: None,
            work: Work::Radiography,
            readings,
        });
    }
    for (nth, (first, days, deep, extremity)) in prior.iter().enumerate() {
        history.facts.prior.push(PriorDose {
            entry: 1000 + i64::try_from(nth).unwrap(),
            first: on(*first),
            last: on(first + days - 1),
            opening: None,
            employer: String::new(),
            deep: Some(Dose::from_nsv(*deep)),
            lens: None,
            shallow: None,
            extremity: extremity.map(Dose::from_nsv),
        });
    }
    history
}

/// Deep dose and undetermined shifts of the account, by walking the days.
fn plain_account(raw: &[Raw], prior: &[RawPrior], from: i64, to: i64) -> (i64, u32) {
    let (mut sum, mut undetermined) = (0, 0);
    for today in from..=to {
        for one in raw.iter().filter(|one| one.day == today) {
            let first = one.first.0 + one.first.1.unwrap_or(0);
            let second = if one.second_held {
                0
            } else {
                one.second.unwrap_or(0)
            };
            sum += if first > second { first } else { second };
            undetermined += u32::from(one.off_scale);
        }
        for (first, days, deep, _) in prior {
            let n = today - first;
            if (0..*days).contains(&n) {
                sum += deep * (n + 1) / days - deep * n / days;
            }
        }
    }
    (sum, undetermined)
}

/// Deep dose of the conservative total.
fn plain_safe(raw: &[Raw], prior: &[RawPrior], from: i64, to: i64) -> i64 {
    let mut sum = 0;
    for one in raw {
        let inside = from <= one.day && one.day <= to;
        if inside || (one.over && one.day + 1 == from) {
            sum += (one.first.0 + one.first.1.unwrap_or(0)).max(one.second.unwrap_or(0));
        }
    }
    for (first, days, deep, _) in prior {
        if *first <= to && from < first + days {
            sum += deep;
        }
    }
    sum
}

fn raw() -> impl Strategy<Value = Raw> {
    let nsv = 0..3_000_000_i64;
    (
        0..120_i64,
        any::<bool>(),
        (nsv.clone(), prop::option::of(nsv.clone())),
        prop::option::of(nsv),
        any::<bool>(),
        prop::bool::weighted(0.1),
    )
        .prop_map(|(day, over, first, second, second_held, off_scale)| Raw {
            day,
            over,
            first,
            second,
            second_held,
            off_scale,
        })
}

fn raw_prior() -> impl Strategy<Value = RawPrior> {
    (
        0..100_i64,
        1..60_i64,
        0..50_000_000_i64,
        prop::option::of(0..50_000_000_i64),
    )
}

proptest! {
    #[test]
    fn every_total_equals_a_plain_sum(
        raw in prop::collection::vec(raw(), 0..40),
        prior in prop::collection::vec(raw_prior(), 0..4),
        from in 0..120_i64,
        days in 1..60_i64,
        cut in 0..60_i64,
    ) {
        let history = history(&raw, &prior);
        let to = from + days - 1;
        let span = Span { first: on(from), last: on(to) };
        let account = Account::of(&history, span).unwrap();
        let safe = Conservative::of(&history, span).unwrap();
        let index = DoseIndex::build(&history).unwrap();

        let (deep, undetermined) = plain_account(&raw, &prior, from, to);
        prop_assert_eq!(account.totals.deep.known().nsv(), deep);
        prop_assert_eq!(account.totals.deep.undetermined, undetermined);
        prop_assert_eq!(safe.totals.deep.known().nsv(), plain_safe(&raw, &prior, from, to));

        let mut raised = 0;
        for raise in &safe.raised_by {
            prop_assert!(raise.by.deep >= Dose::ZERO);
            raised += raise.by.deep.nsv();
        }
        prop_assert_eq!(raised, safe.totals.deep.known().nsv() - deep);

        for quantity in QUANTITIES {
            let (total, safe) = (account.totals.get(quantity), safe.totals.get(quantity));
            prop_assert_eq!(*total, index.account(span, quantity).unwrap());
            prop_assert_eq!(*safe, index.safe(span, quantity).unwrap());
            prop_assert!(safe.known() >= total.known());
            prop_assert!(safe.undetermined >= total.undetermined);
            prop_assert_eq!(safe.held, 0);

            // Two parts of the span add up to the whole of it.
            let cut = from + cut % days;
            let parts = [Span { last: on(cut), ..span }, Span { first: on(cut + 1), ..span }];
            let sum = parts.map(|part| known(&history, part, quantity));
            prop_assert_eq!(sum[0] + sum[1], total.known().nsv());
        }
    }
}

fn known(history: &History, span: Span, quantity: crate::rule::Quantity) -> i64 {
    if span.last < span.first {
        return 0;
    }
    let total: Total = *Account::of(history, span).unwrap().totals.get(quantity);
    total.known().nsv()
}
