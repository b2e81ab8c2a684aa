//! Where a worker's year is heading, from the worker's own recent shifts.

use std::collections::{BTreeMap, HashMap};

use serde::Serialize;

use super::error::AnswerError;
use super::load::House;
use super::view::{DoseFigure, LevelLine, level_lines};
use crate::calendar::{Day, Span, Window, WindowFacts, months_on};
use crate::dose::forecast::{
    CAUTION, Forecast, ForecastError, Mark, Question, Rate, fan, forecast, worst_quarter,
};
use crate::dose::index::DoseIndex;
use crate::dose::input::History;
use crate::dose::level::Standing;
use crate::dose::shift::resolve;
use crate::ledger::Snapshot;
use crate::quantity::Dose;
use crate::record::RecordId;
use crate::rule::{Quantity, Tells, Terms};
use chrono::Datelike;

/// One level of a forecast, for people.
#[derive(Debug, Clone, Serialize)]
pub struct ForecastLine {
    /// The level in words.
    pub level: String,
    /// The day to which it is carried on: the last of the level's window, at most of the year.
    pub until: Day,
    /// The level's dose, less what missing quarters take.
    pub dose: DoseFigure,
    /// Whether it is passed already.
    pub passed: bool,
    /// The chance of passing it by the end, as a percentage or `below`.
    pub chance: String,
    /// The same as a number, where there is one.
    pub above: Option<f64>,
    /// When it is passed: early (5 %), middle and late (95 %) of the chances.
    pub dates: [Option<Day>; 3],
    /// When it is passed at the plain rate.
    pub at_plain_rate: Option<Day>,
    /// When it is passed at the worst quarter's rate.
    pub at_worst_quarter: Option<Day>,
}

/// Where the year is heading.
#[derive(Debug, Clone, Serialize)]
pub struct ForecastAnswer {
    /// The worker's id.
    pub worker: String,
    /// Full name.
    pub name: String,
    /// The day from which it looks ahead.
    pub on: Day,
    /// The last day of the year.
    pub until: Day,
    /// The unit of figures for people.
    pub unit: String,
    /// What the doses are called.
    #[serde(skip)]
    pub terms: Terms,
    /// The safe-side deep dose so far.
    pub so_far: DoseFigure,
    /// Why there is none: a dose without an upper bound cannot be carried on.
    pub withheld: Option<String>,
    /// Shifts that are expected until then.
    pub shifts_to_come: u32,
    /// How many recent shifts the chances are drawn from.
    pub recent_shifts: usize,
    /// The year's end in a straight line.
    pub at_plain_rate: Option<DoseFigure>,
    /// The year's end at the worst quarter's rate.
    pub at_worst_quarter: Option<DoseFigure>,
    /// The year's end, 5 %, 50 % and 95 % of the chances.
    pub band: Option<[DoseFigure; 3]>,
    /// The levels.
    pub levels: Vec<ForecastLine>,
    /// Why there are no chances.
    pub too_few: Option<String>,
    /// What it assumes.
    pub assumes: Vec<String>,
    /// The caution.
    pub caution: String,
    /// The scheme's caution.
    pub confirm: String,
}

/// How the total of a year may stand on one day to come, nanosievert.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct FanPoint {
    /// The day.
    pub day: Day,
    /// One chance in twenty that the total is at most this.
    pub low_nsv: i64,
    /// As likely above as below.
    pub median_nsv: i64,
    /// One chance in twenty that the total is above this.
    pub high_nsv: i64,
}

/// A forecast with the way to it, as a chart needs it.
#[derive(Debug, Clone, Serialize)]
pub struct AheadAnswer {
    /// The forecast.
    pub forecast: ForecastAnswer,
    /// The fan: from the end of each month to the end of the year. Empty where there
    /// are no chances.
    pub fan: Vec<FanPoint>,
}

/// What a forecast is made from, and whom it is about.
struct Asked {
    id: String,
    name: String,
    question: Question,
    /// The same for windows that end before the year.
    sooner: Vec<Question>,
    levels: Named,
    /// What is taken for granted of windows that move.
    moving: Option<String>,
    withheld: Option<String>,
    confirm: String,
}

impl Asked {
    fn answer(self, house: &House) -> Result<ForecastAnswer, AnswerError> {
        let found = forecast(&self.question).map_err(fault)?;
        let sooner: Result<Vec<Forecast>, _> = self.sooner.iter().map(forecast).collect();
        Ok(answer(house, self, found, sooner.map_err(fault)?))
    }
}

/// Where a worker's licensee year is heading on a day.
pub fn forecast_of(
    snapshot: &Snapshot<'_>,
    house: &House,
    worker: RecordId,
    on: Day,
) -> Result<ForecastAnswer, AnswerError> {
    asked(snapshot, house, worker, on)?.answer(house)
}

/// The same of a history that is loaded, and that reaches back over [`recent_span`].
pub(super) fn forecast_from(
    house: &House,
    history: &History,
    on: Day,
) -> Result<ForecastAnswer, AnswerError> {
    asked_from(house, history, on)?.answer(house)
}

/// The same with the way to the year's end.
pub fn ahead_of(
    snapshot: &Snapshot<'_>,
    house: &House,
    worker: RecordId,
    on: Day,
) -> Result<AheadAnswer, AnswerError> {
    let asked = asked(snapshot, house, worker, on)?;
    let mut points = Vec::new();
    if asked.withheld.is_none() && on < asked.question.until {
        points = fan(&asked.question, &month_ends(on, asked.question.until)).map_err(fault)?;
    }
    Ok(AheadAnswer {
        forecast: asked.answer(house)?,
        fan: points
            .iter()
            .map(|(day, total)| FanPoint {
                day: *day,
                low_nsv: total.low.nsv(),
                median_nsv: total.median.nsv(),
                high_nsv: total.high.nsv(),
            })
            .collect(),
    })
}

fn fault(error: ForecastError) -> AnswerError {
    AnswerError::Forecast(error.to_string())
}

/// The day itself, the ends of the months after it, and the last day.
fn month_ends(on: Day, until: Day) -> Vec<Day> {
    let mut days = vec![on];
    let first = on.with_day(1).unwrap_or(on);
    for months in 1..=24 {
        let end = months_on(first, months).pred_opt().unwrap_or(until);
        if on < end && end < until {
            days.push(end);
        }
    }
    days.push(until);
    days
}

/// Loads what a forecast on a day is made from.
fn asked(
    snapshot: &Snapshot<'_>,
    house: &House,
    worker: RecordId,
    on: Day,
) -> Result<Asked, AnswerError> {
    let scheme = house.scheme_on(on)?;
    let year = scheme.year_start.year(scheme.year_start.year_of(on));
    let wide = Span {
        first: recent_span(on).first.min(year.first),
        last: on,
    };
    let needed = house.span_needed(scheme, house.facts(worker)?, wide, on);
    asked_from(house, &house.history(snapshot, worker, needed)?, on)
}

/// What a forecast on a day is made from, of a history that is loaded.
fn asked_from(house: &House, history: &History, on: Day) -> Result<Asked, AnswerError> {
    let scheme = house.scheme_on(on)?;
    let unit = house.unit();
    let year = scheme.year_start.year(scheme.year_start.year_of(on));
    let back = recent_span(on);
    let index = DoseIndex::build(history)?;
    let so_far_span = Span {
        first: year.first,
        last: on,
    };
    let safe = index.safe(so_far_span, Quantity::Deep)?;
    let mut recent = Vec::new();
    for shift in history.shifts.iter().filter(|it| back.contains(it.day)) {
        if let Some(dose) = resolve(shift)?.and_then(|it| it.safe.known()) {
            recent.push(dose);
        }
    }
    let lines = level_lines(house, scheme, &history.facts, &index, on)?;
    let is_moving = |it: &Standing<'_>| it.level.over() == Some(Window::RollingTwelveMonths);
    let moving = lines.1.iter().any(is_moving);
    let (mut marks, named) = marks_of(&lines, safe.known(), year)?;
    let question = Question {
        so_far: safe.known(),
        on,
        until: year.last,
        shifts_to_come: shifts_to_come(recent.len(), back, on, year.last),
        marks: marks.remove(&year.last).unwrap_or_default(),
        plain: Some(Rate::over(safe.known(), &so_far_span)),
        worst_quarter: worst(&index, back)?,
        unit,
        recent,
    };
    let sooner = marks.into_iter().map(|(until, marks)| Question {
        until,
        shifts_to_come: shifts_to_come(question.recent.len(), back, on, until),
        marks,
        ..question.clone()
    });
    let sooner = sooner.collect();
    let undetermined = safe.undetermined > 0;
    let withheld = undetermined.then(|| {
        format!(
            "the dose so far is {}: without an upper bound there is no forecast",
            safe.text(unit)
        )
    });
    Ok(Asked {
        id: history.facts.id.clone(),
        name: history.facts.name.clone(),
        question,
        sooner,
        levels: named,
        moving: moving.then(|| {
            "of a window of twelve months nothing leaves it until then: the conservative side"
                .to_owned()
        }),
        withheld,
        confirm: scheme.caution_of(Tells::Levels),
    })
}

/// Marks by the day to which they are carried on.
type Marks = BTreeMap<Day, Vec<Mark>>;

/// By its key each level in words, and its dose less what missing quarters take.
type Named = HashMap<String, (String, Dose)>;

/// What may be passed above the dose of the year so far.
fn marks_of(
    (levels, standings): &(Vec<LevelLine>, Vec<Standing<'_>>),
    so_far: Dose,
    year: Span,
) -> Result<(Marks, Named), AnswerError> {
    let (mut marks, mut named) = (Marks::new(), Named::new());
    for (line, it) in levels.iter().zip(standings) {
        // Of a declared pregnancy nothing is told here.
        if it.level.quantity != Quantity::Deep || line.is_private || it.closed {
            continue;
        }
        let until = match it.level.over() {
            // As if nothing left the window until then: the conservative side.
            Some(Window::RollingTwelveMonths) => year.last,
            _ => it.window.last.min(year.last),
        };
        // Of a window that began at another day something else is used already: what is left
        // of it is the same room above the dose of the year.
        let room = it
            .limit
            .checked_sub(it.cut)?
            .checked_sub(it.used.safe.known())?;
        marks.entry(until).or_default().push(Mark {
            key: line.level.clone(),
            dose: so_far.checked_add(room)?,
        });
        let dose = it.limit.checked_sub(it.cut)?;
        named.insert(line.level.clone(), (line.words(), dose));
    }
    Ok((marks, named))
}

/// The twelve months that end on a day.
pub(super) fn recent_span(on: Day) -> Span {
    let months = Window::RollingTwelveMonths.spans(on, &WindowFacts::default());
    months.first().copied().unwrap_or(Span {
        first: on,
        last: on,
    })
}

/// Shifts until the end at the pace of the recent ones, rounded up.
fn shifts_to_come(recent: usize, back: Span, on: Day, until: Day) -> u32 {
    let days_left = (until - on).num_days().max(0);
    let shifts = i64::try_from(recent)
        .unwrap_or(i64::MAX)
        .saturating_mul(days_left);
    let days = back.days().max(1);
    u32::try_from(shifts.div_euclid(days) + i64::from(shifts.rem_euclid(days) != 0))
        .unwrap_or(u32::MAX)
}

/// The rate of the worst of the four quarters of the recent time.
fn worst(index: &DoseIndex, back: Span) -> Result<Option<Rate>, AnswerError> {
    let mut quarters = Vec::new();
    let mut first = back.first;
    for _ in 0..4 {
        let last = months_on(first, 3)
            .pred_opt()
            .unwrap_or(first)
            .min(back.last);
        if last < first {
            break;
        }
        let span = Span { first, last };
        quarters.push((span, index.safe(span, Quantity::Deep)?.known()));
        first = last.succ_opt().unwrap_or(last);
    }
    Ok(worst_quarter(&quarters))
}

fn answer(house: &House, asked: Asked, found: Forecast, sooner: Vec<Forecast>) -> ForecastAnswer {
    let Asked {
        id,
        name,
        question,
        sooner: _,
        levels: named,
        moving,
        withheld,
        confirm,
    } = asked;
    let figure = |dose: Dose| DoseFigure::new(dose, house.unit());
    let open = withheld.is_none();
    let all = [&found].into_iter().chain(&sooner);
    let levels = all
        .flat_map(|found| found.levels.iter().map(|it| (found.until, it)))
        .filter(|_| open)
        .filter_map(|(until, it)| Some((until, it, named.get(&it.mark.key)?)))
        .map(|(until, it, (words, dose))| ForecastLine {
            level: words.clone(),
            until,
            dose: figure(*dose),
            passed: it.passed,
            chance: it.chance.as_ref().map_or("-".to_owned(), |chance| {
                percent(chance.above, chance.finest)
            }),
            above: it.chance.as_ref().map(|chance| chance.above),
            dates: it
                .chance
                .as_ref()
                .map(|chance| [chance.early, chance.median, chance.late])
                .unwrap_or_default(),
            at_plain_rate: it.at_plain_rate,
            at_worst_quarter: it.at_worst_quarter,
        })
        .collect();
    ForecastAnswer {
        worker: id,
        name,
        on: found.on,
        until: found.until,
        unit: house.unit().symbol().to_owned(),
        terms: house.terms(),
        so_far: figure(found.so_far),
        shifts_to_come: found.shifts_to_come,
        recent_shifts: question.recent.len(),
        at_plain_rate: found.at_plain_rate.filter(|_| open).map(figure),
        at_worst_quarter: found.at_worst_quarter.filter(|_| open).map(figure),
        band: found
            .total
            .filter(|_| open)
            .map(|it| [figure(it.low), figure(it.median), figure(it.high)]),
        levels,
        too_few: found.too_few,
        assumes: found.assumes.into_iter().chain(moving).collect(),
        withheld,
        caution: CAUTION.to_owned(),
        confirm,
    }
}

/// A chance as people read it; rounded up, and `below` where the sum cannot
/// tell it from zero.
fn percent(chance: f64, finest: f64) -> String {
    const LEAST_SHOWN: f64 = 0.001;
    if chance < finest.max(LEAST_SHOWN) {
        return "below 0.1 %".to_owned();
    }
    let tenths = (chance * 1000.0).ceil() / 10.0;
    format!("{:.1} %", tenths.min(100.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Day {
        crate::calendar::parse_day(text).unwrap()
    }

    #[test]
    fn recent_is_twelve_months_and_no_day_more() {
        for (on, first) in [("2026-06-05", "2025-06-06"), ("2024-02-29", "2023-03-01")] {
            assert_eq!(recent_span(day(on)).first, day(first), "{on}");
        }
    }

    #[test]
    fn shifts_to_come_are_rounded_up() {
        let back = Span {
            first: day("2025-06-06"),
            last: day("2026-06-05"),
        };
        assert_eq!(
            shifts_to_come(100, back, day("2026-06-05"), day("2026-12-31")),
            58
        );
        assert_eq!(
            shifts_to_come(0, back, day("2026-06-05"), day("2026-12-31")),
            0
        );
        assert_eq!(
            shifts_to_come(100, back, day("2026-12-31"), day("2026-12-31")),
            0
        );
    }

    #[test]
    fn a_chance_never_looks_smaller_than_it_is() {
        assert_eq!(percent(0.0, 1e-10), "below 0.1 %");
        assert_eq!(percent(0.00101, 1e-10), "0.2 %");
        assert_eq!(percent(0.25, 1e-10), "25.0 %");
        assert_eq!(percent(1.0, 1e-10), "100.0 %");
    }
}
