//! What somebody who leaves is given: the statement of the current year up to the last day, and
//! those of earlier years that are owed or asked for, with the badges whose result is awaited.

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::review::statement::{StatementAnswer, statement};
use crate::answer::review::statement_reasons::{BadgeAt, Reason};
use crate::calendar::{Day, Instant};
use crate::rule::{RuleText, Tells, Tolerance};

/// The key of the rule about whoever leaves (10 CFR 19.13(e)).
const LEAVING: &str = "leaving-estimate";

/// The key of the days within which somebody who has left gets a report (10 CFR 19.13(c)).
const FORMER: &str = "former-worker-report";

/// A badge that no result is on record of.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct AwaitedBadge {
    /// The badge.
    pub badge: String,
    /// Where it is; nothing where it is lost or damaged, so that a determination is awaited.
    pub at: Option<BadgeAt>,
    /// The first day of its wear that the packet is of.
    pub first: Day,
    /// The last of them.
    pub last: Day,
}

/// A rule that asks for a report.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct AskedBy {
    /// What it asks for.
    pub meaning: String,
    /// Where it stands.
    pub citation: String,
}

impl AskedBy {
    fn rule(it: &RuleText) -> AskedBy {
        AskedBy {
            meaning: it.meaning.clone(),
            citation: it.cited(),
        }
    }
}

/// The rule about reports after the last day, with its days.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Afterwards {
    /// The rule.
    pub rule: AskedBy,
    /// Days from the request, or from the day on which the dose is determined, if that is later.
    pub days: i64,
}

impl Afterwards {
    fn of(it: &Tolerance) -> Option<Afterwards> {
        Some(Afterwards {
            days: it.days()?,
            rule: AskedBy {
                meaning: it.meaning.clone(),
                citation: it.cited(),
            },
        })
    }
}

/// What the record says of the person's monitoring around the last day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum MonitoringEnd {
    /// It ends on the last day.
    ThatDay,
    /// It ended on another day.
    Other(Day),
    /// It has no end.
    Open,
}

/// The packet of somebody who leaves.
#[derive(Debug, Clone, Serialize)]
pub struct LeaverAnswer {
    /// The name that tells this ledger from others.
    pub ledger: String,
    /// The worker's id.
    pub worker: String,
    /// Full name.
    pub name: String,
    /// The last day.
    pub on: Day,
    /// The day on which the packet was made.
    pub made_on: Day,
    /// What the record says of the end of monitoring.
    pub monitoring: MonitoringEnd,
    /// Whether dose after the last day is on record, which no figure of the packet has.
    pub dose_after: bool,
    /// The statement of the current year up to the last day.
    pub current: StatementAnswer,
    /// Statements of earlier years, the latest first.
    pub earlier: Vec<StatementAnswer>,
    /// Earlier years that are on record and not in the packet.
    pub not_in_it: Vec<i32>,
    /// What is awaited.
    pub awaited: Vec<AwaitedBadge>,
    /// The rule that asks for the packet, where the rule set has one.
    pub asked_by: Option<AskedBy>,
    /// The rule about reports after the last day, where the rule set has one.
    pub afterwards: Option<Afterwards>,
    /// The rule set's caution.
    pub confirm: String,
}

impl LeaverAnswer {
    /// Whether any figure of the packet is an estimate.
    pub fn is_estimate(&self) -> bool {
        self.statements().any(|it| it.estimate)
    }

    /// The statements, that of the current year first.
    pub fn statements(&self) -> impl Iterator<Item = &StatementAnswer> {
        std::iter::once(&self.current).chain(&self.earlier)
    }
}

/// The packet of a worker who leaves with the day `on`. Of earlier years it has those of which a
/// statement is owed unasked, and all from the year `since` on.
///
/// # Errors
/// An id that is nobody's; a last day that has not come; a person who was not monitored in its
/// year.
pub fn leaver(
    house: &OpenHouse<'_>,
    id: &str,
    (on, since): (Day, Option<i32>),
    now: Instant,
) -> Result<LeaverAnswer, AnswerError> {
    let today = house.today(now);
    if on > today {
        // What is worked until then would be missing from a page that looks whole.
        let what = format!("the last day, {on},");
        return Err(AnswerError::NotYet { what, today });
    }
    let worker = house.names.worker(id)?.number();
    // Before a figure goes out: a row that lies says who is wronged.
    house.snapshot.prove(Some(&[worker]))?;
    let rule_set = house.rule_set_on(on)?;
    let start = rule_set.year_start;
    let year = start.year_of(on);
    let facts = house.facts(worker)?;
    let mut current = statement(house, worker, year, on)?;
    if !current.concerns {
        let worker = current.worker;
        return Err(AnswerError::NotMonitoredIn { worker, year });
    }
    let whole = statement(house, worker, year, today)?;
    let first_year = facts.monitored.iter().map(|it| it.from).min();
    let first_year = first_year.map_or(year, |day| start.year_of(day));
    let (mut earlier, mut not_in_it) = (Vec::new(), Vec::new());
    for before in (first_year.min(since.unwrap_or(year))..year).rev() {
        let it = statement(house, worker, before, today)?;
        let asked = since.is_some_and(|since| before >= since);
        match it.concerns {
            true if asked || it.must_be_given.is_some() => earlier.push(it),
            true => not_in_it.push(before),
            false => {}
        }
    }
    current.leaves = true;
    current.made_on = today;
    let dose_after = whole.safe_items != current.safe_items;
    Ok(LeaverAnswer {
        ledger: house.names.charter.ledger_id.clone(),
        worker: facts.id.clone(),
        name: facts.name.clone(),
        on,
        made_on: today,
        monitoring: match facts.monitored.iter().filter_map(|it| it.until).max() {
            _ if facts.monitored.iter().any(|it| it.until.is_none()) => MonitoringEnd::Open,
            Some(day) if day != on => MonitoringEnd::Other(day),
            Some(_) => MonitoringEnd::ThatDay,
            None => MonitoringEnd::Open,
        },
        dose_after,
        awaited: awaited(std::iter::once(&current).chain(&earlier)),
        current,
        earlier,
        not_in_it,
        asked_by: rule_set.rule(LEAVING).map(AskedBy::rule),
        afterwards: rule_set.tolerance(FORMER).and_then(Afterwards::of),
        confirm: rule_set.caution_of(Tells::Levels),
    })
}

/// The badges that the statements wait for, each once.
fn awaited<'a>(statements: impl Iterator<Item = &'a StatementAnswer>) -> Vec<AwaitedBadge> {
    let mut found: Vec<AwaitedBadge> = Vec::new();
    for why in statements.flat_map(|it| &it.reasons) {
        let (badge, at, first, last) = match why {
            Reason::NoResult {
                badge,
                at,
                first,
                last,
                ..
            } => (badge, Some(*at), *first, *last),
            Reason::NoResultToCome {
                badge, first, last, ..
            } => (badge, None, *first, *last),
            _ => continue,
        };
        // A wear that the turn of the year cuts is in two statements.
        match found
            .iter_mut()
            .find(|it| it.badge == *badge && it.at == at && (last.succ_opt() == Some(it.first)))
        {
            Some(known) => known.first = first,
            None => found.push(AwaitedBadge {
                badge: badge.clone(),
                at,
                first,
                last,
            }),
        }
    }
    found
}
