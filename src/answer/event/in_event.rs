//! Who had a part in an event in which somebody can have been exposed, and what stops them for
//! it: `board`, `work_status`, `dose show` and `findings` all ask here.

use std::borrow::Cow;
use std::collections::HashMap;

use super::happened::{Happened, all_happened};
use super::notification_facts::{facts, parts};
use super::person::{end_of, moment};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{AllParts, House, OpenHouse};
use crate::calendar::{Day, Instant, Span};
use crate::dose::input::{History, Shift};
use crate::dose::shift::shown;
use crate::dose::work_status::{
    InEvent, OverShiftLevel, Settling, beside_question, dose_stops, stops,
};
use crate::notification::{Known, fact};
use crate::quantity::Dose;
use crate::record::{InstrumentType, RecordId};
use crate::rule::{EXPOSURE_POSSIBLE, Finding, LENS_EXTREMITY, LevelWindow, RuleSet};

/// Everybody's part in the events up to a day.
pub(crate) struct InEvents {
    parts: AllParts,
    questions: Vec<Question>,
}

/// The question about lens and extremities of one event.
struct Question {
    event: String,
    entry: i64,
    on: Day,
    said_yes: bool,
}

/// The answer that holds at a moment.
fn answered(it: &Happened, question: &str, at: Instant) -> Option<bool> {
    let given = it.answers.iter().filter(|it| it.body.question == question);
    let mut by_now = given.filter(|it| moment(&it.body.at, at) <= at);
    by_now.next_back().map(|it| it.body.answer)
}

impl InEvents {
    /// The events that had occurred by a day, by what was answered up to its end.
    pub fn load(house: &OpenHouse<'_>, on: Day) -> Result<InEvents, AnswerError> {
        let mut all = InEvents {
            parts: HashMap::new(),
            questions: Vec::new(),
        };
        let at = end_of(house, on);
        for it in all_happened(house)? {
            if it.day() > on {
                continue;
            }
            let rule_set = house.judging(it.day())?;
            let mut known = facts(house, &it, &[], at)?;
            let exposure = fact(rule_set, &known, EXPOSURE_POSSIBLE);
            let no = exposure.filter(|it| it.known == Known::No);
            // Where a source was out, what somebody answered about the event as a whole is no
            // determination of a dose; where nothing says that it was, the answer is enough.
            known.answers.clear();
            let unanswered = fact(rule_set, &known, EXPOSURE_POSSIBLE);
            if no.is_some() && unanswered.is_some_and(|it| it.known != Known::Yes) {
                continue;
            }
            let answer = answered(&it, LENS_EXTREMITY, at);
            if no.is_none() && answer != Some(false) {
                all.questions.push(Question {
                    event: it.body.name.clone(),
                    entry: it.entry,
                    on: it.day(),
                    said_yes: answer == Some(true),
                });
            }
            for part in parts(house, &it)? {
                let Some(worker) = part.worker else {
                    continue;
                };
                all.parts.entry(worker).or_default().push(InEvent {
                    event: it.body.name.clone(),
                    entry: it.entry,
                    unworn: part.without(),
                    near: part.near(),
                    days: part.days,
                });
            }
        }
        Ok(all)
    }

    /// The parts alone.
    pub fn into_parts(self) -> AllParts {
        self.parts
    }

    /// One person's parts.
    pub fn of(&self, worker: RecordId) -> &[InEvent] {
        self.parts.get(&worker).map_or(&[], Vec::as_slice)
    }

    /// The days of which one person's records must be known besides some others.
    pub fn reach(&self, worker: RecordId, span: Span) -> Span {
        let days = self.of(worker).iter().flat_map(|it| it.days.iter());
        days.fold(span, |span, day| Span {
            // A shift of the night before may run into it.
            first: span.first.min(day.pred_opt().unwrap_or(*day)),
            last: span.last.max(*day),
        })
    }
}

/// What stops one person on a day until a dose is known: off-scale, above the shift level, an
/// event, a badge that is gone.
pub(crate) fn stops_of(
    house: &OpenHouse<'_>,
    rule_set: &RuleSet,
    (worker, needed): (RecordId, Span),
    on: Day,
) -> Result<Vec<Finding>, AnswerError> {
    let events = InEvents::load(house, on)?;
    let history = house.history(worker, events.reach(worker, needed))?;
    let over = over_shift_level(house, rule_set, &history)?;
    let found = dose_stops(&history, (events.of(worker), &over), rule_set, on)?;
    Ok(found.into_iter().map(|it| it.finding).collect())
}

/// Whom one event keeps in, by id: nobody knows a dose of it.
///
/// # Errors
/// A ledger that fails.
pub fn kept_in(
    house: &OpenHouse<'_>,
    event: &str,
    now: Instant,
) -> Result<Vec<String>, AnswerError> {
    let on = house.today(now);
    let events = InEvents::load(house, on)?;
    let mut kept = Vec::new();
    for facts in house.workers() {
        let mut mine = events.of(facts.record).iter();
        let Some(mine) = mine.find(|it| it.event == event) else {
            continue;
        };
        let of_day = Span {
            first: on,
            last: on,
        };
        let needed = events.reach(facts.record, of_day);
        let history = house.history(facts.record, needed)?;
        if !Settling::of(&history)?.open_in(mine).is_empty() {
            kept.push(facts.id.clone());
        }
    }
    Ok(kept)
}

/// The same of everybody at the end of a span, and the questions about lens and extremities in its
/// events.
pub(crate) fn stops_of_all(
    house: &OpenHouse<'_>,
    (span, on): (Span, Day),
    histories: Option<&HashMap<RecordId, History>>,
) -> Result<Vec<Finding>, AnswerError> {
    let on = on.min(span.last);
    let rule_set = house.rule_set_on(on)?;
    let events = InEvents::load(house, on)?;
    let mut found = Vec::new();
    let mut beside: HashMap<&str, Vec<String>> = HashMap::new();
    for facts in house.workers() {
        let mine = events.of(facts.record);
        if mine.is_empty() && !house.names.monitored(facts.record, on) {
            continue;
        }
        let loaded = histories.and_then(|it| it.get(&facts.record));
        let history = match loaded.filter(|_| mine.is_empty()) {
            Some(history) => Cow::Borrowed(history),
            None => {
                let needed = house.span_needed(rule_set, facts, span, on);
                let needed = events.reach(facts.record, needed);
                Cow::Owned(house.history(facts.record, needed)?)
            }
        };
        let stopped = stops(&history, mine, rule_set, on)?;
        found.extend(stopped.into_iter().map(|it| it.finding));
        let settling = Settling::of(&history)?;
        for it in mine.iter().filter(|it| it.near.is_empty()) {
            if settling.open_in(it).is_empty() && !settling.knows_lens_and_extremities(it) {
                beside.entry(&it.event).or_default().push(facts.id.clone());
            }
        }
    }
    for it in events.questions.iter().filter(|it| span.contains(it.on)) {
        let people = beside.get(it.event.as_str()).map_or(&[][..], Vec::as_slice);
        let event = (it.event.as_str(), it.entry);
        found.extend(beside_question(rule_set, event, people, it.said_yes));
    }
    Ok(found)
}

/// Shifts on which an electronic dosimeter showed more than the level of one
/// shift.
pub(crate) fn over_shift_level(
    house: &House,
    rule_set: &RuleSet,
    history: &History,
) -> Result<Vec<OverShiftLevel>, AnswerError> {
    let level = rule_set
        .levels
        .iter()
        .find(|it| it.window == LevelWindow::Shift);
    let Some(level) = level else {
        return Ok(Vec::new());
    };
    let mut found = Vec::new();
    for shift in &history.shifts {
        let dose = electronic_dose(house, shift)?;
        if level.is_reached_by(dose) {
            let words = format!(
                "an electronic dosimeter showed {}",
                dose.display(house.unit())
            );
            found.push(OverShiftLevel {
                sheet: shift.sheet,
                words,
            });
        }
    }
    Ok(found)
}

fn electronic_dose(house: &House, shift: &Shift) -> Result<Dose, AnswerError> {
    let electronic = shift.readings.iter().filter(|it| {
        let body = it
            .record
            .and_then(|record| house.names.instrument_body(record));
        body.is_some_and(|body| body.kind == InstrumentType::Electronic)
    });
    let mut dose = Dose::ZERO;
    for reading in electronic {
        dose = dose.checked_add(shown(reading)?.unwrap_or(Dose::ZERO))?;
    }
    Ok(dose)
}
