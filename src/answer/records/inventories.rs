//! Inventories, item by item: what was seen, by whom, where; and what was in service that day and
//! was not seen.

use super::{
    Cell, Column, RecordsAnswer, RecordsDesk, RecordsPart, RecordsSpan, column, data, figures,
    under,
};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::dose::unseen::unseen_of;
use crate::ledger::Stored;
use crate::record::{EquipmentType, Inventory, RecordId, Words};

const COLUMNS: &[Column] = &[
    column("on", "day"),
    under("by", "by"),
    column("item", "what"),
    column("type", "type"),
    data("nuclide", "nuclide"),
    data("activity", "activity"),
    data("activity_on", "on"),
    data("uranium", "uranium"),
    data("maker", "maker"),
    data("model", "model"),
    data("serial", "serial"),
    column("device", "in device"),
    column("location", "location"),
    figures("entry", "entry"),
];

const UNSEEN: &[Column] = &[
    column("on", "day"),
    column("source", "source"),
    column("serial", "serial"),
    column("note", "note of the inventory"),
    figures("entry", "entry"),
];

/// The inventories of a span.
///
/// # Errors
/// What cannot be read.
pub fn inventories(house: &OpenHouse<'_>, span: RecordsSpan) -> Result<RecordsAnswer, AnswerError> {
    let desk = RecordsDesk::new(house, span);
    let mut list = desk.list("inventories", "Inventories", &["record-inventory"])?;
    let of = ("item seen", "items seen");
    let mut seen = RecordsPart::new("seen", "What was seen", of, COLUMNS);
    let of = ("source", "sources");
    let mut unseen = RecordsPart::new("unseen", "In service and not seen", of, UNSEEN);
    unseen.none =
        "No source that was in service on the day of an inventory is missing from it.".to_owned();
    let all = house.maintenance.inventories().iter();
    let mine: Vec<_> = all.filter(|it| desk.span.contains(it.body.on)).collect();
    for inventory in &mine {
        for item in &inventory.body.found {
            seen.rows.push(row(&desk, inventory, item.number()));
        }
        for (source, body) in unseen_of(house, &inventory.body) {
            unseen.rows.push(vec![
                Cell::Day(inventory.body.on),
                desk.label(source),
                Cell::text(Some(body.serial.clone())),
                Cell::text(inventory.body.note.clone()),
                Cell::Count(inventory.entry),
            ]);
        }
    }
    match mine.len() {
        0 => unseen.none = "No inventory is on record for these days.".to_owned(),
        1 => seen.notes.push("They are of 1 inventory.".to_owned()),
        count => seen.notes.push(format!("They are of {count} inventories.")),
    }
    seen.notes.push(
        "In device: by the exchanges on record that day. Location: as the inventory says it."
            .to_owned(),
    );
    let found = mine.iter().flat_map(|it| &it.body.found);
    let labels = desk.labels(found.map(|it| it.number()).collect());
    list.parts = vec![seen, unseen, labels];
    Ok(list)
}

fn row(desk: &RecordsDesk<'_>, inventory: &Stored<Inventory>, item: RecordId) -> Vec<Cell> {
    let body = desk.house.names.equipment_body(item);
    let [maker, model, serial] = desk.plate(Some(item));
    let [nuclide, activity, activity_on, uranium] = desk.material(item);
    let is_source = body.is_some_and(|it| it.kind == EquipmentType::Source);
    let device = match is_source {
        true => {
            let device = desk.house.maintenance.device_of(item, inventory.body.on);
            Cell::text(device.map(|it| desk.house.names.label(it)))
        }
        false => Cell::None,
    };
    vec![
        Cell::Day(inventory.body.on),
        Cell::text(Some(inventory.body.by.clone())),
        desk.label(item),
        Cell::text(body.map(|it| it.kind.word())),
        nuclide,
        activity,
        activity_on,
        uranium,
        maker,
        model,
        serial,
        device,
        Cell::text(inventory.body.location.clone()),
        Cell::Count(inventory.entry),
    ]
}
