//! What is done to instruments and equipment: parts installed, servicing, leak tests,
//! inventories and source exchanges.

use std::collections::BTreeSet;

use super::{Column, Reader, Register, RowBodies, RowDesk, equipment, figures, only, register};
use crate::calendar::Day;
use crate::intake::file::fields::Fields;
use crate::intake::file::words::with_article;
use crate::ledger::LedgerError;
use crate::quantity::Activity;
use crate::record::{
    Body, Device, Equipment, Id, InstalledPart, Instrument, Inventory, LeakPart, LeakTest,
    ListAdoption, Loading, RecordId, Ref, Servicing, ServicingType, SourceAssembly,
};
use crate::rule::Checklist;

register!(PARTS: "equipment" "install" "parts" "installed part", RowDesk read_part, [
    "equipment" true "id of the equipment",
    "component" true "which part, in the checklist's words, such as `drive cable`",
    "installed_on" true "day on which it was installed",
    "performed_by" true "who installed it",
    "serial" false "the part's own number",
    "lot" false "the supplier's lot, where the label has one",
    "line" false "the item that measures it, such as `cable-diameter`, with nominal and limit",
    "nominal" false "what it measures when new, as its maker gives it, with its unit",
    "limit" false "past what it is a defect, as its maker gives it, with its unit",
]);

register!(SERVICES: "instrument" "service" "services" "servicing", RowDesk read_servicing, [
    "instrument" true "the instrument's id",
    "on" true "day",
    "type" true "servicing, or battery change",
    "what" true "what was done to it",
    "performed_by" true "who did it",
]);

register!(LEAK_TESTS: "equipment" "leak-test" "leak-tests" "leak test", RowDesk read_leak_test, [
    "item" true "id of the source assembly, or of the device for its shield tube",
    "on" true "day of the wipe",
    "part" true "source, or shield tube",
    "removable" true "removable activity, such as `12 Bq`, or `< 5 Bq`",
    "performed_by" true "who analysed the wipe",
    "certificate" false "number of the certificate",
    "row" false "the number of its row in the office's own file, such as `117`",
]);

register!(INVENTORIES: "equipment" "inventory" "inventories" "inventory", RowDesk read_inventory, [
    "on" true "day of the inventory",
    "performed_by" true "who counted",
    "found" true "ids of the sources and devices that were seen, separated by spaces",
    "note" false "anything else, such as where a missing one is",
    "location" false "where they were, such as `vault; D-2 with S-7 in truck 3`",
]);

register!(LOADINGS: "equipment" "load" "loads" "source exchange", RowDesk read_loading, [
    "device" true "id of the exposure device",
    "source" true "id of the source assembly that is in it from then on",
    "on" true "day",
    "performed_by" true "who did it",
]);

/// The day of something that has happened: not after today, and not before the thing
/// was in service.
pub(super) fn day_of(
    fields: &mut Fields<'_>,
    column: usize,
    desk: &RowDesk<'_>,
    item: Option<RecordId>,
) -> Option<Day> {
    let day = fields.needed_day(column)?;
    if day > desk.today {
        let what = format!("is in the future: today is {}", desk.today);
        fields.fault(column, what, "the day on which it was done");
        return None;
    }
    if let Some(from) = item.and_then(|item| desk.names.in_service(item))
        && day < from
    {
        let what = format!("is before it came into service on {from}");
        fields.fault(column, what, format!("a day from {from} on"));
        return None;
    }
    Some(day)
}

/// The components that the adopted lists name: of an item of this kind, and of others.
fn components(
    desk: &RowDesk<'_>,
    kind: &str,
) -> Result<(BTreeSet<String>, BTreeSet<String>), LedgerError> {
    let (mut here, mut elsewhere) = (BTreeSet::new(), BTreeSet::new());
    for adopted in desk.snapshot.all::<ListAdoption>()? {
        let Ok(list) = Checklist::parse(&adopted.body.text) else {
            continue;
        };
        for item in list.items {
            match item.on == kind {
                true => here.insert(item.component),
                false => elsewhere.insert(item.component),
            };
        }
    }
    Ok((here, elsewhere))
}

/// The component in the checklist's words. One that no list names is kept: a site may write
/// down parts that nobody inspects. A misspelling would begin a series of its own, unseen.
fn component(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
    equipment: Option<Id<Equipment>>,
) -> Result<Option<String>, LedgerError> {
    let Some(component) = fields.needed(1, "such as `drive cable`") else {
        return Ok(None);
    };
    let component = component.to_lowercase();
    // Of which item is told by the fault of its own column.
    let Some(kind) = equipment.and_then(|it| desk.names.type_word(it.number())) else {
        return Ok(Some(component));
    };
    let (here, elsewhere) = components(desk, kind)?;
    if here.contains(&component) {
        return Ok(Some(component));
    }
    // Two signs off, and no more: other words are another part.
    let near: Vec<String> = here
        .iter()
        .filter(|it| strsim::osa_distance(it, &component) <= 2)
        .cloned()
        .collect();
    if !near.is_empty() || elsewhere.contains(&component) {
        let what = format!("is no part of {}", with_article(kind));
        let right = match near.is_empty() {
            true => super::quoted(&here.into_iter().collect::<Vec<_>>()),
            false => format!("did you mean {}?", super::quoted(&near)),
        };
        fields.fault(1, what, right);
        return Ok(None);
    }
    Ok(Some(component))
}

fn read_part(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
) -> Result<Option<RowBodies>, LedgerError> {
    let equipment = equipment::<Equipment>(fields, desk.names, 0);
    let component = component(fields, desk, equipment)?;
    let installed_on = day_of(fields, 2, desk, equipment.map(Id::number));
    let by = fields.needed(3, "who installed it");
    let (serial, lot) = (fields.text(4), fields.text(5));
    let (Some(by), Some(component), Some(equipment), Some(installed_on)) =
        (by, component, equipment, installed_on)
    else {
        return Ok(None);
    };
    if let Some(serial) = &serial
        && let Some(other) = desk
            .snapshot
            .part_elsewhere(&component, serial, installed_on)?
        && other != equipment.number()
        && !is_own(desk, other)
    {
        let label = desk.names.label(other);
        let what = format!("is the part that {label} has: one part is not in two places");
        let right = format!("install another part on {label} first, or correct its entry");
        fields.fault(4, what, right);
        return Ok(None);
    }
    let figures = figures::read(fields, desk, equipment.number(), &component)?;
    let Some([line, nominal, limit]) = figures else {
        return Ok(None);
    };
    Ok(only(InstalledPart {
        by,
        component,
        equipment,
        installed_on,
        limit,
        line,
        lot,
        nominal,
        serial,
    }))
}

/// Whether the part is in the other item by the very record that is being corrected.
fn is_own(desk: &RowDesk<'_>, other: RecordId) -> bool {
    match desk.amends.map(|it| it.before) {
        Some(Body::InstalledPart(before)) => before.equipment.number() == other,
        _ => false,
    }
}

fn read_servicing(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
) -> Result<Option<RowBodies>, LedgerError> {
    let instrument = equipment::<Instrument>(fields, desk.names, 0);
    let on = day_of(fields, 1, desk, instrument.map(Id::number));
    let kind = fields.needed_word::<ServicingType>(2);
    let what = fields.needed(3, "what was done to it");
    let by = fields.needed(4, "who did it");
    let all = (by, instrument, on, kind, what);
    let (Some(by), Some(instrument), Some(on), Some(kind), Some(what)) = all else {
        return Ok(None);
    };
    Ok(only(Servicing {
        by,
        instrument,
        on,
        kind,
        what,
    }))
}

fn read_leak_test(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
) -> Result<Option<RowBodies>, LedgerError> {
    let part = fields.needed_word::<LeakPart>(2);
    let names = desk.names;
    let item: Option<Id<Equipment>> = match part {
        Some(LeakPart::Source) => {
            equipment::<SourceAssembly>(fields, names, 0).map(|it| it.number().into())
        }
        Some(LeakPart::Tube) => equipment::<Device>(fields, names, 0).map(|it| it.number().into()),
        None => equipment(fields, names, 0),
    };
    let on = day_of(fields, 1, desk, item.map(Id::number));
    let removable = removable(fields, 3);
    let by = fields.needed(4, "who analysed the wipe");
    let certificate = fields.text(5);
    let all = (by, item, on, part, removable);
    let (Some(by), Some(item), Some(on), Some(part), Some((below, removable_bq))) = all else {
        return Ok(None);
    };
    Ok(only(LeakTest {
        below,
        by,
        certificate,
        item,
        on,
        part,
        removable_bq,
        row: None,
    }))
}

/// `12 Bq`, or `< 5 Bq` where the laboratory says less than.
pub(in crate::intake) fn removable(
    fields: &mut Fields<'_>,
    column: usize,
) -> Option<(bool, Activity)> {
    const RIGHT: &str = "an activity such as `12 Bq`, or `< 5 Bq`";
    let text = fields.needed(column, RIGHT)?;
    let (below, amount) = match text.strip_prefix('<') {
        Some(rest) => (true, rest.trim()),
        None => (false, text.as_str()),
    };
    match Activity::parse(amount, None) {
        Ok(activity) => Some((below, activity)),
        Err(error) => {
            fields.unreadable(column, &error, RIGHT);
            None
        }
    }
}

fn read_inventory(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
) -> Result<Option<RowBodies>, LedgerError> {
    let on = day_of(fields, 0, desk, None);
    let by = fields.needed(1, "who counted");
    let cell = fields.needed(2, "ids separated by spaces");
    let mut found = Vec::new();
    for id in cell.as_deref().unwrap_or_default().split_whitespace() {
        match desk.names.equipment_ref::<Equipment>(id) {
            Ok(Ref::Known(record)) if found.contains(&record) => {
                fields.fault(2, format!("has `{id}` twice"), "each id once");
            }
            Ok(Ref::Known(record)) => found.push(record),
            Err(kind) => {
                let what = format!("has `{id}`, which is {}", with_article(kind));
                fields.fault(2, what, "the ids of sources and devices");
            }
            Ok(Ref::Written(_)) => {
                let near = desk.names.near_equipment(id);
                let right = super::did_you_mean(&near, "register it first");
                fields.fault(
                    2,
                    format!("has `{id}`, which the ledger does not know"),
                    right,
                );
            }
        }
    }
    let (note, location) = (fields.text(3), fields.text(4));
    let (Some(by), Some(on)) = (by, on) else {
        return Ok(None);
    };
    Ok(only(Inventory {
        by,
        found,
        location,
        note,
        on,
    }))
}

fn read_loading(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
) -> Result<Option<RowBodies>, LedgerError> {
    let device = equipment(fields, desk.names, 0);
    let source = equipment(fields, desk.names, 1);
    let on = day_of(fields, 2, desk, device.map(Id::number));
    if let (Some(on), Some(from)) = (on, source.and_then(|it| desk.names.in_service(it.number())))
        && on < from
    {
        let what = format!("came into service on {from}, and this is {on}");
        let right = format!("a day from {from} on, or the source that was in it before");
        fields.fault(1, what, right);
    }
    let by = fields.needed(3, "who did it");
    let (Some(by), Some(device), Some(on), Some(source)) = (by, device, on, source) else {
        return Ok(None);
    };
    Ok(only(Loading {
        by,
        device,
        on,
        source,
    }))
}
