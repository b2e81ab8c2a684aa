//! What somebody can act on, before anything else of a board or a review: who and what stays in,
//! what is due, who is nearest a level, which part wears out next, which decisions wait.

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::context::view::LevelLine;
use crate::answer::dose::nobody::nobodys;
use crate::answer::equipment::wear::wear_list;
use crate::answer::event::notification_line::NotificationLine;
use crate::answer::status::on_hold::held_on;
use crate::calendar::Day;
use crate::notification::{Applies, Progress};
use crate::wear::forecast::Outlook;

/// How many lines of one kind stand here; the sections have all of them.
const MOST: usize = 6;

/// Shares of a level, in parts per million, from which whoever is there is named beside the one who
/// is nearest.
const NEAR_PPM: i64 = 800_000;

/// One line of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ToDo {
    /// `STOP`, `due`, `level`, `wear` or `decide`.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// Who or what.
    pub subject: String,
    /// What is so.
    pub what: String,
    /// What ends it, by when it is due, or the command that shows more.
    pub until: String,
}

impl ToDo {
    pub(crate) fn new(
        kind: &'static str,
        subject: impl Into<String>,
        what: impl Into<String>,
        until: impl Into<String>,
    ) -> ToDo {
        ToDo {
            kind,
            subject: subject.into(),
            what: what.into(),
            until: until.into(),
        }
    }
}

/// The first of many lines, and how many more there are.
pub(crate) fn first_of(mut lines: Vec<ToDo>, kind: &'static str, more: &str) -> Vec<ToDo> {
    if lines.len() > MOST {
        let rest = lines.len() - (MOST - 1);
        lines.truncate(MOST - 1);
        lines.push(ToDo::new(kind, format!("{rest} more"), "", more));
    }
    lines
}

/// What is owed to authorities, as somebody has to act on it.
pub(crate) fn of_reports(reports: &[NotificationLine]) -> Vec<ToDo> {
    let line = |it: &NotificationLine| {
        let by = it.deadline.clone().unwrap_or_default();
        let until = match it.state {
            Progress::Overdue => format!("OVERDUE, was due {by}"),
            _ => by,
        };
        let what = match it.applies {
            Applies::May => format!("may apply: {}", it.what),
            _ => it.what.clone(),
        };
        ToDo::new("due", it.event.clone(), what, until)
    };
    let running = reports.iter().filter(|it| it.state != Progress::NotBegun);
    first_of(running.map(line).collect(), "due", "wearbook report list")
}

/// Who is nearest a level, by the share that is used.
pub(crate) fn nearest_a_level<'l>(
    people: impl Iterator<Item = (&'l str, &'l LevelLine)>,
) -> Vec<ToDo> {
    let mut all: Vec<_> = people.filter(|it| it.1.share_ppm.is_some()).collect();
    all.sort_by_key(|it| std::cmp::Reverse(it.1.share_ppm));
    let is_near = |(at, it): &(usize, &(&str, &LevelLine))| {
        *at == 0 || it.1.share_ppm.is_some_and(|it| it >= NEAR_PPM)
    };
    let near = all
        .iter()
        .enumerate()
        .filter(is_near)
        .map(|(_, (who, level))| {
            let what = format!(
                "{} of {}: {}",
                level.share,
                level.limit.shown,
                level.words()
            );
            // What is past a level says so itself.
            let left = match level.left_nsv < 0 {
                true => format!("{}, by {}", level.left_short, level.last),
                false => format!("{} left, by {}", level.left_short, level.last),
            };
            ToDo::new("level", *who, what, left)
        });
    first_of(near.collect(), "level", "wearbook dose crew")
}

/// The part that wears out next: one that is past its limit, else the one that may reach it first.
pub(crate) fn wears_out_next(house: &OpenHouse<'_>, on: Day) -> Result<Option<ToDo>, AnswerError> {
    let lines = wear_list(house, on)?.lines.into_iter();
    let next = lines
        .filter_map(|it| {
            let past = matches!(it.forecast.outlook, Outlook::Beyond | Outlook::MayBeBeyond);
            let day = it.forecast.earliest.as_ref().map(|it| it.day);
            (past || day.is_some()).then_some(((!past, day, it.equipment.clone()), it))
        })
        .min_by(|a, b| a.0.cmp(&b.0));
    Ok(next.map(|((fine, day, _), it)| {
        let last = it.last.unwrap_or_else(|| "not measured".to_owned());
        let what = format!("{}: last {last}, limit {}", it.component, it.limit);
        let until = match (fine, day) {
            (false, _) => it.forecast.outlook.words().to_owned(),
            (true, Some(day)) => format!("limit reached from {day} on, an estimate"),
            (true, None) => String::new(),
        };
        ToDo::new("wear", it.equipment, what, until)
    }))
}

/// Which decisions waited for somebody on a day.
pub(crate) fn decisions(house: &OpenHouse<'_>, on: Day) -> Result<Vec<ToDo>, AnswerError> {
    let unassigned = nobodys(house)?;
    let waits = [
        (
            held_on(house, on)?,
            "item on hold",
            "items on hold",
            "wearbook hold list",
        ),
        (
            unassigned.iter().filter(|it| it.reported_on <= on).count(),
            "unassigned badge result",
            "unassigned badge results",
            "wearbook hold list",
        ),
    ];
    let waits = waits.into_iter().filter(|it| it.0 > 0);
    let line = |(count, one, many, more)| {
        ToDo::new(
            "decide",
            "RSO",
            crate::text::counted(count, one, many),
            more,
        )
    };
    Ok(waits.map(line).collect())
}
