//! What of a checklist an inspection looked at, and how a figure stands.

use crate::answer::context::load::House;
use crate::ledger::InspectionRow;
use crate::quantity::Amount;
use crate::record::{Inspection, Line, LineResult, Occasion, Words};
use crate::rule::{ChecklistItem, Standing};

/// Items of the list that have no line at all. One that is inactive is not asked for.
pub(crate) fn left_out(house: &House, it: &Inspection) -> Vec<String> {
    lacking(house, it, it.when, |_| true)
}

/// Items that another occasion asks for and that this inspection did not look at: without a line,
/// or `not done`.
pub(crate) fn not_inspected(house: &House, it: &Inspection, when: Occasion) -> Vec<String> {
    lacking(house, it, when, |line| line.result != LineResult::NotDone)
}

fn lacking(
    house: &House,
    it: &Inspection,
    when: Occasion,
    counts: impl Fn(&Line) -> bool,
) -> Vec<String> {
    let list = house.list_of(it);
    let kind = house
        .names
        .type_stored(it.item.number())
        .unwrap_or("unknown item");
    let said = |key: &str| it.lines.iter().any(|line| line.item == key && counts(line));
    list.into_iter()
        .flat_map(|list| list.items_for(kind, when.stored()))
        .filter(|item| !said(&item.key))
        .filter(|item| !house.item_on(it.item.number(), item, it.on).is_inactive())
        .map(|item| item.key.clone())
        .collect()
}

/// The item of a line as it stood on its item that day.
pub(crate) fn item_of(house: &House, of: &InspectionRow, key: &str) -> Option<ChecklistItem> {
    let item = house.maintenance.list_of(of.list, of.on)?.list.item(key)?;
    Some(house.item_on(of.item, item, of.on))
}

/// Where a measure as written stands against its item.
pub(crate) fn standing(item: Option<&ChecklistItem>, value: Option<&str>) -> Option<Standing> {
    let measurement = item?.measurement.as_ref()?;
    let amount = Amount::parse(value?, Some(measurement.unit)).ok()?;
    measurement.standing(amount)
}
