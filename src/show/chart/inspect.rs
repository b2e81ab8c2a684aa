//! Tests of whole drawings: what is plotted is what was given, and it can be read.

use resvg::usvg::roxmltree::{Document, Node};

use super::cases::{cases, day, fanned, mrem_of, quiet_year, steps};
use super::readable::readable;
use super::{ChartError, png};
use crate::calendar::Span;
use crate::quantity::{Dose, DoseUnit};

/// Writes every case as SVG and PNG for a person to look at:
/// `WEARBOOK_CHARTS=DIR cargo test --lib charts_to_look_at -- --ignored`.
#[test]
#[ignore = "writes pictures to look at"]
fn charts_to_look_at() {
    let dir = std::path::PathBuf::from(std::env::var("WEARBOOK_CHARTS").unwrap());
    for (name, chart) in cases() {
        let svg = chart.svg().unwrap();
        std::fs::write(dir.join(format!("{name}.svg")), &svg).unwrap();
        let picture = png::png(&svg, png::PRINT_WIDTH).unwrap();
        std::fs::write(dir.join(format!("{name}.png")), picture).unwrap();
    }
}

pub(super) fn layer<'a>(document: &'a Document, class: &str) -> Node<'a, 'a> {
    document
        .descendants()
        .find(|n| n.attribute("class") == Some(class))
        .unwrap()
}

pub(super) fn number(node: Node, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

pub(super) fn points(node: Node) -> Vec<(f64, f64)> {
    let pair = |p: &str| {
        let (x, y) = p.split_once(',').unwrap();
        (x.parse().unwrap(), y.parse().unwrap())
    };
    node.attribute("points")
        .unwrap()
        .split_whitespace()
        .map(pair)
        .collect()
}

/// Words of every text in a layer with its place.
pub(super) fn texts(node: Node) -> Vec<(String, f64, f64)> {
    node.descendants()
        .filter(|n| n.has_tag_name("text"))
        .map(|n| {
            (
                n.text().unwrap().trim().to_owned(),
                number(n, "x"),
                number(n, "y"),
            )
        })
        .collect()
}

/// Reads the dose back from a height, by the figures at the axis (their first and last).
fn dose_at(document: &Document, unit: DoseUnit, y: f64) -> f64 {
    let axis = texts(layer(document, "axes"));
    let figures = axis
        .iter()
        .filter_map(|t| t.0.parse::<f64>().ok().map(|v| (v, t.2)));
    let ticks: Vec<_> = figures.collect();
    let (zero, top) = (ticks[0], *ticks.iter().rfind(|t| t.1 < ticks[0].1).unwrap());
    (y - zero.1) / (top.1 - zero.1) * (top.0 - zero.0) * unit.size() as f64
}

/// The lines of the curve, dashes and all.
fn curve(document: &Document) -> Vec<(f64, f64)> {
    let lines = layer(document, "curve")
        .descendants()
        .filter(|n| n.has_tag_name("polyline"));
    lines.flat_map(points).collect()
}

#[test]
fn the_curve_stands_at_each_total_on_its_day() {
    for (name, chart) in cases() {
        let svg = chart.svg().unwrap();
        let document = Document::parse(&svg).unwrap();
        let drawn = curve(&document);
        let (left, right) = field(&document);
        let days = chart.span.days() as f64;
        let (zero, top) = (number_at(&document, 0), number_at(&document, usize::MAX));
        // Half a drawing unit of rounding at the curve, and as much at each of two ticks.
        let slack = 1.5 * (top.0 - zero.0) * chart.unit.size() as f64 / (zero.1 - top.1);
        for step in &chart.steps {
            let nth = (step.day - chart.span.first).num_days() as f64 + 0.5;
            let x = left + nth / days * (right - left);
            let hit = drawn.iter().any(|p| {
                let dose = dose_at(&document, chart.unit, p.1);
                (p.0 - x).abs() <= 1.0 && (dose - step.total.nsv() as f64).abs() <= slack
            });
            let dashed = chart
                .steps
                .iter()
                .any(|s| s.undetermined && s.day <= step.day);
            assert!(hit || dashed, "{name}: {step:?} is not on the curve");
        }
        // And nothing else: each corner is zero or one of the totals.
        for (x, y) in drawn {
            let dose = dose_at(&document, chart.unit, y);
            let near = |nsv: i64| (dose - nsv as f64).abs() <= slack;
            let known = near(0) || chart.steps.iter().any(|s| near(s.total.nsv()));
            let first = chart.steps.iter().find(|s| s.undetermined).map(|s| s.day);
            let bound = first.is_some_and(|d| {
                x >= left + (d - chart.span.first).num_days() as f64 / days * (right - left)
            });
            assert!(known || bound, "{name}: the curve has {dose} nSv at {x}");
        }
    }
}

/// First and last x of the floor line.
fn field(document: &Document) -> (f64, f64) {
    let axes = layer(document, "axes");
    let floor = axes
        .descendants()
        .filter(|n| n.has_tag_name("polyline"))
        .map(points);
    let floor = floor.rev().find(|p| p.len() == 3).unwrap();
    (floor[1].0, floor[2].0)
}

/// The `n`th figure of the dose axis from below (or its last), with its height.
fn number_at(document: &Document, n: usize) -> (f64, f64) {
    let axis = texts(layer(document, "axes"));
    let zero = axis[0].2;
    let up = axis.iter().filter(|t| t.2 <= zero);
    let figures: Vec<_> = up.map(|t| (t.0.parse::<f64>().unwrap(), t.2)).collect();
    *figures.get(n).unwrap_or(figures.last().unwrap())
}

/// Where each reading's mark stands: a dot, the middle of a short upright, or a triangle.
fn marks(document: &Document) -> Vec<(f64, f64)> {
    let mut all = Vec::new();
    for node in layer(document, "marks").descendants() {
        match node.tag_name().name() {
            "circle" => all.push((number(node, "cx"), number(node, "cy"))),
            "polyline" => {
                let ends = points(node);
                all.push((ends[0].0, f64::midpoint(ends[0].1, ends[1].1)));
            }
            _ => {}
        }
    }
    for node in layer(document, "bounds")
        .descendants()
        .filter(|n| n.has_tag_name("polygon"))
    {
        let corners = points(node);
        // The outer triangle alone is this wide; its middle lies this far below its tip.
        if corners[1].0 - corners[0].0 == 38.0 {
            all.push((corners[2].0, corners[2].1 + 22.0));
        }
    }
    all
}

#[test]
fn each_reading_has_its_mark_at_its_day_and_total() {
    for (name, chart) in cases() {
        let svg = chart.svg().unwrap();
        let document = Document::parse(&svg).unwrap();
        let (left, right) = field(&document);
        let (zero, top) = (number_at(&document, 0), number_at(&document, usize::MAX));
        let slack = 1.5 * (top.0 - zero.0) * chart.unit.size() as f64 / (zero.1 - top.1);
        let marks = marks(&document);
        for step in &chart.steps {
            let nth = (step.day - chart.span.first).num_days() as f64 + 0.5;
            let x = left + nth / chart.span.days() as f64 * (right - left);
            let hit = marks.iter().any(|m| {
                let dose = dose_at(&document, chart.unit, m.1);
                (m.0 - x).abs() <= 1.0 && (dose - step.total.nsv() as f64).abs() <= slack
            });
            assert!(hit, "{name}: {step:?} has no mark");
        }
    }
}

#[test]
fn the_fan_runs_through_each_of_its_days_and_doses() {
    let chart = fanned();
    let svg = chart.svg().unwrap();
    let document = Document::parse(&svg).unwrap();
    let (left, right) = field(&document);
    let (zero, top) = (number_at(&document, 0), number_at(&document, usize::MAX));
    let slack = 1.5 * (top.0 - zero.0) * chart.unit.size() as f64 / (zero.1 - top.1);
    let fan = layer(&document, "fan");
    let edges: Vec<_> = fan
        .descendants()
        .filter(|n| n.has_tag_name("polyline"))
        .map(points)
        .filter(|it| it.len() == chart.fan.len())
        .collect();
    assert_eq!(edges.len(), 2, "a lower and an upper edge");
    for (at, point) in chart.fan.iter().enumerate() {
        let nth = (point.day - chart.span.first).num_days() as f64 + 0.5;
        let x = left + nth / chart.span.days() as f64 * (right - left);
        for (edge, dose) in edges.iter().zip([point.low, point.high]) {
            let (drawn_x, y) = edge[at];
            let drawn = dose_at(&document, chart.unit, y);
            assert!((drawn_x - x).abs() <= 1.0, "{point:?} at {drawn_x}");
            assert!((drawn - dose.nsv() as f64).abs() <= slack, "{drawn}");
        }
    }
    let said = "845 mrem to 1015 mrem with nine chances in ten, middle 925 mrem";
    assert!(svg.contains(said));
}

#[test]
fn a_step_that_is_lower_bound_only_has_its_triangle_at_its_total() {
    let cases = cases();
    let (_, chart) = cases.iter().find(|c| c.0 == "off-scale").unwrap();
    let svg = chart.svg().unwrap();
    let document = Document::parse(&svg).unwrap();
    let bounds = layer(&document, "bounds");
    let shapes = bounds
        .descendants()
        .filter(|n| n.has_tag_name("polygon"))
        .count();
    // A triangle is two shapes, an arrow's head one.
    assert_eq!(shapes, 3 * 3);
    let words: Vec<_> = texts(bounds).into_iter().map(|t| t.0).collect();
    assert!(
        words.contains(&"at least 390 mrem by 2026-07-04".to_owned()),
        "{words:?}"
    );
    assert!(words.contains(&"at least".to_owned()), "{words:?}");
    let all = document
        .root_element()
        .descendants()
        .filter_map(|n| n.text())
        .collect::<String>();
    assert!(all.contains("Undetermined: 2026-04-05, 2026-04-14, 2026-06-19."));
    assert!(!all.contains(" 390 mrem by") || all.contains("at least 390 mrem by"));
}

#[test]
fn every_drawing_is_well_formed_and_says_what_it_shows() {
    for (name, chart) in cases() {
        let svg = chart.svg().unwrap();
        let document = Document::parse(&svg).unwrap_or_else(|e| panic!("{name}: {e}"));
        let root = document.root_element();
        assert_eq!(root.attribute("role"), Some("img"), "{name}");
        assert_eq!(root.attribute("width"), Some("160.0mm"), "{name}");
        let child = |tag| {
            root.children()
                .find(|n| n.has_tag_name(tag))
                .and_then(|n| n.text())
        };
        assert_eq!(child("title"), Some(chart.title.as_str()), "{name}");
        let said = child("desc").unwrap();
        for wanted in [
            &chart.quantity,
            &chart.caution,
            &chart.total().display(chart.unit),
        ] {
            assert!(
                said.contains(wanted.as_str()),
                "{name}: `{wanted}` is not in: {said}"
            );
        }
        let shares = texts(layer(&document, "shares"));
        for level in &chart.levels {
            let whole = level.dose.display(chart.unit);
            assert!(said.contains(&whole), "{name}: {whole}");
            assert!(
                shares.iter().any(|t| t.0.contains(&whole)),
                "{name}: {whole}"
            );
        }
        assert!(
            svg.is_ascii() || !chart.title.is_ascii(),
            "{name}: axes and words are ASCII"
        );
    }
}

#[test]
fn every_year_can_be_read() {
    for (name, chart) in cases() {
        readable(name, &chart.svg().unwrap());
    }
}

#[test]
fn a_level_whose_figure_is_a_lower_bound_says_so_though_the_curve_is_settled() {
    let mut chart = quiet_year();
    chart.steps = steps(4, 10, 4);
    chart.levels[0].at_least = true;
    let svg = chart.svg().unwrap();
    let document = Document::parse(&svg).unwrap();
    let shares = texts(layer(&document, "shares"));
    let bounds = shares.iter().filter(|it| it.0.starts_with("at least "));
    assert_eq!(bounds.count(), 1, "{shares:?}");
}

#[test]
fn a_bar_is_as_long_as_its_share() {
    for (name, chart) in cases() {
        let svg = chart.svg().unwrap();
        let document = Document::parse(&svg).unwrap();
        let shares = layer(&document, "shares");
        let ends = |p: &Vec<(f64, f64)>| (p[0].0, p[1].0);
        let frames: Vec<_> = shares
            .descendants()
            .filter(|n| n.has_tag_name("polyline"))
            .map(points)
            .filter(|p| p.len() == 5)
            .map(|p| ends(&p))
            .collect();
        assert_eq!(frames.len(), chart.levels.len(), "{name}");
        let bars: Vec<_> = shares
            .descendants()
            .filter(|n| n.has_tag_name("rect"))
            .filter(|n| number(*n, "x") == frames[0].0)
            .map(|n| number(n, "width"))
            .collect();
        for ((level, (left, full)), bar) in chart.levels.iter().zip(&frames).zip(bars) {
            let used = level.used(chart.total()).nsv() as f64 / level.dose.nsv() as f64;
            // Past five quarters of the level the bar ends in a point.
            let wanted = used.min(1.25) * (full - left);
            assert!((bar - wanted).abs() <= 2.0, "{name}: {bar} for {wanted}");
        }
    }
}

#[test]
fn marks_are_one_for_each_reading_and_levels_one_line_each() {
    let cases = cases();
    let find = |wanted: &str| {
        cases
            .iter()
            .find(|c| c.0 == wanted)
            .unwrap()
            .1
            .svg()
            .unwrap()
    };
    let count = |svg: &str, class: &str, tag: &str| {
        let document = Document::parse(svg).unwrap();
        layer(&document, class)
            .descendants()
            .filter(|n| n.has_tag_name(tag))
            .count()
    };
    // Six filled dots; eight rings of two circles.
    assert_eq!(count(&find("sparse"), "marks", "circle"), 6 + 2 * 8);
    assert_eq!(count(&find("busy"), "marks", "polyline"), 170);
    assert_eq!(count(&find("off-scale"), "marks", "polyline"), 57);
    let stacked = find("stacked");
    let document = Document::parse(&stacked).unwrap();
    let words = texts(layer(&document, "levels"));
    for mrem in [490, 495, 500, 505, 510] {
        assert!(
            words.iter().any(|t| t.0 == format!("{mrem} mrem")),
            "{mrem}: {words:?}"
        );
    }
}

#[test]
fn a_far_limit_leaves_the_curve_its_height() {
    for (name, chart) in cases() {
        // A forecast has its own height.
        if chart.steps.is_empty() || !chart.fan.is_empty() {
            continue;
        }
        let svg = chart.svg().unwrap();
        let document = Document::parse(&svg).unwrap();
        let (floor, ceiling) = (
            number_at(&document, 0).1,
            number_at(&document, usize::MAX).1,
        );
        let peak = curve(&document)
            .into_iter()
            .map(|p| p.1)
            .fold(f64::MAX, f64::min);
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
