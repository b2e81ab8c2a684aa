//! What is known of an event: its happenings and its moments, the earliest and the latest.

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::context::near::near;
use crate::answer::context::sought::{NoSuchName, Sought};
use crate::calendar::{Day, Instant, Span, When, Zone, parse_instant};
use crate::ledger::{LedgerError, Snapshot, Stored};
use crate::record::{
    Body, Conclusion, DutyAnswer, DutyDone, Event, EventAction, EventCause, EventEnd,
    EventHappening, EventLink, EventNote, Job, Record, RecordId,
};
use crate::rule::{EventKind, RuleSet, event_kinds};

/// An event with everything that was learned of it, as stored.
#[derive(Debug, Clone)]
pub struct Happened {
    /// The event's record.
    pub record: RecordId,
    /// Its newest entry.
    pub entry: i64,
    /// The entry since which it is of its kind.
    pub kind_entry: i64,
    /// The event.
    pub body: Event,
    /// What is known of when it occurred.
    pub occurred_when: When,
    /// When it occurred; of a moment that is not known the earliest that is possible.
    pub occurred: Instant,
    /// The latest moment at which it can have occurred: it was not discovered nor written down
    /// before that.
    pub occurred_by: Instant,
    /// What is known of when it was discovered.
    pub discovered_when: When,
    /// When it was discovered; of a moment that is not known the earliest that is possible.
    pub discovered: Instant,
    /// What happened besides, in the order of writing.
    pub happenings: Vec<Stored<EventHappening>>,
    /// The zone in which its moments are shown: the job's, else the ledger's.
    pub zone: Zone,
    /// Lines of its time line, by moment.
    pub notes: Vec<Stored<EventNote>>,
    /// Causes as they were believed, by moment; which of them hold says [`Happened::standing`].
    pub causes: Vec<Stored<EventCause>>,
    /// What is to be done and what was.
    pub actions: Vec<Stored<EventAction>>,
    /// Records that belong to it.
    pub links: Vec<Stored<EventLink>>,
    /// Answers to questions of rules, by moment.
    pub answers: Vec<Stored<DutyAnswer>>,
    /// Notices that were given, by moment.
    pub done: Vec<Stored<DutyDone>>,
    /// Conclusions on items.
    pub conclusions: Vec<Stored<Conclusion>>,
    /// Its end.
    pub end: Option<Stored<EventEnd>>,
}

/// A stored moment. What cannot be read was refused when it was written.
fn moment(entry: i64, text: &str) -> Result<Instant, LedgerError> {
    let read = parse_instant(text).map_err(|error| LedgerError::Damaged {
        detail: format!("entry {entry}: {error}"),
    })?;
    Ok(read.to_utc())
}

/// The entry since which an event is of its kind, whatever else of it was corrected.
fn kind_entry(snapshot: &Snapshot<'_>, it: &Stored<Event>) -> Result<i64, LedgerError> {
    let mut since = it.entry;
    let versions = snapshot.history(it.entry)?.into_iter().rev();
    for entry in versions.filter(|one| one.seq <= it.entry) {
        match snapshot.body(entry.seq)? {
            Some(Body::Event(body)) if body.kind == it.body.kind => since = entry.seq,
            Some(_) => break,
            None => {}
        }
    }
    Ok(since)
}

/// What is known of a stored moment.
fn when(entry: i64, text: &str, zone: Zone) -> Result<When, LedgerError> {
    When::parse(text, zone).map_err(|error| LedgerError::Damaged {
        detail: format!("entry {entry}: {error}"),
    })
}

/// From what is known of when an event occurred and was discovered: the earliest moments that
/// are possible. Where nothing bounds the occurrence, the discovery is taken, and where nothing
/// bounds that, the entry: no clock starts later than it may have to.
fn earliest(occurred: &When, discovered: &When, written: Instant) -> (Instant, Instant) {
    let bounded = |it: &When, other: Instant| {
        let at_most = it.latest.map_or(other, |latest| latest.min(other));
        it.earliest.unwrap_or(at_most)
    };
    let discovered = bounded(discovered, written);
    (bounded(occurred, discovered), discovered)
}

/// The latest moment at which an event can have occurred: not after it was discovered, nor after
/// it was written down.
fn latest(occurred: &When, discovered: &When, written: Instant) -> Instant {
    let by = discovered.latest.unwrap_or(written);
    let latest = occurred.latest.map_or(by, |it| it.min(by));
    occurred.earliest.map_or(latest, |it| it.max(latest))
}

/// From when to when an event may have occurred, for whatever asks before or after.
pub(crate) fn occurred_at(
    house: &OpenHouse<'_>,
    it: &Stored<Event>,
) -> Result<(Instant, Instant), LedgerError> {
    let zone = house.names.zone_of(it.body.job.map(|it| it.number()));
    let occurred = when(it.entry, &it.body.occurred, zone)?;
    let discovered = when(it.entry, &it.body.discovered, zone)?;
    let written = moment(it.entry, &house.snapshot.entry(it.entry)?.written_at)?;
    let (first, _) = earliest(&occurred, &discovered, written);
    Ok((first, latest(&occurred, &discovered, written).max(first)))
}

/// When an event was discovered: of a moment that is not known the earliest that is possible.
pub(crate) fn discovered_at(
    house: &OpenHouse<'_>,
    it: &Stored<Event>,
) -> Result<Instant, LedgerError> {
    let zone = house.names.zone_of(it.body.job.map(|it| it.number()));
    let occurred = when(it.entry, &it.body.occurred, zone)?;
    let discovered = when(it.entry, &it.body.discovered, zone)?;
    let written = moment(it.entry, &house.snapshot.entry(it.entry)?.written_at)?;
    Ok(earliest(&occurred, &discovered, written).1)
}

fn of_event<T: Record>(
    snapshot: &Snapshot<'_>,
    record: RecordId,
    event: impl Fn(&T) -> RecordId,
) -> Result<Vec<Stored<T>>, LedgerError> {
    let mut all = snapshot.all::<T>()?;
    all.retain(|it| event(&it.body) == record);
    Ok(all)
}

impl Happened {
    /// The job at which it was, where it names one.
    pub fn job<'h>(&self, house: &'h House) -> Option<&'h Job> {
        house.names.job_body(self.body.job?.number())
    }

    fn load(house: &OpenHouse<'_>, it: Stored<Event>) -> Result<Happened, AnswerError> {
        let zone = house.names.zone_of(it.body.job.map(|it| it.number()));
        let record = it.record;
        // Of two at one moment the later written comes later.
        let at = |entry: i64, text: &str| moment(entry, text).map(|at| (at, entry));
        let mut notes = of_event(house.snapshot, record, |it: &EventNote| it.event.number())?;
        notes.sort_by_cached_key(|it| {
            let when = when(it.entry, &it.body.at, zone).ok();
            (when.and_then(|it| it.earliest), it.entry)
        });
        let mut causes = of_event(house.snapshot, record, |it: &EventCause| it.event.number())?;
        causes.sort_by_cached_key(|it| at(it.entry, &it.body.known_at).ok());
        let mut answers = of_event(house.snapshot, record, |it: &DutyAnswer| it.event.number())?;
        answers.sort_by_cached_key(|it| at(it.entry, &it.body.at).ok());
        let mut done = of_event(house.snapshot, record, |it: &DutyDone| it.event.number())?;
        done.sort_by_cached_key(|it| at(it.entry, &it.body.at).ok());
        let occurred_when = when(it.entry, &it.body.occurred, zone)?;
        let discovered_when = when(it.entry, &it.body.discovered, zone)?;
        let written = moment(it.entry, &house.snapshot.entry(it.entry)?.written_at)?;
        let kind_entry = kind_entry(house.snapshot, &it)?;
        let (occurred, discovered) = earliest(&occurred_when, &discovered_when, written);
        Ok(Happened {
            record,
            entry: it.entry,
            kind_entry,
            occurred_when,
            occurred,
            occurred_by: latest(&occurred_when, &discovered_when, written),
            discovered_when,
            discovered,
            happenings: of_event(house.snapshot, record, |it: &EventHappening| {
                it.event.number()
            })?,
            zone,
            notes,
            causes,
            actions: of_event(house.snapshot, record, |it: &EventAction| it.event.number())?,
            links: of_event(house.snapshot, record, |it: &EventLink| it.event.number())?,
            answers,
            done,
            conclusions: of_event(house.snapshot, record, |it: &Conclusion| it.event.number())?,
            end: of_event(house.snapshot, record, |it: &EventEnd| it.event.number())?.pop(),
            body: it.body,
        })
    }

    /// When it occurred, as people read it.
    pub fn occurred_words(&self) -> String {
        self.when_words(&self.occurred_when, &self.body.occurred)
    }

    /// The day on which it occurred, or what is known of it: `2026-03`.
    pub fn day_words(&self) -> String {
        match self.occurred_when.is_exact() {
            true => self.day().to_string(),
            false => self.body.occurred.clone(),
        }
    }

    /// When it was discovered, as people read it.
    pub fn discovered_words(&self) -> String {
        self.when_words(&self.discovered_when, &self.body.discovered)
    }

    fn when_words(&self, when: &When, written: &str) -> String {
        match when.earliest.filter(|_| when.is_exact()) {
            Some(at) => self.local_words(at),
            None => written.to_owned(),
        }
    }

    fn local_words(&self, at: Instant) -> String {
        self.zone.local(at).format("%Y-%m-%d %H:%M %:z").to_string()
    }

    /// From when to when it may have occurred, as people read it; nothing where it is known.
    pub(crate) fn between_words(&self) -> Option<[Option<String>; 2]> {
        let first = self.occurred_when.earliest.map(|at| self.local_words(at));
        let last = Some(self.local_words(self.occurred_by));
        (!self.occurred_when.is_exact()).then_some([first, last])
    }

    /// The day on which it occurred, there.
    pub fn day(&self) -> Day {
        self.zone.local_day(self.occurred)
    }

    /// The days on which it may have occurred: one, where an end of the time is not known.
    pub fn days(&self) -> Span {
        let local = |at: Instant| self.zone.local_day(at);
        match (self.occurred_when.earliest, self.occurred_when.latest) {
            (Some(first), Some(_)) => Span {
                first: local(first),
                last: local(self.occurred_by),
            },
            _ => Span {
                first: self.day(),
                last: self.day(),
            },
        }
    }

    /// Planned actions that nobody has carried out.
    pub fn open_plans(&self) -> impl Iterator<Item = &Stored<EventAction>> {
        self.actions.iter().filter(|it| {
            it.body.done_on.is_none()
                && !self
                    .actions
                    .iter()
                    .any(|other| other.body.plan == Some(it.record.into()))
        })
    }

    /// The kind, as the rule set of its day has it.
    pub fn kind(&self, rule_set: &RuleSet) -> Option<EventKind> {
        kind_of(rule_set, &self.body.kind)
    }
}

/// The kinds of a rule set; of one that was adopted before kinds stood in rule sets, the program's.
pub fn kinds_of(rule_set: &RuleSet) -> &[EventKind] {
    match rule_set.events() {
        [] => event_kinds(),
        own => own,
    }
}

/// One kind, by key or name.
pub fn kind_of(rule_set: &RuleSet, word: &str) -> Option<EventKind> {
    let same = |it: &&EventKind| {
        it.key.eq_ignore_ascii_case(word.trim()) || it.name.eq_ignore_ascii_case(word.trim())
    };
    kinds_of(rule_set).iter().find(same).cloned()
}

/// Every event with what was learned of it, by when it occurred.
pub(crate) fn all_happened(house: &OpenHouse<'_>) -> Result<Vec<Happened>, AnswerError> {
    let events = house.snapshot.all::<Event>()?;
    let mut all = events
        .into_iter()
        .map(|it| Happened::load(house, it))
        .collect::<Result<Vec<_>, _>>()?;
    all.sort_by_key(|it| (it.occurred, it.record));
    Ok(all)
}

/// The event of a name.
///
/// # Errors
/// A name that leads nowhere.
pub fn happened(house: &OpenHouse<'_>, name: &str) -> Result<Happened, AnswerError> {
    let mut events = house.snapshot.all::<Event>()?;
    let found = events
        .iter()
        .position(|it| it.body.name.eq_ignore_ascii_case(name.trim()));
    match found {
        Some(at) => Happened::load(house, events.swap_remove(at)),
        None => Err(no_event(house.snapshot, name, &events)?),
    }
}

pub(crate) fn local(it: &Happened, at: Instant) -> String {
    it.zone.local(at).format("%Y-%m-%d %H:%M %:z").to_string()
}

/// Why there is no such event: it is of a later day, or nobody wrote one of this name.
pub(crate) fn no_event(
    snapshot: &Snapshot<'_>,
    name: &str,
    known: &[Stored<Event>],
) -> Result<AnswerError, AnswerError> {
    let all = snapshot.whole().all::<Event>()?;
    let mut later = all
        .iter()
        .filter(|it| it.body.name.eq_ignore_ascii_case(name.trim()));
    let day = later.next().and_then(|it| it.body.about());
    if let (Some(day), Some(on)) = (day, snapshot.day()) {
        let what = format!("the event `{name}`");
        return Ok(AnswerError::OfLaterDay { what, day, on });
    }
    Ok(NoSuchName {
        what: Sought::Event,
        name: name.to_owned(),
        near: near(name, known.iter().map(|it| it.body.name.as_str())),
    }
    .into())
}
