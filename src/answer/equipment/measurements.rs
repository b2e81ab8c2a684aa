//! The measures of one item on one item of equipment, part by part.

use std::collections::HashMap;

use super::item_facts::last_periodic;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::calendar::Day;
use crate::ledger::{LineRow, UseRow};
use crate::quantity::Amount;
use crate::record::{RecordId, Words};
use crate::rule::{ChecklistItem, ItemMeasurement, is_wear};
use crate::wear::forecast::{Forecast, Pace, Terms};
use crate::wear::series::{Installation, Others, Point, Series, series};

/// The days from which the pace of cycles is taken.
const PACE_DAYS: i64 = 90;

/// What the computations are given of one checklist item of one item of equipment.
#[derive(Debug, Clone)]
pub(crate) struct Measurements {
    pub equipment: RecordId,
    pub item: ChecklistItem,
    pub measurement: ItemMeasurement,
    /// Lines with a measure, by day.
    pub lines: Vec<LineRow>,
    /// The parts as series, the earliest first.
    pub series: Vec<Series>,
    /// Cycles of the equipment up to the day asked for.
    pub cycles: i64,
    pub pace: Option<Pace>,
    pub next_inspection: Option<Day>,
    /// How the other parts scatter that are measured for the item; see `wear_peers`.
    pub others: Others,
    /// These parts, where one item is asked about.
    pub peers: Vec<Series>,
}

impl Measurements {
    /// Whether it is wear. A rate is not: it follows the source.
    pub fn wears(&self) -> bool {
        is_wear(self.measurement.unit.kind())
    }

    /// The part that is installed now.
    pub fn now(&self) -> Option<&Series> {
        self.series.last()
    }

    /// Cycles of the part that is installed now.
    pub fn cycles_now(&self) -> i64 {
        let from = self
            .now()
            .and_then(|it| it.installed)
            .map_or(0, |it| it.cycles);
        self.cycles.saturating_sub(from)
    }

    /// Where it is heading on a day.
    pub fn forecast(&self, today: Day) -> Option<Forecast> {
        let terms = Terms {
            measurement: &self.measurement,
            today,
            cycles_now: self.cycles_now(),
            pace: self.pace,
            next_inspection: self.next_inspection,
            others: self.others,
        };
        Some(self.now()?.forecast(&terms))
    }
}

/// The cycles of an item before the use of a day: its check comes first.
pub(crate) fn cycles_before(uses: &[UseRow], day: Day) -> i64 {
    uses.iter()
        .filter(|it| it.day < day)
        .filter_map(|it| it.exposures)
        .sum()
}

/// Every measured item of an item of equipment, as known on a day.
pub(crate) fn measurements_of(
    house: &OpenHouse<'_>,
    equipment: RecordId,
    uses: &[UseRow],
    on: Day,
) -> Result<Vec<Measurements>, AnswerError> {
    let (Some(body), Some(list)) = (
        house.names.equipment_body(equipment),
        house.maintenance.list_on(on),
    ) else {
        return Ok(Vec::new());
    };
    let of_type = list
        .list
        .items
        .iter()
        .filter(|it| it.on == body.kind.stored());
    let items: Vec<ChecklistItem> = of_type
        .map(|it| house.item_on(equipment, it, on))
        .filter(|it| it.measurement.is_some())
        .collect();
    if items.is_empty() {
        return Ok(Vec::new());
    }
    let mut by_key: HashMap<String, Vec<LineRow>> = HashMap::new();
    for line in house.snapshot.lines_of(equipment, Day::MIN, on)? {
        if line.of.item == equipment && line.value.is_some() {
            by_key.entry(line.line.clone()).or_default().push(line);
        }
    }
    let next_inspection = next_inspection(house, equipment, on)?;
    let (cycles, pace) = pace(uses, on);
    let mut all = Vec::new();
    for item in items {
        let Some(measurement) = item.measurement.clone() else {
            continue;
        };
        let lines = by_key.remove(&item.key).unwrap_or_default();
        let points: Vec<Point> = lines
            .iter()
            .filter_map(|line| point(line, &measurement, uses))
            .collect();
        let installations: Vec<Installation> = house
            .maintenance
            .parts_of(equipment)
            .iter()
            .filter(|it| it.body.component == item.component && it.body.installed_on <= on)
            .map(|it| Installation {
                day: it.body.installed_on,
                cycles: cycles_before(uses, it.body.installed_on),
                entry: it.entry,
            })
            .collect();
        all.push(Measurements {
            equipment,
            item,
            series: series(&points, &installations),
            measurement,
            lines,
            cycles,
            pace,
            next_inspection,
            others: Others::default(),
            peers: Vec::new(),
        });
    }
    Ok(all)
}

fn point(line: &LineRow, measurement: &ItemMeasurement, uses: &[UseRow]) -> Option<Point> {
    let amount = Amount::parse(line.value.as_deref()?, Some(measurement.unit)).ok()?;
    Some(Point {
        day: line.of.on,
        cycles: cycles_before(uses, line.of.on),
        count: amount.count(),
        entry: line.of.entry,
    })
}

/// When the next periodic inspection of an item falls due.
fn next_inspection(
    house: &OpenHouse<'_>,
    equipment: RecordId,
    on: Day,
) -> Result<Option<Day>, AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    let last = last_periodic(house, equipment, on)?;
    let rule = rule_set.interval("equipment-inspection");
    Ok(rule
        .zip(last)
        .and_then(|(rule, last)| rule.interval.due_after(last.on, rule_set.year_start)))
}

/// Cycles up to and with a day, and the pace of late.
fn pace(uses: &[UseRow], on: Day) -> (i64, Option<Pace>) {
    let since = on
        .checked_sub_days(chrono::Days::new(PACE_DAYS.unsigned_abs()))
        .unwrap_or(on);
    let cycles = cycles_before(uses, on.succ_opt().unwrap_or(on));
    let lately = cycles.saturating_sub(cycles_before(uses, since));
    let pace = (lately > 0).then_some(Pace {
        cycles: lately,
        days: PACE_DAYS,
    });
    (cycles, pace)
}
