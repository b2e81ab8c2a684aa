//! How parts wear: measures of one item on one installed part, and where they are heading.

use serde::Serialize;

use super::inactive::inactive_on;
use super::inactive_item::InactiveItem;
use super::measurements::{Measurements, measurements_of};
use super::wear_peers::{foreseeable, measurements_beside, pool};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::calendar::Day;
use crate::record::Words;
use crate::wear::forecast::Forecast;
use crate::wear::foreseen::Foreseeable;
use crate::wear::series::Point;

/// One item on the part that is installed now.
#[derive(Debug, Clone, Serialize)]
pub struct WearLine {
    /// The equipment.
    pub equipment: String,
    /// The item's key in the checklist.
    pub line: String,
    /// Which part.
    pub component: String,
    /// When the part was installed, where that is on record.
    pub installed_on: Option<Day>,
    /// How many measures the part has.
    pub points: usize,
    /// The last measure.
    pub last: Option<String>,
    /// Its day.
    pub last_on: Option<Day>,
    /// The limit, with its sense.
    pub limit: String,
    /// Exposures on sheets since the part was installed: at least so many cycles.
    pub cycles_at_least: i64,
    /// When the next inspection that measures it falls due.
    pub next_inspection: Option<Day>,
    /// Where it is heading: an estimate.
    pub forecast: Forecast,
    /// Whose the limit is, where it is not the list's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit_of: Option<String>,
    /// Where the item comes from.
    pub basis: String,
}

/// One measure as people read it.
#[derive(Debug, Clone, Serialize)]
pub struct WearPoint {
    /// The day.
    pub on: Day,
    /// Cycles since the part was installed, at least.
    pub cycles_at_least: i64,
    /// As written.
    pub value: String,
    /// Good, measured or defect, as written.
    pub result: String,
    /// Who looked.
    pub by: String,
    /// The inspection's entry.
    pub entry: i64,
}

/// One installed part with its measures.
#[derive(Debug, Clone, Serialize)]
pub struct PartSeries {
    /// When it was installed, where that is on record.
    pub installed_on: Option<Day>,
    /// When the next took its place.
    pub ended: Option<Day>,
    /// Its measures.
    pub points: Vec<WearPoint>,
}

/// One item of one item of equipment, all its parts.
#[derive(Debug, Clone, Serialize)]
pub struct ItemWear {
    /// The part that is installed now.
    #[serde(flatten)]
    pub now: WearLine,
    /// Every part, the earliest first.
    pub parts: Vec<PartSeries>,
    /// From when on the limit of the part that is installed now was to be foreseen.
    pub foreseeable: Option<Foretold>,
    /// The same in words, or that it was not, or that too few measures tell.
    pub foreseeable_words: String,
}

/// The first measure from which on every forecast warned and the line led to the limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Foretold {
    /// Its day.
    pub on: Day,
    /// The inspection's entry.
    pub entry: i64,
}

/// The wear of one item of equipment.
#[derive(Debug, Clone, Serialize)]
pub struct WearAnswer {
    /// The equipment.
    pub equipment: String,
    /// The day.
    pub on: Day,
    /// Its items.
    pub items: Vec<ItemWear>,
    /// Items that measure and have no figures.
    pub inactive: Vec<InactiveItem>,
    /// The list's caution.
    pub confirm: String,
}

/// The wear of everything that is measured.
#[derive(Debug, Clone, Serialize)]
pub struct WearList {
    /// The day.
    pub on: Day,
    /// The items, the most pressing first.
    pub lines: Vec<WearLine>,
    /// Items that measure and have no figures.
    pub inactive: Vec<InactiveItem>,
    /// The list's caution.
    pub confirm: String,
}

fn wear_line(house: &House, it: &Measurements, on: Day) -> Option<WearLine> {
    let now = it.now()?;
    let last = now.points.last();
    let entry = last.map(|it| it.entry);
    let value = it
        .lines
        .iter()
        .rfind(|line| Some(line.of.entry) == entry)
        .and_then(|line| line.value.clone());
    Some(WearLine {
        equipment: house.names.label(it.equipment),
        line: it.item.key.clone(),
        component: it.item.component.clone(),
        installed_on: now.installed.map(|it| it.day),
        points: now.points.len(),
        last: value,
        last_on: last.map(|it| it.day),
        limit: it.measurement.limit_plain(),
        cycles_at_least: it.cycles_now(),
        next_inspection: it.next_inspection,
        forecast: it.forecast(on)?,
        limit_of: it.measurement.limit_of(),
        basis: it.item.basis.clone(),
    })
}

/// The wear of every item in service that is measured, the most pressing first.
pub fn wear_list(house: &OpenHouse<'_>, on: Day) -> Result<WearList, AnswerError> {
    let (mut all, mut inactive) = (Vec::new(), Vec::new());
    let uses = house.snapshot.uses_by_item(on)?;
    for item in house.names.items() {
        if house.names.in_service(item).is_some_and(|from| from > on) {
            continue;
        }
        let mine = uses.get(&item).map(Vec::as_slice).unwrap_or_default();
        all.extend(measurements_of(house, item, mine, on)?);
        inactive.extend(inactive_on(house, item, on)?);
    }
    pool(&mut all, on);
    let wearing = all.iter().filter(|it| it.wears());
    let mut lines: Vec<WearLine> = wearing.filter_map(|it| wear_line(house, it, on)).collect();
    let day = |it: &WearLine| it.forecast.earliest.map(|it| it.day);
    lines.sort_by_key(|it| {
        (
            !it.forecast.warns,
            day(it).is_none(),
            day(it),
            it.equipment.clone(),
            it.line.clone(),
        )
    });
    Ok(WearList {
        on,
        lines,
        inactive,
        confirm: confirm(house, on),
    })
}

pub(crate) fn confirm(house: &House, on: Day) -> String {
    let list = house.checklist_on(on);
    list.map(|(_, list)| list.confirm.clone())
        .unwrap_or_default()
}

/// The wear of one item of equipment, part after part.
pub fn wear_of(house: &OpenHouse<'_>, id: &str, on: Day) -> Result<WearAnswer, AnswerError> {
    let equipment = house.names.equipment(id)?;
    if house.checklist_on(on).is_none() {
        return Err(AnswerError::NoChecklist { day: on });
    }
    let mut items = Vec::new();
    let uses = house.snapshot.uses_by_item(on)?;
    let all = measurements_beside(house, equipment.number(), &uses, on)?;
    for it in all.into_iter().filter(Measurements::wears) {
        let Some(now) = wear_line(house, &it, on) else {
            continue;
        };
        let parts = it
            .series
            .iter()
            .map(|part| PartSeries {
                installed_on: part.installed.map(|it| it.day),
                ended: part.ended,
                points: part
                    .points
                    .iter()
                    .filter_map(|point| wear_point(house, &it, point))
                    .collect(),
            })
            .collect();
        let told = foreseeable(house, &it, on)?;
        let foreseeable = match told {
            Foreseeable::Since(point) => Some(Foretold {
                on: point.day,
                entry: point.entry,
            }),
            Foreseeable::TooFew | Foreseeable::No => None,
        };
        items.push(ItemWear {
            now,
            parts,
            foreseeable,
            foreseeable_words: told.words(),
        });
    }
    Ok(WearAnswer {
        equipment: house.names.label(equipment.number()),
        on,
        items,
        inactive: inactive_on(house, equipment.number(), on)?,
        confirm: confirm(house, on),
    })
}

fn wear_point(house: &House, it: &Measurements, point: &Point) -> Option<WearPoint> {
    let line = it.lines.iter().find(|line| line.of.entry == point.entry)?;
    let by = line.of.worker.map(|worker| house.names.label(worker));
    Some(WearPoint {
        on: point.day,
        cycles_at_least: point.cycles,
        value: line.value.clone().unwrap_or_default(),
        result: line.result.word().to_owned(),
        by: by.or_else(|| line.of.inspected.clone()).unwrap_or_default(),
        entry: point.entry,
    })
}
