//! Invented years for the tests of whole drawings.

use chrono::{Days, NaiveDate};

use super::worker_year::{FanPoint, Level, Standing, Step, Type, WorkerYear};
use crate::calendar::Span;
use crate::quantity::{Dose, DoseUnit};

const MREM: i64 = 10_000;

pub(super) fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

pub(super) fn mrem_of(mrem: i64) -> Dose {
    Dose::from_nsv(mrem * MREM)
}

pub(super) fn level(label: &str, mrem: i64, kind: Type) -> Level {
    Level {
        label: label.to_owned(),
        dose: mrem_of(mrem),
        kind,
        used: None,
        at_least: false,
        other_span: false,
    }
}

/// A year without a reading, in mrem, with the levels of an adult.
pub(super) fn quiet_year() -> WorkerYear {
    WorkerYear {
        title: "W07 Ada Example, licensee year 2026".to_owned(),
        quantity: "deep dose (whole body)".to_owned(),
        span: Span {
            first: day("2026-01-01"),
            last: day("2026-12-31"),
        },
        unit: DoseUnit::Millirem,
        steps: Vec::new(),
        levels: vec![
            level("limit, adult (10 CFR 20.1201)", 5000, Type::Limit),
            level(
                "administrative level of the site",
                2000,
                Type::Administrative,
            ),
            level("investigation level", 500, Type::Investigation),
        ],
        today: day("2026-06-30"),
        fan: Vec::new(),
        notes: Vec::new(),
        caution: "Caution: levels by 10 CFR 20.1201; your license, your state and your RSO have \
                  the last word."
            .to_owned(),
    }
}

/// Steps every `gap` days from 5 January: doses of a fixed, uneven pattern; the first `record`
/// are of record.
pub(super) fn steps(count: u64, gap: u64, record: u64) -> Vec<Step> {
    let mut total = 0;
    let one = |n: u64| {
        total += [2, 0, 5, 3, 1, 12, 4, 0, 7, 31][(n % 10) as usize];
        let standing = if n < record {
            Standing::OfRecord
        } else {
            Standing::Provisional
        };
        let day = day("2026-01-05") + Days::new(n * gap);
        Step {
            day,
            total: mrem_of(total),
            standing,
            undetermined: false,
        }
    };
    (0..count).map(one).collect()
}

/// Invented years of many kinds, by name.
pub(super) fn cases() -> Vec<(&'static str, WorkerYear)> {
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

    let mut late = quiet_year();
    late.steps = steps(170, 2, 150);
    for at in [100, 152, 168] {
        late.steps[at].undetermined = true;
    }
    late.today = day("2026-12-29");
    all.push(("late", late));
    all.push(("fan", fanned()));
    all.extend(crowded());

    let mut early = quiet_year();
    early.steps = steps(1, 1, 0);
    early.steps[0].undetermined = true;
    early.steps[0].day = day("2026-01-02");
    early.today = day("2026-01-02");
    all.push(("early", early));
    all
}

/// A year with a forecast; the conservative total, from which it starts, is above the curve.
pub(super) fn fanned() -> WorkerYear {
    let mut chart = quiet_year();
    chart.steps = steps(80, 2, 40);
    chart.today = day("2026-06-20");
    chart.fan = [
        ("2026-06-20", 530, 530, 530),
        ("2026-06-30", 545, 560, 590),
        ("2026-09-30", 690, 740, 805),
        ("2026-12-31", 845, 925, 1015),
    ]
    .into_iter()
    .map(|(on, low, median, high)| FanPoint {
        day: day(on),
        low: mrem_of(low),
        median: mrem_of(median),
        high: mrem_of(high),
    })
    .collect();
    chart
}

/// Years that fill the paper: past every level, many levels, long words, another unit.
fn crowded() -> Vec<(&'static str, WorkerYear)> {
    let mut all = Vec::new();
    let mut passed = quiet_year();
    passed.steps = steps(20, 9, 20);
    passed.steps.push(Step {
        day: day("2026-08-14"),
        total: mrem_of(6100),
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
        .zip([
            Type::Limit,
            Type::Administrative,
            Type::Investigation,
            Type::Shift,
            Type::Limit,
        ])
        .map(|(mrem, kind)| level("one of several levels that lie close", mrem, kind))
        .collect();
    stacked.levels[0].used = Some(mrem_of(700));
    all.push(("stacked", stacked));

    let mut sievert = quiet_year();
    sievert.unit = DoseUnit::MilliSievert;
    sievert.span = Span {
        first: day("2025-07-01"),
        last: day("2026-06-30"),
    };
    sievert.title = "W12 Zo\u{eb} \u{141}ukasz <Example> & Sons, a title so long that it needs \
                     a second line, licensee year from 1 July 2025"
        .to_owned();
    sievert.steps = steps(40, 4, 0);
    sievert.levels = vec![
        level(
            "limit of one year, any five years 100 mSv",
            2000,
            Type::Limit,
        ),
        level("declared pregnancy, budget", 100, Type::Limit),
    ];
    all.push(("sievert", sievert));

    let mut quarter = quiet_year();
    quarter.steps = steps(40, 4, 0);
    quarter.levels[1].used = Some(mrem_of(12));
    quarter.levels[1].other_span = true;
    all.push(("quarter", quarter));
    all
}
