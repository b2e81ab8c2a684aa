//! Sets of equipment and instruments as the board shows them.

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::equipment::due::lines_of;
use crate::answer::equipment::due_line::DueState;
use crate::answer::equipment::item::activity_short;
use crate::answer::equipment::item_facts::{inspections_of_day, is_asked};
use crate::answer::equipment::maintenance_findings::{newest_measurements, stops_of_equipment};
use crate::calendar::Day;
use crate::ledger::LineRow;
use crate::record::{EquipmentType, Occasion, RecordId, Ref, Sheet, Words};

/// How a set stands, what keeps it in first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum SetState {
    /// An item of it is withdrawn.
    #[serde(rename = "out of service")]
    Withdrawn,
    /// An item of it has a defect that stands, is past a limit or leaks.
    #[serde(rename = "stop")]
    Stop,
    /// An inspection of an item of it is not in time: to be made before it goes out.
    #[serde(rename = "inspect before use")]
    InspectBeforeUse,
    /// The day's check, a leak test or a calibration is to be made before it goes out.
    #[serde(rename = "check before use")]
    CheckBeforeUse,
    /// Nothing on record stands against it.
    #[serde(rename = "in service")]
    InService,
}

impl SetState {
    /// As printed.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Withdrawn => "out of service",
            Self::Stop => "STOP",
            Self::InspectBeforeUse => "inspect before use",
            Self::CheckBeforeUse => "check before use",
            Self::InService => "in service",
        }
    }

    const fn stops(self) -> bool {
        matches!(self, Self::Withdrawn | Self::Stop)
    }
}

/// Why a set stands as it does.
#[derive(Debug, Clone, Serialize)]
pub struct SetReason {
    /// The item.
    pub equipment: String,
    /// What it does to the set.
    pub state: SetState,
    /// What is so.
    pub what: String,
    /// The check whose finding it is; nothing where it is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub check: Option<String>,
}

impl SetReason {
    /// In words, with the item.
    pub fn words(&self) -> String {
        format!("{}: {}", self.equipment, self.what)
    }

    /// Whether the item must not be used. An inspection that is still to come is no stop.
    pub fn stops(&self) -> bool {
        self.state.stops()
    }
}

/// One device with what went out with it last.
#[derive(Debug, Clone, Serialize)]
pub struct SetLine {
    /// The exposure device.
    pub device: String,
    /// What went out with it on its last sheet.
    pub with: Vec<String>,
    /// The source in it with the activity of the day, an estimate.
    pub source: String,
    /// `today 06:40`, `not today`, or nothing where the checklist asks no daily look.
    pub inspected: String,
    /// How it stands.
    pub state: SetState,
    /// Why, the most serious first.
    pub reasons: Vec<SetReason>,
}

impl SetLine {
    /// Whether it may not go out as it stands. An inspection that is still to come is no stop.
    pub fn stops(&self) -> bool {
        self.state.stops()
    }
}

/// All instruments of a kind.
#[derive(Debug, Clone, Serialize)]
pub struct InstrumentGroup {
    /// The kind.
    #[serde(rename = "type")]
    pub kind: String,
    /// How many are current.
    pub current: usize,
    /// The first day on which one of them falls out of it.
    pub until: Option<Day>,
    /// Which one that is.
    pub first: String,
    /// Those that may not be used, each with why.
    pub not_usable: Vec<String>,
}

/// How far back the last sheet of a device is looked for.
const DAYS_BACK: u64 = 60;

/// Every device in service, with what went out with it last.
///
/// # Errors
/// A ledger that fails, or no rule set on that day.
pub fn sets(house: &OpenHouse<'_>, on: Day) -> Result<Vec<SetLine>, AnswerError> {
    let first = on
        .checked_sub_days(chrono::Days::new(DAYS_BACK))
        .unwrap_or(on);
    let sheets = house.snapshot.sheets(first, on)?;
    let measurements = newest_measurements(house.snapshot, on)?;
    let mut lines = Vec::new();
    for device in house.names.items() {
        let body = house.names.equipment_body(device);
        let is_device = body.is_some_and(|it| it.kind == EquipmentType::Device);
        if !is_device || house.names.in_service(device).is_some_and(|from| from > on) {
            continue;
        }
        let mine = sheets
            .iter()
            .filter(|it| it.body.device.as_ref().and_then(Ref::number) == Some(device));
        let last = mine.max_by_key(|it| (it.body.day, it.entry));
        let last = last.map(|it| &it.body);
        lines.push(set(house, (device, last), &measurements, on)?);
    }
    lines.sort_by(|a, b| a.device.cmp(&b.device));
    Ok(lines)
}

fn set(
    house: &OpenHouse<'_>,
    (device, last): (RecordId, Option<&Sheet>),
    measurements: &[LineRow],
    on: Day,
) -> Result<SetLine, AnswerError> {
    let mut all_equipment = vec![device];
    if let Some(sheet) = last {
        all_equipment.extend(sheet.control_unit.iter().filter_map(Ref::number));
        all_equipment.extend(sheet.guide_tubes.iter().filter_map(Ref::number));
    }
    let held = house
        .maintenance
        .source_in(device, on)
        .map(|(source, _)| source);
    let mut reasons = Vec::new();
    for equipment in all_equipment.iter().copied().chain(held) {
        reasons.extend(reasons_of(house, (equipment, measurements), on)?);
    }
    let (inspected, missing) = checked_at(house, &all_equipment, on)?;
    reasons.sort_by_key(|it| it.state);
    // That the day's check is to come stands in its own column.
    let check = match missing.is_empty() {
        true => SetState::InService,
        false => SetState::CheckBeforeUse,
    };
    let state = reasons.first().map_or(check, |it| it.state.min(check));
    Ok(SetLine {
        device: house.names.label(device),
        with: all_equipment
            .iter()
            .skip(1)
            .map(|it| house.names.label(*it))
            .collect(),
        source: held
            .and_then(|source| activity_short(house, source, on))
            .unwrap_or_default(),
        inspected,
        state,
        reasons,
    })
}

/// What stands against equipment and instruments on a day, by their ids, as the board says it, the
/// worst first. Ids of nothing on record are passed over.
///
/// # Errors
/// A ledger that fails, or no rule set on the day.
pub fn against_items(
    house: &OpenHouse<'_>,
    ids: &[&str],
    on: Day,
) -> Result<Vec<SetReason>, AnswerError> {
    let measurements = newest_measurements(house.snapshot, on)?;
    let mut all = Vec::new();
    for item in ids.iter().filter_map(|id| house.names.find_item(id)) {
        all.extend(reasons_of(house, (item.number(), &measurements), on)?);
    }
    all.sort_by_key(|it| it.state);
    Ok(all)
}

/// What stands against one item: the findings about it, and what is not in time.
fn reasons_of(
    house: &OpenHouse<'_>,
    (item, measurements): (RecordId, &[LineRow]),
    on: Day,
) -> Result<Vec<SetReason>, AnswerError> {
    let equipment = house.names.label(item);
    if let Some(out) = house.service.out_of_service(item, on) {
        return Ok(vec![SetReason {
            equipment,
            state: SetState::Withdrawn,
            what: out.reason,
            check: None,
        }]);
    }
    let mut reasons = Vec::new();
    for it in stops_of_equipment(house, item, measurements, on)? {
        reasons.push(SetReason {
            equipment: equipment.clone(),
            state: SetState::Stop,
            what: it.what,
            check: Some(it.check),
        });
    }
    for duty in lines_of(house, item, on)? {
        if duty.state != DueState::InTime {
            reasons.push(SetReason {
                equipment: equipment.clone(),
                state: match duty.key {
                    INSPECTION => SetState::InspectBeforeUse,
                    _ => SetState::CheckBeforeUse,
                },
                what: format!("{} {}", duty.what, duty.words),
                check: None,
            });
        }
    }
    Ok(reasons)
}

/// The key of the interval of a periodic inspection.
const INSPECTION: &str = "equipment-inspection";

/// When the items had their inspection of the day, in words, and those for which the list asks one
/// and that had none.
fn checked_at(
    house: &OpenHouse<'_>,
    all_equipment: &[RecordId],
    on: Day,
) -> Result<(String, Vec<String>), AnswerError> {
    let mut missing = Vec::new();
    let mut latest: Option<String> = None;
    let mut asked = 0;
    for equipment in all_equipment {
        if !is_asked(house, *equipment, Occasion::Daily, on) {
            continue;
        }
        asked += 1;
        let inspections = inspections_of_day(house, *equipment, on)?;
        match inspections.iter().rfind(|it| it.why_not.is_none()) {
            None => missing.push(house.names.label(*equipment)),
            Some(inspection) => latest = latest.max(inspection.row.at.clone()),
        }
    }
    let words = match (asked, missing.len(), latest) {
        (0, ..) => String::new(),
        (_, 0, Some(at)) => format!("today {at}"),
        (_, 0, None) => "today".to_owned(),
        (asked, missing, _) if missing == asked => "not today".to_owned(),
        _ => format!("not {}", missing.join(", ")),
    };
    Ok((words, missing))
}

/// Instruments in service, a kind a line.
pub(crate) fn groups(house: &OpenHouse<'_>, on: Day) -> Result<Vec<InstrumentGroup>, AnswerError> {
    let mut all: Vec<InstrumentGroup> = Vec::new();
    let mut items: Vec<(RecordId, &'static str, String)> = house
        .names
        .instruments()
        .map(|(record, it)| (record, it.kind.word(), it.id.clone()))
        .collect();
    items.sort_by(|a, b| (a.1, &a.2).cmp(&(b.1, &b.2)));
    for (record, kind, id) in items {
        if house.names.in_service(record).is_some_and(|from| from > on) {
            continue;
        }
        if all.last().is_none_or(|it| it.kind != kind) {
            all.push(InstrumentGroup {
                kind: kind.to_owned(),
                current: 0,
                until: None,
                first: String::new(),
                not_usable: Vec::new(),
            });
        }
        let Some(group) = all.last_mut() else {
            continue;
        };
        if let Some(out) = house.service.out_of_service(record, on) {
            group
                .not_usable
                .push(format!("{id}: out of service, {}", out.reason));
            continue;
        }
        let duties = lines_of(house, record, on)?;
        match duties.iter().find(|it| it.state != DueState::InTime) {
            Some(duty) => group.not_usable.push(format!("{id}: {}", duty.words)),
            None => {
                group.current += 1;
                let until = duties.iter().filter_map(|it| it.due).min();
                if until.is_some_and(|day| group.until.is_none_or(|other| day < other)) {
                    group.until = until;
                    group.first = id;
                }
            }
        }
    }
    Ok(all)
}
