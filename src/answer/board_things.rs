//! Sets of equipment and instruments as the board shows them.

use serde::Serialize;

use super::due::{DueState, lines_of};
use super::error::AnswerError;
use super::item_facts::is_asked;
use super::load::House;
use super::thing::activity_short;
use crate::calendar::Day;
use crate::ledger::Snapshot;
use crate::record::{EquipmentSort, Occasion, RecordId, Ref, Sheet, Words};

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
    /// Whether all of it was looked at that day, where a look is asked.
    pub is_inspected: bool,
    /// What of it is withdrawn, with why.
    pub withdrawn: Vec<String>,
    /// What of it is out of date.
    pub out_of_date: Vec<String>,
}

impl SetLine {
    /// Whether it may not go out as it stands. A look that is still to come is no stop.
    pub fn stops(&self) -> bool {
        !self.withdrawn.is_empty() || !self.out_of_date.is_empty()
    }
}

/// All instruments of a kind.
#[derive(Debug, Clone, Serialize)]
pub struct InstrumentGroup {
    /// The kind.
    pub sort: String,
    /// How many are in date.
    pub in_date: usize,
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
pub(super) fn sets(
    snapshot: &Snapshot<'_>,
    house: &House,
    on: Day,
) -> Result<Vec<SetLine>, AnswerError> {
    let first = on
        .checked_sub_days(chrono::Days::new(DAYS_BACK))
        .unwrap_or(on);
    let sheets = snapshot.sheets(first, on)?;
    let mut lines = Vec::new();
    for device in house.names.items() {
        let body = house.names.equipment_body(device);
        let is_device = body.is_some_and(|it| it.sort == EquipmentSort::Device);
        if !is_device || house.names.in_service(device).is_some_and(|from| from > on) {
            continue;
        }
        let mine = sheets
            .iter()
            .filter(|it| it.body.device.as_ref().and_then(Ref::number) == Some(device));
        let last = mine.max_by_key(|it| (it.body.day, it.entry));
        lines.push(set(snapshot, house, device, last.map(|it| &it.body), on)?);
    }
    lines.sort_by(|a, b| a.device.cmp(&b.device));
    Ok(lines)
}

fn set(
    snapshot: &Snapshot<'_>,
    house: &House,
    device: RecordId,
    last: Option<&Sheet>,
    on: Day,
) -> Result<SetLine, AnswerError> {
    let mut pieces = vec![device];
    if let Some(sheet) = last {
        pieces.extend(sheet.control_unit.iter().filter_map(Ref::number));
        pieces.extend(sheet.guide_tubes.iter().filter_map(Ref::number));
    }
    let held = house.upkeep.source_in(device, on).map(|(source, _)| source);
    let mut withdrawn = Vec::new();
    let mut out_of_date = Vec::new();
    for piece in pieces.iter().copied().chain(held) {
        let id = house.names.label(piece);
        if let Some(out) = house.service.out_of_service(piece, on) {
            withdrawn.push(format!("{id}: {}", out.reason));
            continue;
        }
        for duty in lines_of(snapshot, house, piece, on)? {
            if duty.state != DueState::InTime {
                out_of_date.push(format!("{id}: {} {}", duty.what, duty.words));
            }
        }
    }
    let (inspected, is_inspected) = looked_at(snapshot, house, &pieces, on)?;
    Ok(SetLine {
        device: house.names.label(device),
        with: pieces
            .iter()
            .skip(1)
            .map(|it| house.names.label(*it))
            .collect(),
        source: held
            .and_then(|source| activity_short(house, source, on))
            .unwrap_or_default(),
        inspected,
        is_inspected,
        withdrawn,
        out_of_date,
    })
}

/// Whether each piece for which the list asks a daily look had one, and when the last was.
fn looked_at(
    snapshot: &Snapshot<'_>,
    house: &House,
    pieces: &[RecordId],
    on: Day,
) -> Result<(String, bool), AnswerError> {
    let mut missing = Vec::new();
    let mut latest: Option<String> = None;
    let mut asked = false;
    for piece in pieces {
        if !is_asked(house, *piece, Occasion::Daily, on) {
            continue;
        }
        asked = true;
        let rows = snapshot.inspections_of(*piece, on, on)?;
        match rows.last() {
            None => missing.push(house.names.label(*piece)),
            Some(row) => latest = latest.max(row.at.clone()),
        }
    }
    Ok(match (asked, missing.as_slice(), latest) {
        (false, ..) => (String::new(), true),
        (true, [], Some(at)) => (format!("today {at}"), true),
        (true, [], None) => ("today".to_owned(), true),
        (true, missing, _) if missing.len() == pieces.len() => ("not today".to_owned(), false),
        (true, missing, _) => (format!("not {}", missing.join(", ")), false),
    })
}

/// Instruments in service, a kind a line.
pub(super) fn groups(
    snapshot: &Snapshot<'_>,
    house: &House,
    on: Day,
) -> Result<Vec<InstrumentGroup>, AnswerError> {
    let mut all: Vec<InstrumentGroup> = Vec::new();
    let mut items: Vec<(RecordId, &'static str, String)> = house
        .names
        .instruments()
        .map(|(record, it)| (record, it.sort.word(), it.id.clone()))
        .collect();
    items.sort_by(|a, b| (a.1, &a.2).cmp(&(b.1, &b.2)));
    for (record, sort, id) in items {
        if house.names.in_service(record).is_some_and(|from| from > on) {
            continue;
        }
        if all.last().is_none_or(|it| it.sort != sort) {
            all.push(InstrumentGroup {
                sort: sort.to_owned(),
                in_date: 0,
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
                .push(format!("{id}: withdrawn, {}", out.reason));
            continue;
        }
        let duties = lines_of(snapshot, house, record, on)?;
        match duties.iter().find(|it| it.state != DueState::InTime) {
            Some(duty) => group.not_usable.push(format!("{id}: {}", duty.words)),
            None => {
                group.in_date += 1;
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
