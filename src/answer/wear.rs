//! How parts wear: measures of one item on one fitted part, and where they are heading.

use std::collections::HashMap;

use serde::Serialize;

use super::error::AnswerError;
use super::inactive::inactive_on;
use super::inactive_item::InactiveItem;
use super::item_facts::last_periodic;
use super::load::House;
use super::wear_peers::{foreseeable, measures_beside, pool};
use crate::calendar::Day;
use crate::ledger::{LineRow, Snapshot, UseRow};
use crate::quantity::Amount;
use crate::record::{RecordId, Words};
use crate::rule::{ChecklistItem, ItemMeasure, is_wear};
use crate::wear::forecast::{Forecast, Pace, Terms};
use crate::wear::foreseen::Foreseeable;
use crate::wear::series::{Fitting, Others, Point, Series, series};

/// The days from which the pace of cycles is taken.
const PACE_DAYS: i64 = 90;

/// One item on the part that is fitted now.
#[derive(Debug, Clone, Serialize)]
pub struct WearLine {
    /// The equipment.
    pub equipment: String,
    /// The item's key in the checklist.
    pub line: String,
    /// Which part.
    pub component: String,
    /// When the part was fitted, where that is on record.
    pub fitted_on: Option<Day>,
    /// How many measures the part has.
    pub points: usize,
    /// The last measure.
    pub last: Option<String>,
    /// Its day.
    pub last_on: Option<Day>,
    /// The limit, with its sense.
    pub limit: String,
    /// Exposures on sheets since the part was fitted: at least so many cycles.
    pub cycles_at_least: i64,
    /// When the next inspection that measures it falls due.
    pub next_inspection: Option<Day>,
    /// Where it is heading: an estimate.
    pub forecast: Forecast,
    /// Whose the limit is, where it is not the list's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit_of: Option<String>,
    /// Where the item comes from.
    pub basis: String,
}

/// One measure as people read it.
#[derive(Debug, Clone, Serialize)]
pub struct WearPoint {
    /// The day.
    pub on: Day,
    /// Cycles since the part was fitted, at least.
    pub cycles_at_least: i64,
    /// As written.
    pub value: String,
    /// Good, measured or defect, as written.
    pub result: String,
    /// Who looked.
    pub by: String,
    /// The inspection's entry.
    pub entry: i64,
}

/// One fitted part with its measures.
#[derive(Debug, Clone, Serialize)]
pub struct PartSeries {
    /// When it was fitted, where that is on record.
    pub fitted_on: Option<Day>,
    /// When the next took its place.
    pub ended: Option<Day>,
    /// Its measures.
    pub points: Vec<WearPoint>,
}

/// One item of one piece of equipment, all its parts.
#[derive(Debug, Clone, Serialize)]
pub struct ItemWear {
    /// The part that is fitted now.
    #[serde(flatten)]
    pub now: WearLine,
    /// Every part, the earliest first.
    pub parts: Vec<PartSeries>,
    /// From when on the limit of the part that is fitted now was to be foreseen.
    pub foreseeable: Option<Foretold>,
    /// The same in words, or that it was not, or that too few measures tell.
    pub foreseeable_words: String,
}

/// The first measure from which on every forecast warned and the line led to the limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Foretold {
    /// Its day.
    pub on: Day,
    /// The inspection's entry.
    pub entry: i64,
}

/// The wear of one piece of equipment.
#[derive(Debug, Clone, Serialize)]
pub struct WearAnswer {
    /// The equipment.
    pub equipment: String,
    /// The day.
    pub on: Day,
    /// Its items.
    pub items: Vec<ItemWear>,
    /// Items that measure and have no figures.
    pub inactive: Vec<InactiveItem>,
    /// The list's caution.
    pub confirm: String,
}

/// The wear of everything that is measured.
#[derive(Debug, Clone, Serialize)]
pub struct WearList {
    /// The day.
    pub on: Day,
    /// The items, the most pressing first.
    pub lines: Vec<WearLine>,
    /// Items that measure and have no figures.
    pub inactive: Vec<InactiveItem>,
    /// The list's caution.
    pub confirm: String,
}

/// What the computations are given of one item of one piece.
#[derive(Debug, Clone)]
pub(super) struct Measures {
    pub equipment: RecordId,
    pub item: ChecklistItem,
    pub measure: ItemMeasure,
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
    /// These parts, where one piece is asked about.
    pub peers: Vec<Series>,
}

impl Measures {
    /// Whether it is wear. A rate is not: it follows the source.
    pub fn wears(&self) -> bool {
        is_wear(self.measure.unit.kind())
    }

    /// The part that is fitted now.
    pub fn now(&self) -> Option<&Series> {
        self.series.last()
    }

    /// Cycles of the part that is fitted now.
    pub fn cycles_now(&self) -> i64 {
        let from = self
            .now()
            .and_then(|it| it.fitted)
            .map_or(0, |it| it.cycles);
        self.cycles.saturating_sub(from)
    }

    /// Where it is heading on a day.
    pub fn forecast(&self, today: Day) -> Option<Forecast> {
        let terms = Terms {
            measure: &self.measure,
            today,
            cycles_now: self.cycles_now(),
            pace: self.pace,
            next_inspection: self.next_inspection,
            others: self.others,
        };
        Some(self.now()?.forecast(&terms))
    }
}

/// The cycles of a piece before the use of a day: its check comes first.
fn cycles_before(uses: &[UseRow], day: Day) -> i64 {
    uses.iter()
        .filter(|it| it.day < day)
        .filter_map(|it| it.exposures)
        .sum()
}

/// Every measured item of a piece of equipment, as known on a day.
pub(super) fn measures_of(
    snapshot: &Snapshot<'_>,
    house: &House,
    equipment: RecordId,
    uses: &[UseRow],
    on: Day,
) -> Result<Vec<Measures>, AnswerError> {
    let (Some(body), Some(list)) = (
        house.names.equipment_body(equipment),
        house.upkeep.list_on(on),
    ) else {
        return Ok(Vec::new());
    };
    let of_sort = list
        .list
        .items
        .iter()
        .filter(|it| it.on == body.sort.stored());
    let items: Vec<ChecklistItem> = of_sort
        .map(|it| house.item_on(equipment, it, on))
        .filter(|it| it.measure.is_some())
        .collect();
    if items.is_empty() {
        return Ok(Vec::new());
    }
    let mut by_key: HashMap<String, Vec<LineRow>> = HashMap::new();
    for line in snapshot.lines_of(equipment, Day::MIN, on)? {
        if line.of.item == equipment && line.value.is_some() {
            by_key.entry(line.line.clone()).or_default().push(line);
        }
    }
    let next_inspection = next_inspection(snapshot, house, equipment, on)?;
    let (cycles, pace) = pace(uses, on);
    let mut all = Vec::new();
    for item in items {
        let Some(measure) = item.measure.clone() else {
            continue;
        };
        let lines = by_key.remove(&item.key).unwrap_or_default();
        let points: Vec<Point> = lines
            .iter()
            .filter_map(|line| point(line, &measure, uses))
            .collect();
        let fittings: Vec<Fitting> = house
            .upkeep
            .parts_of(equipment)
            .iter()
            .filter(|it| it.body.component == item.component && it.body.fitted_on <= on)
            .map(|it| Fitting {
                day: it.body.fitted_on,
                cycles: cycles_before(uses, it.body.fitted_on),
                entry: it.entry,
            })
            .collect();
        all.push(Measures {
            equipment,
            item,
            series: series(&points, &fittings),
            measure,
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

fn point(line: &LineRow, measure: &ItemMeasure, uses: &[UseRow]) -> Option<Point> {
    let amount = Amount::parse(line.value.as_deref()?, Some(measure.unit)).ok()?;
    Some(Point {
        day: line.of.on,
        cycles: cycles_before(uses, line.of.on),
        count: amount.count(),
        entry: line.of.entry,
    })
}

/// When the next periodic inspection of a piece falls due.
fn next_inspection(
    snapshot: &Snapshot<'_>,
    house: &House,
    equipment: RecordId,
    on: Day,
) -> Result<Option<Day>, AnswerError> {
    let scheme = house.scheme_on(on)?;
    let last = last_periodic(snapshot, house, equipment, on)?;
    let rule = scheme.interval("equipment-inspection");
    Ok(rule
        .zip(last)
        .and_then(|(rule, last)| rule.interval.due_after(last.on, scheme.year_start)))
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

fn wear_line(house: &House, it: &Measures, on: Day) -> Option<WearLine> {
    let now = it.now()?;
    let last = now.points.last();
    let entry = last.map(|it| it.entry);
    let value = it
        .lines
        .iter()
        .rfind(|line| Some(line.of.entry) == entry)
        .and_then(|line| line.value.clone());
    Some(WearLine {
        equipment: house.names.label(it.equipment),
        line: it.item.key.clone(),
        component: it.item.component.clone(),
        fitted_on: now.fitted.map(|it| it.day),
        points: now.points.len(),
        last: value,
        last_on: last.map(|it| it.day),
        limit: it.measure.limit_plain(),
        cycles_at_least: it.cycles_now(),
        next_inspection: it.next_inspection,
        forecast: it.forecast(on)?,
        limit_of: it.measure.limit_of(),
        basis: it.item.basis.clone(),
    })
}

/// The wear of every piece in service that is measured, the most pressing first.
pub fn wear_list(snapshot: &Snapshot<'_>, house: &House, on: Day) -> Result<WearList, AnswerError> {
    let (mut all, mut inactive) = (Vec::new(), Vec::new());
    let uses = snapshot.uses_by_item(on)?;
    for item in house.names.items() {
        if house.names.in_service(item).is_some_and(|from| from > on) {
            continue;
        }
        let mine = uses.get(&item).map(Vec::as_slice).unwrap_or_default();
        all.extend(measures_of(snapshot, house, item, mine, on)?);
        inactive.extend(inactive_on(snapshot, house, item, on)?);
    }
    pool(&mut all, on);
    let wearing = all.iter().filter(|it| it.wears());
    let mut lines: Vec<WearLine> = wearing.filter_map(|it| wear_line(house, it, on)).collect();
    let day = |it: &WearLine| it.forecast.earliest.map(|it| it.day);
    lines.sort_by_key(|it| {
        (
            !it.forecast.warns,
            day(it).is_none(),
            day(it),
            it.equipment.clone(),
            it.line.clone(),
        )
    });
    Ok(WearList {
        on,
        lines,
        inactive,
        confirm: confirm(house, on),
    })
}

pub(super) fn confirm(house: &House, on: Day) -> String {
    let list = house.checklist_on(on);
    list.map(|(_, list)| list.confirm.clone())
        .unwrap_or_default()
}

/// The wear of one piece of equipment, part after part.
pub fn wear_of(
    snapshot: &Snapshot<'_>,
    house: &House,
    id: &str,
    on: Day,
) -> Result<WearAnswer, AnswerError> {
    let equipment = house.names.equipment(id)?;
    if house.checklist_on(on).is_none() {
        return Err(AnswerError::NoChecklist { day: on });
    }
    let mut items = Vec::new();
    let uses = snapshot.uses_by_item(on)?;
    let all = measures_beside(snapshot, house, equipment.number(), &uses, on)?;
    for it in all.into_iter().filter(Measures::wears) {
        let Some(now) = wear_line(house, &it, on) else {
            continue;
        };
        let parts = it
            .series
            .iter()
            .map(|part| PartSeries {
                fitted_on: part.fitted.map(|it| it.day),
                ended: part.ended,
                points: part
                    .points
                    .iter()
                    .filter_map(|point| wear_point(house, &it, point))
                    .collect(),
            })
            .collect();
        let told = foreseeable(house, &it, on)?;
        let foreseeable = match told {
            Foreseeable::Since(point) => Some(Foretold {
                on: point.day,
                entry: point.entry,
            }),
            Foreseeable::TooFew | Foreseeable::No => None,
        };
        items.push(ItemWear {
            now,
            parts,
            foreseeable,
            foreseeable_words: told.words(),
        });
    }
    Ok(WearAnswer {
        equipment: house.names.label(equipment.number()),
        on,
        items,
        inactive: inactive_on(snapshot, house, equipment.number(), on)?,
        confirm: confirm(house, on),
    })
}

fn wear_point(house: &House, it: &Measures, point: &Point) -> Option<WearPoint> {
    let line = it.lines.iter().find(|line| line.of.entry == point.entry)?;
    let by = line.of.worker.map(|worker| house.names.label(worker));
    Some(WearPoint {
        on: point.day,
        cycles_at_least: point.cycles,
        value: line.value.clone().unwrap_or_default(),
        result: line.result.word().to_owned(),
        by: by.or_else(|| line.of.looked.clone()).unwrap_or_default(),
        entry: point.entry,
    })
}
