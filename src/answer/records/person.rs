//! One person's file: roles, monitoring, training, certification, inspections of job performance,
//! badges, the doses of each year, events. Nothing private is in it.

use super::{
    Cell, Column, RecordsAnswer, RecordsDesk, RecordsPart, RecordsSpan, column, figures, under,
};
use crate::answer::context::error::AnswerError;
use crate::answer::context::here::{NO_RECORD, has_badge, keep_here};
use crate::answer::context::load::OpenHouse;
use crate::answer::event::happened::all_happened;
use crate::answer::status::qualified::duties_of;
use crate::calendar::{Day, Span};
use crate::dose::index::DoseIndex;
use crate::dose::total::QUANTITIES;
use crate::ledger::BadgeRow;
use crate::quantity::Dose;
use crate::record::{QualificationType, RecordId, RoleChange, Words, Worker};
use crate::rule::{Quantity, RuleSet, Status, Terms};

const ROLES: &[Column] = &[
    column("from", "from"),
    column("role", "role"),
    figures("entry", "entry"),
];

const MONITORED: &[Column] = &[column("first", "first day"), column("last", "last day")];

const STANDING: &[Column] = &[
    column("duty", "what"),
    column("state", "how it stands"),
    column("rule", "rule"),
];

const DONE: &[Column] = &[
    column("on", "day"),
    column("by", "by"),
    column("until", "until"),
    column("note", "topics, items, what was not in order"),
    figures("entry", "entry"),
];

const BADGES: &[Column] = &[
    column("badge", "badge"),
    under("type", "type"),
    column("first_day", "from"),
    under("last_day", "to"),
    column("changes", "what became of it"),
    column("results", "result"),
    figures("entry", "entry"),
];

const YEARS: &[Column] = &[
    column("year", "year"),
    under("shifts", "shifts"),
    figures("deep", "deep"),
    under("deep_safe", "conservative total"),
    figures("lens", "lens"),
    figures("shallow", "shallow"),
    figures("extremity", "extremity"),
    figures("elsewhere", "other employers"),
];

const EVENTS: &[Column] = &[
    column("event", "event"),
    column("on", "day"),
    column("kind", "kind"),
    column("part", "part in it"),
    column("state", "state"),
];

/// The file of one person.
///
/// # Errors
/// A name that the ledger does not know.
pub fn person(
    house: &OpenHouse<'_>,
    worker: &str,
    span: RecordsSpan,
) -> Result<RecordsAnswer, AnswerError> {
    let mut desk = RecordsDesk::new(house, span);
    let worker = house.names.worker(worker)?.number();
    if desk.span.first == Day::MIN {
        desk.span.first = first_day(&desk, worker)?;
    }
    let facts = house.facts(worker)?;
    let title = format!("File of {} {}", facts.id, facts.name);
    let mut list = desk.list("worker", &title, &["record-training"])?;
    list.about = Some(facts.id.clone());
    list.parts = vec![roles(&desk, worker)?, monitored(&desk, worker)?];
    list.parts.push(standing(&desk, worker)?);
    let rule_set = house.rule_set_on(desk.on)?;
    for (kind, key, title) in [
        (
            QualificationType::Certification,
            "certification",
            "Certification",
        ),
        (
            QualificationType::Refresher,
            "training",
            "Refresher training",
        ),
        (
            QualificationType::Performance,
            "inspections",
            "Inspections of job performance",
        ),
        (
            QualificationType::Practical,
            "examinations",
            "Practical examinations",
        ),
        (
            QualificationType::Access,
            "unescorted_access",
            "Approval for unescorted access",
        ),
        (
            QualificationType::Hazmat,
            "hazmat_training",
            "Hazmat training",
        ),
    ] {
        let part = done(&desk, worker, (kind, key, title));
        if is_named(rule_set, kind) || !part.rows.is_empty() {
            list.parts.push(part);
        }
    }
    list.parts.push(badges(&desk, worker)?);
    list.parts.push(years(&desk, worker)?);
    list.parts.push(events(&desk, worker)?);
    list.notes.push(
        "What is private about a person is not here. Tests and papers of the training are with \
         the office."
            .to_owned(),
    );
    Ok(list)
}

/// The first day of which anything of a person is on record.
fn first_day(desk: &RecordsDesk<'_>, worker: RecordId) -> Result<Day, AnswerError> {
    let facts = desk.house.facts(worker)?;
    let all = desk.house.qualifications.iter();
    let mine = all.filter(|it| it.body.worker.number() == worker);
    let days = mine.map(|it| it.body.on);
    let days = days.chain(facts.monitored.iter().map(|it| it.days().first));
    let days = days.chain(facts.prior.iter().map(|it| it.first));
    let badges = desk
        .house
        .snapshot
        .badges(Some(worker), Day::MIN, desk.on)?;
    let days = days.chain(badges.iter().map(|it| it.first_day));
    let shifts = desk.house.snapshot.shifts_of(worker, Day::MIN, desk.on)?;
    let first = days.chain(shifts.iter().map(|it| it.day)).min();
    Ok(first.unwrap_or(desk.on).min(desk.on))
}

fn roles(desk: &RecordsDesk<'_>, worker: RecordId) -> Result<RecordsPart, AnswerError> {
    let mut part = RecordsPart::new("roles", "Roles", ("role", "roles"), ROLES);
    let mut all = Vec::new();
    if let Some(it) = desk.house.snapshot.one::<Worker>(worker)? {
        all.push((it.body.monitored_from, it.entry, it.body.role));
    }
    for it in desk.house.snapshot.all::<RoleChange>()? {
        if it.body.worker.number() == worker {
            all.push((it.body.from, it.entry, it.body.role));
        }
    }
    all.retain(|it| it.0 <= desk.span.last);
    all.sort_by_key(|it| (it.0, it.1));
    let rows = all.into_iter().map(|(from, entry, role)| {
        vec![
            Cell::Day(from),
            Cell::Text(role.word().to_owned()),
            Cell::Count(entry),
        ]
    });
    part.rows = rows.collect();
    Ok(part)
}

fn monitored(desk: &RecordsDesk<'_>, worker: RecordId) -> Result<RecordsPart, AnswerError> {
    let of = ("time", "times");
    let mut part = RecordsPart::new("monitored", "Monitored", of, MONITORED);
    for it in &desk.house.facts(worker)?.monitored {
        let days = it.days();
        if days.first <= desk.span.last {
            part.rows.push(vec![
                Cell::Day(days.first),
                match days.last > desk.span.last {
                    true => Cell::Text(format!("still on {}", desk.span.last)),
                    false => Cell::Day(days.last),
                },
            ]);
        }
    }
    Ok(part)
}

/// How the qualifications stand on the day.
fn standing(desk: &RecordsDesk<'_>, worker: RecordId) -> Result<RecordsPart, AnswerError> {
    let (house, on) = (desk.house, desk.on);
    let title = format!("Qualifications on {on}");
    let mut part = RecordsPart::new("standing", title, ("line", "lines"), STANDING);
    part.none =
        "Nothing is asked of this role, or no qualification of anybody is on record.".to_owned();
    let rule_set = house.rule_set_on(on)?;
    let facts = house.facts(worker)?;
    let needed = house.span_needed(rule_set, facts, desk.span, on);
    let history = house.history(worker, needed)?;
    for held in duties_of(house, &history, on)? {
        let mark = if held.in_force() {
            ""
        } else {
            "NOT IN FORCE: "
        };
        part.rows.push(vec![
            Cell::Text(held.duty.name().to_owned()),
            Cell::Text(format!("{mark}{}", held.words)),
            Cell::Text(match held.status {
                Status::Read => held.citation.clone(),
                Status::ToBeConfirmed => format!("{} ({})", held.citation, held.status),
            }),
        ]);
    }
    Ok(part)
}

fn done(
    desk: &RecordsDesk<'_>,
    worker: RecordId,
    (kind, key, title): (QualificationType, &'static str, &str),
) -> RecordsPart {
    let mut part = RecordsPart::new(key, title, ("entry", "entries"), DONE);
    let all = desk.house.qualifications.iter();
    let mut mine: Vec<_> = all
        .filter(|it| it.body.worker.number() == worker && it.body.kind == kind)
        .filter(|it| desk.span.contains(it.body.on))
        .collect();
    mine.sort_by_key(|it| (it.body.on, it.entry));
    part.rows = mine
        .into_iter()
        .map(|it| {
            vec![
                Cell::Day(it.body.on),
                Cell::text(Some(it.body.by.clone())),
                it.body.until.map_or(Cell::None, Cell::Day),
                Cell::text(it.body.note.clone()),
                Cell::Count(it.entry),
            ]
        })
        .collect();
    part
}

/// Whether the rules know of such a thing: a law that does not has no name for it either.
fn is_named(rule_set: &RuleSet, kind: QualificationType) -> bool {
    let interval = match kind {
        QualificationType::Access => "access-reinvestigation",
        QualificationType::Hazmat => "hazmat-training",
        _ => return true,
    };
    rule_set.interval(interval).is_some()
}

fn badges(desk: &RecordsDesk<'_>, worker: RecordId) -> Result<RecordsPart, AnswerError> {
    let mut part = RecordsPart::new("badges", "Badges", ("badge", "badges"), BADGES);
    let (first, last) = (desk.span.first, desk.span.last);
    for it in desk.house.snapshot.badges(Some(worker), first, last)? {
        let changes = it.changes.iter().filter(|it| it.1 <= desk.on);
        let changes: Vec<String> = changes
            .map(|(change, on, _)| format!("{} {on}", change.word()))
            .collect();
        part.rows.push(vec![
            Cell::Text(it.badge.clone()),
            Cell::Text(it.kind.word().to_owned()),
            Cell::Day(it.first_day),
            Cell::Day(it.last_day),
            match changes.is_empty() && it.last_day >= desk.on {
                true => Cell::None,
                false => Cell::text(Some(changes.join(", "))),
            },
            match it.results.is_empty() && it.last_day >= desk.on {
                true => Cell::None,
                false => result(desk.house.terms(), &it),
            },
            Cell::Count(it.entry),
        ]);
    }
    Ok(part)
}

/// What was reported last, as the report has it.
fn result(terms: Terms, badge: &BadgeRow) -> Cell {
    let Some(last) = badge.results.last() else {
        return Cell::NotOnRecord;
    };
    let values = last.values.iter();
    let values: Vec<String> = values
        .map(|it| format!("{} {}", terms.short_of(&it.quantity), it.written))
        .collect();
    let accepted = match last.accepted {
        Some(_) => "accepted",
        None => "NOT ACCEPTED",
    };
    let (values, report) = (values.join(", "), &last.report);
    Cell::Text(format!("{values}; {report}, {accepted}"))
}

fn years(desk: &RecordsDesk<'_>, worker: RecordId) -> Result<RecordsPart, AnswerError> {
    let house = desk.house;
    let title = "Doses of each year, with this licensee";
    let mut part = RecordsPart::new("years", title, ("year", "years"), YEARS);
    part.terms = house.terms();
    let start = house.rule_set_on(desk.on)?.year_start;
    let (first, last) = (desk.span.first, desk.span.last);
    let whole = Span {
        first: start.year(start.year_of(first)).first,
        last,
    };
    let mut history = house.history(worker, whole)?;
    let all = DoseIndex::build(&history)?;
    keep_here(house, &mut history);
    let here = DoseIndex::build(&history)?;
    for year in start.year_of(first)..=start.year_of(last) {
        let of = start.year(year);
        let span = Span {
            first: of.first,
            last: of.last.min(last),
        };
        let shifts = history.shifts.iter().filter(|it| span.contains(it.day));
        let elsewhere = {
            let (all, here) = (
                all.account(span, Quantity::Deep)?,
                here.account(span, Quantity::Deep)?,
            );
            all.known().checked_sub(here.known())?
        };
        let deep = here.account(span, Quantity::Deep)?;
        let nothing = deep.assessed == 0 && deep.unassessed == 0 && !has_badge(&history, span);
        let mut row = vec![
            Cell::Count(i64::from(year)),
            Cell::Count(i64::try_from(shifts.count()).unwrap_or(i64::MAX)),
        ];
        for quantity in QUANTITIES {
            let none = Cell::Text(NO_RECORD.to_owned());
            row.push(match nothing {
                true => none.clone(),
                false => desk.total(&here.account(span, quantity)?),
            });
            if quantity == Quantity::Deep {
                row.push(match nothing {
                    true => none,
                    false => desk.total(&here.safe(span, quantity)?),
                });
            }
        }
        row.push(match elsewhere {
            Dose::ZERO => Cell::None,
            dose => desk.figure(dose, false),
        });
        part.rows.push(row);
    }
    let deep = part.terms.dose(Quantity::Deep);
    part.notes.push(format!("Of other employers: {deep}."));
    part.notes.push(
        "Without planned special exposures, which count apart; levels and reasons: wearbook dose \
         show ID --year YEAR --why"
            .to_owned(),
    );
    Ok(part)
}

fn events(desk: &RecordsDesk<'_>, worker: RecordId) -> Result<RecordsPart, AnswerError> {
    let mut part = RecordsPart::new("events", "Events", ("event", "events"), EVENTS);
    for it in all_happened(desk.house)? {
        let people = it.body.people.iter();
        let mut mine = people
            .filter(|it| it.person.number() == Some(worker))
            .peekable();
        if mine.peek().is_none() || !desk.span.contains(it.day()) {
            continue;
        }
        let roles: Vec<String> = mine.map(|it| it.role.clone()).collect();
        let rule_set = desk.house.judging(it.day())?;
        part.rows.push(vec![
            Cell::Text(it.body.name.clone()),
            Cell::Text(it.day_words()),
            Cell::Text(
                it.kind(rule_set)
                    .map_or_else(|| it.body.kind.clone(), |it| it.name),
            ),
            Cell::text(Some(roles.join("; "))),
            Cell::Text(match &it.end {
                Some(end) => format!("closed {}", end.body.on),
                None => "open".to_owned(),
            }),
        ]);
    }
    Ok(part)
}
