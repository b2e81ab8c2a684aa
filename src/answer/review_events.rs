//! The section of a review that tells of events.

use super::error::AnswerError;
use super::event_cause::causes_words;
use super::happened::{Happened, all_happened};
use super::notification::open_duties;
use super::review_desk::{ReviewDesk, ReviewLine, ReviewSection, section};
use crate::notification::{Applies, Progress};

/// Events that are open or were of the month, with their plans and notices.
pub(super) fn events(desk: &ReviewDesk<'_>) -> Result<ReviewSection, AnswerError> {
    let mut lines = Vec::new();
    for it in all_happened(desk.snapshot, desk.house)? {
        let day = it.day();
        let closed = it.end.as_ref().map(|end| end.body.on);
        let open = closed.is_none_or(|on| on > desk.on) && day <= desk.on;
        let here = desk.span.contains(day) || closed.is_some_and(|on| desk.span.contains(on));
        if !open && !here {
            continue;
        }
        let rule_set = desk.house.judging(day)?;
        let kind = it
            .kind(rule_set)
            .map_or_else(|| it.body.kind.clone(), |it| it.name);
        let cause = causes_words(desk.house, &it);
        let cause = cause.unwrap_or_else(|| "no cause said yet".to_owned());
        let state = match closed {
            Some(on) => format!("closed {on}"),
            None => "open".to_owned(),
        };
        let mut line = ReviewLine::plain(
            it.body.name.clone(),
            format!("{kind}, {}, {state}; cause: {cause}", it.day_words()),
        );
        if open {
            line.mark = "ACT";
        }
        line.entries = vec![it.entry];
        lines.push(line);
        for plan in it.open_plans().filter(|_| open) {
            let due = plan.body.due_on;
            let by = due.map_or_else(String::new, |on| format!(" by {on}"));
            let what = format!("to be done{by}: {} ({})", plan.body.words, plan.body.by);
            let mut line = ReviewLine::plain(it.body.name.clone(), what);
            line.mark = if due.is_some_and(|on| on < desk.on) {
                "ACT"
            } else {
                "watch"
            };
            line.entries = vec![plan.entry];
            lines.push(line);
        }
        if open {
            lines.extend(notifications(desk, &it)?);
        }
    }
    Ok(section(
        "events",
        "Events",
        "No event is open, and none happened.",
        "wearbook event list",
        lines,
    ))
}

/// The notices of an event that nobody has given. The moment by which is said and not what is
/// left of it, so that the lines change with the records alone.
fn notifications(desk: &ReviewDesk<'_>, it: &Happened) -> Result<Vec<ReviewLine>, AnswerError> {
    let mut lines = Vec::new();
    for duty in open_duties(desk.snapshot, desk.house, it, desk.at)? {
        let may = match duty.applies {
            Applies::May => ", may apply",
            _ => "",
        };
        let by = match (duty.deadline, duty.latest) {
            (Some(at), true) => format!(" by {at} at the latest"),
            (Some(at), false) => format!(" by {at}"),
            (None, _) => String::new(),
        };
        let what = format!("to be told{by}{may}: {}", duty.what);
        let mut line = ReviewLine::plain(it.body.name.clone(), what);
        line.mark = match duty.state {
            Progress::Overdue => "ACT",
            _ => "watch",
        };
        line.rule = duty.citation;
        line.entries = vec![it.entry];
        lines.push(line);
    }
    Ok(lines)
}
