//! A duty to tell as a line, and what was told.

use serde::Serialize;

use super::happened::Happened;
use super::notification_before::stay;
use super::notification_contents::Contents;
use super::notification_facts::{facts, people};
use super::person::Person;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::calendar::Instant;
use crate::notification::{Applies, Known, Notifications, Progress, notifications};
use crate::rule::RuleSet;

/// One clock of one duty.
#[derive(Debug, Clone, Serialize)]
pub struct NotificationLine {
    /// The event.
    pub event: String,
    /// The duty's key.
    pub duty: String,
    /// The report that serves it.
    pub report: String,
    /// What is to be done.
    pub what: String,
    /// Its rule, and whether that text was read.
    pub citation: String,
    /// By telephone or in writing.
    pub how: String,
    /// Whom.
    pub to: String,
    /// How long there is, from what.
    pub within: String,
    /// Whether it arises.
    pub applies: Applies,
    /// Why, or why not.
    pub because: String,
    /// When its clock started, local time with its offset; nothing where it has not.
    pub start: Option<String>,
    /// Which fact started it.
    pub start_words: String,
    /// By when, local time with its offset.
    pub deadline: Option<String>,
    /// The same as a moment.
    #[serde(skip)]
    pub by: Option<Instant>,
    /// The deadline is only the latest that it can be.
    pub latest: bool,
    /// Minutes left now, or when it was done; negative where late.
    pub left_minutes: Option<i64>,
    /// How it stands.
    pub state: Progress,
    /// The state in words: what is left, or when it was done by whom.
    pub words: String,
    /// What it must contain and the ledger does not have.
    pub missing: Vec<String>,
}

impl NotificationLine {
    /// Whether somebody still has to do it.
    pub fn is_open(&self) -> bool {
        self.state.is_open()
    }
}

/// An event with everything that its notices are made from.
pub(crate) struct Told<'a> {
    /// Duty and content, where a fact of the event says that the content is not asked for.
    pub not_asked: Vec<(String, String)>,
    pub rule_set: &'a RuleSet,
    pub people: Vec<Person>,
    pub contents: Contents,
    pub notifications: Notifications,
}

pub(crate) fn told<'a>(
    house: &'a OpenHouse<'_>,
    it: &Happened,
    now: Instant,
) -> Result<Told<'a>, AnswerError> {
    let rule_set = house.duties_at(it.job(house), it.day())?;
    let people = people(house, it)?;
    let contents = Contents::of(house, it, &people)?;
    let mut facts = facts(house, it, &people, now)?;
    for duty in rule_set.notifications() {
        for content in &duty.contents {
            if contents.fill(content).missing.is_none() {
                facts.present.push((duty.key.clone(), content.key.clone()));
            }
        }
    }
    let mut found = notifications(rule_set, &facts);
    // What can be missing of no such event is not asked for.
    let is_no = |fact: &String| {
        let mut all = found.facts.iter();
        all.any(|it| it.key == *fact && it.known == Known::No)
    };
    let not_asked: Vec<(String, String)> = rule_set
        .notifications()
        .iter()
        .flat_map(|duty| {
            let not = duty.contents_if.iter().filter(|(_, fact)| is_no(fact));
            not.map(|(key, _)| (duty.key.clone(), key.clone()))
        })
        .collect();
    if !not_asked.is_empty() {
        facts.present.extend(not_asked.iter().cloned());
        found = notifications(rule_set, &facts);
    }
    stay(house, it, &facts, &mut found);
    Ok(Told {
        not_asked,
        rule_set,
        people,
        contents,
        notifications: found,
    })
}
