//! What was known, on the day of a sheet, of a thing that it used.

use super::checked::{left_out, not_inspected};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::calendar::{Day, TimeOfDay, parse_time};
use crate::dose::checks::input::{self, Daily, Defect, Done, Duty, Item, LastCheck, Maintenance};
use crate::ledger::InspectionRow;
use crate::quantity::Activity;
use crate::record::{
    Body, CheckType, EquipmentType, Inspection, InstrumentType, LeakPart, Occasion, RecordId, Ref,
    Sheet, Words,
};

/// A thing with its withdrawal, servicing and nothing else.
pub(crate) fn item<T>(house: &House, it: &Ref<T>, day: Day) -> Item {
    let record = it.number();
    let kind = record
        .and_then(|record| house.names.type_word(record))
        .unwrap_or("unknown item");
    let serviced = record.and_then(|record| {
        let last = |kind| house.service.last_check(record, kind, day);
        let of = house.names.instrument_body(record)?;
        // Of a dosimeter a response check tells as much as a calibration.
        let response = last(CheckType::Response).filter(|_| of.kind.is_dosimeter());
        let checked = last(CheckType::Calibration)
            .into_iter()
            .chain(response)
            .max_by_key(|it| (it.on, it.entry));
        let serviced = house.maintenance.serviced_since(record, checked, day)?;
        Some(Done {
            entry: serviced.entry,
            on: serviced.body.on,
            what: serviced.body.what.clone(),
        })
    });
    Item {
        id: house.names.words(it),
        kind: kind.to_owned(),
        out_of_service: record.and_then(|record| house.service.out_all_day(record, day)),
        maintenance: Maintenance {
            serviced,
            ..Maintenance::default()
        },
    }
}

/// An item of equipment or a meter that was used, with its whole inspection and maintenance.
pub(crate) fn used<T>(house: &OpenHouse<'_>, it: &Ref<T>, day: Day) -> Result<Item, AnswerError> {
    let mut item = item(house, it, day);
    let Some(record) = it.number() else {
        return Ok(item);
    };
    item.maintenance.duties = duties(house, record, day)?;
    item.maintenance.daily = daily(house, record, day)?;
    item.maintenance.defect = house
        .maintenance
        .open_defects(record, day)
        .next()
        .map(|it| {
            let line = &it.line;
            let note = line.note.as_deref().unwrap_or("no words");
            Defect {
                entry: line.of.entry,
                on: line.of.on,
                what: format!("{}: {note}", line.line),
            }
        });
    Ok(item)
}

/// An instrument with its calibration.
pub(crate) fn instrument<T>(
    house: &OpenHouse<'_>,
    it: &Ref<T>,
    day: Day,
) -> Result<input::Instrument, AnswerError> {
    let calibrated = it.number().and_then(|record| {
        house
            .service
            .last_check(record, CheckType::Calibration, day)
    });
    let of = it
        .number()
        .and_then(|record| house.names.instrument_body(record));
    // The alarm check of a ratemeter stands on the sheet itself.
    let item = match of.map(|it| it.kind) {
        Some(InstrumentType::Meter) => used(house, it, day)?,
        _ => item(house, it, day),
    };
    Ok(input::Instrument { item, calibrated })
}

/// What is to be done to an item of equipment from time to time, with when it was last
/// done on or before a day.
pub(crate) fn duties(
    house: &OpenHouse<'_>,
    record: RecordId,
    day: Day,
) -> Result<Vec<Duty>, AnswerError> {
    let Some(equipment) = house.names.equipment_body(record) else {
        return Ok(Vec::new());
    };
    let limit = leak_limit(house, day)?;
    let leak = |key, what, part| {
        let last = house.maintenance.last_leak_test(record, part, day, limit);
        Duty {
            key,
            what,
            last: last.map(|(check, _)| check),
        }
    };
    let mut duties = Vec::new();
    if equipment.kind == EquipmentType::Source {
        duties.push(leak("leak-test", "leak test", LeakPart::Source));
    }
    if equipment.uranium_tube == Some(true) {
        let what = "leak test of the shield tube";
        duties.push(leak("shield-leak-test", what, LeakPart::Tube));
    }
    if is_asked(house, record, Occasion::Quarterly, day) {
        let last = last_periodic(house, record, day)?;
        duties.push(Duty {
            key: "equipment-inspection",
            what: "periodic inspection",
            last: last.map(|it| LastCheck {
                entry: it.entry,
                on: it.on,
                passed: true,
            }),
        });
    }
    Ok(duties)
}

/// The last periodic inspection on or before a day that has a line for each item of its list,
/// were it `not done`: an inspection of two items is no periodic inspection. What arrives is
/// inspected on receipt: the first period runs from then.
pub(crate) fn last_periodic(
    house: &OpenHouse<'_>,
    record: RecordId,
    day: Day,
) -> Result<Option<InspectionRow>, AnswerError> {
    let mut last: Option<InspectionRow> = None;
    for occasion in [Occasion::Quarterly, Occasion::Receipt] {
        for row in house.snapshot.inspections_for(record, occasion, day)? {
            let whole = match house.snapshot.body(row.entry)? {
                Some(Body::Inspection(it)) => left_out(house, &it).is_empty(),
                _ => false,
            };
            if whole {
                let later = |it: &InspectionRow| (it.on, it.entry) > (row.on, row.entry);
                last = last.filter(later).or(Some(row));
                break;
            }
        }
    }
    Ok(last)
}

/// The removable activity from which a leak test fails; without one in the rule set, the
/// strictest that is known.
pub(crate) fn leak_limit(house: &House, day: Day) -> Result<Activity, AnswerError> {
    let tolerance = house.rule_set_on(day)?.tolerance("leak-test-activity");
    Ok(tolerance
        .and_then(|it| it.activity())
        .unwrap_or(Activity::from_bq(185)))
}

/// Whether the checklist in force has items for this thing on an occasion.
pub(crate) fn is_asked(house: &House, record: RecordId, when: Occasion, day: Day) -> bool {
    let Some(kind) = house.names.type_stored(record) else {
        return false;
    };
    house
        .maintenance
        .list_on(day)
        .is_some_and(|it| it.list.items_for(kind, when.stored()).next().is_some())
}

fn daily(house: &OpenHouse<'_>, record: RecordId, day: Day) -> Result<Daily, AnswerError> {
    if !is_asked(house, record, Occasion::Daily, day) {
        return Ok(Daily::NotAsked);
    }
    let inspected = inspections_of_day(house, record, day)?;
    // The earliest that counts.
    let first = inspected.iter().find(|it| it.why_not.is_none());
    Ok(match (first, inspected.first()) {
        (Some(inspection), _) => Daily::Inspected {
            entry: inspection.row.entry,
            at: inspection
                .row
                .at
                .as_deref()
                .and_then(|at| parse_time(at).ok()),
        },
        (None, Some(other)) => Daily::Other {
            entry: other.row.entry,
            what: other.words(),
        },
        (None, None) => Daily::Missing,
    })
}

/// An inspection of a day, and why it is not the check of that day.
#[derive(Debug)]
pub(crate) struct PastInspection {
    /// The inspection.
    pub row: InspectionRow,
    /// What it lacks to be the day's check; nothing where it is that.
    pub why_not: Option<String>,
}

impl PastInspection {
    /// `an inspection quarterly does not say its hour`.
    fn words(&self) -> String {
        let why = self.why_not.as_deref().unwrap_or("counts");
        format!("an inspection {} {why}", self.row.occasion.word())
    }
}

/// The inspections of an item on a day, by hour. One that was made for the day is its check; one
/// for another occasion where it found out about each item that the day asks for, and says its
/// hour, which alone can tell that it came before the use.
pub(crate) fn inspections_of_day(
    house: &OpenHouse<'_>,
    record: RecordId,
    day: Day,
) -> Result<Vec<PastInspection>, AnswerError> {
    let mut inspections = Vec::new();
    for row in house.snapshot.inspections_of(record, day, day)? {
        let why_not = why_not_days(house, &row)?;
        inspections.push(PastInspection { row, why_not });
    }
    Ok(inspections)
}

/// Whether an inspection is the check of its day.
pub(crate) fn is_days_check(
    house: &OpenHouse<'_>,
    row: &InspectionRow,
) -> Result<bool, AnswerError> {
    Ok(why_not_days(house, row)?.is_none())
}

fn why_not_days(house: &OpenHouse<'_>, row: &InspectionRow) -> Result<Option<String>, AnswerError> {
    if row.occasion == Occasion::Daily {
        return Ok(None);
    }
    Ok(match house.snapshot.body(row.entry)? {
        Some(Body::Inspection(it)) => not_whole(house, &it),
        _ => None,
    })
}

/// Why an inspection for another occasion is not the check of its day.
fn not_whole(house: &House, it: &Inspection) -> Option<String> {
    let missing = not_inspected(house, it, Occasion::Daily);
    match (missing.as_slice(), &it.at) {
        ([], Some(_)) => None,
        ([], None) => Some("does not say its hour".to_owned()),
        (missing, _) => Some(format!(
            "did not check {} of the day's items: {}",
            missing.len(),
            missing.join(", ")
        )),
    }
}

/// The first hour by which a sheet's equipment was in use. A shift that runs past midnight
/// tells it only where the first exposure was before that.
pub(crate) fn in_use_by(sheet: &Sheet) -> Option<TimeOfDay> {
    let time = |text: &Option<String>| parse_time(text.as_deref()?).ok();
    let begins = time(&sheet.begins);
    if let Some(first) = time(&sheet.first_exposure) {
        let after_midnight = begins.is_some_and(|begins| first < begins);
        return (!after_midnight).then_some(first);
    }
    if sheet.crosses_midnight() {
        return None;
    }
    // Midnight at the end of the shift is no hour of its day.
    let of_day = |it: &TimeOfDay| *it > TimeOfDay::MIN && begins.is_none_or(|begins| begins <= *it);
    let back = time(&sheet.device_back).filter(of_day);
    back.or_else(|| time(&sheet.ends).filter(of_day))
}
