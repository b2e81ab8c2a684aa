//! The section of a review that tells of events.

use super::desk::{ReviewDesk, ReviewLine, ReviewSection, section};
use crate::answer::context::error::AnswerError;
use crate::answer::event::cause::causes_words;
use crate::answer::event::happened::all_happened;
use crate::answer::event::notification::open_duties;
use crate::answer::event::notification_line::NotificationLine;
use crate::notification::Progress;

/// Events that are open or were of the month with their plans, and the reports that are owed of
/// them.
pub(crate) fn events(
    desk: &ReviewDesk<'_>,
) -> Result<(ReviewSection, Vec<NotificationLine>), AnswerError> {
    let (mut lines, mut reports) = (Vec::new(), Vec::new());
    for it in all_happened(desk.house)? {
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
            reports.extend(open_duties(desk.house, &it, desk.at)?);
        }
    }
    // What runs out first stands first, whichever event it belongs to.
    reports.sort_by_key(|it| (it.state == Progress::NotBegun, it.left_minutes));
    let section = section(
        "events",
        "Events",
        "No event is open, and none happened.",
        "wearbook event list; wearbook report show EVENT",
        lines,
    );
    Ok((section, reports))
}
