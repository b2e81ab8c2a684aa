//! The ranking: what each item caught and let through over all events.

use std::collections::HashMap;

use serde::Serialize;

use super::happened::all_happened;
use super::trace_rows::{Step, Steps, steps};
use super::trace_states::Both;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::record::{Coverage, RecordId, Words};
use crate::trace::JUDGES_ITEMS;
use crate::trace::coverage::Failed;
use crate::trace::ranking::{CauseFact, DefectFact, EventFact, ItemFact, Ranking, ranking};

/// The ranking with what it judges.
#[derive(Debug, Clone, Serialize)]
pub struct RankingAnswer {
    /// The ranking.
    #[serde(flatten)]
    pub ranking: Ranking,
    /// What it judges.
    pub judges: &'static str,
}

/// Ranks items and failure modes over every event.
pub fn ranking_of(house: &OpenHouse<'_>) -> Result<RankingAnswer, AnswerError> {
    let mut all_equipment: HashMap<String, Vec<RecordId>> = HashMap::new();
    let mut events = Vec::new();
    for event in all_happened(house)? {
        let both = Both::load(house, &event)?;
        let found = steps(&both)?;
        let of_event = event.body.equipment.iter().map(|it| it.number());
        all_equipment.insert(event.body.name.clone(), of_event.collect());
        events.push(EventFact {
            name: event.body.name.clone(),
            day: both.moment.day,
            is_human: found.steps.iter().any(|it| it.failed == Failed::Human),
            causes: found.steps.iter().filter_map(cause).collect(),
            items: items(&found),
        });
    }
    let mut shifts = HashMap::new();
    for cause in events.iter().flat_map(|it| &it.causes) {
        if !shifts.contains_key(&cause.on) {
            shifts.insert(cause.on.clone(), house.snapshot.shifts_with(&cause.on)?);
        }
    }
    let ranking = ranking(
        &events,
        &defects(house),
        |name| all_equipment.get(name).cloned().unwrap_or_default(),
        |on| shifts.get(on).copied().flatten(),
    );
    Ok(RankingAnswer {
        ranking,
        judges: JUDGES_ITEMS,
    })
}

/// The component that failed in one step.
fn cause(step: &Step<'_>) -> Option<CauseFact> {
    let (
        Some(equipment),
        Failed::Found {
            on,
            component,
            failure,
            ..
        },
    ) = (step.equipment, &step.failed)
    else {
        return None;
    };
    Some(CauseFact {
        equipment,
        on: on.clone(),
        component: component.clone(),
        failure: failure.clone(),
    })
}

/// The items of an event; of one that several steps have, the word with which it could show most.
fn items(found: &Steps<'_>) -> Vec<ItemFact> {
    let order = |coverage: Coverage| Coverage::ALL.iter().position(|it| *it == coverage);
    let mut rows: Vec<_> = found.rows().collect();
    rows.sort_by_key(|(_, row)| order(row.verdict.covered.coverage));
    let mut counted: Vec<(RecordId, &str)> = Vec::new();
    let mut all = Vec::new();
    for (equipment, row) in rows {
        if counted.contains(&(*equipment, row.item.as_str())) {
            continue;
        }
        counted.push((*equipment, row.item.as_str()));
        all.push(ItemFact {
            on: row.kind.clone(),
            item: row.item.clone(),
            coverage: row.verdict.covered.coverage,
            concluded: row.verdict.covered.is_concluded(),
            record: row.verdict.record.word,
        });
    }
    all
}

/// Every defect that an inspection wrote down.
fn defects(house: &House) -> Vec<DefectFact> {
    let mut all = Vec::new();
    for item in house.names.items() {
        for defect in house.maintenance.defects_of(item) {
            let of = &defect.line.of;
            let list = house.maintenance.list_of(of.list, of.on);
            let Some(line) = list.and_then(|it| it.list.item(&defect.line.line)) else {
                continue;
            };
            let parts = house.maintenance.parts_of(item).iter();
            let installed = parts
                .filter(|it| it.body.component == line.component && it.body.installed_on <= of.on)
                .map(|it| it.body.installed_on)
                .next_back();
            all.push(DefectFact {
                equipment: item,
                on: line.on.clone(),
                item: line.key.clone(),
                component: line.component.clone(),
                day: of.on,
                entry: of.entry,
                cleared_on: defect.cleared_on,
                installed,
            });
        }
    }
    all
}
