//! What the ledger knows of an event, as the duties to give notice ask for it: above all each
//! person's dose, with the moment from which it was known.

use std::collections::BTreeSet;

use chrono::Timelike;

use super::bystander::estimated;
use super::error::AnswerError;
use super::event::Happened;
use super::item_facts::leak_limit;
use super::load::House;
use super::strength::{SourceAsked, Strength};
use crate::calendar::{Day, Instant, LocalTime, Span, TimeOfDay, When, Zone, parse_instant};
use crate::dose::clearance::{InEvent, Lack, Settling};
use crate::dose::index::DoseIndex;
use crate::dose::input::{Chosen, Dosimetry, History, Scope};
use crate::dose::level::{Certainty, standings};
use crate::dose::total::{QUANTITIES, Total};
use crate::ledger::{LedgerError, Snapshot};
use crate::notice::{
    Answered, Assessed, Category, Facts, Given, Happening, Left, Start, Unmeasured,
};
use crate::quantity::Dose;
use crate::record::{Body, EquipmentSort, EventPerson, NearPart, RecordId};
use crate::rule::{FAILED_COMPONENT, LevelSort, Quantity, Reached, Scheme};

/// A moment without its seconds: what is typed has none, and the earlier side is kept.
fn minute(at: Instant) -> Instant {
    at.with_second(0).unwrap_or(at)
}

/// A stored moment; the present where it cannot be read, which was refused at writing.
pub(super) fn moment(text: &str, now: Instant) -> Instant {
    parse_instant(text).map_or(now, |at| minute(at.to_utc()))
}

/// The last minute of a day in the ledger's zone; of one that comes twice the later, so that no
/// clock looks longer than it is.
pub(super) fn end_of(house: &House, day: Day) -> Instant {
    let zone = Zone::parse(&house.names.charter.zone).unwrap_or(Zone::UTC);
    let last = TimeOfDay::from_hms_opt(23, 59, 0).unwrap_or(TimeOfDay::MIN);
    match zone.at(day, last) {
        LocalTime::Once(at) | LocalTime::Twice(_, at) => at.to_utc(),
        LocalTime::Never => day.and_time(last).and_utc(),
    }
}

/// One person of an event, with the dose of it.
pub(super) struct Person {
    /// The worker, where the ledger knows one.
    pub worker: Option<RecordId>,
    /// The id, or the name as written.
    pub label: String,
    /// What the person did; nothing where only a linked record names the person.
    pub role: Option<String>,
    /// What is known of the dose, in the order in which it became known.
    pub doses: Vec<Assessed>,
    /// The days of which it is.
    pub days: BTreeSet<Day>,
    /// Whether linked records say which days.
    pub linked: bool,
    /// Whether the person wore nothing that measures.
    pub without: bool,
    /// Parts of the body that may have been near an unshielded source.
    pub near: Vec<NearPart>,
    /// Doses of these parts that no result and no determination settles: what stops the person.
    pub near_open: Vec<Quantity>,
    /// What is estimated of somebody who is no worker, in words.
    pub estimate: Option<String>,
    /// What the limits leave.
    pub limits: Vec<Left>,
}

impl Person {
    /// Which doses nobody measured, if any.
    fn unmeasured(&self) -> Option<Unmeasured> {
        let near = |parts: &[NearPart]| parts.iter().any(|it| self.near.contains(it));
        let trunk = near(&[NearPart::Trunk]);
        let lacks = |quantity: Quantity, near: bool| {
            // What hung elsewhere on the body bounds no part that was near.
            let of_record = self.last(quantity).is_some_and(|it| it.of_record);
            near && (!of_record || self.near_open.contains(&quantity))
        };
        let quantities: Vec<Quantity> = match self.doses.is_empty() {
            true => QUANTITIES.to_vec(),
            false => [
                (Quantity::Deep, trunk),
                (Quantity::Lens, trunk || near(&[NearPart::Head])),
                (Quantity::Shallow, trunk),
                (Quantity::Extremity, near(&[NearPart::Hand, NearPart::Foot])),
            ]
            .into_iter()
            .filter(|(quantity, near)| lacks(*quantity, *near))
            .map(|it| it.0)
            .collect(),
        };
        (!quantities.is_empty()).then(|| Unmeasured {
            person: self.label.clone(),
            quantities,
        })
    }

    /// What holds of one quantity; nothing where nobody measured it.
    pub fn last(&self, quantity: Quantity) -> Option<&Assessed> {
        self.doses.iter().rev().find(|it| it.quantity == quantity)
    }
}

/// The facts of an event at a moment, without the contents of reports.
pub(super) fn facts<'a>(
    house: &'a House,
    it: &Happened,
    people: &[Person],
    now: Instant,
) -> Result<Facts<'a>, AnswerError> {
    let scheme = house.scheme_on(it.day())?;
    let unmeasured = people.iter().filter_map(Person::unmeasured);
    let job = it.body.job;
    let job = job.and_then(|job| house.names.job_body(job.number()));
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
        category: category(house, scheme, it),
        authority: job.and_then(|job| scheme.authority(&job.jurisdiction)),
        learned: None,
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

/// The kind that it was opened with, what happened besides, and the components of causes.
fn happenings(it: &Happened) -> Vec<Happening> {
    let one = |key: &str, entry| Happening {
        key: key.to_owned(),
        entry,
    };
    let mut all = vec![one(&it.body.kind, it.entry)];
    let besides = it.happenings.iter();
    all.extend(besides.map(|it| one(&it.body.happening, it.entry)));
    let standing = it.standing();
    let failed = standing.iter().filter(|it| it.body.component.is_some());
    all.extend(failed.map(|it| one(FAILED_COMPONENT, it.entry)));
    all
}

fn start(it: &Happened, when: &When, at: Instant) -> Start {
    let taken = match (when.is_exact(), when.earliest) {
        (true, _) => None,
        (false, Some(_)) => Some("the earliest moment that is possible"),
        (false, None) if at < it.discovered => Some("not known: the latest that it can have been"),
        (false, None) if it.discovered_when.earliest.is_some() => {
            Some("not known: the discovery is taken")
        }
        (false, None) => Some("not known: when the event was written down is taken"),
    };
    Start {
        at: minute(at),
        taken: taken.map(str::to_owned),
    }
}

/// Fractions of a category's activity are counted in millionths.
const MILLION: i128 = 1_000_000;

/// The category of the sources in it together, by their activity when it occurred: at the high
/// end of what that may be.
fn category(house: &House, scheme: &Scheme, it: &Happened) -> Option<Category> {
    let at = it.zone.local(it.occurred).naive_local();
    let mut millionths: i128 = 0;
    let mut parts = Vec::new();
    for source in sources_of(house, it) {
        let id = house.names.label(source);
        let asked = SourceAsked {
            source: Some(id.clone()),
            ..SourceAsked::default()
        };
        let found = Strength::find(house, &asked, at.date(), at.time()).ok()?;
        let from = scheme.category(&found.view.nuclide)?;
        let [_, _, high] = found.view.activity_bq;
        let (high, from) = (i128::from(high), i128::from(from.category_2.bq()));
        // Rounded up, so that no sum of fractions looks smaller than it is.
        millionths += (high * MILLION + from - 1).checked_div(from)?;
        parts.push(format!("{id} {}", found.view.activity));
    }
    if parts.is_empty() {
        return None;
    }
    let reached = |times: i128| millionths >= times * MILLION;
    let name = match (reached(100), reached(1)) {
        (true, _) => "category 1",
        (false, true) => "category 2",
        (false, false) => "below category 2",
    };
    Some(Category {
        one: reached(100),
        two: reached(1),
        words: format!("{} that day, an estimate: {name}", parts.join(", ")),
    })
}

/// The sources in an event: those named, and those in the devices that are.
pub(super) fn sources_of(house: &House, it: &Happened) -> Vec<RecordId> {
    let mut sources = Vec::new();
    for item in it.body.equipment.iter().map(|it| it.number()) {
        let source = match house.names.equipment_body(item).map(|it| it.sort) {
            Some(EquipmentSort::Source) => Some(item),
            _ => house.upkeep.source_in(item, it.day()).map(|it| it.0),
        };
        sources.extend(source.filter(|it| !sources.contains(it)));
    }
    sources
}

/// The beginning of the day of the failed leak test that showed it: the first of those of the
/// event's sources and devices that failed on or before the day of discovery and after which
/// none passed.
fn tested(house: &House, it: &Happened) -> Result<Option<Instant>, AnswerError> {
    let day = it.zone.local_day(it.discovered);
    let limit = leak_limit(house, day)?;
    let mut found: Option<Day> = None;
    for item in &it.body.equipment {
        let tests = house.upkeep.leak_tests_of(item.number()).iter();
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
pub(super) struct Part {
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
pub(super) fn parts(
    snapshot: &Snapshot<'_>,
    house: &House,
    it: &Happened,
) -> Result<Vec<Part>, AnswerError> {
    let linked = linked(snapshot, it)?;
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
    let parts = all.into_iter().map(|(worker, label, named)| {
        let mine = linked.iter().filter(|it| Some(it.0) == worker);
        let mut days: BTreeSet<Day> = mine.map(|it| it.1).collect();
        let is_linked = !days.is_empty();
        if days.is_empty() {
            days.insert(it.day());
        }
        Part {
            worker,
            label,
            named,
            days,
            linked: is_linked,
        }
    });
    Ok(parts.collect())
}

/// The same people with the doses of it.
pub(super) fn people(
    snapshot: &Snapshot<'_>,
    house: &House,
    it: &Happened,
) -> Result<Vec<Person>, AnswerError> {
    let mut people = Vec::new();
    for part in parts(snapshot, house, it)? {
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
            estimate: None,
            limits: Vec::new(),
        };
        match (part.worker, &part.named) {
            (Some(worker), _) => measure(snapshot, house, it, worker, &mut person)?,
            (None, Some(named)) => {
                let known = written_at(snapshot, house, it, it.entry)?;
                let scheme = house.scheme_on(it.day())?;
                estimated(house, scheme, named, known, &mut person);
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

/// When something became known, and the entry to name where its clock cannot be trusted.
#[derive(Clone, Copy)]
pub(super) struct KnownAt {
    pub at: Instant,
    pub clock_doubted: Option<i64>,
}

/// When an entry was written; where the clock cannot be trusted the earliest that is possible,
/// and not before the event: a clock that starts too early harms nobody.
fn written_at(
    snapshot: &Snapshot<'_>,
    house: &House,
    it: &Happened,
    entry: i64,
) -> Result<KnownAt, AnswerError> {
    let text = snapshot.entry(entry)?.written_at;
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

/// The history as it was when nothing above the readings was known, or only records up to one.
fn as_of(
    snapshot: &Snapshot<'_>,
    history: &History,
    last: Option<i64>,
) -> Result<History, AnswerError> {
    let known = |entry: i64| -> Result<bool, AnswerError> {
        Ok(match last {
            Some(last) => snapshot.entry(entry)?.record <= last,
            None => false,
        })
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

/// The safe-side dose of some days: held readings and whole lumps are in it.
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

fn measure(
    snapshot: &Snapshot<'_>,
    house: &House,
    it: &Happened,
    worker: RecordId,
    person: &mut Person,
) -> Result<(), AnswerError> {
    let facts = house.facts(worker)?;
    let (Some(first), Some(last)) = (person.days.first().copied(), person.days.last().copied())
    else {
        return Ok(());
    };
    let scheme = house.scheme_on(last)?;
    let needed = house.span_needed(scheme, facts, Span { first, last }, last);
    let history = house.history(snapshot, worker, needed)?;
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
    let records = above(snapshot, &history.facts.dosimetry, &person.days, &sheets)?;
    match sheets.iter().min() {
        Some(sheet) => {
            let read = as_of(snapshot, &history, None)?;
            let known = written_at(snapshot, house, it, *sheet)?;
            assess(person, &read, false, known)?;
        }
        // Nothing measured, and something was determined: until then nobody knew.
        None => person.doses.push(Assessed {
            person: person.label.clone(),
            quantity: Quantity::Deep,
            dose: Dose::ZERO,
            open: true,
            of_record: false,
            known_at: minute(it.discovered),
            clock_doubted: None,
        }),
    }
    for record in records {
        let then = as_of(snapshot, &history, Some(record))?;
        let known = written_at(snapshot, house, it, record)?;
        assess(person, &then, true, known)?;
    }
    if sheets.is_empty() && person.doses.len() == 1 {
        person.doses.clear();
    }
    limits(scheme, &history, last, person)
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
                known_at: known.at,
                clock_doubted: known.clock_doubted,
            });
        }
    }
    Ok(())
}

/// What each limit leaves for the dose of the event, by the records up to its last day.
fn limits(
    scheme: &Scheme,
    history: &History,
    on: Day,
    person: &mut Person,
) -> Result<(), AnswerError> {
    let index = DoseIndex::build(history)?;
    for standing in standings(scheme, &history.facts, &index, on)? {
        if standing.level.sort != LevelSort::Limit {
            continue;
        }
        let quantity = standing.level.quantity;
        let own = person.last(quantity);
        let dose = own.map_or(Dose::ZERO, |it| it.dose);
        let open = own.is_some_and(|it| it.open);
        person.limits.push(Left {
            person: person.label.clone(),
            quantity,
            limit: format!(
                "{} limit of {} ({})",
                quantity.name(),
                scheme.print(standing.level.dose),
                standing.level.window
            ),
            left: standing.left.checked_add(dose)?,
            at_or_above: standing.level.reached == Reached::AtOrAbove,
            unsure: standing.certainty == Certainty::Undetermined && !open,
        });
    }
    Ok(())
}
