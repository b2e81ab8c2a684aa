//! Where the annual report to the authority stands (10 CFR 20.2206): when it is due, whether that
//! day is near or past, and what is on record of its being sent.

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::review::desk::began;
use crate::answer::review::statement::StatementAnswer;
use crate::calendar::{Day, Month, YearStart};
use crate::ledger::Snapshot;
use crate::record::{AnnualReport, RecordId};
use crate::rule::RuleSet;

/// The key of the day by which the authority has it, and of the rule that says so.
pub(crate) const ANNUAL: &str = "annual-report";

/// Days before its day from which the board counts down.
const NEAR: i64 = 60;

/// Months, its own among them, in which the review tells of it.
const MONTHS: u32 = 3;

/// How it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum AnnualState {
    /// The year is not over: there is nothing to send.
    NotOver,
    /// The year is over, and its day is not.
    Due,
    /// Its day is over, and no sending is on record.
    Overdue,
    /// It was sent.
    Sent,
}

/// One sending.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SentLine {
    /// To whom.
    pub to: String,
    /// The day.
    pub on: Day,
    /// Who sent it.
    pub by: String,
    /// The receipt or the parcel's number, where there is one.
    pub reference: Option<String>,
    /// Whether it was after the day by which the authority has it.
    pub late: bool,
    /// The entry.
    pub entry: i64,
}

impl SentLine {
    /// In one line.
    pub fn words(&self) -> String {
        let reference = match &self.reference {
            Some(reference) => format!(", reference {reference}"),
            None => ", no receipt on record".to_owned(),
        };
        let late = if self.late { ", LATE" } else { "" };
        let (to, on, by) = (&self.to, self.on, &self.by);
        format!("sent to {to} on {on} by {by}{reference}{late}")
    }
}

/// The annual report of one year on a day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct AnnualReportView {
    /// The licensee's year.
    pub year: i32,
    /// The last day on which it is in time.
    pub due: Day,
    /// The rule.
    pub rule: String,
    /// Days until then; below zero where it is past.
    pub days: i64,
    /// How it stands.
    pub state: AnnualState,
    /// What was sent, the earliest first.
    pub sent: Vec<SentLine>,
}

impl AnnualReportView {
    /// How it stands, in one line.
    pub fn words(&self) -> String {
        let due = self.due;
        match (self.state, self.sent.last()) {
            (AnnualState::NotOver, _) => format!("the year is not over; due {due}"),
            (AnnualState::Due, _) => format!("no sending on record, due {due}: {}", self.in_days()),
            (AnnualState::Overdue, _) => format!(
                "no sending on record, OVERDUE since {due}: {}",
                self.in_days()
            ),
            (AnnualState::Sent, Some(last)) => last.words(),
            (AnnualState::Sent, None) => "sent".to_owned(),
        }
    }

    fn in_days(&self) -> String {
        match self.days {
            0 => "today is the last day".to_owned(),
            days if days > 0 => crate::text::counted(days, "day left", "days left"),
            days => crate::text::counted(days.saturating_neg(), "day", "days"),
        }
    }

    /// The command that writes down that it was sent.
    pub fn command(&self) -> String {
        let year = self.year;
        format!(
            "wearbook review sent {year} --to NAME --performed-by NAME --on DATE --reference NO"
        )
    }
}

/// The last day on which the report of a year that ends on `last` is in time.
fn due_after(last: Day, by: YearStart) -> Day {
    use chrono::Datelike;
    let same = by.first_day(last.year());
    match same > last {
        true => same,
        false => by.first_day(last.year().saturating_add(1)),
    }
}

/// What was sent of a year by a day, the earliest first. Without a day on which it is due nothing
/// is late.
pub(crate) fn sent(
    snapshot: &Snapshot<'_>,
    year: i32,
    on: Day,
    due: Option<Day>,
) -> Result<Vec<SentLine>, AnswerError> {
    let all = snapshot.all::<AnnualReport>()?.into_iter();
    let mut sent: Vec<SentLine> = all
        .filter(|it| it.body.worker.is_none())
        .filter(|it| it.body.year == i64::from(year) && it.body.on <= on)
        .map(|it| SentLine {
            late: due.is_some_and(|due| it.body.on > due),
            to: it.body.to,
            on: it.body.on,
            by: it.body.by,
            reference: it.body.reference,
            entry: it.entry,
        })
        .collect();
    sent.sort_by_key(|it| (it.on, it.entry));
    Ok(sent)
}

/// Whether and when a person was given the report of a year.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct GivenView {
    /// The worker's id.
    pub worker: String,
    /// Why it is owed without being asked for, by the rule's own condition; else nothing.
    pub owed: Option<String>,
    /// Whether it is owed and the year is over, and no giving is on record. No rule names a day.
    pub lacking: bool,
    /// What was given, the earliest first.
    pub given: Vec<SentLine>,
}

impl GivenView {
    /// How it stands, in a few words.
    pub fn words(&self) -> String {
        match (self.given.first(), self.lacking) {
            (Some(it), _) => format!("{} (entry {})", it.on, it.entry),
            (None, true) => "OWED, none on record".to_owned(),
            (None, false) => "none on record".to_owned(),
        }
    }
}

/// Whether and when each of these people was given the own report of the year, by a day.
pub(crate) fn given(
    house: &OpenHouse<'_>,
    (year, last): (i32, Day),
    statements: &[StatementAnswer],
    on: Day,
) -> Result<Vec<GivenView>, AnswerError> {
    let all = house.snapshot.all::<AnnualReport>()?;
    let mut found = Vec::new();
    for statement in statements {
        let worker = house.names.worker(&statement.worker)?.number();
        let own = all.iter().filter(|it| {
            let body = &it.body;
            let mine = body.worker.is_some_and(|it| it.number() == worker);
            mine && body.year == i64::from(year) && body.on <= on
        });
        let mut given: Vec<SentLine> = own
            .map(|it| SentLine {
                to: it.body.to.clone(),
                on: it.body.on,
                by: it.body.by.clone(),
                reference: it.body.reference.clone(),
                late: false,
                entry: it.entry,
            })
            .collect();
        given.sort_by_key(|it| (it.on, it.entry));
        let owed = statement.must_be_given.clone();
        found.push(GivenView {
            worker: statement.worker.clone(),
            lacking: owed.is_some() && given.is_empty() && last < on,
            owed,
            given,
        });
    }
    Ok(found)
}

/// The annual report of a year, as it stands on a day; nothing where the rule set names no day for
/// one.
pub(crate) fn annual_report(
    snapshot: &Snapshot<'_>,
    rule_set: &RuleSet,
    year: i32,
    on: Day,
) -> Result<Option<AnnualReportView>, AnswerError> {
    let Some((rule, by)) = rule_set
        .tolerance(ANNUAL)
        .and_then(|it| Some((it.cited(), it.by_day()?)))
    else {
        return Ok(None);
    };
    let last = rule_set.year_start.year(year).last;
    let due = due_after(last, by);
    let sent = sent(snapshot, year, on, Some(due))?;
    let state = match sent.is_empty() {
        false => AnnualState::Sent,
        true if on <= last => AnnualState::NotOver,
        true if on <= due => AnnualState::Due,
        true => AnnualState::Overdue,
    };
    Ok(Some(AnnualReportView {
        year,
        due,
        rule,
        days: due.signed_duration_since(on).num_days(),
        state,
        sent,
    }))
}

/// Whether somebody was monitored in a year, so that a report of it is owed.
pub(crate) fn is_of_somebody(house: &House, rule_set: &RuleSet, year: i32) -> bool {
    !monitored_in(house, rule_set, year).is_empty()
}

/// Who was monitored in a year, by id: record and name.
pub(crate) fn monitored_in(
    house: &House,
    rule_set: &RuleSet,
    year: i32,
) -> Vec<(RecordId, String)> {
    let span = rule_set.year_start.year(year);
    let workers = house.workers().into_iter();
    let monitored = workers.filter(|it| it.monitored.iter().any(|it| it.days().overlaps(&span)));
    monitored.map(|it| (it.record, it.name.clone())).collect()
}

/// The reports of years that are over by a day, the earliest first. A year that was over when the
/// ledger began is not this ledger's to tell of: it has no review either.
fn reports(house: &OpenHouse<'_>, on: Day) -> Result<Vec<AnnualReportView>, AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    let Some(began) = began(house)? else {
        return Ok(Vec::new());
    };
    let first = rule_set.year_start.year_of(began);
    let mut found = Vec::new();
    for year in first..rule_set.year_start.year_of(on) {
        let it = annual_report(house.snapshot, rule_set, year, on)?;
        found.extend(it.filter(|_| is_of_somebody(house, rule_set, year)));
    }
    Ok(found)
}

/// Those that the board tells of on a day: not sent, and their day near or past.
pub(crate) fn running(
    house: &OpenHouse<'_>,
    on: Day,
) -> Result<Vec<AnnualReportView>, AnswerError> {
    let mut all = reports(house, on)?;
    all.retain(|it| match it.state {
        AnnualState::Overdue => true,
        AnnualState::Due => it.days < NEAR,
        AnnualState::NotOver | AnnualState::Sent => false,
    });
    Ok(all)
}

/// Those that the review of a month tells of: overdue at its end, or due in it or in one of the two
/// after it, sent or not.
pub(crate) fn in_month(
    house: &OpenHouse<'_>,
    month: Month,
    on: Day,
) -> Result<Vec<AnnualReportView>, AnswerError> {
    let first = month.span().first;
    let later = first.checked_add_months(chrono::Months::new(MONTHS));
    let mut all = reports(house, on)?;
    all.retain(|it| {
        let near = it.due >= first && later.is_none_or(|later| it.due < later);
        near || it.state == AnnualState::Overdue
    });
    Ok(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_report_is_due_on_the_first_such_day_after_the_year() {
        let day = |text: &str| text.parse::<Day>().unwrap();
        let april = YearStart::new(4, 30).unwrap();
        assert_eq!(due_after(day("2025-12-31"), april), day("2026-04-30"));
        assert_eq!(due_after(day("2026-01-14"), april), day("2026-04-30"));
        // On its last day a year is not over: the next such day counts.
        assert_eq!(due_after(day("2026-04-30"), april), day("2027-04-30"));
    }
}
