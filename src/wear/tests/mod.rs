//! Tests of the room: each outlook, invariance, and each signal with a near miss.

mod forecasts;
mod signals;

use super::series::Point;
use crate::calendar::{Day, parse_day};
use crate::quantity::{Amount, AmountUnit};
use crate::rule::{FiguresOf, ItemMeasurement, Sense};

pub(super) fn day(text: &str) -> Day {
    parse_day(text).expect("a day")
}

pub(super) fn amount(text: &str) -> Amount {
    Amount::parse(text, None).expect("an amount")
}

/// A drive cable with invented figures.
pub(super) fn cable() -> ItemMeasurement {
    ItemMeasurement {
        unit: AmountUnit::of("1 mm").expect("a unit"),
        nominal: Some(amount("6 mm")),
        limit: amount("5.8 mm"),
        warn: Some(amount("5.9 mm")),
        sense: Sense::NotBelow,
        step: amount("0.1 mm"),
        lowest: amount("4 mm"),
        highest: amount("8 mm"),
        of: FiguresOf::List,
    }
}

/// Points in words: `day/cycles/millimetres`, one after the other.
pub(super) fn points(text: &str) -> Vec<Point> {
    let each = text.split_whitespace().enumerate();
    each.map(|(n, word)| {
        let mut parts = word.split('/');
        let mut part = || parts.next().expect("a part");
        Point {
            day: day(part()),
            cycles: part().parse().expect("cycles"),
            count: amount(&format!("{} mm", part())).count(),
            entry: n as i64 + 1,
        }
    })
    .collect()
}
