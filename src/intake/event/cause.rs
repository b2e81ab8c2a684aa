//! A cause as it was typed, which the checklist must know.

use super::about_event::NewCause;
use super::desk::EventDesk;
use crate::answer::Happened;
use crate::intake::entry::fault::IntakeError;
use crate::record::{EventCause, HumanCause, Id, Item, Words};

/// A cause, or that none was found.
pub(crate) fn read_cause(
    desk: &mut EventDesk<'_>,
    event: &Happened,
    new: &NewCause,
) -> Result<EventCause, IntakeError> {
    let known_at = match new.at {
        Some(at) => desk.moment("at", at, event.zone),
        None => desk.present(event.zone),
    };
    let parts = match &new.found {
        Some(parts) => Some(found(desk, event, parts)?),
        None => None,
    };
    let (equipment, component, failure) = parts.map_or((None, None, None), |it| {
        (Some(it.0), Some(it.1), Some(it.2))
    });
    let human = new.human.as_deref();
    let human = human.and_then(|word| human_cause(desk, word));
    let leads_to = match new.leads_to {
        Some(entry) => led_to(desk, event, entry)?,
        None => None,
    };
    Ok(EventCause {
        because: new.because.clone(),
        component,
        equipment,
        event: event.record.into(),
        failure,
        human,
        known_at,
        leads_to,
        kind: new.kind,
    })
}

/// Other components of the item whose items look for the failure that a cause names: the one that
/// failed may be among them, and the trace takes only the one that was named.
pub(crate) fn looked_for_elsewhere(
    desk: &EventDesk<'_>,
    event: &Happened,
    cause: &EventCause,
) -> Result<Option<String>, IntakeError> {
    let (Some(equipment), Some(component), Some(failure)) =
        (cause.equipment, &cause.component, &cause.failure)
    else {
        return Ok(None);
    };
    let kind = desk.house.names.type_word(equipment.number());
    let items = desk.list(event.day())?.items.iter().filter(|it| {
        Some(it.on.as_str()) == kind && it.component != *component && it.detects.contains(failure)
    });
    let others: Vec<String> = items
        .map(|it| format!("{} (`{}`)", it.component, it.key))
        .collect();
    Ok((!others.is_empty()).then(|| {
        format!(
            "other components of {} are inspected for `{failure}` too: {}. If one of them failed, \
             say the cause again with it; the trace goes by the component",
            desk.house.names.label(equipment.number()),
            others.join(", ")
        )
    }))
}

/// What people did or left out, by its word.
fn human_cause(desk: &mut EventDesk<'_>, word: &str) -> Option<HumanCause> {
    let found = HumanCause::from_word(&word.trim().replace(' ', "-"));
    if found.is_none() {
        let right = HumanCause::list();
        desk.fault("human", word, "is no human cause", right);
    }
    found
}

/// The cause to which another led, by its entry.
fn led_to(
    desk: &mut EventDesk<'_>,
    event: &Happened,
    entry: i64,
) -> Result<Option<Id<EventCause>>, IntakeError> {
    let record = desk.house.snapshot.entry(entry)?.record;
    let standing = event.standing();
    let found = standing.iter().any(|it| it.record == record);
    if !found {
        let open: Vec<String> = standing.iter().map(|it| it.entry.to_string()).collect();
        let right = match open.as_slice() {
            [] => "no cause stands: say the one that failed at last first".to_owned(),
            open => format!("the entry of one that stands: {}", open.join(", ")),
        };
        let what = format!("is no cause of {} that stands", event.body.name);
        desk.fault("leads-to", &entry.to_string(), what, right);
    }
    Ok(found.then(|| record.into()))
}

/// Equipment, component and failure mode, each of which the checklist must know.
fn found(
    desk: &mut EventDesk<'_>,
    event: &Happened,
    [equipment, component, failure]: &[String; 3],
) -> Result<(Id<Item>, String, String), IntakeError> {
    let item = desk.house.names.item(equipment)?;
    let kind = desk
        .house
        .names
        .type_word(item.number())
        .unwrap_or("unknown item");
    let list = desk.list(event.day())?;
    let known = list.components_of(kind);
    let same = |it: &&&str| it.eq_ignore_ascii_case(component.trim());
    let mut wrong = Vec::new();
    let found = known.iter().find(same).map(|it| (*it).to_owned());
    if found.is_none() {
        let what = format!("is no component of a {kind} in the checklist");
        wrong.push((
            "component",
            component,
            what,
            format!("one of {}", known.join(", ")),
        ));
    }
    let mode = list.failures.iter().find(|it| {
        it.key.eq_ignore_ascii_case(failure.trim()) || it.name.eq_ignore_ascii_case(failure.trim())
    });
    let mode = mode.map(|it| it.key.clone());
    if mode.is_none() {
        let keys: Vec<&str> = list.failures.iter().map(|it| it.key.as_str()).collect();
        let what = "is no failure mode of the checklist".to_owned();
        wrong.push((
            "failure",
            failure,
            what,
            format!("one of {}", keys.join(", ")),
        ));
    }
    if let Some(from) = desk
        .house
        .names
        .in_service(item.number())
        .filter(|it| *it > event.day())
    {
        let what = format!("came into service on {from}, after the event");
        wrong.push((
            "equipment",
            equipment,
            what,
            "what was in use then".to_owned(),
        ));
    }
    for (field, value, what, right) in wrong {
        desk.fault(field, value, what, right);
    }
    Ok((item, found.unwrap_or_default(), mode.unwrap_or_default()))
}
