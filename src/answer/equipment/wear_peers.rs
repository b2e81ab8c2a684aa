//! What other parts tell of a part: how much the measures of one item scatter.

use std::collections::HashMap;

use super::measurements::{Measurements, measurements_of};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::calendar::Day;
use crate::ledger::UseRow;
use crate::record::RecordId;
use crate::wear::foreseen::Foreseeable;
use crate::wear::series::{Others, Series};

/// Days from one periodic inspection to the next where no rule set says: three months.
const INSPECTION_DAYS: i64 = 92;

type Uses = HashMap<RecordId, Vec<UseRow>>;

/// Gives the items of all items the scatter of all parts besides their own.
pub(crate) fn pool(all: &mut [Measurements], on: Day) {
    let mut whole: HashMap<String, Others> = HashMap::new();
    let of = |it: &Measurements| Others::of(&it.series, on);
    for it in all.iter().filter(|it| it.wears()) {
        let so_far = whole.entry(it.item.key.clone()).or_default();
        let more = of(it);
        so_far.cycles = so_far.cycles.and(more.cycles);
        so_far.days = so_far.days.and(more.days);
    }
    for it in all.iter_mut().filter(|it| it.wears()) {
        let whole = whole.get(&it.item.key).copied().unwrap_or_default();
        it.others = whole.without(Others::of(it.now(), on));
    }
}

/// The measured items of one item, with the parts of the other items of its kind.
pub(crate) fn measurements_beside(
    house: &OpenHouse<'_>,
    equipment: RecordId,
    uses: &Uses,
    on: Day,
) -> Result<Vec<Measurements>, AnswerError> {
    let rows = |it| uses.get(&it).map(Vec::as_slice).unwrap_or_default();
    let mut mine = measurements_of(house, equipment, rows(equipment), on)?;
    if !mine.iter().any(Measurements::wears) {
        return Ok(mine);
    }
    let kind = house.names.type_word(equipment);
    let mut parts: HashMap<String, Vec<Series>> = HashMap::new();
    for other in house.names.items() {
        if other == equipment || house.names.type_word(other) != kind {
            continue;
        }
        for it in measurements_of(house, other, rows(other), on)? {
            parts.entry(it.item.key).or_default().extend(it.series);
        }
    }
    for it in mine.iter_mut().filter(|it| it.wears()) {
        let mut peers = parts.remove(&it.item.key).unwrap_or_default();
        let own = it.series.len().saturating_sub(1);
        peers.extend(it.series.iter().take(own).cloned());
        it.others = Others::of(&peers, on);
        it.peers = peers;
    }
    Ok(mine)
}

/// Since when the limit of the part that is installed now was foreseeable.
pub(crate) fn foreseeable(
    house: &House,
    it: &Measurements,
    on: Day,
) -> Result<Foreseeable, AnswerError> {
    let Some(part) = it.now() else {
        return Ok(Foreseeable::TooFew);
    };
    let rule_set = house.rule_set_on(on)?;
    let rule = rule_set.interval("equipment-inspection");
    let next = |day: Day| match rule {
        Some(rule) => rule.interval.due_after(day, rule_set.year_start),
        None => day.checked_add_signed(chrono::TimeDelta::days(INSPECTION_DAYS)),
    };
    Ok(part.foreseeable(&it.measurement, &it.peers, next))
}
