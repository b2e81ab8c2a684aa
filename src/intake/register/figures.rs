//! Nominal and limit of an installed part, held against the item of the list that measures it.

use super::{RowDesk, did_you_mean};
use crate::answer::near;
use crate::intake::file::fields::Fields;
use crate::ledger::LedgerError;
use crate::quantity::{Amount, AmountUnit};
use crate::record::{ListAdoption, RecordId};
use crate::rule::{Checklist, ChecklistItem, is_wear};

mod at {
    pub const LINE: usize = 6;
    pub const NOMINAL: usize = 7;
    pub const LIMIT: usize = 8;
}

/// Item, nominal and limit as the record keeps them, all blank where none is given. Nothing where
/// one of them has a fault.
pub(super) fn read(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
    equipment: RecordId,
    component: &str,
) -> Result<Option<[Option<String>; 3]>, LedgerError> {
    let given = [at::LINE, at::NOMINAL, at::LIMIT].map(|column| fields.text(column));
    // One without the others is the record's own complaint.
    let [Some(key), Some(_), Some(_)] = &given else {
        return Ok(Some(given));
    };
    let Some(item) = item(fields, desk, equipment, key)? else {
        return Ok(None);
    };
    let Some(unit) = unit(fields, &item, component) else {
        return Ok(None);
    };
    let nominal = amount(fields, at::NOMINAL, unit);
    let limit = amount(fields, at::LIMIT, unit);
    let (Some(nominal), Some(limit)) = (nominal, limit) else {
        return Ok(None);
    };
    if item
        .sense()
        .is_some_and(|it| it.is_past(nominal.0, limit.0))
    {
        let new = nominal.0.display(nominal.1);
        let what = format!("is a limit that the new part, at {new}, would not keep");
        let sense = item.sense().map(|it| it.name()).unwrap_or_default();
        let right = format!("`{}` is {sense} its limit: swap the two?", item.key);
        fields.fault(at::LIMIT, what, right);
        return Ok(None);
    }
    let shown = |(amount, unit): (Amount, AmountUnit)| Some(amount.display(unit));
    Ok(Some([Some(item.key), shown(nominal), shown(limit)]))
}

/// The item of that key in the adopted list that has it, the latest first.
fn item(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
    equipment: RecordId,
    key: &str,
) -> Result<Option<ChecklistItem>, LedgerError> {
    let kind = desk.names.type_word(equipment).unwrap_or_default();
    let mut adopted = desk.snapshot.all::<ListAdoption>()?;
    adopted.sort_by_key(|it| (it.body.from, it.entry));
    let lists: Vec<Checklist> = adopted
        .iter()
        .rev()
        .filter_map(|it| Checklist::parse(&it.body.text).ok())
        .collect();
    let of_type = || {
        let items = lists.iter().flat_map(|list| &list.items);
        items.filter(|it| it.on == kind)
    };
    let found = of_type().find(|it| it.key.eq_ignore_ascii_case(key));
    if found.is_none() {
        let what = format!("is no item of an adopted list that covers a {kind}");
        let right = match lists.is_empty() {
            true => "adopt a list first: wearbook checklist adopt general --from DATE".to_owned(),
            false => did_you_mean(
                &near(key, of_type().map(|it| it.key.as_str())),
                "see the keys with `wearbook checklist show`",
            ),
        };
        fields.fault(at::LINE, what, right);
    }
    Ok(found.cloned())
}

/// The unit in which the item measures the part: one that wears, and is of this component.
fn unit(fields: &mut Fields<'_>, item: &ChecklistItem, component: &str) -> Option<AmountUnit> {
    if item.component != component {
        let what = format!("measures the {}, and this is a {component}", item.component);
        fields.fault(at::LINE, what, "an item that measures this part");
        return None;
    }
    let Some(unit) = item.unit() else {
        let right = "an item that is measured, such as `cable-diameter`";
        fields.fault(at::LINE, "is an item that is not measured", right);
        return None;
    };
    if !is_wear(unit.kind()) {
        let what = "is a rate, whose limit does not come with a part";
        fields.fault(at::LINE, what, "a limit of the list, in a list of the site");
        return None;
    }
    Some(unit)
}

fn amount(
    fields: &mut Fields<'_>,
    column: usize,
    unit: AmountUnit,
) -> Option<(Amount, AmountUnit)> {
    match Amount::parse_with_unit(fields.cell(column), Some(unit)) {
        Ok(read) => Some(read),
        Err(error) => {
            let right = format!("a number and its unit, such as `5.8 {}`", unit.symbol());
            fields.unreadable(column, &error, &right);
            None
        }
    }
}
