//! Tests of the drawings about the whole crew: what is plotted is what was given.

use resvg::usvg::roxmltree::Document;

use super::ChartError;
use super::cases::{day, mrem_of};
use super::crew_bars::{CrewBars, PersonRow, RowLevel};
use super::due_days::{DueDays, DueRow, DueType};
use super::inspect::{Drawing, number};
use super::months::{Month, Months};
use super::scatter::{Point, PointType, Scatter};
use super::worker_year::Type;
use crate::calendar::Span;
use crate::quantity::{Dose, DoseUnit};

const CAUTION: &str = "Caution: your license and your RSO have the last word.";

fn person(label: &str, mrem: [i64; 4], at_least: bool, limit: i64) -> PersonRow {
    let [of_record, provisional, other, conservative] = mrem.map(mrem_of);
    let level = |label: &str, mrem, kind| RowLevel {
        label: label.to_owned(),
        dose: mrem_of(mrem),
        kind,
    };
    PersonRow {
        label: label.to_owned(),
        of_record,
        provisional,
        other,
        conservative,
        at_least,
        levels: vec![
            level("limit, licensee year", limit, Type::Limit),
            level("administrative", 400, Type::Administrative),
        ],
    }
}

fn crew() -> CrewBars {
    CrewBars {
        title: "Crew, deep dose".to_owned(),
        caption: "In mrem, as of 2026-06-05".to_owned(),
        unit: DoseUnit::Millirem,
        rows: vec![
            person("W01 Ada Example", [100, 40, 0, 140], false, 5000),
            person("W02 Ben <Example> & Sons", [0, 0, 0, 0], false, 5000),
            person("W03 A Minor", [30, 20, 10, 90], false, 500),
            person("W04 Zoe", [300, 100, 0, 450], true, 5000),
            person(&"W05 name ".repeat(12), [1, 0, 0, 1], false, 5000),
        ],
        notes: vec!["a note".to_owned()],
        caution: CAUTION.to_owned(),
    }
}

fn collective() -> Months {
    let month = |first: &str, last: &str, mrem: [i64; 3], at_least| {
        let [of_record, provisional, other] = mrem.map(mrem_of);
        Month {
            first: day(first),
            last: day(last),
            of_record,
            provisional,
            other,
            at_least,
        }
    };
    Months {
        title: "Collective deep dose".to_owned(),
        span: Span {
            first: day("2026-01-01"),
            last: day("2026-04-30"),
        },
        unit: DoseUnit::Millirem,
        months: vec![
            month("2026-01-01", "2026-01-31", [1200, 0, 0], false),
            month("2026-02-01", "2026-02-28", [700, 333, 12], false),
            month("2026-03-01", "2026-03-31", [0, 900, 0], true),
            month("2026-04-01", "2026-04-30", [0, 0, 0], false),
        ],
        total: "Together: at least 3145 mrem".to_owned(),
        today: day("2026-04-02"),
        notes: Vec::new(),
        caution: CAUTION.to_owned(),
    }
}

fn scatter() -> Scatter {
    let point = |label: &str, result, readings, below_minimum, kind| Point {
        label: label.to_owned(),
        result: mrem_of(result),
        below_minimum,
        readings: mrem_of(readings),
        kind,
    };
    Scatter {
        quantity: "Deep dose".to_owned(),
        title: "Readings against badges".to_owned(),
        unit: DoseUnit::Millirem,
        points: vec![
            point("W01 B-1", 100, 95, false, PointType::Within),
            point("W02 B-2", 10, 4, true, PointType::Within),
            point("W03 B-3", 200, 80, false, PointType::Beyond),
            point("W04 B-4", 60, 190, false, PointType::Beyond),
            point("W05 B-5", 150, 20, false, PointType::Incomplete),
            point("W06 B-6", 62, 191, false, PointType::Beyond),
        ],
        band_permille: Some(250),
        minimum: Some(mrem_of(20)),
        notes: Vec::new(),
        caution: CAUTION.to_owned(),
    }
}

fn due() -> DueDays {
    let row = |on: Option<&str>, kind, what: &str, items: &[&str]| DueRow {
        day: on.map(day),
        kind,
        what: what.to_owned(),
        items: items.iter().map(|it| (*it).to_owned()).collect(),
    };
    let many: Vec<String> = (1..=20).map(|n| format!("PD-{n:02}")).collect();
    let many: Vec<&str> = many.iter().map(String::as_str).collect();
    DueDays {
        title: "What falls due".to_owned(),
        first: day("2026-06-05"),
        last: day("2026-09-03"),
        rows: vec![
            row(None, DueType::Person, "refresher training", &["W13"]),
            row(Some("2026-06-05"), DueType::Badge, "exchange", &["W01 B-1"]),
            row(
                Some("2026-07-20"),
                DueType::Instrument,
                "response check",
                &many,
            ),
            row(
                Some("2026-09-03"),
                DueType::Equipment,
                "leak test",
                &["SA-1"],
            ),
        ],
        notes: Vec::new(),
        caution: CAUTION.to_owned(),
    }
}

pub(super) fn drawings() -> Vec<(String, String)> {
    let mut nobody = crew();
    nobody.rows.clear();
    let mut quiet = collective();
    quiet.months.clear();
    let mut bare = scatter();
    bare.points.clear();
    (bare.band_permille, bare.minimum) = (None, None);
    let mut idle = due();
    idle.rows.clear();
    let mut hostile = crew();
    let name = "W09 \u{202e}<script>\u{1}&\"'\u{416}\u{141} ".repeat(9);
    hostile.rows[1].label = name.clone();
    hostile.title = name.clone();
    let mut listed = scatter();
    listed
        .points
        .iter_mut()
        .for_each(|it| it.label = name.clone());
    let mut wordy = due();
    wordy.rows.iter_mut().for_each(|it| it.what = name.clone());
    [
        ("crew", crew().svg()),
        ("crew-nobody", nobody.svg()),
        ("collective", collective().svg()),
        ("collective-quiet", quiet.svg()),
        ("scatter", scatter().svg()),
        ("scatter-bare", bare.svg()),
        ("due", due().svg()),
        ("due-idle", idle.svg()),
        ("hostile-crew", hostile.svg()),
        ("hostile-scatter", listed.svg()),
        ("hostile-due", wordy.svg()),
    ]
    .map(|(name, svg)| (name.to_owned(), svg.unwrap()))
    .to_vec()
}

#[test]
fn each_part_of_a_persons_bar_is_as_long_as_its_dose() {
    let chart = crew();
    let svg = chart.svg().unwrap();
    let drawing = Drawing::of(&svg);
    let mrem = drawing.ruler(false).0;
    let bars = drawing.frames("bars");
    let wanted: Vec<f64> = chart
        .rows
        .iter()
        .flat_map(|it| [it.of_record, it.provisional, it.other])
        .filter(|it| *it > Dose::ZERO)
        .map(|it| it.nsv() as f64 / 10_000.0)
        .collect();
    assert_eq!(bars.len(), wanted.len());
    for (bar, wanted) in bars.iter().zip(&wanted) {
        let drawn = mrem(bar[2]) - mrem(bar[0]);
        assert!((drawn - wanted).abs() <= 1.0, "{drawn} for {wanted}");
    }
    // Bars of one person follow each other without a gap.
    assert_eq!(bars[0][2], bars[1][0]);
    let names = drawing.words("names");
    for words in ["140 mrem", "at least 400 mrem (!)", "60 mrem", "0 mrem"] {
        assert!(names.iter().any(|it| it == words), "{words}: {names:?}");
    }
}

#[test]
fn a_level_stands_in_the_rows_of_those_for_whom_it_holds() {
    let svg = crew().svg().unwrap();
    let drawing = Drawing::of(&svg);
    let mrem = drawing.ruler(false).0;
    let lines = drawing.lines("levels");
    let at = |wanted: f64| {
        lines
            .iter()
            .filter(move |it| (mrem(it[0].0) - wanted).abs() < 2.0)
    };
    // The minor's limit, in one row; the limit of the others is right of the picture.
    let [solid] = at(500.0).collect::<Vec<_>>()[..] else {
        panic!("{lines:?}")
    };
    let names = drawing.texts("names");
    let minor = names.iter().find(|it| it.0 == "W03 A Minor").unwrap();
    let (from, to) = (solid[0].1, solid[1].1);
    assert!(from < minor.2 && minor.2 < to && to - from < 50.0);
    assert!(
        lines
            .iter()
            .any(|it| (drawing.ruler(false).0(it[0].0) - 400.0).abs() < 2.0)
    );
    let legend = drawing.words("legend");
    let said = |words: &str| legend.iter().any(|it| it == words);
    assert!(said("limit, licensee year 500 mrem (1 of 5)"), "{legend:?}");
    assert!(said(
        "limit, licensee year 5000 mrem (4 of 5), right of the picture"
    ));
}

#[test]
fn each_part_of_a_month_is_as_high_as_its_dose() {
    let chart = collective();
    let svg = chart.svg().unwrap();
    let drawing = Drawing::of(&svg);
    let mrem = drawing.ruler(true).0;
    let bars = drawing.frames("bars");
    let wanted = [1200.0, 700.0, 333.0, 12.0, 900.0];
    assert_eq!(bars.len(), wanted.len());
    for (bar, wanted) in bars.iter().zip(wanted) {
        let drawn = mrem(bar[1]) - mrem(bar[3]);
        assert!((drawn - wanted).abs() <= 4.0, "{drawn} for {wanted}");
    }
    // 1045 is printed rounded up, never down; a lower bound says so.
    assert_eq!(drawing.words("figures"), ["1200", "1050", ">= 900"]);
    let told = "2026-02-01 to 2026-02-28: 1045 mrem, of record 700 mrem";
    assert!(drawing.told().contains(told));
    let backwards = Months {
        span: Span {
            first: day("2026-02-01"),
            last: day("2026-01-01"),
        },
        ..chart
    };
    assert!(matches!(backwards.svg(), Err(ChartError::Backwards { .. })));
}

#[test]
fn each_period_stands_at_its_result_and_its_readings() {
    let chart = scatter();
    let svg = chart.svg().unwrap();
    let drawing = Drawing::of(&svg);
    let (result, readings) = (drawing.ruler(false).0, drawing.ruler(true).0);
    let mut drawn = drawing.marks("marks");
    // The line of what is below a minimum is no mark.
    drawn.retain(|(x, y)| (result(*x), readings(*y)) != (5.0, 4.0));
    for point in &chart.points {
        let mrem = |dose: Dose| dose.nsv() as f64 / 10_000.0;
        let near = |(x, y): &(f64, f64)| {
            (result(*x) - mrem(point.result)).abs() <= 1.0
                && (readings(*y) - mrem(point.readings)).abs() <= 1.0
        };
        assert!(drawn.iter().any(near), "{point:?} is not in {drawn:?}");
    }
    assert_eq!(
        drawn.len(),
        chart.points.len() + 1,
        "and one line: {drawn:?}"
    );
}

#[test]
fn the_band_has_the_slopes_of_the_rule_set_and_what_is_beyond_is_named() {
    let svg = scatter().svg().unwrap();
    let drawing = Drawing::of(&svg);
    let slope = |it: &Vec<(f64, f64)>| (it[0].1 - it[1].1) / (it[1].0 - it[0].0);
    for (edge, wanted) in drawing.lines("band").iter().zip([1.25, 0.8]) {
        let found = slope(edge);
        assert!((found - wanted).abs() < 0.01, "{found} for {wanted}");
    }
    let list = drawing.words("list").join(" ");
    assert!(list.contains("1 W03 B-3: 80 against 200 mrem"), "{list}");
    assert!(list.contains("2 W04 B-4: 190 against 60 mrem"), "{list}");
    assert!(!list.contains("B-1"), "{list}");
    assert_eq!(drawing.words("numbers"), ["1", "2", "3"]);
    assert!(drawing.told().contains("W02 B-2: 4 against below 10 mrem."));
}

#[test]
fn what_is_due_stands_on_its_day_and_what_is_late_before_the_strip() {
    let chart = due();
    let svg = chart.svg().unwrap();
    let drawing = Drawing::of(&svg);
    let [left, _, right, _] = drawing.field();
    let middle = |on: &str| {
        let nth = (day(on) - chart.first).num_days() as f64 + 0.5;
        left + nth / 91.0 * (right - left)
    };
    let marks = drawing.marks("rows");
    let stands = |x: f64| marks.iter().any(|it| (it.0 - x).abs() <= 1.5);
    for on in ["2026-06-05", "2026-07-20", "2026-09-03"] {
        assert!(stands(middle(on)), "{on}: {marks:?}");
    }
    let mut rows = drawing.layer("rows");
    let late = rows.find(|n| n.has_tag_name("circle")).unwrap();
    assert!(
        number(late, "cx") < left,
        "what is late stands before the strip"
    );
    let words = drawing.words("rows");
    for said in ["2026-06-05", "2026-07-20", "2026-09-03", "not in force"] {
        assert!(words.iter().any(|it| it == said), "{said}: {words:?}");
    }
    // A row names the first few; the description all of them.
    assert!(words.join(" ").contains("PD-08 and 12 more"));
    assert!(drawing.told().contains("PD-19, PD-20."));
    assert!(
        drawing
            .told()
            .contains("1 overdue on 2026-06-05; 22 fall due")
    );
}

#[test]
fn huge_doses_and_many_people_are_drawn_without_a_fault() {
    let mut chart = crew();
    chart.rows[0].of_record = Dose::from_nsv(i64::MAX);
    chart.rows[0].provisional = Dose::from_nsv(i64::MAX);
    chart.rows[1].of_record = mrem_of(-5);
    let one = chart.rows[2].clone();
    chart.rows.extend(vec![one; 300]);
    assert!(Document::parse(&chart.svg().unwrap()).is_ok());
    let mut chart = collective();
    chart.months[0].of_record = Dose::from_nsv(i64::MAX);
    assert!(Document::parse(&chart.svg().unwrap()).is_ok());
    let mut chart = scatter();
    chart.points[0].result = Dose::from_nsv(i64::MAX);
    chart.band_permille = Some(i64::MAX);
    assert!(Document::parse(&chart.svg().unwrap()).is_ok());
}
