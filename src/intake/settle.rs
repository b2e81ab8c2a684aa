//! Settling a conflict between results and determinations: which are of record.

use std::collections::BTreeMap;

use super::authority;
use super::effect::with_changes;
use super::fault::{Fault, Faults, IntakeError};
use super::register::today;
use super::take::Taken;
use super::verdict::{By, append_all, day_of};
use crate::answer::{Conflict, House, Names, Side, open_conflicts};
use crate::calendar::Span;
use crate::ledger::{Author, Instant, Ledger, Mode, Snapshot};
use crate::record::{Body, OfRecord, Record, RecordId, Resolution, Version};

/// What is of record.
#[derive(Debug, Clone, Copy)]
pub enum Settled<'a> {
    /// Results and determinations by their newest entries, and the one of them
    /// that speaks for the rest only.
    Entries {
        /// Those that stand for what they are about.
        of_record: &'a [i64],
        /// The one that stands for the shifts that they are not about.
        rest: Option<i64>,
    },
    /// Of what contradicts each other about one badge.
    Badge {
        /// Its number, or NUMBER/FIRST_DAY.
        badge: &'a str,
        /// The kind that is of record; both: the result for the rest.
        which: Option<OfRecord>,
    },
}

/// Settles which of what contradicts each other is of record.
///
/// # Errors
/// Somebody without the role, an entry that is part of no open conflict, or a choice that
/// leaves the conflict as it is.
pub fn settle(
    ledger: &mut Ledger,
    author: &Author,
    now: Instant,
    mode: Mode,
    (what, reason): (Settled<'_>, &str),
    by: By<'_>,
) -> Result<Taken, IntakeError> {
    ledger.write(author, now, mode, |writer| {
        let mut faults = Faults::default();
        let names = Names::load(&writer.snapshot()?)?;
        let mut people = BTreeMap::new();
        let body = {
            let snapshot = writer.snapshot()?;
            let by_worker = names.worker(by.worker)?;
            let second_by = by.second.map(|id| names.worker(id)).transpose()?;
            let on = day_of(&names, now, by, &mut faults);
            let found = match what {
                Settled::Entries { of_record, rest } => {
                    by_entries(&snapshot, of_record, rest, &mut faults)?
                }
                Settled::Badge { badge, which } => by_badge(&snapshot, badge, which, &mut faults)?,
            };
            // The same again is no mistake: it stands as it was written.
            let again = match found.is_none() && second_by.is_none() {
                true => written_before(&snapshot, what, reason)?.filter(|it| it.by == by_worker),
                false => None,
            };
            if again.is_some() {
                faults = Faults::default();
            }
            people.extend(found.iter().map(|it| (it.worker, it.days)));
            let body = found.map(|found| Resolution {
                by: by_worker,
                on,
                reason: reason.to_owned(),
                rest: found.rest,
                second_by,
                set_aside: found.set_aside,
                stands: found.stands,
                worker: found.worker.into(),
            });
            let body = body.or(again);
            if let Some(body) = &body {
                let problems = body.problems().into_iter();
                let body = Body::from(body.clone());
                for problem in problems.chain(authority::problems(&snapshot, &names, &body)?) {
                    faults.push(Fault::of_problem(None, problem));
                }
            }
            body.map(Body::from)
        };
        if faults.any() {
            people.clear();
        }
        let when = (today(&names, now), now);
        with_changes(writer, people, when, |writer| {
            append_all(writer, &names, body.into_iter().collect(), faults)
        })
    })
}

/// The resolution in force that says the same for the same reason.
fn written_before(
    snapshot: &Snapshot<'_>,
    what: Settled<'_>,
    reason: &str,
) -> Result<Option<Resolution>, IntakeError> {
    let results: Vec<i64> = match what {
        Settled::Badge { badge, .. } => {
            let number = badge.split('/').next().unwrap_or(badge);
            let wears = snapshot.wear_of_number(number)?;
            let results = wears.iter().flat_map(|it| &it.results);
            results.map(|it| it.entry).collect()
        }
        Settled::Entries { .. } => Vec::new(),
    };
    let same = |it: &Resolution| match what {
        Settled::Entries { of_record, rest } => {
            let mut stands: Vec<i64> = it.stands.iter().map(|it| it.entry).collect();
            stands.sort_unstable();
            let mut asked = of_record.to_vec();
            asked.sort_unstable();
            stands == asked && it.rest.map(|it| it.entry) == rest
        }
        Settled::Badge { which, .. } => {
            let is_result = |it: &Version| results.contains(&it.entry);
            let named = it.named().any(|(_, it)| is_result(&it));
            let stands = match which {
                Some(OfRecord::Result) => it.stands.iter().any(is_result),
                Some(OfRecord::Determination) => it.set_aside.iter().any(is_result),
                None => it.rest.as_ref().is_some_and(is_result),
            };
            named && stands
        }
    };
    let all = snapshot.all::<Resolution>()?.into_iter();
    let mut all = all.map(|it| it.body);
    Ok(all.find(|it| it.reason == reason && same(it)))
}

/// What a resolution will name.
struct Found {
    worker: RecordId,
    /// The days that they are about.
    days: Span,
    stands: Vec<Version>,
    rest: Option<Version>,
    set_aside: Vec<Version>,
}

fn by_entries(
    snapshot: &Snapshot<'_>,
    of_record: &[i64],
    rest: Option<i64>,
    faults: &mut Faults,
) -> Result<Option<Found>, IntakeError> {
    let house = House::load(snapshot)?;
    let named: Vec<i64> = of_record.iter().copied().chain(rest).collect();
    let mut worker = None;
    for entry in &named {
        match worker_of(snapshot, *entry)? {
            Some(whose) if worker.is_none_or(|it| it == whose) => worker = Some(whose),
            _ => {
                faults.push(Fault::new(
                    None,
                    "of_record",
                    &entry.to_string(),
                    "is no result or determination, or not of the person whose dose the others are",
                    "an entry that `wearbook dose show ID --why` lists as in conflict",
                ));
                return Ok(None);
            }
        }
    }
    let Some(worker) = worker else {
        return Ok(None);
    };
    let open = open_conflicts(snapshot, &house, worker)?;
    let touched: Vec<&Conflict> = open
        .iter()
        .filter(|it| named.iter().any(|entry| it.entries.contains(entry)))
        .collect();
    for entry in &named {
        if !touched.iter().any(|it| it.entries.contains(entry)) {
            faults.push(Fault::new(
                None,
                "of_record",
                &entry.to_string(),
                "contradicts nothing: there is nothing to settle",
                format!(
                    "an entry of an open conflict; to take a result alone from now on: wearbook \
                     badge accept {entry} --by-worker ID"
                ),
            ));
        }
    }
    if let Some(rest) = rest
        && !leaves_a_rest(&touched, rest)
    {
        faults.push(no_rest("rest", &rest.to_string()));
    }
    if faults.any() {
        return Ok(None);
    }
    chosen(snapshot, worker, &touched, of_record, rest).map(Some)
}

/// Whether a result or determination speaks for a shift for which no other in conflict does.
fn leaves_a_rest(touched: &[&Conflict], entry: i64) -> bool {
    let mut sides = touched.iter().flat_map(|it| &it.sides);
    sides.any(|it| it.entry == entry && it.of_all)
}

fn no_rest(field: &str, value: &str) -> Fault {
    Fault::new(
        None,
        field,
        value,
        "is about no shift that the others are not about: nothing is left for it",
        "one or the other",
    )
}

/// Everything of the conflicts that is not of record is set aside.
fn chosen(
    snapshot: &Snapshot<'_>,
    worker: RecordId,
    touched: &[&Conflict],
    of_record: &[i64],
    rest: Option<i64>,
) -> Result<Found, IntakeError> {
    let version = |entry: i64| -> Result<Version, IntakeError> {
        Ok(Version {
            entry,
            record: snapshot.entry(entry)?.record.into(),
        })
    };
    let mut aside: Vec<i64> = touched.iter().flat_map(|it| it.entries.clone()).collect();
    aside.sort_unstable();
    aside.dedup();
    aside.retain(|it| !of_record.contains(it) && rest != Some(*it));
    let all = |entries: &[i64]| -> Result<Vec<Version>, IntakeError> {
        entries.iter().map(|it| version(*it)).collect()
    };
    let first = touched.iter().map(|it| it.days.first).min();
    let last = touched.iter().map(|it| it.days.last).max();
    let days = Span {
        first: first.unwrap_or(Span::OPEN_START),
        last: last.unwrap_or(Span::OPEN_END),
    };
    Ok(Found {
        worker,
        days,
        stands: all(of_record)?,
        rest: rest.map(version).transpose()?,
        set_aside: all(&aside)?,
    })
}

fn by_badge(
    snapshot: &Snapshot<'_>,
    badge: &str,
    which: Option<OfRecord>,
    faults: &mut Faults,
) -> Result<Option<Found>, IntakeError> {
    let number = badge.split('/').next().unwrap_or(badge);
    let wears = snapshot.wear_of_number(number)?;
    let named = wears
        .iter()
        .filter(|it| wears.len() == 1 || badge == number || it.name().eq_ignore_ascii_case(badge));
    let house = House::load(snapshot)?;
    let mut open: Vec<(RecordId, RecordId, Conflict)> = Vec::new();
    let mut known = false;
    for wear in named {
        known = true;
        let Some(worker) = wear.worker else { continue };
        let all = open_conflicts(snapshot, &house, worker)?;
        let of_it = all.into_iter().filter(|it| it.wear == Some(wear.record));
        open.extend(of_it.map(|it| (worker, wear.record, it)));
    }
    let mut refuse = |what: &str, right: String| {
        faults.push(Fault::new(None, "badge", badge, what.to_owned(), right));
        Ok(None)
    };
    let Some((worker, record, _)) = open.first() else {
        let near = snapshot.numbers_like(number)?;
        return match known {
            false => refuse(
                "is not a badge that the ledger knows",
                match near.is_empty() {
                    true => "the number on a badge, or NUMBER/FIRST_DAY".to_owned(),
                    false => super::register::quoted(&near),
                },
            ),
            true => refuse(
                "has nothing that contradicts its result: there is nothing to settle",
                "to take the result alone from now on: wearbook badge accept ENTRY --by-worker ID"
                    .to_owned(),
            ),
        };
    };
    if open.iter().any(|(_, it, _)| it != record) {
        return refuse(
            "is the number of several wear periods in conflict",
            "NUMBER/FIRST_DAY".to_owned(),
        );
    }
    let touched: Vec<&Conflict> = open.iter().map(|(_, _, it)| it).collect();
    of_badge(snapshot, *worker, &touched, (badge, which), faults)
}

/// Of what contradicts each other about one badge, the kind that is of record.
fn of_badge(
    snapshot: &Snapshot<'_>,
    worker: RecordId,
    touched: &[&Conflict],
    (badge, which): (&str, Option<OfRecord>),
    faults: &mut Faults,
) -> Result<Option<Found>, IntakeError> {
    let refuse = |faults: &mut Faults, what: &str, right: &str| {
        faults.push(Fault::new(None, "badge", badge, what.to_owned(), right));
        Ok(None)
    };
    let mut sides: Vec<Side> = touched.iter().flat_map(|it| it.sides.clone()).collect();
    sides.sort_by_key(|it| it.order);
    sides.dedup_by_key(|it| it.entry);
    let of = |result: bool| -> Vec<i64> {
        let all = sides.iter().filter(|it| it.is_result == result);
        all.map(|it| it.entry).collect()
    };
    let (results, determined) = (of(true), of(false));
    match (which, results.as_slice(), determined.as_slice()) {
        (Some(OfRecord::Result) | None, [_, _, ..], _) => refuse(
            faults,
            "has several reports that contradict each other",
            "the entry of the one of record: wearbook dose settle --of-record ENTRY",
        ),
        (Some(OfRecord::Result), [one], _) => {
            chosen(snapshot, worker, touched, &[*one], None).map(Some)
        }
        (Some(OfRecord::Determination), _, [_, ..]) => {
            chosen(snapshot, worker, touched, &determined, None).map(Some)
        }
        (None, [one], [_, ..]) if !leaves_a_rest(touched, *one) => {
            faults.push(no_rest("badge", badge));
            Ok(None)
        }
        (None, [one], [_, ..]) => {
            chosen(snapshot, worker, touched, &determined, Some(*one)).map(Some)
        }
        _ => refuse(
            faults,
            "has no such figure in conflict",
            "what `wearbook dose show ID --why` lists as in conflict",
        ),
    }
}

fn worker_of(snapshot: &Snapshot<'_>, entry: i64) -> Result<Option<RecordId>, IntakeError> {
    if !(1..=snapshot.known_at()).contains(&entry) {
        return Ok(None);
    }
    Ok(match snapshot.body(entry)? {
        Some(Body::Determination(it)) => Some(it.worker.number()),
        Some(Body::BadgeResult(it)) => match it.badge.known() {
            Some(badge) => match snapshot.body(snapshot.newest(badge.number())?)? {
                Some(Body::Badge(badge)) => badge.worker.map(|it| it.number()),
                _ => None,
            },
            None => None,
        },
        _ => None,
    })
}
