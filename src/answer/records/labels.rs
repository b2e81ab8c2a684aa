//! What stands on the labels of the things of a list, each once.

use std::collections::BTreeSet;

use super::{Cell, Column, RecordsDesk, RecordsPart, column, under};
use crate::quantity::ActivityUnit;
use crate::record::{EquipmentType, RecordId};

const COLUMNS: &[Column] = &[
    column("id", "id"),
    column("type", "type"),
    column("maker", "maker"),
    under("model", "model"),
    column("serial", "serial"),
    column("nuclide", "nuclide"),
    under("activity", "activity"),
    under("activity_on", "on"),
    under("uranium", "uranium"),
];

impl RecordsDesk<'_> {
    /// The labels of some things, by id.
    pub fn labels(&self, items: BTreeSet<RecordId>) -> RecordsPart {
        let title = "On the labels, by the register";
        let mut part = RecordsPart::new("labels", title, ("thing", "things"), COLUMNS);
        let names = &self.house.names;
        let mut items: Vec<RecordId> = items.into_iter().collect();
        items.sort_by_key(|it| names.label(*it));
        for item in items {
            let [maker, model, serial] = self.plate(Some(item));
            let [nuclide, activity, activity_on, uranium] = self.material(item);
            part.rows.push(vec![
                self.label(item),
                Cell::text(names.type_word(item)),
                maker,
                model,
                serial,
                nuclide,
                activity,
                activity_on,
                uranium,
            ]);
        }
        part
    }

    /// Maker, model and serial of a thing.
    pub fn plate(&self, record: Option<RecordId>) -> [Cell; 3] {
        let names = &self.house.names;
        if let Some(it) = record.and_then(|it| names.equipment_body(it)) {
            let (maker, model) = (it.maker.clone(), it.model.clone());
            return [maker, model, Some(it.serial.clone())].map(Cell::text);
        }
        match record.and_then(|it| names.instrument_body(it)) {
            Some(it) => {
                let (maker, model) = (it.maker.clone(), it.model.clone());
                [maker, model, Some(it.serial.clone())].map(Cell::text)
            }
            None => [Cell::NotOnRecord, Cell::NotOnRecord, Cell::NotOnRecord],
        }
    }

    /// Nuclide, activity with its day, and mass of depleted uranium of an item. Only a source has
    /// the first three, only a device the last.
    pub fn material(&self, item: RecordId) -> [Cell; 4] {
        let none = [Cell::None, Cell::None, Cell::None, Cell::None];
        let Some(body) = self.house.names.equipment_body(item) else {
            return none;
        };
        match body.kind {
            EquipmentType::Source => [
                Cell::text(body.nuclide.clone()),
                Cell::text(
                    body.activity_bq
                        .map(|it| it.display(ActivityUnit::beside(self.house.unit()))),
                ),
                Cell::day(body.activity_on),
                Cell::None,
            ],
            EquipmentType::Device if body.uranium_tube == Some(false) => none,
            EquipmentType::Device | EquipmentType::Changer | EquipmentType::Container => {
                let [nuclide, activity, on, _] = none;
                [nuclide, activity, on, Cell::text(body.uranium_mass.clone())]
            }
            _ => none,
        }
    }
}
