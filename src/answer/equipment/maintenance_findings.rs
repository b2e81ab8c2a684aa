//! What the inspection and maintenance of things needs, over a span of days: defects that stand,
//! measures past their limit, leaking sources, inventories that were missed.

use super::checked::{item_of, standing};
use super::due::has_inventory;
use super::item_facts::leak_limit;
use super::tracking;
use super::wear_findings::wear_findings;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::dose::look_back::of_look_backs;
use crate::answer::dose::unseen::unseen_of;
use crate::calendar::{Day, Span};
use crate::ledger::{LineRow, Snapshot, Stored};
use crate::quantity::ActivityUnit;
use crate::record::{CheckType, Inventory, LeakPart, LineResult, RecordId};
use crate::rule::{
    CheckKey, Finding, IntervalRule, ItemMeasurement, RuleSet, RuleText, Severity, Standing,
};

/// Defects of an item that are neither cleared nor answered with a withdrawal.
pub(crate) fn of_defects(
    house: &House,
    rule_set: &RuleSet,
    item: RecordId,
    on: Day,
) -> Vec<Finding> {
    let rule = rule_set.text_of(CheckKey::UsedWithDefect);
    let id = house.names.label(item);
    if house.service.out_of_service(item, on).is_some() {
        return Vec::new();
    }
    house
        .maintenance
        .open_defects(item, on)
        .map(|defect| {
            let line = &defect.line;
            let note = line.note.as_deref().unwrap_or("no words");
            let since = match defect.good_without_repair {
                Some(day) if day <= on => format!(
                    "a daily check of {day} found it good and names no repair: that does not \
                     return it to service"
                ),
                _ => "neither out of service nor repaired since".to_owned(),
            };
            let what = format!(
                "{id}: defect at {} written down on {} ({note}); {since}",
                line.line, line.of.on
            );
            let entries = vec![line.of.entry];
            Finding::new(Severity::Stop, &rule, id.clone(), what, entries)
        })
        .collect()
}

/// Defects that an inspection wrote down with the words that the item was withdrawn: whoever holds
/// it must hear it then, and nobody is asked again.
pub(crate) fn of_out_of_service(
    house: &House,
    rule_set: &RuleSet,
    (item, entry): (RecordId, i64),
    on: Day,
) -> Vec<Finding> {
    let rule = rule_set.text_of(CheckKey::UsedWithDefect);
    let id = house.names.label(item);
    let all = house.maintenance.open_defects(item, on);
    let mine = all.filter(|it| it.withdraws() && it.line.of.entry == entry);
    mine.map(|defect| {
        let line = &defect.line;
        let note = line.note.as_deref().unwrap_or("no words");
        let what = format!(
            "{id}: defect at {} ({note}): out of service from {on} on, until it is repaired and \
             an inspection that says so finds it good, or it is returned: wearbook equipment \
             return",
            line.line
        );
        Finding::new(Severity::Stop, &rule, id.clone(), what, vec![entry])
    })
    .collect()
}

/// Whether a line's part was replaced between it and a day.
fn is_replaced(house: &House, line: &LineRow, on: Day) -> bool {
    let component = item_of(house, &line.of, &line.line).map(|it| it.component);
    let mut parts = house.maintenance.parts_of(line.of.item).iter();
    parts.any(|it| {
        let since = line.of.on <= it.body.installed_on && it.body.installed_on <= on;
        since && Some(&it.body.component) == component.as_ref()
    })
}

/// Measures past their limit that are not written down as a defect. One stops the item while it
/// is the newest of a part that is still there, on an item that is not withdrawn; after that it
/// is for whoever asks how it came to be passed.
pub(crate) fn of_measurements(
    house: &House,
    rule_set: &RuleSet,
    (lines, newest): (&[LineRow], &[LineRow]),
    on: Day,
) -> Vec<Finding> {
    let rule = rule_set.text_of(CheckKey::PassedBeyondLimit);
    let mut found = Vec::new();
    for line in lines.iter().filter(|it| it.result != LineResult::Defect) {
        let Some(item) = item_of(house, &line.of, &line.line) else {
            continue;
        };
        if standing(Some(&item), line.value.as_deref()) != Some(Standing::Beyond) {
            continue;
        }
        let id = house.names.label(line.of.item);
        let said = match line.result {
            LineResult::Good => "recorded as good",
            _ => "written down without a word",
        };
        let measurement = item.measurement.as_ref();
        let limit = measurement
            .map(ItemMeasurement::limit_plain)
            .unwrap_or_default();
        let of = measurement.and_then(ItemMeasurement::limit_of);
        let subject = format!("{id}-{}", line.line);
        let what = format!(
            "{subject} {} on {}, limit {limit} ({}), {said}",
            line.value.as_deref().unwrap_or_default(),
            line.of.on,
            of.unwrap_or(item.basis)
        );
        let entries = vec![line.of.entry];
        let stands = newest.contains(line)
            && !is_replaced(house, line, on)
            && house.service.out_of_service(line.of.item, on).is_none();
        let severity = match stands {
            true => Severity::Stop,
            false => Severity::Act,
        };
        let mut finding = Finding::new(severity, &rule, subject, what, entries);
        if !stands {
            finding.remedy = "The part was measured again or replaced since, or its item is out \
                              of service: the RSO finds out why it was passed, and answers this \
                              finding."
                .to_owned();
        }
        found.push(finding);
    }
    found
}

/// How far back the newest measure of an item is looked for: two periods of a yearly look.
const MEASURES_BACK: u64 = 731;

/// The newest measure of each item of each item up to a day.
pub(crate) fn newest_measurements(
    snapshot: &Snapshot<'_>,
    on: Day,
) -> Result<Vec<LineRow>, AnswerError> {
    let first = on.checked_sub_days(chrono::Days::new(MEASURES_BACK));
    let mut newest: Vec<LineRow> = Vec::new();
    // They come by item and item, the oldest first.
    for line in snapshot.measurements_between(first.unwrap_or(on), on)? {
        let same = |it: &&mut LineRow| it.of.item == line.of.item && it.line == line.line;
        match newest.last_mut().filter(same) {
            Some(before) => *before = line,
            None => newest.push(line),
        }
    }
    Ok(newest)
}

/// What keeps one item in: a defect that stands, a leak, a newest measure past its limit of a
/// part that was not replaced since.
pub(crate) fn stops_of_equipment(
    house: &House,
    item: RecordId,
    newest: &[LineRow],
    on: Day,
) -> Result<Vec<Finding>, AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    let mut found = of_defects(house, rule_set, item, on);
    found.extend(of_leaks(house, rule_set, item, on)?);
    let mine = newest.iter().filter(|it| it.of.item == item);
    let mine: Vec<LineRow> = mine.cloned().collect();
    let past = of_measurements(house, rule_set, (&mine, &mine), on).into_iter();
    found.extend(past.filter(|it| it.severity == Severity::Stop));
    Ok(found)
}

/// Everything of a span: measures of its days, and what stands on `on`.
pub(crate) fn maintenance_findings(
    house: &OpenHouse<'_>,
    span: Span,
    on: Day,
) -> Result<Vec<Finding>, AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    let mut found = Vec::new();
    let lines = house.snapshot.measurements_between(span.first, span.last)?;
    let newest = newest_measurements(house.snapshot, on)?;
    found.extend(of_measurements(house, rule_set, (&lines, &newest), on));
    for item in house.names.items() {
        found.extend(of_defects(house, rule_set, item, on));
        found.extend(of_leaks(house, rule_set, item, on)?);
    }
    found.extend(of_inventories(house, rule_set, (span, on)));
    found.extend(tracking::findings(house, (span, on))?);
    found.extend(wear_findings(house, rule_set, (span, on))?);
    found.extend(of_gaps(house, rule_set, (span, on)));
    found.extend(of_look_backs(house, rule_set, (span, on))?);
    Ok(found)
}

/// A source or a shield that leaked at its last test and is not withdrawn.
fn of_leaks(
    house: &House,
    rule_set: &RuleSet,
    item: RecordId,
    on: Day,
) -> Result<Vec<Finding>, AnswerError> {
    let rule = rule_set.text_of(CheckKey::LeakingSource);
    let limit = leak_limit(house, on)?;
    let mut found = Vec::new();
    if house.service.out_of_service(item, on).is_some() {
        return Ok(found);
    }
    for part in [LeakPart::Source, LeakPart::Tube] {
        let Some((check, test)) = house.maintenance.last_leak_test(item, part, on, limit) else {
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
fn of_inventories(house: &House, rule_set: &RuleSet, (span, on): (Span, Day)) -> Vec<Finding> {
    let all = house.maintenance.inventories();
    let Some(interval) = rule_set.interval("inventory") else {
        return Vec::new();
    };
    let Some(last) = all.iter().rfind(|it| it.body.on <= on) else {
        return Vec::new();
    };
    let rule = rule_set.text_of(CheckKey::Inventory);
    let mut found = missed(all, interval, rule_set, &rule, (span, on));
    // What is no longer there is not looked for.
    if !has_inventory(house, on) {
        found.retain(|it| it.entries.len() > 1);
    }
    let unseen = unseen_of(house, &last.body).into_iter();
    let unseen: Vec<String> = unseen.map(|(_, source)| source.id.clone()).collect();
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

/// Inventories that were missed: between two on record, and after the last.
fn missed(
    all: &[Stored<Inventory>],
    rule: &IntervalRule,
    rule_set: &RuleSet,
    text: &RuleText,
    (span, on): (Span, Day),
) -> Vec<Finding> {
    let done: Vec<&Stored<Inventory>> = all.iter().filter(|it| it.body.on <= on).collect();
    let mut found = Vec::new();
    for (at, before) in done.iter().enumerate() {
        let Some(due) = rule.interval.due_after(before.body.on, rule_set.year_start) else {
            continue;
        };
        let next = done.get(at + 1);
        let until = next.map_or(on, |it| it.body.on);
        // The days on which it was missing must touch the span.
        if until <= due || due >= span.last || until < span.first {
            continue;
        }
        let then = next.map_or("none since".to_owned(), |it| {
            format!("the next {}", it.body.on)
        });
        let what = format!(
            "no inventory done in time after that of {}: due {due}, {then}",
            before.body.on
        );
        let mut entries = vec![before.entry];
        entries.extend(next.map(|it| it.entry));
        found.push(Finding::new(
            Severity::Act,
            text,
            "inventory".to_owned(),
            what,
            entries,
        ));
    }
    found
}

/// A calibration in force that lacks points that the rule asks for.
fn of_gaps(house: &House, rule_set: &RuleSet, (span, on): (Span, Day)) -> Vec<Finding> {
    let rule = rule_set.text_of(CheckKey::MeterCalibration);
    let mut found = Vec::new();
    for (instrument, body) in house.names.instruments() {
        if house.service.out_of_service(instrument, on).is_some() {
            continue;
        }
        let last = house
            .service
            .checks_of(instrument)
            .iter()
            .rfind(|it| it.check.body.kind == CheckType::Calibration && it.check.body.on <= on);
        let Some(judged) = last.filter(|it| span.contains(it.check.body.on)) else {
            continue;
        };
        let Some(first) = judged.assessment.as_ref().and_then(|it| it.gaps.first()) else {
            continue;
        };
        let more = judged.assessment.as_ref().map_or(0, |it| it.gaps.len() - 1);
        let more = match more {
            0 => String::new(),
            more => format!(" (and {more} more)"),
        };
        let what = format!(
            "the calibration of {} on {} is not whole: {first}{more}",
            body.id, judged.check.body.on
        );
        let entries = vec![judged.check.entry];
        found.push(Finding::new(
            Severity::Act,
            &rule,
            body.id.clone(),
            what,
            entries,
        ));
    }
    found
}
