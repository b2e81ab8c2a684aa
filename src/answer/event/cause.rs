//! Causes of an event: which of them stand, in which order, and their words.

use super::happened::Happened;
use crate::answer::context::load::House;
use crate::calendar::Day;
use crate::ledger::Stored;
use crate::record::{CauseType, EventCause, HumanCause, RecordId, Words};

impl Happened {
    /// The items that it names and those of which a cause says that they failed.
    pub(crate) fn all_equipment(&self) -> Vec<RecordId> {
        let mut all_equipment: Vec<RecordId> =
            self.body.equipment.iter().map(|it| it.number()).collect();
        for failed in self.standing().iter().filter_map(|it| it.body.equipment) {
            if !all_equipment.contains(&failed.number()) {
                all_equipment.push(failed.number());
            }
        }
        all_equipment
    }

    /// The causes as they are believed now, each before the one to which it led.
    ///
    /// One without a kind takes the place of all that were said before it; one with a kind stands
    /// beside them, and takes the place of "not found".
    pub fn standing(&self) -> Vec<&Stored<EventCause>> {
        let mut stand: Vec<&Stored<EventCause>> = Vec::new();
        for it in &self.causes {
            match it.body.kind {
                None => stand.clear(),
                Some(_) => stand.retain(|it| !it.body.is_not_found()),
            }
            stand.push(it);
        }
        in_order(stand)
    }

    /// The cause that failed at last, as it is believed now; nothing where nobody has said one.
    pub fn cause(&self) -> Option<&EventCause> {
        self.direct().map(|it| &it.body)
    }

    /// The same, as stored: the last that is not merely contributing, else the last.
    pub fn direct(&self) -> Option<&Stored<EventCause>> {
        let stand = self.standing();
        let direct = |it: &&&Stored<EventCause>| it.body.kind != Some(CauseType::Contributing);
        let found = stand.iter().rfind(direct).or(stand.last());
        found.copied()
    }
}

/// Causes, each before the one to which it led, contributing ones before direct ones; else as
/// they were said. Where causes lead in a circle, their order is that in which they were said.
fn in_order(mut stand: Vec<&Stored<EventCause>>) -> Vec<&Stored<EventCause>> {
    stand.sort_by_key(|it| it.body.kind != Some(CauseType::Contributing));
    let mut ordered: Vec<&Stored<EventCause>> = Vec::new();
    while !stand.is_empty() {
        let waits = |it: &Stored<EventCause>| {
            let leads_here = |other: &&Stored<EventCause>| {
                other.record != it.record && other.body.leads_to == Some(it.record.into())
            };
            stand.iter().any(leads_here)
        };
        let next = stand.iter().position(|it| !waits(it)).unwrap_or_default();
        ordered.push(stand.remove(next));
    }
    ordered
}

fn failure_name(house: &House, day: Day, key: &str) -> String {
    let list = house.checklist_on(day).map(|(_, list)| list);
    let named = list.and_then(|list| list.failures.iter().find(|it| it.key == key));
    named.map_or_else(|| key.to_owned(), |it| it.name.clone())
}

/// A cause in one line.
pub(crate) fn cause_words(house: &House, day: Day, cause: &EventCause) -> String {
    match (&cause.equipment, &cause.component, &cause.failure) {
        (Some(equipment), Some(component), Some(failure)) => format!(
            "{component} of {}: {}",
            house.names.label(equipment.number()),
            failure_name(house, day, failure)
        ),
        _ => match cause.human {
            Some(human) => human_words(human),
            None => "not found".to_owned(),
        },
    }
}

/// What people did or left out, in words.
pub(crate) fn human_words(human: HumanCause) -> String {
    match human {
        HumanCause::Other => "something people did".to_owned(),
        other => other.word().replace('-', " "),
    }
}

/// A cause with how it counts beside the others.
pub(crate) fn sorted_words(house: &House, day: Day, cause: &EventCause) -> String {
    let words = cause_words(house, day, cause);
    match cause.kind {
        Some(CauseType::Contributing) => format!("{words} (contributing)"),
        _ => words,
    }
}

/// The causes that stand, in one line.
pub(crate) fn causes_words(house: &House, it: &Happened) -> Option<String> {
    let stand = it.standing();
    let words = stand
        .iter()
        .map(|cause| sorted_words(house, it.day(), &cause.body));
    let words: Vec<String> = words.collect();
    (!words.is_empty()).then(|| words.join("; "))
}
