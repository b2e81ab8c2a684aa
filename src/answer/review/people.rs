//! Each person's month, quarter and year against every level, with the change since the month
//! before.

use std::collections::HashMap;

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::here::NO_RECORD;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::context::view::{LevelLine, TotalView, level_lines, nearest};
use crate::answer::dose::crew::{is_told, needed_by_all};
use crate::answer::dose::forecast_behind::recent_span;
use crate::answer::dose::private::open_levels;
use crate::answer::dose::reconcile::days_of;
use crate::calendar::{Day, Month, Span, quarter_of};
use crate::dose::index::DoseIndex;
use crate::dose::input::History;
use crate::dose::total::Total;
use crate::quantity::{Dose, DoseUnit};
use crate::record::RecordId;
use crate::rule::Quantity;

/// One person's month.
#[derive(Debug, Clone, Serialize)]
pub struct ReviewPerson {
    /// The worker's record.
    #[serde(skip)]
    pub record: RecordId,
    /// The worker's id.
    pub worker: String,
    /// Full name.
    pub name: String,
    /// Shifts in the month.
    pub shifts: usize,
    /// Deep dose of the month, as the records say.
    pub month: TotalView,
    /// The same less that of the month before, nanosievert.
    pub change_nsv: i64,
    /// The same as text, with its sign.
    pub change: String,
    /// Deep dose of the quarter up to the day.
    pub quarter: TotalView,
    /// Deep dose of the licensee's year up to the day.
    pub year: TotalView,
    /// Deep dose of the year as levels use it.
    pub conservative: TotalView,
    /// Every level that holds for the person.
    pub levels: Vec<LevelLine>,
    /// The level of which the largest share is used.
    pub nearest: Option<LevelLine>,
}

/// A difference of doses with its sign.
pub(crate) fn signed(nsv: i64, unit: DoseUnit) -> String {
    let shown = Dose::from_nsv(nsv.saturating_abs()).display(unit);
    match nsv {
        0 => shown,
        it if it < 0 => format!("-{shown}"),
        _ => format!("+{shown}"),
    }
}

/// Everybody's shifts as far back as a review of these days looks: the month before, the year,
/// and the shifts from which a forecast is made.
pub(crate) fn histories_for(
    house: &OpenHouse<'_>,
    span: Span,
    on: Day,
) -> Result<HashMap<RecordId, History>, AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    let year = rule_set.year_start.year(rule_set.year_start.year_of(on));
    let before = Month::of(span.first).before().span();
    let wide = Span {
        first: year
            .first
            .min(before.first)
            .min(recent_span(on).first)
            .min(days_of(rule_set, span).first),
        last: span.last,
    };
    let needed = needed_by_all(house, rule_set, wide, on);
    house.histories(needed)
}

/// Everybody who was monitored in the month or stands on one of its sheets, and the collective
/// deep dose of the month.
pub(crate) fn people(
    house: &House,
    histories: &HashMap<RecordId, History>,
    span: Span,
    on: Day,
) -> Result<(Vec<ReviewPerson>, String), AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    let unit = house.unit();
    let year = rule_set.year_start.year(rule_set.year_start.year_of(on));
    let before = Month::of(span.first).before().span();
    let mut lines = Vec::new();
    let mut collective = Total::default();
    for facts in house.workers() {
        let Some(history) = histories.get(&facts.record) else {
            continue;
        };
        let mine = |day: Day| span.first <= day && day <= on;
        let shifts = history.shifts.iter().filter(|it| mine(it.day));
        let shifts = shifts.count();
        let monitored = [span.first, on]
            .iter()
            .any(|day| house.names.monitored(facts.record, *day));
        if shifts == 0 && !monitored {
            continue;
        }
        let index = DoseIndex::build(history)?;
        let until = |first: Day| Span { first, last: on };
        let month = index.account(until(span.first), Quantity::Deep)?;
        let last_month = index.account(before, Quantity::Deep)?;
        let quarter = quarter_of(on, rule_set.year_start).span(rule_set.year_start);
        let quarter = index.account(until(quarter.first), Quantity::Deep)?;
        let used = index.used(until(year.first), Quantity::Deep)?;
        collective = collective.plus(&month)?;
        let (levels, _) = level_lines(house, rule_set, &history.facts, &index, on)?;
        let mut levels = open_levels(levels);
        if !is_told(&used.account) && !is_told(&used.safe) {
            levels.clear();
        }
        let nearest = nearest(&levels).cloned();
        let change = month.known().nsv().saturating_sub(last_month.known().nsv());
        let view = |total: &Total| match is_told(total) {
            true => TotalView::new(total, unit),
            // Its parts have no figure either.
            false => {
                let mut view = TotalView::new(total, unit).said(NO_RECORD);
                view.of_record.shown = "-".to_owned();
                view.provisional.shown = "-".to_owned();
                view
            }
        };
        lines.push(ReviewPerson {
            record: facts.record,
            worker: facts.id.clone(),
            name: facts.name.clone(),
            shifts,
            month: view(&month),
            change_nsv: change,
            change: match is_told(&month) && is_told(&last_month) {
                true => signed(change, unit),
                false => "-".to_owned(),
            },
            quarter: view(&quarter),
            year: view(&used.account),
            conservative: view(&used.safe),
            levels,
            nearest,
        });
    }
    Ok((lines, collective.text(unit)))
}
