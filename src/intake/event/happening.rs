//! Kinds of events, and what happened in one besides what it was opened with.

use super::desk::EventDesk;
use crate::answer::{Happened, Roughly, kind_of, kinds_of, near};
use crate::calendar::{Day, WHEN_UNKNOWN};
use crate::intake::entry::fault::IntakeError;
use crate::record::{Body, EventHappening};

/// Something more that happened, as it was typed.
#[derive(Debug, Clone)]
pub struct NewHappening {
    /// A kind of the rule set, by key or name.
    pub happening: String,
    /// When; where nothing is said, nothing is known of it.
    pub at: Option<Roughly>,
    /// What is known about it.
    pub words: Option<String>,
}

/// A kind of event of the rule set of a day.
pub(crate) fn kind(
    desk: &mut EventDesk<'_>,
    field: &str,
    word: &str,
    day: Day,
) -> Result<Option<String>, IntakeError> {
    let rule_set = desk.house.judging(day)?;
    let kind = kind_of(rule_set, word).map(|it| it.key);
    if kind.is_none() {
        let keys: Vec<&str> = kinds_of(rule_set)
            .iter()
            .map(|it| it.key.as_str())
            .collect();
        let near = near(word, keys.iter().copied());
        let near = near.first().map(|it| format!("did you mean `{it}`? "));
        let right = near.unwrap_or_default() + "one of " + &keys.join(", ");
        desk.fault(field, word, "is no kind of event of the rule set", right);
    }
    Ok(kind)
}

/// Something more that happened; what it was opened with is one already.
pub(crate) fn read_happening(
    desk: &mut EventDesk<'_>,
    event: &Happened,
    new: &NewHappening,
) -> Result<Body, IntakeError> {
    let happening = kind(desk, "happening", &new.happening, event.day())?.unwrap_or_default();
    if happening == event.body.kind {
        let what = "is what the event was opened with";
        desk.fault("happening", &new.happening, what, "what happened besides");
    }
    let at = match &new.at {
        Some(at) => desk.roughly("at", at, event.zone),
        None => WHEN_UNKNOWN.to_owned(),
    };
    Ok(Body::from(EventHappening {
        at,
        event: event.record.into(),
        happening,
        words: new.words.clone(),
    }))
}
