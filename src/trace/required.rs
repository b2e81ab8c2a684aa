//! Looks that had to be there before the event: the day's, the set-up's, the periodic one, and
//! the one that a drop, a hard crank or a repair called for.

use serde::Serialize;

use super::look::{Look, Moment, World};
use super::record::{Facts, Unproven};
use crate::calendar::{Day, DueStatus};
use crate::record::{Occasion, Words};
use crate::rule::When;

/// Something after which a piece is inspected before its next use.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Trigger {
    /// The entry that tells it.
    pub entry: i64,
    /// From when on a look answers it.
    pub moment: Moment,
    /// What it was, such as `E-3: drop or fire`.
    pub what: String,
    /// The component, where it concerns one alone: a part that was fitted.
    pub component: Option<String>,
    /// Whether it was written down before the event.
    pub learned: Learned,
}

/// Whether something was written down before the event.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Learned {
    /// Before it.
    Before,
    /// The clock of its entry cannot be trusted.
    OrderUnknown,
    /// Only after it.
    After,
}

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
    /// Only by one of which nobody can tell whether it was written before the event.
    OrderUnknown(i64),
    /// Only by one that was written afterwards: claimed.
    ByClaim(i64),
    /// Not at all.
    No,
}

/// A look that had to be there.
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

/// Every look that had to be there for an item, as one world tells it; `unproven` are looks that
/// are not in it. An inactive item asks for none.
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

fn before<'l>(facts: &Facts<'_>, world: &'l World) -> impl DoubleEndedIterator<Item = &'l Look> {
    let event = facts.event;
    world.looks.iter().filter(move |it| it.is_before(event))
}

/// Whether a claim looked at the item before the event: one that says `not done` claims nothing.
fn claims_it(facts: &Facts<'_>, look: &Look) -> bool {
    look.is_before(facts.event) && look.is_done()
}

fn met(
    facts: &Facts<'_>,
    world: &World,
    unproven: &Unproven<'_>,
    fits: impl Fn(&Look) -> bool,
) -> Met {
    // The first that looked at the item; else the first that was there and left it out.
    let first = before(facts, world).find(|it| fits(it) && it.is_done());
    if let Some(look) = first.or_else(|| before(facts, world).find(|it| fits(it))) {
        return Met::By(look.entry);
    }
    let found = |looks: &[&Look]| {
        let mut looks = looks.iter();
        looks
            .find(|it| claims_it(facts, it) && fits(it))
            .map(|it| it.entry)
    };
    let unplaced = found(&unproven.unplaced).map(Met::OrderUnknown);
    let claimed = || found(&unproven.claims).map(Met::ByClaim);
    unplaced.or_else(claimed).unwrap_or(Met::No)
}

/// The day's check, or for a mating check the set-up's. A shift that ran past midnight has the
/// day on which it began.
fn of_the_day(facts: &Facts<'_>, world: &World, unproven: &Unproven<'_>) -> Option<Required> {
    if !facts.in_use || !facts.item.is_for(When::Daily.name()) {
        return None;
    }
    let days = facts.shift_day.min(facts.event.day)..=facts.event.day;
    let of_day = |it: &Look| days.contains(&it.moment.day);
    if facts.item.pair.is_none() {
        return Some(Required {
            need: Need::Day,
            what: format!("the check of {}, a day of use", facts.shift_day),
            met: met(facts, world, unproven, of_day),
        });
    }
    // A check against another piece is not this set-up's; one that was left out is left out.
    let of_pair = |it: &Look| {
        let with_it = it.with.is_some_and(|with| facts.mates.contains(&with));
        of_day(it) && (facts.mates.is_empty() || with_it || it.is_left_out())
    };
    Some(Required {
        need: Need::SetUp,
        what: format!("the mating check of the set-up on {}", facts.shift_day),
        met: met(facts, world, unproven, of_pair),
    })
}

/// The periodic inspection; what arrives is inspected on receipt, and its first period runs from
/// then.
fn periodic(facts: &Facts<'_>, world: &World, unproven: &Unproven<'_>) -> Option<Required> {
    let (interval, year) = facts
        .periodic
        .filter(|_| facts.item.is_for(When::Quarterly.name()))?;
    let is = |it: &Look| matches!(it.occasion, Occasion::Quarterly | Occasion::Receipt);
    let on = facts.event.day;
    let last: Option<Day> = before(facts, world)
        .rfind(|it| is(it))
        .map(|it| it.moment.day);
    // Of those in force the one whose term is told: the last.
    let in_time = |it: &Look| {
        let in_force = interval.status(Some(it.moment.day), on, year).in_force();
        is(it) && in_force && last.is_none_or(|last| it.moment.day >= last)
    };
    let what = match interval.status(last, on, year) {
        DueStatus::NeverDone => "a periodic inspection: none is on record".to_owned(),
        DueStatus::Overdue { since } => {
            format!("the periodic inspection, overdue since {since}")
        }
        DueStatus::BeforeUse { held_until } => match held_until {
            Some(until) => format!("the periodic inspection, in force to {until}"),
            None => "the periodic inspection before use".to_owned(),
        },
        DueStatus::InTime { until } => format!("the periodic inspection, in time until {until}"),
    };
    Some(Required {
        need: Need::Periodic,
        what,
        met: met(facts, world, unproven, in_time),
    })
}

/// A periodic inspection after the trigger answers it too: it looks at no less.
fn called_for(facts: &Facts<'_>, world: &World, unproven: &Unproven<'_>) -> Vec<Required> {
    if !facts.item.is_for(When::AfterEvent.name()) {
        return Vec::new();
    }
    let component = &facts.item.component;
    let concerns = |it: &&Trigger| {
        it.component.as_ref().is_none_or(|of| of == component) && is_earlier(it.moment, facts.event)
    };
    let of = |trigger: &Trigger| {
        let answers =
            |it: &Look| it.occasion != Occasion::Daily && !is_earlier(it.moment, trigger.moment);
        Required {
            need: Need::Called,
            what: format!(
                "the inspection `{}` after {} on {}",
                Occasion::AfterEvent.word(),
                trigger.what,
                trigger.moment
            ),
            met: met(facts, world, unproven, answers),
        }
    };
    facts.triggers.iter().filter(concerns).map(of).collect()
}

/// Whether one moment is surely before another. On one day without an hour it is not.
pub(super) fn is_earlier(one: Moment, other: Moment) -> bool {
    one.day < other.day
        || one.day == other.day && matches!((one.at, other.at), (Some(a), Some(b)) if a < b)
}
