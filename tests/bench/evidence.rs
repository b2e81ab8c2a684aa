//! Invented parts, people and inspectors whose truth is known, and what the program says of them.

use wearbook::calendar::{Day, Span, parse_day};
use wearbook::dose::input::Reported;
use wearbook::dose::reconcile::{Comparison, judge};
use wearbook::dose::reconcile_mean::MeanRatio;
use wearbook::quantity::{Amount, AmountKind, AmountUnit, Dose, LengthUnit};
use wearbook::rule::{FiguresOf, ItemMeasurement, RuleSet, Sense, offer};
use wearbook::wear::forecast::{Pace, Terms};
use wearbook::wear::foreseen::Foreseeable;
use wearbook::wear::series::{Others, Point, Series};
use wearbook::wear::signal::{Measured, same_figure};

use super::dice::Dice;

const STEP: i64 = 100_000;
const LIMIT: i64 = 5_000_000;
/// Days from one inspection to the next that falls due.
const WITHIN: u64 = 92;

fn even(dice: &mut Dice, from: f64, to: f64) -> f64 {
    const SIDES: u64 = 1 << 53;
    from + (to - from) * (dice.roll(SIDES) as f64 + 0.5) / SIDES as f64
}

fn normal(dice: &mut Dice) -> f64 {
    let (far, turn) = (even(dice, 0.0, 1.0), even(dice, 0.0, std::f64::consts::TAU));
    (-2.0 * far.ln()).sqrt() * turn.cos()
}

fn day(after: u64) -> Day {
    parse_day("2020-01-01").expect("a day") + chrono::Days::new(after)
}

/// A gauge of 0.1 mm and a limit so many steps below a new part.
fn measure() -> ItemMeasurement {
    let nm = |it| Amount::from_count(AmountKind::Length, it);
    ItemMeasurement {
        unit: AmountUnit::Length(LengthUnit::Millimetre),
        nominal: None,
        limit: nm(LIMIT),
        warn: None,
        sense: Sense::NotBelow,
        step: nm(STEP),
        lowest: nm(1),
        highest: nm(100 * LIMIT),
        of: FiguresOf::List,
    }
}

/// A part: how many steps a new one is above its limit, after how many inspections it reaches it
/// (none: it does not wear), and how much its measures scatter, in steps.
#[derive(Clone, Copy)]
pub struct Part {
    pub room: f64,
    pub life: Option<f64>,
    pub scatter: f64,
}

/// Its measures, and the last inspection before it reached its limit.
fn measured(dice: &mut Dice, part: Part, inspections: usize) -> (Series, usize) {
    let (mut points, mut before) = (Vec::new(), 0);
    let (mut days, mut cycles) = (0, 0.0);
    for n in 0..inspections {
        let worn = part
            .life
            .map_or(0.0, |life| part.room * cycles / 1_000.0 / life);
        let left = part.room - worn;
        if left > 0.0 {
            before = n;
        }
        let read = (left + part.scatter * normal(dice)).round() as i64;
        points.push(Point {
            day: day(days),
            cycles: cycles as i64,
            count: LIMIT + read * STEP,
            entry: n as i64 + 1,
        });
        days += 75 + dice.roll(18);
        cycles += even(dice, 600.0, 1_400.0);
    }
    let series = Series {
        installed: None,
        ended: None,
        points,
    };
    (series, before)
}

/// What the forecasts said of parts.
#[derive(Debug, Default)]
pub struct Warned {
    pub parts: u32,
    /// Warned of at any inspection up to the last before the limit.
    pub warned: u32,
    /// Said to be foreseeable, by all measures.
    pub foreseeable: u32,
    /// Of those, the limit was reached within two inspections after that day.
    pub truly: u32,
    pub too_few: u32,
}

/// A share of a count, in per cent.
pub fn percent(some: u32, all: u32) -> f64 {
    100.0 * f64::from(some) / f64::from(all.max(1))
}

/// Parts beside `peers` others of their item, half of which wear.
pub fn warned(count: u32, room: f64, scatter: f64, peers: usize, wears: bool) -> Warned {
    let start = (room * 1_000.0 + scatter * 100.0) as u64 + peers as u64 + u64::from(wears);
    let mut dice = Dice::new(start);
    let measure = measure();
    let mut found = Warned::default();
    while found.parts < count {
        let life = wears.then(|| even(&mut dice, 6.0, 24.0));
        let part = Part {
            room,
            life,
            scatter,
        };
        let (all, before) = measured(&mut dice, part, 64);
        let others: Vec<Series> = (0..peers)
            .map(|_| {
                let life = dice.once_in(2).then(|| even(&mut dice, 6.0, 24.0));
                let inspections = 4 + dice.roll(9) as usize;
                measured(&mut dice, Part { life, ..part }, inspections).0
            })
            .collect();
        found.parts += 1;
        let at = |n: usize| Series {
            points: all.points[..=n].to_vec(),
            ..all.clone()
        };
        let last = if wears { before } else { 23 };
        found.warned += u32::from((0..=last).any(|n| warns(&at(n), &others, &measure)));
        // The part is taken out after the first inspection beyond its limit.
        let known = at(if wears { before + 1 } else { 23 });
        let next = |it: Day| Some(it + chrono::Days::new(WITHIN));
        match known.foreseeable(&measure, &others, next) {
            Foreseeable::Since(point) => {
                found.foreseeable += 1;
                let since = point.entry as usize - 1;
                found.truly += u32::from(wears && before < since + 2);
            }
            Foreseeable::TooFew => found.too_few += 1,
            Foreseeable::No => {}
        }
    }
    found
}

fn warns(known: &Series, others: &[Series], measure: &ItemMeasurement) -> bool {
    let (Some(first), Some(last)) = (known.points.first(), known.points.last()) else {
        return false;
    };
    let forecast = known.forecast(&Terms {
        measurement: measure,
        today: last.day,
        cycles_now: last.cycles,
        pace: Some(Pace {
            cycles: last.cycles - first.cycles,
            days: (last.day - first.day).num_days(),
        }),
        next_inspection: Some(last.day + chrono::Days::new(WITHIN)),
        others: Others::of(others, last.day),
    });
    forecast.warns
}

/// How often a part is said to have the same figure many times: a part that does not wear, read
/// `measures` times, of which the last `copied` are the figure before them again.
pub fn same(count: u32, scatter: f64, measures: usize, copied: usize) -> u32 {
    let mut dice = Dice::new(7 + (scatter * 1_000.0) as u64 + copied as u64);
    let measure = measure();
    let mut told = 0;
    for _ in 0..count {
        let room = even(&mut dice, 10.0, 11.0);
        let stable = Part {
            room,
            life: None,
            scatter,
        };
        let counts = |series: &Series| series.points.iter().map(|it| it.count).collect();
        let mut others: Vec<Vec<i64>> = Vec::new();
        for _ in 0..6 {
            let life = dice.once_in(2).then(|| even(&mut dice, 12.0, 40.0));
            others.push(counts(&measured(&mut dice, Part { life, ..stable }, 16).0));
        }
        let own: Vec<i64> = counts(&measured(&mut dice, stable, measures).0);
        let honest = measures - copied;
        let lines: Vec<Measured> = (0..measures)
            .map(|n| Measured {
                entry: n as i64,
                day: day(n as u64),
                count: own[if n < honest { n } else { honest - 1 }],
            })
            .collect();
        told += u32::from(!same_figure(&lines, &others, &measure).is_empty());
    }
    told
}

/// How a person's two dosimeters stand to each other, and how much they work.
#[derive(Clone, Copy)]
pub struct Pair {
    /// Readings over the truth of the badge: 1 where they agree.
    pub ratio: f64,
    /// How much the ratio of one dosimeter to another varies from person to person.
    pub between: f64,
    /// How much a badge's result varies about the truth.
    pub badge: f64,
    /// A usual month, mrem.
    pub month: f64,
}

/// What was said of people.
#[derive(Debug, Default)]
pub struct Told {
    pub people: u32,
    /// Said to differ on average at the last look.
    pub at_last: u32,
    /// At any look.
    pub ever: u32,
    /// One period looked into by itself, ever.
    pub alone: u32,
    /// Any of it, ever.
    pub any: u32,
}

/// People over some months, looked at after each of them over the twelve before.
pub fn people(count: u32, pair: Pair, months: usize) -> Told {
    let rule_set =
        RuleSet::parse(offer("10 CFR").expect("it is offered").text).expect("a rule set");
    let mut dice = Dice::new((pair.ratio * 1_000.0 + pair.badge * 100.0 + pair.month) as u64);
    let mut told = Told::default();
    for _ in 0..count {
        let bias = pair.ratio * (pair.between * normal(&mut dice)).exp();
        let usual = pair.month * (0.4 * normal(&mut dice)).exp();
        let all: Vec<Comparison> = (0..months)
            .map(|_| month(&mut dice, (bias, usual), pair.badge, &rule_set))
            .collect();
        let looks = (1..=months).map(|n| {
            let seen = MeanRatio::of(&all[n.saturating_sub(12)..n], &rule_set);
            seen.expect("small sums").verdict.differs()
        });
        let looks: Vec<bool> = looks.collect();
        let ever = looks.contains(&true);
        let alone = all.iter().any(|it| it.by_itself);
        told.people += 1;
        told.at_last += u32::from(looks.last() == Some(&true));
        told.ever += u32::from(ever);
        told.alone += u32::from(alone);
        told.any += u32::from(ever || alone);
    }
    told
}

/// A month of shifts: a dosimeter read to 1 mR at both ends of each, a badge to 1 mrem, which is
/// below the minimum under 10.
fn month(dice: &mut Dice, (bias, usual): (f64, f64), badge: f64, rule_set: &RuleSet) -> Comparison {
    const MREM: i64 = 10_000;
    let shifts = 8 + dice.roll(12);
    let weights: Vec<f64> = (0..shifts).map(|_| (0.8 * normal(dice)).exp()).collect();
    let whole = usual * (0.5 * normal(dice)).exp() / weights.iter().sum::<f64>();
    let (mut read, mut truth) = (0, 0.0);
    for weight in weights {
        let dose = whole * weight;
        let begin = even(dice, 0.0, 20.0);
        let end = begin + dose * bias * (0.08 * normal(dice)).exp();
        read += (end.round() - begin.round()).max(0.0) as i64;
        truth += dose;
    }
    let shown = (truth * (badge * normal(dice)).exp()).round() as i64;
    let readings = Dose::from_nsv(read * MREM);
    let result = match shown {
        ..10 => Reported::BelowMinimum {
            code: "M".into(),
            minimum: Dose::from_nsv(10 * MREM),
        },
        _ => Reported::Dose(Dose::from_nsv(shown * MREM)),
    };
    let (agreement, by_itself) = judge(readings, &result, rule_set);
    Comparison {
        wear: 1,
        badge: "B".to_owned(),
        days: Span {
            first: day(0),
            last: day(27),
        },
        shifts: Vec::new(),
        not_worn: 0,
        readings,
        result: Some(result),
        result_entry: None,
        difference: None,
        ratio_permille: None,
        agreement,
        by_itself,
    }
}
