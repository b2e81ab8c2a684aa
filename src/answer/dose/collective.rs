//! The collective dose with this licensee, month by month: what everybody's statements add up to.

use chrono::Datelike;
use serde::Serialize;

use super::crew::needed_by_all;
use super::nobody::{NobodysLine, nobodys};
use crate::answer::context::error::AnswerError;
use crate::answer::context::here::{keep_here, opening_count};
use crate::answer::context::load::OpenHouse;
use crate::answer::context::view::{DoseFigure, TotalView};
use crate::calendar::{Day, Span, months_on};
use crate::dose::index::DoseIndex;
use crate::dose::input::History;
use crate::dose::total::{Extent, Total};
use crate::quantity::{Dose, Overflow};
use crate::rule::{Quantity, Tells, Terms};

/// One month of a span; the first and last may be cut by it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CollectiveMonth {
    /// First day.
    pub first: Day,
    /// Last day.
    pub last: Day,
    /// Deep dose of everybody together with this licensee, as the records say.
    #[serde(rename = "total")]
    pub account: TotalView,
    /// Whether it is only a lower bound, by the account or by anybody's conservative total.
    pub at_least: bool,
    /// How many people have a dose above zero, or one without an upper bound.
    pub people: usize,
    /// Whether the ledger holds nothing of the month, which is not zero.
    pub no_record: bool,
}

/// The collective dose of a span.
#[derive(Debug, Clone, Serialize)]
pub struct CollectiveAnswer {
    /// First day.
    pub first: Day,
    /// Last day.
    pub last: Day,
    /// The day that counts as today.
    pub on: Day,
    /// The unit of figures for people.
    pub unit: String,
    /// What the doses are called.
    #[serde(skip)]
    pub terms: Terms,
    /// The months.
    pub months: Vec<CollectiveMonth>,
    /// The span together.
    pub total: TotalView,
    /// Whether that is only a lower bound, as in the months.
    pub at_least: bool,
    /// Whether the ledger holds nothing of the span, which is not zero.
    pub no_record: bool,
    /// What counts apart, in planned special exposures, and is in no month.
    pub special: TotalView,
    /// What other employers reported of the same people and days, and is in no month.
    pub elsewhere: DoseFigure,
    /// How many totals from before the ledger are in the figures.
    pub opening: usize,
    /// Results that are unassigned, and so are in no figure above.
    pub nobodys: Vec<NobodysLine>,
    /// The rule set's caution.
    pub confirm: String,
}

/// The collective deep dose of a span by month. Its sum is that of everybody's
/// statements: dose with this licensee, without planned special exposures. A
/// lump that crosses a month's end is apportioned, and the parts add up to it.
pub fn collective(
    house: &OpenHouse<'_>,
    span: Span,
    on: Day,
) -> Result<CollectiveAnswer, AnswerError> {
    let unit = house.unit();
    let rule_set = house.rule_set_on(on)?;
    let needed = needed_by_all(house, rule_set, span, on);
    let mut months: Vec<Sum> = months_of(span).into_iter().map(Sum::over).collect();
    let mut whole = Sum::over(span);
    let (mut special, mut elsewhere) = (Total::default(), Dose::ZERO);
    for mut history in house.histories(needed)?.into_values() {
        let all = match history.facts.prior.is_empty() && !has_others_badge(&history) {
            true => None,
            false => Some(DoseIndex::build(&history)?.account(span, Quantity::Deep)?),
        };
        keep_here(house, &mut history);
        let index = DoseIndex::build(&history)?;
        if let Some(all) = all {
            let here = index.account(span, Quantity::Deep)?;
            let others = all.known().checked_sub(here.known())?;
            elsewhere = elsewhere.checked_add(others)?;
        }
        special = special.plus(&index.special(span, Quantity::Deep)?)?;
        for sum in months.iter_mut().chain([&mut whole]) {
            sum.add(&index)?;
        }
    }
    Ok(CollectiveAnswer {
        first: span.first,
        last: span.last,
        on,
        unit: unit.symbol().to_owned(),
        terms: house.terms(),
        months: months
            .iter()
            .map(|it| CollectiveMonth {
                first: it.span.first,
                last: it.span.last,
                account: TotalView::new(&it.account, unit),
                at_least: it.at_least,
                people: it.people,
                no_record: it.no_record(),
            })
            .collect(),
        total: TotalView::new(&whole.account, unit),
        at_least: whole.at_least,
        no_record: whole.no_record(),
        special: TotalView::new(&special, unit),
        elsewhere: DoseFigure::new(elsewhere, unit),
        opening: opening_count(house, span),
        nobodys: nobodys(house)?,
        confirm: rule_set.caution_of(Tells::Levels),
    })
}

fn has_others_badge(history: &History) -> bool {
    let mut badges = history.facts.dosimetry.wear.iter();
    badges.any(|it| !it.is_own())
}

/// What is added up over one span.
struct Sum {
    span: Span,
    account: Total,
    at_least: bool,
    people: usize,
}

impl Sum {
    fn over(span: Span) -> Sum {
        Sum {
            span,
            account: Total::default(),
            at_least: false,
            people: 0,
        }
    }

    fn no_record(&self) -> bool {
        self.account.assessed == 0 && self.account.unassessed == 0 && !self.at_least
    }

    fn add(&mut self, index: &DoseIndex) -> Result<(), Overflow> {
        let used = index.used(self.span, Quantity::Deep)?;
        let open = [&used.account, &used.safe]
            .iter()
            .any(|it| matches!(it.extent(), Extent::AtLeast(_)));
        self.at_least |= open;
        self.people += usize::from(used.account.known() > Dose::ZERO || open);
        self.account = self.account.plus(&used.account)?;
        Ok(())
    }
}

/// The months that a span touches, cut to it.
fn months_of(span: Span) -> Vec<Span> {
    let mut months = Vec::new();
    let mut first = span.first;
    while first <= span.last {
        let start = first.with_day(1).unwrap_or(first);
        let next = months_on(start, 1);
        let last = next.pred_opt().unwrap_or(span.last).min(span.last);
        months.push(Span { first, last });
        if next <= first {
            break;
        }
        first = next;
    }
    months
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Day {
        crate::calendar::parse_day(text).unwrap()
    }

    #[test]
    fn months_cover_the_span_without_gap_or_overlap() {
        for (first, last, count) in [
            ("2026-01-01", "2026-12-31", 12),
            ("2025-07-15", "2026-07-14", 13),
            ("2024-02-29", "2024-02-29", 1),
            ("2024-01-31", "2024-03-01", 3),
        ] {
            let (first, last) = (day(first), day(last));
            let months = months_of(Span { first, last });
            assert_eq!(months.len(), count);
            assert_eq!(months.first().map(|it| it.first), Some(first));
            assert_eq!(months.last().map(|it| it.last), Some(last));
            for pair in months.windows(2) {
                assert_eq!(pair[0].last.succ_opt(), Some(pair[1].first));
            }
        }
    }
}
