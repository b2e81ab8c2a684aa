//! What was known of an instrument or a piece of equipment on a day: its last
//! checks, and whether it was out of service.

use std::collections::HashMap;

use crate::calendar::Day;
use crate::dose::checks::input::{LastCheck, Withdrawal};
use crate::ledger::{LedgerError, Snapshot};
use crate::record::{self, CheckResult, CheckSort, RecordId, ServiceReturn};

/// Checks, withdrawals and returns, by record and day.
#[derive(Debug, Default)]
pub(super) struct Service {
    checks: HashMap<RecordId, Vec<(CheckSort, LastCheck)>>,
    life: HashMap<RecordId, Vec<(Day, Change)>>,
}

#[derive(Debug, Clone)]
enum Change {
    Out(Withdrawal),
    Back,
}

impl Service {
    pub fn load(snapshot: &Snapshot<'_>) -> Result<Service, LedgerError> {
        let mut service = Service::default();
        for it in snapshot.all::<record::Check>()? {
            let check = LastCheck {
                entry: it.entry,
                on: it.body.on,
                passed: it.body.result == CheckResult::Pass,
            };
            service
                .checks
                .entry(it.body.instrument)
                .or_default()
                .push((it.body.sort, check));
        }
        for it in snapshot.all::<record::Withdrawal>()? {
            let out = Withdrawal {
                entry: it.entry,
                on: it.body.on,
                reason: it.body.reason,
            };
            service
                .life
                .entry(it.body.item)
                .or_default()
                .push((it.body.on, Change::Out(out)));
        }
        for it in snapshot.all::<ServiceReturn>()? {
            service
                .life
                .entry(it.body.item)
                .or_default()
                .push((it.body.on, Change::Back));
        }
        for checks in service.checks.values_mut() {
            checks.sort_by_key(|(_, check)| (check.on, check.entry));
        }
        for changes in service.life.values_mut() {
            // Out and back on one day: it is back.
            changes.sort_by_key(|(on, change)| (*on, matches!(change, Change::Back)));
        }
        Ok(service)
    }

    /// The last check of a sort on or before a day.
    pub fn last_check(&self, record: RecordId, sort: CheckSort, on: Day) -> Option<LastCheck> {
        self.checks
            .get(&record)?
            .iter()
            .rev()
            .find(|(of, check)| *of == sort && check.on <= on)
            .map(|(_, check)| *check)
    }

    /// The withdrawal that was in force on a day. On the day of the withdrawal
    /// itself the item may have been used before it was taken out, so that day
    /// does not count.
    pub fn withdrawn(&self, record: RecordId, on: Day) -> Option<Withdrawal> {
        let mut before = self
            .life
            .get(&record)?
            .iter()
            .filter(|(from, change)| match change {
                Change::Out(_) => *from < on,
                Change::Back => *from <= on,
            });
        match before.next_back() {
            Some((_, Change::Out(out))) => Some(out.clone()),
            _ => None,
        }
    }
    /// The withdrawal that stands at the beginning of a day, or was made on it:
    /// who asks whether a thing may be used counts both.
    pub fn out_of_service(&self, record: RecordId, on: Day) -> Option<Withdrawal> {
        let mut before = self
            .life
            .get(&record)?
            .iter()
            .filter(|(from, _)| *from <= on);
        match before.next_back() {
            Some((_, Change::Out(out))) => Some(out.clone()),
            _ => None,
        }
    }
}
