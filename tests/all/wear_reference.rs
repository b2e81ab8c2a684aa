//! The wear of an installed part against values computed elsewhere: `tests/reference/wear_fit.csv`
//! of the invented series in `wear_synthetic.csv`.

use wearbook::calendar::parse_day;
use wearbook::quantity::{Amount, AmountUnit, Length, LengthUnit};
use wearbook::rule::{FiguresOf, ItemMeasurement, Sense};
use wearbook::wear::forecast::{Outlook, Terms};
use wearbook::wear::series::{Others, Point, series};

fn rows(name: &str) -> Vec<Vec<String>> {
    let path = format!("{}/tests/reference/{name}", env!("CARGO_MANIFEST_DIR"));
    let mut reader = csv::Reader::from_path(path).expect("the file");
    let cells = |row: csv::Result<csv::StringRecord>| {
        row.expect("a row").iter().map(str::to_owned).collect()
    };
    reader.records().map(cells).collect()
}

fn mm(text: &str) -> Amount {
    Amount::parse(text, Some(AmountUnit::Length(LengthUnit::Millimetre))).expect("a length")
}

/// 4.60 mm and the gauge of 0.01 mm are those of the invented series, no real limit.
fn measurement() -> ItemMeasurement {
    ItemMeasurement {
        unit: AmountUnit::Length(LengthUnit::Millimetre),
        nominal: None,
        limit: mm("4.60"),
        warn: None,
        sense: Sense::NotBelow,
        step: mm("0.01"),
        lowest: mm("4"),
        highest: mm("6"),
        of: FiguresOf::List,
    }
}

#[test]
fn a_part_reaches_its_limit_at_the_cycles_of_the_exact_line_and_bound() {
    let first = parse_day("2026-01-01").expect("a day");
    let points: Vec<Point> = rows("wear_synthetic.csv")
        .iter()
        .zip(0..)
        .map(|(row, n)| Point {
            day: first + chrono::Days::new(10 * n),
            cycles: row[0].parse().expect("cycles"),
            count: Length::parse(&row[1], Some(LengthUnit::Millimetre))
                .expect("a diameter")
                .nm(),
            entry: i64::try_from(n).expect("few") + 1,
        })
        .collect();
    let measurement = measurement();
    let all = series(&points, &[]);
    let forecast = all[0].forecast(&Terms {
        measurement: &measurement,
        today: first + chrono::Days::new(110),
        cycles_now: 2750,
        pace: None,
        next_inspection: None,
        others: Others::default(),
    });
    assert_eq!(forecast.outlook, Outlook::Heading);
    let wanted = |part: &str| {
        let fits = |row: &&Vec<String>| row[0] == "wear_synthetic" && row[1].contains(part);
        let found = rows("wear_fit.csv");
        let row = found.iter().find(fits).expect("the row");
        row[2]
            .split('.')
            .next()
            .and_then(|whole| whole.parse::<i64>().ok())
    };
    assert_eq!(forecast.likely_cycles, wanted("fitted line reaches"));
    assert_eq!(forecast.earliest_cycles, wanted("one-sided 0.95"));
    let line = all[0]
        .line_by_cycles(&measurement, Others::default())
        .expect("a line");
    let slope = -0.000_038_881_118_881_118_88 * 1e6;
    assert!(
        (line.slope() - slope).abs() < 1e-12 * slope.abs(),
        "{}",
        line.slope()
    );
}
