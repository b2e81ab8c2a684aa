//! What somebody who leaves is given, and what of it is still awaited (10 CFR 19.13(e)).

use serde::Serialize;

use super::account::cited;
use super::error::AnswerError;
use super::load::House;
use super::statement::{StatementAnswer, statement};
use super::statement_items::ItemStanding;
use super::statement_reasons::Reason;
use crate::calendar::Day;
use crate::ledger::{BadgeRow, Snapshot};
use crate::record::{BadgeChange, RecordId, Words};

/// The rule about whoever leaves before all results are in.
const RULE: &str = "leaving-estimate";

/// The statement of one year.
#[derive(Debug, Clone, Serialize)]
pub struct LeaverYear {
    /// The licensee's year.
    pub year: i32,
    /// What the statement is as a whole.
    pub standing: ItemStanding,
    /// The deep dose, with its units.
    pub deep: Option<String>,
}

/// A badge without a result.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct AwaitedBadge {
    /// The number on it.
    pub badge: String,
    /// The first day of its wear.
    pub first: Day,
    /// The last day of its wear, as planned or as it was.
    pub last: Day,
    /// What became of it last, and when.
    pub state: Option<(String, Day)>,
    /// Whether no result can come: the dose of its days is to be determined.
    pub to_be_determined: bool,
}

/// What somebody who leaves is given.
#[derive(Debug, Clone, Serialize)]
pub struct LeaverAnswer {
    /// The worker's id.
    pub worker: String,
    /// Full name.
    pub name: String,
    /// The last monitored day on record.
    pub left_on: Option<Day>,
    /// The day that counts as today.
    pub on: Day,
    /// The years that are told: this one, and the one before while it is not final.
    pub years: Vec<LeaverYear>,
    /// Badges without a result, the earliest first.
    pub awaited: Vec<AwaitedBadge>,
    /// Whether any figure is an estimate, or a result is awaited.
    pub estimate: bool,
    /// The rule, where the scheme has one.
    pub rule: Option<String>,
    /// What the rule wants done.
    pub remedy: Option<String>,
    /// The scheme's caution.
    pub confirm: String,
}

/// What a worker who leaves is given on a day.
pub fn leaver(
    snapshot: &Snapshot<'_>,
    house: &House,
    worker: RecordId,
    on: Day,
) -> Result<LeaverAnswer, AnswerError> {
    let scheme = house.scheme_on(on)?;
    let facts = house.facts(worker)?;
    let this = scheme.year_start.year_of(on);
    let (mut years, mut open) = (Vec::new(), Vec::new());
    for year in [this - 1, this] {
        let it = statement(snapshot, house, worker, year, on)?;
        open.extend(it.reasons.iter().filter_map(|it| match it {
            Reason::NoResultToCome { badge, .. } => Some(badge.clone()),
            _ => None,
        }));
        if it.concerns && (year == this || it.standing() == ItemStanding::Estimate) {
            years.push(line(&it));
        }
    }
    let first = scheme.year_start.year(this - 1).first;
    let badges = snapshot.badges(Some(worker), first, on)?;
    let mut awaited: Vec<AwaitedBadge> = badges
        .iter()
        .filter(|it| it.results.is_empty() && it.employer.is_none())
        .map(badge)
        // The dose of one that is gone may have been determined.
        .filter(|it| !it.to_be_determined || open.contains(&it.badge))
        .collect();
    awaited.sort_by(|a, b| (a.first, &a.badge).cmp(&(b.first, &b.badge)));
    let monitored = facts.monitored.last();
    let estimates = |it: &LeaverYear| it.standing == ItemStanding::Estimate;
    Ok(LeaverAnswer {
        worker: facts.id.clone(),
        name: facts.name.clone(),
        left_on: monitored.and_then(|it| it.until),
        on,
        estimate: years.iter().any(estimates) || !awaited.is_empty(),
        years,
        awaited,
        rule: cited(scheme, RULE),
        remedy: scheme.rule(RULE).map(|it| it.remedy.clone()),
        confirm: scheme.confirm.clone(),
    })
}

fn line(it: &StatementAnswer) -> LeaverYear {
    LeaverYear {
        year: it.year,
        standing: it.standing(),
        deep: it.deep().map(|deep| deep.shown.clone()),
    }
}

fn badge(it: &BadgeRow) -> AwaitedBadge {
    let last = it.changes.last();
    let gone = |change: BadgeChange| matches!(change, BadgeChange::Lost | BadgeChange::Damaged);
    AwaitedBadge {
        badge: it.badge.clone(),
        first: it.first_day,
        last: it.last_day,
        state: last.map(|(change, day, _)| (change.word().to_owned(), *day)),
        to_be_determined: last.is_some_and(|(change, _, _)| gone(*change)),
    }
}
