//! The days and doses behind a forecast: which days count, and what they tell of days to come.

use crate::calendar::{Day, Span};
use crate::quantity::Dose;
use crate::stat::prediction::{Behind, FEWEST_DAYS, TooLittle};

/// Fewest shifts from which chances are drawn; with fewer, rates only.
///
/// The band runs from 5 % to 95 %. A dose that comes once in twenty shifts is missing from twenty
/// shifts with a chance of 0.95^20 = 36 % already; with fewer the upper end would be mostly
/// guesswork.
pub const FEWEST_SHIFTS: usize = 20;

/// The longest time without a shift that counts as work as it goes on: six weeks, since crews
/// with four weeks off and more are usual (common practice, no source).
const LONGEST_BREAK: i64 = 42;

/// How many times the usual distance between shifts an absence is: who works once a month is not
/// absent after six weeks (common practice, no source).
const TIMES_USUAL: i64 = 6;

/// Days of work behind, with their doses.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Worked {
    /// From the first day that counts to the last.
    pub span: Span,
    /// Long times without a shift inside; they do not count.
    pub absences: Vec<Span>,
    /// Each dose with its day, by day.
    pub doses: Vec<(Day, Dose)>,
    /// The day of each shift, by day.
    pub shifts: Vec<Day>,
}

/// Why no chances are drawn from a stretch of work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TooFew {
    /// Fewer than [`FEWEST_SHIFTS`] shifts.
    Shifts(usize),
    /// Too few days that count.
    Days(i64),
    /// No shift brought a dose.
    Nothing,
    /// Few doses make up most of the sum.
    Uneven,
}

impl Worked {
    /// The days of a span, less the long absences among them.
    pub fn new(span: Span, doses: Vec<(Day, Dose)>, shifts: Vec<Day>) -> Worked {
        let absences = absences(span, &shifts);
        Worked {
            span,
            absences,
            doses,
            shifts,
        }
    }

    /// The days of a span that count.
    pub fn days_in(&self, span: Span) -> i64 {
        let Some(part) = self.span.common(&span) else {
            return 0;
        };
        let absent = self.absences.iter().filter_map(|it| it.common(&part));
        part.days() - absent.map(|it| it.days()).sum::<i64>()
    }

    /// All days that count.
    pub fn days(&self) -> i64 {
        self.days_in(self.span)
    }

    /// The shifts of a span.
    pub fn shifts_in(&self, span: Span) -> usize {
        self.shifts.iter().filter(|it| span.contains(**it)).count()
    }

    /// The dose of a span, nanosievert; below zero counts as zero.
    pub(super) fn nsv_in(&self, span: Span) -> f64 {
        let inside = self.doses.iter().filter(|it| span.contains(it.0));
        inside.map(|it| it.1.nsv().max(0) as f64).sum()
    }

    /// What a part of the days tells of days to come.
    pub(super) fn tells(&self, part: Span) -> Result<Behind, TooFew> {
        let (days, shifts) = (self.days_in(part), self.shifts_in(part));
        if days < FEWEST_DAYS {
            return Err(TooFew::Days(days));
        }
        if shifts < FEWEST_SHIFTS {
            return Err(TooFew::Shifts(shifts));
        }
        let place = |day: Day| {
            let before = Span {
                first: part.first,
                last: day,
            };
            (self.days_in(before) - 1).clamp(0, days - 1)
        };
        let inside = self.doses.iter().filter(|it| part.contains(it.0));
        let amounts: Vec<(i64, f64)> = inside
            .map(|(day, dose)| (place(*day), dose.nsv().max(0) as f64))
            .collect();
        Behind::of(&amounts, days).map_err(|it| match it {
            TooLittle::Days => TooFew::Days(days),
            TooLittle::Nothing => TooFew::Nothing,
            TooLittle::Uneven => TooFew::Uneven,
        })
    }
}

/// Times without a shift that are far longer than usual. The time up to the first shift is one as
/// well: who was away then may not be away to come.
fn absences(span: Span, shifts: &[Day]) -> Vec<Span> {
    let inside = || shifts.iter().filter(|it| span.contains(**it));
    let count = i64::try_from(inside().count()).unwrap_or(i64::MAX);
    if count == 0 {
        return Vec::new();
    }
    let longest = LONGEST_BREAK.max(TIMES_USUAL * span.days() / count);
    let mut found = Vec::new();
    let mut from = span.first;
    let mut add = |first: Day, last: Option<Day>| {
        let between = last.map(|last| Span { first, last });
        found.extend(between.filter(|it| it.days() > longest));
    };
    for day in inside() {
        add(from, day.pred_opt());
        from = day.succ_opt().unwrap_or(*day);
    }
    add(from, Some(span.last));
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calendar::parse_day;

    fn day(text: &str) -> Day {
        parse_day(text).expect("a day")
    }

    fn span(first: &str, last: &str) -> Span {
        Span {
            first: day(first),
            last: day(last),
        }
    }

    /// A shift every `step` days, but for those in a span.
    fn shifts(year: Span, step: usize, away: Span) -> Vec<Day> {
        let days = year.each_day().step_by(step);
        days.filter(|it| !away.contains(*it)).collect()
    }

    #[test]
    fn long_absences_do_not_count_and_usual_breaks_do() {
        let year = span("2025-01-01", "2025-12-31");
        for (step, away, absent) in [
            // Six weeks are a break, a day more is an absence: the shifts beside it stand.
            (1, span("2025-03-01", "2025-04-11"), 0),
            (1, span("2025-03-01", "2025-04-12"), 43),
            // At the beginning and at the end as well.
            (2, span("2025-01-01", "2025-03-01"), 60),
            (2, span("2025-10-01", "2025-12-31"), 92),
            // Who works every third week is not absent after ten.
            (20, span("2025-03-01", "2025-05-10"), 0),
        ] {
            let worked = Worked::new(year, Vec::new(), shifts(year, step, away));
            assert_eq!(365 - worked.days(), absent, "{step}, {away}");
        }
        let idle = Worked::new(year, Vec::new(), Vec::new());
        assert_eq!(idle.days(), 365, "without a shift nothing tells an absence");
    }

    #[test]
    fn a_dose_inside_an_absence_stands_at_its_edge_and_counts() {
        let year = span("2025-01-01", "2025-12-31");
        let away = span("2025-06-01", "2025-08-31");
        let shifts = shifts(year, 2, away);
        let mut doses: Vec<(Day, Dose)> = shifts
            .iter()
            .map(|day| (*day, Dose::from_nsv(10_000)))
            .collect();
        let plain = Worked::new(year, doses.clone(), shifts.clone());
        doses.push((day("2025-07-01"), Dose::from_nsv(10_000)));
        let more = Worked::new(year, doses, shifts);
        let high = |it: &Worked| it.tells(year).map(|it| it.quantile(100, 0.95));
        assert!(high(&more).expect("enough") > high(&plain).expect("enough"));
    }
}
