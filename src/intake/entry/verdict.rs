//! What the RSO says of results: accepted as they are.

use std::collections::BTreeMap;

use super::authority;
use super::effect::{days_of, with_changes};
use super::fault::{Fault, Faults, IntakeError};
use super::label::{label_in, or_fault};
use super::taken::Taken;
use crate::answer::{Names, NoSuchName, Sought, near};
use crate::calendar::{Day, Span};
use crate::intake::register::today;
use crate::ledger::{HeldRow, Instant, LedgerError, Refusal, ResultName, Snapshot, Writer};
use crate::record::{Acceptance, BadgeResult, Body, Outcome, Problem, RecordId};

/// What is accepted.
#[derive(Debug, Clone, Copy)]
pub enum Accepted<'a> {
    /// One result, by its newest entry: `412` or `entry:412`.
    Entry(&'a str),
    /// Every result of a report that counts.
    Report(&'a str),
}

/// Who decides, and on which day: today where none is given.
#[derive(Debug, Clone, Copy)]
pub struct By<'a> {
    /// The id of the worker.
    pub worker: &'a str,
    /// The day.
    pub on: Option<Day>,
    /// The id of a second person, for what is the decider's own.
    pub second: Option<&'a str>,
}

/// Accepts results: from then on levels use them alone.
///
/// # Errors
/// Somebody without the role, a result that is held and not ruled upon, a result or report
/// that is not there.
pub fn accept(
    writer: &mut Writer<'_>,
    now: Instant,
    what: Accepted<'_>,
    by: By<'_>,
) -> Result<Taken, IntakeError> {
    let mut faults = Faults::default();
    let names = Names::load(&writer.snapshot()?)?;
    let mut people: BTreeMap<RecordId, Span> = BTreeMap::new();
    let bodies = {
        let snapshot = writer.snapshot()?;
        let by_worker = names.worker(by.worker)?;
        let second = by.second.map(|id| names.worker(id)).transpose()?;
        let on = day_of(&names, now, by, &mut faults);
        let results = match what {
            Accepted::Entry(name) => {
                let entry = entry_named(&snapshot, name)?;
                vec![result_of_entry(&snapshot, entry)?]
            }
            Accepted::Report(report) => results_of_report(&snapshot, report)?,
        };
        let held = snapshot.held()?;
        let mut bodies = Vec::new();
        for (name, result) in results {
            match standing(&held, name.entry) {
                Standing::RuledOut if matches!(what, Accepted::Report(_)) => continue,
                Standing::Counts => {}
                other => faults.push(not_acceptable(&name, other)),
            }
            if on < result.reported_on {
                let what = format!("is before the report of {}", result.reported_on);
                faults.push(Fault::new(None, "on", &on.to_string(), what, "a later day"));
            }
            let mut body = Acceptance {
                by: by_worker,
                entry: name.entry,
                on,
                result: name.record.into(),
                second_by: None,
            };
            // Of a whole report the second person is about the one badge
            // that is the decider's own.
            let whose = authority::whose(&snapshot, &Body::from(body.clone()))?;
            if let (Some(worker), Some(days)) = (whose, days_of(&snapshot, &result)?) {
                let known = people.entry(worker).or_insert(days);
                known.first = known.first.min(days.first);
                known.last = known.last.max(days.last);
            }
            if whose == Some(by_worker.number()) || matches!(what, Accepted::Entry(_)) {
                body.second_by = second;
            }
            bodies.push(Body::from(body));
        }
        refused(&snapshot, &names, &bodies, &mut faults)?;
        bodies
    };
    if faults.any() {
        people.clear();
    }
    let when = (today(&names, now), now);
    with_changes(writer, people, when, |writer| {
        append_all(writer, &names, bodies, faults)
    })
}

/// What admission says against acceptances, each thing once.
fn refused(
    snapshot: &Snapshot<'_>,
    names: &Names,
    bodies: &[Body],
    faults: &mut Faults,
) -> Result<(), LedgerError> {
    let mut said: Vec<Problem> = Vec::new();
    for body in bodies {
        for problem in authority::problems(snapshot, names, body)? {
            if !said.contains(&problem) {
                said.push(problem.clone());
                faults.push(Fault::of_problem(None, problem));
            }
        }
    }
    Ok(())
}

pub(crate) fn day_of(names: &Names, now: Instant, by: By<'_>, faults: &mut Faults) -> Day {
    let today = today(names, now);
    let on = by.on.unwrap_or(today);
    if on > names.newest_day(now) {
        let what = format!("is in the future: today is {today}");
        faults.push(Fault::new(
            None,
            "on",
            &on.to_string(),
            what,
            "the day of the decision",
        ));
    }
    on
}

/// The newest entry of a result that somebody names: a number of a badge is not one of an entry,
/// however alike they look.
fn entry_named(snapshot: &Snapshot<'_>, name: &str) -> Result<i64, IntakeError> {
    let number = name.strip_prefix("entry:");
    let badges = match number {
        Some(_) => Vec::new(),
        None => snapshot.wear_of_number(name)?,
    };
    let digits = number.unwrap_or(name);
    let entry: Option<i64> = digits.parse().ok().filter(|_| !digits.starts_with('0'));
    match (badges.as_slice(), entry) {
        ([], Some(entry)) => Ok(entry),
        ([], None) => Err(IntakeError::BadChange {
            detail: format!("`{name}` is no entry of a result, and no badge has that number"),
            right: "the entry of a result, such as 412, or --report with the number of a whole \
                    report"
                .to_owned(),
        }),
        (badges, _) => {
            let results = badges.iter().flat_map(|it| &it.results);
            let entries: Vec<String> = results
                .map(|it| format!("wearbook badge accept entry:{} ({})", it.entry, it.report))
                .collect();
            Err(IntakeError::BadChange {
                detail: format!(
                    "`{name}` is the number of a badge, and a result is accepted by its entry"
                ),
                right: match entries.is_empty() {
                    true => "it has no result yet".to_owned(),
                    false => entries.join("; "),
                },
            })
        }
    }
}

fn result_of_entry(
    snapshot: &Snapshot<'_>,
    entry: i64,
) -> Result<(ResultName, Box<BadgeResult>), IntakeError> {
    let stored = snapshot.entry(entry)?;
    let newest = snapshot.newest(stored.record)?;
    if newest != entry {
        return Err(LedgerError::from(Refusal::NotNewest { entry, newest }).into());
    }
    match snapshot.body(entry)? {
        Some(Body::BadgeResult(body)) => Ok((
            ResultName {
                entry,
                record: stored.record,
                report: body.report.clone(),
                reported_on: body.reported_on,
                total: body.total_nsv,
            },
            body,
        )),
        _ => Err(IntakeError::BadChange {
            detail: format!(
                "entry {entry} is not a current badge result but a {}",
                stored.kind_word()
            ),
            right: "the entry of a result, or --report with the number of a whole report"
                .to_owned(),
        }),
    }
}

fn results_of_report(
    snapshot: &Snapshot<'_>,
    report: &str,
) -> Result<Vec<(ResultName, Box<BadgeResult>)>, IntakeError> {
    let names = snapshot.results_of_report(report)?;
    if names.is_empty() {
        let known = snapshot.newest_reports()?;
        return Err(NoSuchName {
            what: Sought::Report,
            name: report.to_owned(),
            near: near(report, known.iter().map(String::as_str)),
        }
        .into());
    }
    let mut results = Vec::new();
    for name in names {
        if let Some(Body::BadgeResult(body)) = snapshot.body(name.entry)? {
            results.push((name, body));
        }
    }
    Ok(results)
}

/// How an entry stands by what is held of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Standing {
    Counts,
    Open(i64),
    RuledOut,
}

fn standing(held: &[HeldRow], entry: i64) -> Standing {
    let mut standing = Standing::Counts;
    for row in held.iter().filter(|row| row.entry == entry) {
        match row.disposition.as_ref().map(|it| it.outcome) {
            None => return Standing::Open(row.item),
            Some(Outcome::DoesNotCount) => standing = Standing::RuledOut,
            Some(Outcome::Counts) => {}
        }
    }
    standing
}

fn not_acceptable(name: &ResultName, standing: Standing) -> Fault {
    let entry = name.entry;
    let (what, right) = match standing {
        Standing::Open(item) => (
            "is on hold and not resolved",
            format!(
                "resolve it first: wearbook hold resolve {entry}.{item} --counts --reason WHY; or \
                 with --does-not-count or --is ID instead, where that is so"
            ),
        ),
        _ => (
            "was resolved not to count",
            "the result that counts".to_owned(),
        ),
    };
    Fault::new(None, "result", &format!("entry {entry}"), what, right)
}

/// Appends the bodies, or refuses all with every fault.
pub(crate) fn append_all(
    writer: &mut Writer<'_>,
    names: &Names,
    bodies: Vec<Body>,
    mut faults: Faults,
) -> Result<Taken, IntakeError> {
    let mut taken = Taken::default();
    if faults.any() {
        return Err(faults.refuse(None, Vec::new()));
    }
    for body in bodies {
        let kind = body.kind().word();
        let key = label_in(&writer.snapshot()?, names, &body)?;
        let written = writer.append(body, false);
        if let Some(written) = or_fault(writer, names, (None, &key), written, &mut faults)? {
            taken.put(None, kind, key, written);
        }
    }
    if faults.any() {
        return Err(faults.refuse(None, Vec::new()));
    }
    Ok(taken.ending(writer.head()))
}
