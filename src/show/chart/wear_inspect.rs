//! Tests of wear charts: what is plotted is what was given.

use super::inspect::{Drawing, number};
use super::png;
use super::wear::{BandPoint, Mark, WearChart};
use super::wear_cases::cases;
use crate::quantity::Amount;

pub(super) fn drawings() -> Vec<(String, String)> {
    let all = cases().into_iter();
    all.map(|(name, chart)| {
        let hostile = if name == "long" { "hostile-" } else { "" };
        (format!("{hostile}wear-{name}"), chart.svg().unwrap())
    })
    .collect()
}

/// How far cycles and counts of a place are from those wanted, in units of the paper.
fn off(drawing: &Drawing, chart: &WearChart) -> impl Fn((f64, f64), (i64, i64)) -> f64 {
    let ((across, per_cycle), (up, per_count)) = (drawing.ruler(false), drawing.ruler(true));
    let size = chart.unit.size() as f64;
    move |(x, y), (cycles, count)| {
        let aside = (across(x) - cycles as f64).abs() / per_cycle;
        aside.max((up(y) - count as f64 / size).abs() / per_count)
    }
}

#[test]
fn each_measure_has_one_mark_at_its_cycles_and_figure() {
    for (name, chart) in cases() {
        let svg = chart.svg().unwrap();
        let drawing = Drawing::of(&svg);
        let off = off(&drawing, &chart);
        let drawn = drawing.marks("marks");
        let given: Vec<&Mark> = chart.parts.iter().flat_map(|part| &part.marks).collect();
        let patch = usize::from(given.is_empty());
        assert_eq!(drawn.len(), given.len() + patch, "{name}");
        for (mark, place) in given.iter().zip(drawn) {
            let far = off(place, (mark.cycles, mark.count));
            assert!(far <= 2.0, "{name}: {mark:?} {place:?} is off by {far}");
        }
    }
}

#[test]
fn a_measure_beyond_the_limit_is_crossed_and_one_at_it_is_not() {
    let cases = cases();
    let (_, chart) = cases.iter().find(|it| it.0 == "beyond").unwrap();
    let svg = chart.svg().unwrap();
    let drawing = Drawing::of(&svg);
    assert_eq!(
        drawing.lines("marks").len(),
        2,
        "the two strokes of one cross"
    );
    let told = drawing.told();
    assert!(told.contains("5.75 mm (beyond the limit)"));
    assert!(told.contains("5.8 mm;") && !told.contains("5.8 mm (beyond"));
}

#[test]
fn lines_and_bands_run_through_what_was_given_and_show_inside_the_field_alone() {
    for (name, chart) in cases() {
        let svg = chart.svg().unwrap();
        let drawing = Drawing::of(&svg);
        let off = off(&drawing, &chart);
        let [left, top, right, foot] = drawing.field();
        for class in ["lines", "bands"] {
            for node in drawing.layer(class).filter(|n| n.has_tag_name("clipPath")) {
                let field = node.first_element_child().unwrap();
                let (x, y) = (number(field, "x"), number(field, "y"));
                let inside = x >= left - 1.5 && x + number(field, "width") <= right + 1.5;
                assert!(inside, "{name}: {class} shows beyond the sides");
                let inside = y >= top - 1.5 && y + number(field, "height") <= foot + 1.5;
                assert!(inside, "{name}: {class} shows above or below");
            }
        }
        let through =
            |line: &Vec<(f64, f64)>, points: &[BandPoint], pick: fn(&BandPoint) -> i64| {
                let pairs = line.iter().zip(points);
                line.len() == points.len()
                    && pairs
                        .clone()
                        .all(|(at, it)| off(*at, (it.cycles, pick(it))) <= 2.0)
            };
        let (lines, bands) = (drawing.lines("lines"), drawing.lines("bands"));
        let installed = chart.parts.iter().filter(|it| !it.band.is_empty());
        assert_eq!(bands.len(), 2 * installed.clone().count(), "{name}");
        for part in installed {
            let band = &part.band;
            assert!(
                lines.iter().any(|it| through(it, band, |it| it.line)),
                "{name}"
            );
            assert!(
                bands.iter().any(|it| through(it, band, |it| it.lower)),
                "{name}"
            );
            assert!(
                bands.iter().any(|it| through(it, band, |it| it.upper)),
                "{name}"
            );
        }
    }
}

#[test]
fn a_line_is_dashed_from_the_last_measure_on() {
    let mut dashed = 0;
    for (name, chart) in cases() {
        let svg = chart.svg().unwrap();
        let drawing = Drawing::of(&svg);
        let (cycles, unit) = drawing.ruler(false);
        for node in drawing.layer("lines") {
            if node.attribute("stroke-dasharray").is_none() {
                continue;
            }
            dashed += 1;
            let clip = node.parent().unwrap().first_element_child().unwrap();
            let from = cycles(number(clip.first_element_child().unwrap(), "x"));
            let mut parts = chart.parts.iter();
            let known = parts.any(|part| {
                let last = part.marks.iter().map(|it| it.cycles).max();
                last.is_some_and(|it| (it as f64 - from).abs() <= 2.0 * unit)
            });
            assert!(known, "{name}: dashed from {from}");
        }
    }
    assert!(dashed > 1);
}

#[test]
fn levels_today_and_breaks_stand_at_their_figures() {
    for (name, chart) in cases() {
        let svg = chart.svg().unwrap();
        let drawing = Drawing::of(&svg);
        let size = chart.unit.size() as f64;
        let stands = |class: &str, up: bool, wanted: f64| {
            let (value, unit) = drawing.ruler(up);
            drawing.lines(class).iter().any(|line| {
                let (from, to) = (line[0], line[1]);
                let (at, straight) = match up {
                    true => (from.1, from.1 == to.1),
                    false => (from.0, from.0 == to.0),
                };
                straight && (value(at) - wanted).abs() <= 2.0 * unit
            })
        };
        for level in [Some(chart.limit), chart.warn, chart.nominal]
            .into_iter()
            .flatten()
        {
            assert!(
                stands("levels", true, level as f64 / size),
                "{name}: {level}"
            );
        }
        assert!(stands("today", false, chart.cycles_now as f64), "{name}");
        for part in chart.parts.iter().filter(|it| it.installed.is_some()) {
            assert!(
                stands("breaks", false, part.from as f64),
                "{name}: {}",
                part.from
            );
        }
    }
}

#[test]
fn the_words_of_a_wear_chart_have_every_part_and_every_measure() {
    for (name, chart) in cases() {
        let svg = chart.svg().unwrap();
        let drawing = Drawing::of(&svg);
        let show = |count| Amount::from_count(chart.unit.kind(), count).display(chart.unit);
        let mut wanted = vec![chart.outlook.clone(), show(chart.limit)];
        for part in &chart.parts {
            wanted.extend(part.installed.map(|day| format!("Part installed {day}")));
            let each = part.marks.iter();
            wanted.extend(
                each.map(|it| format!("{} at {} cycles {}", it.day, it.cycles, show(it.count))),
            );
        }
        for part in wanted {
            let told = drawing.told();
            assert!(told.contains(&part), "{name}: `{part}` is not in: {told}");
        }
        let json = serde_json::to_string(&chart).unwrap();
        assert!(json.contains("\"cycles_now\""), "{name}");
    }
}

#[test]
fn odd_figures_are_drawn_without_a_fault() {
    let mut odd = cases().swap_remove(2).1;
    odd.parts[0].marks[0].count = i64::MAX;
    odd.parts[0].marks[1].cycles = i64::MAX;
    odd.parts[0].band[3].lower = i64::MIN;
    odd.step = 0;
    let svg = odd.svg().unwrap();
    assert!(png::png(&svg, 300).is_ok());
    odd.parts.clear();
    let svg = odd.svg().unwrap();
    assert!(svg.contains("never measured"));
}
