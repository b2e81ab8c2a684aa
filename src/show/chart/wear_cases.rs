//! Invented wear charts for the tests of whole drawings.

use super::cases::day;
use super::wear::{BandPoint, Mark, Part, Reaches, WearChart};
use crate::calendar::Day;
use crate::quantity::{Amount, AmountUnit};
use crate::rule::{FiguresOf, ItemMeasurement, Sense};
use crate::wear::forecast::{Forecast, Pace, Terms};
use crate::wear::series::{Band, Installation, Others, Point, Series, series};

fn amount(text: &str) -> Amount {
    Amount::parse(text, None).unwrap()
}

/// A drive cable with invented figures.
fn cable() -> ItemMeasurement {
    ItemMeasurement {
        unit: AmountUnit::of("1 mm").unwrap(),
        nominal: Some(amount("6 mm")),
        limit: amount("5.8 mm"),
        warn: Some(amount("5.9 mm")),
        sense: Sense::NotBelow,
        step: amount("0.05 mm"),
        lowest: amount("4 mm"),
        highest: amount("8 mm"),
        of: FiguresOf::List,
    }
}

/// Measures told as `day/cycles/figure`.
fn points(measurement: &ItemMeasurement, told: &str) -> Vec<Point> {
    let words = told.split_whitespace().zip(1..);
    words
        .map(|(word, entry)| {
            let cells: Vec<&str> = word.split('/').collect();
            let value = Amount::parse(cells[2], Some(measurement.unit)).unwrap();
            Point {
                day: day(cells[0]),
                cycles: cells[1].parse().unwrap(),
                count: value.count(),
                entry,
            }
        })
        .collect()
}

/// Fittings told as `day/cycles`.
fn installations(told: &str) -> Vec<Installation> {
    let words = told.split_whitespace().zip(100..);
    words
        .map(|(word, entry)| {
            let (on, cycles) = word.split_once('/').unwrap();
            Installation {
                day: day(on),
                cycles: cycles.parse().unwrap(),
                entry,
            }
        })
        .collect()
}

fn start(series: &Series) -> i64 {
    series.installed.map_or(0, |part| part.cycles)
}

/// A part with its band up to `to` cycles of its own.
fn part(series: &Series, measurement: &ItemMeasurement, to: i64) -> Part {
    let from = start(series);
    let band = series
        .band((measurement, Others::default()), 0, to, 40)
        .unwrap_or_default();
    let mark = |point: &Point| Mark {
        cycles: from + point.cycles,
        count: point.count,
        day: point.day,
    };
    let place = |point: &Band| BandPoint {
        cycles: from + point.cycles,
        line: point.line,
        lower: point.lower,
        upper: point.upper,
    };
    Part {
        installed: series.installed.map(|part| part.day),
        from,
        marks: series.points.iter().map(mark).collect(),
        band: band.iter().map(place).collect(),
    }
}

fn forecast_of(series: &Series, measurement: &ItemMeasurement, now: (&str, i64)) -> Forecast {
    series.forecast(&Terms {
        measurement,
        today: day(now.0),
        cycles_now: now.1 - start(series),
        pace: Some(Pace {
            cycles: 900,
            days: 60,
        }),
        next_inspection: None,
        others: Others::default(),
    })
}

/// A chart of measures and fittings, forecast and all.
fn chart(
    measurement: &ItemMeasurement,
    told: &str,
    installed: &str,
    now: (&str, i64),
) -> WearChart {
    let all = series(&points(measurement, told), &installations(installed));
    let (newest, before) = all.split_last().unwrap();
    let forecast = forecast_of(newest, measurement, now);
    let last = |it: &Series| it.points.last().map_or(0, |point| point.cycles);
    let mut parts: Vec<Part> = before
        .iter()
        .map(|it| part(it, measurement, last(it)))
        .collect();
    let ahead = forecast.likely_cycles.unwrap_or(0).min(2 * last(newest));
    parts.push(part(newest, measurement, ahead.max(now.1 - start(newest))));
    let reach = |cycles: Option<i64>, day: Option<Day>| {
        (cycles.is_some() || day.is_some()).then_some(Reaches {
            cycles: cycles.map(|it| it + start(newest)),
            day,
        })
    };
    WearChart {
        title: "CU-03 drive cable: outside diameter".to_owned(),
        measurement: "Outside diameter at the most worn place".to_owned(),
        unit: measurement.unit,
        limit: measurement.limit.count(),
        bad_below: measurement.sense == Sense::NotBelow,
        warn: measurement.warn.map(Amount::count),
        nominal: measurement.nominal.map(Amount::count),
        step: measurement.step.count(),
        parts,
        today: day(now.0),
        cycles_now: now.1,
        likely: reach(forecast.likely_cycles, forecast.likely.map(|it| it.day)),
        earliest: reach(forecast.earliest_cycles, forecast.earliest.map(|it| it.day)),
        outlook: forecast.outlook.words().to_owned(),
        notes: forecast.assumes,
        caution: "Caution: check your manual; the limit is invented, no maker's; an estimate."
            .to_owned(),
    }
}

/// Name, measures, fittings, today and its cycles; the measure is that of [`cable`], or by the
/// name of the case another.
const CASES: &[(&str, &str, &str, (&str, i64))] = &[
    ("never", "", "2025-01-06/0", ("2025-12-01", 3300)),
    (
        "few",
        "2025-01-06/40/6.00 2025-04-03/910/6.00 2025-07-07/1850/5.95",
        "2025-01-06/0",
        ("2025-09-01", 2400),
    ),
    ("heading", WEARING, "2025-01-06/0", ("2025-12-01", 3300)),
    ("long", WEARING, "2025-01-06/0", ("2025-12-01", 3300)),
    (
        "beyond",
        "2025-01-06/40/6.00 2025-05-05/1190/5.95 2025-09-01/2420/5.90 \
         2026-01-05/3600/5.80 2026-03-02/4200/5.75",
        "2025-01-06/0",
        ("2026-03-09", 4260),
    ),
    (
        "coarse",
        "2025-01-06/40/6.00 2025-03-03/610/6.00 2025-05-05/1190/6.00 \
         2025-07-07/1850/6.00 2025-09-01/2420/6.00",
        "2025-01-06/0",
        ("2025-10-01", 2700),
    ),
    (
        "parts",
        "2024-02-05/300/6.00 2024-05-06/900/5.99 2024-08-05/1500/5.97 2024-11-04/2100/5.96 \
         2025-02-03/2700/5.94 2025-02-10/2710/6.00 2025-05-05/3300/5.99 \
         2025-08-04/3900/5.99 2025-11-03/4500/5.97 2026-02-02/5100/5.97",
        "2025-02-10/2705",
        ("2026-03-01", 5300),
    ),
    (
        "tilt",
        "2025-01-06/40/2 2025-03-03/610/3 2025-05-05/1190/5 2025-07-07/1850/8 \
         2025-09-01/2420/9",
        "2025-01-06/0",
        ("2025-10-01", 2700),
    ),
    (
        "swapped",
        "2025-01-06/40/6.00 2025-03-03/610/5.95",
        "2025-03-03/600 2025-03-10/640 2025-03-12/655",
        ("2025-04-01", 800),
    ),
];

const WEARING: &str = "2025-01-06/40/6.00 2025-03-03/610/6.00 2025-05-05/1190/5.95 \
                       2025-07-07/1850/5.95 2025-09-01/2420/5.90 2025-11-03/3010/5.90";

/// What each case measures.
fn measure_of(name: &str) -> ItemMeasurement {
    let mut measurement = cable();
    match name {
        "coarse" => measurement.step = amount("0.1 mm"),
        "parts" => {
            measurement.limit = amount("5.95 mm");
            measurement.warn = None;
            measurement.step = amount("0.01 mm");
        }
        "tilt" => {
            measurement.unit = AmountUnit::of("1 deg").unwrap();
            measurement.nominal = None;
            measurement.limit = amount("20 deg");
            measurement.warn = Some(amount("10 deg"));
            measurement.sense = Sense::NotAbove;
            measurement.step = amount("1 deg");
        }
        _ => {}
    }
    measurement
}

/// Invented charts of many kinds, by name.
pub(super) fn cases() -> Vec<(&'static str, WearChart)> {
    let drawn = CASES.iter().map(|(name, told, installed, now)| {
        let mut chart = chart(&measure_of(name), told, installed, *now);
        if *name == "long" {
            chart.title = "CU-17 Zo\u{eb} & <Sons>, a control unit whose name is so long that it \
                           needs a second line: drive cable, outside diameter"
                .to_owned();
            chart.notes.push("x y ".repeat(90));
        }
        (*name, chart)
    });
    drawn.collect()
}
