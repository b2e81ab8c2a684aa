//! The days behind a forecast: which count, what was received on them, and at which rates.

use crate::answer::context::error::AnswerError;
use crate::calendar::{Day, Span, Window, WindowFacts, months_on};
use crate::dose::forecast::{Rate, Worked, worst_quarter};
use crate::dose::index::DoseIndex;
use crate::dose::input::History;
use crate::rule::Quantity;

/// The twelve months that end on a day.
pub(crate) fn recent_span(on: Day) -> Span {
    let months = Window::RollingTwelveMonths.spans(on, &WindowFacts::default());
    months.first().copied().unwrap_or(Span {
        first: on,
        last: on,
    })
}

/// The days behind that count, from the later of the window's first day, the first monitored day
/// and the first sheet on, with their doses; and how many of their shifts have no upper bound.
pub(crate) fn worked(
    history: &History,
    index: &DoseIndex,
    back: Span,
) -> Result<(Worked, usize), AnswerError> {
    let all = index.dated(back, Quantity::Deep)?;
    let monitored = history.facts.monitored.iter().map(|it| it.from).min();
    let first_sheet = history.shifts.iter().map(|it| it.day).min();
    let begins = [monitored, first_sheet].into_iter().flatten();
    let first = begins.fold(back.first, Day::max).min(back.last);
    let span = Span { first, ..back };
    let doses = all.doses.into_iter().filter(|it| span.contains(it.0));
    let shifts = all.shifts.into_iter().filter(|it| span.contains(*it));
    Ok((
        Worked::new(span, doses.collect(), shifts.collect()),
        all.open,
    ))
}

pub(crate) fn open_words(open: usize) -> Option<String> {
    let shifts = match open {
        0 => return None,
        1 => "1 shift without an upper bound counts".to_owned(),
        _ => format!("{open} shifts without an upper bound count"),
    };
    Some(format!(
        "{shifts} at what is known of it: the chances may be too low"
    ))
}

/// The rate of those days of a span that count; nothing where none does.
pub(crate) fn rate_of(
    index: &DoseIndex,
    worked: &Worked,
    span: Span,
) -> Result<Option<Rate>, AnswerError> {
    let Some(part) = span.common(&worked.span) else {
        return Ok(None);
    };
    let days = worked.days_in(part);
    if days < 1 {
        return Ok(None);
    }
    let dose = index.safe(part, Quantity::Deep)?.known();
    Ok(Some(Rate { dose, days }))
}

/// The rate of the worst of the four quarters of the days behind.
pub(crate) fn worst(index: &DoseIndex, worked: &Worked) -> Result<Option<Rate>, AnswerError> {
    let back = recent_span(worked.span.last);
    let mut quarters = Vec::new();
    let mut first = back.first;
    while quarters.len() < 4 && first <= back.last {
        let last = months_on(first, 3)
            .pred_opt()
            .unwrap_or(first)
            .min(back.last);
        quarters.push(rate_of(index, worked, Span { first, last })?);
        first = last.succ_opt().unwrap_or(last);
    }
    let quarters: Vec<Rate> = quarters.into_iter().flatten().collect();
    Ok(worst_quarter(&quarters))
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
}
