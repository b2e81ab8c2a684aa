//! The registers and dated facts of a ledger, and what is asked of them everywhere.

use std::collections::HashMap;
use std::ops::Deref;
use std::sync::{Arc, Mutex};

use super::error::AnswerError;
use super::names::Names;
use super::service::Service;
use super::sought::{NoSuchName, Sought};
use crate::answer::entry::adopted::{AtJobs, in_force, newest, read};
use crate::answer::equipment::maintenance::Maintenance;
use crate::calendar::{Day, Span};
use crate::dose::input::{Counting, Reading, ReadsLow, WorkerFacts};
use crate::dose::work_status::InEvent;
use crate::ledger::{Clocks, Instant, Snapshot, Stored};
use crate::quantity::DoseUnit;
use crate::record::{
    Adoption, ClockType, Dosimeter, DoubtType, Inspection, Outcome, Qualification, RecordId, Ref,
    Sheet,
};
use crate::rule::{Checklist, ChecklistItem, RuleSet, Terms};

/// The registers and dated facts of a ledger, loaded once for a question.
#[derive(Debug)]
pub struct House {
    /// The registers.
    pub names: Names,
    /// Calibrations, response checks and withdrawals.
    pub(crate) service: Service,
    /// Checklists, parts, leak tests and what else is done to things.
    pub(crate) maintenance: Maintenance,
    /// Dosimeters that a check found to read low.
    pub(crate) reads_low: Vec<ReadsLow>,
    /// Which moments of writing can be trusted.
    pub(crate) clocks: Clocks,
    /// The day on which the ledger was begun, where that can be read.
    pub(crate) began: Option<Day>,
    /// What people are qualified for, by person.
    pub(crate) qualifications: Vec<Stored<Qualification>>,
    /// As they hold for the license.
    pub(crate) rule_sets: Vec<(Day, i64, Arc<RuleSet>)>,
    /// As they are written, where that is another thing.
    pub(crate) written: Vec<(Day, i64, Arc<RuleSet>)>,
    /// As they hold at jobs under other authorities.
    pub(crate) at_jobs: AtJobs,
    pub(crate) facts: HashMap<RecordId, WorkerFacts>,
    /// What was decided about held items, by sheet entry and item.
    pub(crate) dispositions: HashMap<(i64, i64), Outcome>,
    pub(crate) held: HashMap<i64, Vec<HeldItem>>,
    pub(crate) labels: HashMap<RecordId, Arc<str>>,
    /// Everybody's part in events in which somebody can have been exposed, once it is asked for,
    /// by the state of the ledger that was asked: what is known differs between states.
    pub(crate) in_events: Mutex<ByState>,
}

/// A house with the state of the ledger that it is of, for what is read when it is asked for.
#[derive(Clone, Copy)]
pub struct OpenHouse<'a> {
    /// The state of the ledger.
    pub snapshot: &'a Snapshot<'a>,
    house: &'a House,
}

impl Deref for OpenHouse<'_> {
    type Target = House;

    fn deref(&self) -> &House {
        self.house
    }
}

#[derive(Debug, Clone)]
pub(crate) struct HeldItem {
    pub(crate) item: i64,
    pub(crate) person: Option<i64>,
    pub(crate) part: Option<i64>,
    pub(crate) reading: Option<i64>,
    pub(crate) kind: DoubtType,
}

impl House {
    /// The house with the state that it was loaded from.
    pub fn open<'a>(&'a self, snapshot: &'a Snapshot<'a>) -> OpenHouse<'a> {
        OpenHouse {
            snapshot,
            house: self,
        }
    }

    /// An item of a list as it stands on one item on a day.
    pub fn item_on(&self, equipment: RecordId, item: &ChecklistItem, day: Day) -> ChecklistItem {
        self.maintenance.item_on(equipment, item, day)
    }

    /// The rule set in force on a day: of those adopted from that day or earlier,
    /// the latest; of two from the same day, the one written later.
    pub fn rule_set_on(&self, day: Day) -> Result<&RuleSet, AnswerError> {
        in_force(&self.rule_sets, day).ok_or(AnswerError::NoRuleSet { day })
    }

    /// The rule set by which a day was judged by what was adopted until an entry, as it is written.
    pub(crate) fn rule_set_as_adopted(&self, day: Day, entry: i64) -> Option<&RuleSet> {
        let known: Vec<_> = self.written.iter().filter(|it| it.1 <= entry).collect();
        let first = known.iter().map(|it| it.0).min();
        let day = first.map_or(day, |first| day.max(first));
        let in_force = known.into_iter().filter(|it| it.0 <= day);
        in_force.max_by_key(|it| (it.0, it.1)).map(|it| &*it.2)
    }

    /// Every rule set that was adopted.
    pub(crate) fn rule_sets(&self) -> impl Iterator<Item = &RuleSet> {
        self.rule_sets.iter().map(|(_, _, rule_set)| &**rule_set)
    }

    /// The rule set that was adopted from the latest day.
    pub(crate) fn newest_rule_set(&self) -> Option<&RuleSet> {
        newest(&self.rule_sets)
    }

    /// The checklist in force on a day, with its adoption.
    pub fn checklist_on(&self, day: Day) -> Option<(RecordId, &Checklist)> {
        let it = self.maintenance.list_on(day)?;
        Some((it.record, &it.list))
    }

    /// The checklist of an inspection, as it is told on its day.
    pub(crate) fn list_of(&self, it: &Inspection) -> Option<&Checklist> {
        let found = self.maintenance.list_of(it.list.number(), it.on);
        found.map(|it| &it.list)
    }

    /// The checklist of this name in the form of its latest adoption.
    pub fn checklist_named(&self, name: &str) -> Option<&Checklist> {
        let named = self
            .maintenance
            .lists()
            .iter()
            .filter(|it| it.list.key == name);
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
        self.newest_rule_set()
            .map_or(Terms::default(), RuleSet::terms)
    }

    /// Whether the ledger's clock is scripted, which every output says.
    pub fn scripted(&self) -> bool {
        self.names.charter.clock == ClockType::Scripted
    }

    /// The day that it is at a moment in the ledger's zone.
    pub fn today(&self, now: Instant) -> Day {
        self.names.zone.local_day(now)
    }

    /// The hour that it is in the ledger's zone, HH:MM.
    pub fn hour(&self, now: Instant) -> String {
        self.names.zone.local(now).format("%H:%M").to_string()
    }

    /// The facts of a worker.
    pub fn facts(&self, worker: RecordId) -> Result<&WorkerFacts, AnswerError> {
        self.facts.get(&worker).ok_or_else(|| {
            NoSuchName {
                what: Sought::Worker,
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
    /// window that a level of the rule set has on that day, and the night before.
    pub fn span_needed(
        &self,
        rule_set: &RuleSet,
        facts: &WorkerFacts,
        span: Span,
        on: Day,
    ) -> Span {
        use crate::calendar::WindowFacts;
        let pregnancy = facts.pregnancies.iter().max_by_key(|it| it.notice_on);
        let window_facts = WindowFacts {
            year_start: rule_set.year_start,
            conception: pregnancy.map(|it| it.counts_from()),
            notification: pregnancy.map(|it| it.notice_on),
            pregnancy_end: pregnancy.and_then(|it| it.ended_on),
        };
        let mut first = span.first;
        for level in &rule_set.levels {
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

    /// Whether a doubt of this kind stands in an entry and was ruled to count.
    pub(crate) fn is_ruled_to_count(&self, entry: i64, kind: DoubtType) -> bool {
        let doubts = self.held.get(&entry).map(Vec::as_slice).unwrap_or_default();
        doubts
            .iter()
            .filter(|it| it.kind == kind)
            .any(|it| self.dispositions.get(&(entry, it.item)) == Some(&Outcome::Counts))
    }

    /// Whether a badge or a result counts: its own doubts and their dispositions.
    pub(crate) fn counting_of(&self, entry: i64) -> Counting {
        let doubts = self.held.get(&entry).map(Vec::as_slice).unwrap_or_default();
        let (mut open, mut out) = (false, false);
        for doubt in doubts.iter().filter(|it| it.kind.keeps_dose_out()) {
            match self.dispositions.get(&(entry, doubt.item)) {
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

    /// The readings of one person of a stored sheet.
    pub(crate) fn readings_of(
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
                let (held, disposition) = self.held_of(entry, place, (it.part, nth), doubts);
                let reading = Reading {
                    record: it.dosimeter.number(),
                    dosimeter: Arc::from(self.names.words(&it.dosimeter).as_str()),
                    part: it.part,
                    start: it.start,
                    end: it.end,
                    off_scale: sheet.is_off_scale(place, nth, it),
                    held,
                    disposition,
                };
                (it.dosimeter.clone(), reading)
            })
            .collect()
    }
}

pub(crate) fn hull(a: Span, b: Span) -> Span {
    Span {
        first: a.first.min(b.first),
        last: a.last.max(b.last),
    }
}

pub(crate) fn load_rule_sets(
    snapshot: &Snapshot<'_>,
) -> Result<Vec<(Day, i64, Arc<RuleSet>)>, AnswerError> {
    snapshot
        .all::<Adoption>()?
        .into_iter()
        .map(|it| match read(&it.body.text) {
            Ok(rule_set) => Ok((it.body.from, it.entry, rule_set)),
            Err(problems) => Err(AnswerError::RuleSet {
                entry: it.entry,
                name: it.body.name,
                detail: problems.to_string(),
            }),
        })
        .collect()
}

/// Everybody's parts, by person.
pub(crate) type AllParts = HashMap<RecordId, Vec<InEvent>>;

/// The same by the state of the ledger that was asked.
pub(crate) type ByState = HashMap<(i64, Option<Day>), Arc<AllParts>>;
