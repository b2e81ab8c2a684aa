//! The raw numbers as the records that the program computes from.

use std::sync::Arc;

use wearbook::calendar::{Day, Span, parse_day};
use wearbook::dose::input::*;
use wearbook::dose::total::PerQuantity;
use wearbook::quantity::{Dose, Indication, IndicationUnit};
use wearbook::record::{DoubtSort, ShiftName, Work};
use wearbook::rule::Quantity;

use super::draw::{Fixed, Raw, RawBadge, Value};

pub(super) fn on(n: i64) -> Day {
    parse_day("2025-10-01").unwrap() + chrono::Duration::days(n)
}

pub(super) fn reading(record: i64, shows: Option<i64>, held: bool) -> Reading {
    let at = |count| Some(Indication::new(count, IndicationUnit::MilliSievert));
    Reading {
        record: Some(record),
        dosimeter: Arc::from("PD"),
        part: 1,
        start: at(0),
        end: shows.and_then(at),
        off_scale: shows.is_none(),
        held: if held {
            vec![DoubtSort::DosimeterTwice]
        } else {
            Vec::new()
        },
        ruling: None,
    }
}

pub(super) fn determination(fixed: &Fixed, scope: Scope) -> Determination {
    Determination {
        entry: fixed.entry,
        scope,
        quantity: Quantity::Deep,
        relation: if fixed.until {
            Relation::UntilResult
        } else {
            Relation::Replaces
        },
        dose: Dose::from_nsv(fixed.dose),
        method: Method::Other,
        determined_by: 7,
        second_person: None,
    }
}

pub(super) fn reported(value: Option<Value>) -> Option<Reported> {
    value.map(|value| {
        let dose = Dose::from_nsv(value.dose);
        if value.below {
            Reported::BelowMinimum {
                code: Arc::from("M"),
                minimum: dose,
            }
        } else {
            Reported::Dose(dose)
        }
    })
}

pub(super) fn history(raw: &Raw) -> History {
    let mut history = History::default();
    history.facts.record = 1;
    for (nth, one) in raw.shifts.iter().enumerate() {
        let sheet = i64::try_from(nth).unwrap() + 1;
        let mut readings = vec![reading(1, one.shows, false)];
        readings.extend(one.held.map(|held| reading(2, Some(held), true)));
        history.shifts.push(Shift {
            sheet,
            entry: sheet,
            day: on(one.day),
            crosses_midnight: one.over,
            shift: ShiftName::Day,
            badge_worn: one.worn,
            work: Work::Radiography,
            readings,
        });
        let scope = Scope::Reading {
            sheet,
            dosimeter: Some(1),
            part: 1,
        };
        let dosimetry = &mut history.facts.dosimetry;
        let made = one.fixed.map(|fixed| determination(&fixed, scope));
        dosimetry.determinations.extend(made);
    }
    for (nth, one) in raw.badges.iter().enumerate() {
        badge_records(
            &mut history.facts.dosimetry,
            1000 + i64::try_from(nth).unwrap(),
            one,
        );
    }
    for (nth, (first, days, deep)) in raw.prior.iter().enumerate() {
        history.facts.prior.push(PriorDose {
            entry: 2000 + i64::try_from(nth).unwrap(),
            first: on(*first),
            last: on(first + days - 1),
            employer: String::new(),
            deep: Some(Dose::from_nsv(*deep)),
            lens: None,
            shallow: None,
            extremity: None,
        });
    }
    for (day, dose) in &raw.added {
        let fixed = Fixed {
            entry: 3000,
            dose: *dose,
            until: false,
        };
        let scope = Scope::Event {
            event: 1,
            day: on(*day),
            sheet: None,
        };
        let made = determination(&fixed, scope);
        history.facts.dosimetry.determinations.push(made);
    }
    history
}

pub(super) fn badge_records(dosimetry: &mut Dosimetry, record: i64, one: &RawBadge) {
    dosimetry.wear.push(WearPeriod {
        record,
        entry: record,
        badge: Arc::from("B"),
        kind: BadgeKind::WholeBody,
        issuer: Issuer::Own,
        first: on(one.first),
        last: Some(on(one.last)),
        planned_last: None,
        state: BadgeState::Returned,
        counting: Counting::Counts,
    });
    for result in &one.results {
        dosimetry.results.push(BadgeResult {
            entry: result.entry,
            wear: Some(record),
            stated_days: Span {
                first: on(one.first),
                last: on(one.last),
            },
            reported_on: on(one.last),
            doses: PerQuantity {
                deep: reported(result.deep),
                lens: reported(result.lens),
                shallow: None,
                extremity: None,
            },
            year_to_date: PerQuantity::default(),
            accepted: result.accepted.then_some(result.entry + 500),
            corrects: result.corrects,
            counting: if result.held {
                Counting::Held
            } else {
                Counting::Counts
            },
        });
    }
    let made = one
        .fixed
        .map(|it| determination(&it, Scope::WearPeriod(record)));
    dosimetry.determinations.extend(made);
    if let Some((of_record, aside)) = &one.settled {
        dosimetry.settlements.push(Settlement {
            entry: 9000 + record,
            wear: record,
            quantity: None,
            of_record: *of_record,
            set_aside: aside.clone(),
            reason: String::new(),
        });
    }
}
