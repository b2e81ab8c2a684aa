//! What the sections of a review are made from, and their lines.

use std::collections::HashMap;

use serde::Serialize;

use super::people::ReviewPerson;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::calendar::{Day, Instant, Span, parse_instant};
use crate::dose::input::History;
use crate::record::RecordId;
use crate::rule::{Finding, Severity};

/// One line of a section.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ReviewLine {
    /// `STOP`, `ACT`, `watch` or nothing.
    pub mark: &'static str,
    /// Whom or what it is about.
    pub subject: String,
    /// What there is to say.
    pub what: String,
    /// The rule, where it is one's.
    pub rule: String,
    /// The check whose finding it is; empty where it is none.
    pub check: String,
    /// What the rule says.
    pub meaning: String,
    /// What is to be done.
    pub remedy: String,
    /// The entries that it rests on.
    pub entries: Vec<i64>,
}

impl ReviewLine {
    /// A line without urgency.
    pub(crate) fn plain(subject: impl Into<String>, what: impl Into<String>) -> ReviewLine {
        ReviewLine {
            mark: "",
            subject: subject.into(),
            what: what.into(),
            rule: String::new(),
            check: String::new(),
            meaning: String::new(),
            remedy: String::new(),
            entries: Vec::new(),
        }
    }

    /// A finding.
    pub(crate) fn of(it: &Finding) -> ReviewLine {
        ReviewLine {
            mark: match it.severity {
                Severity::Stop => "STOP",
                Severity::Act => "ACT",
                Severity::Watch => "watch",
            },
            subject: it.subject.clone(),
            what: it.what.clone(),
            rule: it.cited(),
            check: it.check.clone(),
            meaning: it.rule.clone(),
            remedy: it.remedy.clone(),
            entries: it.entries.clone(),
        }
    }
}

/// One part of a review.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ReviewSection {
    /// Its name in files.
    pub key: &'static str,
    /// Its heading.
    pub title: &'static str,
    /// The lines.
    pub lines: Vec<ReviewLine>,
    /// What it says where there are none.
    pub none: String,
    /// The command that shows more.
    pub more: String,
}

/// What the sections are made from.
pub(crate) struct ReviewDesk<'a> {
    pub house: &'a OpenHouse<'a>,
    pub span: Span,
    pub on: Day,
    /// The moment for which clocks stand: now, or the end of the month.
    pub at: Instant,
    pub found: Vec<Finding>,
    pub people: &'a [ReviewPerson],
    pub histories: &'a HashMap<RecordId, History>,
}

/// The day of the charter; nothing where its moment cannot be read.
pub(crate) fn began(house: &OpenHouse<'_>) -> Result<Option<Day>, AnswerError> {
    let charter = house.snapshot.entry(1)?.written_at;
    let zone = house.names.zone;
    Ok(parse_instant(&charter).ok().map(|at| {
        // A charter whose clock was ahead is no reason to refuse a month: what was written next
        // under a trustworthy one is not earlier.
        let bounds = house.clocks.bounds(1, at.to_utc());
        zone.local_day(bounds.latest.unwrap_or(at.to_utc()).min(at.to_utc()))
    }))
}

/// A section.
pub(crate) fn section(
    key: &'static str,
    title: &'static str,
    none: impl Into<String>,
    more: impl Into<String>,
    lines: Vec<ReviewLine>,
) -> ReviewSection {
    ReviewSection {
        key,
        title,
        lines,
        none: none.into(),
        more: more.into(),
    }
}
