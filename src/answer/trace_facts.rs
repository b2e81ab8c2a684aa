//! What was known of a piece before an event, and what is written of it now: the plain values
//! that the room `trace` judges.

use super::event::{Happened, kind_of};
use super::inspection::standing;
use super::load::{AnswerError, House};
use super::wear::{Measures, measures_of};
use crate::calendar::{Day, Zone, parse_instant, parse_time};
use crate::ledger::{InspectionRow, LineRow, Snapshot, UseRow};
use crate::quantity::Amount;
use crate::record::{Event, InstrumentSort, RecordId, ServiceReturn, Sheet, Withdrawal, Words};
use crate::rule::ChecklistItem;
use crate::trace::look::{Clear, Look, Moment, World};
use crate::trace::record::{Facts, Use};
use crate::trace::required::Trigger;

/// Kinds of event in which equipment need not have been in use; of every other it was.
const NOT_IN_USE: &[&str] = &["drop-or-fire", "lost-source", "leaking-source"];

/// One state of the ledger.
pub(super) struct State<'s> {
    pub snapshot: Snapshot<'s>,
    pub house: House,
}

/// The two states that a trace compares.
pub(super) struct Both<'s, 'h> {
    /// Before the event; nothing where the ledger is younger.
    pub then: Option<State<'s>>,
    /// The newest entry of that state.
    pub known_at: i64,
    pub now: &'h House,
    pub snapshot: &'h Snapshot<'s>,
    pub event: &'h Happened,
    /// When it occurred, in the ledger's zone, in which hours of inspections are written.
    pub moment: Moment,
}

impl<'s, 'h> Both<'s, 'h> {
    pub fn load(
        snapshot: &'h Snapshot<'s>,
        now: &'h House,
        event: &'h Happened,
    ) -> Result<Both<'s, 'h>, AnswerError> {
        let known_at = snapshot.written_by(event.occurred)?;
        let then = if known_at == 0 {
            None
        } else {
            let snapshot = snapshot.as_of(known_at);
            let house = House::load(&snapshot)?;
            Some(State { snapshot, house })
        };
        Ok(Both {
            then,
            known_at,
            now,
            snapshot,
            event,
            moment: local(now, event.occurred),
        })
    }

    /// Whether a record was written only after the event.
    fn is_later(&self, record: RecordId) -> bool {
        record > self.known_at
    }

    /// The house as it was known then, or as it is where the ledger is younger.
    pub fn house_then(&self) -> &House {
        self.then.as_ref().map_or(self.now, |it| &it.house)
    }

    /// When the part that was in a piece at the event had been fitted, by one house.
    pub fn fitted(&self, house: &House, piece: RecordId, component: &str) -> Option<Day> {
        let day = self.moment.day;
        let parts = house.upkeep.parts_of(piece).iter();
        // A part that was fitted on the event's day and written afterwards is the repair.
        let before = |on: Day, record| on < day || on == day && !self.is_later(record);
        parts
            .filter(|it| it.body.component == component)
            .filter(|it| before(it.body.fitted_on, it.record))
            .map(|it| it.body.fitted_on)
            .next_back()
    }
}

/// A moment on the wall's clock of the ledger's zone.
fn local(house: &House, at: crate::calendar::Instant) -> Moment {
    let zone = Zone::parse(&house.names.charter.zone).unwrap_or(Zone::UTC);
    let local = zone.local(at).naive_local();
    Moment {
        day: local.date(),
        at: Some(local.time()),
    }
}

/// The last day that the ledger's rows can hold: their days are texts of four-digit years, and
/// the calendar's own last day sorts before them.
pub(super) fn last_day() -> Day {
    Day::from_ymd_opt(9999, 12, 31).unwrap_or(Day::MAX)
}

/// What all items of one piece share.
pub(super) struct Piece {
    pub record: RecordId,
    pub uses: Vec<Use>,
    in_use: bool,
    shift_day: Day,
    triggers: Vec<Trigger>,
    heads_then: Vec<InspectionRow>,
    heads_now: Vec<InspectionRow>,
    clears_then: Vec<Clear>,
    clears_now: Vec<Clear>,
    /// Its measured items, by what was written before the event.
    pub measures: Vec<Measures>,
}

impl Piece {
    pub fn load(both: &Both<'_, '_>, record: RecordId) -> Result<Piece, AnswerError> {
        let (snapshot, day) = (both.snapshot, both.moment.day);
        let heads = |snapshot: &Snapshot<'_>| snapshot.inspections_of(record, Day::MIN, last_day());
        let uses = uses(both, record)?;
        let (in_use, shift_day) = shift(both, &uses)?;
        // The sheet of the shift itself is written after the event: uses are those of now.
        let measures = match &both.then {
            Some(then) => measures_of(&then.snapshot, &then.house, record, &rows(&uses), day)?,
            None => Vec::new(),
        };
        Ok(Piece {
            measures,
            record,
            in_use,
            shift_day,
            triggers: triggers(both, record)?,
            heads_then: match &both.then {
                Some(then) => heads(&then.snapshot)?,
                None => Vec::new(),
            },
            heads_now: heads(snapshot)?,
            clears_then: match &both.then {
                Some(then) => clears(&then.snapshot, record)?,
                None => Vec::new(),
            },
            clears_now: clears(snapshot, record)?,
            uses: uses.into_iter().filter(|it| it.day <= day).collect(),
        })
    }

    /// The facts of one item of it.
    pub fn facts<'i>(
        &'i self,
        both: &Both<'_, '_>,
        item: &'i ChecklistItem,
    ) -> Result<Facts<'i>, AnswerError> {
        let house = both.house_then();
        let scheme = house
            .scheme_on(both.moment.day)
            .or_else(|_| both.now.scheme_on(both.moment.day))?;
        let of_equipment = both.now.names.equipment_body(self.record).is_some();
        let periodic = scheme
            .interval("equipment-inspection")
            .filter(|_| of_equipment)
            .map(|it| (it.interval, scheme.year_start));
        let pieces = both.event.body.equipment.iter().map(|it| it.number());
        let mates = pieces.filter(|it| {
            item.pair.is_some() && both.now.names.sort_stored(*it) == item.pair.as_deref()
        });
        let known = match &both.then {
            None => World::default(),
            Some(then) => World {
                looks: self.looks(both, &then.snapshot, &self.heads_then, &item.key)?,
                clears: self.clears_then.clone(),
                fitted: both.fitted(&then.house, self.record, &item.component),
            },
        };
        let now = World {
            looks: self.looks(both, both.snapshot, &self.heads_now, &item.key)?,
            clears: self.clears_now.clone(),
            fitted: both.fitted(both.now, self.record, &item.component),
        };
        Ok(Facts {
            item,
            event: both.moment,
            in_use: self.in_use,
            shift_day: self.shift_day,
            uses: &self.uses,
            periodic,
            mates: mates.collect(),
            triggers: self.triggers.clone(),
            known,
            now,
        })
    }

    fn looks(
        &self,
        both: &Both<'_, '_>,
        snapshot: &Snapshot<'_>,
        heads: &[InspectionRow],
        key: &str,
    ) -> Result<Vec<Look>, AnswerError> {
        let lines = snapshot.lines_of_key(self.record, key, Day::MIN)?;
        let mut looks = Vec::new();
        let mut lines = lines.into_iter().peekable();
        // Both are by day, hour and entry.
        for head in heads {
            let line = lines.next_if(|it| it.of.entry == head.entry);
            looks.push(look(both, head, line.as_ref(), key)?);
        }
        looks.sort_by_key(Look::order);
        Ok(looks)
    }
}

fn look(
    both: &Both<'_, '_>,
    head: &InspectionRow,
    line: Option<&LineRow>,
    key: &str,
) -> Result<Look, AnswerError> {
    let house = both.now;
    let list = house.upkeep.list_of(head.list).map(|it| &it.list);
    let item = list.and_then(|list| list.item(key));
    let value = line.and_then(|it| it.value.clone());
    let count = value.as_deref().and_then(|value| {
        let unit = item?.measure.as_ref()?.unit;
        Some(Amount::parse(value, Some(unit)).ok()?.count())
    });
    let by = head.worker.map(|it| house.names.label(it));
    let written_at = if head.entry == head.record {
        head.written_at.clone()
    } else {
        both.snapshot.entry(head.entry)?.written_at
    };
    Ok(Look {
        record: head.record,
        entry: head.entry,
        written_at,
        transcribed: head.transcribed,
        moment: Moment {
            day: head.on,
            at: head.at.as_deref().and_then(|at| parse_time(at).ok()),
        },
        occasion: head.occasion,
        by: by.or_else(|| head.looked.clone()).unwrap_or_default(),
        asked: item.is_some_and(|it| it.is_for(head.occasion.stored())),
        result: line.map(|it| it.result),
        standing: standing(item, value.as_deref()),
        count,
        value,
        note: line.and_then(|it| it.note.clone()),
        with: line.and_then(|it| it.other),
    })
}

/// Sheets that used a piece up to the event. Of an instrument that is worn its days are told by
/// other means than equipment's.
fn uses(both: &Both<'_, '_>, record: RecordId) -> Result<Vec<Use>, AnswerError> {
    let day = both.moment.day;
    let instrument = both.now.names.instrument_body(record).map(|it| it.sort);
    if instrument == Some(InstrumentSort::Ratemeter) {
        let shifts = both.snapshot.shifts_with_ratemeter(record, Day::MIN, day)?;
        let of = |(entry, day)| Use {
            entry,
            day,
            exposures: None,
        };
        return Ok(shifts.into_iter().map(of).collect());
    }
    let rows = both.snapshot.uses_of(record, Day::MIN, day)?;
    let of = |it: UseRow| Use {
        entry: it.entry,
        day: it.day,
        exposures: it.exposures,
    };
    Ok(rows.into_iter().map(of).collect())
}

fn rows(uses: &[Use]) -> Vec<UseRow> {
    let of = |it: &Use| UseRow {
        entry: it.entry,
        day: it.day,
        exposures: it.exposures,
    };
    uses.iter().map(of).collect()
}

/// Whether a piece was in use at the event, in doubt it was, and the day on which that shift
/// began.
fn shift(both: &Both<'_, '_>, uses: &[Use]) -> Result<(bool, Day), AnswerError> {
    let day = both.moment.day;
    let on = |wanted: Day| uses.iter().filter(move |it| it.day == wanted);
    // The night that was not over comes first: the next shift of the day had not begun.
    if let Some(before) = day.pred_opt() {
        for it in on(before) {
            let sheet = both.snapshot.sheet_at(it.entry)?;
            if sheet.is_some_and(|it| holds(&it, both.moment)) {
                return Ok((true, before));
            }
        }
    }
    if on(day).next().is_some() {
        return Ok((true, day));
    }
    let kind = both.event.body.kind.as_str();
    Ok((!NOT_IN_USE.contains(&kind), day))
}

/// Whether a shift that ran past midnight was not yet over at that hour of the next day.
fn holds(sheet: &Sheet, moment: Moment) -> bool {
    let ends = sheet.ends.as_deref().and_then(|it| parse_time(it).ok());
    sheet.crosses_midnight() && ends.is_none_or(|ends| moment.at.is_none_or(|at| at <= ends))
}

fn clears(snapshot: &Snapshot<'_>, record: RecordId) -> Result<Vec<Clear>, AnswerError> {
    let all = snapshot.all::<ServiceReturn>()?.into_iter();
    let mine = all.filter(|it| it.body.item.number() == record);
    let of = |it: crate::ledger::Stored<ServiceReturn>| Clear {
        entry: it.entry,
        day: it.body.on,
        what: it.body.done,
    };
    Ok(mine.map(of).collect())
}

/// What called for an inspection of a piece before its next use: earlier events, repairs, parts.
fn triggers(both: &Both<'_, '_>, record: RecordId) -> Result<Vec<Trigger>, AnswerError> {
    let mut all = events(both, record)?;
    let whole = |day| Moment { day, at: None };
    let withdrawals = both.snapshot.all::<Withdrawal>()?;
    for it in both.snapshot.all::<ServiceReturn>()? {
        if it.body.item.number() != record || it.body.on > both.moment.day {
            continue;
        }
        // What was looked at while it was out of service was looked at after the repair.
        let out = withdrawals
            .iter()
            .filter(|out| out.body.item.number() == record && out.body.on <= it.body.on)
            .map(|out| out.body.on)
            .max();
        all.push(Trigger {
            entry: it.entry,
            moment: whole(out.unwrap_or(it.body.on)),
            what: format!("a repair ({})", it.body.done),
            component: None,
            learned_later: both.is_later(it.record),
        });
    }
    let in_service = both.now.names.in_service(record);
    for it in both.now.upkeep.parts_of(record) {
        // What came with the piece is no repair.
        if in_service.is_none_or(|from| it.body.fitted_on > from) {
            all.push(Trigger {
                entry: it.entry,
                moment: whole(it.body.fitted_on),
                what: format!("a new {}", it.body.component),
                component: Some(it.body.component.clone()),
                learned_later: both.is_later(it.record),
            });
        }
    }
    all.sort_by_key(|it| (it.moment, it.entry));
    Ok(all)
}

/// Earlier events that called for an inspection of the piece before its next use. A kind that
/// no scheme knows counts as one.
fn events(both: &Both<'_, '_>, record: RecordId) -> Result<Vec<Trigger>, AnswerError> {
    let mut all = Vec::new();
    for it in both.snapshot.all::<Event>()? {
        if it.record == both.event.record || !it.body.equipment.contains(&record.into()) {
            continue;
        }
        let Ok(occurred) = parse_instant(&it.body.occurred) else {
            continue;
        };
        let moment = local(both.now, occurred.to_utc());
        let scheme = both.now.scheme_on(moment.day).ok();
        let kind = scheme.and_then(|scheme| kind_of(scheme, &it.body.kind));
        let calls = kind
            .as_ref()
            .is_none_or(|it| it.withdraws || it.calls_for_inspection);
        if !calls {
            continue;
        }
        let name = kind.map_or(it.body.kind, |kind| kind.name);
        all.push(Trigger {
            entry: it.entry,
            moment,
            what: format!("{}, {name},", it.body.name),
            component: None,
            learned_later: both.is_later(it.record),
        });
    }
    Ok(all)
}
