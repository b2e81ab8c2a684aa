//! Inspections as they stand, what a new one says, and what the next one covers.

use std::collections::HashMap;

use serde::Serialize;

use super::checked::{item_of, left_out, standing};
use super::maintenance_findings::{of_defects, of_measurements, of_out_of_service};
use super::tracking::INSPECTIONS;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::context::sought::{NoSuchName, Sought};
use crate::calendar::{Day, Span};
use crate::ledger::{InspectionRow, LineRow};
use crate::record::{Inspection, LineResult, Occasion, Ref, Sheet, SourceCheckType, Words};
use crate::rule::{ChecklistItem, Finding, INACTIVE, Standing};

/// One inspection on a line.
#[derive(Debug, Clone, Serialize)]
pub struct InspectionLine {
    /// Its entry.
    pub entry: i64,
    /// The day.
    pub on: Day,
    /// The hour.
    pub at: Option<String>,
    /// What was looked at.
    pub item: String,
    /// What it is.
    #[serde(rename = "type")]
    pub kind: String,
    /// What it was made for.
    pub when: String,
    /// Who looked.
    pub by: String,
    /// How many items were good.
    pub good: usize,
    /// How many were measured and not judged.
    pub measured: usize,
    /// How many had a defect.
    pub defects: usize,
    /// Items that were not done, or have no line at all.
    pub not_done: Vec<String>,
}

/// One item of an inspection.
#[derive(Debug, Clone, Serialize)]
pub struct LineView {
    /// Its key.
    pub line: String,
    /// Which part.
    pub component: String,
    /// What was found.
    pub result: String,
    /// What was measured.
    pub value: Option<String>,
    /// Where the measure stands: `good`, `warning`, `beyond its limit`, or that it has no verdict.
    pub standing: Option<&'static str>,
    /// What was seen.
    pub note: Option<String>,
    /// What was done.
    pub action: Option<String>,
    /// The other item of a mating check.
    pub with: Option<String>,
}

/// One inspection whole.
#[derive(Debug, Clone, Serialize)]
pub struct InspectionAnswer {
    /// Its head.
    #[serde(flatten)]
    pub head: InspectionLine,
    /// The list that was in force.
    pub list: String,
    /// Its lines.
    pub lines: Vec<LineView>,
    /// The device's own counter.
    pub counter: Option<i64>,
    /// Anything else.
    pub note: Option<String>,
    /// The list's caution.
    pub confirm: String,
}

/// Inspections of a span.
#[derive(Debug, Clone, Serialize)]
pub struct InspectionsAnswer {
    /// First day.
    pub first: Day,
    /// Last day.
    pub last: Day,
    /// The inspections.
    pub lines: Vec<InspectionLine>,
}

/// What was handed in and what it means.
#[derive(Debug, Clone, Serialize)]
pub struct AfterInspections {
    /// The inspections.
    pub inspections: Vec<InspectionLine>,
    /// What needs somebody.
    pub findings: Vec<Finding>,
    /// Measures at their warning mark, within the limit.
    pub warnings: Vec<String>,
    /// Cautions of the lists.
    pub cautions: Vec<String>,
}

/// What an inspection of one item covers.
#[derive(Debug, Clone)]
pub struct ToInspect {
    /// Its id.
    pub id: String,
    /// What it is.
    pub kind: &'static str,
    /// The items, in the order of the list.
    pub items: Vec<ChecklistItem>,
    /// What was measured last, with its day, by item.
    pub last: HashMap<String, (String, Day)>,
    /// What is looked at besides, before the day's use.
    pub controls: Vec<ControlLine>,
}

/// An inspection of the controls of a vehicle or a place. It is a dated check of sources and no
/// item of the list: neither is an item in the register, and what is found in it goes on no record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ControlLine {
    /// What the record of it is called.
    pub record: &'static str,
    /// What is looked at.
    pub how: String,
    /// The rule, and whether that text was read.
    pub rule: String,
}

/// The inspections that go with an item before the day's use, where the rule set asks for them.
fn controls_of(
    house: &House,
    kind: &str,
    when: Occasion,
    on: Day,
) -> Result<Vec<ControlLine>, AnswerError> {
    let asked = |inspection: &(&str, SourceCheckType)| match kind {
        "exposure device" => true,
        "source changer" | "storage container" => inspection.1 == SourceCheckType::StorageControls,
        _ => false,
    };
    let rule_set = house.rule_set_on(on)?;
    let inspections = INSPECTIONS
        .iter()
        .filter(|it| when == Occasion::Daily && asked(it));
    let lines = inspections.filter_map(|(key, kind)| {
        let rule = rule_set.rule(key)?;
        Some(ControlLine {
            record: kind.word(),
            how: rule.meaning.trim().to_owned(),
            rule: rule.cited(),
        })
    });
    Ok(lines.collect())
}

fn by_words(house: &House, row: &InspectionRow) -> String {
    match row.worker {
        Some(worker) => house.names.label(worker),
        None => row.inspected.clone().unwrap_or_default(),
    }
}

/// Lines that say `not done`, and items that have no line at all.
fn not_done(house: &House, it: &Inspection) -> Vec<String> {
    let list = house.list_of(it);
    let is_inactive = |key: &str| {
        let item = list.and_then(|list| list.item(key));
        item.is_some_and(|item| house.item_on(it.item.number(), item, it.on).is_inactive())
    };
    let skipped = it
        .lines
        .iter()
        .filter(|it| it.result == LineResult::NotDone && !is_inactive(&it.item))
        .map(|it| it.item.clone());
    skipped.chain(left_out(house, it)).collect()
}

fn line_of(house: &House, entry: i64, it: &Inspection) -> InspectionLine {
    let kind = house
        .names
        .type_word(it.item.number())
        .unwrap_or("unknown item");
    let count = |result| it.lines.iter().filter(|line| line.result == result).count();
    InspectionLine {
        entry,
        on: it.on,
        at: it.at.clone(),
        item: house.names.label(it.item.number()),
        kind: kind.to_owned(),
        when: it.when.word().to_owned(),
        by: house.names.words(&it.by),
        good: count(LineResult::Good),
        measured: count(LineResult::Measured),
        defects: count(LineResult::Defect),
        not_done: not_done(house, it),
    }
}

/// The inspection of an entry.
pub fn inspection_of(house: &OpenHouse<'_>, entry: i64) -> Result<InspectionAnswer, AnswerError> {
    let Some(crate::record::Body::Inspection(it)) = house.snapshot.body(entry)? else {
        return Err(NoSuchName {
            what: Sought::Inspection,
            name: entry.to_string(),
            near: Vec::new(),
        }
        .into());
    };
    let list = house.list_of(&it);
    let lines = it
        .lines
        .iter()
        .map(|line| {
            let item = list.and_then(|list| list.item(&line.item));
            let item = item.map(|item| house.item_on(it.item.number(), item, it.on));
            let item = item.as_ref();
            LineView {
                line: line.item.clone(),
                component: item.map(|it| it.component.clone()).unwrap_or_default(),
                result: line.result.word().to_owned(),
                value: line.value.clone(),
                standing: standing_words(item, line.value.as_deref()),
                note: line.note.clone(),
                action: line.action.clone(),
                with: line.with.map(|with| house.names.label(with.number())),
            }
        })
        .collect();
    Ok(InspectionAnswer {
        head: line_of(house, entry, &it),
        list: list.map(|it| it.key.clone()).unwrap_or_default(),
        lines,
        counter: it.counter,
        note: it.note.clone(),
        confirm: list.map(|it| it.confirm.clone()).unwrap_or_default(),
    })
}

fn standing_words(item: Option<&ChecklistItem>, value: Option<&str>) -> Option<&'static str> {
    if value.is_some() && item.is_some_and(ChecklistItem::is_inactive) {
        return Some("no verdict: inactive");
    }
    Some(match standing(item, value)? {
        Standing::Good => "good",
        Standing::Warning => "warning",
        Standing::Beyond => "beyond its limit",
    })
}

/// Inspections of a span, of one item or of all.
pub fn inspections(
    house: &OpenHouse<'_>,
    item: Option<&str>,
    span: Span,
) -> Result<InspectionsAnswer, AnswerError> {
    let rows = match item {
        Some(id) => {
            let record = house.names.item(id)?;
            // A mating check counts for both items.
            let mated = house
                .snapshot
                .mated_with(record.number(), span.first, span.last)?;
            let mut rows = house
                .snapshot
                .inspections_of(record.number(), span.first, span.last)?;
            rows.extend(mated.into_iter().map(|it| it.of));
            rows.sort_by(|a, b| (a.on, &a.at, a.entry).cmp(&(b.on, &b.at, b.entry)));
            rows.dedup_by_key(|it| it.entry);
            rows
        }
        None => house.snapshot.inspections(span.first, span.last)?,
    };
    let mut lines = Vec::new();
    for row in rows {
        if let Some(crate::record::Body::Inspection(it)) = house.snapshot.body(row.entry)? {
            let mut line = line_of(house, row.entry, &it);
            line.by = by_words(house, &row);
            lines.push(line);
        }
    }
    Ok(InspectionsAnswer {
        first: span.first,
        last: span.last,
        lines,
    })
}

/// What inspections that were just written say.
pub fn after_inspections(
    house: &OpenHouse<'_>,
    entries: &[i64],
) -> Result<AfterInspections, AnswerError> {
    let mut answer = AfterInspections {
        inspections: Vec::new(),
        findings: Vec::new(),
        warnings: Vec::new(),
        cautions: Vec::new(),
    };
    for entry in entries {
        let Some(crate::record::Body::Inspection(it)) = house.snapshot.body(*entry)? else {
            continue;
        };
        answer.inspections.push(line_of(house, *entry, &it));
        let list = house.list_of(&it);
        let confirm = list.map(|it| it.confirm.clone()).unwrap_or_default();
        if !answer.cautions.contains(&confirm) {
            answer.cautions.push(confirm);
        }
        let rule_set = house.rule_set_on(it.on)?;
        let lines: Vec<LineRow> = house
            .snapshot
            .lines_of(it.item.number(), it.on, it.on)?
            .into_iter()
            .filter(|line| line.of.entry == *entry)
            .collect();
        // At the inspection itself its own measures are the newest.
        let past = of_measurements(house, rule_set, (&lines, &lines), it.on);
        answer.findings.extend(past);
        answer.warnings.extend(warnings(house, &lines));
        answer.warnings.extend(it.by.written().map(|name| {
            format!("`{name}` is no worker that the ledger knows; the name is kept as written")
        }));
        let defects = of_defects(house, rule_set, it.item.number(), it.on);
        let mine = |finding: &Finding| finding.entries.contains(entry);
        answer.findings.extend(defects.into_iter().filter(mine));
        let of = (it.item.number(), *entry);
        answer
            .findings
            .extend(of_out_of_service(house, rule_set, of, it.on));
    }
    Ok(answer)
}

fn warnings(house: &House, lines: &[LineRow]) -> Vec<String> {
    let warns = lines.iter().filter_map(|line| {
        let item = item_of(house, &line.of, &line.line)?;
        let value = line.value.as_deref();
        let (id, key) = (house.names.label(line.of.item), &line.line);
        if item.is_inactive() {
            return Some(format!(
                "{id} {key} {} is kept without a verdict: {INACTIVE}",
                value?
            ));
        }
        if standing(Some(&item), value) != Some(Standing::Warning) {
            return None;
        }
        Some(format!(
            "{id} {key} {} is at its warning mark; the limit is {}",
            value.unwrap_or_default(),
            item.measurement.as_ref()?.limit_words()
        ))
    });
    warns.collect()
}

/// What an inspection of these items covers on a day.
pub fn all_equipment(
    house: &OpenHouse<'_>,
    ids: &[String],
    when: Occasion,
    on: Day,
) -> Result<Vec<ToInspect>, AnswerError> {
    let Some((_, list)) = house.checklist_on(on) else {
        return Err(AnswerError::NoChecklist { day: on });
    };
    let mut all_equipment = Vec::new();
    for id in ids {
        let record = house.names.item(id)?;
        let kind = house
            .names
            .type_stored(record.number())
            .unwrap_or("unknown item");
        let items: Vec<ChecklistItem> = list
            .items_for(kind, when.stored())
            .map(|item| house.item_on(record.number(), item, on))
            .collect();
        let mut last = HashMap::new();
        for item in items.iter().filter(|it| it.unit().is_some()) {
            let lines = house
                .snapshot
                .lines_of_key(record.number(), &item.key, Day::MIN)?;
            let found = lines.into_iter().filter(|it| it.of.on <= on);
            if let Some(it) = found
                .filter_map(|it| Some((it.value?, it.of.on)))
                .next_back()
            {
                last.insert(item.key.clone(), it);
            }
        }
        all_equipment.push(ToInspect {
            id: house.names.label(record.number()),
            kind,
            items,
            last,
            controls: controls_of(house, kind, when, on)?,
        });
    }
    Ok(all_equipment)
}

/// The set that the last sheet used: device, control unit, guide tubes and meter.
pub fn last_set(house: &House, sheet: &Sheet) -> Vec<String> {
    let source = sheet.source.as_ref().and_then(Ref::number);
    let equipment = sheet.equipment().into_iter().filter_map(|it| it.1.number());
    let equipment = equipment.filter(|it| Some(*it) != source);
    let meter = sheet.meter.iter().filter_map(|it| it.number());
    let all = equipment.chain(meter);
    all.map(|it| house.names.label(it)).collect()
}
