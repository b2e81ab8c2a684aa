//! Signatures under months, and what was written later that changes a signed one.

use serde::Serialize;

use super::people::{histories_for, people, signed};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::calendar::{Day, Month, Span};
use crate::ledger::{Entry, Snapshot, Stored};
use crate::quantity::Dose;
use crate::record::{Body, RecordId, Review, Scope, SignedFigure};
use crate::rule::Tells;

/// One signature.
#[derive(Debug, Clone, Serialize)]
pub struct SignedLine {
    /// The month.
    pub month: String,
    /// The day.
    pub on: Day,
    /// Who signed.
    pub by: String,
    /// How many entries it covers.
    pub entries: i64,
    /// The hash of the last of them.
    pub head: String,
    /// Findings that said stop and were open.
    pub open_stops: i64,
    /// Why it was signed all the same, or again.
    pub reason: Option<String>,
    /// Its own entry.
    pub entry: i64,
}

/// One thing that changed a signed month.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Changed {
    /// The month.
    pub month: String,
    /// Whom or what it is about.
    pub subject: String,
    /// Before and after, in words.
    pub what: String,
    /// The entry that did it; nothing for a figure.
    pub entry: Option<i64>,
    /// Why, as the entry says.
    pub reason: Option<String>,
}

fn reviews(snapshot: &Snapshot<'_>) -> Result<Vec<Stored<Review>>, AnswerError> {
    let mut all = snapshot.all::<Review>()?;
    all.sort_by_key(|it| it.entry);
    Ok(all)
}

/// Signatures, of one month or of all.
pub(crate) fn signatures(
    house: &OpenHouse<'_>,
    month: Option<Month>,
) -> Result<Vec<SignedLine>, AnswerError> {
    let month = month.map(|it| it.to_string());
    let mine = |it: &Stored<Review>| month.as_ref().is_none_or(|month| it.body.month == *month);
    let all = reviews(house.snapshot)?.into_iter().filter(mine);
    Ok(all
        .map(|it| SignedLine {
            month: it.body.month,
            on: it.body.on,
            by: house.names.label(it.body.by.number()),
            entries: it.body.entries,
            head: it.body.head,
            open_stops: it.body.open_stops,
            reason: it.body.reason,
            entry: it.entry,
        })
        .collect())
}

/// The days that a body speaks of.
fn days_of(body: &Body) -> Option<Span> {
    let one = |day: Day| {
        Some(Span {
            first: day,
            last: day,
        })
    };
    match body {
        Body::Sheet(it) => one(it.day),
        Body::ShiftStart(it) => one(it.day),
        Body::Badge(it) => Some(Span {
            first: it.first_day,
            last: it.last_day,
        }),
        Body::Inspection(it) => one(it.on),
        Body::Check(it) => one(it.on),
        Body::LeakTest(it) => one(it.on),
        Body::Inventory(it) => one(it.on),
        Body::SourceCheck(it) => one(it.on),
        Body::Servicing(it) => one(it.on),
        Body::Withdrawal(it) => one(it.on),
        Body::ServiceReturn(it) => one(it.on),
        Body::Determination(it) => match it.scope {
            Scope::Days {
                first_day,
                last_day,
            } => Some(Span {
                first: first_day,
                last: last_day,
            }),
            _ => one(it.on),
        },
        _ => None,
    }
}

/// What is to be said of an entry that touches a span: a correction, or one written late.
fn of_entry(
    house: &OpenHouse<'_>,
    entry: &Entry,
    span: Span,
) -> Result<Option<(String, String)>, AnswerError> {
    let new = entry.read_body().ok().flatten();
    let old = match entry.ends {
        Some(ends) => house.snapshot.body(ends)?,
        None => None,
    };
    let touches = |body: &Option<Body>| {
        body.as_ref()
            .and_then(days_of)
            .is_some_and(|days| days.overlaps(&span))
    };
    if !touches(&new) && !touches(&old) {
        return Ok(None);
    }
    let about = new.as_ref().or(old.as_ref());
    let subject = about.map_or_else(String::new, |body| {
        let day = days_of(body).map_or_else(String::new, |it| format!(" {}", it.first));
        let whom = whom(body);
        let whom = whom.map_or_else(String::new, |it| format!(" {}", house.names.label(it)));
        format!("{}{day}{whom}", body.kind().word())
    });
    let what = match (entry.ends, &new) {
        (Some(ends), Some(_)) => format!("entry {ends} was corrected"),
        (Some(ends), None) => format!("entry {ends} was voided"),
        (None, _) => "was written after the month was signed".to_owned(),
    };
    Ok(Some((subject, what)))
}

/// What was written after a signature and changes that month: of one month since its last
/// signature, or of every signed month since the last signature of all.
pub(crate) fn changes(
    house: &OpenHouse<'_>,
    month: Option<Month>,
) -> Result<Vec<Changed>, AnswerError> {
    let all = reviews(house.snapshot)?;
    let Some(newest) = all.last() else {
        return Ok(Vec::new());
    };
    let since = newest.body.entries;
    let mut months: Vec<&Stored<Review>> = Vec::new();
    for it in all.iter().rev() {
        let asked = month.is_none_or(|month| month.to_string() == it.body.month);
        if asked && !months.iter().any(|other| other.body.month == it.body.month) {
            months.push(it);
        }
    }
    months.sort_by(|a, b| a.body.month.cmp(&b.body.month));
    let (count, _) = house.snapshot.head()?;
    let from = match month {
        Some(_) => months.first().map_or(since, |it| it.body.entries),
        None => since,
    };
    let later = house.snapshot.entries(from.saturating_add(1), count)?;
    let mut lines = Vec::new();
    for it in months {
        let Ok(of) = Month::parse(&it.body.month) else {
            continue;
        };
        let mut mine = Vec::new();
        for entry in &later {
            if let Some((subject, what)) = of_entry(house, entry, of.span())? {
                mine.push(Changed {
                    month: it.body.month.clone(),
                    subject,
                    what,
                    entry: Some(entry.seq),
                    reason: entry.reason.clone(),
                });
            }
        }
        // A figure can change by a result of a badge whose days lie elsewhere: it is looked at
        // in any case where one month is asked, and where an entry touches the month.
        if month.is_some() || !mine.is_empty() {
            lines.extend(figures(house, &it.body, of)?);
        }
        lines.extend(mine);
    }
    Ok(lines)
}

/// Each person's deep dose of a month and of the year up to its end.
pub fn figures_of(
    house: &OpenHouse<'_>,
    month: Month,
    on: Day,
) -> Result<Vec<SignedFigure>, AnswerError> {
    let span = Span {
        last: on,
        ..month.span()
    };
    let histories = histories_for(house, span, on)?;
    let (people, _) = people(house, &histories, span, on)?;
    let mut figures: Vec<SignedFigure> = people
        .iter()
        .map(|it| SignedFigure {
            at_least: it.month.at_least || it.year.at_least,
            month_nsv: Dose::from_nsv(it.month.known_nsv),
            of_record_nsv: Dose::from_nsv(it.year.of_record.nsv),
            worker: it.record.into(),
            year_nsv: Dose::from_nsv(it.year.known_nsv),
        })
        .collect();
    figures.sort_by_key(|it| it.worker);
    Ok(figures)
}

/// Figures of a signed month that are others now, before and after.
/// The record that a body is about: the job of a sheet, else the one that its key begins with.
fn whom(body: &Body) -> Option<RecordId> {
    if let Body::Sheet(sheet) = body {
        return sheet.job.number();
    }
    let key = body.key();
    let references = body.references();
    let begins = |record: RecordId| key.split('/').next() == Some(record.to_string().as_str());
    let of_key = references.iter().find(|it| begins(it.record));
    of_key.or(references.first()).map(|it| it.record)
}

fn figures(
    house: &OpenHouse<'_>,
    signed_one: &Review,
    month: Month,
) -> Result<Vec<Changed>, AnswerError> {
    let unit = house.unit();
    let on = signed_one.on.min(month.span().last);
    let now = figures_of(house, month, on)?;
    let mut people: Vec<RecordId> = now.iter().map(|it| it.worker.number()).collect();
    people.extend(signed_one.figures.iter().map(|it| it.worker.number()));
    people.sort_unstable();
    people.dedup();
    let find = |list: &[SignedFigure], worker| list.iter().find(|it| it.worker == worker).cloned();
    let mut lines = Vec::new();
    for worker in people {
        let then = find(&signed_one.figures, worker.into());
        let now = find(&now, worker.into());
        if then == now {
            continue;
        }
        let words = |it: &Option<SignedFigure>| match it {
            None => "not in the review".to_owned(),
            Some(it) => format!(
                "{}{} (year {}, of record {})",
                if it.at_least { "at least " } else { "" },
                it.month_nsv.display(unit),
                it.year_nsv.display(unit),
                it.of_record_nsv.display(unit)
            ),
        };
        let nsv = |it: &Option<SignedFigure>| it.as_ref().map_or(0, |it| it.month_nsv.nsv());
        let change = signed(nsv(&now).saturating_sub(nsv(&then)), unit);
        lines.push(Changed {
            month: month.to_string(),
            subject: house.names.label(worker),
            what: format!("{} before, {} now: {change}", words(&then), words(&now)),
            entry: None,
            reason: None,
        });
    }
    Ok(lines)
}

/// What a signed month was and is.
#[derive(Debug, Clone, Serialize)]
pub struct DiffAnswer {
    /// The month.
    pub month: String,
    /// Its signatures.
    pub signed: Vec<SignedLine>,
    /// What changed since the last of them.
    pub changed: Vec<Changed>,
    /// The rule set's caution.
    pub confirm: String,
}

/// What changed in a month since it was signed last.
///
/// # Errors
/// A month that nobody signed.
pub fn review_diff(house: &OpenHouse<'_>, month: Month) -> Result<DiffAnswer, AnswerError> {
    let signed = signatures(house, Some(month))?;
    if signed.is_empty() {
        let known = signatures(house, None)?;
        return Err(crate::answer::context::sought::NoSuchName {
            what: crate::answer::context::sought::Sought::SignedMonth,
            name: month.to_string(),
            near: known.into_iter().rev().take(3).map(|it| it.month).collect(),
        }
        .into());
    }
    let rule_set = house.rule_set_on(month.span().last)?;
    Ok(DiffAnswer {
        month: month.to_string(),
        changed: changes(house, Some(month))?,
        signed,
        confirm: rule_set.caution_of(Tells::Both),
    })
}
