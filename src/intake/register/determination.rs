//! Doses that the RSO or the RSO's designee determines (10 CFR 34.47(d), (e)): about the
//! readings of a dosimeter on a sheet, a badge's wear period, or a span of days.

use super::badge::past_day;
use super::wear::wear;
use super::{Column, Reader, Register, RowBodies, RowDesk, register, with_article, worker};
use crate::calendar::Day;
use crate::intake::dose::known_dose;
use crate::intake::file::fields::Fields;
use crate::intake::file::named::what_of;
use crate::ledger::{LedgerError, WearRow};
use crate::record::{
    BadgeChange, Body, Determination, DoseQuantity, Dosimeter, Id, Kind, Method, RecordId, Ref,
    Relation, Scope, Sheet, Target, Version, Worker,
};

register!(DETERMINATIONS: "determination" "enter" "import" "determination",
RowDesk read_determination, [
    "worker" true "id of whose dose it is",
    "sheet" false "about readings: the sheet's reference, or the number of its entry",
    "dosimeter" false "the dosimeter on that sheet, where the person had more than one",
    "part" false "its part, where it was set back to zero during the shift: 1, 2, ...",
    "badge" false "about a badge: its number, or `NUMBER/FIRST_DAY`",
    "first_day" false "about a span of days: the first",
    "last_day" false "the last; with a badge still worn, the last day that it covers",
    "quantity" true "deep, lens, shallow or extremity",
    "dose" true "such as `12 mrem`, `2 to 5 rem` or `above 5 rem`; of a part of the body also Gy",
    "relation" false "replaces, adds, until result; unset: until result if a badge was worn",
    "method" true "co-worker, time and distance, own periods, other dosimeter, notional, ...",
    "basis" true "what it rests on: tasks, other dosimeters, doses of others",
    "on" true "the day of the determination",
    "performed_by" true "id of who determines it: rso or rso designee on that day",
    "second_by" false "id of the second person, needed where the dose is one's own",
    "supersedes" false "entries of determinations or results that it takes the place of",
    "low" false "beside a dose of record: the least it can be; without high no upper bound",
    "high" false "beside a dose of record: the most it can be, which duties and levels count",
]);

/// Places of the columns.
mod at {
    pub const WORKER: usize = 0;
    pub const SHEET: usize = 1;
    pub const DOSIMETER: usize = 2;
    pub const PART: usize = 3;
    pub const BADGE: usize = 4;
    pub const FIRST_DAY: usize = 5;
    pub const LAST_DAY: usize = 6;
    pub const QUANTITY: usize = 7;
    pub const DOSE: usize = 8;
    pub const RELATION: usize = 9;
    pub const METHOD: usize = 10;
    pub const BASIS: usize = 11;
    pub const ON: usize = 12;
    pub const BY_WORKER: usize = 13;
    pub const SECOND_BY: usize = 14;
    pub const SUPERSEDES: usize = 15;
    pub const LOW: usize = 16;
    pub const HIGH: usize = 17;
}

type Read<T> = Result<Option<T>, LedgerError>;

fn read_determination(fields: &mut Fields<'_>, desk: &RowDesk<'_>) -> Read<RowBodies> {
    let names = desk.names;
    let whose = worker(fields, names, at::WORKER);
    let quantity = fields.needed_word::<DoseQuantity>(at::QUANTITY);
    let dose = known_dose::of_row(fields, [at::DOSE, at::LOW, at::HIGH], quantity);
    let said = fields.word::<Relation>(at::RELATION);
    let relation_said = !fields.cell(at::RELATION).is_empty();
    let method = fields.needed_word::<Method>(at::METHOD);
    let basis = fields.needed(
        at::BASIS,
        "what it rests on: tasks, other dosimeters, doses",
    );
    let on = past_day(fields, desk, at::ON);
    let by = worker(fields, names, at::BY_WORKER);
    let alone = fields.cell(at::SECOND_BY).is_empty();
    let second_by = match alone {
        true => None,
        false => worker(fields, names, at::SECOND_BY),
    };
    let (Some(whose), Some(quantity), Some(on)) = (whose, quantity, on) else {
        return Ok(None);
    };
    let Some(scope) = read_scope(fields, desk, (whose, quantity, on))? else {
        return Ok(None);
    };
    let supersedes = read_superseded(fields, desk, whose)?;
    if second_by.is_none() && !alone {
        return Ok(None);
    }
    let relation = match (said, relation_said) {
        (Some(relation), _) => Some(relation),
        (None, true) => None,
        (None, false) => Some(usual_relation(desk, whose, &scope)?),
    };
    let (Some(dose), Some(relation), Some(method)) = (dose, relation, method) else {
        return Ok(None);
    };
    let (Some(basis), Some(by), Some(supersedes)) = (basis, by, supersedes) else {
        return Ok(None);
    };
    let body = Determination {
        basis,
        by,
        dose_nsv: dose.figure,
        high_nsv: dose.high,
        low_nsv: dose.low,
        method,
        on,
        quantity,
        relation,
        scope,
        second_by,
        supersedes,
        worker: whose,
    };
    let mut notes = dose.notes;
    if body.is_open() {
        notes.push(
            "it has no upper bound: it ends no stop, and every threshold above it may apply until \
             the dose is known"
                .to_owned(),
        );
    } else if body.at_most() != body.dose_nsv || body.low_nsv.is_some() {
        notes.push("its high end counts for duties and levels".to_owned());
    }
    Ok(Some(RowBodies {
        notes,
        ..RowBodies::of(body)
    }))
}

/// What the determination is about: exactly one of a sheet, a badge and a span of days.
fn read_scope(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
    (whose, quantity, on): (Id<Worker>, DoseQuantity, Day),
) -> Read<Scope> {
    let given = |column: usize| !fields.cell(column).is_empty();
    let sheet = given(at::SHEET) || given(at::DOSIMETER) || given(at::PART);
    let badge = given(at::BADGE);
    let days = given(at::FIRST_DAY) || given(at::LAST_DAY) && !badge;
    match (sheet, badge, days) {
        (true, false, false) => reading_scope(fields, desk, whose, on),
        (false, true, false) => badge_scope(fields, desk, (whose, quantity, on)),
        (false, false, true) => Ok(days_scope(fields, on)),
        (false, false, false) => {
            fields.fault(
                at::SHEET,
                "is missing: nothing says what the determination is about",
                "a sheet and its dosimeter, or a badge, or first_day and last_day",
            );
            Ok(None)
        }
        _ => {
            // The one that was given first is at fault with those after it.
            let place = match (badge, days) {
                (true, _) => at::BADGE,
                _ => at::SHEET,
            };
            fields.fault(
                place,
                "is given beside another thing that it could be about",
                "one of: a sheet and its dosimeter, a badge, first_day and last_day",
            );
            Ok(None)
        }
    }
}

/// A sheet by its reference, or by any of its entries: `118`, or `entry:118` where a sheet has
/// that reference too.
fn find_sheet(fields: &mut Fields<'_>, desk: &RowDesk<'_>) -> Read<(Id<Sheet>, Box<Sheet>)> {
    const RIGHT: &str = "the sheet's reference, or the number of its entry";
    let Some(cell) = fields.needed(at::SHEET, RIGHT) else {
        return Ok(None);
    };
    let by_reference = sheet_in_force(desk, desk.snapshot.find(Kind::Sheet, &cell)?)?;
    let number = cell.strip_prefix("entry:").unwrap_or(&cell).trim().parse();
    let entry = number
        .ok()
        .filter(|it| (1..=desk.snapshot.known_at()).contains(it));
    let by_entry = match entry {
        Some(entry) => sheet_in_force(desk, Some(desk.snapshot.entry(entry)?.record))?,
        None => None,
    };
    match (by_reference, by_entry) {
        (Some(one), Some(other)) if one.0 != other.0 => {
            fields.fault(
                at::SHEET,
                "is the reference of one sheet and an entry of another",
                format!(
                    "`entry:{0}` for the entry; the other by its own: `entry:{1}`",
                    cell, one.0
                ),
            );
            Ok(None)
        }
        (None, None) => {
            fields.fault(
                at::SHEET,
                "is not a current sheet that the ledger knows",
                RIGHT,
            );
            Ok(None)
        }
        (one, other) => Ok(one.or(other)),
    }
}

fn sheet_in_force(desk: &RowDesk<'_>, record: Option<RecordId>) -> Read<(Id<Sheet>, Box<Sheet>)> {
    let Some(record) = record else {
        return Ok(None);
    };
    let body = desk.snapshot.body(desk.snapshot.newest(record)?)?;
    Ok(match body {
        Some(Body::Sheet(sheet)) => Some((record.into(), sheet)),
        _ => None,
    })
}

fn reading_scope(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
    whose: Id<Worker>,
    on: Day,
) -> Read<Scope> {
    let Some((record, sheet)) = find_sheet(fields, desk)? else {
        return Ok(None);
    };
    if on < sheet.day {
        let what = format!("is before the shift of {}", sheet.day);
        fields.fault(at::ON, what, "the day of the determination");
        return Ok(None);
    }
    let person = sheet
        .people
        .iter()
        .find(|it| it.worker == Ref::Known(whose));
    let Some(person) = person else {
        fields.fault(
            at::WORKER,
            format!("is not on this sheet of {}", sheet.day),
            "a person who is on it; for a shift without a sheet give first_day and last_day",
        );
        return Ok(None);
    };
    let mut theirs: Vec<Id<Dosimeter>> = person
        .readings
        .iter()
        .filter_map(|it| it.dosimeter.known())
        .collect();
    theirs.dedup();
    let label = |it: &Id<Dosimeter>| desk.names.label(it.number());
    let labels: Vec<String> = theirs.iter().map(label).collect();
    let right = match labels.as_slice() {
        [] => "this person had no known dosimeter there: give first_day and last_day".to_owned(),
        labels => super::quoted(labels),
    };
    let dosimeter = match fields.text(at::DOSIMETER) {
        None => match theirs.as_slice() {
            [only] => Some(*only),
            _ => {
                fields.fault(at::DOSIMETER, "is missing", right);
                return Ok(None);
            }
        },
        Some(id) => match desk.names.equipment_ref::<Dosimeter>(&id) {
            Ok(it) => it.known().filter(|it| theirs.contains(it)),
            Err(kind) => return Ok(no_dosimeter(fields, kind)),
        },
    };
    let Some(dosimeter) = dosimeter else {
        let what = "is not a dosimeter of this person on this sheet";
        fields.fault(at::DOSIMETER, what, right);
        return Ok(None);
    };
    let parts: Vec<i64> = person
        .readings
        .iter()
        .filter(|it| it.dosimeter == Ref::Known(dosimeter))
        .map(|it| it.part)
        .collect();
    Ok(read_part(fields, &parts).map(|part| Scope::Reading {
        dosimeter,
        part,
        sheet: record,
    }))
}

fn no_dosimeter(fields: &mut Fields<'_>, kind: &str) -> Option<Scope> {
    let what = format!("is {}", with_article(kind));
    fields.fault(at::DOSIMETER, what, what_of(Dosimeter::GOAL));
    None
}

/// The part of a dosimeter that has more than one on the sheet. A dose that is about all of
/// them stands for days; to guess one would leave the others as they are.
fn read_part(fields: &mut Fields<'_>, parts: &[i64]) -> Option<Option<i64>> {
    let numbers: Vec<String> = parts.iter().map(ToString::to_string).collect();
    let right = format!(
        "one of {}, or first_day and last_day for the whole day",
        super::quoted(&numbers)
    );
    let Some(cell) = fields.text(at::PART) else {
        if let [_, _, ..] = parts {
            let what = "is missing: the dosimeter was set back to zero on this shift";
            fields.fault(at::PART, what, right);
            return None;
        }
        return Some(None);
    };
    let part = cell.parse().ok().filter(|it| parts.contains(it));
    if part.is_none() {
        fields.fault(at::PART, "is not a part of it on this sheet", right);
        return None;
    }
    // The only part is left out, as it always was.
    Some(part.filter(|_| parts.len() > 1))
}

fn badge_scope(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
    (whose, quantity, on): (Id<Worker>, DoseQuantity, Day),
) -> Read<Scope> {
    let gone = |it: &WearRow| {
        let lost = [BadgeChange::Lost, BadgeChange::Damaged];
        it.changes.iter().any(|(change, _)| lost.contains(change))
            && !it.determined.contains(&quantity)
    };
    let Some(wear) = wear(fields, desk, at::BADGE, on, &|_| false, &[&gone])? else {
        return Ok(None);
    };
    if wear.worker != Some(whose.number()) {
        let wearer = wear.worker.map(|it| format!("`{}`", desk.names.label(it)));
        fields.fault(
            at::WORKER,
            format!("does not wear badge {}", wear.name()),
            wearer.unwrap_or_else(|| "a badge that is worn; this is a control".to_owned()),
        );
        return Ok(None);
    }
    Ok(
        last_day_of(fields, &wear, on)?.map(|last_day| Scope::Badge {
            badge: wear.record.into(),
            last_day,
        }),
    )
}

/// A dose of a badge still worn says up to which day; of one that is off, its
/// last day of wear says it.
fn last_day_of(fields: &mut Fields<'_>, wear: &WearRow, on: Day) -> Read<Option<Day>> {
    let off = !wear.changes.is_empty() || !wear.results.is_empty();
    let cell = !fields.cell(at::LAST_DAY).is_empty();
    if !cell && off {
        return Ok(Some(None));
    }
    if !cell {
        fields.fault(
            at::LAST_DAY,
            format!("is missing: badge {} is still worn", wear.name()),
            format!(
                "the last day that the dose covers; or record first that the badge was lost: \
                 wearbook badge lost --badge {} --on DATE",
                wear.name()
            ),
        );
        return Ok(None);
    }
    let Some(last_day) = fields.needed_day(at::LAST_DAY) else {
        return Ok(None);
    };
    if last_day < wear.first_day || last_day > on {
        fields.fault(
            at::LAST_DAY,
            format!(
                "is not from {} to {on}, the wear that is over",
                wear.first_day
            ),
            "the last day that the dose covers",
        );
        return Ok(None);
    }
    Ok(Some(Some(last_day)))
}

/// What a determination is where nobody says it. With the badge worn a result
/// will come, and until then the estimate stands; a badge that is lost or was
/// not worn will tell nothing (10 CFR 34.47(d), (e)).
fn usual_relation(
    desk: &RowDesk<'_>,
    whose: Id<Worker>,
    scope: &Scope,
) -> Result<Relation, LedgerError> {
    let worn = match scope {
        Scope::Reading { sheet, .. } => match sheet_in_force(desk, Some(sheet.number()))? {
            Some((_, sheet)) => sheet
                .people
                .iter()
                .any(|it| it.worker == Ref::Known(whose) && it.badge_worn == Some(true)),
            None => false,
        },
        Scope::Badge { badge, .. } => match desk.snapshot.wear_of_record(badge.number())? {
            Some(wear) => {
                let gone = [BadgeChange::Lost, BadgeChange::Damaged];
                !wear.changes.iter().any(|(change, _)| gone.contains(change))
            }
            None => false,
        },
        Scope::Days {
            first_day,
            last_day,
        } => {
            let shifts = desk
                .snapshot
                .shifts_of(whose.number(), *first_day, *last_day)?;
            !shifts.is_empty() && shifts.iter().all(|it| it.badge_worn == Some(true))
        }
    };
    Ok(match worn {
        true => Relation::UntilResult,
        false => Relation::Replaces,
    })
}

/// The results and determinations of this person that it takes the place of.
fn read_superseded(
    fields: &mut Fields<'_>,
    desk: &RowDesk<'_>,
    whose: Id<Worker>,
) -> Read<Vec<Version>> {
    const RIGHT: &str = "newest entries of this person's determinations or results, such as 118";
    let cell = fields.cell(at::SUPERSEDES).to_owned();
    let mut found = Vec::new();
    for word in cell.split([' ', '/', ';']).filter(|it| !it.is_empty()) {
        let known = |it: &i64| (1..=desk.snapshot.known_at()).contains(it);
        let entry = word.parse().ok().filter(known);
        let version = match entry {
            Some(entry) => claim_of(desk, entry, whose)?,
            None => None,
        };
        let Some(version) = version else {
            let what = format!("`{word}` is no such current entry");
            fields.fault(at::SUPERSEDES, what, RIGHT);
            return Ok(None);
        };
        found.push(version);
    }
    found.sort_unstable();
    found.dedup();
    Ok(Some(found))
}

/// A result or determination of somebody's dose, if this is its newest entry.
fn claim_of(desk: &RowDesk<'_>, entry: i64, whose: Id<Worker>) -> Read<Version> {
    let record = desk.snapshot.entry(entry)?.record;
    if desk.snapshot.newest(record)? != entry {
        return Ok(None);
    }
    let theirs = match desk.snapshot.body(entry)? {
        Some(Body::Determination(it)) => it.worker == whose,
        Some(Body::BadgeResult(it)) => match it.badge.known() {
            Some(badge) => {
                let wear = desk.snapshot.wear_of_record(badge.number())?;
                wear.is_some_and(|it| it.worker == Some(whose.number()))
            }
            None => false,
        },
        _ => false,
    };
    Ok(theirs.then_some(Version {
        entry,
        record: record.into(),
    }))
}

fn days_scope(fields: &mut Fields<'_>, on: Day) -> Option<Scope> {
    let first_day = fields.needed_day(at::FIRST_DAY);
    let last_day = fields.needed_day(at::LAST_DAY);
    let (first_day, last_day) = (first_day?, last_day?);
    if last_day > on {
        fields.fault(
            at::LAST_DAY,
            format!("is after the day of the determination {on}"),
            "days that are over",
        );
        return None;
    }
    Some(Scope::Days {
        first_day,
        last_day,
    })
}
