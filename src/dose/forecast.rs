//! Where a worker's total is heading by the end of a window, mostly the year.
//!
//! Plain answers and chances stand beside each other, and neither is an average of the other:
//! the *rate* carries the dose so far on in a straight line, also at the rate of the worst
//! quarter; the *chances* say how far a total may stray and how likely each level is to be
//! passed, from the days behind (`worked`) by the distribution of a sum to come
//! (`stat::prediction`). Where the last 90 days differ from the time before (`change`) both
//! figures stand, and the chances of the levels are those of the last 90 days if these are more.
//!
//! "So far" is the conservative total, so that a forecast is never below what may
//! already have been received. A forecast is an estimate and clears nobody; every
//! [`Forecast`] carries in words what it assumes.

use chrono::Days;
use serde::Serialize;
use thiserror::Error;

use crate::calendar::{Day, Span};
use crate::quantity::{Dose, Overflow};
use crate::stat::prediction::Behind;

mod change;
mod question;
mod rate;
mod words;
mod worked;
pub use change::Change;
pub use question::{Mark, Question};
pub use rate::{FEW_DAYS, Rate, worst_quarter};
pub use words::per_cent;
use words::{assumptions, reason};
pub use worked::{FEWEST_SHIFTS, TooFew, Worked};

/// The line that stands with every forecast.
pub const CAUTION: &str = "an estimate, not authorization to work: the dose of record, the \
                           license, local law and the RSO decide";

/// Ends and middle of the 90 % band.
const BAND: [f64; 3] = [0.05, 0.50, 0.95];

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
    /// A total does not fit.
    #[error(transparent)]
    TooLarge(#[from] Overflow),
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
    /// The total at the end of the window by the plain rate.
    pub at_plain_rate: Option<Dose>,
    /// The total at the end of the window by the worst quarter's rate.
    pub at_worst_quarter: Option<Dose>,
    /// How the last 90 days differ from those before, where they do.
    pub change: Option<Change>,
    /// The distributions of the total, the one that the levels are judged by first; none if
    /// there are too few shifts or days.
    pub totals: Vec<Total>,
    /// Each level that was asked for.
    pub levels: Vec<LevelForecast>,
    /// Why there are no chances, if there are none.
    pub too_few: Option<String>,
    /// What the forecast takes for granted, a sentence each, the chief one first.
    pub assumes: Vec<String>,
}

/// The distribution of the total at the end of the window if it goes on as on some days.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Total {
    /// The days from which it is.
    pub like: Span,
    /// Those of them that count: all but long absences.
    pub days: i64,
    /// The shifts on them.
    pub shifts: usize,
    /// One chance in twenty that the total is at most this.
    pub low: Dose,
    /// As likely above as below.
    pub median: Dose,
    /// One chance in twenty that the total is above this.
    pub high: Dose,
}

/// One level in a forecast.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LevelForecast {
    /// The level.
    pub mark: Mark,
    /// Whether the dose so far is above it already.
    pub passed: bool,
    /// The day on which the plain rate passes it, if that is still to come within the window.
    pub at_plain_rate: Option<Day>,
    /// The day on which the worst quarter's rate passes it, in the same way.
    pub at_worst_quarter: Option<Day>,
    /// The chance of passing it; `None` if there are too few shifts or days, or if it is passed.
    pub chance: Option<Chance>,
}

/// The chance of passing a level within the window.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Chance {
    /// The probability that the total ends strictly above the level, never below `least`.
    pub above: f64,
    /// The least that so few days behind can tell from none.
    pub least: f64,
    /// Whether the computed probability is below `least`, and to be printed as "below" it.
    pub below: bool,
    /// The day by which the level is passed with one chance in twenty.
    pub early: Option<Day>,
    /// The day by which it is passed with an even chance.
    pub median: Option<Day>,
    /// The day by which it is passed with nineteen chances in twenty.
    pub late: Option<Day>,
}

/// What is drawn from, and from which days.
struct Basis {
    like: Span,
    behind: Behind,
}

/// Whatever a question can be answered from.
struct Bases {
    change: Option<Change>,
    /// The one that the levels are judged by first.
    all: Vec<Basis>,
    too_few: Option<TooFew>,
}

impl Bases {
    fn of(worked: &Worked) -> Bases {
        let basis = |like: Span| worked.tells(like).map(|behind| Basis { like, behind });
        let whole = basis(worked.span);
        let too_few = whole.as_ref().err().copied();
        let found = change::change(worked);
        let recent = found.and_then(|(_, recent)| basis(recent).ok());
        let change = found.map(|(change, _)| change);
        let mut all: Vec<Basis> = whole.into_iter().collect();
        if let Some(recent) = recent {
            let at = usize::from(change.is_some_and(|it| !it.more) && !all.is_empty());
            all.insert(at, recent);
        }
        Bases {
            change,
            too_few: too_few.filter(|_| all.is_empty()),
            all,
        }
    }
}

/// Makes the forecast.
///
/// A day of passing is `None` where the window ends before it; what comes after the
/// window counts for the next one.
///
/// # Errors
/// [`ForecastError`]: the window ends before it starts, or a total that does not fit.
pub fn forecast(question: &Question) -> Result<Forecast, ForecastError> {
    let days = ahead(question, question.until)?;
    let bases = Bases::of(&question.worked);
    let at_end = |rate: Option<Rate>| {
        rate.map(|r| r.total_after(question.so_far, days))
            .transpose()
    };
    let totals: Result<Vec<Total>, _> = bases
        .all
        .iter()
        .map(|it| total(question, it, days))
        .collect();
    let leads = bases.all.first();
    Ok(Forecast {
        so_far: question.so_far,
        on: question.on,
        until: question.until,
        at_plain_rate: at_end(question.plain)?,
        at_worst_quarter: at_end(question.worst_quarter)?,
        change: bases.change,
        totals: totals?,
        levels: question
            .marks
            .iter()
            .map(|mark| level(question, mark, leads.map(|it| &it.behind)))
            .collect(),
        too_few: bases.too_few.map(reason),
        assumes: assumptions(question, leads.map(|it| (it.like, &it.behind))),
    })
}

/// How the total may stand on each of several days up to the end of the window, in
/// their order; empty if there are too few shifts or days.
///
/// # Errors
/// As [`forecast`]; a day outside the window is [`ForecastError::EndsBefore`].
pub fn fan(question: &Question, days: &[Day]) -> Result<Vec<(Day, Total)>, ForecastError> {
    let bases = Bases::of(&question.worked);
    let Some(leads) = bases.all.first() else {
        return Ok(Vec::new());
    };
    let mut points = Vec::new();
    for day in days {
        if *day > question.until {
            return Err(ForecastError::EndsBefore {
                on: *day,
                until: question.until,
            });
        }
        points.push((*day, total(question, leads, ahead(question, *day)?)?));
    }
    Ok(points)
}

fn ahead(question: &Question, day: Day) -> Result<i64, ForecastError> {
    let days = day.signed_duration_since(question.on).num_days();
    if days < 0 {
        return Err(ForecastError::EndsBefore {
            on: question.on,
            until: day,
        });
    }
    Ok(days)
}

fn total(question: &Question, basis: &Basis, days: i64) -> Result<Total, Overflow> {
    let after = |probability: f64, round: fn(f64) -> f64| {
        let more = round(basis.behind.quantile(days, probability));
        // Whole numbers up to 2^53 are exact, and no dose is as large.
        if more.is_nan() || more >= (1u64 << 53) as f64 {
            return Err(Overflow);
        }
        question.so_far.checked_add(Dose::from_nsv(more as i64))
    };
    let [low, median, high] = BAND;
    Ok(Total {
        like: basis.like,
        days: question.worked.days_in(basis.like),
        shifts: question.worked.shifts_in(basis.like),
        low: after(low, f64::floor)?,
        median: after(median, f64::ceil)?,
        high: after(high, f64::ceil)?,
    })
}

fn level(question: &Question, mark: &Mark, behind: Option<&Behind>) -> LevelForecast {
    let passed = question.so_far > mark.dose;
    let by_rate = |rate: Option<Rate>| {
        let rate = rate.filter(|_| !passed)?;
        let days = rate.days_to_pass(question.so_far, mark.dose)?;
        let day = question
            .on
            .checked_add_days(Days::new(u64::try_from(days).ok()?))?;
        (day <= question.until).then_some(day)
    };
    let chance = behind.filter(|_| !passed);
    LevelForecast {
        mark: mark.clone(),
        passed,
        at_plain_rate: by_rate(question.plain),
        at_worst_quarter: by_rate(question.worst_quarter),
        chance: chance.map(|behind| chance_of(question, mark.dose, behind)),
    }
}

fn chance_of(question: &Question, level: Dose, behind: &Behind) -> Chance {
    let room = (i128::from(level.nsv()) - i128::from(question.so_far.nsv())) as f64;
    let days = question.until.signed_duration_since(question.on).num_days();
    let (above, least) = (behind.above(days, room), behind.least());
    let [early, median, late] = BAND.map(|wanted| {
        let day = first_day(days, |ahead| behind.above(ahead, room) >= wanted)?;
        let day = u64::try_from(day).ok()?;
        question.on.checked_add_days(Days::new(day))
    });
    Chance {
        above: above.max(least),
        least,
        below: above < least,
        early,
        median,
        late,
    }
}

/// The first of some days to come on which something holds that goes on holding.
fn first_day(days: i64, holds: impl Fn(i64) -> bool) -> Option<i64> {
    if days < 1 || !holds(days) {
        return None;
    }
    let (mut not, mut yes) = (0, days);
    while yes - not > 1 {
        let middle = i64::midpoint(not, yes);
        if holds(middle) {
            yes = middle;
        } else {
            not = middle;
        }
    }
    Some(yes)
}

#[cfg(test)]
mod tests;
