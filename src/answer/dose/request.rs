//! Requests to other employers for the record of a dose: which are open, and what came of the
//! others (10 CFR 20.2104(c)).

use crate::answer::context::error::AnswerError;
use crate::answer::context::here::plain;
use crate::answer::context::view::cited;
use crate::answer::review::desk::{ReviewDesk, ReviewLine, ReviewSection, section};
use crate::calendar::{Day, Span};
use crate::ledger::Stored;
use crate::record::{DoseRequest, PriorDose};

/// The key of the rule that has the dose asked for.
const REQUEST: &str = "prior-dose-request";

/// What came of a request.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Came {
    /// Doses for all of its days, by the entries.
    All(Vec<i64>),
    /// An answer without a dose.
    Answer(Day, String),
    /// Nothing for some of its days, of which this is the first.
    Lacks(Day, Vec<i64>),
}

/// What came of a request up to a day: doses of the same person and employer that were written
/// down after it, amended or not. One that was on record before is why somebody asked.
fn came(asked: &Stored<DoseRequest>, doses: &[Stored<PriorDose>], on: Day) -> Came {
    let it = &asked.body;
    let employer = plain(&it.employer);
    let (first, last) = (it.first_day, it.last_day);
    let period = Span { first, last };
    let mut found: Vec<(Span, i64)> = doses
        .iter()
        .filter(|one| one.record > asked.record && one.body.worker == it.worker)
        .filter(|one| plain(&one.body.employer) == employer)
        .filter_map(|one| {
            let (first, last) = (one.body.first_day, one.body.last_day);
            Some((period.common(&Span { first, last })?, one.entry))
        })
        .collect();
    found.sort_by_key(|(span, entry)| (span.first, *entry));
    let mut next = Some(first);
    for (span, _) in &found {
        match next {
            Some(day) if span.first <= day && span.last >= day => next = span.last.succ_opt(),
            _ => {}
        }
    }
    let entries = found.into_iter().map(|it| it.1).collect();
    match (next.filter(|day| *day <= last), it.answered_on, &it.answer) {
        (None, _, _) => Came::All(entries),
        (Some(_), Some(day), Some(words)) if day <= on => Came::Answer(day, words.clone()),
        (Some(day), _, _) => Came::Lacks(day, entries),
    }
}

/// The section of a month's review about requests: those that are open, and those that were sent
/// in the month; none where there are no such.
pub(crate) fn requests(desk: &ReviewDesk<'_>) -> Result<Option<ReviewSection>, AnswerError> {
    let doses = desk.house.snapshot.all::<PriorDose>()?;
    let mut asked = desk.house.snapshot.all::<DoseRequest>()?;
    asked.retain(|it| it.body.on <= desk.on);
    asked.sort_by_key(|it| (it.body.on, it.entry));
    let rule = cited(desk.house.rule_set_on(desk.on)?, REQUEST).unwrap_or_default();
    let mut lines = Vec::new();
    for request in &asked {
        let it = &request.body;
        let (employer, sent) = (&it.employer, it.on);
        let of = format!(
            "dose of {} to {} asked of {employer} on {sent}",
            it.first_day, it.last_day
        );
        let sent_now = desk.span.contains(sent);
        let (mark, words, mut entries) = match came(request, &doses, desk.on) {
            Came::Lacks(day, entries) => {
                let lacks = match entries.is_empty() {
                    true => "no answer yet".to_owned(),
                    false => format!("answered in part, nothing from {day} on"),
                };
                ("watch", format!("{of}: {lacks}"), entries)
            }
            Came::All(entries) if sent_now => ("", format!("{of}: its dose is on record"), entries),
            Came::Answer(day, answer) if sent_now => {
                ("", format!("{of}: answered on {day}, {answer}"), Vec::new())
            }
            Came::All(_) | Came::Answer(..) => continue,
        };
        entries.insert(0, request.entry);
        lines.push(ReviewLine {
            mark,
            rule: rule.clone(),
            entries,
            ..ReviewLine::plain(desk.house.names.label(it.worker.number()), words)
        });
    }
    let title = "Requests of prior dose";
    let more = "wearbook dose show ID --why";
    let found = section("dose-requests", title, "", more, lines);
    Ok((!found.lines.is_empty()).then_some(found))
}
