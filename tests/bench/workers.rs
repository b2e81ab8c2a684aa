//! Invented workers whose true dose to come is known, and how often a forecast holds what it says
//! of them. Seeded: the same workers in every run.

use wearbook::calendar::{Day, Span, parse_day};
use wearbook::dose::forecast::{Forecast, Mark, Question, Worked, forecast};
use wearbook::quantity::{Dose, DoseUnit};

use super::dice::Dice;

/// The last day behind each forecast.
const ON: &str = "2026-06-30";

/// How the dose of a class of workers comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// The same work all year.
    Steady,
    /// Thirty shifts a year or so.
    FewShifts,
    /// The same work for three months.
    HiredThreeMonthsAgo,
    /// Two to four times the dose since 90 days ago.
    StepUp,
    /// Two fifths of the dose since 90 days ago.
    StepDown,
    /// Jobs of two to sixteen weeks, each with a level of its own.
    ByJobs,
    /// Four weeks on, four weeks off.
    FourWeeksOff,
    /// Away for two to four months of the year behind, and not in the time to come.
    WasAway,
}

impl Class {
    /// All of them, as a table calls them.
    pub const ALL: [(Self, &'static str); 8] = [
        (Self::Steady, "steady"),
        (Self::FewShifts, "few shifts"),
        (Self::HiredThreeMonthsAgo, "hired three months ago"),
        (Self::StepUp, "step up 90 days ago"),
        (Self::StepDown, "step down 90 days ago"),
        (Self::ByJobs, "alike within a job"),
        (Self::FourWeeksOff, "four weeks on, four off"),
        (Self::WasAway, "was away for months"),
    ];
}

/// What became of the forecasts of a class.
#[derive(Clone, Copy, Debug, Default)]
pub struct Held {
    /// Forecasts.
    pub workers: u32,
    /// Those with chances.
    pub drawn: u32,
    /// Of them: the true total was inside the band.
    pub inside: u32,
    /// Below it.
    pub under: u32,
    /// Above it.
    pub over: u32,
    /// The last 90 days were said to differ.
    pub differs: u32,
    /// Levels of which the chance was said to be below the least that can be told.
    pub unlikely: u32,
    /// Of them: passed.
    pub passed: u32,
}

impl Held {
    /// A share of the forecasts with chances, in per cent.
    pub fn share(&self, of: u32) -> f64 {
        100.0 * f64::from(of) / f64::from(self.drawn.max(1))
    }

    /// The share of the levels called unlikely that were passed, in per cent.
    pub fn share_passed(&self) -> f64 {
        100.0 * f64::from(self.passed) / f64::from(self.unlikely.max(1))
    }
}

/// Forecasts of so many workers of a class, held against what came.
pub fn held(class: Class, workers: u32) -> Held {
    let mut dice = Dice::new(15 + class as u64);
    let mut held = Held::default();
    for _ in 0..workers {
        let (question, came) = worker(class, &mut dice);
        let made = forecast(&question).expect("a forecast");
        held.workers += 1;
        held.differs += u32::from(made.change.is_some());
        judge(&mut held, &made, question.so_far.nsv() + came);
    }
    held
}

fn judge(held: &mut Held, made: &Forecast, total: i64) {
    let Some(band) = made.totals.first() else {
        return;
    };
    held.drawn += 1;
    held.under += u32::from(total < band.low.nsv());
    held.over += u32::from(total > band.high.nsv());
    held.inside = held.drawn - held.under - held.over;
    for level in &made.levels {
        if level.chance.is_some_and(|it| it.below) {
            held.unlikely += 1;
            held.passed += u32::from(total > level.mark.dose.nsv());
        }
    }
}

/// A worker's question, and the true dose to come in nanosievert.
fn worker(class: Class, dice: &mut Dice) -> (Question, i64) {
    let behind = match class {
        Class::HiredThreeMonthsAgo => 91,
        _ => 365,
    };
    let ahead = 60 + dice.roll(210) as usize;
    let often = match class {
        Class::FewShifts => 0.08,
        _ => 0.35 + 0.3 * share(dice),
    };
    let mean = 25.0 * (0.5 * normal(dice)).exp();
    let levels = levels(class, behind, ahead, dice);
    let doses: Vec<Option<f64>> = levels
        .iter()
        .map(|level| {
            let works = share(dice) < often && *level > 0.0;
            // Mostly small, a few large.
            let usv = mean * level * (normal(dice) - 0.5).exp();
            let usv = if dice.once_in(40) { 5.0 * usv } else { usv };
            works.then(|| usv.round())
        })
        .collect();
    let (past, future) = doses.split_at(behind);
    let came: f64 = future.iter().flatten().sum();
    let on: Day = parse_day(ON).expect("a day");
    let span = Span {
        first: on - chrono::Days::new(behind as u64 - 1),
        last: on,
    };
    let worked: Vec<(Day, Dose)> = span
        .each_day()
        .zip(past)
        .filter_map(|(day, usv)| Some((day, whole((*usv)?))))
        .collect();
    let shifts = worked.iter().map(|it| it.0).collect();
    let so_far = whole(past.iter().rev().take(180).flatten().sum());
    let expected: f64 = past.iter().flatten().sum::<f64>() * ahead as f64 / behind as f64;
    let mark = |times: f64| Mark {
        key: format!("{times}"),
        dose: Dose::from_nsv(so_far.nsv() + whole(expected * times).nsv()),
    };
    let question = Question {
        so_far,
        on,
        until: on + chrono::Days::new(ahead as u64),
        worked: Worked::new(span, worked, shifts),
        marks: [1.5, 2.0, 3.0, 5.0].map(mark).into(),
        plain: None,
        worst_quarter: None,
        unit: DoseUnit::MicroSievert,
    };
    (question, whole(came).nsv())
}

/// The level of the work on each day; zero where nobody works.
fn levels(class: Class, behind: usize, ahead: usize, dice: &mut Dice) -> Vec<f64> {
    let mut levels = vec![1.0; behind + ahead];
    let (from, to) = levels.split_at_mut(behind.saturating_sub(90));
    match class {
        Class::Steady | Class::FewShifts | Class::HiredThreeMonthsAgo => {}
        Class::StepUp => {
            let step = 2.0 + 2.0 * share(dice);
            to.fill(step);
        }
        Class::StepDown => to.fill(0.4),
        Class::ByJobs => {
            let mut left = dice.roll(56);
            let mut level = (0.6 * normal(dice) - 0.18).exp();
            for it in from.iter_mut().chain(to) {
                if left == 0 {
                    left = 14 + dice.roll(98);
                    level = (0.6 * normal(dice) - 0.18).exp();
                }
                left -= 1;
                *it = level;
            }
        }
        Class::FourWeeksOff => {
            let phase = dice.roll(56) as usize;
            for (at, it) in levels.iter_mut().enumerate() {
                *it = f64::from(u8::from((at + phase) % 56 < 28));
            }
        }
        Class::WasAway => {
            let days = 60 + dice.roll(60) as usize;
            let first = dice.roll((behind - days) as u64) as usize;
            for it in levels.iter_mut().skip(first).take(days) {
                *it = 0.0;
            }
        }
    }
    levels
}

fn whole(usv: f64) -> Dose {
    Dose::from_nsv(usv.round() as i64 * 1_000)
}

/// From 0 to 1.
fn share(dice: &mut Dice) -> f64 {
    (dice.roll(1 << 53) as f64 + 0.5) / (1u64 << 53) as f64
}

/// Normal of mean 0 and variance 1 (G. E. P. Box and M. E. Muller, Ann. Math. Stat. 29 (1958) 610).
fn normal(dice: &mut Dice) -> f64 {
    let radius = (-2.0 * share(dice).ln()).sqrt();
    radius * (std::f64::consts::TAU * share(dice)).cos()
}
