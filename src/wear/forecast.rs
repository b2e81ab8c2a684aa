//! When an installed part reaches its limit: against cycles and against days, and the sooner of the
//! two counts.

use serde::Serialize;

use super::series::{Others, Point, Series};
use crate::calendar::Day;
use crate::quantity::Amount;
use crate::rule::{ItemMeasurement, Sense, Standing};
use crate::stat::line::{FEWEST_POINTS, Limit, Line, Reach};

/// How sure the earliest credible place is: one-sided.
pub const EARLIEST_CONFIDENCE: f64 = 0.95;
/// How wide the band is that a new measure has to leave for the worse before the line through those
/// before it is given up: two-sided, so that a steady part leaves it once in 400 measures. Every
/// inspection asks anew, and a part that does not wear is to be warned of seldom in all its life.
pub const REFUTED_CONFIDENCE: f64 = 0.995;
/// A date further off than this says nothing: a hundred years.
pub const HORIZON_DAYS: i64 = 36_525;

/// How many cycles the item of equipment has made lately.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Pace {
    /// So many cycles, at least,
    pub cycles: i64,
    /// in so many days.
    pub days: i64,
}

/// What a forecast is made for.
#[derive(Debug, Clone, Copy)]
pub struct Terms<'m> {
    /// The item's measure: its limit, its sense, its gauge.
    pub measurement: &'m ItemMeasurement,
    /// The day asked about.
    pub today: Day,
    /// Cycles of the part up to today, counted from its fitting.
    pub cycles_now: i64,
    /// The pace of the last weeks, where there was use.
    pub pace: Option<Pace>,
    /// When the next inspection that measures this item falls due.
    pub next_inspection: Option<Day>,
    /// How other parts scatter that are measured for the same item, by what is known that day.
    pub others: Others,
}

/// Where a part is heading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
pub enum Outlook {
    /// A measure is past the limit.
    Beyond,
    /// No measure is past the limit, and the part may by now be at it.
    MayBeBeyond,
    /// The last measure is worse than the line before it led to: the line tells no day.
    Refuted,
    /// The line leads to the limit.
    Heading,
    /// The line does not lead to the limit, and is not sure enough to rule it out.
    MayBeHeading,
    /// Neither the line nor its band leads to the limit within a hundred years.
    NotHeading,
    /// Too few points for a line, or too few of all parts to know how much they scatter.
    TooFew,
    /// All points lie on one day and at one count of cycles.
    NoSpread,
}

impl Outlook {
    /// As printed.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Beyond => "already beyond",
            Self::MayBeBeyond => "may be beyond by now",
            Self::Refuted => "last measurement worse than its line led to, so no day is given",
            Self::Heading => "heading for its limit",
            Self::MayBeHeading => "may be heading for its limit",
            Self::NotHeading => "not heading for its limit",
            Self::TooFew => "too few measurements to tell",
            Self::NoSpread => "all points at one place",
        }
    }
}

/// What a date rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Axis {
    /// The line against cycles, at the pace of late.
    Cycles,
    /// The line against days.
    Days,
}

/// A day, and what it rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Foreseen {
    /// The day; never before today.
    pub day: Day,
    /// What it rests on.
    pub by: Axis,
}

/// When a part reaches its limit: estimates, all of them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Forecast {
    /// In one of a few words.
    pub outlook: Outlook,
    /// From how many points.
    pub points: usize,
    /// Cycles since the fitting at which the line reaches the limit, rounded down.
    pub likely_cycles: Option<i64>,
    /// Cycles since the fitting at which the next measure may first be at the limit, rounded
    /// down: the one-sided 95 % bound.
    pub earliest_cycles: Option<i64>,
    /// The sooner of the days at which the lines reach the limit.
    pub likely: Option<Foreseen>,
    /// The sooner of the days at which a measure may first be at the limit.
    pub earliest: Option<Foreseen>,
    /// Whether somebody is to look before the next inspection: the part is or may be beyond its
    /// limit, or the earliest credible day comes before the next inspection, or there is one
    /// and no next inspection is known.
    pub warns: bool,
    /// What it assumes, one line each.
    pub assumes: Vec<String>,
}

impl Series {
    /// Where the part is heading.
    pub fn forecast(&self, terms: &Terms<'_>) -> Forecast {
        let by_cycles = self.by_cycles(terms);
        let by_days = self.by_days(terms);
        let sooner = |pick: fn(&Places) -> Option<Foreseen>| {
            let days = [&by_cycles, &by_days].into_iter();
            days.filter_map(|it| it.as_ref().and_then(pick))
                .min_by_key(|it| it.day)
        };
        let likely = sooner(|it| it.likely);
        let earliest = sooner(|it| it.earliest);
        let cycles = by_cycles.as_ref();
        let before_next =
            earliest.is_some_and(|it| terms.next_inspection.is_none_or(|next| it.day < next));
        let outlook = self.outlook(terms, &by_cycles, &by_days);
        if matches!(
            outlook,
            Outlook::Beyond | Outlook::Refuted | Outlook::TooFew | Outlook::NoSpread
        ) {
            // What is past its limit has no forecast, and neither has what has no line, or one that
            // its own last measure refutes.
            return Forecast {
                outlook,
                points: self.points.len(),
                likely_cycles: None,
                earliest_cycles: None,
                likely: None,
                earliest: None,
                // A refuted line still warns where it did. Not each does: too many steady parts
                // leave their band once.
                warns: match outlook {
                    Outlook::Beyond => true,
                    Outlook::Refuted => before_next,
                    _ => false,
                },
                assumes: Vec::new(),
            };
        }
        Forecast {
            outlook,
            points: self.points.len(),
            likely_cycles: cycles.and_then(|it| it.likely_cycles),
            earliest_cycles: cycles.and_then(|it| it.earliest_cycles),
            likely,
            earliest,
            warns: outlook == Outlook::MayBeBeyond || before_next,
            assumes: assumes(terms),
        }
    }

    fn outlook(
        &self,
        terms: &Terms<'_>,
        by_cycles: &Option<Places>,
        by_days: &Option<Places>,
    ) -> Outlook {
        let kind = terms.measurement.unit.kind();
        // A part does not grow back: one measure past the limit is enough.
        let past = |it: &Point| {
            let standing = terms
                .measurement
                .standing(Amount::from_count(kind, it.count));
            standing == Some(Standing::Beyond)
        };
        if self.points.iter().any(past) {
            return Outlook::Beyond;
        }
        if self.points.len() < FEWEST_POINTS {
            return Outlook::TooFew;
        }
        let places: Vec<&Places> = [by_cycles, by_days].into_iter().flatten().collect();
        if places.is_empty() {
            return Outlook::NoSpread;
        }
        if !places.iter().any(|it| it.tells) {
            return Outlook::TooFew;
        }
        let any = |is: fn(&Places) -> bool| places.iter().any(|it| is(it));
        if any(|it| it.by_now) {
            Outlook::MayBeBeyond
        } else if self.refuted(terms) {
            Outlook::Refuted
        } else if any(|it| it.likely_reached) {
            Outlook::Heading
        } else if any(|it| it.earliest_reached) {
            Outlook::MayBeHeading
        } else {
            Outlook::NotHeading
        }
    }

    /// Whether the last measure is worse than a line through those before it foresaw, against
    /// cycles or days. A line through all of them would be drawn towards it, and would promise a
    /// day on which nothing hangs any more. One that is better than foreseen refutes too, and is no
    /// reason to warn less: the line stays, with its wider band.
    fn refuted(&self, terms: &Terms<'_>) -> bool {
        let Some((last, before)) = self.points.split_last() else {
            return false;
        };
        let earlier = Series {
            points: before.to_vec(),
            ..self.clone()
        };
        let days = before.first().map(|it| (last.day - it.day).num_days());
        let lines = [
            (
                earlier.line_by_cycles(terms.measurement, terms.others),
                last.cycles as f64,
            ),
            (
                earlier.line_by_days(terms.measurement, terms.others),
                days.unwrap_or_default() as f64,
            ),
        ];
        lines.into_iter().any(|(line, place)| {
            let told = line.ok().filter(Line::tells);
            let band = told.and_then(|it| it.predict(place, REFUTED_CONFIDENCE).ok());
            band.is_some_and(|band| match terms.measurement.sense {
                Sense::NotBelow => (last.count as f64) < band.next.lower,
                Sense::NotAbove => (last.count as f64) > band.next.upper,
            })
        })
    }

    fn by_cycles(&self, terms: &Terms<'_>) -> Option<Places> {
        let line = self.line_by_cycles(terms.measurement, terms.others).ok()?;
        let now = terms.cycles_now;
        let reaches = Reaches::of(&line, terms)?;
        let pace = terms.pace.filter(|pace| pace.cycles > 0 && pace.days > 0);
        // Cycles, and the day where there is a pace; nothing beyond the horizon.
        let reached = |reach: Reach| -> Option<(i64, Option<Day>)> {
            let cycles = match reach {
                Reach::Already => now.min(last_cycles(&self.points)),
                Reach::At(place) => whole_place(place)?,
                Reach::Never => return None,
            };
            if cycles <= now {
                return Some((cycles, Some(terms.today)));
            }
            let Some(pace) = pace else {
                return Some((cycles, None));
            };
            let left = i128::from(cycles) - i128::from(now);
            let days = left * i128::from(pace.days) / i128::from(pace.cycles);
            let days = i64::try_from(days)
                .ok()
                .filter(|days| *days <= HORIZON_DAYS)?;
            Some((cycles, Some(days_on(terms.today, days)?)))
        };
        let foreseen = |reached: Option<(i64, Option<Day>)>| {
            let day = reached?.1?;
            let by = Axis::Cycles;
            Some(Foreseen { day, by })
        };
        let likely = reached(reaches.likely);
        let earliest = reached(reaches.earliest);
        Some(Places {
            tells: reaches.tells,
            likely_cycles: likely.map(|it| it.0),
            earliest_cycles: earliest.map(|it| it.0),
            likely: foreseen(likely),
            earliest: foreseen(earliest),
            by_now: earliest.is_some_and(|it| it.0 <= now),
            likely_reached: likely.is_some(),
            earliest_reached: earliest.is_some(),
        })
    }

    fn by_days(&self, terms: &Terms<'_>) -> Option<Places> {
        let line = self.line_by_days(terms.measurement, terms.others).ok()?;
        let first = self.points.first()?.day;
        let reaches = Reaches::of(&line, terms)?;
        let foreseen = |reach: Reach| {
            let day = match reach {
                Reach::Already => terms.today,
                Reach::At(place) => days_on(first, whole_place(place)?)?,
                Reach::Never => return None,
            };
            let far = (day - terms.today).num_days() > HORIZON_DAYS;
            (!far).then_some(Foreseen {
                day: day.max(terms.today),
                by: Axis::Days,
            })
        };
        let likely = foreseen(reaches.likely);
        let earliest = foreseen(reaches.earliest);
        Some(Places {
            tells: reaches.tells,
            likely_cycles: None,
            earliest_cycles: None,
            likely,
            earliest,
            by_now: earliest.is_some_and(|it| it.day <= terms.today),
            likely_reached: likely.is_some(),
            earliest_reached: earliest.is_some(),
        })
    }
}

/// What one line says of the limit.
struct Places {
    tells: bool,
    likely_cycles: Option<i64>,
    earliest_cycles: Option<i64>,
    likely: Option<Foreseen>,
    earliest: Option<Foreseen>,
    by_now: bool,
    likely_reached: bool,
    earliest_reached: bool,
}

struct Reaches {
    /// Whether it is known how much the measures scatter, or the slope is sure all the same.
    tells: bool,
    likely: Reach,
    earliest: Reach,
}

impl Reaches {
    fn of(line: &Line, terms: &Terms<'_>) -> Option<Self> {
        let count = terms.measurement.limit.count() as f64;
        let limit = match terms.measurement.sense {
            Sense::NotBelow => Limit::Least(count),
            Sense::NotAbove => Limit::Most(count),
        };
        Some(Self {
            tells: line.tells() || line.leans(limit, EARLIEST_CONFIDENCE).ok()?,
            likely: line.reaches(limit),
            earliest: line.may_reach(limit, EARLIEST_CONFIDENCE).ok()?,
        })
    }
}

fn last_cycles(points: &[Point]) -> i64 {
    points.iter().map(|it| it.cycles).max().unwrap_or(0)
}

/// A place as a whole number, down: sooner. Nothing beyond what any part makes.
fn whole_place(place: f64) -> Option<i64> {
    let most = 1e12;
    (place.is_finite() && place.abs() < most).then_some(place.floor() as i64)
}

/// Nothing beyond the horizon.
fn days_on(day: Day, days: i64) -> Option<Day> {
    let near = (-HORIZON_DAYS..=2 * HORIZON_DAYS).contains(&days);
    near.then(|| day.checked_add_signed(chrono::TimeDelta::days(days)))
        .flatten()
}

fn assumes(terms: &Terms<'_>) -> Vec<String> {
    let mut lines = vec![
        "The part is taken to go on wearing along a straight line; a knock or a bend is not \
         foreseen."
            .to_owned(),
    ];
    lines.push(match terms.pace {
        Some(pace) if pace.cycles > 0 && pace.days > 0 => format!(
            "Cycles go on at the pace of late: at least {} in {} days.",
            pace.cycles, pace.days
        ),
        _ => "No cycles of late are on record, so days are foreseen from days alone.".to_owned(),
    });
    let scatter = match terms.others.cycles.freedom.max(terms.others.days.freedom) {
        0 => "Its measurements scatter as they did so far; no other part shows how much.",
        _ => {
            "Its measurements scatter as those of all parts do that are measured for this item; \
            one \
             that scatters more is judged by itself."
        }
    };
    lines.push(scatter.to_owned());
    lines
}
