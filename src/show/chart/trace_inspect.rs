//! Tests of the time line of an event and of the ranking's bars: what is plotted is what was
//! given, and it can be read.

use resvg::usvg::roxmltree::{Document, Node};

use super::ranking::{RankBar, RankingChart};
use super::trace::{Lane, Measured, Sign, TraceChart};
use super::{ChartError, style};
use crate::calendar::Day;
use crate::quantity::{Amount, AmountUnit};

fn day(text: &str) -> Day {
    crate::calendar::parse_day(text).unwrap()
}

fn count(text: &str) -> i64 {
    Amount::parse(text, None).unwrap().count()
}

fn chart() -> TraceChart {
    let marks = [
        ("2025-03-10", "6 mm", Sign::Good),
        ("2025-09-08", "5.9 mm", Sign::Good),
        ("2026-05-09", "5.75 mm", Sign::Beyond),
        ("2026-05-12", "6 mm", Sign::Claimed),
    ];
    TraceChart {
        title: "E-1: drive cable of CU-02".to_owned(),
        fitted: Some(day("2025-02-26")),
        first: day("2025-02-26"),
        event: day("2026-05-19"),
        lanes: vec![
            Lane {
                name: "cable-diameter: can detect; passed beyond limit".to_owned(),
                signs: marks.iter().map(|(on, _, sign)| (day(on), *sign)).collect(),
            },
            Lane {
                name: "crank: not established; left out".to_owned(),
                signs: vec![
                    (day("2025-04-01"), Sign::Daily),
                    (day("2025-05-01"), Sign::Defect),
                    (day("2025-06-01"), Sign::NotDone),
                    (day("2025-07-01"), Sign::Changed),
                ],
            },
        ],
        measured: Some(Measured {
            name: "cable-diameter: the diameter".to_owned(),
            unit: AmountUnit::of("1 mm").unwrap(),
            limit: count("5.8 mm"),
            bad_below: true,
            warn: Some(count("5.9 mm")),
            step: count("0.1 mm"),
            marks: marks
                .iter()
                .map(|(on, value, sign)| (day(on), count(value), *sign))
                .collect(),
            line: vec![
                (day("2025-03-10"), count("6 mm")),
                (day("2026-05-19"), count("5.74 mm")),
            ],
        }),
        uses: vec![(day("2025-03-11"), 40), (day("2026-05-18"), 33)],
        notes: vec!["an estimate".to_owned()],
        caution: "Check your manual.".to_owned(),
    }
}

fn layer<'a>(document: &'a Document, class: &str) -> Node<'a, 'a> {
    document
        .descendants()
        .find(|n| n.attribute("class") == Some(class))
        .unwrap()
}

fn number(node: Node, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

fn ends(node: Node) -> Vec<(f64, f64)> {
    let pair = |p: &str| {
        let (x, y) = p.split_once(',').unwrap();
        (x.parse().unwrap(), y.parse().unwrap())
    };
    let list = node.attribute("points").unwrap();
    list.split_whitespace().map(pair).collect()
}

fn texts(document: &Document) -> Vec<String> {
    let all = document.descendants().filter(|n| n.has_tag_name("text"));
    all.map(|n| n.text().unwrap().trim().to_owned()).collect()
}

#[test]
fn a_figure_stands_at_its_day_and_height() {
    let svg = chart().svg().unwrap();
    let document = Document::parse(&svg).unwrap();
    // The limit is a level line; the grid's figures give the height of a tenth.
    let levels = layer(&document, "levels");
    let limit = levels
        .descendants()
        .filter(|n| n.has_tag_name("polyline"))
        .map(ends)
        .find(|it| it.len() == 2 && (it[0].1 - it[1].1).abs() < 0.5)
        .unwrap()[0]
        .1;
    let axes = layer(&document, "axes");
    let up = |text: &str| {
        let all = axes.descendants().filter(|n| n.has_tag_name("text"));
        let node = all.into_iter().find(|n| n.text().unwrap().trim() == text);
        number(node.unwrap(), "y")
    };
    let (a, b) = (up("5.7 mm"), up("6 mm"));
    let at = |value: f64| a + (value - 5.7) / 0.3 * (b - a);
    let marks: Vec<(f64, f64)> = layer(&document, "marks")
        .descendants()
        .filter(|n| n.has_tag_name("circle"))
        .map(|n| (number(n, "cx"), number(n, "cy")))
        .collect();
    assert_eq!(marks.len(), 3, "a claimed figure has another sign");
    // A text stands a little below its middle.
    let low = limit - at(5.8);
    for ((_, y), value) in marks.iter().zip([6.0, 5.9, 5.75]) {
        assert!((y - at(value) - low).abs() < 2.0, "{value}: {y}");
    }
    // Days run evenly: 182 days from the first to the second, 243 to the third.
    let (one, two) = (marks[1].0 - marks[0].0, marks[2].0 - marks[1].0);
    assert!((one / two - 182.0 / 243.0).abs() < 0.01, "{one} {two}");
}

#[test]
fn each_sort_of_look_has_a_sign_of_its_own_and_stands_in_the_legend() {
    let svg = chart().svg().unwrap();
    let document = Document::parse(&svg).unwrap();
    let words = texts(&document);
    for sign in Sign::ALL {
        assert!(words.iter().any(|it| it == sign.words()), "{sign:?}");
    }
    let lanes = layer(&document, "lanes");
    let count = |tag: &str| lanes.descendants().filter(|n| n.has_tag_name(tag)).count();
    assert_eq!(count("circle"), 3, "good, good, beyond");
    assert_eq!(count("polygon"), 2, "claimed, changed");
    let ranking: Vec<&String> = words
        .iter()
        .filter(|it| it.contains("can detect"))
        .collect();
    assert_eq!(ranking.len(), 1);
}

#[test]
fn cycles_run_from_the_first_day_and_end_at_the_event() {
    let svg = chart().svg().unwrap();
    let document = Document::parse(&svg).unwrap();
    let words = texts(&document);
    assert!(words.contains(&"73".to_owned()), "{words:?}");
    assert!(words.contains(&"40".to_owned()), "{words:?}");
    assert!(words.contains(&"event 2026-05-19".to_owned()));
    assert!(words.contains(&"fitted 2025-02-26".to_owned()));
    let told = document.descendants().find(|n| n.has_tag_name("desc"));
    let told = told.unwrap().text().unwrap();
    for part in [
        "5.75 mm (beyond)",
        "at least 73",
        "claimed",
        "Check your manual.",
    ] {
        assert!(told.contains(part), "{part}: {told}");
    }
}

/// Nothing is cut off at the edge of the paper.
#[test]
fn everything_stands_on_the_paper() {
    let mut long = chart();
    long.lanes = (0..6)
        .map(|n| Lane {
            name: format!(
                "a-key-of-an-item-{n}: {}",
                "words that run on and on ".repeat(9)
            ),
            signs: vec![(day("2026-05-19"), Sign::Claimed), (long.first, Sign::Good)],
        })
        .collect();
    let bars = (0..12)
        .map(|n| RankBar {
            name: format!(
                "an-item-with-a-long-key-{n}, {}",
                "exposure device ".repeat(4)
            ),
            caught: n * 40,
            let_through: 500 - n * 40,
            share: Some([0, 50, 100]),
        })
        .collect();
    let ranking = RankingChart {
        bars,
        notes: vec!["few events prove little".to_owned()],
    };
    for svg in [chart().svg(), long.svg(), ranking.svg()] {
        let svg = svg.unwrap();
        let document = Document::parse(&svg).unwrap();
        let root = document.root_element();
        let high: f64 = root
            .attribute("viewBox")
            .unwrap()
            .split(' ')
            .nth(3)
            .unwrap()
            .parse()
            .unwrap();
        let inside = |x: f64, y: f64| {
            assert!((0.0..=f64::from(style::WIDTH)).contains(&x), "x {x}");
            assert!((0.0..=high).contains(&y), "y {y} of {high}");
        };
        for node in document.descendants() {
            match node.tag_name().name() {
                "circle" => inside(number(node, "cx"), number(node, "cy")),
                "polyline" | "polygon" => ends(node).iter().for_each(|it| inside(it.0, it.1)),
                "text" => {
                    let size = number(node, "font-size").ceil() as i32;
                    let wide = f64::from(super::words::width(node.text().unwrap().trim(), size));
                    let (x, y) = (number(node, "x"), number(node, "y"));
                    let (left, right) = match node.attribute("text-anchor") {
                        Some("end") => (x - wide, x),
                        Some("middle") => (x - wide / 2.0, x + wide / 2.0),
                        _ => (x, x + wide),
                    };
                    inside(left, y);
                    inside(right, y);
                }
                _ => {}
            }
        }
    }
}

#[test]
fn a_bar_is_as_long_as_its_events() {
    let bar = |caught, let_through| RankBar {
        name: "an item".to_owned(),
        caught,
        let_through,
        share: None,
    };
    let chart = RankingChart {
        bars: vec![bar(3, 1), bar(0, 2)],
        notes: Vec::new(),
    };
    let svg = chart.svg().unwrap();
    let document = Document::parse(&svg).unwrap();
    let bars = layer(&document, "bars");
    let rect = bars.descendants().find(|n| n.has_tag_name("rect")).unwrap();
    let caught = number(rect, "width");
    let through: Vec<f64> = bars
        .descendants()
        .filter(|n| n.has_tag_name("polyline"))
        .map(|n| {
            let ends = ends(n);
            let xs = ends.iter().map(|it| it.0);
            xs.clone().fold(0.0, f64::max) - xs.fold(f64::MAX, f64::min)
        })
        .collect();
    assert_eq!(through.len(), 2);
    assert!(
        (caught / through[0] - 3.0).abs() < 0.05,
        "{caught} {through:?}"
    );
    assert!((through[1] / through[0] - 2.0).abs() < 0.05, "{through:?}");
}

#[test]
fn an_event_before_the_first_day_is_refused() {
    let mut chart = chart();
    chart.event = day("2025-02-25");
    assert!(matches!(chart.svg(), Err(ChartError::Backwards { .. })));
}
