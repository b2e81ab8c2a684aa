//! Finding records by the words that people use, and near spellings where
//! there is none.

use std::collections::HashMap;

use super::near::near;
use super::sought::{NoSuchName, Sought};
use crate::calendar::{Day, Zone};
use crate::ledger::{Instant, LedgerError, Snapshot, Stored};
use crate::record::{
    Charter, Equipment, EquipmentType, Event, Goal, Id, Instrument, Item, Job, Kind, Monitoring,
    RecordId, Ref, Role, RoleChange, Target, Words, Worker,
};

/// Somebody's changes of role, by day and entry.
type Roles = Vec<(Day, i64, Role)>;

/// The registers, by the ids that people write.
#[derive(Debug)]
pub struct Names {
    /// The charter.
    pub charter: Charter,
    /// The ledger's zone.
    pub zone: Zone,
    workers: HashMap<String, Id<Worker>>,
    instruments: HashMap<String, Id<Instrument>>,
    equipment: HashMap<String, Id<Equipment>>,
    jobs: HashMap<String, Id<Job>>,
    worker_bodies: HashMap<RecordId, Stored<Worker>>,
    instrument_bodies: HashMap<RecordId, Stored<Instrument>>,
    equipment_bodies: HashMap<RecordId, Stored<Equipment>>,
    job_bodies: HashMap<RecordId, Stored<Job>>,
    job_zones: HashMap<RecordId, Zone>,
    pub(crate) monitoring: HashMap<RecordId, Vec<Monitoring>>,
    pub(crate) roles: HashMap<RecordId, Roles>,
    events: HashMap<RecordId, String>,
}

/// At most three of the ids of a kind; nothing where there is none.
fn of_its_type<'a>(ids: impl Iterator<Item = &'a str>) -> Option<Vec<String>> {
    let mut ids: Vec<&str> = ids.collect();
    ids.sort_unstable();
    let first = ids.iter().take(3).map(|it| (*it).to_owned());
    (!ids.is_empty()).then(|| first.collect())
}

/// The zone that an entry names. Another one would put shifts on the wrong day.
fn zone(entry: i64, name: &str) -> Result<Zone, LedgerError> {
    Zone::parse(name).map_err(|error| LedgerError::Damaged {
        detail: format!("entry {entry}: {error}"),
    })
}

fn by_id<T>(
    stored: Vec<Stored<T>>,
    id: impl Fn(&T) -> &str,
) -> (HashMap<String, Id<T>>, HashMap<RecordId, Stored<T>>) {
    let ids = stored
        .iter()
        .map(|it| (id(&it.body).to_lowercase(), it.record.into()))
        .collect();
    let bodies = stored.into_iter().map(|it| (it.record, it)).collect();
    (ids, bodies)
}

impl Names {
    /// The day that it is at a job, or in the ledger's zone where the job is not known.
    pub fn today_at(&self, job: &Ref<Job>, now: Instant) -> Day {
        self.zone_of(job.number()).local_day(now)
    }

    /// The zone of a job, or the ledger's where the job is not known.
    pub fn zone_of(&self, job: Option<RecordId>) -> Zone {
        let own = job.and_then(|job| self.job_zones.get(&job));
        own.copied().unwrap_or(self.zone)
    }

    /// The latest day that it is anywhere that work is done: at the office or at a job east of it.
    /// What is dated of it is in no future.
    pub fn newest_day(&self, now: Instant) -> Day {
        let jobs = self.job_zones.values().map(|zone| zone.local_day(now));
        jobs.fold(self.zone.local_day(now), Day::max)
    }

    /// Reads the registers.
    pub fn load(snapshot: &Snapshot<'_>) -> Result<Names, LedgerError> {
        let charter = snapshot
            .all::<Charter>()?
            .pop()
            .ok_or_else(|| LedgerError::Damaged {
                detail: "there is no charter".to_owned(),
            })?;
        let (workers, worker_bodies) = by_id(snapshot.all::<Worker>()?, |it| &it.id);
        let (instruments, instrument_bodies) = by_id(snapshot.all::<Instrument>()?, |it| &it.id);
        let (equipment, equipment_bodies) = by_id(snapshot.all::<Equipment>()?, |it| &it.id);
        let (jobs, job_bodies) = by_id(snapshot.all::<Job>()?, |it| &it.id);
        let job_zones = job_bodies
            .values()
            .map(|it| Ok((it.record, zone(it.entry, &it.body.zone)?)))
            .collect::<Result<_, LedgerError>>()?;
        let mut monitoring: HashMap<RecordId, Vec<Monitoring>> = HashMap::new();
        for it in snapshot.all::<Monitoring>()? {
            monitoring
                .entry(it.body.worker.number())
                .or_default()
                .push(it.body);
        }
        for changes in monitoring.values_mut() {
            changes.sort_by_key(|change| change.on);
        }
        Ok(Names {
            zone: zone(charter.entry, &charter.body.zone)?,
            charter: charter.body,
            workers,
            instruments,
            equipment,
            jobs,
            worker_bodies,
            instrument_bodies,
            equipment_bodies,
            job_bodies,
            job_zones,
            monitoring,
            roles: roles(snapshot)?,
            events: snapshot
                .all::<Event>()?
                .into_iter()
                .map(|it| (it.record, it.body.name))
                .collect(),
        })
    }

    /// A worker by id, or else by full name where only one has it.
    pub fn find_worker(&self, name: &str) -> Option<Id<Worker>> {
        let lower = name.to_lowercase();
        if let Some(record) = self.workers.get(&lower) {
            return Some(*record);
        }
        let mut named = self
            .worker_bodies
            .values()
            .filter(|it| it.body.name.to_lowercase() == lower);
        match (named.next(), named.next()) {
            (Some(only), None) => Some(only.record.into()),
            _ => None,
        }
    }

    /// An instrument by id.
    pub fn find_instrument(&self, name: &str) -> Option<Id<Instrument>> {
        self.instruments.get(&name.to_lowercase()).copied()
    }

    /// An item of equipment by id.
    pub fn find_equipment(&self, name: &str) -> Option<Id<Equipment>> {
        self.equipment.get(&name.to_lowercase()).copied()
    }

    /// An item of equipment or an instrument by id.
    pub fn find_item(&self, name: &str) -> Option<Id<Item>> {
        let equipment = self.find_equipment(name).map(|it| it.number());
        let found = equipment.or_else(|| self.find_instrument(name).map(|it| it.number()));
        found.map(Id::new)
    }

    /// A job by id.
    pub fn find_job(&self, name: &str) -> Option<Id<Job>> {
        self.jobs.get(&name.to_lowercase()).copied()
    }

    /// A worker, or the words as written.
    pub fn worker_ref(&self, name: &str) -> Ref<Worker> {
        self.find_worker(name)
            .map_or_else(|| Ref::Written(name.to_owned()), Ref::Known)
    }

    /// The item of a kind that a name leads to, or the words as written where nothing has that
    /// name. `Err` is what the item of that name is, where it is of another kind.
    pub fn equipment_ref<T: Target>(&self, name: &str) -> Result<Ref<T>, &'static str> {
        let equipment = find(&self.equipment, name).map(Id::number);
        let instrument = find(&self.instruments, name).map(Id::number);
        let mut all = [equipment, instrument].into_iter().flatten();
        let other = all.clone().find_map(|it| self.type_word(it));
        match (all.find(|it| self.fits(T::GOAL, *it)), other) {
            (Some(record), _) => Ok(Ref::to(record)),
            (None, Some(kind)) => Err(kind),
            (None, None) => Ok(Ref::Written(name.to_owned())),
        }
    }

    /// Whether an item of equipment or an instrument may stand there.
    pub fn fits(&self, goal: Goal, record: RecordId) -> bool {
        if let Some(it) = self.equipment_body(record) {
            return goal.kinds.contains(&Kind::Equipment) && goal.only.takes_equipment(it.kind);
        }
        let instrument = self.instrument_body(record);
        goal.kinds.contains(&Kind::Instrument)
            && instrument.is_some_and(|it| goal.only.takes_instrument(it.kind))
    }

    /// A job, or the words as written.
    pub fn job_ref(&self, name: &str) -> Ref<Job> {
        find(&self.jobs, name).map_or_else(|| Ref::Written(name.to_owned()), Ref::Known)
    }

    /// The event of this name.
    pub fn find_event(&self, name: &str) -> Option<Id<Event>> {
        let found = self
            .events
            .iter()
            .find(|(_, it)| it.eq_ignore_ascii_case(name));
        found.map(|(record, _)| Id::new(*record))
    }

    /// Names of events spelled nearly like this one.
    pub fn near_events(&self, name: &str) -> Vec<String> {
        near(name, self.events.values().map(String::as_str))
    }

    /// The names of all events.
    pub fn events(&self) -> impl Iterator<Item = &str> {
        self.events.values().map(String::as_str)
    }

    /// The name of an event.
    pub fn event_name(&self, record: RecordId) -> Option<&str> {
        self.events.get(&record).map(String::as_str)
    }

    /// Names of workers spelled nearly like this one.
    pub fn near_workers(&self, name: &str) -> Vec<String> {
        let ids = self.worker_bodies.values().map(|it| it.body.id.as_str());
        let names = self.worker_bodies.values().map(|it| it.body.name.as_str());
        near(name, ids.chain(names))
    }

    /// Names of instruments spelled nearly like this one.
    pub fn near_instruments(&self, name: &str) -> Vec<String> {
        self.near_of(self.instrument_bodies.keys().copied().collect(), name)
    }

    /// Names of equipment spelled nearly like this one.
    pub fn near_equipment(&self, name: &str) -> Vec<String> {
        self.near_of(self.equipment_bodies.keys().copied().collect(), name)
    }

    /// Names of equipment and instruments spelled nearly like this one.
    pub fn near_items(&self, name: &str) -> Vec<String> {
        self.near_of(self.items(), name)
    }

    /// Names of items that may stand there, spelled nearly like this one.
    pub fn near_fitting(&self, goal: Goal, name: &str) -> Vec<String> {
        let mut all = self.items();
        all.retain(|it| self.fits(goal, *it));
        self.near_of(all, name)
    }

    /// Those of a kind, where the name is what people call the kind; else near spellings.
    fn near_of(&self, items: Vec<RecordId>, name: &str) -> Vec<String> {
        let called = items.iter().filter(|it| {
            let equipment = self.equipment_body(**it).map(|it| it.kind.may_be(name));
            let instrument = self.instrument_body(**it).map(|it| it.kind.may_be(name));
            equipment.or(instrument) == Some(true)
        });
        let labels = |it: &RecordId| self.label(*it);
        let called: Vec<String> = called.map(labels).collect();
        of_its_type(called.iter().map(String::as_str)).unwrap_or_else(|| {
            let ids: Vec<String> = items.iter().map(labels).collect();
            near(name, ids.iter().map(String::as_str))
        })
    }

    /// Names of jobs spelled nearly like this one.
    pub fn near_jobs(&self, name: &str) -> Vec<String> {
        near(name, self.job_bodies.values().map(|it| it.body.id.as_str()))
    }

    /// A worker that must be known.
    pub fn worker(&self, name: &str) -> Result<Id<Worker>, NoSuchName> {
        self.find_worker(name).ok_or_else(|| NoSuchName {
            what: Sought::Worker,
            name: name.to_owned(),
            near: self.near_workers(name),
        })
    }

    /// An instrument that must be known.
    pub fn instrument(&self, name: &str) -> Result<Id<Instrument>, NoSuchName> {
        self.find_instrument(name).ok_or_else(|| NoSuchName {
            what: Sought::Instrument,
            name: name.to_owned(),
            near: self.near_instruments(name),
        })
    }

    /// An item of equipment, by id.
    pub fn equipment(&self, name: &str) -> Result<Id<Equipment>, NoSuchName> {
        self.find_equipment(name).ok_or_else(|| NoSuchName {
            what: Sought::Equipment,
            name: name.to_owned(),
            near: self.near_equipment(name),
        })
    }

    /// The first day of service of an item of equipment or an instrument.
    pub fn in_service(&self, item: RecordId) -> Option<Day> {
        match self.equipment_body(item) {
            Some(equipment) => equipment.in_service,
            None => self.instrument_body(item)?.in_service,
        }
    }

    /// Every item of equipment and every instrument, in the order of writing.
    pub fn items(&self) -> Vec<RecordId> {
        let equipment = self.equipment_bodies.keys();
        let mut all: Vec<RecordId> = equipment
            .chain(self.instrument_bodies.keys())
            .copied()
            .collect();
        all.sort_unstable();
        all
    }

    /// Every source assembly.
    pub fn sources(&self) -> impl Iterator<Item = (RecordId, &Equipment)> {
        let all = self.equipment_bodies.iter();
        all.map(|(record, it)| (*record, &it.body))
            .filter(|(_, it)| it.kind == EquipmentType::Source)
    }

    /// What an item of equipment or an instrument is, as checklists and bodies have it.
    pub fn type_stored(&self, item: RecordId) -> Option<&'static str> {
        let equipment = self.equipment_body(item).map(|it| it.kind.stored());
        equipment.or_else(|| self.instrument_body(item).map(|it| it.kind.stored()))
    }

    /// Whether it is an exposure device.
    pub fn is_device(&self, item: RecordId) -> bool {
        let body = self.equipment_body(item);
        body.is_some_and(|it| it.kind == EquipmentType::Device)
    }

    /// The word that people have for what an item of equipment or an instrument is.
    pub fn type_word(&self, item: RecordId) -> Option<&'static str> {
        let equipment = self.equipment_body(item).map(|it| it.kind.word());
        equipment.or_else(|| self.instrument_body(item).map(|it| it.kind.word()))
    }

    /// An item of equipment or an instrument that must be known.
    pub fn item(&self, name: &str) -> Result<Id<Item>, NoSuchName> {
        self.find_item(name).ok_or_else(|| NoSuchName {
            what: Sought::ItemOrInstrument,
            name: name.to_owned(),
            near: self.near_items(name),
        })
    }

    /// A job that must be known.
    pub fn job(&self, name: &str) -> Result<Id<Job>, NoSuchName> {
        self.find_job(name).ok_or_else(|| NoSuchName {
            what: Sought::Job,
            name: name.to_owned(),
            near: self.near_jobs(name),
        })
    }

    /// The ids of the jobs.
    pub(crate) fn job_ids(&self) -> impl Iterator<Item = String> {
        self.job_bodies.values().map(|it| it.body.id.clone())
    }

    /// Every job.
    pub fn jobs(&self) -> impl Iterator<Item = (RecordId, &Job)> {
        let all = self.job_bodies.iter();
        all.map(|(record, it)| (*record, &it.body))
    }

    /// Every worker.
    pub fn workers(&self) -> impl Iterator<Item = (RecordId, &Worker)> {
        self.worker_bodies
            .iter()
            .map(|(record, it)| (*record, &it.body))
    }

    /// Every instrument.
    pub fn instruments(&self) -> impl Iterator<Item = (RecordId, &Instrument)> {
        self.instrument_bodies
            .iter()
            .map(|(record, it)| (*record, &it.body))
    }

    /// What the register says of a worker.
    pub fn worker_body(&self, record: RecordId) -> Option<&Worker> {
        self.worker_bodies.get(&record).map(|it| &it.body)
    }

    /// What the register says of an instrument.
    pub fn instrument_body(&self, record: RecordId) -> Option<&Instrument> {
        self.instrument_bodies.get(&record).map(|it| &it.body)
    }

    /// What the register says of an item of equipment.
    pub fn equipment_body(&self, record: RecordId) -> Option<&Equipment> {
        self.equipment_bodies.get(&record).map(|it| &it.body)
    }

    /// What the register says of a job.
    pub fn job_body(&self, record: RecordId) -> Option<&Job> {
        self.job_bodies.get(&record).map(|it| &it.body)
    }

    /// The id that people write for a record, or its number.
    pub fn label(&self, record: RecordId) -> String {
        let known = self.known_label(record);
        known.unwrap_or_else(|| format!("record {record}"))
    }

    /// The id that people write for a record, where it has one.
    pub fn known_label(&self, record: RecordId) -> Option<String> {
        let worker = self.worker_body(record).map(|it| it.id.clone());
        let instrument = || self.instrument_body(record).map(|it| it.id.clone());
        let equipment = || self.equipment_body(record).map(|it| it.id.clone());
        let job = || self.job_body(record).map(|it| it.id.clone());
        worker
            .or_else(instrument)
            .or_else(equipment)
            .or_else(job)
            .or_else(|| self.events.get(&record).cloned())
    }

    /// The words for a reference of a sheet.
    pub fn words<T>(&self, it: &Ref<T>) -> String {
        match it {
            Ref::Known(record) => self.label(record.number()),
            Ref::Written(words) => words.clone(),
        }
    }
}

fn roles(snapshot: &Snapshot<'_>) -> Result<HashMap<RecordId, Roles>, LedgerError> {
    let mut roles: HashMap<RecordId, Roles> = HashMap::new();
    for it in snapshot.all::<RoleChange>()? {
        let change = (it.body.from, it.entry, it.body.role);
        roles
            .entry(it.body.worker.number())
            .or_default()
            .push(change);
    }
    for changes in roles.values_mut() {
        changes.sort_by_key(|(from, entry, _)| (*from, *entry));
    }
    Ok(roles)
}

fn find<T>(known: &HashMap<String, Id<T>>, name: &str) -> Option<Id<T>> {
    // Most names are written as registered: try that before making a lower-case copy.
    let found = match name
        .bytes()
        .any(|byte| byte.is_ascii_uppercase() || !byte.is_ascii())
    {
        false => known.get(name),
        true => known.get(&name.to_lowercase()),
    };
    found.copied()
}
