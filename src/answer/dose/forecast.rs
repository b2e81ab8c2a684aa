//! Where a worker's year is heading, from the worker's own recent shifts.

use std::collections::{BTreeMap, HashMap};

use chrono::Datelike;
use serde::Serialize;

use super::crew::is_told;
use super::forecast_behind::{open_words, rate_of, recent_span, worked, worst};
use super::strength::{Way, rounded};
use crate::answer::context::error::AnswerError;
use crate::answer::context::here::NO_RECORD;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::context::view::{DoseFigure, LevelLine, level_lines};
use crate::calendar::{Day, Span, Window, months_on};
use crate::dose::forecast::{
    CAUTION, Change, Forecast, ForecastError, Mark, Question, Total, fan, forecast, per_cent,
};
use crate::dose::index::DoseIndex;
use crate::dose::input::History;
use crate::dose::level::Standing;
use crate::quantity::{Dose, DoseUnit};
use crate::record::RecordId;
use crate::rule::{Quantity, Tells, Terms};

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
    /// The chance of passing it by the end as a number, where there is one; never below what
    /// the days behind can tell.
    pub above: Option<f64>,
    /// Whether it is below that number.
    pub below: bool,
    /// When it is passed: early (5 %), middle and late (95 %) of the chances.
    pub dates: [Option<Day>; 3],
    /// When it is passed at the plain rate; nothing where it is passed already.
    pub at_plain_rate: Option<Day>,
    /// When it is passed at the worst quarter's rate, in the same way.
    pub at_worst_quarter: Option<Day>,
}

impl ForecastLine {
    /// The chance as people read it, rounded up; nothing where there is none.
    pub fn chance_words(&self) -> Option<String> {
        let below = if self.below { "below " } else { "" };
        self.above.map(|it| format!("{below}{}", per_cent(it)))
    }
}

/// The year's end if work goes on as on some days.
#[derive(Debug, Clone, Serialize)]
pub struct EndLine {
    /// The days.
    pub like: Span,
    /// Those of them that count: all but long absences.
    pub days: i64,
    /// The shifts on them.
    pub shifts: usize,
    /// The year's end, 5 %, 50 % and 95 % of the chances.
    pub band: [DoseFigure; 3],
}

/// How the last 90 days differ from those before.
#[derive(Debug, Clone, Serialize)]
pub struct ChangeLine {
    /// Whether they brought more; else less.
    pub more: bool,
    /// From which day on.
    pub first: Day,
    /// Those of them that count.
    pub days: i64,
    /// The shifts on them.
    pub shifts: usize,
    /// What they brought.
    pub dose: DoseFigure,
    /// What was to be expected, 10 % and 90 % of the chances.
    pub expected: [DoseFigure; 2],
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
    /// The conservative deep dose so far.
    pub so_far: DoseFigure,
    /// Why there is none: a dose without an upper bound cannot be carried on.
    pub withheld: Option<String>,
    /// The days behind that it looks at.
    pub behind: Span,
    /// The shifts on them.
    pub recent_shifts: usize,
    /// The days of the year so far that the plain rate is of.
    pub rate_days: Option<i64>,
    /// The year's end in a straight line.
    pub at_plain_rate: Option<DoseFigure>,
    /// The days of the worst quarter.
    pub worst_days: Option<i64>,
    /// The year's end at the worst quarter's rate.
    pub at_worst_quarter: Option<DoseFigure>,
    /// How the last 90 days differ from those before, where they do.
    pub change: Option<ChangeLine>,
    /// The year's end by chance; the first is what the levels are judged by.
    pub ends: Vec<EndLine>,
    /// The levels.
    pub levels: Vec<ForecastLine>,
    /// Why there are no chances.
    pub too_few: Option<String>,
    /// What it assumes.
    pub assumes: Vec<String>,
    /// The caution.
    pub caution: String,
    /// The rule set's caution.
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
    /// What is taken for granted besides.
    besides: Vec<String>,
    withheld: Option<String>,
    /// Whether the ledger holds anything of the year so far.
    told: bool,
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
    house: &OpenHouse<'_>,
    worker: RecordId,
    on: Day,
) -> Result<ForecastAnswer, AnswerError> {
    asked(house, worker, on)?.answer(house)
}

/// The same of a history that is loaded, and that reaches back over [`recent_span`].
pub(crate) fn forecast_from(
    house: &House,
    history: &History,
    on: Day,
) -> Result<ForecastAnswer, AnswerError> {
    asked_from(house, history, on)?.answer(house)
}

/// The same with the way to the year's end.
pub fn ahead_of(
    house: &OpenHouse<'_>,
    worker: RecordId,
    on: Day,
) -> Result<AheadAnswer, AnswerError> {
    let asked = asked(house, worker, on)?;
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
fn asked(house: &OpenHouse<'_>, worker: RecordId, on: Day) -> Result<Asked, AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    let year = rule_set.year_start.year(rule_set.year_start.year_of(on));
    let wide = Span {
        first: recent_span(on).first.min(year.first),
        last: on,
    };
    let needed = house.span_needed(rule_set, house.facts(worker)?, wide, on);
    asked_from(house, &house.history(worker, needed)?, on)
}

/// What a forecast on a day is made from, of a history that is loaded.
fn asked_from(house: &House, history: &History, on: Day) -> Result<Asked, AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    let unit = house.unit();
    let year = rule_set.year_start.year(rule_set.year_start.year_of(on));
    let index = DoseIndex::build(history)?;
    let so_far_span = Span {
        first: year.first,
        last: on,
    };
    let safe = index.safe(so_far_span, Quantity::Deep)?;
    let (worked, open) = worked(history, &index, recent_span(on))?;
    let lines = level_lines(house, rule_set, &history.facts, &index, on)?;
    let is_moving = |it: &Standing<'_>| it.level.over() == Some(Window::RollingTwelveMonths);
    let moving = lines.1.iter().any(is_moving);
    let (mut marks, named) = marks_of(&lines, safe.known(), year)?;
    let told = is_told(&safe);
    let is_empty = !told && worked.shifts.is_empty();
    let question = Question {
        so_far: safe.known(),
        on,
        until: year.last,
        marks: marks.remove(&year.last).unwrap_or_default(),
        // Days of which there is no record have no rate.
        plain: rate_of(&index, &worked, so_far_span)?.filter(|_| told),
        worst_quarter: worst(&index, &worked)?,
        unit,
        worked,
    };
    let sooner = marks.into_iter().map(|(until, marks)| Question {
        until,
        marks,
        ..question.clone()
    });
    let sooner = sooner.collect();
    let withheld = match safe.undetermined > 0 {
        true => Some(format!(
            "the dose so far is {}: without an upper bound there is no forecast",
            safe.text(unit)
        )),
        false => is_empty.then(|| {
            "the ledger holds nothing of this person, in the year and in the twelve months before: \
             that is not zero, and nothing can be carried on"
                .to_owned()
        }),
    };
    Ok(Asked {
        id: history.facts.id.clone(),
        name: history.facts.name.clone(),
        question,
        sooner,
        levels: named,
        besides: [
            moving.then(|| {
                "of a window of twelve months nothing leaves it until then: the conservative side"
                    .to_owned()
            }),
            open_words(open),
        ]
        .into_iter()
        .flatten()
        .collect(),
        withheld,
        told,
        confirm: rule_set.caution_of(Tells::Levels),
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

fn answer(house: &House, asked: Asked, found: Forecast, sooner: Vec<Forecast>) -> ForecastAnswer {
    let Asked {
        id,
        name,
        question,
        sooner: _,
        levels: named,
        besides,
        withheld,
        told,
        confirm,
    } = asked;
    let unit = house.unit();
    let figure = |dose: Dose, way| DoseFigure {
        nsv: dose.nsv(),
        shown: rounded(dose, way, unit),
    };
    let up = |dose: Dose| figure(dose, Way::Up);
    let open = withheld.is_none();
    let all = [&found].into_iter().chain(&sooner).filter(|_| open);
    let levels = lines(all, &named, unit);
    let end = |it: &Total| EndLine {
        like: it.like,
        days: it.days,
        shifts: it.shifts,
        band: [figure(it.low, Way::Down), up(it.median), up(it.high)],
    };
    let change = |it: &Change| ChangeLine {
        more: it.more,
        first: it.first,
        days: it.days,
        shifts: it.shifts,
        dose: figure(it.dose, Way::Nearest),
        expected: [it.low, it.high].map(|it| figure(it, Way::Nearest)),
    };
    ForecastAnswer {
        worker: id,
        name,
        on: found.on,
        until: found.until,
        unit: house.unit().symbol().to_owned(),
        terms: house.terms(),
        so_far: DoseFigure {
            nsv: found.so_far.nsv(),
            shown: match told {
                true => found.so_far.display(unit),
                false => NO_RECORD.to_owned(),
            },
        },
        behind: question.worked.span,
        recent_shifts: question.worked.shifts.len(),
        rate_days: question.plain.filter(|_| open).map(|it| it.days),
        at_plain_rate: found.at_plain_rate.filter(|_| open).map(up),
        worst_days: question.worst_quarter.filter(|_| open).map(|it| it.days),
        at_worst_quarter: found.at_worst_quarter.filter(|_| open).map(up),
        change: found.change.as_ref().filter(|_| open).map(change),
        ends: found.totals.iter().filter(|_| open).map(end).collect(),
        levels,
        too_few: found.too_few,
        assumes: found.assumes.into_iter().chain(besides).collect(),
        withheld,
        caution: CAUTION.to_owned(),
        confirm,
    }
}

/// The levels of some forecasts that have words.
fn lines<'a>(
    all: impl Iterator<Item = &'a Forecast>,
    named: &Named,
    unit: DoseUnit,
) -> Vec<ForecastLine> {
    let levels = all.flat_map(|found| found.levels.iter().map(|it| (found.until, it)));
    levels
        .filter_map(|(until, it)| Some((until, it, named.get(&it.mark.key)?)))
        .map(|(until, it, (words, dose))| ForecastLine {
            level: words.clone(),
            until,
            dose: DoseFigure::new(*dose, unit),
            passed: it.passed,
            above: it.chance.as_ref().map(|chance| chance.above),
            below: it.chance.as_ref().is_some_and(|chance| chance.below),
            dates: it
                .chance
                .as_ref()
                .map(|chance| [chance.early, chance.median, chance.late])
                .unwrap_or_default(),
            at_plain_rate: it.at_plain_rate,
            at_worst_quarter: it.at_worst_quarter,
        })
        .collect()
}
