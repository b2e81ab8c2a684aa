//! Labels for equipment, instruments and badges: what stands on each, and the code that a phone
//! reads off it. Nothing on a label is private or a secret.

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use serde::Serialize;

use super::category::gone;
use super::due::lines_of;
use super::due_line::DueState;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::context::sought::{NoSuchName, Sought};
use crate::calendar::Day;
use crate::record::{RecordId, Words};

/// What labels are for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LabelsOf {
    /// Equipment.
    Equipment,
    /// Instruments.
    Instruments,
    /// Stickers of instruments, with the day of the check and the last day on which it holds.
    Calibrations,
    /// Badges: for their rack or the back of their holder.
    Badges,
}

/// One label.
#[derive(Debug, Clone, Serialize)]
pub struct Label {
    /// The id, or the number on a badge.
    pub id: String,
    /// What it is.
    #[serde(rename = "type")]
    pub kind: String,
    /// Serial number; nothing of a badge.
    pub serial: Option<String>,
    /// What its code holds.
    pub code: String,
    /// Of a sticker: what was done, when.
    pub checked: Option<String>,
    /// Of a sticker: the last day on which it holds.
    pub due: Option<Day>,
}

/// Labels of one type.
#[derive(Debug, Clone, Serialize)]
pub struct LabelsAnswer {
    /// The name that tells this ledger from others.
    pub ledger: String,
    /// The day.
    pub on: Day,
    /// Each label, by id.
    pub labels: Vec<Label>,
    /// What was asked for and gets no label, with the reason.
    pub without: Vec<String>,
}

/// What stays as it is in an address.
const PLAIN: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'.').remove(b'_');

/// What the code of a label holds: the ledger and the id, and with a base the address that opens
/// the item there.
fn code(ledger: &str, is_badge: bool, id: &str, base: Option<&str>) -> String {
    let sort = if is_badge { "badge" } else { "item" };
    match base {
        None => format!("wearbook:{ledger}:{sort}:{id}"),
        Some(base) => {
            let (base, id) = (base.trim_end_matches('/'), utf8_percent_encode(id, PLAIN));
            format!("{base}/{sort}/{id}?of={ledger}")
        }
    }
}

/// Labels of these, or of all that are in service on a day.
///
/// # Errors
/// A name that leads nowhere.
pub fn labels(
    house: &OpenHouse<'_>,
    (of, ids): (LabelsOf, &[String]),
    base: Option<&str>,
    on: Day,
) -> Result<LabelsAnswer, AnswerError> {
    let mut answer = LabelsAnswer {
        ledger: house.names.charter.ledger_id.clone(),
        on,
        labels: Vec::new(),
        without: Vec::new(),
    };
    if of == LabelsOf::Badges {
        badges(house, ids, base, &mut answer)?;
    } else {
        for item in items(house, of, ids, on)? {
            one(house, of, item, base, &mut answer)?;
        }
    }
    answer.labels.sort_by(|a, b| a.id.cmp(&b.id));
    Ok(answer)
}

/// The items that are meant.
fn items(
    house: &OpenHouse<'_>,
    of: LabelsOf,
    ids: &[String],
    on: Day,
) -> Result<Vec<RecordId>, AnswerError> {
    let names = &house.names;
    if !ids.is_empty() {
        let found = ids.iter().map(|id| match of {
            LabelsOf::Equipment => Ok(names.equipment(id)?.number()),
            _ => Ok(names.instrument(id)?.number()),
        });
        return found.collect();
    }
    let is_meant = |item: &RecordId| {
        let is_equipment = names.equipment_body(*item).is_some();
        let later = names.in_service(*item).is_some_and(|from| from > on);
        is_equipment == (of == LabelsOf::Equipment)
            && !later
            && house.service.out_of_service(*item, on).is_none()
            && gone(house, *item, on).is_none()
    };
    Ok(names.items().into_iter().filter(is_meant).collect())
}

fn one(
    house: &OpenHouse<'_>,
    of: LabelsOf,
    item: RecordId,
    base: Option<&str>,
    answer: &mut LabelsAnswer,
) -> Result<(), AnswerError> {
    let (names, on) = (&house.names, answer.on);
    let id = names.label(item);
    let equipment = names.equipment_body(item).map(|it| it.serial.clone());
    let serial = equipment.or_else(|| names.instrument_body(item).map(|it| it.serial.clone()));
    let mut label = Label {
        code: code(&answer.ledger, false, &id, base),
        kind: names.type_word(item).unwrap_or_default().to_owned(),
        serial,
        checked: None,
        due: None,
        id,
    };
    if of == LabelsOf::Calibrations {
        // Nothing is stuck on a meter that says it is in time when it is not.
        if let Some(out) = house.service.out_of_service(item, on) {
            let why = format!("{}: out of service since {}", label.id, out.on);
            answer.without.push(why);
            return Ok(());
        }
        let lines = lines_of(house, item, on)?;
        let found = lines.iter().find(|it| it.state == DueState::InTime);
        let Some((line, last)) = found.and_then(|it| Some((it, it.last?))) else {
            let why = lines
                .first()
                .map_or("nothing falls due on it", |it| &it.words);
            answer.without.push(format!("{}: {why}", label.id));
            return Ok(());
        };
        label.checked = Some(format!("{} {last}", line.what));
        label.due = line.due;
    }
    answer.labels.push(label);
    Ok(())
}

/// Badges that are worn on the day, each number once; who wears one does not stand on its label.
fn badges(
    house: &OpenHouse<'_>,
    ids: &[String],
    base: Option<&str>,
    answer: &mut LabelsAnswer,
) -> Result<(), AnswerError> {
    let worn = house.snapshot.badges(None, answer.on, answer.on)?;
    let mut worn: Vec<_> = worn
        .into_iter()
        .filter(|it| it.changes.is_empty())
        .collect();
    for id in ids {
        if !worn.iter().any(|it| it.badge == *id) {
            let near = worn.iter().map(|it| it.badge.as_str());
            return Err(NoSuchName {
                what: Sought::Badge,
                name: id.clone(),
                near: crate::answer::near(id, near),
            }
            .into());
        }
    }
    worn.retain(|it| ids.is_empty() || ids.contains(&it.badge));
    worn.dedup_by(|a, b| a.badge == b.badge);
    let made = worn.into_iter().map(|it| Label {
        code: code(&answer.ledger, true, &it.badge, base),
        kind: format!("{} badge", it.kind.word()),
        serial: None,
        checked: None,
        due: None,
        id: it.badge,
    });
    answer.labels = made.collect();
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::code;

    #[test]
    fn a_code_is_ledger_and_id_and_an_address_only_where_there_is_a_host() {
        for (is_badge, id, base, right) in [
            (false, "CU-2", None, "wearbook:0123:item:CU-2"),
            (true, "0417", None, "wearbook:0123:badge:0417"),
            (
                false,
                "CU-2",
                Some("https://office.example:8443/"),
                "https://office.example:8443/item/CU-2?of=0123",
            ),
            (
                false,
                "Ü#1",
                Some("http://a"),
                "http://a/item/%C3%9C%231?of=0123",
            ),
        ] {
            assert_eq!(code("0123", is_badge, id, base), right);
        }
    }
}
