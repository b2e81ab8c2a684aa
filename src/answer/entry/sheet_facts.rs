//! A stored sheet with what was known of its dosimeters, instruments and
//! equipment on its day: what the checks of a sheet are given.

use super::sheet_figures::{figures_of, survey_distance};
use super::sheet_start::{not_as_started, started_late};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::equipment::item_facts::{in_use_by, instrument, item, used};
use crate::answer::status::qualified::{Paper, holds_paper};
use crate::calendar::Day;
use crate::dose::checks::input::{self, LastEnd, SheetFacts, WornDosimeter};
use crate::dose::checks::sheet_findings;
use crate::dose::input::Reading;
use crate::dose::population::too_young;
use crate::ledger::{ReadingRow, Snapshot, Stored};
use crate::quantity::{DoseRate, Indication, IndicationUnit};
use crate::record::{
    CheckType, Dosimeter, InstrumentType, Person, Ref, Role, Setting, Sheet, Words,
};
use crate::rule::{Finding, Severity};

/// How far back a dosimeter's last reading is looked for.
const LAST_END_DAYS: u64 = 120;

/// What the checks of a sheet find: by the rules of the license, and by those of its job.
pub(crate) fn findings_of_sheet(
    house: &House,
    sheet: &Sheet,
    facts: &SheetFacts,
) -> Result<Vec<Finding>, AnswerError> {
    let license = house.rule_set_on(sheet.day)?;
    Ok(sheet_findings(
        facts,
        license,
        house.rule_set_of_sheet(sheet)?,
    ))
}

/// The facts of one stored sheet.
pub(crate) fn facts_of(
    house: &OpenHouse<'_>,
    stored: &Stored<Sheet>,
) -> Result<SheetFacts, AnswerError> {
    let sheet = &stored.body;
    let mut people = Vec::new();
    for (at, person) in sheet.people.iter().enumerate() {
        people.push(person_of(house, stored, person, at as i64 + 1)?);
    }
    let job = sheet
        .job
        .known()
        .and_then(|job| house.names.job_body(job.number()));
    let equipment = sheet
        .equipment()
        .iter()
        .map(|(_, it)| used(house, it, sheet.day))
        .collect::<Result<_, _>>()?;
    let meters = sheet
        .meter
        .iter()
        .map(|it| instrument(house, it, sheet.day))
        .collect::<Result<_, _>>()?;
    let written = written_on(house, stored);
    Ok(SheetFacts {
        locked: sheet.locked,
        signed_by_other: signed_by_other(house, sheet),
        entry: stored.entry,
        reference: sheet.reference.clone(),
        day: sheet.day,
        shift: sheet.shift.word().to_owned(),
        // An unknown job is taken for a temporary jobsite, where the rules of
        // company are the stricter ones.
        setting: job.map_or(Setting::Temporary, |job| job.setting),
        work: sheet.work,
        equipment,
        has_device: sheet.device.is_some(),
        device_back: sheet.device_back.is_some(),
        in_use_by: in_use_by(sheet),
        storage_survey: sheet
            .storage_survey
            .as_deref()
            .and_then(|rate| DoseRate::parse_meter_rate(rate, None).ok()),
        storage_distance: survey_distance(sheet.storage_distance.as_deref()),
        figures: figures_of(house, stored)?,
        meters,
        at_start: false,
        meter_checked: sheet.meter_checked,
        meter_late: sheet.meter_late == Some(true),
        started_late: started_late(house, sheet)?,
        not_as_started: not_as_started(house, sheet)?,
        attested_by: sheet.attested_by.as_ref().map(|it| house.names.words(it)),
        written_on: written.0,
        clock_doubted: written.1,
        transcribed: stored.transcribed,
        people,
    })
}

/// Who signs for the radiographer without being one that day: by the certifications on record, and
/// where the ledger keeps none, by the role on the sheet, else in the register.
fn signed_by_other(house: &House, sheet: &Sheet) -> Option<String> {
    let signer = sheet.signed_by.as_ref()?;
    let id = house.names.words(signer);
    let Some(record) = signer.number() else {
        return Some(format!("`{id}`, who is not on record"));
    };
    let on_sheet = sheet.people.iter().find(|it| it.worker == *signer);
    let role = on_sheet
        .map(|it| it.role)
        .or_else(|| house.names.role_on(record, sheet.day));
    let acts = matches!(role, Some(Role::Radiographer | Role::Rso));
    match holds_paper(house, Some(record), Paper::Certification, sheet.day) {
        Some(true) => None,
        None if acts => None,
        certified => {
            let role = role.map_or("in no role on record", Words::word);
            Some(match certified {
                Some(_) => format!("{id}, {role} without certification on record"),
                None => format!("{id}, {role}"),
            })
        }
    }
}

/// The day at the job on which a sheet was first written, or the first on which it may have been,
/// with the last and the entry of whose clock that is to be said. Where nothing tells the first it
/// is the sheet's own day.
fn written_on(house: &House, stored: &Stored<Sheet>) -> (Day, Option<(Option<Day>, i64)>) {
    let day = stored.body.day;
    let (record, says) = (stored.record, &stored.first_written_at);
    let zone = house
        .names
        .zone_of(stored.body.job.known().map(|it| it.number()));
    let Some(written) = house.written_days_in(zone, record, says) else {
        return (day, None);
    };
    let first = written.earliest.unwrap_or(day);
    let doubted = house.clocks.is_doubted(record);
    (first, doubted.then_some((written.latest, record)))
}

fn person_of(
    house: &OpenHouse<'_>,
    stored: &Stored<Sheet>,
    person: &Person,
    place: i64,
) -> Result<input::Person, AnswerError> {
    let day = stored.body.day;
    let mut dosimeters: Vec<WornDosimeter> = Vec::new();
    let mut refs: Vec<Ref<Dosimeter>> = Vec::new();
    for (reference, reading) in house.readings_of(stored.entry, &stored.body, place) {
        if let Some(at) = refs.iter().position(|it| *it == reference) {
            if let Some(worn) = dosimeters.get_mut(at) {
                worn.readings.push(reading);
            }
            continue;
        }
        let mut worn = worn(house, stored, &reference, reading)?;
        // The first part alone is recharged at the start of a shift.
        let of_it = person.readings.iter().find(|it| it.dosimeter == reference);
        worn.recharged = of_it.and_then(|it| it.recharged);
        refs.push(reference);
        dosimeters.push(worn);
    }
    // Only these are asked about the badge: no other finding sends it anywhere.
    let may_send = dosimeters.iter().any(|worn| {
        let electronic = worn.kind != Some(InstrumentType::Pocket);
        electronic || worn.readings.iter().any(|it| it.off_scale)
    });
    let on_demand = match person.worker.known() {
        Some(worker) if may_send => house.snapshot.read_on_demand(worker.number(), day)?,
        _ => None,
    };
    let known = person
        .worker
        .known()
        .and_then(|record| house.names.worker_body(record.number()));
    Ok(input::Person {
        worker: house.names.words(&person.worker),
        name: known.map_or_else(|| "(not registered)".to_owned(), |it| it.name.clone()),
        role: person.role,
        certified: holds_paper(house, person.worker.number(), Paper::Certification, day),
        assistant: holds_paper(house, person.worker.number(), Paper::Assistant, day),
        too_young: too_young_on(house, person, day)?,
        badge_worn: person.badge_worn,
        on_demand,
        ratemeter: person
            .ratemeter
            .as_ref()
            .map(|it| instrument(house, it, day))
            .transpose()?,
        alarm_tested: person.alarm_tested,
        late: person.late.clone(),
        dosimeters,
    })
}

fn too_young_on(
    house: &House,
    person: &Person,
    day: Day,
) -> Result<Option<(Severity, String)>, AnswerError> {
    let Some(record) = person.worker.number() else {
        return Ok(None);
    };
    let facts = house.facts(record)?;
    Ok(too_young(house.rule_set_on(day)?, facts, day))
}

fn worn(
    house: &OpenHouse<'_>,
    stored: &Stored<Sheet>,
    reference: &Ref<Dosimeter>,
    reading: Reading,
) -> Result<WornDosimeter, AnswerError> {
    let day = stored.body.day;
    let record = reference.number();
    let body = record.and_then(|record| house.names.instrument_body(record));
    let kind = body.map(|it| it.kind);
    // Pocket chambers are recharged at each shift: only where one was not can
    // its start be held against its last end.
    let recharged = kind == Some(InstrumentType::Pocket)
        && reading.start.is_some_and(|start| {
            let top = body
                .and_then(|it| it.top_of_range())
                .map_or(0, |top| top.count());
            start.count().saturating_mul(10) <= top
        });
    let last_end = match record {
        Some(record) if !recharged => last_end(house.snapshot, stored, record)?,
        _ => None,
    };
    let response = record.and_then(|record| {
        let response = house.service.last_check(record, CheckType::Response, day);
        let calibration = house
            .service
            .last_check(record, CheckType::Calibration, day);
        response
            .into_iter()
            .chain(calibration)
            .max_by_key(|check| (check.on, check.entry))
    });
    Ok(WornDosimeter {
        recharged: None,
        item: item(house, reference, day),
        kind,
        range: body.and_then(|it| it.top_of_range()),
        response,
        last_end,
        readings: vec![reading],
    })
}

/// The reading of a dosimeter that came before this sheet's.
fn last_end(
    snapshot: &Snapshot<'_>,
    stored: &Stored<Sheet>,
    dosimeter: i64,
) -> Result<Option<LastEnd>, AnswerError> {
    let day = stored.body.day;
    let first = day
        .checked_sub_days(chrono::Days::new(LAST_END_DAYS))
        .unwrap_or(day);
    let rows = snapshot.readings_of_dosimeter(dosimeter, first, day)?;
    let mut before: Option<(Day, i64, &ReadingRow, String)> = None;
    for (entry, on, _, row) in &rows {
        if *entry == stored.entry || (*on == day && !earlier_shift(snapshot, *entry, &stored.body)?)
        {
            continue;
        }
        let shift = shift_of(snapshot, *entry)?;
        before = Some((*on, *entry, row, shift));
        break;
    }
    Ok(before.and_then(|(day, entry, row, shift)| {
        let unit = row
            .unit
            .as_deref()
            .and_then(|unit| IndicationUnit::parse(unit).ok())?;
        Some(LastEnd {
            entry,
            day,
            shift,
            end: Indication::new(row.end_count?, unit),
        })
    }))
}

fn shift_of(snapshot: &Snapshot<'_>, entry: i64) -> Result<String, AnswerError> {
    let sheet = snapshot.sheet_at(entry)?;
    Ok(sheet
        .map(|it| it.shift.word().to_owned())
        .unwrap_or_default())
}

/// Whether the sheet of an entry on the same day was of an earlier shift.
fn earlier_shift(snapshot: &Snapshot<'_>, entry: i64, than: &Sheet) -> Result<bool, AnswerError> {
    let Some(other) = snapshot.sheet_at(entry)? else {
        return Ok(false);
    };
    Ok(match (&other.begins, &than.begins) {
        (Some(one), Some(two)) => one < two,
        _ => other.shift < than.shift,
    })
}
