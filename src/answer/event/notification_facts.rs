//! What the ledger knows of an event, as the duties to give notice ask for it: above all each
//! person's dose, with the moment from which it was known.

use std::collections::BTreeSet;

use super::happened::Happened;
use super::notification_doses::{assess_person, written_at};
use super::notification_happened::{category, happenings, start};
use super::person::{Person, authority_of, moment};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::context::shift_hours::{had_begun, ran_until};
use crate::answer::dose::bystander::estimated;
use crate::answer::equipment::item_facts::leak_limit;
use crate::calendar::{Day, Instant, LocalTime};
use crate::ledger::Snapshot;
use crate::notification::{Answered, Facts, Given};
use crate::record::{Body, EventPerson, NearPart, RecordId};

/// The facts of an event at a moment, without the contents of reports.
pub(crate) fn facts(
    house: &House,
    it: &Happened,
    people: &[Person],
    now: Instant,
) -> Result<Facts, AnswerError> {
    let rule_set = house.duties_at(it.job(house), it.day())?;
    let unmeasured = people.iter().filter_map(Person::unmeasured);
    let answers = it.answers.iter().map(|it| Answered {
        question: it.body.question.clone(),
        yes: it.body.answer,
        at: moment(&it.body.at, now),
        entry: it.entry,
    });
    let done = it.done.iter().map(|it| Given {
        duty: it.body.duty.clone(),
        from: moment(&it.body.from, now),
        at: moment(&it.body.at, now),
        by: it.body.by.clone(),
        to: it.body.to.clone(),
        reference: it.body.reference.clone(),
    });
    Ok(Facts {
        happenings: happenings(it),
        occurred: start(it, &it.occurred_when, it.occurred),
        discovered: start(it, &it.discovered_when, it.discovered),
        category: category(house, rule_set, it),
        authority: authority_of(house, rule_set, it),
        tested: tested(house, it)?,
        zone: it.zone,
        doses: people.iter().flat_map(|it| it.doses.clone()).collect(),
        limits: people.iter().flat_map(|it| it.limits.clone()).collect(),
        unmeasured: unmeasured.collect(),
        answers: answers.collect(),
        done: done.collect(),
        present: Vec::new(),
        now,
    })
}

/// The beginning of the day of the failed leak test that showed it: the first of those of the
/// event's sources and devices that failed on or before the day of discovery and after which
/// none passed.
fn tested(house: &House, it: &Happened) -> Result<Option<Instant>, AnswerError> {
    let day = it.zone.local_day(it.discovered);
    let limit = leak_limit(house, day)?;
    let mut found: Option<Day> = None;
    for item in &it.body.equipment {
        let tests = house.maintenance.leak_tests_of(item.number()).iter();
        let tests = tests.filter(|it| it.body.on <= day);
        let failed = tests.rev().take_while(|it| it.body.removable_bq >= limit);
        found = found.into_iter().chain(failed.map(|it| it.body.on)).min();
    }
    let midnight = found.map(|on| it.zone.at(on, chrono::NaiveTime::MIN));
    Ok(midnight.and_then(|at| match at {
        LocalTime::Once(at) | LocalTime::Twice(at, _) => Some(at.to_utc()),
        // A day without a midnight: the occurrence is taken instead.
        LocalTime::Never => None,
    }))
}

/// One person's part in an event, before any dose.
pub(crate) struct Part {
    /// The worker, where the ledger knows one.
    pub worker: Option<RecordId>,
    /// The id, or the name as written.
    pub label: String,
    /// As the event names the person; nothing where only a linked record does.
    pub named: Option<EventPerson>,
    /// The days of which the dose is.
    pub days: BTreeSet<Day>,
    /// Whether linked records say which days.
    pub linked: bool,
}

impl Part {
    /// Whether the event says that no dosimeter was worn.
    pub fn without(&self) -> bool {
        let named = self.named.as_ref();
        named.is_some_and(|it| it.monitored == Some(false))
    }

    /// Parts of the body that may have been near an unshielded source.
    pub fn near(&self) -> Vec<NearPart> {
        let named = self.named.as_ref();
        named.map_or_else(Vec::new, |it| it.near.clone())
    }
}

/// Everybody who had a part in an event or whose record belongs to it.
pub(crate) fn parts(house: &OpenHouse<'_>, it: &Happened) -> Result<Vec<Part>, AnswerError> {
    let linked = linked(house.snapshot, it)?;
    let mut all: Vec<(Option<RecordId>, String, Option<EventPerson>)> = Vec::new();
    for person in &it.body.people {
        let label = house.names.words(&person.person);
        all.push((person.person.number(), label, Some(person.clone())));
    }
    for (worker, _) in &linked {
        if !all.iter().any(|it| it.0 == Some(*worker)) {
            all.push((Some(*worker), house.names.label(*worker), None));
        }
    }
    let mut parts = Vec::new();
    for (worker, label, named) in all {
        let mine = linked.iter().filter(|it| Some(it.0) == worker);
        let mut days: BTreeSet<Day> = mine.map(|it| it.1).collect();
        let is_linked = !days.is_empty();
        if days.is_empty() {
            days = days_of_shift(house.snapshot, it, worker)?;
        }
        parts.push(Part {
            worker,
            label,
            named,
            days,
            linked: is_linked,
        });
    }
    Ok(parts)
}

/// The days of an event. Where a shift of the night before was still on at its hour and none of
/// its own day had begun for the person, it is that night's.
fn days_of_shift(
    snapshot: &Snapshot<'_>,
    it: &Happened,
    worker: Option<RecordId>,
) -> Result<BTreeSet<Day>, AnswerError> {
    let mut days: BTreeSet<Day> = it.days().each_day().collect();
    let day = it.day();
    let before = day.pred_opt().filter(|_| it.occurred_when.is_exact());
    let (Some(worker), Some(before)) = (worker, before) else {
        return Ok(days);
    };
    let at = it.zone.local(it.occurred).time();
    let (mut ran_on, mut begun) = (false, false);
    for row in snapshot.shifts_of(worker, before, day)? {
        let sheet = snapshot.sheet_at(row.entry)?;
        ran_on |= row.day == before && sheet.as_ref().is_some_and(|it| ran_until(it, Some(at)));
        begun |= row.day == day && sheet.as_ref().is_some_and(|it| had_begun(it, at));
    }
    if ran_on {
        days.insert(before);
        if !begun {
            days.remove(&day);
        }
    }
    Ok(days)
}

/// The same people with the doses of it.
pub(crate) fn people(house: &OpenHouse<'_>, it: &Happened) -> Result<Vec<Person>, AnswerError> {
    let mut people = Vec::new();
    for part in parts(house, it)? {
        let mut person = Person {
            worker: part.worker,
            role: part.named.as_ref().map(|it| it.role.clone()),
            doses: Vec::new(),
            without: part.without(),
            near: part.near(),
            label: part.label,
            days: part.days,
            linked: part.linked,
            near_open: Vec::new(),
            on_sheet: false,
            estimate: None,
            limits: Vec::new(),
        };
        match (part.worker, &part.named) {
            (Some(worker), _) => assess_person(house, it, worker, &mut person)?,
            (None, Some(named)) => {
                let known = written_at(house, it, it.entry)?;
                let rule_set = house.judging(it.day())?;
                estimated(house, rule_set, named, known, &mut person);
            }
            (None, None) => {}
        }
        people.push(person);
    }
    Ok(people)
}

/// Workers and days of which linked sheets, determinations and results speak.
fn linked(snapshot: &Snapshot<'_>, it: &Happened) -> Result<Vec<(RecordId, Day)>, AnswerError> {
    let mut found = Vec::new();
    for link in &it.links {
        match snapshot.body(snapshot.newest(link.body.record.number())?)? {
            Some(Body::Sheet(sheet)) => {
                let on = sheet.people.iter().filter_map(|it| it.worker.known());
                let asked = on.filter(|worker| link.body.worker.is_none_or(|it| it == *worker));
                found.extend(asked.map(|worker| (worker.number(), sheet.day)));
            }
            Some(Body::Determination(one)) => {
                let day = match one.scope {
                    crate::record::Scope::Days { first_day, .. } => first_day,
                    crate::record::Scope::Reading { sheet, .. } => {
                        let sheet = snapshot.sheet_at(snapshot.newest(sheet.number())?)?;
                        sheet.map_or(it.day(), |it| it.day)
                    }
                    crate::record::Scope::Badge { .. } => it.day(),
                };
                found.push((one.worker.number(), day));
            }
            _ => {}
        }
    }
    Ok(found)
}
