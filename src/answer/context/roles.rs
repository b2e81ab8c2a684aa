//! What people were from which day on, and when they are monitored.

use super::names::Names;
use crate::calendar::Day;
use crate::dose::input::Monitored;
use crate::record::{MonitoringChange, RecordId, Role};

impl Names {
    /// What somebody is qualified as on a day, by the role records; nothing before the first
    /// monitored day. Of two changes from one day the later written holds.
    pub fn roles_of(&self, worker: RecordId) -> Vec<(Day, Role)> {
        let first = self.worker_body(worker);
        let first = first.map(|it| (it.monitored_from, it.role));
        let changes = self.roles.get(&worker).into_iter().flatten();
        // What came later holds, whenever monitoring began.
        first
            .into_iter()
            .chain(changes.map(|(from, _, role)| (*from, *role)))
            .collect()
    }

    /// The role of a worker on a day.
    pub fn role_on(&self, worker: RecordId, day: Day) -> Option<Role> {
        let body = self.worker_body(worker)?;
        let changes = self
            .roles
            .get(&worker)
            .map(Vec::as_slice)
            .unwrap_or_default();
        match changes.iter().rfind(|(from, _, _)| *from <= day) {
            Some((_, _, role)) => Some(*role),
            None => (body.monitored_from <= day).then_some(body.role),
        }
    }

    /// The spans in which a worker is monitored. An inspector is registered to read, and only a
    /// record of its own begins monitoring.
    pub fn monitoring_of(&self, worker: RecordId) -> Vec<Monitored> {
        let first = self.worker_body(worker);
        let first = first
            .filter(|it| it.role != Role::Inspector)
            .map(|it| Monitored {
                from: it.monitored_from,
                until: None,
            });
        let mut spans: Vec<Monitored> = first.into_iter().collect();
        for change in self.monitoring.get(&worker).into_iter().flatten() {
            let last = spans.last_mut();
            match (change.change, last) {
                (MonitoringChange::Ends, Some(open)) if open.until.is_none() => {
                    open.until = Some(change.on);
                }
                (MonitoringChange::Starts, past)
                    if past.as_ref().is_none_or(|it| it.until.is_some()) =>
                {
                    let (from, until) = (change.on, None);
                    spans.push(Monitored { from, until });
                }
                _ => {}
            }
        }
        spans
    }

    /// Whether a worker is monitored on a day.
    pub fn monitored(&self, worker: RecordId, day: Day) -> bool {
        let spans = self.monitoring_of(worker);
        let mut spans = spans.iter();
        spans.any(|it| it.from <= day && it.until.is_none_or(|until| day <= until))
    }
}
