//! What a wear chart needs of one checklist item of one item of equipment.

use super::inactive::inactive_on;
use super::measurements::Measurements;
use super::wear::confirm;
use super::wear_peers::measurements_beside;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::calendar::Day;
use crate::rule::{ChecklistItem, ItemMeasurement};
use crate::wear::forecast::Forecast;
use crate::wear::series::{Others, Series};

/// What a wear chart needs of one checklist item of one item of equipment.
#[derive(Debug, Clone)]
pub struct WearDrawing {
    /// The equipment.
    pub equipment: String,
    /// The item.
    pub item: ChecklistItem,
    /// Its measure.
    pub measurement: ItemMeasurement,
    /// Its parts, the earliest first; cycles are counted from each fitting.
    pub series: Vec<Series>,
    /// How the other parts scatter that are measured for the item.
    pub others: Others,
    /// Cycles of the equipment up to the day.
    pub cycles: i64,
    /// Where the part that is installed now is heading.
    pub forecast: Forecast,
    /// The day.
    pub on: Day,
    /// The list's caution.
    pub confirm: String,
}

/// The drawing of one checklist item of one item of equipment; without a key the item that has the
/// most measures.
pub fn wear_drawing(
    house: &OpenHouse<'_>,
    id: &str,
    key: Option<&str>,
    on: Day,
) -> Result<WearDrawing, AnswerError> {
    let equipment = house.names.equipment(id)?;
    let uses = house.snapshot.uses_by_item(on)?;
    let mut all = measurements_beside(house, equipment.number(), &uses, on)?;
    all.retain(Measurements::wears);
    let keys: Vec<String> = all.iter().map(|it| it.item.key.clone()).collect();
    let found = match key {
        Some(key) => all.into_iter().find(|it| it.item.key == key),
        None => all.into_iter().max_by_key(|it| it.lines.len()),
    };
    let waits = inactive_on(house, equipment.number(), on)?.into_iter();
    let mut waits = waits.filter(|it| key.is_none_or(|key| it.line == key));
    if let (None, Some(it)) = (&found, waits.next()) {
        return Err(AnswerError::Inactive(Box::new(it)));
    }
    let Some((it, forecast)) = found.and_then(|it| it.forecast(on).map(|made| (it, made))) else {
        return Err(crate::answer::context::sought::NoSuchName {
            what: crate::answer::context::sought::Sought::MeasuredItem(id.to_owned()),
            name: key.unwrap_or_default().to_owned(),
            near: keys,
        }
        .into());
    };
    Ok(WearDrawing {
        equipment: house.names.label(equipment.number()),
        item: it.item,
        measurement: it.measurement,
        series: it.series,
        others: it.others,
        cycles: it.cycles,
        forecast,
        on,
        confirm: confirm(house, on),
    })
}
