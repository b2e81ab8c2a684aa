//! Who hears of which alerts: what the role brings, and what a record adds to it.

use serde::Serialize;

use super::alert::{Alert, AlertType};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::calendar::Day;
use crate::record::{AlertReader, AlertScope, RecordId, Role, Words};

/// A record in force that somebody is alerted of something.
#[derive(Debug, Clone, Serialize)]
pub struct AlertReaderLine {
    /// The worker's id.
    pub worker: String,
    /// Of what, in one word.
    pub of: &'static str,
    /// The first day.
    pub from: Day,
    /// The last day; none while nobody knows one.
    pub until: Option<Day>,
    /// The entry that says it.
    pub entry: i64,
    #[serde(skip)]
    scope: AlertScope,
    #[serde(skip)]
    record: RecordId,
}

impl AlertReaderLine {
    /// It in words, without whom.
    pub fn words(&self) -> String {
        let until = match self.until {
            Some(day) => format!(" to {day}"),
            None => String::new(),
        };
        let of = match self.scope {
            AlertScope::Everything => "everything, as soon as it is so",
            AlertScope::Oneself => "what is about oneself",
            AlertScope::Deadlines => "clocks and deadlines",
            AlertScope::Equipment => "sets, equipment, instruments and badges",
        };
        format!("{of}, from {}{until} (entry {})", self.from, self.entry)
    }
}

/// The records in force on a day, by worker.
///
/// # Errors
/// They cannot be read.
pub(super) fn readers_on(
    house: &OpenHouse<'_>,
    on: Day,
) -> Result<Vec<AlertReaderLine>, AnswerError> {
    let all = house.snapshot.all::<AlertReader>()?.into_iter();
    let stands = |it: &AlertReader| it.from <= on && it.until.is_none_or(|last| on <= last);
    let mut lines: Vec<AlertReaderLine> = all
        .filter(|it| stands(&it.body))
        .map(|it| AlertReaderLine {
            worker: house.names.label(it.body.worker.number()),
            of: it.body.of.word(),
            from: it.body.from,
            until: it.body.until,
            entry: it.entry,
            scope: it.body.of,
            record: it.body.worker.number(),
        })
        .collect();
    lines.sort_by(|a, b| (&a.worker, a.from, a.entry).cmp(&(&b.worker, b.from, b.entry)));
    Ok(lines)
}

/// Somebody who is alerted.
pub(super) struct Hearing {
    /// The worker's record.
    pub record: RecordId,
    /// The worker's id.
    pub id: String,
    /// The role of the day.
    pub role: Option<Role>,
    /// The records in force for this worker.
    pub lines: Vec<AlertReaderLine>,
}

impl Hearing {
    /// A reader on a day.
    ///
    /// # Errors
    /// An id of nobody; what it needs cannot be read.
    pub fn of(house: &OpenHouse<'_>, reader: &str, on: Day) -> Result<Hearing, AnswerError> {
        let record = house.names.worker(reader)?.number();
        let mut lines = readers_on(house, on)?;
        lines.retain(|it| it.record == record);
        Ok(Hearing {
            record,
            id: house.names.label(record),
            role: house.names.role_on(record, on),
            lines,
        })
    }

    /// Whether it reaches this reader. `is_left` says whether it has come to the designee: what no
    /// RSO has seen for a day, or anything where there is no RSO.
    ///
    /// A record adds to the role and takes nothing from it: an RSO who hears of equipment alone
    /// would leave the rest to nobody.
    pub fn hears(&self, house: &OpenHouse<'_>, it: &Alert, is_left: bool) -> bool {
        let by_role = match self.role {
            Some(Role::Rso) => true,
            Some(Role::RsoDesignee) => is_left || it.about == self.id,
            _ => it.about == self.id,
        };
        let of_person = || house.names.find_worker(&it.about).is_some();
        let by_record = |scope: AlertScope| match scope {
            AlertScope::Everything => true,
            AlertScope::Oneself => it.about == self.id,
            AlertScope::Deadlines => it.kind == AlertType::Deadline,
            AlertScope::Equipment => match it.kind {
                AlertType::Wear => true,
                AlertType::Stop | AlertType::Due => !of_person(),
                AlertType::Deadline | AlertType::Level | AlertType::Copy => false,
            },
        };
        by_role || self.lines.iter().any(|line| by_record(line.scope))
    }

    /// An alert as this reader may read it. A record lets nobody read the doses of others who may
    /// not read them by role.
    pub fn read(&self, house: &OpenHouse<'_>, mut it: Alert) -> Alert {
        let reads_all = matches!(
            self.role,
            Some(Role::Rso | Role::RsoDesignee | Role::Inspector)
        );
        if !reads_all && it.about != self.id && house.names.find_worker(&it.about).is_some() {
            it.what.clone_from(&it.open);
        }
        it
    }

    /// Of what the reader hears, and by what, in a sentence.
    pub fn words(&self, has_rso: bool) -> String {
        let (role, of) = match self.role {
            Some(Role::Rso) => ("rso", "everything"),
            Some(Role::RsoDesignee) if has_rso => (
                "rso designee",
                "oneself, and of STOPs and clocks that no RSO has seen for a day",
            ),
            Some(Role::RsoDesignee) => ("rso designee", "everything, for there is no RSO"),
            Some(role) => (role.word(), "what is about oneself"),
            None => ("none on record", "what is about oneself"),
        };
        let added: Vec<String> = self.lines.iter().map(AlertReaderLine::words).collect();
        let added = match added.is_empty() {
            true => "no record adds to it".to_owned(),
            false => format!("by record besides: {}", added.join("; ")),
        };
        format!("{} hears by role ({role}) of {of}; {added}", self.id)
    }
}

/// What roles bring, for whoever asks as nobody in particular.
pub(super) const BY_ROLE: &str = "By role the RSO hears of everything, a designee of oneself \
     and of STOPs and clocks that no RSO has seen for a day, anybody else of oneself";
