//! The trace: from an event to the items that could have shown it, with a verdict on each.

use std::collections::BTreeSet;

use serde::Serialize;

use super::cause::{cause_words, human_words};
use super::happened::{Happened, happened};
use super::trace_checks::beside;
use super::trace_extent::{barrier_notes, others, testimonies};
use super::trace_row::TraceRow;
use super::trace_rows::{Step, Steps, concluded, kind, steps};
use super::trace_states::Both;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::dose::bystander::range;
use crate::answer::entry::evidence::{EvidenceLine, evidence_of_event_and};
use crate::calendar::Day;
use crate::record::{EventPerson, RecordId, Words};
use crate::rule::{Checklist, ItemMeasurement};
use crate::trace::JUDGES_ITEMS;

pub use crate::trace::barrier::BARRIERS;
use crate::trace::barrier::{BarrierLine, HumanFact, barriers};
use crate::trace::check::CheckLine;
use crate::trace::coverage::{Covered, Failed};
use crate::trace::extent::{Extent, extent};
use crate::trace::finding::{Seen, Told, finding};
use crate::trace::known::Use;
use crate::trace::suggestion::{Ruled, suggestions};
use crate::trace::verdict::Testimony;

/// What failed, as it is believed now.
#[derive(Debug, Clone, Serialize)]
pub struct TraceCause {
    /// The item.
    pub equipment: String,
    /// What it is.
    #[serde(rename = "type")]
    pub kind: String,
    /// The component.
    pub component: String,
    /// The failure mode, in the list's words.
    pub failure: String,
    /// What it rests on.
    pub because: String,
    /// The entry that says it.
    pub entry: i64,
    /// When the component was installed, where that is on record.
    pub installed_on: Option<Day>,
    /// Its supplier's lot.
    pub lot: Option<String>,
    /// Days on which such a component was installed, of which nobody can tell whether that was
    /// before the event.
    pub perhaps_installed: Vec<Day>,
}

/// One cause of a chain.
#[derive(Debug, Clone, Serialize)]
pub struct TraceStep {
    /// Which, from 1.
    pub step: usize,
    /// How it counts beside the others, where that is said.
    #[serde(rename = "type")]
    pub kind: Option<&'static str>,
    /// What failed, or what people did.
    pub words: String,
    /// What it rests on.
    pub because: String,
    /// The entry that says it.
    pub entry: i64,
    /// Whether it is what people did.
    pub is_human: bool,
    /// When the component was installed, where that is on record.
    pub installed_on: Option<Day>,
    /// Its supplier's lot.
    pub lot: Option<String>,
    /// Days on which such a component was installed, of which nobody can tell whether that was
    /// before the event.
    pub perhaps_installed: Vec<Day>,
    /// That nothing looks for it.
    pub no_item: Option<Covered>,
}

/// Somebody who had a part in it.
#[derive(Debug, Clone, Serialize)]
pub struct TracePerson {
    /// The id, or the words as written.
    pub person: String,
    /// What the person did.
    pub role: String,
    /// Whether a dosimeter was worn, if it was said.
    pub monitored: Option<bool>,
    /// The dose as it was estimated, of somebody who is no worker.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub estimate: Option<String>,
}

/// The trace of one event.
#[derive(Debug, Clone, Serialize)]
pub struct TraceAnswer {
    /// The event.
    pub event: String,
    /// Its kind, in the trade's words.
    #[serde(rename = "type")]
    pub kind: String,
    /// When it occurred, local time with its offset.
    pub occurred: String,
    /// Its day in the ledger's zone; where that is not known the earliest.
    pub on: Day,
    /// The latest day on which it may have been, there.
    pub until: Day,
    /// From when to when it may have occurred, local time with its offset, where its hour is not
    /// known; no earliest where nothing bounds it.
    pub between: Option<[Option<String>; 2]>,
    /// The first words about it.
    pub words: String,
    /// The equipment in it.
    pub equipment: Vec<String>,
    /// The finding in four sentences.
    pub finding: Vec<String>,
    /// What failed at last; nothing where it is not known or no component.
    pub cause: Option<TraceCause>,
    /// The causes in their order, contributing ones first.
    pub steps: Vec<TraceStep>,
    /// The newest entry that was surely written before the event.
    pub known_at: i64,
    /// The first and the last entry after that of which nobody can tell whether it was before.
    pub order_unknown: Option<[i64; 2]>,
    /// The checklist that was in force.
    pub list: Option<String>,
    /// Pieces that had been withdrawn and were in the event all the same.
    pub out_of_service: Vec<String>,
    /// The items.
    pub rows: Vec<TraceRow>,
    /// What stands beside the checklist and could have shown it.
    pub beside: Vec<CheckLine>,
    /// Conclusions on what is no item here, in words.
    pub also_concluded: Vec<String>,
    /// What people say against the record, or of what an item would have shown.
    pub testimonies: Vec<Testimony>,
    /// What stood between the source and people.
    pub barriers: Vec<BarrierLine>,
    /// Who had a part in it.
    pub people: Vec<TracePerson>,
    /// Photos and papers that go with it, and with the inspections that were looked at.
    pub evidence: Vec<EvidenceLine>,
    /// Other equipment in the same condition.
    pub extent: Vec<Extent>,
    /// What to think about.
    pub suggestions: Vec<String>,
    /// What this judges.
    pub judges: &'static str,
    /// The list's caution.
    pub confirm: String,
    /// Uses of the item that failed, for a drawing.
    #[serde(skip)]
    pub uses: Vec<Use>,
}

/// The trace of one event.
///
/// # Errors
/// A name that leads nowhere; a ledger that cannot be read.
pub fn trace_of(house: &OpenHouse<'_>, name: &str) -> Result<TraceAnswer, AnswerError> {
    let event = happened(house, name)?;
    let both = Both::load(house, &event)?;
    let found = steps(&both)?;
    let list = both.house_then().checklist_on(both.moment.day);
    let list = list.map(|(_, list)| list);
    let causes: Vec<Option<TraceCause>> = found
        .steps
        .iter()
        .map(|it| cause(&both, it, list))
        .collect();
    let extent = extents(&both, &found, &causes)?;
    let barriers = barrier_lines(house, &event);
    let testimonies = testimonies(house, &event);
    let out_of_service = out_of_service(&both);
    let steps = told_steps(&both, &found, &causes);
    let beside = beside(&both, &found)?;
    let known = (out_of_service.as_slice(), testimonies.len());
    let seen = found.rows().flat_map(|(_, row)| &row.verdict.seen);
    let seen: BTreeSet<i64> = seen.map(|it| it.inspection.entry).collect();
    let finding = finding_of(&found, &steps, (&barriers, &beside), known);
    let mut answer = TraceAnswer {
        event: event.body.name.clone(),
        kind: kind(house, &event).map_or_else(|| event.body.kind.clone(), |it| it.name),
        occurred: event.occurred_words(),
        on: both.moment.day,
        until: both.when.last.day,
        between: event.between_words(),
        words: event.body.words.clone(),
        equipment: labels(house, &event),
        finding,
        cause: causes.into_iter().nth(found.main).flatten(),
        steps,
        known_at: both.cut.known,
        order_unknown: both.cut.unsure_entries(),
        list: list.map(|list| list.key.clone()),
        beside,
        also_concluded: found.also.clone(),
        testimonies,
        out_of_service,
        barriers,
        people: event
            .body
            .people
            .iter()
            .map(|it| person(house, it))
            .collect(),
        evidence: evidence_of_event_and(house, &event, seen.into_iter())?,
        extent,
        suggestions: suggested(list, &found),
        judges: JUDGES_ITEMS,
        confirm: list.map(|list| list.confirm.clone()).unwrap_or_default(),
        uses: Vec::new(),
        rows: Vec::new(),
    };
    for (at, step) in found.steps.into_iter().enumerate() {
        if at == found.main {
            answer.uses = step.uses;
        }
        let rows = step.rows.into_iter();
        answer.rows.extend(rows.map(|(_, row)| TraceRow {
            step: at + 1,
            ..row
        }));
    }
    Ok(answer)
}

fn labels(house: &House, event: &Happened) -> Vec<String> {
    let all_equipment = event.body.equipment.iter();
    all_equipment
        .map(|it| house.names.label(it.number()))
        .collect()
}

/// Each step in words.
fn told_steps(both: &Both<'_>, found: &Steps<'_>, causes: &[Option<TraceCause>]) -> Vec<TraceStep> {
    let steps = found.steps.iter().zip(causes).enumerate();
    let told = |(at, (it, cause)): (usize, (&Step<'_>, &Option<TraceCause>))| {
        let stored = it.cause?;
        Some(TraceStep {
            step: at + 1,
            kind: stored.body.kind.map(Words::word),
            words: match (cause, stored.body.human) {
                (Some(cause), _) => format!(
                    "the {} of {} failed: {}",
                    cause.component, cause.equipment, cause.failure
                ),
                (None, Some(human)) => human_words(human),
                (None, None) => cause_words(both.now, both.event.day(), &stored.body),
            },
            because: stored.body.because.clone(),
            entry: stored.entry,
            is_human: stored.body.human.is_some(),
            installed_on: cause.as_ref().and_then(|it| it.installed_on),
            lot: cause.as_ref().and_then(|it| it.lot.clone()),
            perhaps_installed: cause
                .as_ref()
                .map_or(Vec::new(), |it| it.perhaps_installed.clone()),
            no_item: it.no_item.clone(),
        })
    };
    steps.filter_map(told).collect()
}

fn finding_of(
    found: &Steps<'_>,
    steps: &[TraceStep],
    (barriers, beside): (&[BarrierLine], &[CheckLine]),
    (out_of_service, testimonies): (&[String], usize),
) -> Vec<String> {
    let limits: Vec<Option<String>> = found
        .rows()
        .map(|(_, row)| row.measurement.as_ref().map(ItemMeasurement::limit_words))
        .collect();
    let rows = found.rows().zip(&limits).map(|((_, row), limit)| Seen {
        equipment: &row.equipment,
        item: &row.item,
        limit: limit.as_deref(),
        foreseeable: row.wear.as_ref().and_then(|it| it.foreseeable),
        verdict: &row.verdict,
    });
    let main = found.steps.get(found.main);
    finding(&Told {
        failed: steps
            .iter()
            .map(|it| format!("{} ({})", it.words, it.because))
            .collect(),
        is_human: main.is_some_and(|it| it.failed == Failed::Human),
        rows: rows.collect(),
        no_item: main.and_then(|it| it.no_item.as_ref()),
        barriers,
        beside,
        out_of_service,
        testimonies,
    })
}

/// The barriers, with the RSO's conclusions on them.
fn barrier_lines(house: &House, event: &Happened) -> Vec<BarrierLine> {
    let humans = event.standing().into_iter().filter_map(|it| {
        Some(HumanFact {
            human: it.body.human?,
            because: it.body.because.clone(),
            entry: it.entry,
        })
    });
    let humans: Vec<HumanFact> = humans.collect();
    barriers(&barrier_notes(event), &humans, |barrier| {
        concluded(house, event, None, barrier)
    })
}

/// Other equipment in the condition of any item that failed; each once.
fn extents(
    both: &Both<'_>,
    found: &Steps<'_>,
    causes: &[Option<TraceCause>],
) -> Result<Vec<Extent>, AnswerError> {
    let mut all: Vec<Extent> = Vec::new();
    for (step, cause) in found.steps.iter().zip(causes) {
        let (Some(equipment), Some(cause)) = (step.equipment, cause) else {
            continue;
        };
        let others = others(both, equipment, &cause.component, &step.rows)?;
        for it in extent(cause.lot.as_deref(), &others) {
            match all.iter_mut().find(|known| known.equipment == it.equipment) {
                Some(known) => {
                    let new = it.why.into_iter().filter(|why| !known.why.contains(why));
                    let new: Vec<String> = new.collect();
                    known.why.extend(new);
                }
                None => all.push(it),
            }
        }
    }
    Ok(all)
}

fn suggested(list: Option<&Checklist>, found: &Steps<'_>) -> Vec<String> {
    let Some(list) = list else {
        return vec![
            "no checklist was in force: adopt one with `wearbook checklist \
                     adopt`"
                .to_owned(),
        ];
    };
    let mut all: Vec<String> = Vec::new();
    for step in &found.steps {
        for it in suggestions(&step.failed, &ruled(list, step)) {
            if !all.contains(&it) {
                all.push(it);
            }
        }
    }
    all
}

/// Pieces that had been withdrawn before the event and not returned.
fn out_of_service(both: &Both<'_>) -> Vec<String> {
    let Some(then) = &both.then else {
        return Vec::new();
    };
    let said = |equipment: RecordId| {
        let out = then.house.service.out_all_day(equipment, both.moment.day)?;
        let (id, on, entry) = (both.now.names.label(equipment), out.on, out.entry);
        Some(format!(
            "{id} was removed from service on {on} (entry {entry}: {}) and in the event all the \
            same",
            out.reason
        ))
    };
    let all_equipment = both.event.body.equipment.iter().map(|it| it.number());
    all_equipment.filter_map(said).collect()
}

fn ruled<'r>(list: &'r Checklist, found: &'r Step<'_>) -> Vec<Ruled<'r>> {
    let of = |(_, row): &'r (RecordId, TraceRow)| {
        Some(Ruled {
            equipment: &row.equipment,
            item: list.item(&row.item)?,
            verdict: &row.verdict,
        })
    };
    found.rows.iter().filter_map(of).collect()
}

fn cause(both: &Both<'_>, step: &Step<'_>, list: Option<&Checklist>) -> Option<TraceCause> {
    let (equipment, stored) = (step.equipment?, step.cause?);
    let Failed::Found {
        on,
        component,
        failure,
        ..
    } = &step.failed
    else {
        return None;
    };
    let house = both.now;
    let installed_on = both.installed(house, equipment, component);
    let parts = house.maintenance.parts_of(equipment).iter();
    let lot = parts
        .filter(|it| it.body.component == *component && Some(it.body.installed_on) == installed_on)
        .filter_map(|it| it.body.lot.clone())
        .next_back();
    let name = list.and_then(|list| list.failure(failure));
    Some(TraceCause {
        equipment: house.names.label(equipment),
        kind: on.clone(),
        component: component.clone(),
        failure: name.map_or_else(|| failure.clone(), |it| it.name.clone()),
        because: stored.body.because.clone(),
        entry: stored.entry,
        installed_on,
        lot,
        perhaps_installed: both.perhaps_installed(equipment, component),
    })
}

fn person(house: &House, it: &EventPerson) -> TracePerson {
    TracePerson {
        person: house.names.words(&it.person),
        role: it.role.clone(),
        monitored: it.monitored,
        estimate: range(house, it),
    }
}
