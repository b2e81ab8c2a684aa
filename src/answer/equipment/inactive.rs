//! Items that measure and have no figures: what was measured there is kept and gets no verdict.

use super::inactive_item::{InactiveFact, InactiveItem};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::calendar::Day;
use crate::record::{RecordId, Words};
use crate::rule::{CheckKey, ChecklistItem, Finding, INACTIVE, RuleSet, Severity};

/// The inactive items of an item on a day, by the list in force.
fn items(house: &House, equipment: RecordId, on: Day) -> Vec<ChecklistItem> {
    let Some(kind) = house.names.type_word(equipment) else {
        return Vec::new();
    };
    let lists = house.maintenance.list_on(on).into_iter();
    let of_type = lists
        .flat_map(|it| &it.list.items)
        .filter(|it| it.on == kind);
    of_type
        .map(|it| house.item_on(equipment, it, on))
        .filter(ChecklistItem::is_inactive)
        .collect()
}

/// The inactive items of an item, with what was measured up to a day.
pub(crate) fn inactive_on(
    house: &OpenHouse<'_>,
    equipment: RecordId,
    on: Day,
) -> Result<Vec<InactiveItem>, AnswerError> {
    let mut all = Vec::new();
    for item in items(house, equipment, on) {
        let lines = house
            .snapshot
            .lines_of_key(equipment, &item.key, Day::MIN)?;
        let known = lines.into_iter().filter(|it| it.of.on <= on);
        let facts = known.filter_map(|line| {
            let by = line.of.worker.map(|worker| house.names.label(worker));
            Some(InactiveFact {
                on: line.of.on,
                value: line.value?,
                result: line.result.word().to_owned(),
                by: by.or(line.of.inspected).unwrap_or_default(),
                entry: line.of.entry,
            })
        });
        all.push(InactiveItem {
            equipment: house.names.label(equipment),
            facts: facts.collect(),
            line: item.key,
            component: item.component,
            why: INACTIVE,
        });
    }
    Ok(all)
}

/// Items of the list that judge nothing for want of figures: one finding an item, for all items
/// in service. It rests on the list and on the items, and returns with the next item.
pub(crate) fn inactive_findings(house: &House, rule_set: &RuleSet, on: Day) -> Vec<Finding> {
    let rule = rule_set.text_of(CheckKey::InactiveItem);
    let Some(list) = house.maintenance.list_on(on) else {
        return Vec::new();
    };
    let mut found: Vec<(String, Vec<RecordId>)> = Vec::new();
    for equipment in house.names.items() {
        let early = house
            .names
            .in_service(equipment)
            .is_some_and(|from| from > on);
        if early || house.service.out_of_service(equipment, on).is_some() {
            continue;
        }
        for item in items(house, equipment, on) {
            match found.iter_mut().find(|(key, _)| *key == item.key) {
                Some((_, all_equipment)) => all_equipment.push(equipment),
                None => found.push((item.key, vec![equipment])),
            }
        }
    }
    let told = found.into_iter().map(|(key, all_equipment)| {
        let ids: Vec<String> = all_equipment
            .iter()
            .map(|it| house.names.label(*it))
            .collect();
        let what = format!("{key} judges nothing on {}: {INACTIVE}", ids.join(", "));
        let entries = std::iter::once(list.entry).chain(all_equipment).collect();
        Finding::new(Severity::Watch, &rule, key, what, entries)
    });
    told.collect()
}
