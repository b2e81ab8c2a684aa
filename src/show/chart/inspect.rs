//! Tests of whole drawings: what is plotted is what was given, and it can be read.

use chrono::{Days, NaiveDate};
use resvg::usvg::roxmltree::{Document, Node};

use super::canvas::{Hang, Patch};
use super::worker_year::{Level, Sort, Standing, Step, Unit, WorkerYear};
use super::{ChartError, png, style, words};

const MREM: i64 = 10_000;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn level(label: &str, mrem: i64, sort: Sort) -> Level {
    Level { label: label.to_owned(), nsv: mrem * MREM, sort, used_nsv: None }
}

/// A year without a reading, in mrem, with the levels of an adult.
fn quiet_year() -> WorkerYear {
    WorkerYear {
        title: "W07 Ada Example, licensee year 2026".to_owned(),
        quantity: "deep dose (whole body)".to_owned(),
        first: day("2026-01-01"),
        last: day("2026-12-31"),
        unit: Unit { label: "mrem".to_owned(), nsv: MREM },
        steps: Vec::new(),
        levels: vec![
            level("limit, adult (10 CFR 20.1201)", 5000, Sort::Limit),
            level("administrative level of the site", 2000, Sort::Administrative),
            level("investigation level", 500, Sort::Investigation),
        ],
        today: day("2026-06-30"),
        notes: Vec::new(),
        caution: "Caution: levels by 10 CFR 20.1201; your licence, your state and your RSO have \
                  the last word."
            .to_owned(),
    }
}

/// Steps every `gap` days from 5 January: doses of a fixed, uneven pattern; the first `record`
/// are of record.
fn steps(count: u64, gap: u64, record: u64) -> Vec<Step> {
    let mut total_nsv = 0;
    let one = |n: u64| {
        total_nsv += [2, 0, 5, 3, 1, 12, 4, 0, 7, 31][(n % 10) as usize] * MREM;
        let standing = if n < record { Standing::OfRecord } else { Standing::Provisional };
        let day = day("2026-01-05") + Days::new(n * gap);
        Step { day, total_nsv, standing, undetermined: false }
    };
    (0..count).map(one).collect()
}

/// Invented years of many kinds, by name.
fn cases() -> Vec<(&'static str, WorkerYear)> {
    let mut all = vec![("empty", quiet_year())];

    let mut sparse = quiet_year();
    sparse.steps = steps(14, 12, 6);
    all.push(("sparse", sparse));

    let mut busy = quiet_year();
    busy.steps = steps(170, 2, 120);
    busy.today = day("2026-12-20");
    busy.notes = vec!["Badge results until 2026-08-31; readings after it are provisional.".into()];
    all.push(("busy", busy));

    let mut off_scale = quiet_year();
    off_scale.steps = steps(60, 3, 40);
    for at in [30, 33, 55] {
        off_scale.steps[at].undetermined = true;
    }
    off_scale.today = day("2026-07-04");
    all.push(("off-scale", off_scale));

    let mut passed = quiet_year();
    passed.steps = steps(20, 9, 20);
    passed.steps.push(Step {
        day: day("2026-08-14"),
        total_nsv: 6100 * MREM,
        standing: Standing::OfRecord,
        undetermined: false,
    });
    passed.today = day("2026-08-20");
    all.push(("passed", passed));

    let mut stacked = quiet_year();
    stacked.steps = steps(90, 3, 50);
    stacked.today = day("2026-10-02");
    stacked.levels = [490, 495, 500, 505, 510]
        .into_iter()
        .zip([Sort::Limit, Sort::Administrative, Sort::Investigation, Sort::Shift, Sort::Limit])
        .map(|(mrem, sort)| level("one of several levels that lie close", mrem, sort))
        .collect();
    stacked.levels[0].used_nsv = Some(700 * MREM);
    all.push(("stacked", stacked));

    let mut sievert = quiet_year();
    sievert.unit = Unit { label: "mSv".to_owned(), nsv: 1_000_000 };
    sievert.first = day("2025-07-01");
    sievert.last = day("2026-06-30");
    sievert.title = "W12 Zo\u{eb} \u{141}ukasz <Example> & Sons, a title so long that it needs \
                     a second line, licensee year from 1 July 2025"
        .to_owned();
    sievert.steps = steps(40, 4, 0);
    sievert.levels = vec![
        level("limit of one year, any five years 100 mSv", 2000, Sort::Limit),
        level("declared pregnancy, budget", 100, Sort::Limit),
    ];
    all.push(("sievert", sievert));

    let mut early = quiet_year();
    early.steps = steps(1, 1, 0);
    early.steps[0].undetermined = true;
    early.steps[0].day = day("2026-01-02");
    early.today = day("2026-01-02");
    all.push(("early", early));
    all
}

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

fn layer<'a>(document: &'a Document, class: &str) -> Node<'a, 'a> {
    document.descendants().find(|n| n.attribute("class") == Some(class)).unwrap()
}

fn number(node: Node, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

fn points(node: Node) -> Vec<(f64, f64)> {
    let pair = |p: &str| {
        let (x, y) = p.split_once(',').unwrap();
        (x.parse().unwrap(), y.parse().unwrap())
    };
    node.attribute("points").unwrap().split_whitespace().map(pair).collect()
}

/// Words of every text in a layer with its place.
fn texts(node: Node) -> Vec<(String, f64, f64)> {
    node.descendants()
        .filter(|n| n.has_tag_name("text"))
        .map(|n| (n.text().unwrap().trim().to_owned(), number(n, "x"), number(n, "y")))
        .collect()
}

/// Reads the dose back from a height, by the figures at the axis (their first and last).
fn dose_at(document: &Document, unit: &Unit, y: f64) -> f64 {
    let axis = texts(layer(document, "axes"));
    let figures = axis.iter().filter_map(|t| t.0.parse::<f64>().ok().map(|v| (v, t.2)));
    let ticks: Vec<_> = figures.collect();
    let (zero, top) = (ticks[0], *ticks.iter().filter(|t| t.1 < ticks[0].1).next_back().unwrap());
    (y - zero.1) / (top.1 - zero.1) * (top.0 - zero.0) * unit.nsv as f64
}
