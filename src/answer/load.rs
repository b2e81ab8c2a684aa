//! From records to the plain values that the computations take.

use std::collections::HashMap;
use std::sync::Arc;

use super::clock::clocks;
use super::error::AnswerError;
use super::event_service::event_outs;
use super::licence::{AtJobs, at_jobs, in_force, newest, under_licence};
use super::load_badge::AllDosimetry;
use super::load_worker::load_facts;
use super::names::{Names, NoSuchName};
use super::service::Service;
use super::upkeep::Upkeep;
use crate::calendar::{Day, Span, Zone};
use crate::dose::input::{Counting, History, Reading, ReadsLow, Shift, WorkerFacts};
use crate::dose::resolve::days_needed;
use crate::ledger::{Clocks, Instant, ReadingRow, ShiftRow, Snapshot, Stored};
use crate::quantity::{DoseUnit, Indication, IndicationUnit};
use crate::record::{
    Adoption, ClockSort, Dosimeter, DoubtSort, Outcome, Qualification, RecordId, Ref, Sheet, Words,
};
use crate::rule::{Checklist, Scheme, Terms};

/// The registers and dated facts of a ledger, loaded once for a question.
#[derive(Debug)]
pub struct House {
    /// The registers.
    pub names: Names,
    /// Calibrations, response checks and withdrawals.
    pub(super) service: Service,
    /// Checklists, parts, leak tests and what else is done to things.
    pub(super) upkeep: Upkeep,
    /// Dosimeters that a check found to read low.
    pub(super) reads_low: Vec<ReadsLow>,
    /// Which moments of writing can be trusted.
    pub(super) clocks: Clocks,
    /// What people are qualified for, by person.
    pub(super) qualifications: Vec<Stored<Qualification>>,
    /// As they hold for the licence.
    schemes: Vec<(Day, i64, Scheme)>,
    /// As they are written, where that is another thing.
    pub(super) written: Vec<(Day, i64, Scheme)>,
    /// As they hold at jobs under other authorities.
    pub(super) at_jobs: AtJobs,
    facts: HashMap<RecordId, WorkerFacts>,
    /// What was decided about held items, by sheet entry and item.
    rulings: HashMap<(i64, i64), Outcome>,
    held: HashMap<i64, Vec<HeldItem>>,
    labels: HashMap<RecordId, Arc<str>>,
}

#[derive(Debug, Clone)]
struct HeldItem {
    item: i64,
    person: Option<i64>,
    part: Option<i64>,
    reading: Option<i64>,
    sort: DoubtSort,
}

impl House {
    /// Loads the registers and facts.
    pub fn load(snapshot: &Snapshot<'_>) -> Result<House, AnswerError> {
        let names = Names::load(snapshot)?;
        let mut held: HashMap<i64, Vec<HeldItem>> = HashMap::new();
        let mut rulings = HashMap::new();
        for row in snapshot.held()? {
            if let Some(ruling) = &row.ruling {
                rulings.insert((row.entry, row.item), ruling.outcome);
            }
            if let Some(sort) = DoubtSort::from_stored(&row.sort) {
                let item = HeldItem {
                    item: row.item,
                    person: row.person,
                    part: row.part,
                    reading: row.reading,
                    sort,
                };
                held.entry(row.entry).or_default().push(item);
            }
        }
        let mut facts = load_facts(snapshot, &names)?;
        let labels = names
            .instruments()
            .map(|(record, instrument)| (record, Arc::from(instrument.id.as_str())))
            .collect();
        let written = load_schemes(snapshot)?;
        let schemes = under_licence(&written, names.charter.jurisdiction.as_deref());
        // A check from before the first scheme is judged by that one: it failed all the same.
        let terms = newest(&schemes).map_or(Terms::default(), Scheme::terms);
        facts.values_mut().for_each(|it| it.terms = terms);
        let first = schemes.iter().min_by_key(|it| (it.0, it.1));
        let judged_by = |day| in_force(&schemes, day).or(first.map(|(_, _, scheme)| scheme));
        let service = Service::load(snapshot, &names, judged_by)?;
        // A later check that found a dosimeter to read low raises the doses of before it.
        let reads_low = match snapshot.is_later(Day::MAX) {
            true => Service::load(&snapshot.whole(), &names, judged_by)?.reads_low(&names),
            false => service.reads_low(&names),
        };
        let mut house = House {
            at_jobs: at_jobs(&written, &names),
            reads_low,
            service,
            upkeep: Upkeep::load(snapshot)?,
            clocks: clocks(snapshot, newest(&schemes))?,
            qualifications: snapshot.all::<Qualification>()?,
            schemes,
            written,
            facts,
            rulings,
            held,
            labels,
            names,
        };
        let mut upkeep = std::mem::take(&mut house.upkeep);
        let days: Vec<Day> = house.written.iter().map(|it| it.0).collect();
        upkeep.tell(&days, |list, day| house.tell_list(list, day));
        house.upkeep = upkeep;
        let outs = event_outs(snapshot, &house)?;
        house.service.take_out(outs);
        Ok(house)
    }

    /// The scheme in force on a day: of those adopted from that day or earlier,
    /// the latest; of two from the same day, the one written later.
    pub fn scheme_on(&self, day: Day) -> Result<&Scheme, AnswerError> {
        in_force(&self.schemes, day).ok_or(AnswerError::NoScheme { day })
    }

    /// The scheme that was in force on a day by what was adopted until an entry, as it is written.
    pub(super) fn scheme_as_adopted(&self, day: Day, entry: i64) -> Option<&Scheme> {
        let known: Vec<_> = self.written.iter().filter(|it| it.1 <= entry).collect();
        let in_force = known.into_iter().filter(|it| it.0 <= day);
        in_force.max_by_key(|it| (it.0, it.1)).map(|it| &it.2)
    }

    /// Every scheme that was adopted.
    pub(super) fn schemes(&self) -> impl Iterator<Item = &Scheme> {
        self.schemes.iter().map(|(_, _, scheme)| scheme)
    }

    /// The scheme that was adopted from the latest day.
    pub(super) fn newest_scheme(&self) -> Option<&Scheme> {
        newest(&self.schemes)
    }

    /// The checklist in force on a day, with its adoption.
    pub fn checklist_on(&self, day: Day) -> Option<(RecordId, &Checklist)> {
        let it = self.upkeep.list_on(day)?;
        Some((it.record, &it.list))
    }

    /// The checklist of this name in the form of its latest adoption.
    pub fn checklist_named(&self, name: &str) -> Option<&Checklist> {
        let named = self.upkeep.lists().iter().filter(|it| it.list.key == name);
        named
            .max_by_key(|it| (it.from, it.entry, it.told_from))
            .map(|it| &it.list)
    }

    /// The unit of tables.
    pub fn unit(&self) -> DoseUnit {
        self.names.charter.dose_unit()
    }

    /// What the doses are called.
    pub fn terms(&self) -> Terms {
        self.newest_scheme().map_or(Terms::default(), Scheme::terms)
    }

    /// Whether the ledger's clock is scripted, which every output says.
    pub fn scripted(&self) -> bool {
        self.names.charter.clock == ClockSort::Scripted
    }

    /// The day that it is at a moment in the ledger's zone.
    pub fn today(&self, now: Instant) -> Day {
        Zone::parse(&self.names.charter.zone)
            .unwrap_or(Zone::UTC)
            .local_day(now)
    }

    /// The hour that it is in the ledger's zone, HH:MM.
    pub fn hour(&self, now: Instant) -> String {
        let zone = Zone::parse(&self.names.charter.zone).unwrap_or(Zone::UTC);
        zone.local(now).format("%H:%M").to_string()
    }

    /// The facts of a worker.
    pub fn facts(&self, worker: RecordId) -> Result<&WorkerFacts, AnswerError> {
        self.facts.get(&worker).ok_or_else(|| {
            NoSuchName {
                what: "worker".into(),
                name: worker.to_string(),
                near: Vec::new(),
            }
            .into()
        })
    }

    /// Every worker, by id.
    pub fn workers(&self) -> Vec<&WorkerFacts> {
        let mut all: Vec<&WorkerFacts> = self.facts.values().collect();
        all.sort_by(|a, b| a.id.cmp(&b.id));
        all
    }

    /// The days that a question about one year's standing must know: every
    /// window that a level of the scheme has on that day, and the night before.
    pub fn span_needed(&self, scheme: &Scheme, facts: &WorkerFacts, span: Span, on: Day) -> Span {
        use crate::calendar::WindowFacts;
        let pregnancy = facts.pregnancies.iter().max_by_key(|it| it.notice_on);
        let window_facts = WindowFacts {
            year_start: scheme.year_start,
            conception: pregnancy.map(|it| it.counts_from()),
            notice: pregnancy.map(|it| it.notice_on),
            pregnancy_end: pregnancy.and_then(|it| it.ended_on),
        };
        let mut first = span.first;
        for level in &scheme.levels {
            for window in level
                .over()
                .into_iter()
                .flat_map(|window| window.spans(on, &window_facts))
            {
                first = first.min(window.first);
            }
        }
        if let Some(pregnancy) = pregnancy {
            first = first.min(pregnancy.counts_from());
        }
        let first = first.pred_opt().unwrap_or(first);
        Span {
            first,
            last: span.last.max(on),
        }
    }

    /// One worker's shifts of a span, as the computations take them.
    pub fn history(
        &self,
        snapshot: &Snapshot<'_>,
        worker: RecordId,
        span: Span,
    ) -> Result<History, AnswerError> {
        let mut facts = self.facts(worker)?.clone();
        let mut dosimetry = self.dosimetry(snapshot, Some(worker), span)?;
        facts.dosimetry = dosimetry.remove(&worker).unwrap_or_default();
        // Whatever reaches into the span is decided whole.
        let days = days_needed(&facts.dosimetry, span);
        let rows = snapshot.shifts_of(worker, days.first, days.last)?;
        let shifts = rows.into_iter().map(|row| self.shift(row)).collect();
        Ok(History { facts, shifts })
    }

    /// Everybody's shifts of a span, by worker.
    pub fn histories(
        &self,
        snapshot: &Snapshot<'_>,
        span: Span,
    ) -> Result<HashMap<RecordId, History>, AnswerError> {
        let mut all: HashMap<RecordId, History> = self
            .facts
            .iter()
            .map(|(record, facts)| {
                (
                    *record,
                    History {
                        facts: facts.clone(),
                        shifts: Vec::new(),
                    },
                )
            })
            .collect();
        let (days, mut dosimetry) = self.dosimetry_of_all(snapshot, span)?;
        for (worker, history) in &mut all {
            history.facts.dosimetry = dosimetry.remove(worker).unwrap_or_default();
        }
        snapshot.shifts(days.first, days.last, |row| {
            if let Some(history) = all.get_mut(&row.worker) {
                history.shifts.push(self.shift(row));
            }
        })?;
        Ok(all)
    }

    /// Everybody's dosimetry for a question about a span, and the days of which it needs the
    /// shifts: which badge each of them was worn with is settled from all badges of those days.
    fn dosimetry_of_all(
        &self,
        snapshot: &Snapshot<'_>,
        span: Span,
    ) -> Result<(Span, AllDosimetry), AnswerError> {
        // Most wear periods are shorter, so that one look is enough.
        let month = chrono::Days::new(31);
        let mut loaded = Span {
            first: span.first.checked_sub_days(month).unwrap_or(span.first),
            last: span.last.checked_add_days(month).unwrap_or(span.last),
        };
        loop {
            let all = self.dosimetry(snapshot, None, loaded)?;
            let needed = all
                .values()
                .map(|it| days_needed(it, span))
                .fold(span, hull);
            if hull(loaded, needed) == loaded {
                return Ok((needed, all));
            }
            loaded = hull(loaded, needed);
        }
    }

    fn shift(&self, row: ShiftRow) -> Shift {
        let doubts = self
            .held
            .get(&row.entry)
            .map(Vec::as_slice)
            .unwrap_or_default();
        let readings = row
            .readings
            .iter()
            .zip(1..)
            .map(|reading| self.reading(row.entry, row.person, reading, doubts))
            .collect();
        Shift {
            sheet: row.sheet,
            entry: row.entry,
            day: row.day,
            crosses_midnight: row.crosses_midnight,
            shift: row.shift,
            badge_worn: row.badge_worn,
            badge: row.badge.as_deref().map(Arc::from),
            work: row.work,
            readings,
        }
    }

    fn reading(
        &self,
        entry: i64,
        person: i64,
        (row, nth): (&ReadingRow, i64),
        doubts: &[HeldItem],
    ) -> Reading {
        let unit = row
            .unit
            .as_deref()
            .and_then(|unit| IndicationUnit::parse(unit).ok());
        let shown = |count: Option<i64>| Some(Indication::new(count?, unit?));
        let label = row
            .dosimeter
            .and_then(|record| self.labels.get(&record))
            .cloned();
        let (held, ruling) = self.held_of(entry, person, (row.part, nth), doubts);
        Reading {
            record: row.dosimeter,
            dosimeter: label.unwrap_or_else(|| Arc::from("unknown dosimeter")),
            part: row.part,
            start: shown(row.start_count),
            end: shown(row.end_count),
            off_scale: row.off_scale,
            held,
            ruling,
        }
    }

    /// Whether a doubt of this sort stands in an entry and was ruled to count.
    pub(super) fn is_ruled_to_count(&self, entry: i64, sort: DoubtSort) -> bool {
        let doubts = self.held.get(&entry).map(Vec::as_slice).unwrap_or_default();
        doubts
            .iter()
            .filter(|it| it.sort == sort)
            .any(|it| self.rulings.get(&(entry, it.item)) == Some(&Outcome::Counts))
    }

    /// Whether a badge or a result counts: its own doubts and their rulings.
    pub(super) fn counting_of(&self, entry: i64) -> Counting {
        let doubts = self.held.get(&entry).map(Vec::as_slice).unwrap_or_default();
        let (mut open, mut out) = (false, false);
        for doubt in doubts.iter().filter(|it| it.sort.keeps_dose_out()) {
            match self.rulings.get(&(entry, doubt.item)) {
                None => open = true,
                Some(Outcome::DoesNotCount) => out = true,
                Some(Outcome::Counts) => {}
            }
        }
        match (out, open) {
            (true, _) => Counting::RuledOut,
            (false, true) => Counting::Held,
            (false, false) => Counting::Counts,
        }
    }

    /// Why a reading is held, and what was ruled: by the doubts about that reading alone, and those
    /// about the person on that sheet. A reading with several doubts
    /// counts again only when each of them was ruled to count.
    fn held_of(
        &self,
        entry: i64,
        person: i64,
        (part, nth): (i64, i64),
        doubts: &[HeldItem],
    ) -> (Vec<DoubtSort>, Option<Outcome>) {
        let mine = doubts.iter().filter(|doubt| {
            doubt.sort.keeps_dose_out()
                && doubt.person == Some(person)
                && doubt.part.is_none_or(|it| it == part)
                && doubt.reading.is_none_or(|it| it == nth)
        });
        let mut held = Vec::new();
        let mut open = false;
        let mut out = false;
        for doubt in mine {
            held.push(doubt.sort);
            match self.rulings.get(&(entry, doubt.item)) {
                None => open = true,
                Some(Outcome::DoesNotCount) => out = true,
                Some(Outcome::Counts) => {}
            }
        }
        let ruling = match (held.is_empty(), out, open) {
            (true, _, _) | (false, false, true) => None,
            (false, true, _) => Some(Outcome::DoesNotCount),
            (false, false, false) => Some(Outcome::Counts),
        };
        (held, ruling)
    }

    /// The readings of one person of a stored sheet.
    pub(super) fn readings_of(
        &self,
        entry: i64,
        sheet: &Sheet,
        place: i64,
    ) -> Vec<(Ref<Dosimeter>, Reading)> {
        let doubts = self.held.get(&entry).map(Vec::as_slice).unwrap_or_default();
        let person = usize::try_from(place - 1)
            .ok()
            .and_then(|at| sheet.people.get(at));
        person
            .into_iter()
            .flat_map(|person| &person.readings)
            .zip(1..)
            .map(|(it, nth)| {
                let (held, ruling) = self.held_of(entry, place, (it.part, nth), doubts);
                let reading = Reading {
                    record: it.dosimeter.number(),
                    dosimeter: Arc::from(self.names.words(&it.dosimeter).as_str()),
                    part: it.part,
                    start: it.start,
                    end: it.end,
                    off_scale: it.off_scale,
                    held,
                    ruling,
                };
                (it.dosimeter.clone(), reading)
            })
            .collect()
    }
}

fn hull(a: Span, b: Span) -> Span {
    Span {
        first: a.first.min(b.first),
        last: a.last.max(b.last),
    }
}

fn load_schemes(snapshot: &Snapshot<'_>) -> Result<Vec<(Day, i64, Scheme)>, AnswerError> {
    snapshot
        .all::<Adoption>()?
        .into_iter()
        .map(|it| match Scheme::parse_adopted(&it.body.text) {
            Ok(scheme) => Ok((it.body.from, it.entry, scheme)),
            Err(problems) => Err(AnswerError::Scheme {
                entry: it.entry,
                name: it.body.name,
                detail: problems.to_string(),
            }),
        })
        .collect()
}
