//! A duty to tell as a line, and what was told.

use serde::Serialize;

use super::error::AnswerError;
use super::event_person::Person;
use super::happened::Happened;
use super::load::House;
use super::notice_before::stay;
use super::notice_contents::Contents;
use super::notice_facts::{facts, people};
use crate::calendar::Instant;
use crate::ledger::Snapshot;
use crate::notice::{Applies, Known, Notices, Progress, notices};
use crate::rule::Scheme;

/// One clock of one duty.
#[derive(Debug, Clone, Serialize)]
pub struct NoticeLine {
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

impl NoticeLine {
    /// Whether somebody still has to do it.
    pub fn is_open(&self) -> bool {
        self.state.is_open()
    }
}

/// An event with everything that its notices are made from.
pub(super) struct Told<'a> {
    /// Duty and content, where a fact of the event says that the content is not asked for.
    pub not_asked: Vec<(String, String)>,
    pub scheme: &'a Scheme,
    pub people: Vec<Person>,
    pub contents: Contents,
    pub notices: Notices,
}

pub(super) fn told<'a>(
    snapshot: &Snapshot<'_>,
    house: &'a House,
    it: &Happened,
    now: Instant,
) -> Result<Told<'a>, AnswerError> {
    let scheme = house.duties_at(it.job(house), it.day())?;
    let people = people(snapshot, house, it)?;
    let contents = Contents::of(snapshot, house, it, &people)?;
    let mut facts = facts(house, it, &people, now)?;
    for duty in scheme.notices() {
        for content in &duty.contents {
            if contents.fill(content).missing.is_none() {
                facts.present.push((duty.key.clone(), content.key.clone()));
            }
        }
    }
    let mut found = notices(scheme, &facts);
    // What can be missing of no such event is not asked for.
    let is_no = |fact: &String| {
        let mut all = found.facts.iter();
        all.any(|it| it.key == *fact && it.known == Known::No)
    };
    let not_asked: Vec<(String, String)> = scheme
        .notices()
        .iter()
        .flat_map(|duty| {
            let not = duty.contents_if.iter().filter(|(_, fact)| is_no(fact));
            not.map(|(key, _)| (duty.key.clone(), key.clone()))
        })
        .collect();
    if !not_asked.is_empty() {
        facts.present.extend(not_asked.iter().cloned());
        found = notices(scheme, &facts);
    }
    stay(house, it, &facts, &mut found);
    Ok(Told {
        not_asked,
        scheme,
        people,
        contents,
        notices: found,
    })
}
