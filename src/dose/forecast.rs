//! Where a worker's total is heading by the end of a window, mostly the year.
//!
//! Two plain answers stand beside each other and neither is an average of the
//! other: the *rate* carries the dose so far on in a straight line, also at the
//! rate of the worst quarter; the *chances* draw every shift to come from the
//! recent ones and add them up exactly (`stat::convolution`), which shows how far
//! a total may stray and how likely each level is to be passed.
//!
//! "So far" is the safe-side figure, so that a forecast is never below what may
//! already have been received. A forecast is an estimate and clears nobody; every
//! [`Forecast`] carries in words what it assumes.

use crate::calendar::Day;
use crate::quantity::{Dose, DoseUnit, Overflow};
use crate::stat::convolution::{ConvolutionError, ErrorBound, ShiftDoses, Totals};
use chrono::Days;
use serde::Serialize;
use thiserror::Error;

mod rate;
mod words;
pub use rate::{Rate, worst_quarter};
use words::assumptions;

/// Fewest recent shifts from which chances are drawn; with fewer, rates only.
///
/// The band runs from 5 % to 95 %: one case in twenty on either side. A dose that
/// comes once in twenty shifts is missing from twenty shifts with a chance of
/// 0.95^20 = 36 % already; with fewer the upper end would be mostly guesswork.
pub const FEWEST_SHIFTS: usize = 20;

/// The line that stands with every forecast.
pub const CAUTION: &str = "an estimate, no clearance: the dose of record, the licence, local law \
    and the RSO decide";

/// Ends and middle of the 90 % band.
const BAND: [f64; 3] = [0.05, 0.50, 0.95];

const NSV_PER_USV: u64 = 1_000;

/// Why there is no forecast.
#[derive(Clone, Copy, Debug, Error, PartialEq, Eq)]
pub enum ForecastError {
    /// The window ended before the day the forecast starts from.
    #[error("the window ends on `{until}`, before `{on}`, the last day of the dose so far")]
    EndsBefore {
        /// Last day that the dose so far covers.
        on: Day,
        /// Last day of the window.
        until: Day,
    },
    /// The shifts cannot be added up.
    #[error(transparent)]
    Shifts(#[from] ConvolutionError),
    /// A total does not fit.
    #[error(transparent)]
    TooLarge(#[from] Overflow),
}

/// A level that a total may pass: strictly above it is passed, at it is not.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Mark {
    /// The level's key in the scheme.
    pub key: String,
    /// The level.
    pub dose: Dose,
}

/// What a forecast is made from.
#[derive(Clone, Debug)]
pub struct Question {
    /// The dose so far in the window, by the safe-side figure.
    pub so_far: Dose,
    /// The last day that the dose so far covers.
    pub on: Day,
    /// The last day of the window.
    pub until: Day,
    /// The dose of each recent shift, shifts without dose included.
    pub recent: Vec<Dose>,
    /// The shifts that the worker is expected to work from the day after `on`.
    pub shifts_to_come: u32,
    /// The levels to be watched.
    pub marks: Vec<Mark>,
    /// The plain rate, mostly the dose so far over the days so far.
    pub plain: Option<Rate>,
    /// The rate of the worst quarter; see [`worst_quarter`].
    pub worst_quarter: Option<Rate>,
    /// The unit for doses in the words.
    pub unit: DoseUnit,
}

/// A forecast with all that a reader needs to judge it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Forecast {
    /// The dose so far, as in the question.
    pub so_far: Dose,
    /// The last day that it covers.
    pub on: Day,
    /// The last day of the window.
    pub until: Day,
    /// The shifts to come, as in the question.
    pub shifts_to_come: u32,
    /// The total at the end of the window by the plain rate.
    pub at_plain_rate: Option<Dose>,
    /// The total at the end of the window by the worst quarter's rate.
    pub at_worst_quarter: Option<Dose>,
    /// The distribution of the total; `None` if there are too few recent shifts.
    pub total: Option<Total>,
    /// Each level that was asked for.
    pub levels: Vec<LevelForecast>,
    /// Why there are no chances, if there are none.
    pub too_few: Option<String>,
    /// What the forecast takes for granted, a sentence each.
    pub assumes: Vec<String>,
}

/// The distribution of the total at the end of the window.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Total {
    /// One chance in twenty that the total is at most this.
    pub low: Dose,
    /// As likely above as below.
    pub median: Dose,
    /// One chance in twenty that the total is above this.
    pub high: Dose,
    /// If every shift to come brought the largest recent dose.
    pub largest: Dose,
}

/// One level in a forecast.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LevelForecast {
    /// The level.
    pub mark: Mark,
    /// Whether the dose so far is above it already.
    pub passed: bool,
    /// The day on which the plain rate passes it, if that is within the window.
    pub at_plain_rate: Option<Day>,
    /// The day on which the worst quarter's rate passes it, if within the window.
    pub at_worst_quarter: Option<Day>,
    /// The chance of passing it; `None` if there are too few recent shifts.
    pub chance: Option<Chance>,
}

/// The chance of passing a level within the window.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Chance {
    /// The probability that the total ends strictly above the level.
    pub above: f64,
    /// The smallest probability that can be told from none; 0 if all can. A figure
    /// below it is to be printed as "below" this.
    pub finest: f64,
    /// The day by which the level is passed with one chance in twenty.
    pub early: Option<Day>,
    /// The day by which it is passed with an even chance.
    pub median: Option<Day>,
    /// The day by which it is passed with nineteen chances in twenty.
    pub late: Option<Day>,
}

/// Makes the forecast.
///
/// A day of passing is `None` where the window ends before it; what comes after the
/// window counts for the next one.
///
/// # Errors
/// [`ForecastError`]: the window ends before it starts, more shifts than a year can
/// hold, or a total that does not fit.
pub fn forecast(question: &Question) -> Result<Forecast, ForecastError> {
    let days = question.until.signed_duration_since(question.on).num_days();
    if days < 0 {
        return Err(ForecastError::EndsBefore {
            on: question.on,
            until: question.until,
        });
    }
    let at_end = |rate: Option<Rate>| {
        rate.map(|r| r.total_after(question.so_far, days))
            .transpose()
    };
    let have = question.recent.len();
    let draws = if have < FEWEST_SHIFTS {
        None
    } else {
        Some(draws(question)?)
    };
    let total = draws
        .as_ref()
        .map(|draws| total(question, draws))
        .transpose()?;
    let too_few = total.is_none().then(|| {
        format!(
            "{have} recent shifts are too few to draw chances from (at least {FEWEST_SHIFTS}): \
             rates only"
        )
    });
    Ok(Forecast {
        so_far: question.so_far,
        on: question.on,
        until: question.until,
        shifts_to_come: question.shifts_to_come,
        at_plain_rate: at_end(question.plain)?,
        at_worst_quarter: at_end(question.worst_quarter)?,
        total,
        levels: question
            .marks
            .iter()
            .map(|mark| level(question, mark, draws.as_ref()))
            .collect(),
        too_few,
        assumes: assumptions(question, draws.as_ref().map(|draws| &draws.shifts)),
    })
}

/// How the total may stand on each of several days up to the end of the window, in
/// their order; empty if there are too few recent shifts. The shifts to come stand as
/// in the days of passing: each on the first day of its part, rather too early.
///
/// # Errors
/// As [`forecast`]; a day outside the window is [`ForecastError::EndsBefore`].
pub fn fan(question: &Question, days: &[Day]) -> Result<Vec<(Day, Total)>, ForecastError> {
    let whole = (question.until - question.on).num_days();
    let mut points = Vec::new();
    for day in days {
        let ahead = (*day - question.on).num_days();
        if ahead < 0 || ahead > whole {
            return Err(ForecastError::EndsBefore {
                on: question.on,
                until: *day,
            });
        }
        let shifts = i64::from(question.shifts_to_come).saturating_mul(ahead);
        let shifts = shifts.saturating_add(whole - 1).checked_div(whole);
        let part = Question {
            until: *day,
            shifts_to_come: u32::try_from(shifts.unwrap_or(0)).unwrap_or(u32::MAX),
            marks: Vec::new(),
            ..question.clone()
        };
        points.extend(forecast(&part)?.total.map(|total| (*day, total)));
    }
    Ok(points)
}

// The recent shifts in whole microsievert, and their sum over the shifts to come.
struct Draws {
    shifts: ShiftDoses,
    sum: Totals,
}

fn draws(question: &Question) -> Result<Draws, ForecastError> {
    let recent: Vec<u64> = question
        .recent
        .iter()
        .map(|dose| whole_usv(*dose))
        .collect();
    let shifts = ShiftDoses::new(&recent, question.shifts_to_come)?;
    let sum = shifts.totals();
    Ok(Draws { shifts, sum })
}

// Up to the next microsievert, and from zero where a correction left less than none:
// neither can make a forecast lower.
fn whole_usv(dose: Dose) -> u64 {
    u64::try_from(dose.nsv()).unwrap_or(0).div_ceil(NSV_PER_USV)
}

fn total(question: &Question, draws: &Draws) -> Result<Total, Overflow> {
    let after = |usv: u64| {
        let more = usv
            .checked_mul(NSV_PER_USV)
            .and_then(|nsv| i64::try_from(nsv).ok());
        question
            .so_far
            .checked_add(Dose::from_nsv(more.ok_or(Overflow)?))
    };
    let [low, median, high] = BAND.map(|p| draws.sum.quantile_usv(p));
    Ok(Total {
        low: after(low)?,
        median: after(median)?,
        high: after(high)?,
        largest: after(draws.sum.largest_usv())?,
    })
}

fn level(question: &Question, mark: &Mark, draws: Option<&Draws>) -> LevelForecast {
    let by_rate = |rate: Option<Rate>| {
        let days = rate?.days_to_pass(question.so_far, mark.dose)?;
        let day = question
            .on
            .checked_add_days(Days::new(u64::try_from(days).ok()?))?;
        (day <= question.until).then_some(day)
    };
    let passed = question.so_far > mark.dose;
    LevelForecast {
        mark: mark.clone(),
        passed,
        at_plain_rate: if passed {
            Some(question.on)
        } else {
            by_rate(question.plain)
        },
        at_worst_quarter: if passed {
            Some(question.on)
        } else {
            by_rate(question.worst_quarter)
        },
        chance: draws.map(|draws| chance(question, mark.dose, draws)),
    }
}

fn chance(question: &Question, level: Dose, draws: &Draws) -> Chance {
    // A level below zero would be passed as well, so the room is the only question.
    let room = i128::from(level.nsv()) - i128::from(question.so_far.nsv());
    let Ok(room_nsv) = u64::try_from(room) else {
        let on = Some(question.on);
        return Chance {
            above: 1.0,
            finest: 0.0,
            early: on,
            median: on,
            late: on,
        };
    };
    // A sum of whole microsievert is above the room exactly if it is above its whole part.
    let room_usv = room_nsv / NSV_PER_USV;
    let above = draws.sum.probability_above(room_usv);
    let finest = match draws.sum.error() {
        ErrorBound::Relative(_) => 0.0,
        ErrorBound::Absolute(error) => error,
    };
    let [early, median, late] = if above < BAND[0] {
        [None; 3]
    } else {
        let shifts = draws.shifts.shifts_to_pass(room_usv, &BAND);
        [0, 1, 2].map(|i| day_of_shift(question, shifts.get(i).copied().flatten()?))
    };
    Chance {
        above,
        finest,
        early,
        median,
        late,
    }
}

// The days to come are cut into as many equal parts as there are shifts, and a shift
// stands on the first day of its part: rather too early than too late.
fn day_of_shift(question: &Question, shift: u32) -> Option<Day> {
    let days = question.until.signed_duration_since(question.on).num_days();
    let before = i64::from(shift) - 1;
    let whole = before
        .checked_mul(days)?
        .checked_div(i64::from(question.shifts_to_come))?;
    let day = question
        .on
        .checked_add_days(Days::new(u64::try_from(whole + 1).ok()?))?;
    Some(day.min(question.until))
}

#[cfg(test)]
mod tests;
