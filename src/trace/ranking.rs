//! Over all events: what each item caught and let through, and how often what fails.

use std::collections::BTreeMap;

use serde::Serialize;

use super::record::RecordWord;
use crate::calendar::Day;
use crate::record::{Coverage, RecordId};
use crate::stat::interval::{Bounds, Side, count, share};

/// How sure the intervals are: two-sided.
pub const CONFIDENCE: f64 = 0.95;

/// Said before any figure.
pub const FEW_PROVE_LITTLE: &str = "\
Few events prove little: read the intervals, not the shares. An item that let nothing through \
may never have been needed.";

/// One defect that an inspection wrote down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DefectFact {
    /// The item.
    pub equipment: RecordId,
    /// What it is.
    pub on: String,
    /// The item's key.
    pub item: String,
    /// The item's component.
    pub component: String,
    /// The day.
    pub day: Day,
    /// The inspection's entry.
    pub entry: i64,
    /// The day on which it was cleared.
    pub cleared_on: Option<Day>,
    /// The day on which the component that had it was installed.
    pub installed: Option<Day>,
}

/// One event, as far as the ranking needs it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EventFact {
    /// Its name.
    pub name: String,
    /// Its day.
    pub day: Day,
    /// Whether something that people did is among its causes.
    pub is_human: bool,
    /// Each component that failed, once known.
    pub causes: Vec<CauseFact>,
    /// The verdicts.
    pub items: Vec<ItemFact>,
}

/// What failed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CauseFact {
    /// The item.
    pub equipment: RecordId,
    /// What it is.
    pub on: String,
    /// The component.
    pub component: String,
    /// The key of the failure mode.
    pub failure: String,
}

/// The two words of one item in one event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ItemFact {
    /// What it looks at.
    pub on: String,
    /// Its key.
    pub item: String,
    /// Whether it could have shown it.
    pub coverage: Coverage,
    /// Whether the RSO concluded that.
    pub concluded: bool,
    /// What the record shows.
    pub record: RecordWord,
}

/// What one item did over all events.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ItemRank {
    /// What it looks at.
    pub on: String,
    /// Its key.
    pub item: String,
    /// Defects that it caught before anything happened.
    pub caught: u64,
    /// Failures that it could have shown and that got past it.
    pub let_through: u64,
    /// Of these, how many rest on the checklist's data, not concluded by the RSO.
    pub not_concluded: u64,
    /// Events at which it had caught the defect and the equipment was used all the same; the
    /// defect is among those caught.
    pub used_all_the_same: u64,
    /// Events for which it is not established whether it could have shown them: not counted.
    pub open: u64,
    /// Caught, of those caught and let through.
    pub share: Option<f64>,
    /// The Clopper-Pearson interval of that share.
    pub interval: Option<Bounds>,
}

/// How often one failure mode happened on one kind of equipment.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FailureRate {
    /// The kind of thing.
    pub on: String,
    /// The failure mode.
    pub failure: String,
    /// How many events.
    pub events: u64,
    /// Shifts on which such a thing was used, where sheets tell it.
    pub shifts: Option<u64>,
    /// Events per 1 000 shifts.
    pub per_thousand: Option<f64>,
    /// Garwood's exact Poisson interval of that rate.
    pub interval: Option<Bounds>,
}

/// The ranking.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ranking {
    /// Said first.
    pub first: &'static str,
    /// How many events there are.
    pub events: usize,
    /// How many of them have no cause yet and are in no rate.
    pub without_cause: usize,
    /// The items, those that let most through first.
    pub items: Vec<ItemRank>,
    /// The failure modes, the most frequent first.
    pub rates: Vec<FailureRate>,
}

/// Whether a defect was only found because of an event: on the component that failed, or on any
/// where no cause of that is known, from the event on, at the part that was installed then.
fn is_aftermath(defect: &DefectFact, event: &EventFact, all_equipment: &[RecordId]) -> bool {
    let is = |it: &CauseFact| it.equipment == defect.equipment && it.component == defect.component;
    let same = match event.causes.as_slice() {
        [] => all_equipment.contains(&defect.equipment),
        causes => causes.iter().any(is),
    };
    let reinstalled = defect
        .installed
        .is_some_and(|installed| installed > event.day);
    same && !reinstalled && defect.day >= event.day
}

/// Ranks items and failure modes. `items` gives the equipment of an event by its name; `shifts`
/// the number of shifts on which a kind of thing was used.
pub fn ranking(
    events: &[EventFact],
    defects: &[DefectFact],
    all_equipment: impl Fn(&str) -> Vec<RecordId>,
    shifts: impl Fn(&str) -> Option<u64>,
) -> Ranking {
    let involved: Vec<(&EventFact, Vec<RecordId>)> = events
        .iter()
        .map(|it| (it, all_equipment(&it.name)))
        .collect();
    let mut items: BTreeMap<(String, String), ItemRank> = BTreeMap::new();
    let mut ordered: Vec<&DefectFact> = defects.iter().collect();
    ordered.sort_by_key(|it| (it.day, it.entry));
    // A defect that stays open is written down at each check and was caught once.
    let mut open: Vec<&DefectFact> = Vec::new();
    for defect in ordered {
        let again = open.iter().any(|it| {
            (it.equipment, &it.item) == (defect.equipment, &defect.item)
                && it.cleared_on.is_none_or(|cleared| cleared > defect.day)
        });
        let after = involved
            .iter()
            .any(|(event, all_equipment)| is_aftermath(defect, event, all_equipment));
        open.push(defect);
        if !again && !after {
            rank(&mut items, &defect.on, &defect.item).caught += 1;
        }
    }
    // What was inactive was asked to catch nothing.
    let active = |it: &&ItemFact| it.record != RecordWord::Inactive;
    for it in events.iter().flat_map(|event| &event.items).filter(active) {
        let through = u64::from(it.record != RecordWord::KnownDefectUsed);
        let one = match it.coverage {
            Coverage::CanDetect | Coverage::NotEstablished => rank(&mut items, &it.on, &it.item),
            _ => continue,
        };
        if it.coverage == Coverage::NotEstablished {
            one.open += 1;
            continue;
        }
        one.let_through += through;
        one.not_concluded += through * u64::from(!it.concluded);
        one.used_all_the_same += 1 - through;
    }
    let mut items: Vec<ItemRank> = items.into_values().map(with_share).collect();
    items.sort_by(|a, b| {
        let key = |it: &ItemRank| (std::cmp::Reverse(it.let_through), it.caught);
        (key(a), &a.on, &a.item).cmp(&(key(b), &b.on, &b.item))
    });
    Ranking {
        first: FEW_PROVE_LITTLE,
        events: events.len(),
        without_cause: events
            .iter()
            .filter(|it| it.causes.is_empty() && !it.is_human)
            .count(),
        items,
        rates: rates(events, shifts),
    }
}

fn rank<'r>(
    items: &'r mut BTreeMap<(String, String), ItemRank>,
    on: &str,
    item: &str,
) -> &'r mut ItemRank {
    items
        .entry((on.to_owned(), item.to_owned()))
        .or_insert_with(|| ItemRank {
            on: on.to_owned(),
            item: item.to_owned(),
            caught: 0,
            let_through: 0,
            not_concluded: 0,
            used_all_the_same: 0,
            open: 0,
            share: None,
            interval: None,
        })
}

fn with_share(mut item: ItemRank) -> ItemRank {
    let all = item.caught + item.let_through;
    item.interval = share(item.caught, all, CONFIDENCE, Side::Both).ok();
    item.share = (all > 0).then(|| item.caught as f64 / all as f64);
    item
}

fn rates(events: &[EventFact], shifts: impl Fn(&str) -> Option<u64>) -> Vec<FailureRate> {
    let mut counted: BTreeMap<(&str, &str), u64> = BTreeMap::new();
    for cause in events.iter().flat_map(|it| &it.causes) {
        *counted.entry((&cause.on, &cause.failure)).or_default() += 1;
    }
    let mut rates: Vec<FailureRate> = counted
        .into_iter()
        .map(|((on, failure), events)| {
            let shifts = shifts(on).filter(|it| *it > 0);
            let per = |number: f64| shifts.map(|it| number * 1000.0 / it as f64);
            let bounds = count(events, CONFIDENCE, Side::Both).ok();
            FailureRate {
                on: on.to_owned(),
                failure: failure.to_owned(),
                events,
                shifts,
                per_thousand: per(events as f64),
                interval: bounds.and_then(|it| {
                    Some(Bounds {
                        lower: per(it.lower)?,
                        upper: per(it.upper)?,
                    })
                }),
            }
        })
        .collect();
    rates.sort_by_key(|it| std::cmp::Reverse(it.events));
    rates
}
