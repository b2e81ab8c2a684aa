//! What is looked at while words about an event become a record.

use super::fault::{Fault, Faults, IntakeError};
use crate::answer::{House, Moment};
use crate::calendar::{Day, LocalTime, Zone};
use crate::ledger::{Instant, Snapshot};
use crate::record::EventPerson;
use crate::rule::Checklist;

/// What is looked at while words become a record.
pub(super) struct Desk<'a> {
    pub snapshot: &'a Snapshot<'a>,
    pub house: &'a House,
    pub now: Instant,
    pub faults: Faults,
}

impl Desk<'_> {
    pub fn fault(
        &mut self,
        field: &str,
        value: &str,
        what: impl Into<String>,
        right: impl Into<String>,
    ) {
        self.faults
            .push(Fault::new(None, field, value, what, right));
    }

    /// A moment with its offset. One that the clocks went over twice or not at all is refused
    /// where its offset is not said, and so is one that is still to come.
    pub fn moment(&mut self, field: &str, moment: Moment, zone: Zone) -> String {
        let at = match moment {
            Moment::Fixed(at) => zone.local(at),
            Moment::Local(day, time) => match zone.at(day, time) {
                LocalTime::Once(at) => at,
                LocalTime::Twice(at, later) => {
                    let text = format!("{day}T{}", time.format("%H:%M"));
                    let what = format!("is two moments in {zone}: the clocks went back over it");
                    let right = format!("`{text}{}` or `{text}{}`", at.offset(), later.offset());
                    self.fault(field, &text, what, right);
                    at
                }
                LocalTime::Never => {
                    let text = format!("{day}T{}", time.format("%H:%M"));
                    let what = format!("is no time in {zone}: the clocks went forward over it");
                    self.fault(field, &text, what, "what a clock on the wall there showed");
                    zone.local(self.now)
                }
            },
        };
        let text = at.format("%Y-%m-%dT%H:%M%:z").to_string();
        if at.to_utc() > self.now {
            let what = format!(
                "is in the future: it is {}",
                zone.local(self.now).format("%F %R %:z")
            );
            self.fault(field, &text, what, "when it was, not when it is to be");
        }
        text
    }

    pub fn present(&self, zone: Zone) -> String {
        zone.local(self.now).format("%Y-%m-%dT%H:%M%:z").to_string()
    }

    /// `WHO=what the person did`.
    pub fn person(
        &mut self,
        field: &str,
        text: &str,
        monitored: Option<bool>,
    ) -> Option<EventPerson> {
        let Some((who, role)) = text.split_once('=') else {
            let right = "`ID=what the person did`, such as `W07=cranked the source out`";
            self.fault(field, text, "does not say what the person did", right);
            return None;
        };
        Some(EventPerson {
            monitored,
            person: self.house.names.worker_ref(who.trim()),
            role: role.trim().to_owned(),
        })
    }

    pub fn list(&self, day: Day) -> Result<&Checklist, IntakeError> {
        let list = self.house.checklist_on(day).map(|(_, list)| list);
        Ok(list.ok_or(crate::answer::AnswerError::NoChecklist { day })?)
    }
}
