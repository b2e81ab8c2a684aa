//! What is possible but doubtful on a sheet. It is written as it stands and
//! held until somebody rules on it: a crew that is refused invents a number, a
//! crew that is held tells the truth.

use std::collections::{BTreeMap, HashMap};

use super::doubt_reading::doubts_of_reading;
use crate::answer::Names;
use crate::calendar::{Day, parse_time};
use crate::intake::file::words::unknown_words;
use crate::ledger::{LedgerError, Snapshot};
use crate::record::{Dosimeter, Doubt, DoubtType, Person, RecordId, Ref, Sheet, ShiftName};

/// Who and which dosimeter was on which sheet on one day.
#[derive(Debug, Clone)]
struct Presence {
    sheet: RecordId,
    worker: Option<RecordId>,
    dosimeters: Vec<RecordId>,
    shift: ShiftName,
    times: Option<Times>,
}

/// Beginning and end of a shift in minutes from the day's midnight.
type Times = (i64, i64);

/// A device that a sheet has, with the hours of its shift.
#[derive(Debug, Clone, Copy)]
struct DeviceUse {
    sheet: RecordId,
    device: RecordId,
    times: Times,
}

/// The device of a sheet; nothing where its hours do not say when it was where.
fn device_use(sheet: &Sheet, record: RecordId) -> Option<DeviceUse> {
    Some(DeviceUse {
        sheet: record,
        device: sheet.device.as_ref()?.known()?.number(),
        times: times(sheet)?,
    })
}

/// Everybody who was on a sheet of one day, and every device.
#[derive(Debug, Default)]
struct DayPresences {
    devices: Vec<DeviceUse>,
    all: Vec<Presence>,
    /// Places in `all` where a worker or a dosimeter stands. One map serves
    /// both: no two records share a number.
    places: HashMap<RecordId, Vec<usize>>,
}

impl DayPresences {
    fn push(&mut self, presence: Presence) {
        let place = self.all.len();
        let named = presence.worker.iter().chain(&presence.dosimeters);
        for record in named {
            self.places.entry(*record).or_default().push(place);
        }
        self.all.push(presence);
    }

    /// Those that have the person or one of the person's dosimeters, in order.
    fn sharing(&self, person: &Person) -> impl Iterator<Item = &Presence> {
        let dosimeters = person.readings.iter().map(|it| it.dosimeter.number());
        let mut places: Vec<usize> = std::iter::once(person.worker.number())
            .chain(dosimeters)
            .flatten()
            .filter_map(|record| self.places.get(&record))
            .flatten()
            .copied()
            .collect();
        places.sort_unstable();
        places.dedup();
        places.into_iter().filter_map(|place| self.all.get(place))
    }
}

/// The sheets of the days around those that are being taken in. Days are read
/// from the ledger once and kept up to date, so that a bulk import does not ask
/// again for every person.
#[derive(Debug, Default)]
pub(crate) struct Nearby {
    days: BTreeMap<Day, DayPresences>,
}

impl Nearby {
    /// More days than a file that is sorted at all needs at once.
    const DAYS_KEPT: usize = 40;

    /// Makes sure that the day of the sheet and its neighbours are there.
    pub fn load(&mut self, snapshot: &Snapshot<'_>, sheet: &Sheet) -> Result<(), LedgerError> {
        for day in around(sheet.day) {
            if self.days.contains_key(&day) {
                continue;
            }
            if self.days.len() >= Self::DAYS_KEPT {
                // The day furthest away; it is read again should it be needed.
                let far = [self.days.first_key_value(), self.days.last_key_value()]
                    .into_iter()
                    .flatten()
                    .map(|(far, _)| *far)
                    .max_by_key(|far| (*far - day).num_days().abs());
                if let Some(far) = far {
                    self.days.remove(&far);
                }
            }
            let mut found = DayPresences::default();
            for it in snapshot.sheets(day, day)? {
                presences(&it.body, it.record).for_each(|it| found.push(it));
                found.devices.extend(device_use(&it.body, it.record));
            }
            self.days.insert(day, found);
        }
        Ok(())
    }

    /// Adds a sheet that was just written.
    pub fn remember(&mut self, sheet: &Sheet, record: RecordId) {
        if let Some(day) = self.days.get_mut(&sheet.day) {
            presences(sheet, record).for_each(|it| day.push(it));
            day.devices.extend(device_use(sheet, record));
        }
    }

    /// Other sheets that have the device while this shift lasted, by the hours of both. Where one
    /// of them has none, a second job after the first is as likely.
    fn same_device<'a>(
        &'a self,
        sheet: &'a Sheet,
        own: Option<RecordId>,
    ) -> impl Iterator<Item = DeviceUse> + 'a {
        let mine = device_use(sheet, own.unwrap_or_default());
        let of = move |mine: DeviceUse| {
            around(sheet.day).flat_map(move |day| {
                let offset = (day - sheet.day).num_days() * 24 * 60;
                let there = self.days.get(&day).map(|it| &it.devices);
                let all = there.into_iter().flatten().copied();
                all.filter(move |it| it.device == mine.device && Some(it.sheet) != own)
                    .filter(move |it| at_once(mine.times, it.times, offset))
            })
        };
        mine.into_iter().flat_map(of)
    }

    /// Other sheets that have the person or one of the person's dosimeters
    /// while this shift lasted, apart from the versions of record `own`.
    fn at_the_same_time<'a>(
        &'a self,
        sheet: &'a Sheet,
        times: Option<Times>,
        person: &'a Person,
        own: Option<RecordId>,
    ) -> impl Iterator<Item = &'a Presence> {
        around(sheet.day).flat_map(move |day| {
            let days = (day - sheet.day).num_days();
            let there = self.days.get(&day).map(|it| it.sharing(person));
            there
                .into_iter()
                .flatten()
                .filter(move |other| Some(other.sheet) != own)
                .filter(move |other| overlap(sheet, times, other, days))
        })
    }
}

fn around(day: Day) -> impl Iterator<Item = Day> {
    [day.pred_opt(), Some(day), day.succ_opt()]
        .into_iter()
        .flatten()
}

fn times(sheet: &Sheet) -> Option<Times> {
    use chrono::Timelike;
    let minute = |text: &str| {
        parse_time(text)
            .ok()
            .map(|time| i64::from(time.hour()) * 60 + i64::from(time.minute()))
    };
    let begins = minute(sheet.begins.as_deref()?)?;
    let ends = minute(sheet.ends.as_deref()?)?;
    Some((begins, if ends <= begins { ends + 24 * 60 } else { ends }))
}

fn presences(sheet: &Sheet, record: RecordId) -> impl Iterator<Item = Presence> {
    let times = times(sheet);
    sheet.people.iter().map(move |person| Presence {
        sheet: record,
        worker: person.worker.number(),
        dosimeters: person
            .readings
            .iter()
            .filter_map(|it| it.dosimeter.number())
            .collect(),
        shift: sheet.shift,
        times,
    })
}

/// Everything that is doubtful about a sheet, apart from `own` versions of it.
pub(crate) fn doubts(
    sheet: &Sheet,
    names: &Names,
    nearby: &Nearby,
    own: Option<RecordId>,
) -> Vec<Doubt> {
    let mut found = Vec::new();
    unknown_items(sheet, names, &mut found);
    for other in nearby.same_device(sheet, own) {
        let about = format!(
            "`{}` is on the sheet of entry {} at the same time",
            names.label(other.device),
            other.sheet
        );
        found.push(Doubt {
            with: Some(other.sheet),
            ..doubt(DoubtType::DeviceTwice, about, None)
        });
    }
    let times = times(sheet);
    for (at, person) in sheet.people.iter().enumerate() {
        let place = at as i64 + 1;
        doubts_of_person(sheet, person, place, names, &mut found);
        for (nth, reading) in person.readings.iter().enumerate() {
            let reading = (nth as i64 + 1, reading);
            doubts_of_reading(sheet, reading, place, names, &mut found);
        }
        shared_on_sheet(sheet, person, place, names, &mut found);
        let others = nearby.at_the_same_time(sheet, times, person, own);
        contradictions(person, place, others, names, &mut found);
    }
    found
}

fn doubt(kind: DoubtType, about: String, person: Option<i64>) -> Doubt {
    Doubt {
        about,
        part: None,
        person,
        reading: None,
        kind,
        with: None,
    }
}

fn unknown_items(sheet: &Sheet, names: &Names, found: &mut Vec<Doubt>) {
    for (what, it) in sheet.equipment() {
        match it {
            Ref::Written(words) => {
                let about = unknown_words(what, &words, &names.near_equipment(&words));
                found.push(doubt(DoubtType::UnknownItem, about, None));
            }
            Ref::Known(record) => {
                let record = record.number();
                let first = names.in_service(record);
                not_in_service(sheet.day, first, || names.label(record), None, found);
            }
        }
    }
    let others = [
        ("survey meter", sheet.meter.as_ref().and_then(Ref::written)),
        ("job", sheet.job.written()),
        (
            "worker who attests",
            sheet.attested_by.as_ref().and_then(Ref::written),
        ),
    ];
    for (what, words) in others {
        let Some(words) = words else { continue };
        let near = match what {
            "job" => names.near_jobs(words),
            "survey meter" => names.near_instruments(words),
            _ => names.near_workers(words),
        };
        found.push(doubt(
            DoubtType::UnknownItem,
            unknown_words(what, words, &near),
            None,
        ));
    }
    let meter = sheet.meter.as_ref().and_then(Ref::known);
    if let Some(record) = meter {
        let first = names
            .instrument_body(record.number())
            .and_then(|body| body.in_service);
        not_in_service(
            sheet.day,
            first,
            || names.label(record.number()),
            None,
            found,
        );
    }
}

fn not_in_service(
    day: Day,
    first: Option<Day>,
    label: impl Fn() -> String,
    person: Option<i64>,
    found: &mut Vec<Doubt>,
) {
    if let Some(first) = first
        && day < first
    {
        let label = label();
        let about = format!("`{label}` is in service from {first} on, the shift was on {day}");
        found.push(doubt(DoubtType::NotInService, about, person));
    }
}

fn doubts_of_person(
    sheet: &Sheet,
    person: &Person,
    place: i64,
    names: &Names,
    found: &mut Vec<Doubt>,
) {
    match &person.worker {
        Ref::Written(words) => {
            let about = unknown_words("worker", words, &names.near_workers(words));
            found.push(doubt(DoubtType::UnknownWorker, about, Some(place)));
        }
        Ref::Known(record) if !names.monitored(record.number(), sheet.day) => {
            let about = format!(
                "`{}` was not monitored on {}",
                names.label(record.number()),
                sheet.day
            );
            found.push(doubt(DoubtType::NotMonitored, about, Some(place)));
        }
        Ref::Known(_) => {}
    }
    if let Some(Ref::Written(words)) = &person.ratemeter {
        let about = unknown_words("alarm ratemeter", words, &names.near_instruments(words));
        found.push(doubt(DoubtType::UnknownItem, about, Some(place)));
    }
}

/// One dosimeter on two people of the same sheet: the second one is held.
fn shared_on_sheet(
    sheet: &Sheet,
    person: &Person,
    place: i64,
    names: &Names,
    found: &mut Vec<Doubt>,
) {
    let before = sheet.people.iter().take((place - 1).max(0) as usize);
    let others: Vec<&Ref<Dosimeter>> = before
        .flat_map(|other| other.readings.iter().map(|it| &it.dosimeter))
        .collect();
    for (nth, reading) in person.readings.iter().enumerate() {
        if others.contains(&&reading.dosimeter) {
            let label = names.words(&reading.dosimeter);
            found.push(Doubt {
                about: format!("`{label}` is on another person of this sheet too"),
                part: Some(reading.part),
                person: Some(place),
                reading: Some(nth as i64 + 1),
                kind: DoubtType::DosimeterTwice,
                with: None,
            });
        }
    }
}

/// Whether two shifts were at the same time: by their times where both have
/// them, else by their names. `days` is how many days later the other began.
fn overlap(sheet: &Sheet, times: Option<Times>, other: &Presence, days: i64) -> bool {
    match (times, other.times) {
        (Some(one), Some(other)) => at_once(one, other, days * 24 * 60),
        _ => days == 0 && sheet.shift == other.shift,
    }
}

/// Whether two shifts have a minute in common; the other is counted from `offset`.
fn at_once((begins, ends): Times, other: Times, offset: i64) -> bool {
    begins < other.1 + offset && other.0 + offset < ends
}

fn contradictions<'a>(
    person: &Person,
    place: i64,
    others: impl Iterator<Item = &'a Presence>,
    names: &Names,
    found: &mut Vec<Doubt>,
) {
    let worker = person.worker.known();
    for other in others {
        if worker.is_some() && other.worker == worker.map(|it| it.number()) {
            found.push(Doubt {
                about: format!(
                    "`{}` is on the sheet of entry {} at the same time",
                    names.words(&person.worker),
                    other.sheet
                ),
                part: None,
                person: Some(place),
                reading: None,
                kind: DoubtType::Overlap,
                with: Some(other.sheet),
            });
            continue;
        }
        for (nth, reading) in person.readings.iter().enumerate() {
            let Some(dosimeter) = reading.dosimeter.known() else {
                continue;
            };
            if other.dosimeters.contains(&dosimeter.number()) {
                found.push(Doubt {
                    about: format!(
                        "`{}` is on another person at the same time, on the sheet of entry {}",
                        names.label(dosimeter.number()),
                        other.sheet
                    ),
                    part: Some(reading.part),
                    person: Some(place),
                    reading: Some(nth as i64 + 1),
                    kind: DoubtType::DosimeterTwice,
                    with: Some(other.sheet),
                });
            }
        }
    }
}
