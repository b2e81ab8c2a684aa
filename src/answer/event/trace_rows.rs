//! The items that could have shown what failed: which steps a chain of causes has, which items
//! and items belong to each, and the RSO's conclusions on them.

use super::happened::Happened;
use super::trace_extent::{barrier_notes, testimonies, wear_then};
use super::trace_facts::TracedItem;
use super::trace_row::{NO_ITEM, TraceRow};
use super::trace_states::Both;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::House;
use crate::calendar::Day;
use crate::ledger::Stored;
use crate::record::{Conclusion, Coverage, EventCause, RecordId, Words};
use crate::rule::{Checklist, ChecklistItem, EventKind, Half};
use crate::trace::coverage::{Beside, Covered, Failed, Source, by_data};
use crate::trace::known::Use;
use crate::trace::verdict::verdict;

/// One cause of a chain, or that none is known, with its items.
pub(crate) struct Step<'e> {
    /// The cause.
    pub cause: Option<&'e Stored<EventCause>>,
    /// The item that failed.
    pub equipment: Option<RecordId>,
    /// What failed.
    pub failed: Failed,
    /// The items with the items that they are of.
    pub rows: Vec<(RecordId, TraceRow)>,
    /// That nothing looks for it.
    pub no_item: Option<Covered>,
    /// Uses of the item that failed.
    pub uses: Vec<Use>,
}

/// The steps of an event: its causes in their order, or one without a cause.
pub(crate) struct Steps<'e> {
    pub steps: Vec<Step<'e>>,
    /// Which of them failed at last.
    pub main: usize,
    /// Conclusions that belong to no row, in words.
    pub also: Vec<String>,
}

impl Steps<'_> {
    /// Every row of every step.
    pub fn rows(&self) -> impl Iterator<Item = &(RecordId, TraceRow)> {
        self.steps.iter().flat_map(|it| &it.rows)
    }
}

/// The kind of an event, as the rule set of its day has it.
pub(crate) fn kind(house: &House, event: &Happened) -> Option<EventKind> {
    let rule_set = house.judging(event.day()).ok()?;
    event.kind(rule_set)
}

/// What failed by one cause, in the words of the room `trace`.
fn failed(both: &Both<'_>, cause: &EventCause) -> Option<(Option<RecordId>, Failed)> {
    if cause.human.is_some() {
        return Some((None, Failed::Human));
    }
    let house = both.now;
    let equipment = cause.equipment?.number();
    let on = house.names.type_word(equipment)?.to_owned();
    let (component, failure) = (cause.component.clone()?, cause.failure.clone()?);
    let list = both.house_then().checklist_on(both.moment.day);
    let beside = list.map(|(_, list)| Beside::of(list, &on, &component));
    let failed = Failed::Found {
        beside: beside.unwrap_or_default(),
        on,
        component,
        failure,
    };
    Some((Some(equipment), failed))
}

/// The items whose items may have shown it: the one that failed, those that it meets in a joint
/// and those that are checked against it, or all in the event where no cause is known.
fn all_equipment(
    both: &Both<'_>,
    (equipment, failed): (Option<RecordId>, &Failed),
    list: &Checklist,
) -> Result<Vec<RecordId>, AnswerError> {
    let in_event = both.event.body.equipment.iter().map(|it| it.number());
    let Some(equipment) = equipment else {
        return Ok(match failed {
            Failed::Human => Vec::new(),
            _ => in_event.collect(),
        });
    };
    let type_of = |it: RecordId| both.now.names.type_stored(it).unwrap_or_default();
    let kind = type_of(equipment);
    let wanted = kinds_beside(kind, failed, list);
    let (snapshot, day) = (both.now.snapshot, both.moment.day);
    // The last that a mating check names, either way round.
    let mut met: Vec<RecordId> = Vec::new();
    met.extend(
        snapshot
            .mated_with(equipment, Day::MIN, day)?
            .iter()
            .map(|it| it.of.item),
    );
    for item in list
        .items
        .iter()
        .filter(|it| it.on == kind && it.pair.is_some())
    {
        let lines = snapshot.lines_of_key(equipment, &item.key, Day::MIN)?;
        let lines = lines.iter().filter(|it| it.of.on <= day);
        met.extend(lines.filter_map(|it| it.other));
    }
    let mut all = vec![equipment];
    for on in wanted {
        let is = |it: &RecordId| *it != equipment && type_of(*it) == on;
        let mates: Vec<RecordId> = in_event.clone().filter(is).collect();
        if mates.is_empty() {
            all.extend(met.iter().copied().rfind(is));
        }
        all.extend(mates);
    }
    Ok(all)
}

/// The kinds of things that meet one that failed: in its joints, and by a check against its kind.
fn kinds_beside(kind: &str, failed: &Failed, list: &Checklist) -> Vec<String> {
    let mut kinds: Vec<String> = Vec::new();
    let against = list
        .items
        .iter()
        .filter(|it| it.pair.as_deref() == Some(kind));
    let mut add = |on: &str| {
        if on != kind && !kinds.iter().any(|it| it == on) {
            kinds.push(on.to_owned());
        }
    };
    against.for_each(|it| add(&it.on));
    if let Failed::Found { beside, .. } = failed {
        beside.halves.iter().for_each(|it: &Half| add(&it.on));
        let mating = beside.mating.iter().filter_map(|key| list.item(key));
        mating.for_each(|it| add(&it.on));
    }
    kinds
}

/// The RSO's last conclusion on a checklist item of an item of equipment, or on a barrier.
pub(crate) fn concluded(
    house: &House,
    event: &Happened,
    equipment: Option<RecordId>,
    item: &str,
) -> Option<Covered> {
    let of = |it: &&Stored<Conclusion>| {
        it.body.item == item && it.body.equipment.map(|it| it.number()) == equipment
    };
    let said = event.conclusions.iter().filter(of);
    let said = said.max_by_key(|it| (it.body.on, it.entry))?;
    Some(covered(house, said))
}

fn covered(house: &House, said: &Stored<Conclusion>) -> Covered {
    Covered {
        coverage: said.body.coverage,
        source: Source::Concluded {
            by: house.names.label(said.body.by.number()),
            on: said.body.on,
            because: said.body.because.clone(),
            entry: said.entry,
        },
    }
}

/// The verdict on each item that may have shown what failed, step by step.
pub(crate) fn steps<'e>(both: &Both<'e>) -> Result<Steps<'e>, AnswerError> {
    let event: &'e Happened = both.event;
    let mut steps: Vec<Step<'e>> = Vec::new();
    let direct = event.direct().map(|it| it.record);
    let mut main = 0;
    for cause in event.standing() {
        if let Some((equipment, failed)) = failed(both, &cause.body) {
            if Some(cause.record) == direct {
                main = steps.len();
            }
            steps.push(step(both, Some(cause), equipment, failed)?);
        }
    }
    if steps.is_empty() {
        let failures = kind(both.now, event).map(|it| it.failures);
        let failures = failures.unwrap_or_default();
        steps.push(step(both, None, None, Failed::NotFound { failures })?);
    }
    let mut found = Steps {
        steps,
        main,
        also: Vec::new(),
    };
    place_others(both, &mut found)?;
    let order = |coverage: Coverage| Coverage::ALL.iter().position(|it| *it == coverage);
    for step in &mut found.steps {
        let rows = &mut step.rows;
        rows.sort_by_key(|(_, it)| order(it.verdict.covered.coverage));
        step.no_item = no_item(both, step);
    }
    Ok(found)
}

/// One step with its rows.
fn step<'e>(
    both: &Both<'e>,
    cause: Option<&'e Stored<EventCause>>,
    equipment: Option<RecordId>,
    failed: Failed,
) -> Result<Step<'e>, AnswerError> {
    let mut found = Step {
        cause,
        equipment,
        failed,
        rows: Vec::new(),
        no_item: None,
        uses: Vec::new(),
    };
    let Some((_, list)) = both.house_then().checklist_on(both.moment.day) else {
        return Ok(found);
    };
    for record in all_equipment(both, (equipment, &found.failed), list)? {
        let kind = both.now.names.type_stored(record).unwrap_or_default();
        // Of an item that only met the one that failed: mating checks, and its half of the joint.
        let beside = |it: &ChecklistItem| match &found.failed {
            Failed::Found { beside, .. } => beside.has(it),
            _ => false,
        };
        let of_it = |it: &&ChecklistItem| {
            it.on == kind
                && (equipment.is_none_or(|of| of == record) || it.pair.is_some() || beside(it))
        };
        let mut items = Vec::new();
        for item in list.items.iter().filter(of_it) {
            if let Some(coverage) = by_data(item, &found.failed) {
                items.push((item.clone(), coverage));
            }
        }
        let (rows, uses) = judged(both, record, &items)?;
        found.rows.extend(rows.into_iter().map(|it| (record, it)));
        if Some(record) == equipment {
            found.uses = uses;
        }
    }
    Ok(found)
}

/// The verdict on some items of one item; what the RSO concluded goes before the data.
fn judged(
    both: &Both<'_>,
    record: RecordId,
    items: &[(ChecklistItem, Coverage)],
) -> Result<(Vec<TraceRow>, Vec<Use>), AnswerError> {
    let (house, event) = (both.now, both.event);
    if items.is_empty() {
        return Ok((Vec::new(), Vec::new()));
    }
    let (notes, said) = (barrier_notes(event), testimonies(house, event));
    let mine = TracedItem::load(both, record)?;
    let mut rows = Vec::new();
    for (item, coverage) in items {
        let item = both.house_then().item_on(record, item, both.moment.day);
        let data = Covered {
            coverage: *coverage,
            source: Source::Checklist,
        };
        let covered = concluded(house, event, Some(record), &item.key).unwrap_or(data);
        let facts = mine.facts(both, &item)?;
        rows.push(TraceRow {
            step: 1,
            equipment: house.names.label(record),
            kind: house
                .names
                .type_stored(record)
                .unwrap_or_default()
                .to_owned(),
            item: item.key.clone(),
            component: item.component.clone(),
            how: item.how.clone(),
            when: item.when.iter().map(|it| it.name()).collect(),
            basis: item.basis.clone(),
            wear: wear_then(both, &mine, &facts)?,
            verdict: verdict(&facts, covered, &said, &notes),
            measurement: item.measurement.clone(),
        });
    }
    Ok((rows, mine.uses))
}

/// A conclusion that is written is always shown: on an item that no step has, as a row of the
/// step that failed at last; on anything else, in words.
fn place_others(both: &Both<'_>, found: &mut Steps<'_>) -> Result<(), AnswerError> {
    let house = both.now;
    let list = both.house_then().checklist_on(both.moment.day);
    let mut done: Vec<(RecordId, String)> = Vec::new();
    for said in &both.event.conclusions {
        let Some(equipment) = said.body.equipment.map(|it| it.number()) else {
            continue;
        };
        let key = (equipment, said.body.item.clone());
        let is_row = found
            .rows()
            .any(|(of, row)| *of == equipment && row.item == key.1);
        let of_step = found.steps.iter().any(|it| it.equipment == Some(equipment));
        if is_row || done.contains(&key) || key.1 == NO_ITEM && of_step {
            continue;
        }
        let kind = house.names.type_stored(equipment);
        let item = list.and_then(|(_, list)| list.item(&key.1));
        let item = item.filter(|it| Some(it.on.as_str()) == kind);
        match item {
            Some(item) => {
                let (rows, _) = judged(both, equipment, &[(item.clone(), said.body.coverage)])?;
                if let Some(step) = found.steps.get_mut(found.main) {
                    step.rows.extend(rows.into_iter().map(|it| (equipment, it)));
                }
            }
            None => {
                let Some(covered) = concluded(house, both.event, Some(equipment), &key.1) else {
                    continue;
                };
                let (word, label) = (covered.coverage, house.names.label(equipment));
                found.also.push(format!(
                    "{label} {}: {}, {}",
                    key.1,
                    word.word(),
                    covered.said_by()
                ));
            }
        }
        done.push(key);
    }
    Ok(())
}

/// That nothing looks for this: by the data no item names the mode, and the RSO has not concluded
/// otherwise on any.
fn no_item(both: &Both<'_>, step: &Step<'_>) -> Option<Covered> {
    let equipment = step.equipment?;
    let cannot = |it: &TraceRow| {
        let covered = &it.verdict.covered;
        covered.coverage == Coverage::CannotDetect && !covered.is_concluded()
    };
    let said = concluded(both.now, both.event, Some(equipment), NO_ITEM);
    let none = step.rows.iter().all(|(_, row)| cannot(row));
    said.or_else(|| {
        none.then_some(Covered {
            coverage: Coverage::NoItem,
            source: Source::Checklist,
        })
    })
}
