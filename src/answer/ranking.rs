//! The ranking: what each item caught and let through over all events.

use std::collections::HashMap;

use serde::Serialize;

use super::error::AnswerError;
use super::load::House;
use super::trace::all_rows;
use crate::ledger::Snapshot;
use crate::record::RecordId;
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
pub fn ranking_of(snapshot: &Snapshot<'_>, house: &House) -> Result<RankingAnswer, AnswerError> {
    let mut pieces: HashMap<String, Vec<RecordId>> = HashMap::new();
    let mut events = Vec::new();
    for (event, found, day) in all_rows(snapshot, house)? {
        let of_event = event.body.equipment.iter().map(|it| it.number());
        pieces.insert(event.body.name.clone(), of_event.collect());
        let cause = match (found.piece, &found.failed) {
            (
                Some(piece),
                Failed::Found {
                    on,
                    component,
                    failure,
                },
            ) => Some(CauseFact {
                piece,
                on: on.clone(),
                component: component.clone(),
                failure: failure.clone(),
            }),
            _ => None,
        };
        let items = found.rows.iter().map(|(_, row)| ItemFact {
            on: row.sort.clone(),
            item: row.item.clone(),
            coverage: row.verdict.covered.coverage,
            concluded: row.verdict.covered.is_concluded(),
            record: row.verdict.record.word,
        });
        events.push(EventFact {
            name: event.body.name.clone(),
            day,
            cause,
            items: items.collect(),
        });
    }
    let mut shifts = HashMap::new();
    for cause in events.iter().filter_map(|it| it.cause.as_ref()) {
        if !shifts.contains_key(&cause.on) {
            shifts.insert(cause.on.clone(), snapshot.shifts_with(&cause.on)?);
        }
    }
    let ranking = ranking(
        &events,
        &defects(house),
        |name| pieces.get(name).cloned().unwrap_or_default(),
        |on| shifts.get(on).copied().flatten(),
    );
    Ok(RankingAnswer {
        ranking,
        judges: JUDGES_ITEMS,
    })
}

/// Every defect that an inspection wrote down.
fn defects(house: &House) -> Vec<DefectFact> {
    let mut all = Vec::new();
    for item in house.names.items() {
        for defect in house.upkeep.defects_of(item) {
            let of = &defect.line.of;
            let list = house.upkeep.list_of(of.list);
            let Some(line) = list.and_then(|it| it.list.item(&defect.line.line)) else {
                continue;
            };
            let parts = house.upkeep.parts_of(item).iter();
            let fitted = parts
                .filter(|it| it.body.component == line.component && it.body.fitted_on <= of.on)
                .map(|it| it.body.fitted_on)
                .next_back();
            all.push(DefectFact {
                piece: item,
                on: line.on.clone(),
                item: line.key.clone(),
                component: line.component.clone(),
                day: of.on,
                entry: of.entry,
                cleared_on: defect.cleared_on,
                fitted,
            });
        }
    }
    all
}
