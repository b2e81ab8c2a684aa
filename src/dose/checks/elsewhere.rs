//! Badges of other employers of which nobody said whether they measured dose of ours.

use crate::calendar::Span;
use crate::dose::input::History;
use crate::rule::{CheckKey, Finding, RuleSet, Severity};

/// A badge of another employer over shifts here that is on hold, with the command that
/// ends it.
pub fn badges_elsewhere(history: &History, span: Span, rule_set: &RuleSet) -> Vec<Finding> {
    let rule = rule_set.text_of(CheckKey::HeldItem);
    let facts = &history.facts;
    let open = history.open_elsewhere().filter(|it| {
        let mut shifts = history.shifts_on(it);
        shifts.any(|shift| span.contains(shift.day))
    });
    open.map(|it| {
        let last = match it.last {
            Some(last) => format!("to {last}"),
            None => "on".to_owned(),
        };
        let what = format!(
            "{} {}: badge {} of another employer was worn from {} {last}, over shifts of ours, \
             and it is not recorded whether it measured the same dose: its dose counts in the \
             conservative total only; wearbook entry correct {} same_dose=yes --reason WHY, or \
             same_dose=no",
            facts.id, facts.name, it.badge, it.first, it.entry
        );
        Finding::new(Severity::Act, &rule, facts.id.clone(), what, vec![it.entry])
    })
    .collect()
}
