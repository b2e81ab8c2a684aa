//! Tests of the time line of an event and of the ranking's bars: what is plotted is what was
//! given, and it can be read.

use super::ChartError;
use super::inspect::{Drawing, number};
use super::ranking::{RankBar, RankingChart};
use super::trace::{Lane, Measured, Sign, TraceChart};
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
        installed: Some(day("2025-02-26")),
        first: day("2025-02-26"),
        event: day("2026-05-19"),
        lanes: vec![
            Lane {
                name: "cable-diameter: can detect; passed although out of limit".to_owned(),
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
        caution: "Caution: check your manual.".to_owned(),
    }
}

pub(super) fn drawings() -> Vec<(String, String)> {
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
    let mut bare = chart();
    bare.measured = None;
    (bare.installed, bare.first) = (None, day("2026-05-01"));
    bare.lanes.iter_mut().for_each(|it| it.signs.clear());
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
    let ranking = |bars| RankingChart {
        bars,
        notes: vec!["few events prove little".to_owned()],
    };
    [
        ("trace", chart().svg()),
        ("trace-long", long.svg()),
        ("trace-bare", bare.svg()),
        ("ranking", ranking(bars).svg()),
        ("ranking-few", ranking(vec![bar(3, 1), bar(0, 2)]).svg()),
        ("ranking-none", ranking(Vec::new()).svg()),
    ]
    .map(|(name, svg)| (name.to_owned(), svg.unwrap()))
    .to_vec()
}

fn bar(caught: u64, let_through: u64) -> RankBar {
    RankBar {
        name: "an item".to_owned(),
        caught,
        let_through,
        share: None,
    }
}

#[test]
fn a_figure_stands_at_its_day_and_height_and_the_limit_at_its_own() {
    let chart = chart();
    let svg = chart.svg().unwrap();
    let drawing = Drawing::of(&svg);
    let millimetres = drawing.ruler(true).0;
    let limit = drawing.lines("levels")[0][0].1;
    assert!((millimetres(limit) - 5.8).abs() < 0.005);
    let marks = drawing.marks("marks");
    assert_eq!(marks.len(), 4, "{marks:?}");
    for ((_, y), wanted) in marks.iter().zip([6.0, 5.9, 5.75, 6.0]) {
        assert!((millimetres(*y) - wanted).abs() < 0.005, "{wanted}: {y}");
    }
    // Days run evenly: 182 days from the first to the second, 243 to the third.
    let (one, two) = (marks[1].0 - marks[0].0, marks[2].0 - marks[1].0);
    assert!((one / two - 182.0 / 243.0).abs() < 0.01, "{one} {two}");
}

#[test]
fn each_kind_of_inspection_has_a_sign_of_its_own_and_stands_in_the_legend() {
    let svg = chart().svg().unwrap();
    let drawing = Drawing::of(&svg);
    let words = drawing.words("legend");
    for sign in Sign::ALL {
        assert!(words.iter().any(|it| it == sign.words()), "{sign:?}");
    }
    assert_eq!(drawing.count("lanes", "circle"), 3, "good, good, beyond");
    assert_eq!(
        drawing.count("lanes", "polygon"),
        3,
        "claimed open, changed full"
    );
    let lanes = drawing.words("lanes");
    assert!(lanes[0].contains("can detect"), "{lanes:?}");
}

#[test]
fn cycles_run_from_the_first_day_and_end_at_the_event() {
    let svg = chart().svg().unwrap();
    let drawing = Drawing::of(&svg);
    let words = drawing.words("under");
    for count in ["73", "40", "0"] {
        assert!(words.iter().any(|it| it == count), "{count}: {words:?}");
    }
    let ends = drawing.words("ends");
    assert_eq!(ends, ["installed 2025-02-26", "event 2026-05-19"]);
    let told = drawing.told();
    for part in ["5.75 mm (beyond)", "at least 73", "late entry"] {
        assert!(told.contains(part), "{part}: {told}");
    }
}

#[test]
fn a_bar_is_as_long_as_its_events() {
    let chart = RankingChart {
        bars: vec![bar(3, 1), bar(0, 2)],
        notes: Vec::new(),
    };
    let svg = chart.svg().unwrap();
    let drawing = Drawing::of(&svg);
    let bars = drawing.frames("bars");
    let long: Vec<f64> = bars.iter().map(|it| it[2] - it[0]).collect();
    assert_eq!(long.len(), 3, "three caught, one and two let through");
    assert!((long[0] / long[1] - 3.0).abs() < 0.05, "{long:?}");
    assert!((long[2] / long[1] - 2.0).abs() < 0.05, "{long:?}");
    let mut full = drawing.layer("bars").filter(|n| n.has_tag_name("rect"));
    assert_eq!(full.next().map(|n| number(n, "width")), Some(long[0]));
    assert!(full.next().is_none(), "what was let through is hollow");
}

#[test]
fn an_event_before_the_first_day_is_refused() {
    let mut chart = chart();
    chart.event = day("2025-02-25");
    assert!(matches!(chart.svg(), Err(ChartError::Backwards { .. })));
}
