//! Badges, results, determinations and what resolves them, as the computations
//! take them.

use std::collections::HashMap;
use std::sync::Arc;

use super::error::AnswerError;
use super::load::OpenHouse;
use crate::calendar::{Day, Span};
use crate::dose::input::{
    self, BadgeKind, BadgeState, Chosen, Dosimetry, Issuer, PlannedSpecialExposure, Reported,
    Unstated, WearPeriod,
};
use crate::dose::total::PerQuantity;
use crate::ledger::{BadgeRow, ResultRow, Snapshot, Stored, ValueRow};
use crate::quantity::Dose;
use crate::record::{
    BadgeChange, BadgeType, Determination, DoseQuantity, DoubtType, Method, OfRecord,
    PlannedExposure, RecordId, Relation, Resolution, Scope, Settlement, Version,
};
use crate::rule::Quantity;

/// Everybody's dosimetry above the readings, by worker.
pub(crate) type AllDosimetry = HashMap<RecordId, Dosimetry>;

impl OpenHouse<'_> {
    /// The badges of one worker, or everybody's that could have been worn on some
    /// days of a span, and everything about them; with every determination and
    /// resolution, which are few.
    pub(crate) fn dosimetry(
        &self,
        worker: Option<RecordId>,
        span: Span,
    ) -> Result<AllDosimetry, AnswerError> {
        let mut all = AllDosimetry::new();
        let mut wearer: HashMap<RecordId, RecordId> = HashMap::new();
        for badge in self.snapshot.badges(worker, span.first, span.last)? {
            let Some(worker) = badge.worker else { continue };
            wearer.insert(badge.record, worker);
            let mine = all.entry(worker).or_default();
            mine.results
                .extend(badge.results.iter().map(|it| self.result(&badge, it)));
            mine.wear.push(self.wear_period(&badge));
        }
        for stored in self.snapshot.all::<Determination>()? {
            if worker.is_some_and(|worker| worker != stored.body.worker.number()) {
                continue;
            }
            let mine = all.entry(stored.body.worker.number()).or_default();
            mine.determinations.extend(determination(&stored));
        }
        add_resolutions(self.snapshot, worker, &wearer, &mut all)?;
        for stored in self.snapshot.all::<PlannedExposure>()? {
            let it = stored.body;
            if worker.is_none_or(|worker| worker == it.worker.number()) {
                let days = Span {
                    first: it.first_day,
                    last: it.last_day,
                };
                let authorized_on = Some(it.authorized_on);
                all.entry(it.worker.number())
                    .or_default()
                    .special
                    .push(PlannedSpecialExposure {
                        entry: stored.entry,
                        days,
                        authorized_on,
                    });
            }
        }
        self.add_reads_low(worker, &mut all);
        Ok(all)
    }

    /// Dosimeters that were found to read low, for whoever may have worn them: the readings say
    /// who did.
    fn add_reads_low(&self, worker: Option<RecordId>, all: &mut AllDosimetry) {
        if self.reads_low.is_empty() {
            return;
        }
        let everybody: Vec<RecordId> = match worker {
            Some(worker) => vec![worker],
            None => self.workers().iter().map(|it| it.record).collect(),
        };
        for worker in everybody {
            let mine = all.entry(worker).or_default();
            mine.reads_low.clone_from(&self.reads_low);
        }
    }

    fn wear_period(&self, badge: &BadgeRow) -> WearPeriod {
        let taken_off = badge
            .changes
            .iter()
            .find(|(change, _, _)| *change != BadgeChange::Sent)
            .map(|(_, on, _)| *on);
        let sent = badge
            .changes
            .iter()
            .find(|(change, _, _)| *change == BadgeChange::Sent);
        // A badge that was only ever sent was worn no longer than until then.
        let last = taken_off.or(sent.map(|(_, on, _)| *on));
        // A read on demand ends a wear period; whatever comes later is in the next read.
        let last = last.or(badge.read_on());
        // A result of a badge that nobody took off: it was worn as planned.
        let last = last.or((!badge.results.is_empty()).then_some(badge.last_day));
        let state = match badge.changes.last().map(|(change, _, _)| *change) {
            None => BadgeState::Worn,
            Some(BadgeChange::Returned) => BadgeState::Returned,
            Some(BadgeChange::Sent) => BadgeState::Sent,
            Some(BadgeChange::Lost) => BadgeState::Lost,
            Some(BadgeChange::Damaged) => BadgeState::Damaged,
        };
        let issuer = match &badge.employer {
            None => Issuer::Own,
            Some(_) => Issuer::Other {
                same_dose: badge.same_dose,
            },
        };
        WearPeriod {
            record: badge.record,
            entry: badge.entry,
            badge: Arc::from(badge.badge.as_str()),
            kind: match badge.kind {
                BadgeType::Extremity => BadgeKind::Extremity,
                _ => BadgeKind::WholeBody,
            },
            issuer,
            first: badge.first_day,
            last,
            planned_last: Some(badge.planned_last()),
            read_from: badge.read_from(),
            state,
            counting: self.counting_of(badge.entry),
        }
    }

    fn result(&self, badge: &BadgeRow, it: &ResultRow) -> input::BadgeResult {
        let mut doses = PerQuantity::<Option<Reported>>::default();
        for value in &it.values {
            if let Some(quantity) = Quantity::from_name(&value.quantity) {
                *doses.get_mut(quantity) = Some(reported(value));
            }
        }
        let mut year_to_date = PerQuantity::<Option<Dose>>::default();
        year_to_date.deep = it.year_to_date;
        input::BadgeResult {
            entry: it.entry,
            record: it.record,
            wear: Some(badge.record),
            stated_days: Span {
                first: badge.first_day,
                last: badge.planned_last(),
            },
            reported_on: it.reported_on,
            doses,
            unstated: self.unstated_on(badge.first_day),
            year_to_date,
            accepted: it.accepted,
            corrects: self.corrected_by(badge, it),
            counting: self.counting_of(it.entry),
        }
    }

    /// What a result of a badge from this day says of lens and shallow dose that its report
    /// leaves out, by the rule set of that day.
    fn unstated_on(&self, day: Day) -> Unstated {
        let rule_set = self.rule_set_on(day);
        match rule_set.ok().and_then(|it| it.rule("photon-lens-shallow")) {
            Some(_) => Unstated::AsDeep,
            None => Unstated::Nothing,
        }
    }

    /// A second report of a badge that somebody ruled to count corrects the one
    /// before it.
    fn corrected_by(&self, badge: &BadgeRow, it: &ResultRow) -> Option<i64> {
        if !self.is_ruled_to_count(it.entry, DoubtType::SecondReport) {
            return None;
        }
        let before = badge.results.iter().filter(|other| other.entry < it.entry);
        before.map(|other| other.entry).max()
    }
}

fn reported(value: &ValueRow) -> Reported {
    match value.minimum {
        Some(minimum) if value.below => Reported::BelowMinimum {
            code: Arc::from(value.written.as_str()),
            minimum,
        },
        _ => Reported::Dose(value.dose),
    }
}

fn quantity(it: DoseQuantity) -> Quantity {
    match it {
        DoseQuantity::Deep => Quantity::Deep,
        DoseQuantity::Lens => Quantity::Lens,
        DoseQuantity::Shallow => Quantity::Shallow,
        DoseQuantity::Extremity => Quantity::Extremity,
    }
}

/// A determination that names no part of a dosimeter is about the first: what
/// the others showed counts besides, which can only make the dose higher.
fn determination(stored: &Stored<Determination>) -> Option<input::Determination> {
    let it = &stored.body;
    let through = match it.scope {
        // What was determined of a badge still worn says what it had until then.
        Scope::Badge { last_day, .. } => Some(last_day.unwrap_or(it.on)),
        _ => None,
    };
    Some(input::Determination {
        entry: stored.entry,
        record: stored.record,
        scope: match it.scope {
            Scope::Reading {
                dosimeter,
                part,
                sheet,
            } => input::Scope::Reading {
                sheet: sheet.number(),
                dosimeter: Some(dosimeter.number()),
                part: part.unwrap_or(1),
            },
            Scope::Badge { badge, .. } => input::Scope::WearPeriod(badge.number()),
            Scope::Days {
                first_day,
                last_day,
            } => input::Scope::Span(Span {
                first: first_day,
                last: last_day,
            }),
        },
        quantity: quantity(it.quantity),
        relation: match it.relation {
            Relation::Replaces => input::Relation::Replaces,
            Relation::Adds => input::Relation::Adds,
            Relation::UntilResult => input::Relation::UntilResult,
        },
        dose: it.dose_nsv,
        at_most: it.at_most(),
        open: it.is_open(),
        method: match it.method {
            Method::CoWorker => input::Method::CoWorker,
            Method::TimeAndDistance => input::Method::TimeAndDistance,
            Method::OwnPeriods => input::Method::Interpolation,
            Method::OtherDosimeter => input::Method::OtherDosimeter,
            Method::Notional => input::Method::NotionalShare,
            Method::NoExposure | Method::Cytogenetic | Method::Clinical => input::Method::Other,
        },
        determined_by: it.by.number(),
        second_person: it.second_by.map(|it| it.number()),
        through,
        supersedes: it.supersedes.iter().map(|it| it.entry).collect(),
    })
}

/// What the RSO decided between them, but what somebody decided alone of their own dose.
fn add_resolutions(
    snapshot: &Snapshot<'_>,
    worker: Option<RecordId>,
    wearer: &HashMap<RecordId, RecordId>,
    all: &mut AllDosimetry,
) -> Result<(), AnswerError> {
    for stored in snapshot.all::<Settlement>()? {
        let Some(worker) = wearer.get(&stored.body.badge.number()) else {
            continue;
        };
        // Nobody judges a dose of their own alone.
        if stored.body.by.number() == *worker && stored.body.second_by.is_none() {
            continue;
        }
        let resolution = input::Resolution {
            entry: stored.entry,
            of: Chosen::OfBadge {
                wear: stored.body.badge.number(),
                result: stored.body.of_record == OfRecord::Result,
            },
        };
        all.entry(*worker).or_default().resolutions.push(resolution);
    }
    for stored in snapshot.all::<Resolution>()? {
        let it = stored.body;
        let alone = it.by == it.worker && it.second_by.is_none();
        if alone || worker.is_some_and(|worker| worker != it.worker.number()) {
            continue;
        }
        let entry = |it: &Version| it.entry;
        let rest = it.rest.as_ref().map(entry);
        let resolution = input::Resolution {
            entry: stored.entry,
            of: Chosen::Entries {
                stands: it.stands.iter().map(entry).chain(rest).collect(),
                rest,
                set_aside: it.set_aside.iter().map(entry).collect(),
            },
        };
        all.entry(it.worker.number())
            .or_default()
            .resolutions
            .push(resolution);
    }
    Ok(())
}
