//! Findings of one worker's standing against the levels of a rule set.

use crate::dose::index::DoseIndex;
use crate::dose::input::WorkerFacts;
use crate::dose::level::{Gone, Standing, is_passed};
use crate::quantity::{Dose, Overflow};
use crate::rule::{AppliesTo, CheckKey, Finding, LevelType, RuleSet, Severity, Status};

/// What of a worker's standings needs somebody: a level reached or passed on
/// the conservative total, a limit used up to the last, an allowance that quarters
/// without records have used up.
///
/// The finding rests on the entries with which the level was passed, so that
/// an answer to it stands while later shifts come in. Its check carries the
/// level's key behind a colon (`limit-exceeded:deep-year`), for one entry can
/// pass several.
///
/// # Errors
/// [`Overflow`] when a sum does not fit.
pub fn level_findings(
    facts: &WorkerFacts,
    standings: &[Standing<'_>],
    index: &DoseIndex,
    rule_set: &RuleSet,
) -> Result<Vec<Finding>, Overflow> {
    let mut findings = Vec::new();
    for standing in standings {
        findings.extend(level_finding(facts, standing, index, rule_set)?);
    }
    findings.extend(contradictions(facts, index, rule_set));
    Ok(findings)
}

/// Results and determinations that contradict each other, once for all
/// quantities. It stops nobody by itself: where a limit may be passed, the
/// conservative total says so.
fn contradictions(facts: &WorkerFacts, index: &DoseIndex, rule_set: &RuleSet) -> Vec<Finding> {
    let rule = rule_set.text_of(CheckKey::ContradictingDoses);
    let mut seen: Vec<&[i64]> = Vec::new();
    let mut findings = Vec::new();
    for conflict in index.conflicts() {
        if seen.contains(&conflict.entries.as_slice()) {
            continue;
        }
        seen.push(&conflict.entries);
        let entries: Vec<String> = conflict.entries.iter().map(ToString::to_string).collect();
        let what = format!(
            "{} {}: doses of the days from {} on contradict each other: entries {}",
            facts.id,
            facts.name,
            conflict.days.first,
            entries.join(", ")
        );
        let id = facts.id.clone();
        let entries = conflict.entries.clone();
        findings.push(Finding::new(Severity::Act, &rule, id, what, entries));
    }
    findings
}

/// What a standing is and whether it stops, for every answer alike: a level passed, or a stopping
/// one used up to the last, or an allowance that quarters without records have used up.
pub fn judged(standing: &Standing<'_>) -> Option<(CheckKey, Severity)> {
    let level = standing.level;
    let severity = match level.is_stopping() {
        true => Severity::Stop,
        false => Severity::Act,
    };
    match (standing.gone()?, level.kind) {
        (Gone::Passed, LevelType::Limit) => Some((CheckKey::LimitExceeded, severity)),
        (Gone::Passed, _) => Some((CheckKey::LevelReached, severity)),
        (Gone::ByMissingQuarters, _) => Some((CheckKey::MissingQuarter, Severity::Act)),
        // Against the level of a minor who came of age nothing more counts.
        (Gone::AtTheLevel, _) if standing.closed || !level.is_stopping() => None,
        (Gone::AtTheLevel, _) => Some((CheckKey::LevelReached, severity)),
    }
}

fn level_finding(
    facts: &WorkerFacts,
    standing: &Standing<'_>,
    index: &DoseIndex,
    rule_set: &RuleSet,
) -> Result<Option<Finding>, Overflow> {
    let level = standing.level;
    let Some((key, severity)) = judged(standing) else {
        return Ok(None);
    };
    let (limit, cut) = (standing.limit, standing.cut);
    let passing = index.first_passing(standing.summed, level.quantity, |dose| {
        if standing.passed {
            is_passed(level, dose, limit)
        } else {
            dose.checked_add(cut).is_ok_and(|taken| taken >= limit)
        }
    })?;
    let (mut entries, since) = match passing {
        Some((day, entries)) => (entries, format!(", since {day}")),
        None => (Vec::new(), String::new()),
    };
    if key == CheckKey::MissingQuarter {
        entries.splice(0..0, standing.missing.iter().copied());
    }
    let what = say(facts, standing, rule_set, &since);
    let rule = rule_set.text_of(key);
    let mut finding = Finding::new(severity, &rule, facts.id.clone(), what, entries);
    finding.private = level.applies_to == AppliesTo::DeclaredPregnancy;
    finding.check = format!("{}:{}", rule.key, level.key);
    finding.rule = format!("{} {}", level.meaning.trim_end(), rule.meaning);
    finding.citation = format!("{}; {}", level.citation, rule.citation);
    if level.status == Status::ToBeConfirmed {
        finding.status = Status::ToBeConfirmed;
    }
    Ok(Some(finding))
}

fn say(facts: &WorkerFacts, standing: &Standing<'_>, rule_set: &RuleSet, since: &str) -> String {
    let level = standing.level;
    let used = standing.used.safe.text(rule_set.unit);
    let of = rule_set.print(standing.limit);
    let kind = level.kind.level_name();
    let mut what = format!(
        "{} {}: {} {used} against the {kind} {} of {of}{since}",
        facts.id,
        facts.name,
        rule_set.terms().dose(level.quantity),
        level.key
    );
    if standing.passed && !standing.account_passed {
        let account = standing.used.account.text(rule_set.unit);
        what.push_str(&format!(
            "; this is the conservative total, the total is {account}"
        ));
    }
    if standing.cut > Dose::ZERO {
        let cut = rule_set.print(standing.cut);
        what.push_str(&format!(
            "; quarters without records take {cut} of the allowance"
        ));
    }
    what
}
