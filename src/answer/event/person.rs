//! A person of an event, and the moments that its clocks count from.

use std::collections::BTreeSet;

use chrono::Timelike;

use super::happened::Happened;
use crate::answer::context::load::House;
use crate::calendar::{Day, Instant, LocalTime, TimeOfDay, parse_instant};
use crate::dose::total::QUANTITIES;
use crate::notification::{Assessed, Left, Unmeasured};
use crate::record::{NearPart, RecordId};
use crate::rule::{Authority, Quantity, RuleSet};

/// A moment without its seconds: what is typed has none, and the earlier side is kept.
pub(crate) fn minute(at: Instant) -> Instant {
    at.with_second(0).unwrap_or(at)
}

/// A stored moment; the present where it cannot be read, which was refused at writing.
pub(crate) fn moment(text: &str, now: Instant) -> Instant {
    parse_instant(text).map_or(now, |at| minute(at.to_utc()))
}

/// The last minute of a day in the ledger's zone; of one that comes twice the later, so that no
/// clock looks longer than it is.
pub(crate) fn end_of(house: &House, day: Day) -> Instant {
    let zone = house.names.zone;
    let last = TimeOfDay::from_hms_opt(23, 59, 0).unwrap_or(TimeOfDay::MIN);
    match zone.at(day, last) {
        LocalTime::Once(at) | LocalTime::Twice(_, at) => at.to_utc(),
        LocalTime::Never => day.and_time(last).and_utc(),
    }
}

/// One person of an event, with the dose of it.
pub(crate) struct Person {
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
    /// Doses of these parts that no result and no determination resolves: what stops the person.
    pub near_open: Vec<Quantity>,
    /// Whether a sheet of those days names the person: else there is no shift to name.
    pub on_sheet: bool,
    /// What is estimated of somebody who is no worker, in words.
    pub estimate: Option<String>,
    /// What the limits leave.
    pub limits: Vec<Left>,
}

impl Person {
    /// Which doses nobody measured, if any.
    pub(crate) fn unmeasured(&self) -> Option<Unmeasured> {
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

/// Whom an event is told to by a rule set: the authority of its job, else of the license.
pub(crate) fn authority_of(house: &House, rule_set: &RuleSet, it: &Happened) -> Option<Authority> {
    match it.job(house) {
        Some(job) => rule_set.authority(&job.jurisdiction),
        None => house.authority(house.judged_on(it.day())),
    }
}
