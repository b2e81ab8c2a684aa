//! What falls due on instruments and equipment, and what is overdue.

use serde::Serialize;

use super::calibration::Judged;
use super::due_line::{DueLine, DueState};
use super::item_facts::duties;
use super::tracking;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::calendar::{Day, DueStatus};
use crate::dose::checks::input::{Duty, LastCheck};
use crate::record::{CheckType, EquipmentType, InstrumentType, RecordId};
use crate::rule::{RuleSet, Tells};

/// What falls due.
#[derive(Debug, Clone, Serialize)]
pub struct DueAnswer {
    /// `instrument` or `equipment`.
    pub noun: String,
    /// The day.
    pub on: Day,
    /// So many days ahead.
    pub within: u32,
    /// The duties, the most urgent first.
    pub lines: Vec<DueLine>,
    /// Things that are withdrawn and not listed.
    pub out_of_service: Vec<String>,
    /// The rule set's caution.
    pub confirm: String,
}

impl DueAnswer {
    /// Whether something is not in force now.
    pub fn has_overdue(&self) -> bool {
        self.lines.iter().any(|it| it.state != DueState::InTime)
    }
}

/// What falls due within so many days, and what is not in force now.
pub fn due(
    house: &OpenHouse<'_>,
    noun: &str,
    on: Day,
    within: u32,
) -> Result<DueAnswer, AnswerError> {
    let horizon = on
        .checked_add_days(chrono::Days::new(u64::from(within)))
        .unwrap_or(on);
    let mut lines = Vec::new();
    let mut out_of_service = Vec::new();
    for item in house.names.items() {
        let instrument = house.names.instrument_body(item).is_some();
        let later = house.names.in_service(item).is_some_and(|from| from > on);
        if instrument != (noun == "instrument") || later {
            continue;
        }
        if house.service.out_of_service(item, on).is_some() {
            out_of_service.push(house.names.label(item));
            continue;
        }
        lines.extend(lines_of(house, item, on)?);
    }
    if noun == "equipment" {
        lines.extend(inventory(house, on)?);
        lines.extend(tracking::due_lines(house, on)?);
    }
    lines.retain(|it| it.state != DueState::InTime || it.due.is_some_and(|due| due <= horizon));
    lines.sort_by(|a, b| (a.state, a.due, &a.item).cmp(&(b.state, b.due, &b.item)));
    out_of_service.sort();
    Ok(DueAnswer {
        noun: noun.to_owned(),
        on,
        within,
        lines,
        out_of_service,
        confirm: house.rule_set_on(on)?.caution_of(Tells::Duties),
    })
}

/// The duties of one thing on a day.
pub(crate) fn lines_of(
    house: &OpenHouse<'_>,
    item: RecordId,
    on: Day,
) -> Result<Vec<DueLine>, AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    let all = match house.names.instrument_body(item).map(|it| it.kind) {
        Some(kind) => vec![of_instrument(house, item, kind, on)],
        None => duties(house, item, on)?,
    };
    let off_scale = off_scale_unchecked(house, item, on)?;
    let lines = all.iter();
    Ok(lines
        .filter_map(|duty| line(house, rule_set, item, (duty, off_scale), on))
        .collect())
}

fn of_instrument(house: &House, item: RecordId, kind: InstrumentType, on: Day) -> Duty {
    let last = |kind| house.service.last_check(item, kind, on);
    let calibration = last(CheckType::Calibration);
    match kind {
        InstrumentType::Meter => Duty {
            key: "meter-calibration",
            what: "calibration",
            last: calibration,
        },
        InstrumentType::Ratemeter => Duty {
            key: "ratemeter-calibration",
            what: "calibration",
            last: calibration,
        },
        // A calibration of a dosimeter is a response check as well.
        InstrumentType::Pocket | InstrumentType::Electronic => Duty {
            key: "dosimeter-response-check",
            what: "response check",
            last: last(CheckType::Response)
                .into_iter()
                .chain(calibration)
                .max_by_key(|it| (it.on, it.entry)),
        },
    }
}

/// How far back a dosimeter that went off scale is looked for.
const OFF_SCALE_BACK: u64 = 400;

/// When a dosimeter last went off scale, where no check on or after that day shows that it still
/// measures: until then it is not to be worn. The sheet's entry with it.
pub(crate) fn off_scale_unchecked(
    house: &OpenHouse<'_>,
    item: RecordId,
    on: Day,
) -> Result<Option<(Day, i64)>, AnswerError> {
    let dosimeter = house.names.instrument_body(item);
    if !dosimeter.is_some_and(|it| it.kind.is_dosimeter()) {
        return Ok(None);
    }
    let first = on.checked_sub_days(chrono::Days::new(OFF_SCALE_BACK));
    let readings = house
        .snapshot
        .readings_of_dosimeter(item, first.unwrap_or(on), on)?;
    let off = readings.iter().find(|(_, _, _, reading)| reading.off_scale);
    let Some((entry, day, _, _)) = off else {
        return Ok(None);
    };
    let checks = house.service.checks_of(item).iter();
    let mut since = checks.filter(|it| it.check.body.on >= *day && it.check.body.on <= on);
    Ok(match since.any(Judged::passed) {
        true => None,
        false => Some((*day, *entry)),
    })
}

fn line(
    house: &House,
    rule_set: &RuleSet,
    item: RecordId,
    (duty, off_scale): (&Duty, Option<(Day, i64)>),
    on: Day,
) -> Option<DueLine> {
    let rule = rule_set.interval(duty.key)?;
    let last: Option<LastCheck> = duty.last;
    let status = rule
        .interval
        .status(last.map(|it| it.on), on, rule_set.year_start);
    let due = last.and_then(|it| rule.interval.due_after(it.on, rule_set.year_start));
    let serviced = house
        .maintenance
        .serviced_since(item, last, on)
        .filter(|_| house.names.instrument_body(item).is_some());
    let failed = last.filter(|it| !it.passed);
    let judged = house.service.checks_of(item).iter();
    let whole = judged
        .filter(|it| Some(it.check.entry) == last.map(|it| it.entry))
        .all(Judged::is_whole);
    let (state, words) = match (failed, serviced, status) {
        (None, None, _) if off_scale.is_some() => {
            let day = off_scale.map(|it| it.0.to_string()).unwrap_or_default();
            let words = format!("off scale on {day}, not checked since");
            (DueState::NotUsable, words)
        }
        (Some(last), ..) => (DueState::NotUsable, format!("failed on {}", last.on)),
        (None, Some(it), _) => {
            let words = format!("serviced on {}, not calibrated since", it.body.on);
            (DueState::NotUsable, words)
        }
        (None, None, DueStatus::InTime { .. }) if !whole => {
            let words = "lacks points that the rule asks for".to_owned();
            (DueState::NotUsable, words)
        }
        (None, None, DueStatus::Overdue { since }) => {
            (DueState::Overdue, format!("overdue since {since}"))
        }
        (None, None, DueStatus::NeverDone) => (DueState::NeverDone, "never done".to_owned()),
        (None, None, DueStatus::BeforeUse { .. }) => {
            (DueState::BeforeUse, "before the next use".to_owned())
        }
        (None, None, DueStatus::InTime { until }) => {
            let days = (until - on).num_days();
            (
                DueState::InTime,
                format!("in {}", crate::text::counted(days, "day", "days")),
            )
        }
    };
    let kind = house.names.type_word(item).unwrap_or("unknown item");
    Some(DueLine {
        item: house.names.label(item),
        kind: kind.to_owned(),
        key: duty.key,
        what: duty.what.to_owned(),
        last: last.map(|it| it.on),
        due,
        state,
        words,
        rule: rule.cited(),
    })
}

/// Whether there is something to take an inventory of: a source that is not withdrawn, or a device
/// whose shield may be one of uranium.
pub(crate) fn has_inventory(house: &House, on: Day) -> bool {
    let is_here = |item: RecordId| house.service.out_of_service(item, on).is_none();
    let is_device = |item: &RecordId| {
        let body = house.names.equipment_body(*item);
        body.is_some_and(|it| it.kind == EquipmentType::Device)
    };
    let mut sources = house.names.sources().map(|(source, _)| source).peekable();
    sources.peek().is_some()
        && (sources.any(is_here)
            || house
                .names
                .items()
                .into_iter()
                .filter(is_device)
                .any(is_here))
}

/// The inventory of all sources, one line for the whole.
fn inventory(house: &House, on: Day) -> Result<Option<DueLine>, AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    if !has_inventory(house, on) {
        return Ok(None);
    }
    let last = house
        .maintenance
        .inventories()
        .iter()
        .rfind(|it| it.body.on <= on);
    let Some(rule) = rule_set.interval("inventory") else {
        return Ok(None);
    };
    let last_on = last.map(|it| it.body.on);
    let status = rule.interval.status(last_on, on, rule_set.year_start);
    let (state, words) = match status {
        DueStatus::InTime { until } => (
            DueState::InTime,
            format!(
                "in {}",
                crate::text::counted((until - on).num_days(), "day", "days")
            ),
        ),
        DueStatus::Overdue { since } => (DueState::Overdue, format!("overdue since {since}")),
        DueStatus::NeverDone => (DueState::NeverDone, "never done".to_owned()),
        DueStatus::BeforeUse { .. } => (DueState::BeforeUse, "before the next use".to_owned()),
    };
    Ok(Some(DueLine {
        item: "all sources".to_owned(),
        kind: "inventory".to_owned(),
        key: "inventory",
        what: "inventory".to_owned(),
        last: last_on,
        due: last_on.and_then(|it| rule.interval.due_after(it, rule_set.year_start)),
        state,
        words,
        rule: rule.cited(),
    }))
}
