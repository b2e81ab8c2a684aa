//! Levels that people have reached: as of a day, and in windows that ended before it.

use std::borrow::Cow;
use std::collections::{HashMap, HashSet};

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::calendar::{Day, Span, Window, WindowFacts};
use crate::dose::checks::{badges_elsewhere, level_findings, work_while_undetermined};
use crate::dose::index::DoseIndex;
use crate::dose::input::{History, WorkerFacts};
use crate::dose::level::{Standing, standings};
use crate::ledger::{LedgerError, Snapshot};
use crate::record::RecordId;
use crate::rule::{CheckKey, Finding, RuleSet, Severity};

/// Levels of those who worked in the span; whoever did not has no new dose.
pub(crate) fn of_levels(
    house: &OpenHouse<'_>,
    (span, on): (Span, Day),
    histories: Option<&HashMap<RecordId, History>>,
) -> Result<Vec<Finding>, AnswerError> {
    let ended = windows_ended(house, span, on);
    let first = ended.iter().map(|it| it.first).fold(span.first, Day::min);
    let wide = Span { first, ..span };
    let of_span = at_work(house.snapshot, span)?;
    let of_windows = at_work(house.snapshot, wide)?;
    let rule_set = house.rule_set_on(on)?;
    let mut found = Vec::new();
    for facts in house.workers() {
        let mine = of_span.contains(&facts.record) || !facts.missing.is_empty();
        let past = of_windows.contains(&facts.record) && !ended.is_empty();
        if !mine && !past {
            continue;
        }
        let needed = house.span_needed(rule_set, facts, wide, on);
        // What was loaded for a month need not reach back to the beginning of what ended in it.
        let loaded = histories.filter(|_| ended.is_empty());
        let history = match loaded.and_then(|it| it.get(&facts.record)) {
            Some(history) => Cow::Borrowed(history),
            None => Cow::Owned(house.history(facts.record, needed)?),
        };
        let index = DoseIndex::build(&history)?;
        let now = standings(rule_set, facts, &index, on)?;
        let mut levels = level_findings(facts, &now, &index, rule_set)?;
        if past {
            let ended = in_ended(house, facts, &index, &ended)?;
            let known: HashSet<String> = levels.iter().map(Finding::key).collect();
            levels.extend(ended.into_iter().filter(|it| !known.contains(&it.key())));
        }
        found.extend(levels);
        let stopped = work_while_undetermined(&history, needed, rule_set)?;
        found.extend(stopped.into_iter().filter(|it| in_span(&history, it, span)));
        found.extend(badges_elsewhere(&history, span, rule_set));
    }
    Ok(found)
}

/// Who stands on a sheet of these days.
fn at_work(snapshot: &Snapshot<'_>, span: Span) -> Result<HashSet<RecordId>, LedgerError> {
    let mut all = HashSet::new();
    snapshot.shifts(span.first, span.last, |row| {
        all.insert(row.worker);
    })?;
    Ok(all)
}

/// Whether one of a finding's shifts is of the span.
fn in_span(history: &History, finding: &Finding, span: Span) -> bool {
    history
        .shifts
        .iter()
        .any(|shift| span.contains(shift.day) && finding.entries.contains(&shift.entry))
}

/// The window of a level that ends on a day; nothing where its windows do not follow the
/// calendar and so none has moved on.
fn ending(rule_set: &RuleSet, window: Window, on: Day) -> Option<Span> {
    let by_calendar = match window {
        Window::Month
        | Window::Quarter
        | Window::LicenseeYear
        | Window::CalendarYear
        | Window::AnyFiveYears
        | Window::FixedFiveYears { .. } => true,
        Window::RollingTwelveMonths
        | Window::EntirePregnancy
        | Window::RestOfPregnancy
        | Window::Lifetime => false,
    };
    let facts = WindowFacts {
        year_start: rule_set.year_start,
        ..WindowFacts::default()
    };
    let span = by_calendar.then(|| window.closed_run(on, &facts))??;
    (span.last == on).then_some(span)
}

/// The windows of levels that ended in the span and before a day, each once.
fn windows_ended(house: &House, span: Span, on: Day) -> Vec<Span> {
    let days = span.first.iter_days();
    let mut all: Vec<Span> = Vec::new();
    for day in days.take_while(|day| *day <= span.last && *day < on) {
        // Before the first rule set nothing was a level.
        let Ok(rule_set) = house.rule_set_on(day) else {
            continue;
        };
        let windows = rule_set.levels.iter().filter_map(|it| it.over());
        for it in windows.filter_map(|it| ending(rule_set, it, day)) {
            if !all.contains(&it) {
                all.push(it);
            }
        }
    }
    all
}

/// What one person reached in windows that are over. It stops nobody: the window has moved on.
fn in_ended(
    house: &House,
    facts: &WorkerFacts,
    index: &DoseIndex,
    ended: &[Span],
) -> Result<Vec<Finding>, AnswerError> {
    let mut found = Vec::new();
    for window in ended {
        let rule_set = house.rule_set_on(window.last)?;
        let all = standings(rule_set, facts, index, window.last)?;
        let of_window = |it: &Standing<'_>| {
            let ends = it
                .level
                .over()
                .and_then(|it| ending(rule_set, it, window.last));
            it.window == *window && ends == Some(*window)
        };
        let mine: Vec<Standing<'_>> = all.into_iter().filter(of_window).collect();
        for mut finding in level_findings(facts, &mine, index, rule_set)? {
            if finding.is(CheckKey::ContradictingDoses) {
                continue;
            }
            finding.severity = finding.severity.max(Severity::Act);
            let Span { first, last } = window;
            finding.what += &format!("; over {first} to {last}, which is past");
            finding.remedy =
                "The window is over and stops no one: the RSO finds out why the level was \
                 reached, and answers this finding."
                    .to_owned();
            found.push(finding);
        }
    }
    Ok(found)
}
