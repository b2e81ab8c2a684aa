//! What was known of an instrument or an item of equipment on a day: its last
//! checks, and whether it was out of service.

use std::collections::HashMap;

use super::names::Names;
use crate::answer::equipment::calibration::{Judged, reads_low};
use serde::Serialize;

use crate::calendar::Day;
use crate::dose::checks::input::{LastCheck, Withdrawal};
use crate::dose::input::ReadsLow;
use crate::instrument::look_back::{CheckFact, LookBack, look_back};
use crate::ledger::{LedgerError, Snapshot};
use crate::record::{self, CheckType, Id, Item, RecordId, ServiceReturn};
use crate::rule::RuleSet;

/// Checks, withdrawals and returns, by record and day.
#[derive(Debug, Default)]
pub(crate) struct Service {
    checks: HashMap<RecordId, Vec<Judged>>,
    life: HashMap<RecordId, Vec<(Day, Change)>>,
    /// Pieces that events and inspections took out of service.
    events: HashMap<RecordId, Vec<EventOut>>,
}

#[derive(Debug, Clone)]
enum Change {
    Out {
        out: Withdrawal,
        by: String,
    },
    Back {
        entry: i64,
        done: String,
        by: String,
    },
}

impl Service {
    /// Loads them; `rule_set_on` gives the rule set of a check's day.
    pub fn load<'s>(
        snapshot: &Snapshot<'_>,
        names: &Names,
        rule_set_on: impl Fn(Day) -> Option<&'s RuleSet>,
    ) -> Result<Service, LedgerError> {
        let mut service = Service::default();
        for it in snapshot.all::<record::Check>()? {
            let instrument = it.body.instrument;
            let Some(rule_set) = rule_set_on(it.body.on) else {
                continue;
            };
            let judged = Judged::of(it, names.instrument_body(instrument.number()), rule_set);
            service
                .checks
                .entry(instrument.number())
                .or_default()
                .push(judged);
        }
        for it in snapshot.all::<record::Withdrawal>()? {
            let (on, by) = (it.body.on, it.body.by);
            let out = Withdrawal {
                entry: it.entry,
                on,
                reason: it.body.reason,
            };
            service.changed(it.body.item, on, Change::Out { out, by });
        }
        for it in snapshot.all::<ServiceReturn>()? {
            let back = Change::Back {
                entry: it.entry,
                done: it.body.done,
                by: it.body.by,
            };
            service.changed(it.body.item, it.body.on, back);
        }
        for checks in service.checks.values_mut() {
            checks.sort_by_key(|it| (it.check.body.on, it.check.entry));
        }
        for changes in service.life.values_mut() {
            // Out and back on one day: it is back.
            changes.sort_by_key(|(on, change)| (*on, matches!(change, Change::Back { .. })));
        }
        Ok(service)
    }

    fn changed(&mut self, item: Id<Item>, on: Day, change: Change) {
        let life = self.life.entry(item.number()).or_default();
        life.push((on, change));
    }

    /// Adds what events took out of service.
    pub fn take_out(&mut self, events: HashMap<RecordId, Vec<EventOut>>) {
        self.events = events;
    }

    /// The event that keeps an item out of service: of use on the day of the event itself
    /// nobody can say whether it came before.
    fn out_by_event(&self, record: RecordId, on: Day, with_its_day: bool) -> Option<Withdrawal> {
        let all = self.events.get(&record)?;
        let found = all.iter().find(|it| {
            let begun = it.out.on < on || (with_its_day && it.out.on == on);
            begun && it.back.is_none_or(|(back, _)| back > on)
        });
        found.map(|it| it.out.clone())
    }

    /// The last check of a kind on or before a day.
    pub fn last_check(&self, record: RecordId, kind: CheckType, on: Day) -> Option<LastCheck> {
        let last = self
            .checks_of(record)
            .iter()
            .rfind(|it| it.check.body.kind == kind && it.check.body.on <= on)?;
        Some(LastCheck {
            entry: last.check.entry,
            on: last.check.body.on,
            passed: last.passed(),
        })
    }

    /// Every check of an instrument, by day.
    pub fn checks_of(&self, record: RecordId) -> &[Judged] {
        self.checks
            .get(&record)
            .map(Vec::as_slice)
            .unwrap_or_default()
    }

    /// The spans over which an instrument may have been wrong, each with its check.
    pub fn look_backs(&self, record: RecordId) -> Vec<(LookBack, &Judged)> {
        let checks = self.checks_of(record);
        let facts: Vec<CheckFact> = checks.iter().map(Judged::fact).collect();
        look_back(&facts)
            .into_iter()
            .filter_map(|span| {
                let check = checks
                    .iter()
                    .find(|it| it.check.entry == span.failed_entry)?;
                Some((span, check))
            })
            .collect()
    }

    /// Dosimeters that a check found to read low, with the days on which they may have.
    pub fn reads_low(&self, names: &Names) -> Vec<ReadsLow> {
        let mut all = Vec::new();
        for record in self.checks.keys().copied() {
            let kind = names.instrument_body(record).map(|it| it.kind);
            if !kind.is_some_and(|it| it.is_dosimeter()) {
                continue;
            }
            for (span, judged) in self.look_backs(record) {
                let Some(worst) = judged.worst() else {
                    continue;
                };
                let entry = judged.check.entry;
                all.extend(reads_low(
                    record,
                    entry,
                    worst,
                    span.good_on,
                    span.failed_on,
                ));
            }
        }
        all.sort_by_key(|it| it.entry);
        all
    }

    /// The withdrawal that stands at the beginning of a day, or was made on it:
    /// who asks whether a thing may be used counts both.
    pub fn out_of_service(&self, record: RecordId, on: Day) -> Option<Withdrawal> {
        let life = self.life.get(&record).map(Vec::as_slice);
        let mut before = life
            .unwrap_or_default()
            .iter()
            .filter(|(from, _)| *from <= on);
        match before.next_back() {
            Some((_, Change::Out { out, .. })) => Some(out.clone()),
            _ => self.out_by_event(record, on, true),
        }
    }

    /// The withdrawals and returns of a thing.
    pub fn life_of(&self, record: RecordId) -> Vec<LifeLine> {
        let changes = self
            .life
            .get(&record)
            .map(Vec::as_slice)
            .unwrap_or_default();
        let mut lines: Vec<LifeLine> = changes
            .iter()
            .map(|(on, change)| match change {
                Change::Out { out, by } => line(
                    *on,
                    format!("out of service: {}", out.reason),
                    by,
                    out.entry,
                ),
                Change::Back { entry, done, by } => {
                    line(*on, format!("returned to service: {done}"), by, *entry)
                }
            })
            .collect();
        for it in self.events.get(&record).into_iter().flatten() {
            let (what, by, back) = match &it.by {
                OutBy::Event(name) => (
                    format!("out of service by event {name}"),
                    "the rule",
                    format!("found good after event {name}"),
                ),
                OutBy::Inspection => (
                    format!("out of service: {}", it.out.reason),
                    "the inspection",
                    "found good again, or returned".to_owned(),
                ),
            };
            lines.push(line(it.out.on, what, by, it.out.entry));
            let back = it
                .back
                .map(|(on, entry)| line(on, back, "the inspection", entry));
            lines.extend(back);
        }
        lines.sort_by_key(|it| (it.on, it.entry));
        lines
    }

    /// The withdrawal that was in force on a day. On the day of the withdrawal
    /// itself the item may have been used before it was taken out, so that day
    /// does not count.
    pub fn out_all_day(&self, record: RecordId, on: Day) -> Option<Withdrawal> {
        let by_hand = self.taken_out_by_hand(record, on);
        by_hand.or_else(|| self.out_by_event(record, on, false))
    }

    /// The same without what an event or an inspection took out.
    pub fn taken_out_by_hand(&self, record: RecordId, on: Day) -> Option<Withdrawal> {
        let life = self.life.get(&record).map(Vec::as_slice);
        let mut before = life
            .unwrap_or_default()
            .iter()
            .filter(|(from, change)| match change {
                Change::Out { .. } => *from < on,
                Change::Back { .. } => *from <= on,
            });
        match before.next_back() {
            Some((_, Change::Out { out, .. })) => Some(out.clone()),
            _ => None,
        }
    }
}

/// What takes an item out of service although nobody withdrew it by hand.
#[derive(Debug, Clone)]
pub(crate) enum OutBy {
    /// An event, by its name.
    Event(String),
    /// An inspection whose words on a defect are that the item was withdrawn.
    Inspection,
}

/// One item out of service because of an event or an inspection.
#[derive(Debug, Clone)]
pub(crate) struct EventOut {
    /// The entry and what it says.
    pub out: Withdrawal,
    /// By what.
    pub by: OutBy,
    /// The first day on which it may be used again, with the entry that says so.
    pub back: Option<(Day, i64)>,
}

/// One thing that happened to it.
#[derive(Debug, Clone, Serialize)]
pub struct LifeLine {
    /// The day.
    pub on: Day,
    /// What.
    pub what: String,
    /// Who.
    pub by: String,
    /// The entry.
    pub entry: i64,
}

pub(crate) fn line(on: Day, what: String, by: &str, entry: i64) -> LifeLine {
    LifeLine {
        on,
        what,
        by: by.to_owned(),
        entry,
    }
}
