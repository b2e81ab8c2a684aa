//! What duties turn on: each fact is so, is not so, or nobody knows, and says from where.
//!
//! The order in which things were written down changes nothing: of two answers to one question
//! the later given holds, and everything else only adds.

use serde::Serialize;

use super::facts::{Facts, Happening, Known};
use crate::calendar::Instant;
use crate::rule::{EventFact, FAILED_COMPONENT, RuleSet};

/// One fact of an event.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FactState {
    /// Its key in the rule set.
    pub key: String,
    /// The question.
    pub text: String,
    /// Whether it is so.
    pub known: Known,
    /// Why, in words.
    pub because: String,
    /// The entry that says so; nothing where the absence of one does.
    pub entry: Option<i64>,
    /// It is taken to be so of what happened, until somebody answers no.
    pub assumed: bool,
    /// What made it so later or earlier than the event itself; nothing: with the event.
    #[serde(skip)]
    pub since: Option<Since>,
}

/// From when something is so, and what made it so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Since {
    /// When; of a moment that is not known to the minute the earliest that is possible.
    pub at: Instant,
    /// What happened then.
    pub words: String,
}

/// Every fact of a rule set, as it stands for an event.
pub(super) fn facts_of(rule_set: &RuleSet, facts: &Facts) -> Vec<FactState> {
    let all = rule_set.facts().iter();
    all.map(|it| state(rule_set, it, facts)).collect()
}

/// The words for a happening.
pub(super) fn name_of(rule_set: &RuleSet, key: &str) -> String {
    match (key, rule_set.event(key)) {
        (FAILED_COMPONENT, _) => "a cause in a component".to_owned(),
        (_, Some(kind)) => kind.name.clone(),
        (_, None) => key.to_owned(),
    }
}

/// Since when something of a list has happened: the first of several, and nothing where that came
/// with the event itself.
pub(super) fn since(rule_set: &RuleSet, facts: &Facts, keys: &[String]) -> Option<Since> {
    let of = facts.happenings.iter().filter(|it| keys.contains(&it.key));
    let all: Option<Vec<Since>> = of
        .map(|it| {
            let at = it.at.as_ref()?;
            let mut words = name_of(rule_set, &it.key);
            if let Some(taken) = &at.taken {
                words.push_str(&format!(", {taken}"));
            }
            Some(Since { at: at.at, words })
        })
        .collect();
    all?.into_iter()
        .min_by(|a, b| (a.at, &a.words).cmp(&(b.at, &b.words)))
}

fn state(rule_set: &RuleSet, fact: &EventFact, facts: &Facts) -> FactState {
    let told = |known, because: String, entry| FactState {
        key: fact.key.clone(),
        text: fact.text.clone(),
        known,
        because,
        entry,
        assumed: false,
        since: None,
    };
    let so = |it: &Happening, because: String, among: &[String]| FactState {
        since: since(rule_set, facts, among),
        ..told(Known::Yes, because, Some(it.entry))
    };
    let happened = |keys: &[String]| -> Option<&Happening> {
        let among = |it: &&Happening| keys.contains(&it.key);
        // The first told of several, so that no later one changes the words.
        facts
            .happenings
            .iter()
            .filter(among)
            .min_by_key(|it| it.entry)
    };
    if let Some(it) = happened(&fact.yes_if) {
        return so(it, name_of(rule_set, &it.key), &fact.yes_if);
    }
    if let Some(it) = happened(&fact.no_if) {
        return told(Known::No, name_of(rule_set, &it.key), Some(it.entry));
    }
    if let Some(it) = facts.answer(&fact.key) {
        let known = if it.yes { Known::Yes } else { Known::No };
        let because = format!("answered {}", if it.yes { "yes" } else { "no" });
        return told(known, because, Some(it.entry));
    }
    if let Some((known, words)) = fact.measured.and_then(|it| facts.measured(it)) {
        return told(known, words, None);
    }
    if let Some(it) = happened(&fact.assumed_if) {
        let because = format!("taken to be so of: {}", name_of(rule_set, &it.key));
        return FactState {
            assumed: true,
            ..so(it, because, &fact.assumed_if)
        };
    }
    if !fact.asked_if.is_empty() && happened(&fact.asked_if).is_none() {
        return told(Known::No, "nothing of the kind happened".to_owned(), None);
    }
    told(Known::Unknown, "not answered".to_owned(), None)
}
