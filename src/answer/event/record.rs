//! Events as the ledger has them: everything that was learned of one, and the list.

use serde::Serialize;

use super::cause::causes_words;
use super::happened::{Happened, happened};
use super::lines::{EventLine, lines_of};
use super::notification::notifications_to_close;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::dose::bystander;
use crate::answer::entry::evidence::{EvidenceLine, evidence_of_event};
use crate::calendar::{Day, Instant};
use crate::record::{Event, EventPerson, Ref, Words, Worker};
use crate::rule::Tells;

/// Somebody who had a part in it.
#[derive(Debug, Clone, Serialize)]
pub struct EventPersonLine {
    /// The id, or the name as written.
    pub person: String,
    /// What the person did.
    pub role: String,
    /// `yes`, `no` or `not said`.
    pub monitored: &'static str,
    /// Parts of the body that may have been near an unshielded source, separated by commas.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub near: String,
    /// Of somebody who is no worker: how many of whom.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub group: Option<String>,
    /// And the estimated deep dose.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dose: Option<String>,
}

/// One event.
#[derive(Debug, Clone, Serialize)]
pub struct EventAnswer {
    /// Its name.
    pub name: String,
    /// Its newest entry.
    pub entry: i64,
    /// What kind, in the trade's words.
    pub kind: String,
    /// When it occurred, local time with its offset.
    pub occurred: String,
    /// When it was discovered.
    pub discovered: String,
    /// The job and where.
    pub place: String,
    /// The first words about it.
    pub words: String,
    /// The equipment and instruments in it, each with whether it is out of service.
    pub equipment: Vec<String>,
    /// Who had a part in it.
    pub people: Vec<EventPersonLine>,
    /// The cause as it is believed now.
    pub cause: String,
    /// Everything that was written about it, by moment.
    pub lines: Vec<EventLine>,
    /// Photos and papers that go with it.
    pub evidence: Vec<EvidenceLine>,
    /// The day of its end.
    pub closed_on: Option<Day>,
    /// What is missing before it can be closed.
    pub missing: Vec<String>,
    /// The rule set's caution.
    pub confirm: String,
}

fn people_of(house: &House, it: &Event) -> Vec<EventPersonLine> {
    let people = it.people.iter().map(|it| EventPersonLine {
        person: person_words(house, &it.person),
        role: it.role.clone(),
        monitored: match it.monitored {
            Some(true) => "yes",
            Some(false) => "no",
            None => "not said",
        },
        near: near_words(it),
        group: bystander::group(it),
        dose: bystander::range(house, it),
    });
    people.collect()
}

fn near_words(it: &EventPerson) -> String {
    let parts: Vec<&str> = it.near.iter().map(|it| it.word()).collect();
    parts.join(", ")
}

/// A person's id with the name, or the words as written.
fn person_words(house: &House, it: &Ref<Worker>) -> String {
    let known = it.number().and_then(|it| house.names.worker_body(it));
    known.map_or_else(
        || house.names.words(it),
        |worker| format!("{} {}", worker.id, worker.name),
    )
}

fn place_of(house: &House, it: &Event) -> String {
    let job = it.job.and_then(|job| house.names.job_body(job.number()));
    let job = job.map(|job| format!("{}, {}", job.id, job.place));
    let parts: Vec<String> = job.into_iter().chain(it.place.clone()).collect();
    parts.join("; ")
}

/// What is missing before an event can be closed, besides its notices.
pub fn missing_to_close(it: &Happened) -> Vec<String> {
    let mut missing = Vec::new();
    let name = &it.body.name;
    if it.causes.is_empty() {
        missing.push(format!(
            "a cause, or that none was found: wearbook event cause {name}"
        ));
    }
    if it.actions.is_empty() {
        missing.push(format!(
            "what was done so that it does not happen again: wearbook event action {name}"
        ));
    }
    missing.extend(it.open_plans().map(|plan| {
        format!(
            "the action `{}` is not done: wearbook event action {name} --carries-out {}",
            plan.body.words, plan.entry
        )
    }));
    missing
}

/// The event of a name, whole.
///
/// # Errors
/// A name that leads nowhere.
pub fn event_of(
    house: &OpenHouse<'_>,
    name: &str,
    on: Day,
    now: Instant,
) -> Result<EventAnswer, AnswerError> {
    let it = happened(house, name)?;
    let rule_set = house.judging(it.day())?;
    let all_equipment = it.body.equipment.iter().map(|it| it.number());
    let equipment = all_equipment.map(|item| {
        let kind = house.names.type_word(item).unwrap_or("unknown item");
        let out = house.service.out_of_service(item, on);
        let state = out.map_or(String::new(), |out| {
            format!(", out of service: {}", out.reason)
        });
        format!("{} {kind}{state}", house.names.label(item))
    });
    let missing = match it.end {
        Some(_) => Vec::new(),
        None => {
            let mut missing = missing_to_close(&it);
            missing.extend(notifications_to_close(house, &it, now)?);
            missing
        }
    };
    Ok(EventAnswer {
        name: it.body.name.clone(),
        entry: it.entry,
        kind: it
            .kind(rule_set)
            .map_or_else(|| it.body.kind.clone(), |it| it.name),
        occurred: it.occurred_words(),
        discovered: it.discovered_words(),
        place: place_of(house, &it.body),
        words: it.body.words.clone(),
        equipment: equipment.collect(),
        people: people_of(house, &it.body),
        cause: causes_words(house, &it).unwrap_or_else(|| "none recorded yet".to_owned()),
        lines: lines_of(house, &it)?,
        evidence: evidence_of_event(house, &it)?,
        closed_on: it.end.as_ref().map(|end| end.body.on),
        missing,
        confirm: house
            .rule_set_at(it.job(house), house.judged_on(it.day()))?
            .caution_of(Tells::Duties),
    })
}
