//! Series and forecasts: each outlook, and invariance.

use proptest::prelude::*;

use super::super::forecast::{Axis, Outlook, Pace, Terms};
use super::super::foreseen::Foreseeable;
use super::super::series::{Installation, Others, Point, Series, series};
use super::{amount, cable, day, points};
use crate::calendar::Day;
use crate::quantity::{AmountKind, AmountUnit};
use crate::rule::{FiguresOf, ItemMeasurement, Sense, is_wear};
use crate::stat::line::Squares;

fn fitting(on: &str, cycles: i64) -> Installation {
    Installation {
        day: day(on),
        cycles,
        entry: 100,
    }
}

fn one(text: &str) -> Series {
    let mut all = series(&points(text), &[]);
    assert_eq!(all.len(), 1);
    all.remove(0)
}

const WEARING: &str = "2026-01-01/0/6.00 2026-02-01/500/5.97 2026-03-01/1000/5.96 \
                       2026-04-01/1500/5.93 2026-05-01/2000/5.91";

/// Other parts that scatter by no more than the gauge's rounding.
fn others() -> Others {
    let squares = Squares {
        sum: 0.0,
        freedom: 8,
    };
    Others {
        cycles: squares,
        days: squares,
    }
}

fn terms(measurement: &ItemMeasurement) -> Terms<'_> {
    Terms {
        measurement,
        today: day("2026-05-10"),
        cycles_now: 2100,
        pace: Some(Pace {
            cycles: 1500,
            days: 90,
        }),
        next_inspection: Some(day("2026-07-01")),
        others: others(),
    }
}

#[test]
fn a_new_part_starts_a_new_series_and_counts_from_its_fitting() {
    let text = "2026-01-05/10/6.00 2026-03-05/600/5.90 2026-06-01/700/6.00 2026-09-01/900/5.98";
    let parts = [fitting("2026-06-01", 650), fitting("2026-10-01", 1000)];
    let all = series(&points(text), &parts);
    let told: Vec<(Option<i64>, Option<Day>, Vec<i64>)> = all
        .iter()
        .map(|it| {
            let cycles = it.points.iter().map(|point| point.cycles).collect();
            (it.installed.map(|part| part.cycles), it.ended, cycles)
        })
        .collect();
    assert_eq!(
        told,
        [
            (None, Some(day("2026-06-01")), vec![10, 600]),
            (Some(650), Some(day("2026-10-01")), vec![50, 250]),
            (Some(1000), None, vec![]),
        ]
    );
    assert_eq!(series(&[], &[]).len(), 1);
    assert_eq!(series(&[], &parts).len(), 2);
    let twice = [fitting("2026-06-01", 650), fitting("2026-06-01", 650)];
    assert_eq!(series(&points(text), &twice).len(), 2);
}

#[test]
fn a_worn_part_is_foreseen_and_the_sooner_date_counts() {
    let measurement = cable();
    let series = one(WEARING);
    let found = series.forecast(&terms(&measurement));
    assert_eq!(found.outlook, Outlook::Heading);
    let (likely, earliest) = (found.likely.expect("a day"), found.earliest.expect("a day"));
    assert!(earliest.day < likely.day && day("2026-05-10") <= earliest.day);
    let cycles = (
        found.earliest_cycles.expect("cycles"),
        found.likely_cycles.expect("cycles"),
    );
    assert!(2100 < cycles.0 && cycles.0 < cycles.1, "{cycles:?}");
    // At three times the pace it comes sooner, by the cycles.
    let fast = series.forecast(&Terms {
        pace: Some(Pace {
            cycles: 4500,
            days: 90,
        }),
        ..terms(&measurement)
    });
    let sooner = fast.earliest.expect("a day");
    assert!(sooner.day < earliest.day || earliest.by == Axis::Cycles);
    assert_eq!(sooner.by, Axis::Cycles);
    // Without use of late only the days are left, and the cycles have no date.
    let idle = series.forecast(&Terms {
        pace: None,
        ..terms(&measurement)
    });
    assert_eq!(idle.earliest.map(|it| it.by), Some(Axis::Days));
    assert_eq!(idle.earliest_cycles, found.earliest_cycles);
    assert!(idle.assumes[1].starts_with("No cycles of late"));
}

#[test]
fn it_warns_when_the_earliest_day_comes_before_the_next_inspection() {
    let measurement = cable();
    let series = one(WEARING);
    let warns = |next: Option<Day>| {
        let asked = Terms {
            next_inspection: next,
            ..terms(&measurement)
        };
        series.forecast(&asked).warns
    };
    let earliest = series
        .forecast(&terms(&measurement))
        .earliest
        .expect("a day")
        .day;
    assert!(!warns(Some(earliest)));
    assert!(warns(earliest.succ_opt()));
    assert!(warns(None));
}

/// Points, the day, cycles then, the outlook.
#[test]
fn each_outlook_has_its_case() {
    let measurement = cable();
    let before = "2026-01-01/0/7.00 2026-02-01/500/6.97 2026-03-01/1000/6.96 \
                  2026-04-01/1500/6.93 2026-05-01/2000/6.91";
    let [worse, as_foreseen, better] =
        ["6.6", "6.8", "7.2"].map(|last| format!("{before} 2026-06-01/2500/{last}"));
    for (text, cycles_now, outlook, warns) in [
        ("", 0, Outlook::TooFew, false),
        (
            "2026-01-01/0/6.00 2026-02-01/5/6.00 2026-03-01/9/5.99",
            10,
            Outlook::TooFew,
            false,
        ),
        // Past the limit, whatever else.
        ("2026-01-01/0/5.79", 10, Outlook::Beyond, true),
        ("2026-01-01/0/5.80", 10, Outlook::TooFew, false),
        // Measured good again after it was past: it does not grow back.
        (
            "2026-01-01/0/6.00 2026-02-01/500/5.79 2026-03-01/900/6.00",
            900,
            Outlook::Beyond,
            true,
        ),
        (WEARING, 2100, Outlook::Heading, false),
        (WEARING, 9000, Outlook::MayBeBeyond, true),
        // By hand: the line through the five leads to 6.888, with a band of 0.147 on either side.
        (&worse, 2500, Outlook::Refuted, false),
        (&as_foreseen, 2500, Outlook::Heading, false),
        (&better, 2500, Outlook::MayBeHeading, false),
        // On one day and at one count there is no line.
        (
            "2026-01-01/5/6.00 2026-01-01/5/6.00 2026-01-01/5/6.00 2026-01-01/5/6.00",
            5,
            Outlook::NoSpread,
            false,
        ),
        // A coarse gauge that repeats itself is not sure.
        (
            "2026-01-01/0/6.00 2026-02-01/500/6.00 2026-03-01/1000/6.00 2026-04-01/1500/6.00",
            1500,
            Outlook::MayBeHeading,
            false,
        ),
        // It grows, and surely: measured wrongly perhaps, but not heading for its limit.
        (
            "2026-01-01/0/6.00 2026-02-01/500/6.30 2026-03-01/1000/6.60 2026-04-01/1500/6.90 \
             2026-05-01/2000/7.20",
            2000,
            Outlook::NotHeading,
            false,
        ),
    ] {
        let asked = Terms {
            cycles_now,
            next_inspection: Some(day("2026-05-11")),
            ..terms(&measurement)
        };
        let found = one(text).forecast(&asked);
        assert_eq!(found.outlook, outlook, "{text} at {cycles_now}");
        assert_eq!(found.warns, warns, "{text} at {cycles_now}: {found:?}");
        assert!(!found.outlook.words().is_empty());
        if outlook == Outlook::Refuted {
            let days = (found.likely, found.earliest);
            let cycles = (found.likely_cycles, found.earliest_cycles);
            assert_eq!((days, cycles), ((None, None), (None, None)));
        }
    }
    assert_eq!(Outlook::TooFew.words(), "too few measurements to tell");
}

/// Four points of one part alone do not show how much they scatter; with other parts of the item
/// they do, and a part that scatters more than those is judged by itself.
#[test]
fn a_part_alone_warns_from_six_measures_on_or_by_a_sure_slope_and_beside_others_from_four() {
    let measurement = cable();
    let six = format!("{WEARING} 2026-06-01/2500/5.88");
    let four = WEARING.rsplit_once(' ').expect("points").0;
    let outlook = |text: &str, others: Others| {
        let asked = Terms {
            others,
            ..terms(&measurement)
        };
        one(text).forecast(&asked).outlook
    };
    assert_eq!(outlook(four, Others::default()), Outlook::TooFew);
    // By hand: a slope of 0.046 with an error of 0.0129, and Student's t of 2.92 for two degrees.
    let steep = "2026-01-01/0/6.00 2026-02-01/500/5.95 2026-03-01/1000/5.91 2026-04-01/1500/5.86";
    assert_ne!(outlook(steep, Others::default()), Outlook::TooFew);
    assert_eq!(outlook(&six, Others::default()), Outlook::Heading);
    assert_eq!(outlook(four, others()), Outlook::Heading);
    let wild = "2026-01-01/0/6.00 2026-02-01/500/6.40 2026-03-01/1000/5.85 2026-04-01/1500/6.20";
    let series = one(wild);
    let line = |others| series.line_by_cycles(&measurement, others).expect("a line");
    assert_eq!(line(others()).fit().freedom(), 2);
    assert!(line(others()).tells() && !line(Others::default()).tells());
    let calm = one(four).line_by_cycles(&measurement, others());
    assert_eq!(calm.expect("a line").fit().freedom(), 10);
}

/// What is known of the others: four that wear, so that the scatter is known from the fourth
/// measure on.
fn other_parts() -> Vec<Series> {
    vec![one(WEARING), one(WEARING), one(WEARING), one(WEARING)]
}

/// Measures, whether other parts are known, and the measure since which the limit was foreseeable.
#[test]
fn a_limit_was_foreseeable_only_where_every_later_forecast_warned_and_the_line_led_there() {
    let measurement = cable();
    let on = format!("{WEARING} 2026-06-01/2500/5.88 2026-07-01/3000/5.84");
    let flat = "2026-01-01/0/5.85 2026-02-01/500/5.85 2026-03-01/1000/5.85 2026-04-01/1500/5.85";
    let fast = "2026-01-01/0/6.00 2026-02-01/500/5.95 2026-03-01/1000/5.91 2026-04-01/1500/5.86";
    let faster = "2026-01-01/0/7.80 2026-02-01/500/7.40 2026-03-01/1000/7.00 \
                  2026-04-01/1500/6.60 2026-05-01/2000/5.97";
    for (text, beside, since) in [
        // By hand: the line through six points leaves 110 days to the limit, through seven 61.
        (on.clone(), true, Some(7)),
        (format!("{on} 2026-08-01/3500/5.79"), true, Some(7)),
        // Its band is at the limit, its line is level and never leads there.
        (flat.to_owned(), true, None),
        (
            format!("{flat} 2026-05-01/2000/5.85 2026-06-01/2500/5.85"),
            true,
            None,
        ),
        (fast.to_owned(), true, Some(4)),
        // At a later measure the line no longer led there: it begins anew, or not at all.
        (
            format!("{fast} 2026-05-01/2000/5.95 2026-06-01/2500/5.96"),
            true,
            None,
        ),
        // Past the limit at once: nothing was foreseen.
        (
            "2026-01-01/0/6.00 2026-02-01/500/5.79".to_owned(),
            true,
            None,
        ),
        // The last is worse than the line before it led to: what was foreseeable stays so.
        (faster.to_owned(), true, Some(4)),
        (fast.to_owned(), false, Some(4)),
        (flat.to_owned(), false, None),
    ] {
        let others = if beside { other_parts() } else { Vec::new() };
        let next = |it: Day| Some(it + chrono::Days::new(92));
        let found = one(&text).foreseeable(&measurement, &others, next);
        let entry = match found {
            Foreseeable::Since(point) => Some(point.entry),
            Foreseeable::TooFew | Foreseeable::No => None,
        };
        assert_eq!(entry, since, "{text}: {found:?}");
        // Where no inspection falls due the line leads before none.
        let never = one(&text).foreseeable(&measurement, &others, |_| None);
        assert_eq!(never.day(), None, "{text}: {never:?}");
    }
    let alone = one(flat).foreseeable(&measurement, &[], |_| None);
    assert_eq!(alone, Foreseeable::TooFew);
    assert!(alone.words().contains("too few"));
}

/// The tilt of a connector: it grows.
fn tilt() -> ItemMeasurement {
    ItemMeasurement {
        unit: AmountUnit::of("1 deg").expect("a unit"),
        nominal: None,
        limit: amount("20 deg"),
        warn: Some(amount("10 deg")),
        sense: Sense::NotAbove,
        step: amount("1 deg"),
        lowest: amount("0 deg"),
        highest: amount("90 deg"),
        of: FiguresOf::List,
    }
}

#[test]
fn a_rising_measure_is_foreseen_against_its_upper_limit() {
    let measurement = tilt();
    let mut points = points(WEARING);
    for (point, degrees) in points.iter_mut().zip([2_000, 3_000, 5_000, 6_000, 8_000]) {
        point.count = degrees;
    }
    let all = series(&points, &[]);
    let found = all[0].forecast(&terms(&measurement));
    assert_eq!(found.outlook, Outlook::Heading);
    let beyond = all[0].forecast(&Terms {
        cycles_now: 10_000,
        ..terms(&measurement)
    });
    assert_eq!(beyond.outlook, Outlook::MayBeBeyond);
    assert!(is_wear(AmountKind::Angle) && is_wear(AmountKind::Length));
    assert!(!is_wear(AmountKind::Rate));
}

/// A connector whose tilt grew by two degrees in eleven days. By hand, with its own scatter of 0.65
/// degrees: the line through the ten before leads to 10.1, and 13 is 4.0 errors above it.
#[test]
fn a_line_that_its_last_measure_refutes_tells_no_day() {
    let measurement = tilt();
    let places = "2025-02-26/0/1 2025-05-10/840/1 2025-08-09/1819/1 2025-11-08/2570/1 \
                  2025-12-14/3062/1 2026-01-11/3561/1 2026-02-07/3947/1 2026-03-08/4408/1 \
                  2026-04-12/5074/1 2026-05-09/5217/1 2026-05-20/5250/1";
    for (last, outlook) in [(13, Outlook::Refuted), (11, Outlook::Heading)] {
        let mut points = points(places);
        let tilts = [2, 3, 5, 5, 6, 7, 7, 9, 10, 11, last];
        for (point, tilt) in points.iter_mut().zip(tilts) {
            point.count = tilt * 1_000;
        }
        let found = series(&points, &[])[0].forecast(&Terms {
            today: day("2026-05-20"),
            cycles_now: 5250,
            others: Others::default(),
            ..terms(&measurement)
        });
        assert_eq!(found.outlook, outlook, "{last}");
        assert_eq!(found.likely.is_some(), outlook == Outlook::Heading);
        assert_eq!(found.earliest.is_some(), outlook == Outlook::Heading);
        assert!(!found.warns);
    }
}

#[test]
fn the_band_holds_the_line_and_widens_away_from_the_points() {
    let measurement = cable();
    let band = one(WEARING)
        .band((&measurement, others()), 0, 4000, 8)
        .expect("a band");
    assert_eq!(band.len(), 9);
    assert_eq!((band[0].cycles, band[8].cycles), (0, 4000));
    let width = |n: usize| band[n].upper - band[n].lower;
    assert!(
        band.iter()
            .all(|it| it.lower < it.line && it.line < it.upper)
    );
    assert!(width(2) < width(0) && width(2) < width(8));
    assert!(
        one("2026-01-01/0/6.00")
            .band((&measurement, others()), 0, 1, 1)
            .is_err()
    );
}

proptest! {
    #[test]
    fn the_forecast_does_not_depend_on_the_unit_or_the_order_of_entry(
        drops in proptest::collection::vec(0..4_i64, 4..12),
        order in proptest::collection::vec(any::<u32>(), 12),
        noise in proptest::collection::vec(0..3_i64, 12),
    ) {
        let inch = ItemMeasurement {
            unit: AmountUnit::of("1 in").expect("a unit"),
            nominal: Some(amount("0.25 in")),
            limit: amount("0.248 in"),
            warn: Some(amount("0.249 in")),
            step: amount("0.001 in"),
            lowest: amount("0.2 in"),
            highest: amount("0.3 in"),
            ..cable()
        };
        let metric = ItemMeasurement {
            unit: AmountUnit::of("1 mm").expect("a unit"),
            nominal: Some(amount("6.35 mm")),
            limit: amount("6.2992 mm"),
            warn: Some(amount("6.3246 mm")),
            step: amount("0.0254 mm"),
            lowest: amount("5.08 mm"),
            highest: amount("7.62 mm"),
            ..inch.clone()
        };
        let mut tenths = 2500;
        let mut told = Vec::new();
        for (n, (drop, noise)) in drops.iter().zip(&noise).enumerate() {
            tenths -= drop;
            let written = tenths + noise;
            // 0.0001 in is 0.00254 mm, exactly.
            let nm = written * 2_540;
            let metric = format!("{}.{:06} mm", nm / 1_000_000, nm % 1_000_000);
            let point = |text: String| Point {
                day: day("2026-01-01") + chrono::Days::new(13 * n as u64),
                cycles: 170 * n as i64,
                count: amount(&text).count(),
                entry: n as i64,
            };
            told.push((point(format!("0.{written} in")), point(metric)));
        }
        let asked = |measurement| Terms { today: day("2026-12-01"), ..terms(measurement) };
        let (inches, mut metres): (Vec<Point>, Vec<Point>) = told.into_iter().unzip();
        let wanted = series(&inches, &[])[0].forecast(&asked(&inch));
        let mut keyed: Vec<(u32, Point)> = order.into_iter().zip(metres.drain(..)).collect();
        keyed.sort_by_key(|(key, _)| *key);
        let shuffled: Vec<Point> = keyed.into_iter().map(|(_, point)| point).collect();
        let found = series(&shuffled, &[])[0].forecast(&asked(&metric));
        prop_assert_eq!(found, wanted);
    }

    #[test]
    fn the_earliest_day_is_never_after_the_likely_one_nor_before_today(
        drops in proptest::collection::vec(-1..4_i64, 4..10),
        now in 0..5_000_i64,
    ) {
        let measurement = cable();
        let mut hundredths = 600;
        let points: Vec<Point> = drops.iter().enumerate().map(|(n, drop)| {
            hundredths -= drop;
            Point {
                day: day("2026-01-01") + chrono::Days::new(10 * n as u64),
                cycles: 100 * n as i64,
                count: hundredths * 10_000,
                entry: n as i64,
            }
        }).collect();
        let terms = Terms { cycles_now: now, ..terms(&measurement) };
        let found = series(&points, &[])[0].forecast(&terms);
        if let Some(likely) = found.likely {
            let earliest = found.earliest.expect("the band is there before the line");
            prop_assert!(earliest.day <= likely.day);
            prop_assert!(earliest.day >= day("2026-05-10"));
        }
    }
}
