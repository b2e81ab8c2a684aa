//! Looks that had to be there before the event: the day's, the set-up's, the periodic one, and
//! the one that a drop, a hard crank or a repair called for.

use serde::Serialize;

use super::inspection::{PastInspection, World};
use super::known::Learned;
use super::known::Trigger;
use super::known::{Facts, Unproven};
use super::occurred::DoneAt;
use super::occurred::Occurred;
use crate::calendar::{Day, DueStatus};
use crate::record::{Occasion, Words};
use crate::rule::When;

/// Which look.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Need {
    /// The check of the day.
    #[serde(rename = "the day's")]
    Day,
    /// The mating check of the set-up.
    #[serde(rename = "the set-up's")]
    SetUp,
    /// The periodic inspection.
    #[serde(rename = "the periodic one")]
    Periodic,
    /// The one that a drop, a hard crank or a repair called for.
    #[serde(rename = "the one called for")]
    Called,
}

/// Whether it is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(tag = "met", content = "entry", rename_all = "snake_case")]
pub enum Met {
    /// By an inspection that was written before the event.
    By(i64),
    /// Only by one of which nobody can tell whether it was before the event, or in time.
    OrderUnknown(i64),
    /// Only by one that was written afterwards: claimed.
    ByClaim(i64),
    /// Not at all.
    No,
}

/// An inspection that had to be there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Required {
    /// Which.
    pub need: Need,
    /// In words: what asked for it.
    pub what: String,
    /// Whether it is there.
    #[serde(flatten)]
    pub met: Met,
}

/// Every inspection that had to be there for an item, as one world tells it; `unproven` are
/// inspections that are not in it. An inactive item asks for none.
pub(super) fn required(facts: &Facts<'_>, world: &World, unproven: &Unproven<'_>) -> Vec<Required> {
    let mut all = Vec::new();
    if facts.item.is_inactive() {
        return all;
    }
    all.extend(of_the_day(facts, world, unproven));
    all.extend(periodic(facts, world, unproven));
    all.extend(called_for(facts, world, unproven));
    all
}

fn before<'l>(
    facts: &Facts<'_>,
    world: &'l World,
) -> impl DoubleEndedIterator<Item = &'l PastInspection> {
    let event = facts.event;
    world
        .inspections
        .iter()
        .filter(move |it| it.is_before(event))
}

/// Whether a claim may have looked at the item before the event: one that says `not done` claims
/// nothing.
fn claims_it(facts: &Facts<'_>, inspection: &PastInspection) -> bool {
    inspection.may_be_before(facts.event) && inspection.is_done()
}

fn met(
    facts: &Facts<'_>,
    world: &World,
    unproven: &Unproven<'_>,
    fits: impl Fn(&PastInspection) -> bool,
) -> Met {
    // The first that looked at the item; else the first that was there and left it out.
    let first = before(facts, world).find(|it| fits(it) && it.is_done());
    if let Some(inspection) = first.or_else(|| before(facts, world).find(|it| fits(it))) {
        return Met::By(inspection.entry);
    }
    let found = |inspections: &[&PastInspection]| {
        let mut inspections = inspections.iter();
        inspections
            .find(|it| claims_it(facts, it) && fits(it))
            .map(|it| it.entry)
    };
    let unplaced = found(&unproven.unplaced).map(Met::OrderUnknown);
    let claimed = || found(&unproven.claims).map(Met::ByClaim);
    unplaced.or_else(claimed).unwrap_or(Met::No)
}

/// The day's check, or for a mating check the set-up's. A shift that ran past midnight has the
/// day on which it began. Where the day is not known no check of one of them is surely that of
/// the day; where none of them has one, it is absent whichever it was.
fn of_the_day(facts: &Facts<'_>, world: &World, unproven: &Unproven<'_>) -> Option<Required> {
    if !facts.in_use || !facts.item.is_for(When::Daily.name()) {
        return None;
    }
    let (event, one_day) = (facts.event, facts.event.one_day());
    let days = first_day_of_use(facts)..=event.last.day;
    let of_day = |it: &PastInspection| days.contains(&it.moment.day);
    let day = match one_day {
        Some(_) => format!("{}", facts.shift_day),
        None => "the day on which it happened".to_owned(),
    };
    let surely = |met: Met| match met {
        Met::By(entry) if one_day.is_none() && !event.is_at_latest() => Met::OrderUnknown(entry),
        met => met,
    };
    if facts.item.pair.is_none() {
        return Some(Required {
            need: Need::Day,
            what: format!("the check of {day}, a day of use"),
            met: surely(met(facts, world, unproven, of_day)),
        });
    }
    // A check against another item is not this set-up's; one that was left out is left out.
    let of_pair = |it: &PastInspection| {
        let with_it = it.with.is_some_and(|with| facts.mates.contains(&with));
        of_day(it) && (facts.mates.is_empty() || with_it || it.is_left_out())
    };
    Some(Required {
        need: Need::SetUp,
        what: format!("the mating check of the set-up on {day}"),
        met: surely(met(facts, world, unproven, of_pair)),
    })
}

/// The first day on which the check of the day may have been made; read at its latest, the last
/// day of use.
fn first_day_of_use(facts: &Facts<'_>) -> Day {
    let event = facts.event;
    let first = event.first.map_or(Day::MIN, |it| it.day);
    let first = facts.shift_day.min(first);
    if event.one_day().is_some() || !event.is_at_latest() {
        return first;
    }
    let uses = facts.uses.iter().map(|it| it.day);
    let within = uses.filter(|it| (first..=event.last.day).contains(it));
    within.max().unwrap_or(first)
}

/// The periodic inspection; what arrives is inspected on receipt, and its first period runs from
/// then. Where its term ended within the time of the event nobody can tell whether it was in time.
fn periodic(facts: &Facts<'_>, world: &World, unproven: &Unproven<'_>) -> Option<Required> {
    let (interval, year) = facts
        .periodic
        .filter(|_| facts.item.is_for(When::Quarterly.name()))?;
    let is = |it: &PastInspection| matches!(it.occasion, Occasion::Quarterly | Occasion::Receipt);
    let event = facts.event;
    let on = event.day();
    let last = before(facts, world).rfind(|it| is(it));
    let day = last.map(|it| it.moment.day);
    let in_force = |of: Day, on: Day| interval.status(Some(of), on, year).in_force();
    // Where nothing bounds the event before, any may have been in force.
    let unbounded = event.first.is_none() && !event.is_at_latest();
    // Of those in force the one whose term is told: the last.
    let in_time = |it: &PastInspection| {
        let own = it.moment.day;
        is(it) && (unbounded || in_force(own, on.max(own))) && day.is_none_or(|last| own >= last)
    };
    let mut what = match interval.status(day, on, year) {
        DueStatus::NeverDone if event.is_exact() => {
            "a periodic inspection: none is on record".to_owned()
        }
        DueStatus::NeverDone => {
            "a periodic inspection: none is surely from before the event".to_owned()
        }
        DueStatus::Overdue { since } => {
            format!("the periodic inspection, overdue since {since}")
        }
        DueStatus::BeforeUse { held_until } => match held_until {
            Some(until) => format!("the periodic inspection, valid through {until}"),
            None => "the periodic inspection before use".to_owned(),
        },
        DueStatus::InTime { until } => format!("the periodic inspection, in time until {until}"),
    };
    let mut met = met(facts, world, unproven, in_time);
    let late = event.last.day;
    if let (Met::By(entry), Some(of)) = (met, day)
        && !in_force(of, late)
    {
        what.push_str(&format!(", and the event may have been as late as {late}"));
        met = Met::OrderUnknown(entry);
    }
    Some(Required {
        need: Need::Periodic,
        what,
        met,
    })
}

/// A periodic inspection after the trigger answers it too: it looks at no less.
fn called_for(facts: &Facts<'_>, world: &World, unproven: &Unproven<'_>) -> Vec<Required> {
    if !facts.item.is_for(When::AfterEvent.name()) {
        return Vec::new();
    }
    let component = &facts.item.component;
    let concerns = |it: &&Trigger| {
        it.component.as_ref().is_none_or(|of| of == component) && calls(it, facts.event)
    };
    let of = |trigger: &Trigger| {
        let since = |it: &PastInspection, from: DoneAt| {
            it.occasion != Occasion::Daily && !it.moment.is_before(from)
        };
        let mut met = met(facts, world, unproven, |it| since(it, trigger.moment));
        if met == Met::No {
            let perhaps = |it: &&PastInspection| it.is_done() && since(it, trigger.from);
            let perhaps = before(facts, world).find(perhaps);
            met = perhaps.map_or(Met::No, |it| Met::OrderUnknown(it.entry));
        }
        Required {
            need: Need::Called,
            what: format!(
                "the inspection `{}` after {} on {}",
                Occasion::AfterEvent.word(),
                trigger.what,
                trigger.moment
            ),
            met,
        }
    };
    facts.triggers.iter().filter(concerns).map(of).collect()
}

/// Whether a trigger called for an inspection before the event: it surely was before it; or, read
/// at its latest, it may have been, and was not written only afterwards.
fn calls(it: &Trigger, event: Occurred) -> bool {
    let perhaps = event.is_at_latest() && it.learned != Learned::After;
    event.is_after(it.moment) || perhaps && !event.is_before(it.moment)
}
