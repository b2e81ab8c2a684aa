//! Whether somebody's extremity dose is in question. Where nobody monitored it and nothing asks
//! for it, it is "not monitored"; where something asks and nobody answered, "not assessed".
//! Neither is a dose, and neither is zero.

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::calendar::{Day, Span, parse_instant};
use crate::dose::account::Account;
use crate::dose::conservative::Conservative;
use crate::dose::input::{BadgeKind, History};
use crate::dose::resolve::why::Why;
use crate::dose::total::{Extent, QUANTITIES};
use crate::record::{Event, EventLink};
use crate::rule::{Quantity, RuleSet, RuleText};

/// Under this key a rule set has its own words for an extremity that nobody had to monitor.
const RULE: &str = "extremity-not-monitored";

/// An extremity that nobody monitored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct NotMonitored<'a> {
    rule: Option<&'a RuleText>,
}

impl NotMonitored<'_> {
    /// What stands in the place of a dose.
    pub fn words(self) -> &'static str {
        match self.rule {
            Some(_) => "not required / not monitored",
            None => "not monitored",
        }
    }

    /// What it means.
    pub fn meaning(self) -> String {
        match self.rule {
            Some(rule) => format!("{} ({})", rule.meaning, rule.cited()),
            None => {
                "It was not monitored and nothing is open about it; that is not a dose of zero."
                    .to_owned()
            }
        }
    }
}

/// Whether nobody monitored the extremity over the span and nothing of it is open.
pub(crate) fn not_monitored<'s>(
    house: &OpenHouse<'_>,
    rule_set: &'s RuleSet,
    history: &History,
    (account, safe): (&Account, &Conservative),
) -> Result<Option<NotMonitored<'s>>, AnswerError> {
    let span = account.span;
    let said = |it: Extent| it != Extent::NotAssessed;
    let extremity = Quantity::Extremity;
    if said(account.totals.get(extremity).extent())
        || said(safe.totals.get(extremity).extent())
        || is_open(history, account, safe)
        || had_an_event(house, history, span)?
    {
        return Ok(None);
    }
    let rule = rule_set.rule(RULE);
    Ok(Some(NotMonitored { rule }))
}

/// Whether a badge, a reading or another employer's report leaves the extremity open.
fn is_open(history: &History, account: &Account, safe: &Conservative) -> bool {
    let span = account.span;
    let dosimetry = &history.facts.dosimetry;
    let badge = dosimetry
        .wear
        .iter()
        .any(|it| it.kind == BadgeKind::Extremity && span.common(&it.days()).is_some());
    let runs_into = |day: Day| day.succ_opt().is_some_and(|next| span.contains(next));
    let off_scale = history
        .shifts
        .iter()
        .filter(|it| span.contains(it.day) || (it.crosses_midnight && runs_into(it.day)))
        .any(|it| it.readings.iter().any(|it| it.off_scale));
    // A dose without an upper bound leaves open what the hands received.
    let unbounded = QUANTITIES.iter().any(|quantity| {
        account.totals.get(*quantity).undetermined > 0
            || safe.totals.get(*quantity).undetermined > 0
    });
    let held = safe.raised_by.iter().any(|it| it.why == Why::Held);
    let elsewhere = history.facts.prior.iter().any(|it| {
        let (first, last) = (it.first, it.last);
        span.common(&Span { first, last }).is_some()
    });
    badge || off_scale || unbounded || held || elsewhere
}

/// Whether the person had a part in an event of the span.
fn had_an_event(house: &OpenHouse<'_>, history: &History, span: Span) -> Result<bool, AnswerError> {
    let worker = history.facts.record;
    let links = house.snapshot.all::<EventLink>()?;
    let linked = |event: i64| {
        let mut mine = links.iter().filter(|it| it.body.event.number() == event);
        mine.any(|it| it.body.worker.is_some_and(|it| it.number() == worker))
    };
    Ok(house.snapshot.all::<Event>()?.iter().any(|it| {
        let zone = house.names.zone_of(it.body.job.map(|it| it.number()));
        let day = parse_instant(&it.body.occurred).map(|at| zone.local_day(at.to_utc()));
        let part = it
            .body
            .people
            .iter()
            .any(|it| it.person.number() == Some(worker));
        // A moment that cannot be read leaves the question open.
        day.map_or(true, |day| span.contains(day)) && (part || linked(it.record))
    }))
}
