//! The time line of an event: everything that was written about it, by moment.

use serde::Serialize;

use super::cause::cause_words;
use super::happened::Happened;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::calendar::{Instant, When};
use crate::record::{Body, EventLink, EventNote, RecordId, Words};

/// One line of an event's time line.
#[derive(Debug, Clone, Serialize)]
pub struct EventLine {
    /// When, local time with its offset; a day where there is no hour, or what is known of it.
    pub at: String,
    /// What it tells: note, cause, action, linked, notice, answer, conclusion, end.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// In words.
    pub words: String,
    /// The entry that says it.
    pub entry: i64,
}

impl EventLine {
    fn new(at: &str, kind: &'static str, words: String, entry: i64) -> EventLine {
        EventLine {
            at: at.to_owned(),
            kind,
            words,
            entry,
        }
    }
}

fn linked_words(house: &OpenHouse<'_>, link: &EventLink) -> Result<String, AnswerError> {
    let entry = house.snapshot.newest(link.record.number())?;
    let stored = house.snapshot.entry(entry)?;
    let label = |it: RecordId| house.names.label(it);
    let about = match house.snapshot.body(entry)? {
        Some(Body::Sheet(it)) => {
            let whose = link.worker.map(|it| format!(", {}", label(it.number())));
            let what = link.dosimeter.map(|it| label(it.number()));
            let what = what.map(|it| format!(" with {it}"));
            let (whose, what) = (whose.unwrap_or_default(), what.unwrap_or_default());
            format!("of {}{whose}{what}", it.day)
        }
        Some(Body::Inspection(it)) => format!("of {} on {}", label(it.item.number()), it.on),
        Some(Body::Determination(it)) => format!("of {} for {}", it.on, label(it.worker.number())),
        Some(Body::Badge(it)) => it.badge,
        Some(Body::BadgeResult(it)) => format!("in report {}", it.report),
        Some(Body::Servicing(it)) => format!("of {} on {}", label(it.instrument.number()), it.on),
        Some(Body::InstalledPart(it)) => {
            it.component.clone() + " of " + &label(it.equipment.number())
        }
        _ => "void".to_owned(),
    };
    Ok(format!("{} {about}, entry {entry}", stored.kind_word()))
}

/// Where a line stands: by its earliest moment, first where nothing bounds that, last where
/// nobody knows anything of it.
fn place(it: &Happened, line: &EventLine) -> (bool, Option<Instant>, i64) {
    let when = When::parse(&line.at, it.zone).ok();
    let known = when.is_some_and(|it| it.earliest.is_some() || it.latest.is_some());
    (!known, when.and_then(|it| it.earliest), line.entry)
}

pub(crate) fn lines_of(
    house: &OpenHouse<'_>,
    it: &Happened,
) -> Result<Vec<EventLine>, AnswerError> {
    let mut lines = told(house, it);
    lines.extend(judged(house, it));
    lines.sort_by_cached_key(|line| place(it, line));
    for link in &it.links {
        let words = linked_words(house, &link.body)?;
        lines.push(EventLine::new("", "linked", words, link.entry));
    }
    Ok(lines)
}

/// What happened and what was believed to be its cause, and what was done.
fn told(house: &House, it: &Happened) -> Vec<EventLine> {
    let mut lines = Vec::new();
    let mut add = |at: &str, kind, words, entry| lines.push(EventLine::new(at, kind, words, entry));
    for one in &it.happenings {
        let words = match &one.body.words {
            Some(words) => format!("{}: {words}", one.body.happening),
            None => one.body.happening.clone(),
        };
        add(&one.body.at, "happening", words, one.entry);
    }
    for note in &it.notes {
        add(
            &note.body.at,
            "note",
            note_words(house, &note.body),
            note.entry,
        );
    }
    for cause in &it.causes {
        let words = cause_words(house, it.day(), &cause.body);
        let kind = cause.body.kind.map(|it| format!("{}: ", it.word()));
        let led = cause.body.leads_to.map(|it| format!("; led to {it}"));
        let (kind, led) = (kind.unwrap_or_default(), led.unwrap_or_default());
        let words = format!("{kind}{words} ({}{led})", cause.body.because);
        add(&cause.body.known_at, "cause", words, cause.entry);
    }
    for action in &it.actions {
        let (on, state) = match (action.body.done_on, action.body.due_on) {
            (Some(on), _) => (on, "done"),
            (None, Some(on)) => (on, "to be done by then"),
            (None, None) => (it.day(), "to be done"),
        };
        let words = format!("{} ({state}, {})", action.body.words, action.body.by);
        add(&on.to_string(), "action", words, action.entry);
    }
    lines
}

/// Answers to rules, notices given, conclusions, the end.
fn judged(house: &House, it: &Happened) -> Vec<EventLine> {
    let mut lines = Vec::new();
    let mut add = |at: &str, kind, words, entry| lines.push(EventLine::new(at, kind, words, entry));
    for answer in &it.answers {
        let said = if answer.body.answer { "yes" } else { "no" };
        let words = format!("{}: {said} ({})", answer.body.question, answer.body.reason);
        add(&answer.body.at, "answer", words, answer.entry);
    }
    for done in &it.done {
        let number = done.body.reference.as_deref();
        let number = number.map(|it| format!(", {it}")).unwrap_or_default();
        let (duty, to, by) = (&done.body.duty, &done.body.to, &done.body.by);
        let words = format!("{duty}: {to} notified by {by}{number}");
        add(&done.body.at, "notification", words, done.entry);
    }
    for said in &it.conclusions {
        let said_by = house.names.label(said.body.by.number());
        let equipment = said.body.equipment.map(|it| house.names.label(it.number()));
        let equipment = equipment.map(|it| format!(" of {it}")).unwrap_or_default();
        let words = format!(
            "{}{equipment}: {} ({}; {said_by})",
            said.body.item,
            said.body.coverage.word(),
            said.body.because
        );
        add(&said.body.on.to_string(), "conclusion", words, said.entry);
    }
    if let Some(end) = &it.end {
        let by = house.names.label(end.body.by.number());
        let words = format!("{} ({by})", end.body.words);
        add(&end.body.on.to_string(), "end", words, end.entry);
    }
    lines
}

fn note_words(house: &House, it: &EventNote) -> String {
    let mut words = it.words.clone();
    if let (Some(barrier), Some(state)) = (it.barrier, it.state) {
        words = format!("{} {}: {words}", barrier.word(), state.word());
    }
    if let Some(person) = &it.person {
        words = format!("{words} ({})", house.names.words(person));
    }
    if let Some(disputes) = it.disputes {
        words.push_str(&format!("; speaks against inspection {disputes}"));
    }
    words
}
