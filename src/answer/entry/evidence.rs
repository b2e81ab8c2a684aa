//! Photos and papers: what there is, what each goes with, and whether it is still kept.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::context::sought::{NoSuchName, Sought};
use crate::answer::event::happened::{Happened, happened};
use crate::calendar::Day;
use crate::ledger::{EvidenceState, Stored};
use crate::record::{Body, Evidence, EvidenceErasure, Kind, RecordId, Words};

/// That something was erased.
#[derive(Debug, Clone, Serialize)]
pub struct ErasedLine {
    /// The day.
    pub on: Day,
    /// Who.
    pub by: String,
    /// Why.
    pub reason: String,
    /// The entry that says so.
    pub entry: i64,
}

/// One photo or paper.
#[derive(Debug, Clone, Serialize)]
pub struct EvidenceLine {
    /// The entry.
    pub entry: i64,
    /// What it shows.
    pub words: String,
    /// What it goes with.
    pub about: String,
    /// The newest entry of that.
    pub about_entry: i64,
    /// JPEG, PNG or PDF.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// Of a picture: pixels across.
    pub width: Option<i64>,
    /// And down.
    pub height: Option<i64>,
    /// How many bytes are kept.
    pub bytes: i64,
    /// Whether it is kept as it was sent, with all that a camera wrote into it.
    pub original: bool,
    /// SHA-256 of what is kept.
    pub digest: String,
    /// SHA-256 of what was sent.
    pub sent: String,
    /// How many bytes were sent.
    pub sent_bytes: i64,
    /// When it was written.
    pub written_at: String,
    /// The name that was claimed.
    pub written_by: String,
    /// `kept`, `erased`, `not carried` or `missing`.
    pub state: &'static str,
    /// Who erased it and why.
    pub erased: Option<ErasedLine>,
    /// Its own record.
    #[serde(skip)]
    pub record: RecordId,
}

impl EvidenceLine {
    /// Whether its content is there.
    pub fn is_kept(&self) -> bool {
        self.state == KEPT
    }
}

const KEPT: &str = "kept";

/// Every photo and paper, or those that go with something.
#[derive(Debug, Clone, Serialize)]
pub struct EvidenceAnswer {
    /// What they go with, where that was asked.
    pub about: Option<String>,
    /// Each, in the order of writing.
    pub lines: Vec<EvidenceLine>,
}

/// Every photo and paper of a ledger that is in force.
pub(crate) struct EvidenceDesk {
    all: Vec<Stored<Evidence>>,
    erased: BTreeMap<String, Stored<EvidenceErasure>>,
}

impl EvidenceDesk {
    pub fn load(house: &OpenHouse<'_>) -> Result<EvidenceDesk, AnswerError> {
        let erased = house.snapshot.all::<EvidenceErasure>()?.into_iter();
        Ok(EvidenceDesk {
            all: house.snapshot.all::<Evidence>()?,
            erased: erased.map(|it| (it.body.digest.clone(), it)).collect(),
        })
    }

    pub fn all(&self) -> impl Iterator<Item = &Stored<Evidence>> {
        self.all.iter()
    }

    /// The erasure of a digest.
    pub fn erased(&self, digest: &str) -> Option<&Stored<EvidenceErasure>> {
        self.erased.get(digest)
    }

    pub fn line(
        &self,
        house: &OpenHouse<'_>,
        it: &Stored<Evidence>,
    ) -> Result<EvidenceLine, AnswerError> {
        let (about, about_entry) = record_words(house, it.body.about.number())?;
        let erased = self.erased(&it.body.digest).map(|one| ErasedLine {
            on: one.body.on,
            by: house.names.label(one.body.by.number()),
            reason: one.body.reason.clone(),
            entry: one.entry,
        });
        let state = match house.snapshot.evidence_state(&it.body.digest)? {
            _ if erased.is_some() => "erased",
            EvidenceState::Kept => KEPT,
            EvidenceState::NotCarried => "not carried",
            // Erased after the moment that is asked for: it is gone from that moment too.
            EvidenceState::Erased => "erased",
            EvidenceState::Missing => "missing",
        };
        let body = &it.body;
        Ok(EvidenceLine {
            entry: it.entry,
            words: body.words.clone(),
            about,
            about_entry,
            kind: body.kind.word(),
            width: body.width,
            height: body.height,
            bytes: body.bytes,
            original: body.original,
            digest: body.digest.clone(),
            sent: body.sent.clone(),
            sent_bytes: body.sent_bytes,
            written_at: it.first_written_at.clone(),
            written_by: house.snapshot.entry(it.record)?.written_by,
            state,
            erased,
            record: it.record,
        })
    }

    /// Those that go with some record of these, or with a record that points to one.
    fn of(
        &self,
        house: &OpenHouse<'_>,
        records: &BTreeSet<RecordId>,
    ) -> Result<Vec<EvidenceLine>, AnswerError> {
        let mut lines = Vec::new();
        for it in &self.all {
            let about = it.body.about.number();
            if records.contains(&about) || points_to(house, about, records)? {
                lines.push(self.line(house, it)?);
            }
        }
        Ok(lines)
    }
}

/// Whether what a record says in its newest entry points to one of these.
fn points_to(
    house: &OpenHouse<'_>,
    record: RecordId,
    records: &BTreeSet<RecordId>,
) -> Result<bool, AnswerError> {
    let body = house.snapshot.body(house.snapshot.newest(record)?)?;
    let pointers = body.map(|it| it.references()).unwrap_or_default();
    Ok(pointers.iter().any(|it| records.contains(&it.record)))
}

/// A record in words, with its newest entry: `inspection of CU-2 on 2026-05-01`.
fn record_words(house: &OpenHouse<'_>, record: RecordId) -> Result<(String, i64), AnswerError> {
    let (names, entry) = (&house.names, house.snapshot.newest(record)?);
    let stored = house.snapshot.entry(entry)?;
    let kind = names
        .type_word(record)
        .unwrap_or_else(|| stored.kind_word());
    if let Some(name) = names.known_label(record) {
        return Ok((format!("{kind} {name}"), entry));
    }
    let Some(body) = house.snapshot.body(entry)? else {
        return Ok((format!("{kind} that is void"), entry));
    };
    let name = match &body {
        Body::Badge(it) => format!(" {}", it.badge),
        Body::BadgeResult(it) => format!(" in report {}", it.report),
        Body::Sheet(it) => match &it.reference {
            Some(reference) => format!(" {reference} of {}", it.day),
            None => format!(" of {}", it.day),
        },
        Body::Determination(it) => format!(" for {} of {}", names.label(it.worker.number()), it.on),
        other => {
            let pointers = other.references();
            let mut of = pointers
                .iter()
                .filter_map(|it| names.known_label(it.record));
            let of = of.next().map(|it| format!(" of {it}")).unwrap_or_default();
            let on = about_day(other).map(|it| format!(" on {it}"));
            format!("{of}{}", on.unwrap_or_default())
        }
    };
    Ok((format!("{kind}{name}"), entry))
}

/// The day of a record that photos and papers go with.
fn about_day(body: &Body) -> Option<String> {
    let day = match body {
        Body::Inspection(it) => it.on,
        Body::Check(it) => it.on,
        Body::LeakTest(it) => it.on,
        Body::Servicing(it) => it.on,
        Body::Inventory(it) => it.on,
        Body::SourceCheck(it) => it.on,
        Body::Withdrawal(it) => it.on,
        Body::ServiceReturn(it) => it.on,
        Body::Loading(it) => it.on,
        Body::Qualification(it) => it.on,
        Body::InstalledPart(it) => it.installed_on,
        Body::ShiftStart(it) => it.day,
        Body::EventNote(it) => return it.at.get(..10).map(str::to_owned),
        Body::EventHappening(it) => return it.at.get(..10).map(str::to_owned),
        Body::DutyDone(it) => return it.at.get(..10).map(str::to_owned),
        _ => return None,
    };
    Some(day.to_string())
}

/// The record that somebody means: an entry by its number, an event, an item or a sheet by name.
///
/// # Errors
/// What leads nowhere.
pub fn documented(house: &OpenHouse<'_>, name: &str) -> Result<RecordId, AnswerError> {
    let (names, name) = (&house.names, name.trim());
    if let Ok(entry) = name.parse() {
        return Ok(house.snapshot.entry(entry)?.record);
    }
    let sheet = house.snapshot.find(Kind::Sheet, name)?;
    let item = names.find_item(name).map(|it| it.number());
    let found = names
        .find_event(name)
        .map(|it| it.number())
        .or(item)
        .or(sheet);
    found.ok_or_else(|| {
        let mut near = names.near_events(name);
        near.extend(names.near_items(name));
        NoSuchName {
            what: Sought::Documented,
            name: name.to_owned(),
            near,
        }
        .into()
    })
}

/// Every photo and paper, or those that go with something and with what is written about it.
///
/// # Errors
/// What leads nowhere.
pub fn evidence(house: &OpenHouse<'_>, about: Option<&str>) -> Result<EvidenceAnswer, AnswerError> {
    let desk = EvidenceDesk::load(house)?;
    let Some(name) = about else {
        let lines = desk.all.iter().map(|it| desk.line(house, it));
        return Ok(EvidenceAnswer {
            about: None,
            lines: lines.collect::<Result<_, _>>()?,
        });
    };
    let record = documented(house, name)?;
    let lines = match names_event(house, record) {
        Some(event) => {
            let event = happened(house, &event)?;
            evidence_of_event(house, &event)?
        }
        None => desk.of(house, &BTreeSet::from([record]))?,
    };
    Ok(EvidenceAnswer {
        about: Some(record_words(house, record)?.0),
        lines,
    })
}

fn names_event(house: &OpenHouse<'_>, record: RecordId) -> Option<String> {
    house.names.event_name(record).map(str::to_owned)
}

/// What goes with an event, with what was written about it, and with the records that belong to it.
pub(crate) fn evidence_of_event(
    house: &OpenHouse<'_>,
    event: &Happened,
) -> Result<Vec<EvidenceLine>, AnswerError> {
    let desk = EvidenceDesk::load(house)?;
    if desk.all.is_empty() {
        return Ok(Vec::new());
    }
    let linked: BTreeSet<RecordId> = event
        .links
        .iter()
        .map(|it| it.body.record.number())
        .collect();
    let mut lines = desk.of(house, &BTreeSet::from([event.record]))?;
    for it in &desk.all {
        if linked.contains(&it.body.about.number()) {
            lines.push(desk.line(house, it)?);
        }
    }
    lines.sort_by_key(|it| it.entry);
    lines.dedup_by_key(|it| it.entry);
    Ok(lines)
}

/// The same with what goes with some other entries.
pub(crate) fn evidence_of_event_and(
    house: &OpenHouse<'_>,
    event: &Happened,
    entries: impl Iterator<Item = i64>,
) -> Result<Vec<EvidenceLine>, AnswerError> {
    let mut lines = evidence_of_event(house, event)?;
    let desk = EvidenceDesk::load(house)?;
    if desk.all.is_empty() {
        return Ok(lines);
    }
    let mut records = BTreeSet::new();
    for entry in entries {
        records.insert(house.snapshot.entry(entry)?.record);
    }
    for it in &desk.all {
        if records.contains(&it.body.about.number()) {
            lines.push(desk.line(house, it)?);
        }
    }
    lines.sort_by_key(|it| it.entry);
    lines.dedup_by_key(|it| it.entry);
    Ok(lines)
}
