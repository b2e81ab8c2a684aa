//! Every event on a line.

use serde::Serialize;

use super::cause::causes_words;
use super::happened::all_happened;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;

/// An event on a line.
#[derive(Debug, Clone, Serialize)]
pub struct EventHead {
    /// Its name.
    pub name: String,
    /// The day, or what is known of it: `2026-03`.
    pub on: String,
    /// What kind.
    pub kind: String,
    /// The equipment in it.
    pub equipment: String,
    /// The cause as it is believed now.
    pub cause: String,
    /// `open`, or when it was closed.
    pub state: String,
}

/// Every event.
#[derive(Debug, Clone, Serialize)]
pub struct EventsAnswer {
    /// The events, the latest first.
    pub lines: Vec<EventHead>,
}

/// Every event, the latest first; of open ones only where that is asked.
pub fn events(house: &OpenHouse<'_>, only_open: bool) -> Result<EventsAnswer, AnswerError> {
    let mut lines = Vec::new();
    for it in all_happened(house)?.into_iter().rev() {
        if only_open && it.end.is_some() {
            continue;
        }
        let rule_set = house.judging(it.day())?;
        let equipment: Vec<String> = it
            .body
            .equipment
            .iter()
            .map(|item| house.names.label(item.number()))
            .collect();
        lines.push(EventHead {
            on: it.day_words(),
            kind: it
                .kind(rule_set)
                .map_or_else(|| it.body.kind.clone(), |it| it.name),
            equipment: equipment.join(", "),
            cause: causes_words(house, &it).unwrap_or_else(|| "not said".to_owned()),
            state: it.end.as_ref().map_or_else(
                || "open".to_owned(),
                |end| format!("closed {}", end.body.on),
            ),
            name: it.body.name,
        });
    }
    Ok(EventsAnswer { lines })
}
