//! The trace: from an event to the items that could have shown it, with a verdict on each.

use serde::Serialize;

use super::error::AnswerError;
use super::event::{Happened, all_happened, happened};
use super::load::House;
use super::trace_extent::{barrier_notes, others, testimonies, wear_then};
use super::trace_facts::{Both, Piece};
use crate::calendar::Day;
use crate::ledger::Snapshot;
use crate::record::{Conclusion, Coverage, EventPerson, RecordId, Words};
use crate::rule::{Checklist, ChecklistItem, EventKind, ItemMeasure};
use crate::trace::JUDGES_ITEMS;
use crate::trace::coverage::{Covered, Failed, Source, by_data};
use crate::trace::extent::{Extent, extent};
use crate::trace::record::Use;
use crate::trace::suggestion::{Ruled, suggestions};
use crate::trace::verdict::{BarrierLine, Verdict, barriers, verdict};

/// The item that stands for "nothing looks for this" in a conclusion.
pub const NO_ITEM: &str = "none";

/// What failed, as it is believed now.
#[derive(Debug, Clone, Serialize)]
pub struct TraceCause {
    /// The piece.
    pub piece: String,
    /// What it is.
    pub sort: String,
    /// The component.
    pub component: String,
    /// The failure mode, in the list's words.
    pub failure: String,
    /// What it rests on.
    pub because: String,
    /// The entry that says it.
    pub entry: i64,
    /// When the component was fitted, where that is on record.
    pub fitted_on: Option<Day>,
    /// Its supplier's lot.
    pub lot: Option<String>,
}

/// How a measured item stood at the event, by what was written before it: an estimate.
#[derive(Debug, Clone, Serialize)]
pub struct WearThen {
    /// How many figures there were.
    pub points: usize,
    /// The limit, with its sense.
    pub limit: String,
    /// Where it was heading, in words.
    pub outlook: String,
    /// The first day on which a measure might have been past the limit.
    pub earliest: Option<Day>,
    /// When the line reached it.
    pub likely: Option<Day>,
    /// From when on the limit was to be foreseen.
    pub foreseeable: Option<Day>,
    /// Exposures on sheets from the fitting to the event: at least so many cycles.
    pub cycles_at_least: i64,
    /// Slope of the line in a day and its height on a day, for a drawing.
    #[serde(skip)]
    pub line: Vec<(Day, i64)>,
}

/// One item with its verdict.
#[derive(Debug, Clone, Serialize)]
pub struct TraceRow {
    /// The piece that was looked at, or should have been.
    pub piece: String,
    /// What it is.
    pub sort: String,
    /// The item's key.
    pub item: String,
    /// Its component.
    pub component: String,
    /// What is looked at.
    pub look: String,
    /// When.
    pub when: Vec<&'static str>,
    /// Where the item comes from.
    pub basis: String,
    /// The verdict.
    #[serde(flatten)]
    pub verdict: Verdict,
    /// How it wore, as known then.
    pub wear: Option<WearThen>,
    /// For a drawing.
    #[serde(skip)]
    pub measure: Option<ItemMeasure>,
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
}

/// The trace of one event.
#[derive(Debug, Clone, Serialize)]
pub struct TraceAnswer {
    /// The event.
    pub event: String,
    /// Its kind, in the trade's words.
    pub kind: String,
    /// When it occurred, local time with its offset.
    pub occurred: String,
    /// Its day in the ledger's zone.
    pub on: Day,
    /// The first words about it.
    pub words: String,
    /// The equipment in it.
    pub equipment: Vec<String>,
    /// What failed; nothing where it is not known.
    pub cause: Option<TraceCause>,
    /// The newest entry that was surely written before the event.
    pub known_at: i64,
    /// The first and the last entry after that of which nobody can tell.
    pub order_unknown: Option<[i64; 2]>,
    /// The checklist that was in force.
    pub list: Option<String>,
    /// Pieces that had been withdrawn and were in the event all the same.
    pub withdrawn: Vec<String>,
    /// The items.
    pub rows: Vec<TraceRow>,
    /// That nothing looks for this.
    pub no_item: Option<Covered>,
    /// What stood between the source and people.
    pub barriers: Vec<BarrierLine>,
    /// Who had a part in it.
    pub people: Vec<TracePerson>,
    /// Other equipment in the same condition.
    pub extent: Vec<Extent>,
    /// What to think about.
    pub suggestions: Vec<String>,
    /// What this judges.
    pub judges: &'static str,
    /// The list's caution.
    pub confirm: String,
    /// Uses of the piece that failed, for a drawing.
    #[serde(skip)]
    pub uses: Vec<Use>,
}

/// The kind of an event, as the scheme of its day has it.
fn kind(house: &House, event: &Happened) -> Option<EventKind> {
    let scheme = house.scheme_on(event.day()).ok()?;
    event.kind(scheme)
}

/// The piece and mechanism of an event, in the words of the room `trace`.
fn failed(house: &House, event: &Happened) -> (Option<RecordId>, Failed) {
    let cause = event.cause();
    let parts = cause.and_then(|it| {
        let piece = it.equipment?;
        let on = house.names.sort_word(piece.number())?.to_owned();
        let (component, failure) = (it.component.clone()?, it.failure.clone()?);
        Some((
            piece,
            Failed::Found {
                on,
                component,
                failure,
            },
        ))
    });
    match parts {
        Some((piece, failed)) => (Some(piece.number()), failed),
        None => {
            let failures = kind(house, event).map(|it| it.failures);
            let failures = failures.unwrap_or_default();
            (None, Failed::NotFound { failures })
        }
    }
}

/// The pieces whose items may have shown it: the one that failed and those that are checked
/// against it, or all in the event where no cause is known.
fn pieces(
    both: &Both<'_, '_>,
    piece: Option<RecordId>,
    list: &Checklist,
) -> Result<Vec<RecordId>, AnswerError> {
    let in_event = both.event.body.equipment.iter().map(|it| it.number());
    let Some(piece) = piece else {
        return Ok(in_event.collect());
    };
    let mut all = vec![piece];
    let sort = both.now.names.sort_stored(piece).unwrap_or_default();
    let pairs = |other: RecordId| {
        let on = both.now.names.sort_stored(other).unwrap_or_default();
        let mut items = list.items.iter();
        items.any(|it| it.on == on && it.pair.as_deref() == Some(sort))
    };
    let mated = both.snapshot.mated_with(piece, Day::MIN, both.moment.day)?;
    let last = mated.last().map(|it| it.of.item);
    let mates: Vec<RecordId> = in_event.filter(|it| *it != piece && pairs(*it)).collect();
    if mates.is_empty() {
        all.extend(last.filter(|it| *it != piece && pairs(*it)));
    }
    all.extend(mates);
    Ok(all)
}

/// The RSO's last conclusion on an item of a piece.
fn concluded(
    house: &House,
    event: &Happened,
    piece: Option<RecordId>,
    item: &str,
) -> Option<Covered> {
    let said = event
        .conclusions
        .iter()
        .filter(|it| {
            it.body.item == item && piece.is_none_or(|of| of == it.body.equipment.number())
        })
        .max_by_key(|it| (it.body.on, it.entry))?;
    let Conclusion {
        because,
        by,
        coverage,
        on,
        ..
    } = &said.body;
    Some(Covered {
        coverage: *coverage,
        source: Source::Concluded {
            by: house.names.label(by.number()),
            on: *on,
            because: because.clone(),
            entry: said.entry,
        },
    })
}

/// The rows of an event with the pieces that they are of.
pub(super) struct Rows {
    pub rows: Vec<(RecordId, TraceRow)>,
    pub piece: Option<RecordId>,
    pub failed: Failed,
    uses: Vec<Use>,
}

/// The verdict on each item that may have shown the failure.
pub(super) fn rows(both: &Both<'_, '_>) -> Result<Rows, AnswerError> {
    let (house, event) = (both.now, both.event);
    let (piece, failed) = failed(house, event);
    let mut found = Rows {
        rows: Vec::new(),
        piece,
        failed,
        uses: Vec::new(),
    };
    let Some((_, list)) = both.house_then().checklist_on(both.moment.day) else {
        return Ok(found);
    };
    let (notes, said) = (barrier_notes(event), testimonies(house, event));
    for record in pieces(both, piece, list)? {
        let sort = house.names.sort_stored(record).unwrap_or_default();
        let covered = |item: &ChecklistItem| {
            let data = by_data(item, &found.failed).map(|coverage| Covered {
                coverage,
                source: Source::Checklist,
            });
            concluded(house, event, Some(record), &item.key).or(data)
        };
        let items = list.items.iter().filter(|it| it.on == sort);
        let items: Vec<(ChecklistItem, Covered)> = items
            // Of a piece that only met the one that failed, the mating checks alone.
            .filter(|it| piece.is_none_or(|of| of == record) || it.pair.is_some())
            .map(|it| both.house_then().item_on(record, it, both.moment.day))
            .filter_map(|it| covered(&it).map(|covered| (it, covered)))
            .collect();
        if items.is_empty() {
            continue;
        }
        let mine = Piece::load(both, record)?;
        for (item, covered) in items {
            let facts = mine.facts(both, &item)?;
            let verdict = verdict(&facts, covered, &said, &notes);
            let row = TraceRow {
                piece: house.names.label(record),
                sort: sort.to_owned(),
                item: item.key.clone(),
                component: item.component.clone(),
                look: item.look.clone(),
                when: item.when.iter().map(|it| it.name()).collect(),
                basis: item.basis.clone(),
                wear: wear_then(both, &mine, &facts),
                verdict,
                measure: item.measure.clone(),
            };
            found.rows.push((record, row));
        }
        if Some(record) == piece {
            found.uses = mine.uses;
        }
    }
    let order = |coverage: Coverage| Coverage::ALL.iter().position(|it| *it == coverage);
    found
        .rows
        .sort_by_key(|(_, it)| order(it.verdict.covered.coverage));
    Ok(found)
}

/// The trace of one event.
///
/// # Errors
/// A name that leads nowhere; a ledger that cannot be read.
pub fn trace_of(
    snapshot: &Snapshot<'_>,
    house: &House,
    name: &str,
) -> Result<TraceAnswer, AnswerError> {
    let event = happened(snapshot, house, name)?;
    let both = Both::load(snapshot, house, &event)?;
    let found = rows(&both)?;
    let list = both.house_then().checklist_on(both.moment.day);
    let cause = cause(&both, &found, list.map(|(_, list)| list));
    let extent = match (found.piece, &found.failed) {
        (Some(piece), Failed::Found { component, .. }) => {
            let others = others(&both, piece, component, &found)?;
            extent(cause.as_ref().and_then(|it| it.lot.as_deref()), &others)
        }
        _ => Vec::new(),
    };
    let suggestions = match list {
        Some((_, list)) => suggestions(&found.failed, &ruled(list, &found)),
        None => vec!["no checklist was in force: adopt one with `checklist adopt`".to_owned()],
    };
    let no_item = found
        .piece
        .is_some()
        .then(|| no_item(&both, &found))
        .flatten();
    let kind = kind(house, &event);
    Ok(TraceAnswer {
        event: event.body.name.clone(),
        kind: kind.map_or_else(|| event.body.kind.clone(), |it| it.name),
        occurred: event.occurred_words(),
        on: both.moment.day,
        words: event.body.words.clone(),
        equipment: event
            .body
            .equipment
            .iter()
            .map(|it| house.names.label(it.number()))
            .collect(),
        cause,
        known_at: both.cut.known,
        order_unknown: both.cut.unsure_entries(),
        list: list.map(|(_, list)| list.key.clone()),
        no_item,
        withdrawn: withdrawn(&both),
        barriers: barriers(&barrier_notes(&event)),
        people: event
            .body
            .people
            .iter()
            .map(|it| person(house, it))
            .collect(),
        extent,
        suggestions,
        judges: JUDGES_ITEMS,
        confirm: list
            .map(|(_, list)| list.confirm.clone())
            .unwrap_or_default(),
        uses: found.uses,
        rows: found.rows.into_iter().map(|(_, row)| row).collect(),
    })
}

/// That nothing looks for this: by the data no item of the piece names the mode, and the RSO has
/// not concluded otherwise on any.
fn no_item(both: &Both<'_, '_>, found: &Rows) -> Option<Covered> {
    let cannot = |it: &TraceRow| {
        let covered = &it.verdict.covered;
        covered.coverage == Coverage::CannotDetect && !covered.is_concluded()
    };
    let said = concluded(both.now, both.event, found.piece, NO_ITEM);
    let none = found.rows.iter().all(|(_, row)| cannot(row));
    said.or_else(|| {
        none.then_some(Covered {
            coverage: Coverage::NoItem,
            source: Source::Checklist,
        })
    })
}

/// Pieces that had been withdrawn before the event and not returned.
fn withdrawn(both: &Both<'_, '_>) -> Vec<String> {
    let Some(then) = &both.then else {
        return Vec::new();
    };
    let said = |piece: RecordId| {
        let out = then.house.service.withdrawn(piece, both.moment.day)?;
        let (id, on, entry) = (both.now.names.label(piece), out.on, out.entry);
        Some(format!(
            "{id} was withdrawn on {on} (entry {entry}: {}) and in the event all the same",
            out.reason
        ))
    };
    let pieces = both.event.body.equipment.iter().map(|it| it.number());
    pieces.filter_map(said).collect()
}

fn ruled<'r>(list: &'r Checklist, found: &'r Rows) -> Vec<Ruled<'r>> {
    let of = |(_, row): &'r (RecordId, TraceRow)| {
        Some(Ruled {
            piece: &row.piece,
            item: list.item(&row.item)?,
            verdict: &row.verdict,
        })
    };
    found.rows.iter().filter_map(of).collect()
}

fn cause(both: &Both<'_, '_>, found: &Rows, list: Option<&Checklist>) -> Option<TraceCause> {
    let (piece, stored) = (found.piece?, both.event.causes.last()?);
    let Failed::Found {
        on,
        component,
        failure,
    } = &found.failed
    else {
        return None;
    };
    let house = both.now;
    let fitted_on = both.fitted(house, piece, component);
    let parts = house.upkeep.parts_of(piece).iter();
    let lot = parts
        .filter(|it| it.body.component == *component && Some(it.body.fitted_on) == fitted_on)
        .filter_map(|it| it.body.lot.clone())
        .next_back();
    let name = list.and_then(|list| list.failure(failure));
    Some(TraceCause {
        piece: house.names.label(piece),
        sort: on.clone(),
        component: component.clone(),
        failure: name.map_or_else(|| failure.clone(), |it| it.name.clone()),
        because: stored.body.because.clone(),
        entry: stored.entry,
        fitted_on,
        lot,
    })
}

fn person(house: &House, it: &EventPerson) -> TracePerson {
    TracePerson {
        person: house.names.words(&it.person),
        role: it.role.clone(),
        monitored: it.monitored,
    }
}

/// Every event with its rows, for the ranking.
pub(super) fn all_rows(
    snapshot: &Snapshot<'_>,
    house: &House,
) -> Result<Vec<(Happened, Rows, Day)>, AnswerError> {
    let mut all = Vec::new();
    for event in all_happened(snapshot, house)? {
        let (found, day) = {
            let both = Both::load(snapshot, house, &event)?;
            (rows(&both)?, both.moment.day)
        };
        all.push((event, found, day));
    }
    Ok(all)
}
