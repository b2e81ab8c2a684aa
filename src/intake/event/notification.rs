//! Answers to the questions of rules about an event, and notices that were given.

use super::about_event::{AboutEvent, NewAnswer, NewNotification};
use super::desk::EventDesk;
use crate::answer::{DutyChanges, Happened, Moment, near, notifications_of};
use crate::calendar::{Instant, parse_instant};
use crate::intake::entry::fault::IntakeError;
use crate::notification::{DutyState, Notifications, State};
use crate::record::{Body, DutyAnswer, DutyDone};
use crate::rule::{How, LENS_EXTREMITY};

fn moment(desk: &mut EventDesk<'_>, event: &Happened, field: &str, at: Option<Moment>) -> String {
    match at {
        Some(at) => desk.moment(field, at, event.zone),
        None => desk.present(event.zone),
    }
}

/// What whoever wrote something about an event is told of its duties.
pub(crate) fn told_changes(about: &AboutEvent, changes: &DutyChanges) -> Vec<String> {
    let mut lines = match about {
        // What was told closes clocks and begins the next; the clocks say so themselves.
        AboutEvent::Given(new) => return changes.left_of(&new.duty),
        _ => changes.lines(),
    };
    if let (AboutEvent::Answer(new), true) = (about, lines.is_empty())
        && new.question != LENS_EXTREMITY
    {
        let why = changes.why_nothing(&new.question);
        lines.push(format!("this answer changes no duty: {why}"));
    }
    lines
}

/// A key that stands nowhere: what would be right.
fn no_key(desk: &mut EventDesk<'_>, field: &str, key: &str, what: &str, known: &[String]) {
    let near = near(key, known.iter().map(String::as_str));
    let right = match (near.first(), known.is_empty()) {
        (Some(near), _) => format!("did you mean `{near}`? one of {}", known.join(", ")),
        (None, false) => format!("one of {}", known.join(", ")),
        (None, true) => "the rule set has none for such an event: ask your authority".to_owned(),
    };
    desk.fault(field, key, what, right);
}

/// The questions that the rules ask of an event, and the duties that can turn on a dose that
/// nobody measured.
fn questions(desk: &EventDesk<'_>, event: &Happened) -> Result<Vec<String>, IntakeError> {
    let rule_set = desk.house.duties_at(event.job(desk.house), event.day())?;
    let mut keys: Vec<String> = Vec::new();
    keys.extend(rule_set.facts().iter().map(|it| it.key.clone()));
    for duty in rule_set.notifications() {
        keys.extend(duty.questions.iter().map(|it| it.key.clone()));
        if duty.above_a_limit || !duty.doses.is_empty() {
            keys.push(duty.key.clone());
        }
    }
    keys.push(LENS_EXTREMITY.to_owned());
    let mut once = Vec::new();
    for key in keys {
        if !once.contains(&key) {
            once.push(key);
        }
    }
    Ok(once)
}

/// An answer, where a rule asks such a question of such an event.
pub(crate) fn read_answer(
    desk: &mut EventDesk<'_>,
    event: &Happened,
    new: &NewAnswer,
) -> Result<Body, IntakeError> {
    let known = questions(desk, event)?;
    if !known.contains(&new.question) {
        let what = "is no question that a rule asks about this event";
        no_key(desk, "question", &new.question, what, &known);
    }
    Ok(Body::from(DutyAnswer {
        answer: new.yes,
        at: moment(desk, event, "at", new.at),
        event: event.record.into(),
        question: new.question.clone(),
        reason: new.because.clone(),
    }))
}

/// What was told: of a duty, or of a report with every duty that it serves.
///
/// A report closes the clocks that run and for whose duties the ledger has every content that a
/// letter must have; the others stay open. A duty that is named alone is taken at its word.
pub(crate) fn read_given(
    desk: &mut EventDesk<'_>,
    event: &Happened,
    new: &NewNotification,
) -> Result<Vec<Body>, IntakeError> {
    let found = notifications_of(desk.house, event, desk.now)?;
    let at = moment(desk, event, "at", new.at);
    let mut clocks: Vec<&DutyState> = found.duties.iter().collect();
    clocks.retain(|it| it.duty == new.duty);
    let local = |at: Instant| event.zone.local(at).format("%Y-%m-%dT%H:%M%:z").to_string();
    if clocks.is_empty() && found.duties.iter().any(|it| it.report == new.duty) {
        let served = served(desk, &found, new, &at);
        return Ok(served
            .into_iter()
            .filter_map(|it| Some(done(event, new, &at, &it.duty, local(it.start?))))
            .collect());
    }
    if clocks.is_empty() {
        let mut known: Vec<String> = Vec::new();
        for it in &found.duties {
            known.extend([it.report.clone(), it.duty.clone()]);
        }
        known.sort_unstable();
        known.dedup();
        let what = "is no report and no duty of the rule set";
        no_key(desk, "duty", &new.duty, what, &known);
    }
    let from = match new.from {
        Some(from) => asked_for(desk, event, from, &clocks, local),
        None => oldest(desk, new, &clocks).map(local).unwrap_or_default(),
    };
    if let (Ok(start), Ok(given)) = (parse_instant(&from), parse_instant(&at))
        && given < start
    {
        let what = format!("is before its clock started, {from}");
        let right = "when it was given, for a clock that had started then: --from names another";
        desk.fault("at", &at, what, right);
    }
    Ok(vec![done(event, new, &at, &new.duty, from)])
}

fn done(event: &Happened, new: &NewNotification, at: &str, duty: &str, from: String) -> Body {
    Body::from(DutyDone {
        at: at.to_owned(),
        by: new.by.clone(),
        duty: duty.to_owned(),
        event: event.record.into(),
        from,
        reference: new.reference.clone(),
        to: new.to.clone(),
    })
}

/// The clocks that one report closes.
fn served<'f>(
    desk: &mut EventDesk<'_>,
    found: &'f Notifications,
    new: &NewNotification,
    at: &str,
) -> Vec<&'f DutyState> {
    let given = parse_instant(at).ok();
    let runs = |it: &&DutyState| {
        let started = it.start.zip(given).is_some_and(|(start, at)| start <= at);
        it.report == new.duty && it.is_open() && started
    };
    let open: Vec<&DutyState> = found.duties.iter().filter(runs).collect();
    let whole = |it: &&DutyState| it.how == How::Telephone || it.missing().next().is_none();
    let fit: Vec<&DutyState> = open.iter().copied().filter(whole).collect();
    if fit.is_empty() {
        let lacking = open.first().map(|it| {
            let missing: Vec<&str> = it.missing().map(|it| it.text.as_str()).collect();
            format!("`{}` still wants: {}", it.duty, missing.join("; "))
        });
        let (what, right) = match lacking {
            Some(missing) => (
                "would close no clock: the ledger lacks contents of each",
                format!("{missing}; or name the duty whose letter went out all the same"),
            ),
            None => (
                "has no clock that runs",
                "a report that is due: wearbook report show".to_owned(),
            ),
        };
        desk.fault("duty", &new.duty, what, right);
    }
    fit
}

/// The clock that was named, which must be one.
fn asked_for(
    desk: &mut EventDesk<'_>,
    event: &Happened,
    from: Moment,
    clocks: &[&DutyState],
    local: impl Fn(Instant) -> String,
) -> String {
    let text = desk.moment("from", from, event.zone);
    let read = parse_instant(&text).map(|it| it.to_utc()).ok();
    let starts: Vec<Instant> = clocks.iter().filter_map(|it| it.start).collect();
    if !clocks.is_empty() && !read.is_some_and(|it| starts.contains(&it)) {
        let starts: Vec<String> = starts.into_iter().map(local).collect();
        let right = match starts.as_slice() {
            [] => "its clock has not started".to_owned(),
            starts => format!("one of {}", starts.join(", ")),
        };
        desk.fault("from", &text, "is no start of a clock of this duty", right);
    }
    text
}

/// The start of the oldest clock that is open, else of one that somebody answered does not apply:
/// what was told all the same is kept. Of what never arose nothing can have been told.
fn oldest(
    desk: &mut EventDesk<'_>,
    new: &NewNotification,
    clocks: &[&DutyState],
) -> Option<Instant> {
    let arose = |it: &&&DutyState| match it.state {
        State::Done(_) => false,
        State::NotApplicable => it.not_since.is_some(),
        _ => true,
    };
    let not_done = clocks.iter().filter(arose);
    let start = not_done.filter_map(|it| it.start).min();
    if start.is_none() && !clocks.is_empty() {
        let done = clocks.iter().any(|it| matches!(it.state, State::Done(_)));
        let (what, right) = match (done, clocks.first()) {
            (true, _) => (
                "is done already".to_owned(),
                "nothing more; a slip in the entry is corrected with `wearbook entry correct`"
                    .into(),
            ),
            (false, Some(it)) if it.state == State::NotApplicable => (
                format!("does not apply: {}", it.because.join("; ")),
                "what happened, if it did: wearbook event happening".to_owned(),
            ),
            (false, Some(it)) if !it.start_words.is_empty() => (
                format!("cannot be done yet: {}", it.start_words),
                "write down first what starts its clock".to_owned(),
            ),
            (false, _) => (
                "has no clock that can be given".to_owned(),
                "one that has: wearbook report show".to_owned(),
            ),
        };
        desk.fault("duty", &new.duty, what, right);
    }
    start
}
