//! Tests of the room: each outlook, invariance, and each signal with a near miss.

use proptest::prelude::*;

use super::series::{Axis, Fitting, Outlook, Pace, Point, Series, Terms, is_wear, series};
use super::signal::{
    Coverage, DayCheck, Measured, Use, UseSignal, beyond_yet_passed, never_measured, same_figure,
    uses_without_check,
};
use crate::calendar::{Day, TimeOfDay, parse_day, parse_time};
use crate::quantity::{Amount, AmountKind, AmountUnit};
use crate::rule::{ItemMeasure, Sense};

fn day(text: &str) -> Day {
    parse_day(text).expect("a day")
}

fn amount(text: &str) -> Amount {
    Amount::parse(text, None).expect("an amount")
}

/// A drive cable by the figures of common practice.
fn cable() -> ItemMeasure {
    ItemMeasure {
        unit: AmountUnit::of("1 in").expect("a unit"),
        nominal: Some(amount("0.185 in")),
        limit: amount("0.183 in"),
        warn: Some(amount("0.184 in")),
        sense: Sense::NotBelow,
        step: amount("0.001 in"),
        lowest: amount("0.15 in"),
        highest: amount("0.25 in"),
    }
}

/// Points in words: `day/cycles/thousandths of an inch`, one after the other.
fn points(text: &str) -> Vec<Point> {
    let each = text.split_whitespace().enumerate();
    each.map(|(n, word)| {
        let mut parts = word.split('/');
        let mut part = || parts.next().expect("a part");
        Point {
            day: day(part()),
            cycles: part().parse().expect("cycles"),
            count: amount(&format!("0.{} in", part())).count(),
            entry: n as i64 + 1,
        }
    })
    .collect()
}

fn fitting(on: &str, cycles: i64) -> Fitting {
    Fitting {
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

const WEARING: &str = "2026-01-01/0/1850 2026-02-01/500/1847 2026-03-01/1000/1846 \
                       2026-04-01/1500/1843 2026-05-01/2000/1841";

fn terms(measure: &ItemMeasure) -> Terms<'_> {
    Terms {
        measure,
        today: day("2026-05-10"),
        cycles_now: 2100,
        pace: Some(Pace {
            cycles: 1500,
            days: 90,
        }),
        next_inspection: Some(day("2026-07-01")),
    }
}

#[test]
fn a_new_part_starts_a_new_series_and_counts_from_its_fitting() {
    let text = "2026-01-05/10/1850 2026-03-05/600/1840 2026-06-01/700/1850 2026-09-01/900/1848";
    let parts = [fitting("2026-06-01", 650), fitting("2026-10-01", 1000)];
    let all = series(&points(text), &parts);
    let told: Vec<(Option<i64>, Option<Day>, Vec<i64>)> = all
        .iter()
        .map(|it| {
            let cycles = it.points.iter().map(|point| point.cycles).collect();
            (it.fitted.map(|part| part.cycles), it.ended, cycles)
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
    let measure = cable();
    let series = one(WEARING);
    let found = series.forecast(&terms(&measure));
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
        ..terms(&measure)
    });
    let sooner = fast.earliest.expect("a day");
    assert!(sooner.day < earliest.day || earliest.by == Axis::Cycles);
    assert_eq!(sooner.by, Axis::Cycles);
    // Without use of late only the days are left, and the cycles have no date.
    let idle = series.forecast(&Terms {
        pace: None,
        ..terms(&measure)
    });
    assert_eq!(idle.earliest.map(|it| it.by), Some(Axis::Days));
    assert_eq!(idle.earliest_cycles, found.earliest_cycles);
    assert!(idle.assumes[1].starts_with("No cycles of late"));
}

#[test]
fn it_warns_when_the_earliest_day_comes_before_the_next_inspection() {
    let measure = cable();
    let series = one(WEARING);
    let warns = |next: Option<Day>| {
        let asked = Terms {
            next_inspection: next,
            ..terms(&measure)
        };
        series.forecast(&asked).warns
    };
    let earliest = series
        .forecast(&terms(&measure))
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
    let measure = cable();
    for (text, cycles_now, outlook, warns) in [
        ("", 0, Outlook::TooFew, false),
        (
            "2026-01-01/0/1850 2026-02-01/5/1850 2026-03-01/9/1849",
            10,
            Outlook::TooFew,
            false,
        ),
        // Past the limit, whatever else.
        ("2026-01-01/0/1829", 10, Outlook::Beyond, true),
        ("2026-01-01/0/1830", 10, Outlook::TooFew, false),
        // Measured good again after it was past: it does not grow back.
        (
            "2026-01-01/0/1850 2026-02-01/500/1829 2026-03-01/900/1850",
            900,
            Outlook::Beyond,
            true,
        ),
        (WEARING, 2100, Outlook::Heading, false),
        (WEARING, 9000, Outlook::MayBeBeyond, true),
        // On one day and at one count there is no line.
        (
            "2026-01-01/5/1850 2026-01-01/5/1850 2026-01-01/5/1850 2026-01-01/5/1850",
            5,
            Outlook::NoSpread,
            false,
        ),
        // A coarse gauge that repeats itself is not sure.
        (
            "2026-01-01/0/185 2026-02-01/500/185 2026-03-01/1000/185 2026-04-01/1500/185",
            1500,
            Outlook::MayBeHeading,
            false,
        ),
        // It grows, and surely: measured wrongly perhaps, but not heading for its limit.
        (
            "2026-01-01/0/185 2026-02-01/500/188 2026-03-01/1000/191 2026-04-01/1500/194 \
             2026-05-01/2000/197",
            2000,
            Outlook::NotHeading,
            false,
        ),
    ] {
        let asked = Terms {
            cycles_now,
            next_inspection: Some(day("2026-05-11")),
            ..terms(&measure)
        };
        let found = one(text).forecast(&asked);
        assert_eq!(found.outlook, outlook, "{text} at {cycles_now}");
        assert_eq!(found.warns, warns, "{text} at {cycles_now}: {found:?}");
        assert!(!found.outlook.words().is_empty());
    }
    assert_eq!(Outlook::TooFew.words(), "fewer than four points");
}

#[test]
fn a_rising_measure_is_foreseen_against_its_upper_limit() {
    let measure = ItemMeasure {
        unit: AmountUnit::of("1 deg").expect("a unit"),
        nominal: None,
        limit: amount("15 deg"),
        warn: Some(amount("10 deg")),
        sense: Sense::NotAbove,
        step: amount("1 deg"),
        lowest: amount("0 deg"),
        highest: amount("90 deg"),
    };
    let mut points = points(WEARING);
    for (point, degrees) in points.iter_mut().zip([2_000, 3_000, 5_000, 6_000, 8_000]) {
        point.count = degrees;
    }
    let all = series(&points, &[]);
    let found = all[0].forecast(&terms(&measure));
    assert_eq!(found.outlook, Outlook::Heading);
    let beyond = all[0].forecast(&Terms {
        cycles_now: 10_000,
        ..terms(&measure)
    });
    assert_eq!(beyond.outlook, Outlook::MayBeBeyond);
    assert!(is_wear(AmountKind::Angle) && is_wear(AmountKind::Length));
    assert!(!is_wear(AmountKind::Rate));
}

#[test]
fn the_band_holds_the_line_and_widens_away_from_the_points() {
    let measure = cable();
    let band = one(WEARING).band(&measure, 0, 4000, 8).expect("a band");
    assert_eq!(band.len(), 9);
    assert_eq!((band[0].cycles, band[8].cycles), (0, 4000));
    let width = |n: usize| band[n].upper - band[n].lower;
    assert!(
        band.iter()
            .all(|it| it.lower < it.line && it.line < it.upper)
    );
    assert!(width(2) < width(0) && width(2) < width(8));
    assert!(one("2026-01-01/0/1850").band(&measure, 0, 1, 1).is_err());
}

proptest! {
    #[test]
    fn the_forecast_does_not_depend_on_the_unit_or_the_order_of_entry(
        drops in proptest::collection::vec(0..4_i64, 4..12),
        order in proptest::collection::vec(any::<u32>(), 12),
        noise in proptest::collection::vec(0..3_i64, 12),
    ) {
        let inch = cable();
        let metric = ItemMeasure {
            unit: AmountUnit::of("1 mm").expect("a unit"),
            nominal: Some(amount("4.699 mm")),
            limit: amount("4.6482 mm"),
            warn: Some(amount("4.6736 mm")),
            step: amount("0.0254 mm"),
            lowest: amount("3.81 mm"),
            highest: amount("6.35 mm"),
            ..inch.clone()
        };
        let mut tenths = 1850;
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
        let asked = |measure| Terms { today: day("2026-12-01"), ..terms(measure) };
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
        let measure = cable();
        let mut tenths = 1850;
        let points: Vec<Point> = drops.iter().enumerate().map(|(n, drop)| {
            tenths -= drop;
            Point {
                day: day("2026-01-01") + chrono::Days::new(10 * n as u64),
                cycles: 100 * n as i64,
                count: tenths * 2_540,
                entry: n as i64,
            }
        }).collect();
        let found = series(&points, &[])[0].forecast(&Terms { cycles_now: now, ..terms(&measure) });
        if let Some(likely) = found.likely {
            let earliest = found.earliest.expect("the band is there before the line");
            prop_assert!(earliest.day <= likely.day);
            prop_assert!(earliest.day >= day("2026-05-10"));
        }
    }
}

fn measured(text: &str) -> Vec<Measured> {
    let lines = points(text);
    lines
        .iter()
        .map(|it| Measured {
            entry: it.entry,
            day: it.day,
            count: it.count,
            passed: it.cycles == 0,
        })
        .collect()
}

#[test]
fn a_measure_past_its_limit_that_passed_is_told_and_one_at_it_is_not() {
    // The middle figure 0 stands for passed, 1 for written as a defect.
    let lines = measured("2026-01-01/0/1830 2026-02-01/0/1829 2026-03-01/1/1820");
    let found = beyond_yet_passed(&lines, &cable());
    assert_eq!(found.iter().map(|it| it.entry).collect::<Vec<_>>(), [2]);
    assert_eq!(beyond_yet_passed(&lines[..1], &cable()), []);
    assert_eq!(beyond_yet_passed(&lines[2..], &cable()), []);
}

/// A run of `n` figures on successive days.
fn run(n: usize) -> Vec<Measured> {
    let start = day("2026-01-01");
    (0..n)
        .map(|at| Measured {
            entry: at as i64 + 1,
            day: start + chrono::Days::new(at as u64),
            count: amount("0.184 in").count(),
            passed: true,
        })
        .collect()
}

/// Others in thousandths of an inch.
fn parts(text: &str) -> Vec<Vec<i64>> {
    let count = |word: &str| amount(&format!("0.{word} in")).count();
    text.split('|')
        .map(|part| part.split_whitespace().map(count).collect())
        .collect()
}

#[test]
fn the_same_figure_many_times_is_told_where_others_differ_and_not_where_they_repeat() {
    // By hand: 2 of 10 pairs repeat, the upper 95 % bound of that share is 0.5069; seven steps
    // of it are 0.0086 and six 0.0170.
    let lively = parts("185 184 184 185 183 184 183|184 185 185 184 183");
    let found = same_figure(&run(8), &lively, &cable());
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].pairs, found[0].same_pairs), (10, 2));
    assert!(
        (found[0].chance - 0.5069_f64.powi(7)).abs() < 1e-5,
        "{}",
        found[0].chance
    );
    assert_eq!(found[0].entries, [1, 2, 3, 4, 5, 6, 7, 8]);
    assert_eq!(same_figure(&run(7), &lively, &cable()), []);
    // A gauge too coarse for the wear repeats itself honestly.
    let coarse = parts("185 185 185 185 184 184 184|185 185 185 185 185");
    assert_eq!(same_figure(&run(8), &coarse, &cable()), []);
    assert_eq!(same_figure(&run(20), &coarse, &cable()), []);
    // For a gauge of twice the step neighbouring figures are the same, and most pairs repeat.
    let coarser = ItemMeasure {
        step: amount("0.002 in"),
        ..cable()
    };
    assert_eq!(same_figure(&run(8), &lively, &coarser), []);
    // Nothing to compare with, nothing told.
    assert_eq!(same_figure(&run(30), &[], &cable()), []);
    assert_eq!(
        same_figure(
            &run(30),
            &parts("185 184 183 182 181 180 179 178"),
            &cable()
        ),
        []
    );
    assert_eq!(
        same_figure(
            &run(30),
            &parts("185 184 183 182 181 180 179 178 177"),
            &cable()
        )
        .len(),
        1
    );
    assert_eq!(same_figure(&[], &lively, &cable()), []);
}

#[test]
fn a_run_is_also_judged_by_the_rest_of_its_own_series() {
    let mut lines = run(12);
    let start = day("2025-01-01");
    for (n, tenths) in [1860, 1855, 1861, 1852, 1857, 1849, 1851, 1846, 1850]
        .iter()
        .enumerate()
    {
        lines.push(Measured {
            entry: 50 + n as i64,
            day: start + chrono::Days::new(n as u64),
            count: tenths * 2_540,
            passed: true,
        });
    }
    let fine = ItemMeasure {
        step: amount("0.0001 in"),
        ..cable()
    };
    let found = same_figure(&lines, &[], &fine);
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].pairs, found[0].same_pairs), (8, 0));
    assert_eq!(found[0].first, day("2026-01-01"));
    // With the coarse gauge the same wander repeats, and too often to say anything.
    assert_eq!(same_figure(&lines[..], &[], &cable()), []);
}

#[test]
fn an_item_never_measured_is_told_from_the_first_inspection_on() {
    let asked = |measured, days: &[&str]| {
        never_measured(&Coverage {
            inspections: days.iter().zip(1..).map(|(on, n)| (n, day(on))).collect(),
            measured,
        })
    };
    let found = asked(0, &["2026-04-01", "2026-01-01"]).expect("a signal");
    assert_eq!(
        (found.since, found.entries),
        (day("2026-01-01"), vec![1, 2])
    );
    assert_eq!(asked(1, &["2026-04-01", "2026-01-01"]), None);
    assert_eq!(asked(0, &[]), None);
}

fn time(text: &str) -> Option<TimeOfDay> {
    (!text.is_empty()).then(|| parse_time(text).expect("a time"))
}

/// Sheets and checks of one piece as `day time`, the time blank where it is not known.
fn signals(uses: &[(&str, &str)], checks: &[(&str, &str)]) -> Vec<UseSignal> {
    let uses: Vec<Use> = uses
        .iter()
        .zip(1..)
        .map(|((on, at), entry)| Use {
            entry,
            day: day(on),
            first_exposure: time(at),
        })
        .collect();
    let checks: Vec<DayCheck> = checks
        .iter()
        .zip(11..)
        .map(|((on, at), entry)| DayCheck {
            entry,
            day: day(on),
            at: time(at),
        })
        .collect();
    uses_without_check(&uses, &checks)
}

#[test]
fn a_day_of_use_without_an_inspection_is_told() {
    let on = "2026-03-02";
    let none = UseSignal::NoInspection {
        sheet: 1,
        day: day(on),
    };
    assert_eq!(
        signals(&[(on, "")], &[("2026-03-01", ""), ("2026-03-03", "")]),
        [none]
    );
    assert_eq!(signals(&[(on, "")], &[(on, "")]), []);
    assert_eq!(signals(&[], &[(on, "")]), []);
    assert_eq!(signals(&[(on, "08:00"), (on, "20:00")], &[]).len(), 2);
}

#[test]
fn an_inspection_after_the_first_exposure_is_told_and_one_at_its_minute_is_not() {
    let on = "2026-03-02";
    let after = |inspection, at: &str, sheet| UseSignal::AfterFirstExposure {
        sheet,
        inspection,
        day: day(on),
        first_exposure: time("08:30").expect("a time"),
        at: time(at).expect("a time"),
    };
    assert_eq!(
        signals(&[(on, "08:30")], &[(on, "08:31")]),
        [after(11, "08:31", 1)]
    );
    assert_eq!(signals(&[(on, "08:30")], &[(on, "08:30")]), []);
    // The earliest of the checks and the first of the exposures count.
    assert_eq!(
        signals(&[(on, "08:30")], &[(on, "16:00"), (on, "07:00")]),
        []
    );
    let late = signals(&[(on, "20:00"), (on, "08:30")], &[(on, "16:00")]);
    assert_eq!(late, [after(11, "16:00", 2)]);
    // An unknown time accuses nobody.
    assert_eq!(signals(&[(on, "")], &[(on, "16:00")]), []);
    assert_eq!(signals(&[(on, "08:30")], &[(on, "16:00"), (on, "")]), []);
}
