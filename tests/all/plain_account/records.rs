//! The raw numbers as the records that the program computes from.

use std::sync::Arc;

use wearbook::calendar::{Day, Span, parse_day};
use wearbook::dose::input::*;
use wearbook::dose::total::PerQuantity;
use wearbook::quantity::{Dose, Indication, IndicationUnit};
use wearbook::record::{DoubtType, ShiftName, Work};
use wearbook::rule::Quantity;

use super::draw::{About, Raw, RawBadge, RawFixed, Value};

pub(super) fn on(n: i64) -> Day {
    parse_day("2025-10-01").unwrap() + chrono::Duration::days(n)
}

/// A badge's record, by its place.
fn badge_record(place: usize) -> i64 {
    1000 + i64::try_from(place).unwrap()
}

fn reading(record: i64, shows: Option<i64>, held: bool) -> Reading {
    let at = |count| Some(Indication::new(count, IndicationUnit::MilliSievert));
    Reading {
        record: Some(record),
        dosimeter: Arc::from("PD"),
        part: 1,
        start: at(0),
        end: shows.and_then(at),
        off_scale: shows.is_none(),
        held: if held {
            vec![DoubtType::DosimeterTwice]
        } else {
            Vec::new()
        },
        disposition: None,
    }
}

pub(super) fn determination(one: &RawFixed) -> Determination {
    let sheet = |place: usize| i64::try_from(place).unwrap() + 1;
    Determination {
        entry: one.entry,
        record: one.told,
        scope: match one.about {
            About::Reading(place) => Scope::Reading {
                sheet: sheet(place),
                dosimeter: Some(1),
                part: 1,
            },
            About::Shift(place) => Scope::Shift {
                sheet: sheet(place),
            },
            About::Days(first, last) => Scope::Span(Span {
                first: on(first),
                last: on(last),
            }),
            About::Badge(place, _) => Scope::WearPeriod(badge_record(place)),
        },
        quantity: match one.lens {
            true => Quantity::Lens,
            false => Quantity::Deep,
        },
        relation: match one.until {
            true => Relation::UntilResult,
            false => Relation::Replaces,
        },
        dose: Dose::from_nsv(one.dose),
        at_most: Dose::from_nsv(one.high),
        open: one.above,
        method: Method::Other,
        determined_by: 7,
        second_person: None,
        through: match one.about {
            About::Badge(_, through) => Some(on(through)),
            _ => None,
        },
        supersedes: one.supersedes.clone(),
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
        readings.extend(one.second.map(|shows| reading(3, Some(shows), false)));
        readings.extend(one.held.map(|held| Reading {
            off_scale: one.beyond,
            ..reading(2, Some(held), true)
        }));
        history.shifts.push(Shift {
            sheet,
            entry: sheet,
            day: on(one.day),
            crosses_midnight: one.over,
            shift: ShiftName::Day,
            badge_worn: one.worn,
            badge: one.named.map(|place| Arc::from(format!("B{place}"))),
            work: Work::Radiography,
            readings,
        });
    }
    let dosimetry = &mut history.facts.dosimetry;
    for (place, one) in raw.badges.iter().enumerate() {
        badge_records(dosimetry, place, one);
    }
    dosimetry
        .determinations
        .extend(raw.fixed.iter().map(determination));
    for one in &raw.choices {
        dosimetry.resolutions.push(Resolution {
            entry: one.entry,
            of: Chosen::Entries {
                stands: one.stands.clone(),
                rest: one.rest,
                set_aside: one.aside.clone(),
            },
        });
    }
    for (day, dose) in &raw.added {
        dosimetry.determinations.push(Determination {
            scope: Scope::Event {
                event: 1,
                day: on(*day),
                sheet: None,
            },
            ..determination(&added(*day, *dose))
        });
    }
    for (nth, (first, days, deep)) in raw.prior.iter().enumerate() {
        history.facts.prior.push(PriorDose {
            entry: 2000 + i64::try_from(nth).unwrap(),
            first: on(*first),
            last: on(first + days - 1),
            opening: None,
            employer: String::new(),
            deep: Some(Dose::from_nsv(*deep)),
            lens: None,
            shallow: None,
            extremity: None,
        });
    }
    history
}

/// A dose that adds, of one day.
fn added(day: i64, dose: i64) -> RawFixed {
    RawFixed {
        entry: 3000,
        told: 3000,
        about: About::Days(day, day),
        until: false,
        lens: false,
        dose,
        high: dose,
        above: false,
        supersedes: Vec::new(),
    }
}

fn badge_records(dosimetry: &mut Dosimetry, place: usize, one: &RawBadge) {
    let record = badge_record(place);
    dosimetry.wear.push(WearPeriod {
        record,
        entry: record,
        badge: Arc::from(format!("B{place}")),
        kind: BadgeKind::WholeBody,
        issuer: Issuer::Own,
        first: on(one.first),
        last: one.last.map(on),
        planned_last: Some(on(one.planned)),
        read_from: None,
        state: match one.last {
            Some(_) => BadgeState::Returned,
            None => BadgeState::Worn,
        },
        counting: match one.held {
            true => Counting::Held,
            false => Counting::Counts,
        },
    });
    for result in &one.results {
        dosimetry.results.push(BadgeResult {
            entry: result.entry,
            record: result.told,
            wear: Some(record),
            stated_days: Span {
                first: on(one.first),
                last: on(one.planned),
            },
            reported_on: on(one.planned),
            doses: PerQuantity {
                deep: reported(result.deep),
                lens: reported(result.lens),
                shallow: None,
                extremity: None,
            },
            unstated: Unstated::AsDeep,
            year_to_date: PerQuantity::default(),
            accepted: result.accepted.then_some(result.entry + 10_000),
            corrects: result.corrects,
            counting: match result.held {
                true => Counting::Held,
                false => Counting::Counts,
            },
        });
    }
}
