//! Signals, each with a near miss.

use super::super::signal::{Coverage, Measured, never_measured, same_figure};
use super::{amount, cable, day};
use crate::rule::ItemMeasurement;

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

/// Others in hundredths of a millimetre, `n` measures of each pattern.
fn parts(pattern: &[i64], n: usize) -> Vec<Vec<i64>> {
    let counts = pattern.iter().cycle().take(n);
    vec![counts.map(|it| it * 10_000).collect()]
}

/// By hand for 600, 580, 600, ...: each second difference is 0.4 mm, its square over 6 is 0.026667.
/// Of 18 triples 17 are kept, with 8 degrees of freedom; chi-square at 95 % is 15.507. Less the
/// gauge's rounding the scatter is at least 1.1368 steps. The chance that 6 such measures lie
/// within a step is 0.010546, 7 0.003866 (scipy 1.17.1, studentized_range with infinite freedom).
#[test]
fn the_same_figure_many_times_is_told_by_the_chance_of_a_part_that_does_not_wear() {
    let lively = parts(&[600, 580], 20);
    let found = same_figure(&run(7), &lively, &cable());
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].triples, found[0].scatter_permille), (18, 1_136));
    assert!((found[0].chance - 0.003_866).abs() < 1e-6, "{found:?}");
    assert_eq!(found[0].entries, [1, 2, 3, 4, 5, 6, 7]);
    assert_eq!(same_figure(&run(6), &lively, &cable()), []);
    assert_eq!(same_figure(&[], &lively, &cable()), []);
    // Too few to know the scatter by, and parts that wear steadily and scatter not at all.
    assert_eq!(same_figure(&run(30), &parts(&[600, 580], 17), &cable()), []);
    let steady: Vec<i64> = (0..40).map(|n| 700 - 3 * n).collect();
    assert_eq!(same_figure(&run(30), &parts(&steady, 40), &cable()), []);
    // A gauge too coarse for the wander of the figures repeats itself honestly.
    let coarse = parts(&[600, 600, 600, 590, 590, 590, 590], 40);
    assert_eq!(same_figure(&run(30), &coarse, &cable()), []);
    // The more often a part is measured, the more places for such a run.
    let mut lines = run(7);
    lines.extend((0..20).map(|n| Measured {
        entry: 100 + n,
        day: day("2027-01-01") + chrono::Days::new(n as u64),
        count: (600 + 20 * (n % 2)) * 10_000,
    }));
    assert_eq!(same_figure(&lines, &[], &cable()), []);
}

/// One definition for two figures and for a run: what the gauge cannot tell apart.
#[test]
fn figures_are_the_same_that_the_gauge_cannot_tell_apart() {
    let lively = parts(&[600, 580], 20);
    let written = |hundredths: &[i64]| -> Vec<Measured> {
        let lines = run(hundredths.len()).into_iter().zip(hundredths);
        lines
            .map(|(it, count)| Measured {
                count: count * 10_000,
                ..it
            })
            .collect()
    };
    let told = |hundredths: &[i64], measurement: &ItemMeasurement| {
        same_figure(&written(hundredths), &lively, measurement).len()
    };
    // Digits that the gauge cannot hold make no difference, slow wear does.
    assert_eq!(told(&[590, 595, 590, 592, 590, 591, 594], &cable()), 1);
    assert_eq!(told(&[600, 595, 590, 585, 580, 575, 570], &cable()), 0);
    let fine = ItemMeasurement {
        step: amount("0.01 mm"),
        ..cable()
    };
    assert_eq!(told(&[590, 595, 590, 592, 590, 591, 594], &fine), 0);
    assert_eq!(told(&[590, 590, 590, 590], &fine), 1);
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
