//! What one line of an inspection says besides its result: a measure, and the other item of a
//! mating check.

use super::inspection::{Head, Reading, at};
use crate::calendar::Day;
use crate::intake::entry::fault::IntakeError;
use crate::intake::file::columns::Row;
use crate::quantity::Amount;
use crate::record::{Id, Item, LineResult};
use crate::rule::ChecklistItem;

impl Reading<'_> {
    /// A measure as the ledger keeps it: with its unit, and one that a gauge could have shown.
    pub fn value(
        &mut self,
        row: &Row,
        head: &Head<'_>,
        item: &ChecklistItem,
        value: &str,
        explained: bool,
    ) -> Result<Option<String>, IntakeError> {
        let Some(like) = item.unit() else {
            let what = "stands at an item that is not measured";
            let right = "good, defect or not done; put the figure into the note";
            self.fields(row).fault(at::VALUE, what, right);
            return Ok(None);
        };
        let (amount, unit) = match Amount::parse_with_unit(value, Some(like)) {
            Ok(read) => read,
            Err(error) => {
                let right = match &item.measurement {
                    Some(measurement) => format!("such as `{}`", measurement.limit.display(like)),
                    None => format!("a number and its unit, such as `5.8 {}`", like.symbol()),
                };
                self.fields(row).unreadable(at::VALUE, &error, &right);
                return Ok(None);
            }
        };
        let far = item.measurement.as_ref();
        if let Some(measurement) = far.filter(|it| !it.is_believable(amount) && !explained) {
            let last = self
                .house
                .snapshot
                .lines_of_key(head.item, &item.key, Day::MIN)?
                .into_iter()
                .filter(|it| it.of.on <= head.on)
                .filter_map(|it| Some((it.value?, it.of.on)))
                .next_back();
            let last = last.map_or_else(String::new, |(value, on)| format!("; {value} on {on}"));
            let what = format!(
                "is outside {} to {}{last}",
                measurement.lowest.display(measurement.unit),
                measurement.highest.display(measurement.unit)
            );
            let right = "read the gauge again; if it does show that, say so in the note";
            self.fields(row).fault(at::VALUE, what, right);
            return Ok(None);
        }
        Ok(Some(amount.display(unit)))
    }

    pub fn with(
        &mut self,
        row: &Row,
        on: Day,
        item: &ChecklistItem,
        result: Option<LineResult>,
    ) -> Option<Id<Item>> {
        let house = self.house;
        let mut fields = self.fields(row);
        let id = fields.text(at::WITH);
        match (&item.pair, id) {
            (None, None) => None,
            (None, Some(_)) => {
                let what = format!("stands at `{}`, which mates no two items", item.key);
                fields.fault(at::WITH, what, "leave it blank");
                None
            }
            (Some(_), None) if result == Some(LineResult::NotDone) => None,
            (Some(pair), None) => {
                let right = format!("the id of its {pair}");
                fields.fault(at::WITH, "is missing at a mating check", right);
                None
            }
            (Some(pair), Some(id)) => {
                let found = house.names.find_item(&id);
                let kind = found.and_then(|it| house.names.type_word(it.number()));
                if let Some(other) = kind.filter(|it| it != pair) {
                    let right = format!("the id of its {pair}");
                    fields.fault(at::WITH, format!("is no {pair}, but a {other}"), right);
                    return None;
                }
                if kind.is_none() {
                    let near = house.names.near_equipment(&id);
                    let right = crate::intake::file::words::did_you_mean(
                        &near,
                        &format!("the id of its {pair}"),
                    );
                    fields.fault(at::WITH, format!("is no known {pair}"), right);
                    return None;
                }
                let from = found.and_then(|it| house.names.in_service(it.number()));
                if let Some(from) = from.filter(|from| on < *from) {
                    let what = format!("came into service on {from}, after {on}");
                    let right = format!("the {pair} that was mated that day");
                    fields.fault(at::WITH, what, right);
                    return None;
                }
                found
            }
        }
    }
}
