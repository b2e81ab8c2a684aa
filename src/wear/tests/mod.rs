//! Tests of the room: each outlook, invariance, and each signal with a near miss.

mod forecasts;
mod signals;

use super::series::Point;
use crate::calendar::{Day, parse_day};
use crate::quantity::{Amount, AmountUnit};
use crate::rule::{ItemMeasure, Sense};

pub(super) fn day(text: &str) -> Day {
    parse_day(text).expect("a day")
}

pub(super) fn amount(text: &str) -> Amount {
    Amount::parse(text, None).expect("an amount")
}

/// A drive cable by the figures of common practice.
pub(super) fn cable() -> ItemMeasure {
    ItemMeasure {
        unit: AmountUnit::of("1 in").expect("a unit"),
        nominal: Some(amount("0.185 in")),
        limit: amount("0.183 in"),
        warn: Some(amount("0.184 in")),
        sense: Sense::NotBelow,
        step: amount("0.001 in"),
        lowest: amount("0.15 in"),
        highest: amount("0.25 in"),
    }
}

/// Points in words: `day/cycles/thousandths of an inch`, one after the other.
pub(super) fn points(text: &str) -> Vec<Point> {
    let each = text.split_whitespace().enumerate();
    each.map(|(n, word)| {
        let mut parts = word.split('/');
        let mut part = || parts.next().expect("a part");
        Point {
            day: day(part()),
            cycles: part().parse().expect("cycles"),
            count: amount(&format!("0.{} in", part())).count(),
            entry: n as i64 + 1,
        }
    })
    .collect()
}
