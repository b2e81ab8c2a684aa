//! Leak tests of all sources and shields, and the items that had none in the span.

use super::{
    Cell, Column, RecordsAnswer, RecordsDesk, RecordsPart, RecordsSpan, column, data, figures,
    under,
};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::equipment::item_facts::leak_limit;
use crate::calendar::Day;
use crate::ledger::Stored;
use crate::quantity::{Activity, ActivityUnit};
use crate::record::{EquipmentType, LeakPart, LeakTest, RecordId, Words};

const COLUMNS: &[Column] = &[
    column("on", "day"),
    column("item", "what"),
    under("part", "wiped"),
    data("maker", "maker"),
    data("model", "model"),
    data("serial", "serial"),
    data("nuclide", "nuclide"),
    column("removable", "removable"),
    under("verdict", "so"),
    column("by", "by"),
    under("certificate", "certificate"),
    figures("entry", "entry"),
];

const WITHOUT: &[Column] = &[
    column("item", "what"),
    column("part", "to be wiped"),
    column("serial", "serial"),
    column("state", "state"),
    column("last", "last test before"),
];

/// The leak tests of a span, of all items or of one.
///
/// # Errors
/// A name that the ledger does not know.
pub fn leak_tests(
    house: &OpenHouse<'_>,
    item: Option<&str>,
    span: RecordsSpan,
) -> Result<RecordsAnswer, AnswerError> {
    let desk = RecordsDesk::new(house, span);
    let only = item.map(|it| house.names.equipment(it)).transpose()?;
    let only = only.map(|it| it.number());
    let rules = ["record-leak-test", "leak-test"];
    let mut list = desk.list("leak-tests", "Leak tests", &rules)?;
    list.asked
        .extend(only.map(|it| format!("piece {}", house.names.label(it))));
    let mut tests: Vec<&Stored<LeakTest>> = Vec::new();
    let all_equipment = house.names.items().into_iter();
    let all_equipment: Vec<RecordId> = all_equipment
        .filter(|it| only.is_none_or(|only| only == *it))
        .collect();
    for equipment in &all_equipment {
        let all = house.maintenance.leak_tests_of(*equipment).iter();
        tests.extend(all.filter(|it| desk.span.contains(it.body.on)));
    }
    tests.sort_by_key(|it| (it.body.on, it.entry));
    let mut done = RecordsPart::new("tests", "Tests", ("test", "tests"), COLUMNS);
    let items = tests.iter().map(|it| it.body.item.number()).collect();
    for test in tests {
        let limit = leak_limit(house, test.body.on)?;
        done.rows.push(row(&desk, test, limit));
    }
    let of = ("piece", "pieces");
    let mut without = RecordsPart::new("without", "No test in these days", of, WITHOUT);
    without.none = "Each source and shield that is to be tested had one.".to_owned();
    for equipment in all_equipment {
        let Some(body) = house.names.equipment_body(equipment) else {
            continue;
        };
        let part = match (body.kind, body.uranium_tube) {
            (EquipmentType::Source, _) => LeakPart::Source,
            (_, Some(true)) => LeakPart::Tube,
            _ => continue,
        };
        let is_of = |it: &&Stored<LeakTest>| it.body.part == part;
        let all = house.maintenance.leak_tests_of(equipment);
        let here = all.iter().filter(is_of);
        let came = body.in_service.is_some_and(|from| from > desk.span.last);
        let left = house.service.out_all_day(equipment, desk.span.first);
        if came || left.is_some() || here.clone().any(|it| desk.span.contains(it.body.on)) {
            continue;
        }
        let last = here.rev().find(|it| it.body.on < desk.span.first);
        without.rows.push(vec![
            desk.label(equipment),
            Cell::Text(part.word().to_owned()),
            Cell::text(Some(body.serial.clone())),
            state(house, equipment, desk.span.last),
            Cell::day(last.map(|it| it.body.on)),
        ]);
    }
    list.parts = vec![done, without, desk.labels(items)];
    Ok(list)
}

fn state(house: &House, equipment: RecordId, on: Day) -> Cell {
    Cell::Text(match house.service.out_of_service(equipment, on) {
        Some(out) => format!("out of service {}: {}", out.on, out.reason),
        None => format!("in service on {on}"),
    })
}

fn row(desk: &RecordsDesk<'_>, it: &Stored<LeakTest>, limit: Activity) -> Vec<Cell> {
    let test = &it.body;
    let item = test.item.number();
    let [maker, model, serial] = desk.plate(Some(item));
    let [nuclide, _, _, _] = desk.material(item);
    let removable = test.removable_bq.display(ActivityUnit::Becquerel);
    let below = test.removable_bq < limit || (test.below && test.removable_bq == limit);
    let limit = limit.display(ActivityUnit::Becquerel);
    vec![
        Cell::Day(test.on),
        desk.label(item),
        Cell::Text(test.part.word().to_owned()),
        maker,
        model,
        serial,
        nuclide,
        Cell::Text(match test.below {
            true => format!("less than {removable}"),
            false => removable,
        }),
        Cell::Text(match (below, test.below) {
            (true, _) => format!("below {limit}"),
            (false, false) => format!("LEAKING: at or above {limit}"),
            (false, true) => format!("NOT SHOWN to be below {limit}"),
        }),
        Cell::text(Some(test.by.clone())),
        Cell::text(test.certificate.clone()),
        Cell::Count(it.entry),
    ]
}
