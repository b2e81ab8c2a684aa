//! Signals, each with a near miss.

use super::super::signal::{Coverage, Measured, never_measured, same_figure};
use super::{amount, cable, day};
use crate::rule::ItemMeasure;

/// A run of `n` figures on successive days.
fn run(n: usize) -> Vec<Measured> {
    let start = day("2026-01-01");
    (0..n)
        .map(|at| Measured {
            entry: at as i64 + 1,
            day: start + chrono::Days::new(at as u64),
            count: amount("5.9 mm").count(),
        })
        .collect()
}

/// Others in millimetres.
fn parts(text: &str) -> Vec<Vec<i64>> {
    let count = |word: &str| amount(&format!("{word} mm")).count();
    text.split('|')
        .map(|part| part.split_whitespace().map(count).collect())
        .collect()
}

#[test]
fn the_same_figure_many_times_is_told_where_others_differ_and_not_where_they_repeat() {
    // By hand: 2 of 10 pairs repeat, the upper 95 % bound of that share is 0.5069; seven steps
    // of it are 0.0086 and six 0.0170.
    let lively = parts("6.0 5.9 5.9 6.0 5.8 5.9 5.8|5.9 6.0 6.0 5.9 5.8");
    let found = same_figure(&run(8), &lively, &cable());
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].pairs, found[0].same_pairs), (10, 2));
    assert!(
        (found[0].chance - 0.5069_f64.powi(7)).abs() < 1e-5,
        "{}",
        found[0].chance
    );
    assert_eq!(found[0].entries, [1, 2, 3, 4, 5, 6, 7, 8]);
    assert_eq!(same_figure(&run(7), &lively, &cable()), []);
    // A gauge too coarse for the wear repeats itself honestly.
    let coarse = parts("6.0 6.0 6.0 6.0 5.9 5.9 5.9|6.0 6.0 6.0 6.0 6.0");
    assert_eq!(same_figure(&run(8), &coarse, &cable()), []);
    assert_eq!(same_figure(&run(20), &coarse, &cable()), []);
    // For a gauge of twice the step neighbouring figures are the same, and most pairs repeat.
    let coarser = ItemMeasure {
        step: amount("0.2 mm"),
        ..cable()
    };
    assert_eq!(same_figure(&run(8), &lively, &coarser), []);
    // Nothing to compare with, nothing told.
    assert_eq!(same_figure(&run(30), &[], &cable()), []);
    assert_eq!(
        same_figure(
            &run(30),
            &parts("6.0 5.9 5.8 5.7 5.6 5.5 5.4 5.3"),
            &cable()
        ),
        []
    );
    assert_eq!(
        same_figure(
            &run(30),
            &parts("6.0 5.9 5.8 5.7 5.6 5.5 5.4 5.3 5.2"),
            &cable()
        )
        .len(),
        1
    );
    assert_eq!(same_figure(&[], &lively, &cable()), []);
}

#[test]
fn a_run_is_also_judged_by_the_rest_of_its_own_series() {
    let mut lines = run(12);
    let start = day("2025-01-01");
    for (n, hundredths) in [610, 605, 611, 602, 607, 599, 601, 596, 600]
        .iter()
        .enumerate()
    {
        lines.push(Measured {
            entry: 50 + n as i64,
            day: start + chrono::Days::new(n as u64),
            count: hundredths * 10_000,
        });
    }
    let fine = ItemMeasure {
        step: amount("0.01 mm"),
        ..cable()
    };
    let found = same_figure(&lines, &[], &fine);
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].pairs, found[0].same_pairs), (8, 0));
    assert_eq!(found[0].first, day("2026-01-01"));
    // With the coarse gauge the same wander repeats, and too often to say anything.
    assert_eq!(same_figure(&lines[..], &[], &cable()), []);
}

#[test]
fn an_item_never_measured_is_told_from_the_first_inspection_on() {
    let asked = |measured, days: &[&str]| {
        never_measured(&Coverage {
            inspections: days.iter().zip(1..).map(|(on, n)| (n, day(on))).collect(),
            measured,
        })
    };
    let found = asked(0, &["2026-04-01", "2026-01-01"]).expect("a signal");
    assert_eq!(
        (found.since, found.entries),
        (day("2026-01-01"), vec![1, 2])
    );
    assert_eq!(asked(1, &["2026-04-01", "2026-01-01"]), None);
    assert_eq!(asked(0, &[]), None);
}
