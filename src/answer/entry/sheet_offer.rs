//! What the prompt of a sheet offers: what was so last time, people and things in short lists, and
//! the day on which the shift began.

use std::collections::{HashMap, HashSet};

use chrono::Timelike;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::calendar::{Day, TimeOfDay};
use crate::ledger::{Instant, Stored};
use crate::record::{
    EquipmentType, InstrumentType, Person, RecordId, Ref, Role, Sheet, ShiftName, Work,
};

/// How far back somebody's last sheet is looked for.
const DAYS_BACK: u64 = 60;

/// One of the crew, with what was worn the last time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Member {
    /// The worker's id, or the words as written.
    pub worker: String,
    /// Full name, where known.
    pub name: String,
    /// What the person acted as last, else what they are qualified as.
    pub role: Option<Role>,
    /// The dosimeters.
    pub dosimeters: Vec<String>,
    /// The alarm ratemeter; blank for none.
    pub ratemeter: String,
}

/// What was so on the sheet that was handed in last.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LastTime {
    /// The job.
    pub job: String,
    /// What was done.
    pub work: Work,
    /// Which shift it was.
    pub shift: ShiftName,
    /// Device, source, control unit, guide tubes and meter.
    pub equipment: Vec<LastEquipment>,
    /// The crew.
    pub crew: Vec<Member>,
}

/// An item of the last sheet, and the column under which it stood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LastEquipment {
    /// The column.
    pub column: &'static str,
    /// Its id, or the words as written.
    pub id: String,
    /// Whether the register has it.
    pub known: bool,
}

/// A thing that a line of a sheet may name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offered {
    /// Its id.
    pub id: String,
    /// What it is.
    pub kind: OfferedType,
}

/// What a name on a line of a sheet leads to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OfferedType {
    /// Somebody who works.
    Worker,
    /// A dosimeter that is read directly.
    Dosimeter,
    /// An alarm ratemeter.
    Ratemeter,
    /// A survey meter.
    Meter,
    /// An item of equipment.
    Equipment(EquipmentType),
}

/// What a prompt or a page offers: all that may be chosen today, what was used last first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetOffer {
    /// What was so last time.
    pub last: Option<LastTime>,
    /// Jobs with their places.
    pub jobs: Vec<(String, String)>,
    /// People, with what they wore last.
    pub people: Vec<Member>,
    /// Dosimeters and alarm ratemeters.
    pub worn: Vec<Offered>,
    /// Equipment and survey meters.
    pub equipment: Vec<Offered>,
}

/// The sheets of two months up to a day, what was written last first.
pub(crate) fn recent_sheets(
    house: &OpenHouse<'_>,
    on: Day,
) -> Result<Vec<Stored<Sheet>>, AnswerError> {
    let first = on.checked_sub_days(chrono::Days::new(DAYS_BACK));
    let mut sheets = house.snapshot.sheets(first.unwrap_or(on), on)?;
    sheets.sort_by_key(|it| std::cmp::Reverse(it.entry));
    Ok(sheets)
}

/// What is offered today.
///
/// # Errors
/// A ledger that fails.
pub fn sheet_offer(house: &OpenHouse<'_>, now: Instant) -> Result<SheetOffer, AnswerError> {
    let today = house.names.newest_day(now);
    let sheets = recent_sheets(house, today)?;
    let used = Used::of(&sheets);
    Ok(SheetOffer {
        last: sheets.first().map(|it| last_time(house, &it.body)),
        jobs: jobs(house, &used, today),
        people: people(house, &sheets, &used, today),
        worn: worn(house, &used, today),
        equipment: equipment(house, &used, today),
    })
}

/// The order in which records were used, the last first.
struct Used(HashMap<RecordId, usize>);

impl Used {
    fn of(sheets: &[Stored<Sheet>]) -> Used {
        let mut order = HashMap::new();
        let mut put = |record: Option<RecordId>| {
            let next = order.len();
            record.map(|it| *order.entry(it).or_insert(next));
        };
        for sheet in sheets.iter().map(|it| &it.body) {
            put(sheet.job.number());
            for (_, it) in sheet.equipment() {
                put(it.number());
            }
            put(sheet.meter.as_ref().and_then(Ref::number));
            for person in &sheet.people {
                put(person.worker.number());
                put(person.ratemeter.as_ref().and_then(Ref::number));
                for reading in &person.readings {
                    put(reading.dosimeter.number());
                }
            }
        }
        Used(order)
    }

    /// Puts what was used last first, the rest by id.
    fn first<T>(&self, mut all: Vec<(RecordId, T)>, id: impl Fn(&T) -> String) -> Vec<T> {
        let place = |record| self.0.get(&record).copied().unwrap_or(usize::MAX);
        all.sort_by_cached_key(|(record, it)| (place(*record), id(it)));
        all.into_iter().map(|(_, it)| it).collect()
    }
}

pub(crate) fn last_time(house: &House, sheet: &Sheet) -> LastTime {
    fn used<T>(house: &House, column: &'static str, it: &Ref<T>) -> LastEquipment {
        LastEquipment {
            column,
            id: house.names.words(it),
            known: it.number().is_some(),
        }
    }
    let mut equipment = Vec::new();
    equipment.extend(sheet.device.iter().map(|it| used(house, "device", it)));
    equipment.extend(sheet.source.iter().map(|it| used(house, "source", it)));
    let control = sheet.control_unit.iter();
    equipment.extend(control.map(|it| used(house, "control_unit", it)));
    let tubes = sheet.guide_tubes.iter();
    equipment.extend(tubes.map(|it| used(house, "guide_tubes", it)));
    equipment.extend(sheet.meter.iter().map(|it| used(house, "meter", it)));
    LastTime {
        job: house.names.words(&sheet.job),
        work: sheet.work,
        shift: sheet.shift,
        equipment,
        crew: sheet.people.iter().map(|it| member(house, it)).collect(),
    }
}

pub(super) fn member(house: &House, person: &Person) -> Member {
    let mut dosimeters: Vec<String> = Vec::new();
    for reading in &person.readings {
        let id = house.names.words(&reading.dosimeter);
        if !dosimeters.contains(&id) {
            dosimeters.push(id);
        }
    }
    let known = person
        .worker
        .number()
        .and_then(|it| house.names.worker_body(it));
    let ratemeter = person.ratemeter.as_ref().map(|it| house.names.words(it));
    Member {
        worker: house.names.words(&person.worker),
        name: known.map(|it| it.name.clone()).unwrap_or_default(),
        role: Some(person.role),
        dosimeters,
        ratemeter: ratemeter.unwrap_or_default(),
    }
}

fn jobs(house: &House, used: &Used, today: Day) -> Vec<(String, String)> {
    let open = house.names.jobs().filter(|(_, job)| {
        let begun = job.first_day.is_none_or(|it| it <= today);
        begun && job.last_day.is_none_or(|it| it >= today)
    });
    let open = open.map(|(record, job)| (record, (job.id.clone(), job.place.clone())));
    used.first(open.collect(), |it| it.0.clone())
}

fn people(house: &House, sheets: &[Stored<Sheet>], used: &Used, today: Day) -> Vec<Member> {
    let mut last: HashMap<RecordId, &Person> = HashMap::new();
    for person in sheets.iter().flat_map(|it| &it.body.people) {
        if let Some(worker) = person.worker.number() {
            last.entry(worker).or_insert(person);
        }
    }
    let monitored = house.names.workers();
    let monitored = monitored.filter(|(record, _)| house.names.monitored(*record, today));
    let all = monitored.map(|(record, body)| {
        let offered = match last.get(&record) {
            Some(person) => member(house, person),
            None => Member {
                worker: body.id.clone(),
                name: body.name.clone(),
                role: house.names.role_on(record, today),
                dosimeters: Vec::new(),
                ratemeter: String::new(),
            },
        };
        (record, offered)
    });
    used.first(all.collect(), |it| it.worker.clone())
}

fn worn(house: &House, used: &Used, today: Day) -> Vec<Offered> {
    let of = |dosimeter: bool| {
        let all = house.names.instruments().filter_map(|(record, it)| {
            let kind = instrument_type(it.kind);
            let wanted = match dosimeter {
                true => kind == OfferedType::Dosimeter,
                false => kind == OfferedType::Ratemeter,
            };
            let id = it.id.clone();
            (wanted && may_be_used(house, record, today)).then_some((record, Offered { id, kind }))
        });
        used.first(all.collect(), |it| it.id.clone())
    };
    let mut all = of(true);
    all.extend(of(false));
    all
}

fn equipment(house: &House, used: &Used, today: Day) -> Vec<Offered> {
    let mut all = Vec::new();
    for kind in [
        OfferedType::Equipment(EquipmentType::Device),
        OfferedType::Equipment(EquipmentType::Source),
        OfferedType::Equipment(EquipmentType::Control),
        OfferedType::Equipment(EquipmentType::GuideTube),
        OfferedType::Meter,
    ] {
        let found = house.names.items().into_iter().filter(|record| {
            type_of(house, *record) == Some(kind) && may_be_used(house, *record, today)
        });
        let found = found.map(|record| {
            let id = house.names.label(record);
            (record, Offered { id, kind })
        });
        all.extend(used.first(found.collect(), |it| it.id.clone()));
    }
    all
}

/// In service that day, and nobody has withdrawn it.
pub(super) fn may_be_used(house: &House, record: RecordId, today: Day) -> bool {
    let early = house.names.in_service(record).is_some_and(|it| it > today);
    !early && house.service.out_all_day(record, today).is_none()
}

fn instrument_type(kind: InstrumentType) -> OfferedType {
    match kind {
        InstrumentType::Pocket | InstrumentType::Electronic => OfferedType::Dosimeter,
        InstrumentType::Ratemeter => OfferedType::Ratemeter,
        InstrumentType::Meter => OfferedType::Meter,
    }
}

fn type_of(house: &House, record: RecordId) -> Option<OfferedType> {
    if let Some(it) = house.names.equipment_body(record) {
        return Some(OfferedType::Equipment(it.kind));
    }
    let instrument = house.names.instrument_body(record)?;
    Some(instrument_type(instrument.kind))
}

/// What an id leads to, with the id as the register has it.
pub fn offered(house: &House, name: &str) -> Option<Offered> {
    if let Some(item) = house.names.find_item(name) {
        let kind = type_of(house, item.number())?;
        let id = house.names.label(item.number());
        return Some(Offered { id, kind });
    }
    let worker = house.names.find_worker(name)?;
    Some(Offered {
        id: house.names.label(worker.number()),
        kind: OfferedType::Worker,
    })
}

/// What was so on the sheet that somebody was on last, else on the last of all.
///
/// # Errors
/// A ledger that fails.
pub fn last_time_of(
    house: &OpenHouse<'_>,
    worker: &str,
    now: Instant,
) -> Result<Option<LastTime>, AnswerError> {
    let record = house.names.find_worker(worker).map(|it| it.number());
    let today = house.names.newest_day(now);
    let sheets = recent_sheets(house, today)?;
    let is_on = |it: &&Stored<Sheet>| it.body.people.iter().any(|it| it.worker.number() == record);
    let own = sheets.iter().find(is_on).or(sheets.first());
    Ok(own.map(|it| last_time(house, &it.body)))
}

/// What somebody wore last, for a worker who is not offered: somebody who is not monitored today.
///
/// # Errors
/// A ledger that fails.
pub fn member_of(
    house: &OpenHouse<'_>,
    worker: &str,
    now: Instant,
) -> Result<Option<Member>, AnswerError> {
    let Some(record) = house.names.find_worker(worker).map(|it| it.number()) else {
        return Ok(None);
    };
    let today = house.names.newest_day(now);
    let sheets = recent_sheets(house, today)?;
    let found = sheets.iter().flat_map(|it| &it.body.people);
    let mut found = found.filter(|it| it.worker.number() == Some(record));
    if let Some(person) = found.next() {
        return Ok(Some(member(house, person)));
    }
    let body = house.names.worker_body(record);
    Ok(body.map(|body| Member {
        worker: body.id.clone(),
        name: body.name.clone(),
        role: house.names.role_on(record, today),
        dosimeters: Vec::new(),
        ratemeter: String::new(),
    }))
}

/// The unit of a survey meter's face, where all of its scales have the same.
pub fn meter_unit(house: &House, meter: &str) -> Option<String> {
    let record = house.names.find_instrument(meter)?;
    let scales = &house.names.instrument_body(record.number())?.scales;
    let units = scales.iter().filter_map(|it| it.split_whitespace().nth(1));
    let units: HashSet<&str> = units.collect();
    match units.len() {
        1 => units.into_iter().next().map(str::to_owned),
        _ => None,
    }
}

/// Whether a dosimeter is a pocket chamber, which is recharged at the start of each shift.
pub fn is_recharged(house: &House, dosimeter: &str) -> bool {
    let record = house.names.find_instrument(dosimeter);
    let body = record.and_then(|it| house.names.instrument_body(it.number()));
    body.is_some_and(|it| it.kind == InstrumentType::Pocket)
}

/// The unit of a dosimeter's face.
pub fn face_unit(house: &House, dosimeter: &str) -> Option<String> {
    let record = house.names.find_instrument(dosimeter)?;
    let body = house.names.instrument_body(record.number())?;
    body.face_unit().map(|it| it.to_string())
}

/// The day on which a shift began that is being written down now, in the zone of its job: the
/// last day on which its hour has come. Without an hour a night begins in the evening and an
/// evening in the afternoon.
pub fn shift_day(
    house: &House,
    job: &str,
    shift: ShiftName,
    begins: Option<TimeOfDay>,
    now: Instant,
) -> Day {
    let job = house.names.job_ref(job);
    let today = house.names.today_at(&job, now);
    let zone = house.names.zone_of(job.number());
    let hour = zone.local(now).time();
    let usual = match shift {
        ShiftName::Day => 4,
        ShiftName::Evening => 13,
        ShiftName::Night => 18,
    };
    let has_come = match begins {
        Some(begins) => begins <= hour,
        None => usual <= hour.hour(),
    };
    match has_come {
        true => today,
        false => today.pred_opt().unwrap_or(today),
    }
}
