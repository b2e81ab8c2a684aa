//! A badge lost or damaged: its wearer stops until a replacement is issued and the dose from its
//! issue to the loss is determined (10 CFR 34.47(e)).

use super::settled::Settling;
use crate::calendar::Day;
use crate::dose::input::{BadgeKind, BadgeState, Counting, WearPeriod, by_flags};
use crate::rule::{CheckKey, Finding, Quantity, RuleSet, Severity};

fn is_gone(it: &WearPeriod) -> bool {
    matches!(it.state, BadgeState::Lost | BadgeState::Damaged)
}

/// The dose that it would have measured.
fn quantity_of(it: &WearPeriod) -> Quantity {
    match it.kind {
        BadgeKind::WholeBody => Quantity::Deep,
        BadgeKind::Extremity => Quantity::Extremity,
    }
}

/// What ends the stop, as commands.
fn ways(
    (worker, by): (&str, &str),
    lost: &WearPeriod,
    (replaced, calculated): (bool, bool),
) -> String {
    let mut ways = Vec::new();
    if !replaced {
        let kind = match lost.kind {
            BadgeKind::WholeBody => "whole body",
            BadgeKind::Extremity => "extremity",
        };
        ways.push(format!(
            "wearbook badge issue --badge NUMBER --worker {worker} --type \"{kind}\" --first-day \
             DATE --last-day DATE"
        ));
    }
    if !calculated {
        ways.push(format!(
            "wearbook determination enter --worker {worker} --badge {} --quantity {} --dose DOSE \
             --method METHOD --basis WHY --on DATE {by}",
            lost.badge,
            quantity_of(lost).name()
        ));
    }
    ways.join(" and ")
}

/// What is open of each badge that was lost or damaged up to a day.
pub(super) fn stops(settling: &Settling<'_>, rule_set: &RuleSet, on: Day) -> Vec<Finding> {
    let facts = settling.facts();
    let mut found = Vec::new();
    for lost in facts.dosimetry.wear.iter().filter(|it| is_gone(it)) {
        let since = lost.last.unwrap_or(lost.first);
        if !lost.is_own() || lost.counting == Counting::RuledOut || since > on {
            continue;
        }
        let replaced = facts.dosimetry.wear.iter().any(|it| {
            it.kind == lost.kind
                && it.is_own()
                && it.record != lost.record
                && it.counting == Counting::Counts
                && it.first >= since
                && it.first <= on
                && !is_gone(it)
        });
        let calculated = settling.wear(lost, quantity_of(lost)).is_some();
        let missing = match (replaced, calculated) {
            (true, true) => continue,
            (false, true) => "no replacement",
            (true, false) => "no calculated dose",
            (false, false) => "no replacement and no calculated dose",
        };
        let state = match lost.state {
            BadgeState::Lost => "lost",
            _ => "damaged",
        };
        let what = format!("badge {} {state} on {since}: {missing}", lost.badge);
        let mut rule = rule_set.text_of(CheckKey::LostBadge);
        let by = by_flags(facts.role_on(on));
        let ways = ways((&facts.id, by), lost, (replaced, calculated));
        rule.remedy = format!("{} It ends by: {ways}.", rule.remedy);
        found.push(Finding::new(
            Severity::Stop,
            &rule,
            facts.id.clone(),
            what,
            vec![lost.entry],
        ));
    }
    found
}
