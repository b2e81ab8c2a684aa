//! On which days the sources of a place are of category 2 or more together, so that their presence
//! is checked: from the day on which that holds to the last day that begins with it.

use std::collections::{BTreeMap, BTreeSet};

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::House;
use crate::answer::equipment::category::{by_store, of_sources};
use crate::calendar::{Day, Span};
use crate::record::{RecordId, SourceCheckType};

/// Days of each source, the earliest first and with a gap between them.
pub(crate) type Stretches = BTreeMap<RecordId, Vec<Span>>;

/// The days from one to another. Between two days on which something came, left or was moved the
/// sources only get weaker, so that each stretch is reckoned from its beginning.
pub(crate) fn stretches(house: &House, from: Day, to: Day) -> Result<Stretches, AnswerError> {
    let mut stretches = Stretches::new();
    if from > to {
        return Ok(stretches);
    }
    let changes = changes(house, from, to);
    let ends = changes.iter().skip(1).filter_map(|it| it.pred_opt());
    for (first, last) in changes.iter().copied().zip(ends.chain([to])) {
        for (source, last) in needed(house, first, last)? {
            let spans = stretches.entry(source).or_default();
            match spans.last_mut() {
                Some(before) if before.last.succ_opt() == Some(first) => before.last = last,
                _ => spans.push(Span { first, last }),
            }
        }
    }
    Ok(stretches)
}

/// Which sources are checked from the first day on, each with the last day of it.
fn needed(house: &House, first: Day, last: Day) -> Result<BTreeMap<RecordId, Day>, AnswerError> {
    let mut needed: BTreeMap<RecordId, Day> = BTreeMap::new();
    for (place, sources) in by_store(house, first) {
        let line = of_sources(house, &sources, &place, first)?;
        let Some(line) = line.filter(crate::answer::equipment::category::PlaceLine::counts_as_two)
        else {
            continue;
        };
        let until = line.below_from.and_then(|day| day.pred_opt());
        let until = until.map_or(last, |day| day.min(last));
        for source in sources {
            let known = needed.entry(source).or_insert(until);
            *known = until.max(*known);
        }
    }
    Ok(needed)
}

/// The first day, and each day up to the last on which something may have changed besides decay.
fn changes(house: &House, from: Day, to: Day) -> BTreeSet<Day> {
    let mut days: BTreeSet<Day> = house.written.iter().map(|it| it.0).collect();
    for (source, body) in house.names.sources() {
        days.extend([body.received_on, body.in_service].into_iter().flatten());
        // What leaves is there on its last day.
        for it in house.service.life_of(source) {
            days.extend([Some(it.on), it.on.succ_opt()].into_iter().flatten());
        }
    }
    days.extend(house.maintenance.inventories().iter().map(|it| it.body.on));
    let checks = house.maintenance.source_checks().iter();
    let moves = checks.filter(|it| it.body.kind == SourceCheckType::Stored);
    days.extend(moves.map(|it| it.body.on));
    days.retain(|day| from < *day && *day <= to);
    days.insert(from);
    days
}
