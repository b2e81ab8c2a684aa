//! What the RSO concludes on one item: whether it could have shown what happened.

use crate::answer::{AnswerError, BARRIERS, Happened, House, NO_ITEM, happened, near};
use crate::calendar::Day;
use crate::intake::entry::authority;
use crate::intake::entry::fault::{Fault, Faults, IntakeError};
use crate::intake::entry::take::take_one;
use crate::intake::entry::taken::Taken;
use crate::ledger::{Instant, Writer};
use crate::record::{Body, Conclusion, Coverage, RecordId, Words};

/// A conclusion as it was typed.
#[derive(Debug, Clone)]
pub struct NewConclusion {
    /// The item's key, `none`: nothing looks for this, or a barrier.
    pub item: String,
    /// One of the words of coverage.
    pub coverage: String,
    /// What it rests on.
    pub because: String,
    /// The id of the RSO or designee.
    pub by: String,
    /// The item; of a known cause the one that failed.
    pub of: Option<String>,
    /// The day; today where none is given.
    pub on: Option<Day>,
}

/// Writes a conclusion on an item of an event.
///
/// # Errors
/// A name that leads nowhere, an item that the list has not for such an item, a word that is
/// none, somebody who may not conclude.
pub fn conclude(
    writer: &mut Writer<'_>,
    now: Instant,
    name: &str,
    new: &NewConclusion,
) -> Result<Taken, IntakeError> {
    let house = House::load(&writer.snapshot()?)?;
    let mut faults = Faults::default();
    let body = {
        let snapshot = writer.snapshot()?;
        let house = &house.open(&snapshot);
        let event = happened(house, name)?;
        let body = Body::from(read(house, &event, now, new, &mut faults)?);
        for problem in authority::problems(house.snapshot, &house.names, &body)? {
            faults.push(Fault::of_problem(None, problem));
        }
        body
    };
    take_one(writer, &house.names, body, faults)
}

fn read(
    house: &House,
    event: &Happened,
    now: Instant,
    new: &NewConclusion,
    faults: &mut Faults,
) -> Result<Conclusion, IntakeError> {
    let mut fault = |field: &str, value: &str, what: &str, right: String| {
        faults.push(Fault::new(None, field, value, what, right));
    };
    let barrier = barrier(new);
    let equipment = equipment(house, event, new)?;
    if equipment.is_none() && barrier.is_none() {
        let right = format!(
            "--of with the id of the item that was inspected, or a barrier for the item: {}",
            BARRIERS.join(", ")
        );
        fault(
            "of",
            "",
            "is missing: no item is the cause of the event",
            right,
        );
    }
    let coverage = Coverage::from_word(&new.coverage);
    if coverage.is_none() {
        let right = Coverage::list();
        fault("coverage", &new.coverage, "is no word of coverage", right);
    }
    let item = new.item.trim();
    if (item == NO_ITEM) != (coverage == Some(Coverage::NoItem)) && coverage.is_some() {
        let right = format!("`{NO_ITEM}` with `no item`: nothing covers this");
        fault("coverage", &new.coverage, "does not fit the item", right);
    }
    let day = event.day();
    let conclusion = |equipment: Option<RecordId>, item: &str| -> Result<_, IntakeError> {
        Ok(Conclusion {
            because: new.because.clone(),
            by: house.names.worker(&new.by)?,
            coverage: coverage.unwrap_or(Coverage::NotEstablished),
            equipment: equipment.map(Into::into),
            event: event.record.into(),
            item: item.to_owned(),
            on: new.on.unwrap_or_else(|| house.today(now)),
        })
    };
    if let Some(barrier) = barrier {
        return conclusion(None, barrier);
    }
    let Some((_, list)) = house.checklist_on(day) else {
        return Err(AnswerError::NoChecklist { day }.into());
    };
    let kind = equipment.and_then(|it| house.names.type_word(it));
    let keys = list.items.iter().filter(|it| Some(it.on.as_str()) == kind);
    let keys: Vec<&str> = keys.map(|it| it.key.as_str()).collect();
    if item != NO_ITEM && kind.is_some() && !keys.contains(&item) {
        let near = near(item, keys.iter().copied());
        let right = match near.first() {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!(
                "see the keys with `wearbook checklist show \"{}\"`",
                list.key
            ),
        };
        let what = format!("is no item for a {}", kind.unwrap_or_default());
        fault("item", item, &what, right);
    }
    conclusion(Some(equipment.unwrap_or_default()), item)
}

/// The barrier that a conclusion is about, where no item is named.
fn barrier(new: &NewConclusion) -> Option<&'static str> {
    let named = new.item.trim();
    let same = |it: &&&str| it.eq_ignore_ascii_case(named);
    let found = BARRIERS.iter().find(same);
    found.copied().filter(|_| new.of.is_none())
}

/// The item that a conclusion is about; none for a barrier.
fn equipment(
    house: &House,
    event: &Happened,
    new: &NewConclusion,
) -> Result<Option<RecordId>, IntakeError> {
    if barrier(new).is_some() {
        return Ok(None);
    }
    if let Some(id) = &new.of {
        return Ok(Some(
            house.names.item(id).map_err(AnswerError::from)?.number(),
        ));
    }
    Ok(event
        .cause()
        .and_then(|it| it.equipment)
        .map(|it| it.number()))
}
