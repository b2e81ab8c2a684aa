//! What was known of an item before an event, and what is written of it now: the plain values
//! that the room `trace` judges.

use super::trace_states::{Both, State, last_day, local};
use super::trace_triggers::triggers;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::context::shift_hours::{had_begun, ran_until};
use crate::answer::equipment::checked::{item_of, standing};
use crate::answer::equipment::measurements::Measurements;
use crate::answer::equipment::wear_peers::measurements_beside;
use crate::calendar::{Day, parse_instant, parse_time};
use crate::ledger::{InspectionRow, LineRow, Snapshot, Stored};
use crate::quantity::Amount;
use crate::record::{InstrumentType, LineResult, RecordId, ServiceReturn, Words, shows_repair};
use crate::rule::ChecklistItem;
use crate::trace::inspection::{Clear, PastInspection, World};
use crate::trace::known::{Facts, Trigger, Use};
use crate::trace::occurred::DoneAt;

/// Kinds of event in which equipment need not have been in use; of every other it was.
const NOT_IN_USE: &[&str] = &["drop-or-fire", "lost-source", "leaking-source"];

/// What one state of the ledger tells of an item.
#[derive(Default)]
struct Told {
    heads: Vec<InspectionRow>,
    clears: Vec<Clear>,
}

impl Told {
    fn load(snapshot: &Snapshot<'_>, record: RecordId) -> Result<Told, AnswerError> {
        Ok(Told {
            heads: snapshot.inspections_of(record, Day::MIN, last_day())?,
            clears: clears(snapshot, record)?,
        })
    }

    fn of_state(state: Option<&State<'_>>, record: RecordId) -> Result<Told, AnswerError> {
        match state {
            Some(state) => Told::load(&state.snapshot, record),
            None => Ok(Told::default()),
        }
    }
}

/// What all items of one item share.
pub(crate) struct TracedItem {
    pub record: RecordId,
    pub uses: Vec<Use>,
    in_use: bool,
    shift_day: Day,
    triggers: Vec<Trigger>,
    then: Told,
    perhaps: Told,
    now: Told,
    /// Its measured items, by what was written before the event.
    pub measurements: Vec<Measurements>,
}

impl TracedItem {
    pub fn load(both: &Both<'_>, record: RecordId) -> Result<TracedItem, AnswerError> {
        let (snapshot, day) = (both.now.snapshot, both.moment.day);
        let uses = uses(both, record)?;
        let (in_use, shift_day) = shift(both, &uses)?;
        // The sheet of the shift itself is written after the event: uses are those of now.
        let until_then = snapshot.uses_by_item(day)?;
        let measurements = match &both.then {
            Some(then) => measurements_beside(&then.open(), record, &until_then, day)?,
            None => Vec::new(),
        };
        Ok(TracedItem {
            measurements,
            record,
            in_use,
            shift_day,
            triggers: triggers(both, record)?,
            then: Told::of_state(both.then.as_ref(), record)?,
            perhaps: Told::of_state(both.perhaps.as_ref(), record)?,
            now: Told::load(snapshot, record)?,
            uses,
        })
    }

    /// The facts of one item of it.
    pub fn facts<'i>(
        &'i self,
        both: &Both<'_>,
        item: &'i ChecklistItem,
    ) -> Result<Facts<'i>, AnswerError> {
        let house = both.house_then();
        let rule_set = house
            .judging(both.moment.day)
            .or_else(|_| both.now.judging(both.moment.day))?;
        let of_equipment = both.now.names.equipment_body(self.record).is_some();
        let periodic = rule_set
            .interval("equipment-inspection")
            .filter(|_| of_equipment)
            .map(|it| (it.interval, rule_set.year_start));
        let all_equipment = both.event.body.equipment.iter().map(|it| it.number());
        let mates = all_equipment.filter(|it| {
            item.pair.is_some() && both.now.names.type_stored(*it) == item.pair.as_deref()
        });
        let of_state = |state: Option<&State<'_>>, told: &Told| {
            let world = |it: &State<'_>| self.world(both, &it.open(), told, item);
            state.map(world).transpose()
        };
        let known = of_state(both.then.as_ref(), &self.then)?.unwrap_or_default();
        let mut perhaps = of_state(both.perhaps.as_ref(), &self.perhaps)?;
        if let (Some(world), Some(state)) = (&mut perhaps, &both.perhaps) {
            world.installed = both.installed_at_latest(&state.house, self.record, &item.component);
        }
        let now = self.world(both, both.now, &self.now, item)?;
        Ok(Facts {
            item,
            event: both.when,
            in_use: self.in_use,
            shift_day: self.shift_day,
            uses: &self.uses,
            periodic,
            mates: mates.collect(),
            triggers: self.triggers.clone(),
            known,
            perhaps,
            now,
        })
    }

    fn world(
        &self,
        both: &Both<'_>,
        house: &OpenHouse<'_>,
        told: &Told,
        item: &ChecklistItem,
    ) -> Result<World, AnswerError> {
        Ok(World {
            inspections: self.inspections(both, house, &told.heads, item)?,
            clears: told.clears.clone(),
            installed: both.installed(house, self.record, &item.component),
        })
    }

    fn inspections(
        &self,
        both: &Both<'_>,
        house: &OpenHouse<'_>,
        heads: &[InspectionRow],
        item: &ChecklistItem,
    ) -> Result<Vec<PastInspection>, AnswerError> {
        let key = &item.key;
        let lines = house.snapshot.lines_of_key(self.record, key, Day::MIN)?;
        let mut inspections = Vec::new();
        let mut lines = lines.into_iter().peekable();
        // Both are by day, hour and entry.
        for head in heads {
            let line = lines.next_if(|it| it.of.entry == head.entry);
            // Which figures held is asked of that state: what was given later judges no look.
            let item = item_of(house, head, key);
            inspections.push(inspection(both, head, line.as_ref(), item)?);
        }
        inspections.sort_by_key(PastInspection::order);
        let mut defect = None;
        for it in &mut inspections {
            match (it.result, defect) {
                (Some(LineResult::Defect), _) => defect = Some(it.moment.day),
                (Some(LineResult::Good), Some(since)) => {
                    let days = (since, it.moment.day);
                    it.shows_repair |= house.maintenance.is_serviced(self.record, days);
                }
                _ => {}
            }
        }
        Ok(inspections)
    }
}

fn inspection(
    both: &Both<'_>,
    head: &InspectionRow,
    line: Option<&LineRow>,
    item: Option<ChecklistItem>,
) -> Result<PastInspection, AnswerError> {
    let house = both.now;
    let item = item.as_ref();
    let value = line.and_then(|it| it.value.clone());
    let count = value.as_deref().and_then(|value| {
        let unit = item?.unit()?;
        Some(Amount::parse(value, Some(unit)).ok()?.count())
    });
    let by = head.worker.map(|it| house.names.label(it));
    let written_at = match head.entry == head.record {
        true => head.written_at.clone(),
        false => both.now.snapshot.entry(head.entry)?.written_at,
    };
    let moment = DoneAt {
        day: head.on,
        at: head.at.as_deref().and_then(|at| parse_time(at).ok()),
    };
    let written = parse_instant(&written_at).map_or(moment, |at| local(house, at.into()));
    Ok(PastInspection {
        record: head.record,
        entry: head.entry,
        clock_doubted: house.clocks.is_doubted(head.entry),
        written_at,
        written,
        transcribed: head.transcribed,
        moment,
        occasion: head.occasion,
        by: by.or_else(|| head.inspected.clone()).unwrap_or_default(),
        asked: item.is_some_and(|it| it.is_for(head.occasion.stored()) && !it.is_inactive()),
        result: line.map(|it| it.result),
        standing: standing(item, value.as_deref()),
        count,
        value,
        note: line.and_then(|it| it.note.clone()),
        shows_repair: line
            .is_some_and(|it| shows_repair(it.result, head.occasion, it.action.as_deref())),
        with: line.and_then(|it| it.other),
    })
}

/// Sheets that used an item up to the event, at its latest: a shift that began after its hour used
/// nothing before it. Of an instrument that is worn its days are told by other means.
fn uses(both: &Both<'_>, record: RecordId) -> Result<Vec<Use>, AnswerError> {
    let day = both.when.last.day;
    let instrument = both.now.names.instrument_body(record).map(|it| it.kind);
    let rows = match instrument == Some(InstrumentType::Ratemeter) {
        true => both
            .now
            .snapshot
            .shifts_with_ratemeter(record, Day::MIN, day)?,
        false => Vec::new(),
    };
    let worn = rows.into_iter().map(|(entry, day)| (entry, day, None));
    let rows = both
        .now
        .snapshot
        .uses_of(record, Day::MIN, day)?
        .into_iter();
    let used = rows.map(|it| (it.entry, it.day, it.exposures));
    let mut all = Vec::new();
    for (entry, day, exposures) in worn.chain(used) {
        let at = both.moment.at.filter(|_| both.when.is_exact());
        let at = at.filter(|_| day == both.moment.day);
        let sheet = at.map(|_| both.now.snapshot.sheet_at(entry)).transpose()?;
        let began = sheet.flatten().zip(at);
        if began.is_none_or(|(sheet, at)| had_begun(&sheet, at)) {
            all.push(Use {
                entry,
                day,
                exposures,
            });
        }
    }
    Ok(all)
}

/// Whether an item was in use at the event, in doubt it was, and the day on which that shift
/// began.
fn shift(both: &Both<'_>, uses: &[Use]) -> Result<(bool, Day), AnswerError> {
    let day = both.moment.day;
    let on = |wanted: Day| uses.iter().filter(move |it| it.day == wanted);
    let within = |it: &Use| (day..=both.when.last.day).contains(&it.day);
    let used = uses.iter().any(within);
    if used && !both.when.is_exact() {
        return Ok((true, day));
    }
    // The night that was not over comes first: the next shift of the day had not begun.
    if let Some(before) = day.pred_opt() {
        for it in on(before) {
            let sheet = both.now.snapshot.sheet_at(it.entry)?;
            if sheet.is_some_and(|it| ran_until(&it, both.moment.at)) {
                return Ok((true, before));
            }
        }
    }
    if used {
        return Ok((true, day));
    }
    let kind = both.event.body.kind.as_str();
    Ok((!NOT_IN_USE.contains(&kind), day))
}

fn clears(snapshot: &Snapshot<'_>, record: RecordId) -> Result<Vec<Clear>, AnswerError> {
    let all = snapshot.all::<ServiceReturn>()?.into_iter();
    let mine = all.filter(|it| it.body.item.number() == record);
    let of = |it: Stored<ServiceReturn>| Clear {
        entry: it.entry,
        day: it.body.on,
        what: it.body.done,
    };
    Ok(mine.map(of).collect())
}
