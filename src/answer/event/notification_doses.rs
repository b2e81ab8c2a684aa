//! What was known of a dose of an event from which moment on, and what the limits leave for it.

use std::collections::BTreeSet;

use super::happened::Happened;
use super::person::{Person, minute};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::context::view::is_private;
use crate::calendar::{Day, Instant, Span, When, parse_instant};
use crate::dose::index::DoseIndex;
use crate::dose::input::{Chosen, Dosimetry, History, Scope};
use crate::dose::level::{Certainty, standings};
use crate::dose::total::{QUANTITIES, Total};
use crate::dose::work_status::{InEvent, Lack, Settling};
use crate::ledger::{LedgerError, Snapshot};
use crate::notification::{Assessed, Left};
use crate::quantity::Dose;
use crate::record::{Body, RecordId};
use crate::rule::{LevelType, Quantity, Reached, RuleSet};

/// When something became known, and the entry to name where its clock cannot be trusted.
#[derive(Clone, Copy)]
pub(crate) struct KnownAt {
    pub at: Instant,
    pub clock_doubted: Option<i64>,
}

/// When an entry was written; where the clock cannot be trusted the earliest that is possible,
/// and not before the event: a clock that starts too early harms nobody.
pub(crate) fn written_at(
    house: &OpenHouse<'_>,
    it: &Happened,
    entry: i64,
) -> Result<KnownAt, AnswerError> {
    let text = house.snapshot.entry(entry)?.written_at;
    let says = parse_instant(&text).map_err(|error| LedgerError::Damaged {
        detail: format!("entry {entry}: {error}"),
    })?;
    let doubted = house.clocks.is_doubted(entry);
    let earliest = house.clocks.bounds(entry, says.to_utc()).earliest;
    let earliest = earliest.unwrap_or(it.occurred);
    Ok(KnownAt {
        at: minute(match doubted {
            true => earliest.max(it.occurred),
            false => earliest,
        }),
        clock_doubted: doubted.then_some(entry),
    })
}

/// When what a record says became known: a result when anyone at the licensee had it, by telephone
/// too, whoever wrote it down or accepted it when; a determination on the day on which it was made,
/// however much later it was entered.
fn known_at(
    house: &OpenHouse<'_>,
    it: &Happened,
    record: RecordId,
) -> Result<KnownAt, AnswerError> {
    let written = written_at(house, it, record)?;
    let newest = house.snapshot.body(house.snapshot.newest(record)?)?;
    let zone = house.names.zone;
    let said = match newest {
        Some(Body::BadgeResult(result)) => {
            let received = result.received_at.as_deref();
            received.and_then(|text| When::parse(text, zone).ok()?.earliest)
        }
        // Of a day no hour is known: its first, but nobody determines what nobody knows of.
        Some(Body::Determination(made)) if made.on < zone.local_day(written.at) => {
            let day = When::parse(&made.on.to_string(), zone).ok();
            let first = day.and_then(|it| it.earliest);
            first.map(|first| first.max(it.discovered))
        }
        _ => None,
    };
    Ok(match said {
        Some(at) if at < written.at => KnownAt {
            at: minute(at),
            clock_doubted: None,
        },
        _ => written,
    })
}

/// The entries of records above the readings, with the number of each record's first entry: an
/// amended record counts from when it was first written, the earlier side.
fn above(
    snapshot: &Snapshot<'_>,
    dosimetry: &Dosimetry,
    days: &BTreeSet<Day>,
    sheets: &[i64],
) -> Result<Vec<i64>, AnswerError> {
    let worn = |record: i64| {
        let wear = dosimetry.wear.iter().find(|it| it.record == record);
        wear.is_some_and(|it| {
            days.iter()
                .any(|day| dosimetry.worn_days(it).contains(*day))
        })
    };
    let about = dosimetry.determinations.iter().filter(|it| match it.scope {
        Scope::Span(span) => days.iter().any(|day| span.contains(*day)),
        Scope::WearPeriod(record) => worn(record),
        Scope::Event { day, .. } => days.contains(&day),
        Scope::Reading { sheet, .. } | Scope::Shift { sheet } => sheets.contains(&sheet),
    });
    let mut entries: Vec<i64> = about.map(|it| it.entry).collect();
    let results = dosimetry.results.iter();
    let worn_in = results.filter(|it| it.wear.is_some_and(worn));
    entries.extend(worn_in.map(|it| it.entry));
    let known = entries.clone();
    let resolved = dosimetry.resolutions.iter().filter(|it| match &it.of {
        Chosen::OfBadge { wear, .. } => worn(*wear),
        Chosen::Entries {
            stands, set_aside, ..
        } => stands.iter().chain(set_aside).any(|it| known.contains(it)),
    });
    entries.extend(resolved.map(|it| it.entry));
    let mut records = Vec::new();
    for entry in entries {
        records.push(snapshot.entry(entry)?.record);
    }
    records.sort_unstable();
    records.dedup();
    Ok(records)
}

/// The history as it was when of what stands above the readings only some records were known.
fn as_of(
    snapshot: &Snapshot<'_>,
    history: &History,
    records: &[RecordId],
) -> Result<History, AnswerError> {
    let known = |entry: i64| -> Result<bool, AnswerError> {
        Ok(records.contains(&snapshot.entry(entry)?.record))
    };
    let mut then = history.clone();
    let dosimetry = &mut then.facts.dosimetry;
    let mut keep = BTreeSet::new();
    let entries = dosimetry.determinations.iter().map(|it| it.entry);
    let entries = entries.chain(dosimetry.results.iter().map(|it| it.entry));
    let entries = entries.chain(dosimetry.resolutions.iter().map(|it| it.entry));
    for entry in entries {
        if known(entry)? {
            keep.insert(entry);
        }
    }
    dosimetry
        .determinations
        .retain(|it| keep.contains(&it.entry));
    dosimetry.results.retain(|it| keep.contains(&it.entry));
    dosimetry.resolutions.retain(|it| keep.contains(&it.entry));
    Ok(then)
}

/// The conservative dose of some days: held readings and whole lumps are in it.
fn dose_of_days(
    index: &DoseIndex,
    days: &BTreeSet<Day>,
    quantity: Quantity,
) -> Result<Total, AnswerError> {
    let (Some(first), Some(last)) = (days.first(), days.last()) else {
        return Ok(Total::empty(quantity));
    };
    // One span: a lump over two of the days must not count twice.
    let span = Span {
        first: *first,
        last: *last,
    };
    Ok(index.safe(span, quantity)?)
}

pub(crate) fn assess_person(
    house: &OpenHouse<'_>,
    it: &Happened,
    worker: RecordId,
    person: &mut Person,
) -> Result<(), AnswerError> {
    let facts = house.facts(worker)?;
    let (Some(first), Some(last)) = (person.days.first().copied(), person.days.last().copied())
    else {
        return Ok(());
    };
    let rule_set = house.judging(last)?;
    let needed = house.span_needed(rule_set, facts, Span { first, last }, last);
    let history = house.history(worker, needed)?;
    let part = InEvent {
        event: it.body.name.clone(),
        entry: it.entry,
        days: person.days.clone(),
        unworn: person.without,
        near: person.near.clone(),
    };
    let open = Settling::of(&history)?.open_in(&part).into_iter();
    let near = open.filter(|it| matches!(it.lack, Lack::Near(_)));
    person.near_open = near.map(|it| it.quantity).collect();
    let shifts = history.shifts.iter();
    let sheets: Vec<i64> = shifts
        .filter(|shift| {
            let over = shift.crosses_midnight && shift.day.succ_opt() == Some(first);
            person.days.contains(&shift.day) || over
        })
        .map(|shift| shift.sheet)
        .collect();
    person.on_sheet = !sheets.is_empty();
    let mut records = Vec::new();
    let dosimetry = &history.facts.dosimetry;
    for record in above(house.snapshot, dosimetry, &person.days, &sheets)? {
        records.push((known_at(house, it, record)?, record));
    }
    // What was heard by telephone was known before what was written down in the meantime.
    records.sort_by_key(|(known, record)| (known.at, *record));
    match sheets.iter().min() {
        Some(sheet) => {
            let read = as_of(house.snapshot, &history, &[])?;
            let known = written_at(house, it, *sheet)?;
            assess(person, &read, false, known)?;
        }
        // Nothing measured, and something was determined: until then nobody knew.
        None => person.doses.push(Assessed {
            person: person.label.clone(),
            quantity: Quantity::Deep,
            dose: Dose::ZERO,
            open: true,
            of_record: false,
            reported: false,
            known_at: minute(it.discovered),
            clock_doubted: None,
        }),
    }
    let mut by_then = Vec::new();
    for (known, record) in records {
        by_then.push(record);
        let then = as_of(house.snapshot, &history, &by_then)?;
        assess(person, &then, true, known)?;
    }
    if sheets.is_empty() && person.doses.len() == 1 {
        person.doses.clear();
    }
    limits(rule_set, &history, last, person)
}

/// Adds what a history says of the person's days.
fn assess(
    person: &mut Person,
    history: &History,
    later: bool,
    known: KnownAt,
) -> Result<(), AnswerError> {
    let index = DoseIndex::build(history)?;
    for quantity in QUANTITIES {
        let total = dose_of_days(&index, &person.days, quantity)?;
        let of_record = later && total.provisional == Dose::ZERO;
        if total.assessed > 0 {
            person.doses.push(Assessed {
                person: person.label.clone(),
                quantity,
                dose: total.known(),
                // Readings of somebody who wore nothing at the time are no upper bound.
                open: total.undetermined > 0 || (person.without && !of_record),
                of_record,
                reported: total.reported > Dose::ZERO,
                known_at: known.at,
                clock_doubted: known.clock_doubted,
            });
        }
    }
    Ok(())
}

/// What each limit leaves for the dose of the event, by the records up to its last day.
fn limits(
    rule_set: &RuleSet,
    history: &History,
    on: Day,
    person: &mut Person,
) -> Result<(), AnswerError> {
    let index = DoseIndex::build(history)?;
    for standing in standings(rule_set, &history.facts, &index, on)? {
        if standing.level.kind != LevelType::Limit {
            continue;
        }
        let quantity = standing.level.quantity;
        let terms = rule_set.terms();
        let own = person.last(quantity);
        let dose = own.map_or(Dose::ZERO, |it| it.dose);
        let open = own.is_some_and(|it| it.open);
        person.limits.push(Left {
            person: person.label.clone(),
            quantity,
            limit: match is_private(&standing) {
                true => format!(
                    "{} limit that the RSO knows (see RSO)",
                    terms.short(quantity)
                ),
                false => format!(
                    "{} limit of {} ({})",
                    terms.short(quantity),
                    rule_set.print(standing.level.dose),
                    standing.level.window
                ),
            },
            left: standing.left.checked_add(dose)?,
            at_or_above: standing.level.reached == Reached::AtOrAbove,
            unsure: standing.certainty == Certainty::Undetermined && !open,
        });
    }
    Ok(())
}
