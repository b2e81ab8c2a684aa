//! Tests of a worker's year: what is plotted is what was given.

use resvg::usvg::roxmltree::Document;

use super::cases::{cases, day, fanned, mrem_of, quiet_year, steps};
use super::inspect::{Drawing, number};
use super::worker_year::WorkerYear;
use super::{ChartError, png};
use crate::calendar::Span;
use crate::quantity::Dose;

pub(super) fn drawings() -> Vec<(String, String)> {
    let all = cases().into_iter();
    all.map(|(name, chart)| {
        // Its title and a name in it are hostile.
        let hostile = if name == "sievert" { "hostile-" } else { "" };
        (format!("{hostile}year-{name}"), chart.svg().unwrap())
    })
    .collect()
}

/// Places read back: the middle of which day (from 0.5), and the dose in nanosievert, each with
/// how far it may be off.
fn reader(drawing: &Drawing, chart: &WorkerYear) -> impl Fn((f64, f64)) -> (f64, f64) {
    let [left, _, right, _] = drawing.field();
    let per_day = (right - left) / chart.span.days() as f64;
    let dose = drawing.ruler(true).0;
    let size = chart.unit.size() as f64;
    move |(x, y)| ((x - left) / per_day, dose(y) * size)
}

/// Two units of the paper, in days and in nanosievert.
fn slack(drawing: &Drawing, chart: &WorkerYear) -> (f64, f64) {
    let [left, _, right, _] = drawing.field();
    let days = 2.0 * chart.span.days() as f64 / (right - left);
    (days, 2.0 * drawing.ruler(true).1 * chart.unit.size() as f64)
}

fn nth(chart: &WorkerYear, on: crate::calendar::Day) -> f64 {
    (on - chart.span.first).num_days() as f64 + 0.5
}

#[test]
fn the_curve_and_a_mark_stand_at_each_total_on_its_day_and_nothing_else_is_on_the_curve() {
    for (name, chart) in cases().into_iter().filter(|it| !it.1.steps.is_empty()) {
        let svg = chart.svg().unwrap();
        let drawing = Drawing::of(&svg);
        let (read, slack) = (reader(&drawing, &chart), slack(&drawing, &chart));
        let curve: Vec<_> = drawing
            .lines("curve")
            .concat()
            .into_iter()
            .map(&read)
            .collect();
        let mut marks: Vec<_> = drawing.marks("marks").into_iter().map(&read).collect();
        marks.extend(drawing.marks("bounds").into_iter().map(&read));
        for step in &chart.steps {
            let near = |it: &(f64, f64)| {
                (it.0 - nth(&chart, step.day)).abs() <= slack.0
                    && (it.1 - step.total.nsv() as f64).abs() <= slack.1
            };
            assert!(
                curve.iter().any(near),
                "{name}: {step:?} is not on the curve"
            );
            assert!(marks.iter().any(near), "{name}: {step:?} has no mark");
        }
        for (_, dose) in curve {
            let near = |nsv: i64| (dose - nsv as f64).abs() <= slack.1;
            let known = near(0) || chart.steps.iter().any(|it| near(it.total.nsv()));
            assert!(known, "{name}: the curve has {dose} nSv");
        }
    }
}

#[test]
fn the_fan_runs_through_each_of_its_days_and_doses() {
    let chart = fanned();
    let svg = chart.svg().unwrap();
    let drawing = Drawing::of(&svg);
    let (read, slack) = (reader(&drawing, &chart), slack(&drawing, &chart));
    let lines = drawing.lines("fan");
    assert_eq!(lines.len(), 3, "a lower edge, an upper edge and a middle");
    for (at, point) in chart.fan.iter().enumerate() {
        for (line, dose) in lines.iter().zip([point.low, point.high, point.median]) {
            let (day, drawn) = read(line[at]);
            assert!(
                (day - nth(&chart, point.day)).abs() <= slack.0,
                "{point:?} at {day}"
            );
            assert!(
                (drawn - dose.nsv() as f64).abs() <= slack.1,
                "{point:?}: {drawn}"
            );
        }
    }
    let said = "845 mrem to 1015 mrem with nine chances in ten, middle 925 mrem";
    assert!(drawing.told().contains(said));
}

#[test]
fn a_total_that_is_lower_bound_only_is_dashed_and_says_at_least() {
    let cases = cases();
    let (_, chart) = cases.iter().find(|c| c.0 == "off-scale").unwrap();
    let svg = chart.svg().unwrap();
    let drawing = Drawing::of(&svg);
    // A triangle is two shapes, an arrow's head one.
    assert_eq!(drawing.count("bounds", "polygon"), 3 * 3);
    let dashed = |n: &resvg::usvg::roxmltree::Node| n.attribute("stroke-dasharray").is_some();
    let of_record = drawing.layer("curve").filter(dashed).count();
    assert_eq!(of_record, 2, "of record and provisional from the first on");
    let words = drawing.words("bounds");
    assert!(
        words.contains(&"at least 390 mrem by 2026-07-04".to_owned()),
        "{words:?}"
    );
    assert!(words.contains(&"at least".to_owned()), "{words:?}");
    let said = "Undetermined: 2026-04-05, 2026-04-14, 2026-06-19.";
    assert!(drawing.told().contains(said));
    assert!(
        !drawing
            .told()
            .replace("at least 390", "")
            .contains("390 mrem by")
    );
}

#[test]
fn every_level_is_named_with_its_figure_in_the_picture_and_in_the_words() {
    for (name, chart) in cases() {
        let svg = chart.svg().unwrap();
        let drawing = Drawing::of(&svg);
        let shares = drawing.words("shares").join(" ");
        for level in &chart.levels {
            let whole = level.dose.display(chart.unit);
            for part in [&whole, &level.label] {
                let flat = |it: &str| it.split_whitespace().collect::<Vec<_>>().join(" ");
                assert!(drawing.told().contains(&flat(part)), "{name}: {part}");
            }
            assert!(shares.contains(&whole), "{name}: {whole}");
        }
        for wanted in [&chart.quantity, &chart.total().display(chart.unit)] {
            assert!(drawing.told().contains(wanted.as_str()), "{name}: {wanted}");
        }
    }
    let (_, stacked) = cases().into_iter().find(|it| it.0 == "stacked").unwrap();
    let svg = stacked.svg().unwrap();
    let words = Drawing::of(&svg).words("levels");
    for mrem in [490, 495, 500, 505, 510] {
        assert!(words.contains(&format!("{mrem} mrem")), "{mrem}: {words:?}");
    }
}

#[test]
fn a_level_whose_figure_is_a_lower_bound_says_so_though_the_curve_is_settled() {
    let mut chart = quiet_year();
    chart.steps = steps(4, 10, 4);
    chart.levels[0].at_least = true;
    let svg = chart.svg().unwrap();
    let shares = Drawing::of(&svg).words("shares");
    let bounds = shares.iter().filter(|it| it.starts_with("at least "));
    assert_eq!(bounds.count(), 1, "{shares:?}");
}

#[test]
fn a_bar_is_as_long_as_its_share() {
    for (name, chart) in cases() {
        let svg = chart.svg().unwrap();
        let drawing = Drawing::of(&svg);
        let frames = drawing.frames("shares");
        assert_eq!(frames.len(), chart.levels.len(), "{name}");
        let [left, _, full, _] = frames[0];
        let bars = drawing.layer("shares").filter(|n| n.has_tag_name("rect"));
        let bars = bars
            .filter(|n| number(*n, "x") == left)
            .map(|n| number(n, "width"));
        for (level, bar) in chart.levels.iter().zip(bars) {
            let used = level.used(chart.total()).nsv() as f64 / level.dose.nsv() as f64;
            // Past five quarters of the level the bar ends in a point.
            let wanted = used.min(1.25) * (full - left);
            assert!((bar - wanted).abs() <= 2.0, "{name}: {bar} for {wanted}");
        }
    }
}

#[test]
fn a_far_limit_leaves_the_curve_its_height() {
    // A forecast has its own height.
    let drawn = |it: &(&str, WorkerYear)| !it.1.steps.is_empty() && it.1.fan.is_empty();
    for (name, chart) in cases().into_iter().filter(drawn) {
        let svg = chart.svg().unwrap();
        let drawing = Drawing::of(&svg);
        let [_, ceiling, _, floor] = drawing.field();
        let curve = drawing.lines("curve").concat();
        let peak = curve.into_iter().map(|p| p.1).fold(f64::MAX, f64::min);
        let share = (floor - peak) / (floor - ceiling);
        assert!(
            share > 0.3,
            "{name}: the curve has {share:.2} of the height"
        );
    }
}

#[test]
fn a_level_without_allowance_and_a_year_turned_round_are_said_plainly() {
    let mut chart = quiet_year();
    chart.levels[0].dose = mrem_of(-3);
    chart.levels[1].dose = Dose::ZERO;
    let svg = chart.svg().unwrap();
    assert_eq!(
        svg.matches("nothing allowed (0 mrem)").count(),
        4,
        "twice drawn, twice said"
    );
    assert!(svg.contains("no dose in the ledger for this year"));
    chart.span = Span {
        first: day("2026-02-01"),
        last: day("2026-01-31"),
    };
    assert!(matches!(chart.svg(), Err(ChartError::Backwards { .. })));
}

#[test]
fn odd_spans_and_huge_doses_are_drawn_without_a_fault() {
    let mut chart = quiet_year();
    chart.steps = steps(30, 1, 3);
    for (first, last) in [
        ("2026-01-10", "2026-01-10"),
        ("2026-01-10", "2026-01-20"),
        ("2024-01-15", "2031-02-03"),
        ("1900-01-01", "2100-12-31"),
    ] {
        chart.span = Span {
            first: day(first),
            last: day(last),
        };
        let svg = chart.svg().unwrap();
        assert!(Document::parse(&svg).is_ok(), "{first}");
    }
    chart.steps[29].total = Dose::from_nsv(i64::MAX);
    chart.title = "a\u{1}b".to_owned();
    chart.notes = vec!["x".repeat(3000)];
    let svg = chart.svg().unwrap();
    assert!(Document::parse(&svg).is_ok());
    assert!(png::png(&svg, 300).is_ok());
}
