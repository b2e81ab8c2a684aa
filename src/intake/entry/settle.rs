//! Settling a conflict between results and determinations: which are of record.

use std::collections::BTreeMap;

use super::authority;
use super::effect::with_changes;
use super::fault::{Fault, Faults, IntakeError};
use super::label::label_in;
use super::settled_before::{Settled, nothing_to_settle, written_before};
use super::taken::{Taken, taken};
use super::verdict::{By, append_all, day_of};
use crate::answer::{
    Conflict, House, Names, OpenHouse, Side, by_flags, open_conflicts, settled_by,
};
use crate::calendar::Span;
use crate::intake::register::today;
use crate::ledger::{Instant, LedgerError, Refusal, Snapshot, WearRow, Writer, Written};
use crate::record::{Body, OfRecord, Record, RecordId, Resolution, Version};

/// Settles which of what contradicts each other is of record.
///
/// # Errors
/// Somebody without the role, an entry that is part of no open conflict, or a choice that
/// leaves the conflict as it is.
pub fn settle(
    writer: &mut Writer<'_>,
    now: Instant,
    (what, reason): (Settled<'_>, &str),
    by: By<'_>,
) -> Result<Taken, IntakeError> {
    let mut faults = Faults::default();
    let names = Names::load(&writer.snapshot()?)?;
    let mut people = BTreeMap::new();
    let anew;
    let body = {
        let snapshot = writer.snapshot()?;
        let by_worker = names.worker(by.worker)?;
        let second_by = by.second.map(|id| names.worker(id)).transpose()?;
        let on = day_of(&names, now, by, &mut faults);
        let found = found(&snapshot, now, what, &mut faults)?;
        // The same again is no mistake: it stands as it was written.
        let settled = found.as_ref().is_none_or(|it| it.anew.is_some());
        let again = written_before(&snapshot, what, reason)?;
        let again = again.filter(|it| settled && it.by == by_worker && it.second_by == second_by);
        let found = found.filter(|_| again.is_none());
        if again.is_some() {
            faults = Faults::default();
        }
        anew = found.as_ref().and_then(|it| it.anew);
        if let Some(found) = &found {
            faults.list.extend(settled_so_already(&snapshot, found)?);
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
    with_changes(writer, people, when, |writer| match body {
        Some(body) if !faults.any() => write(writer, &names, (body, reason), anew),
        body => append_all(writer, &names, body.into_iter().collect(), faults),
    })
}

/// What a decision is about.
fn found(
    snapshot: &Snapshot<'_>,
    now: Instant,
    what: Settled<'_>,
    faults: &mut Faults,
) -> Result<Option<Found>, IntakeError> {
    match what {
        Settled::Entries { of_record, rest } => {
            by_entries(snapshot, now, (of_record, rest), faults)
        }
        Settled::Badge { badge, which } => by_badge(snapshot, now, (badge, which), faults),
    }
}

/// What resolved it before cannot give way to the same again, nor in the form of an older program.
fn settled_so_already(
    snapshot: &Snapshot<'_>,
    found: &Found,
) -> Result<Option<Fault>, IntakeError> {
    let Some(entry) = found.anew else {
        return Ok(None);
    };
    let another = match snapshot.body(entry)? {
        Some(Body::Resolution(old)) => {
            let before = (&old.stands, &old.rest, &old.set_aside);
            before != (&found.stands, &found.rest, &found.set_aside)
        }
        _ => false,
    };
    Ok((!another).then(|| {
        let what = format!("contradicts nothing: entry {entry} resolved it");
        let right =
            format!("another choice; to take that back: wearbook entry void {entry} --reason WHY");
        let stands = found.stands.iter().map(|it| it.entry.to_string());
        let value = stands.collect::<Vec<_>>().join(", ");
        Fault::new(None, "of_record", &value, what, right)
    }))
}

/// Writes a decision, or corrects the one that resolved the same before: a decision that was
/// taken back is made anew under its own name.
fn write(
    writer: &mut Writer<'_>,
    names: &Names,
    (body, reason): (Body, &str),
    anew: Option<i64>,
) -> Result<Taken, IntakeError> {
    let mut settled = anew;
    if settled.is_none() {
        match writer.append(body.clone(), false) {
            Err(LedgerError::Refused(
                Refusal::Voided { entry, .. } | Refusal::SameKey { entry, .. },
            )) => settled = Some(entry),
            written => return one(writer, names, &body, written?),
        }
    }
    let written = match settled {
        Some(entry) => writer.amend(entry, body.clone(), reason, false)?,
        None => writer.append(body.clone(), false)?,
    };
    let mut taken = one(writer, names, &body, written)?;
    taken.notes.extend(settled.map(|entry| {
        format!("it takes the place of entry {entry}, which resolved the same before")
    }));
    Ok(taken)
}

fn one(
    writer: &Writer<'_>,
    names: &Names,
    body: &Body,
    written: Written,
) -> Result<Taken, IntakeError> {
    let key = label_in(&writer.snapshot()?, names, body)?;
    Ok(taken(body.kind().word(), key, written, writer.head()))
}

/// What a resolution will name.
struct Found {
    worker: RecordId,
    /// The days that they are about.
    days: Span,
    stands: Vec<Version>,
    rest: Option<Version>,
    set_aside: Vec<Version>,
    /// The decision that resolved it before and gives way to this one.
    anew: Option<i64>,
}

fn by_entries(
    snapshot: &Snapshot<'_>,
    now: Instant,
    (of_record, rest): (&[i64], Option<i64>),
    faults: &mut Faults,
) -> Result<Option<Found>, IntakeError> {
    let house = House::load(snapshot)?;
    let house = house.open(snapshot);
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
    let names_one = |it: &&Conflict| named.iter().any(|entry| it.entries.contains(entry));
    let names_all = |all: &[Conflict]| {
        let mut each = named.iter();
        each.all(|entry| all.iter().any(|it| it.entries.contains(entry)))
    };
    let open = open_conflicts(&house, worker)?;
    let mut touched: Vec<Conflict> = open.iter().filter(names_one).cloned().collect();
    let mut anew = None;
    if !names_all(&touched)
        && let Some((by, before)) = settled_by(&house, worker, |all| {
            let touched: Vec<Conflict> = all.iter().filter(names_one).cloned().collect();
            match names_all(&touched) {
                true => touched,
                false => Vec::new(),
            }
        })?
    {
        (anew, touched) = (Some(by), before);
    }
    let touched: Vec<&Conflict> = touched.iter().collect();
    for entry in &named {
        if !touched.iter().any(|it| it.entries.contains(entry)) {
            let by = by_flags(&house.names, worker, house.today(now));
            let (what, right) = nothing_to_settle(snapshot, *entry, by)?;
            let value = entry.to_string();
            faults.push(Fault::new(None, "of_record", &value, what, right));
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
    let found = chosen(snapshot, worker, &touched, of_record, rest)?;
    Ok(Some(Found { anew, ..found }))
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
        anew: None,
    })
}

fn by_badge(
    snapshot: &Snapshot<'_>,
    now: Instant,
    (badge, which): (&str, Option<OfRecord>),
    faults: &mut Faults,
) -> Result<Option<Found>, IntakeError> {
    let number = badge.split('/').next().unwrap_or(badge);
    let wears = snapshot.wear_of_number(number)?;
    let named = wears
        .iter()
        .filter(|it| wears.len() == 1 || badge == number || it.name().eq_ignore_ascii_case(badge));
    let house = House::load(snapshot)?;
    let named: Vec<&WearRow> = named.collect();
    let (open, anew) = of_wears(&house.open(snapshot), &named)?;
    let whose = named.iter().filter_map(|it| it.worker).next_back();
    let by = whose.map_or("--performed-by ID", |it| {
        by_flags(&house.names, it, house.today(now))
    });
    let mut refuse = |what: &str, right: String| {
        faults.push(Fault::new(None, "badge", badge, what.to_owned(), right));
        Ok(None)
    };
    let Some((worker, record, _)) = open.first() else {
        let near = snapshot.numbers_like(number)?;
        return match !named.is_empty() {
            false => refuse(
                "is not a badge that the ledger knows",
                match near.is_empty() {
                    true => "the number on a badge, or NUMBER/FIRST_DAY".to_owned(),
                    false => crate::intake::file::words::quoted(&near),
                },
            ),
            true => refuse(
                "has nothing that contradicts its result: there is nothing to resolve",
                format!("to take the result alone from now on: wearbook badge accept ENTRY {by}"),
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
    let found = of_badge(snapshot, *worker, &touched, (badge, which, by), faults)?;
    Ok(found.map(|found| Found { anew, ..found }))
}

/// A conflict, whose it is, and of which wear period.
type OfWear = (RecordId, RecordId, Conflict);

/// What contradicts each other about some wear periods; where nothing is open, what was resolved,
/// with the decision that resolved it.
fn of_wears(
    house: &OpenHouse<'_>,
    wears: &[&WearRow],
) -> Result<(Vec<OfWear>, Option<i64>), IntakeError> {
    let of = |wear: &WearRow, all: &[Conflict]| -> Vec<Conflict> {
        let of_it = all.iter().filter(|it| it.wear == Some(wear.record));
        of_it.cloned().collect()
    };
    let worn = || wears.iter().filter_map(|it| Some((*it, it.worker?)));
    let mut open: Vec<OfWear> = Vec::new();
    for (wear, worker) in worn() {
        let all = of(wear, &open_conflicts(house, worker)?);
        open.extend(all.into_iter().map(|it| (worker, wear.record, it)));
    }
    if !open.is_empty() {
        return Ok((open, None));
    }
    for (wear, worker) in worn() {
        if let Some((by, all)) = settled_by(house, worker, |all| of(wear, all))? {
            let all = all.into_iter().map(|it| (worker, wear.record, it));
            return Ok((all.collect(), Some(by)));
        }
    }
    Ok((open, None))
}

/// Of what contradicts each other about one badge, the kind that is of record.
fn of_badge(
    snapshot: &Snapshot<'_>,
    worker: RecordId,
    touched: &[&Conflict],
    (badge, which, by): (&str, Option<OfRecord>, &str),
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
            &format!(
                "the entry of the one of record: wearbook dose resolve --of-record ENTRY --reason \
                 WHY {by}"
            ),
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
