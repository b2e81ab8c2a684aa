//! A badge that was sent and whose result is there: a stop after an off-scale reading then ends
//! with the RSO, and sends the badge nowhere.

use crate::calendar::Day;
use crate::dose::input::History;
use crate::dose::resolve::trunk_of;
use crate::rule::{CheckKey, Finding, Quantity, RuleSet, RuleText};

/// The checks after which a badge goes to its processor, or is read, at once.
pub(super) const SENDS_BADGE: [CheckKey; 2] =
    [CheckKey::OffScale, CheckKey::ElectronicOverShiftLimit];

/// Tells of the result that is there where a finding asks for the badge to be sent or read: the
/// badge of the shift on whose sheet it rests has a deep dose of a report up to a day, which
/// nobody has accepted.
pub fn with_result(history: &History, rule_set: &RuleSet, finding: &mut Finding, on: Day) {
    if !SENDS_BADGE.iter().any(|it| finding.is(*it)) {
        return;
    }
    let entry = finding.entries.first();
    let mut shifts = history.shifts.iter();
    let Some(work) = shifts.find(|it| Some(&it.entry) == entry) else {
        return;
    };
    let dosimetry = &history.facts.dosimetry;
    let worn = trunk_of(dosimetry, work).and_then(|at| dosimetry.wear.get(at));
    let Some(badge) = worn else {
        return;
    };
    let there: Vec<i64> = dosimetry
        .reports(badge.record)
        .into_iter()
        .filter(|it| it.reported_on <= on && it.doses.get(Quantity::Deep).is_some())
        .filter(|it| it.accepted.is_none())
        .map(|it| it.entry)
        .collect();
    if there.is_empty() {
        return;
    }
    let entries: Vec<String> = there.iter().map(ToString::to_string).collect();
    let text = result_text(rule_set);
    finding.what += &format!(
        "; the result of badge {} is there and not accepted (entry {})",
        badge.badge,
        entries.join(", ")
    );
    finding.remedy = text.remedy;
}

/// What ends such a stop. A rule set that was adopted before there was such a text says the same.
fn result_text(rule_set: &RuleSet) -> RuleText {
    let known = rule_set.rule("off-scale-result").cloned();
    known.unwrap_or_else(|| RuleText {
        remedy:
            "Keep this person off work until the RSO accepts the result of the badge (wearbook \
                 badge accept) or determines the dose (wearbook determination enter)."
                .to_owned(),
        ..rule_set.text_of(CheckKey::OffScaleResult)
    })
}
