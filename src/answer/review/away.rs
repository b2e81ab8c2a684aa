//! The section of a review that tells of work away from the licensed places: two counts, each by
//! the authority of the job. Under the authority of the license each place counts alone (10 CFR
//! 34.101(c)); under another all of its places together, by its rule of reciprocity.

use std::collections::{BTreeMap, BTreeSet};

use chrono::Datelike;

use super::desk::{ReviewDesk, ReviewLine, ReviewSection, section};
use crate::answer::context::error::AnswerError;
use crate::answer::context::here::plain;
use crate::calendar::Day;
use crate::record::{Job, Setting};
use crate::rule::Authority;

/// Days before a count is full on which it is looked at.
const NEAR: usize = 30;

/// Jobs of the calendar year, each with its days up to the day of the review.
type Worked<'a> = Vec<(&'a Job, BTreeSet<Day>)>;

pub(crate) fn away(desk: &ReviewDesk<'_>) -> Result<ReviewSection, AnswerError> {
    let first = Day::from_ymd_opt(desk.on.year(), 1, 1).unwrap_or(desk.span.first);
    let mut days: BTreeMap<_, BTreeSet<Day>> = BTreeMap::new();
    for (job, day) in desk.house.snapshot.job_days(first, desk.on)? {
        days.entry(job).or_default().insert(day);
    }
    let named = |(job, days)| Some((desk.house.names.job_body(job)?, days));
    let worked: Worked<'_> = days.into_iter().filter_map(named).collect();
    let rule_set = desk.house.written_on(desk.on)?;
    let own = desk.house.authority(desk.on);
    let mut here = Vec::new();
    let mut elsewhere: Vec<(Authority, Worked<'_>)> = Vec::new();
    for (job, days) in worked {
        let theirs = rule_set.authority(&job.jurisdiction);
        let another = match (&own, theirs) {
            (Some(own), Some(theirs)) if !own.is(&theirs) => theirs,
            _ => {
                here.push((job, days));
                continue;
            }
        };
        match elsewhere.iter_mut().find(|it| it.0.is(&another)) {
            Some(known) => known.1.push((job, days)),
            None => elsewhere.push((another, vec![(job, days)])),
        }
    }
    let mut lines = of_places(desk, &here)?;
    for (authority, worked) in &elsewhere {
        lines.extend(of_reciprocity(desk, rule_set.root(), authority, worked));
    }
    if own.is_none() && !rule_set.authorities().is_empty() && !lines.is_empty() {
        lines.push(ReviewLine::plain(
            "license",
            "the ledger does not say whose it is, so that no day is counted as reciprocity: \
             wearbook entry correct 1 jurisdiction=NAME --reason WHY",
        ));
    }
    Ok(section(
        "away",
        "Days at places away from the licensed ones",
        "No sheet is of a temporary jobsite or under another authority.",
        "wearbook job list",
        lines,
    ))
}

/// How urgent a count is.
fn mark(count: usize, most: Option<usize>) -> &'static str {
    match most {
        Some(most) if count >= most => "ACT",
        Some(most) if count + NEAR >= most => "watch",
        _ => "",
    }
}

/// Each temporary place under the authority of the license; two jobs at one place are one.
fn of_places(desk: &ReviewDesk<'_>, worked: &Worked<'_>) -> Result<Vec<ReviewLine>, AnswerError> {
    let rule_set = desk.house.rule_set_on(desk.on)?;
    let rule = rule_set.tolerance("days-away");
    let most = rule.and_then(|it| usize::try_from(it.days()?).ok());
    let mut places: BTreeMap<String, (Vec<&Job>, BTreeSet<Day>)> = BTreeMap::new();
    let temporary = worked
        .iter()
        .filter(|(job, _)| job.setting == Setting::Temporary);
    for (job, days) in temporary {
        let place = places.entry(plain(&job.place)).or_default();
        place.0.push(job);
        place.1.extend(days);
    }
    let lines = places.into_values().filter_map(|(jobs, days)| {
        let first = jobs.first()?;
        let what = format!(
            "{} of {} so far at {} ({}), a place that counts if the license does not list it",
            count_words(days.len()),
            desk.on.year(),
            first.place,
            first.jurisdiction
        );
        let ids: Vec<&str> = jobs.iter().map(|it| it.id.as_str()).collect();
        let mut line = ReviewLine::plain(ids.join(", "), what);
        if let (Some(rule), Some(most)) = (rule, most) {
            line.rule = format!(
                "{}: {} in a calendar year at a place",
                rule.cited(),
                count_words(most)
            );
        }
        line.mark = mark(days.len(), most);
        Some(line)
    });
    Ok(lines.collect())
}

/// All days under another authority together, and the form of each job.
fn of_reciprocity(
    desk: &ReviewDesk<'_>,
    root: &str,
    authority: &Authority,
    worked: &Worked<'_>,
) -> Vec<ReviewLine> {
    let all: BTreeSet<Day> = worked
        .iter()
        .flat_map(|(_, days)| days.iter().copied())
        .collect();
    let rule = authority.reciprocity.as_ref();
    let most = rule.and_then(|it| usize::try_from(it.days?).ok());
    let cited = rule.map(|it| authority.cite(root, &it.cited()));
    let what = format!(
        "{} of {} so far under {}, by reciprocity, at all places together",
        count_words(all.len()),
        desk.on.year(),
        authority.name
    );
    let name = authority.jurisdictions.first().cloned().unwrap_or_default();
    let mut sum = ReviewLine::plain(name, what);
    sum.mark = mark(all.len(), most);
    sum.rule = match (&cited, most) {
        (Some(cited), Some(most)) => format!("{cited}: {} in a calendar year", count_words(most)),
        (Some(cited), None) => cited.clone(),
        (None, _) => "its own rules hold there: ask it for its days and its form".to_owned(),
    };
    let mut lines = vec![sum];
    for (job, days) in worked {
        let Some(first) = days.first() else { continue };
        let filed = job.reciprocity_filed;
        let before = rule.and_then(|it| u64::try_from(it.filed_before?).ok());
        let by = first.checked_sub_days(chrono::Days::new(before.unwrap_or(0)));
        let number = job.reciprocity_reference.as_deref();
        let number = number.map_or_else(String::new, |it| format!(", {it}"));
        let (mark, what) = match (filed, by) {
            (None, _) => (
                "ACT",
                format!("worked from {first} on, and no form of reciprocity is on record"),
            ),
            (Some(filed), Some(by)) if filed > by => (
                "ACT",
                format!("form filed {filed}{number}, LATE for work from {first} on: due {by}"),
            ),
            (Some(filed), _) => (
                "",
                format!("form filed {filed}{number}, work from {first} on"),
            ),
        };
        let mut line = ReviewLine::plain(job.id.clone(), what);
        line.mark = mark;
        line.rule = match (&cited, before) {
            (Some(cited), Some(days)) => format!("{cited}: filed {} before", count_words(days)),
            (Some(cited), None) => cited.clone(),
            (None, _) => String::new(),
        };
        lines.push(line);
    }
    lines
}

fn count_words<N: ToString>(days: N) -> String {
    crate::text::counted(days, "day", "days")
}
