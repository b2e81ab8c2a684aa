//! What the upkeep of things needs, over a span of days: defects that stand, measures past
//! their limit, leaking sources, inventories that were missed.

use super::inspection::standing;
use super::item_facts::leak_limit;
use super::load::{AnswerError, House};
use super::look_back::of_look_backs;
use crate::calendar::{Day, DueStatus, Span};
use crate::ledger::{LineRow, Snapshot};
use crate::quantity::ActivityUnit;
use crate::record::{LeakPart, LineResult, RecordId};
use crate::rule::{Finding, RuleText, Scheme, Severity, Standing, Status};

/// The scheme's rule text. A scheme that was adopted before there was one loses no finding.
pub(super) fn rule_text(scheme: &Scheme, key: &str, harm: &str) -> RuleText {
    scheme.rule(key).cloned().unwrap_or_else(|| RuleText {
        key: key.to_owned(),
        citation: "good practice, no rule text in this scheme".to_owned(),
        status: Status::ToBeConfirmed,
        meaning: harm.to_owned(),
        remedy: "Tell the RSO.".to_owned(),
    })
}

/// Defects of a piece that are neither cleared nor answered with a withdrawal.
pub(super) fn of_defects(house: &House, scheme: &Scheme, item: RecordId, on: Day) -> Vec<Finding> {
    let rule = rule_text(
        scheme,
        "used-with-defect",
        "A defect that somebody saw meets a crew that was not told.",
    );
    let id = house.names.label(item);
    // A withdrawal holds from the day after it: on its own day it may have been used before.
    let next = on.succ_opt().unwrap_or(on);
    if house.service.withdrawn(item, next).is_some() {
        return Vec::new();
    }
    house
        .upkeep
        .open_defects(item, on)
        .map(|defect| {
            let line = &defect.line;
            let note = line.note.as_deref().unwrap_or("no words");
            let what = format!(
                "{id}: defect at {} written down on {} ({note}); the piece is neither withdrawn \
                 nor found good since",
                line.line, line.of.on
            );
            let entries = vec![line.of.entry];
            Finding::new(Severity::Stop, &rule, id.clone(), what, entries)
        })
        .collect()
}

/// Measures past their limit that are not written down as a defect.
pub(super) fn of_measures(house: &House, scheme: &Scheme, lines: &[LineRow]) -> Vec<Finding> {
    let rule = rule_text(
        scheme,
        "passed-beyond-limit",
        "A worn part that was measured as worn goes on working.",
    );
    let mut found = Vec::new();
    for line in lines.iter().filter(|it| it.result != LineResult::Defect) {
        let list = house.upkeep.list_of(line.of.list);
        let item = list.and_then(|it| it.list.item(&line.line));
        let Some(item) = item else { continue };
        if standing(Some(item), line.value.as_deref()) != Some(Standing::Beyond) {
            continue;
        }
        let id = house.names.label(line.of.item);
        let said = match line.result {
            LineResult::Good => "written down as good",
            _ => "written down without a word",
        };
        let limit = item.measure.as_ref().map_or_else(String::new, |it| {
            format!("{} {}", it.sense.name(), it.limit.display(it.unit))
        });
        let subject = format!("{id}-{}", line.line);
        let what = format!(
            "{subject} {} on {}, limit {limit} ({}), {said}",
            line.value.as_deref().unwrap_or_default(),
            line.of.on,
            item.basis
        );
        let entries = vec![line.of.entry];
        found.push(Finding::new(Severity::Stop, &rule, subject, what, entries));
    }
    found
}

/// Everything of a span: measures of its days, and what stands on `on`.
pub(super) fn upkeep_findings(
    snapshot: &Snapshot<'_>,
    house: &House,
    span: Span,
    on: Day,
) -> Result<Vec<Finding>, AnswerError> {
    let scheme = house.scheme_on(on)?;
    let mut found = Vec::new();
    let lines = snapshot.measures_between(span.first, span.last)?;
    found.extend(of_measures(house, scheme, &lines));
    for item in house.names.items() {
        found.extend(of_defects(house, scheme, item, on));
        found.extend(of_leaks(house, scheme, item, on)?);
    }
    found.extend(of_inventories(house, scheme, on));
    found.extend(of_look_backs(snapshot, house, scheme, (span, on))?);
    Ok(found)
}

/// A source or a shield that leaked at its last test and is not withdrawn.
fn of_leaks(
    house: &House,
    scheme: &Scheme,
    item: RecordId,
    on: Day,
) -> Result<Vec<Finding>, AnswerError> {
    let rule = rule_text(
        scheme,
        "leaking-source",
        "A leaking source contaminates people and equipment.",
    );
    let limit = leak_limit(house, on)?;
    let mut found = Vec::new();
    for part in [LeakPart::Source, LeakPart::Tube] {
        let Some((check, test)) = house.upkeep.last_leak_test(item, part, on, limit) else {
            continue;
        };
        if check.passed {
            continue;
        }
        let id = house.names.label(item);
        let removable = test.removable_bq.display(ActivityUnit::Becquerel);
        let what = match test.below {
            true => format!(
                "{id}: the leak test of {} says less than {removable}: it cannot show {}",
                check.on,
                limit.display(ActivityUnit::Becquerel)
            ),
            false => format!("{id}: the leak test of {} found {removable}", check.on),
        };
        found.push(Finding::new(
            Severity::Stop,
            &rule,
            id,
            what,
            vec![check.entry],
        ));
    }
    Ok(found)
}

/// The inventory of a quarter that passed without one; and one that did not see everything.
fn of_inventories(house: &House, scheme: &Scheme, on: Day) -> Vec<Finding> {
    let all = house.upkeep.inventories();
    let Some(interval) = scheme.interval("inventory") else {
        return Vec::new();
    };
    let Some(last) = all.iter().rfind(|it| it.body.on <= on) else {
        return Vec::new();
    };
    let rule = rule_text(
        scheme,
        "inventory",
        "A source that is missing is missed only when somebody needs it.",
    );
    let mut found = Vec::new();
    let status = interval
        .interval
        .status(Some(last.body.on), on, scheme.year_start);
    if let DueStatus::Overdue { since } = status {
        let what = format!(
            "no inventory since {}: the one of the quarter that ended before {since} was missed",
            last.body.on
        );
        let entries = vec![last.entry];
        found.push(Finding::new(
            Severity::Act,
            &rule,
            "inventory".to_owned(),
            what,
            entries,
        ));
    }
    let unseen: Vec<String> = house
        .names
        .sources()
        .filter(|(record, source)| {
            source.in_service.is_none_or(|from| from <= last.body.on)
                && house.service.withdrawn(*record, last.body.on).is_none()
                && !last.body.found.contains(record)
        })
        .map(|(_, source)| source.id.clone())
        .collect();
    if !unseen.is_empty() {
        let what = format!(
            "the inventory of {} did not see {}",
            last.body.on,
            unseen.join(", ")
        );
        let entries = vec![last.entry];
        found.push(Finding::new(
            Severity::Act,
            &rule,
            "unseen".to_owned(),
            what,
            entries,
        ));
    }
    found
}
