//! The category of sources on a day, alone, in a device, and of all together. The ledger knows
//! which device holds a source, not where a device stands: all of them count as at one place too.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::here::plain;
use crate::answer::context::load::House;
use crate::calendar::{Day, TimeOfDay};
use crate::ledger::Stored;
use crate::record::{Equipment, Inventory, RecordId};
use crate::rule::RuleSet;
use crate::source::category::{Category, Part, below_from, category};
use crate::source::rate::Source;

/// How sources at one place stand.
#[derive(Debug, Clone, Serialize)]
pub struct PlaceLine {
    /// The device, `not in a device`, or `all together`.
    pub place: String,
    /// The ids of the sources.
    pub sources: Vec<String>,
    /// The category by the most that they may be on the day: an estimate. Nothing where it is
    /// not known.
    pub category: Option<&'static str>,
    /// The first day that begins with less than category 2.
    pub below_from: Option<Day>,
    /// Sources of which no fraction can be told.
    pub not_known: Vec<String>,
    /// Where the quantities stand.
    pub rule: String,
    #[serde(skip)]
    reached: Option<Category>,
}

impl PlaceLine {
    /// Whether they have to be taken for category 2 or more: what is not known is not below.
    pub(crate) fn counts_as_two(&self) -> bool {
        self.reached != Some(Category::Below)
    }

    /// In few words.
    pub fn short(&self) -> String {
        let unknown = match self.not_known.as_slice() {
            [] => String::new(),
            some => format!(" ({} not known)", some.join(", ")),
        };
        match (self.category, self.below_from) {
            (None, _) => format!("not known{unknown}"),
            (Some(word), Some(day)) if self.not_known.is_empty() => {
                format!("{word}, below from {day}")
            }
            (Some(word), _) if self.not_known.is_empty() => word.to_owned(),
            (Some(word), _) => format!("at least {word}{unknown}"),
        }
    }

    /// For a column: `2 to 2026-09-05`, the last day that begins with it.
    pub(crate) fn brief(&self) -> String {
        let at_least = match self.not_known.is_empty() {
            true => "",
            false => "at least ",
        };
        let last = self.below_from.and_then(|day| day.pred_opt());
        let last = last.map_or(String::new(), |day| format!(" to {day}"));
        match self.reached {
            None => "not known".to_owned(),
            Some(Category::Below) => "below 2".to_owned(),
            Some(Category::Two) => format!("{at_least}2{last}"),
            // The day of the table is that on which category 2 ends.
            Some(Category::One) => format!("{at_least}1"),
        }
    }

    /// With what it rests on.
    pub fn words(&self) -> String {
        format!(
            "{}: an estimate by decay, on the high side ({})",
            self.short(),
            self.rule
        )
    }
}

/// A source with its quantity; nothing where the register or the rule set does not tell.
pub(crate) fn part(house: &House, rule_set: &RuleSet, source: RecordId) -> Option<Part> {
    let body = house.names.equipment_body(source)?;
    let name = body.nuclide.as_ref()?;
    let from = rule_set.category(name)?.category_2;
    Some(Part {
        source: Source {
            nuclide: name.parse().ok()?,
            stated: body.activity_bq?,
            on: body.activity_on?,
        },
        from,
    })
}

/// How some sources stand on a day, by the activity at its beginning; nothing where the rule set
/// tells no categories, or there are no sources.
pub(crate) fn of_sources(
    house: &House,
    sources: &[RecordId],
    place: &str,
    on: Day,
) -> Result<Option<PlaceLine>, AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    if sources.is_empty() || !rule_set.has_categories() {
        return Ok(None);
    }
    let (mut parts, mut not_known, mut rules) = (Vec::new(), Vec::new(), Vec::new());
    for source in sources {
        match part(house, rule_set, *source) {
            Some(part) => parts.push(part),
            None => not_known.push(house.names.label(*source)),
        }
        let name = house.names.equipment_body(*source);
        let name = name.and_then(|it| it.nuclide.as_deref());
        let rule = name.and_then(|it| rule_set.category(it));
        rules.extend(rule.map(crate::rule::CategoryQuantity::cited));
    }
    rules.sort();
    rules.dedup();
    if rules.is_empty() {
        let key = &rule_set.key;
        rules.push(format!("{key} has no quantity of this nuclide"));
    }
    let known = category(&parts, on, TimeOfDay::MIN);
    let reached = match not_known.is_empty() {
        true => Some(known),
        false => Some(known).filter(|it| *it != Category::Below),
    };
    let mut ids: Vec<String> = sources.iter().map(|it| house.names.label(*it)).collect();
    ids.sort();
    let below_from = match not_known.is_empty() {
        true => below_from(&parts, on),
        false => None,
    };
    Ok(Some(PlaceLine {
        place: place.to_owned(),
        sources: ids,
        category: reached.map(Category::word),
        below_from,
        not_known,
        rule: rules.join("; "),
        reached,
    }))
}

/// Since when an item is gone: it was withdrawn, and an inventory since did not see it that saw it
/// before. A withdrawal alone may have left it on the shelf.
pub(crate) fn gone(house: &House, item: RecordId, on: Day) -> Option<Day> {
    let out = house.service.taken_out_by_hand(item, on)?;
    let inventories = house.maintenance.inventories();
    let saw = |it: &Stored<Inventory>| it.body.found.contains(&item.into());
    let known = inventories
        .iter()
        .filter(|it| it.body.on <= out.on)
        .any(saw);
    let last = inventories.iter().rfind(|it| it.body.on <= on)?;
    (known && last.body.on >= out.on && !saw(last)).then_some(out.on)
}

/// Whether it was transferred for good before a day and has not come back.
fn is_transferred(house: &House, item: RecordId, on: Day) -> bool {
    let mut all = house.maintenance.transfers().iter();
    let before = all.any(|it| it.body.item.number() == item && it.body.on < on);
    before && house.service.taken_out_by_hand(item, on).is_some()
}

/// The sources that are the licensee's to keep on a day: come, and not gone. One that is withdrawn
/// and still on the shelf counts.
pub(crate) fn kept_sources(house: &House, on: Day) -> Vec<RecordId> {
    let is_here = |(record, body): &(RecordId, &Equipment)| {
        let first = [body.received_on, body.in_service].into_iter().flatten();
        let came = first.min().is_none_or(|day| day <= on);
        came && !is_transferred(house, *record, on) && gone(house, *record, on).is_none()
    };
    let all = house.names.sources().filter(is_here);
    let mut all: Vec<RecordId> = all.map(|it| it.0).collect();
    all.sort_by_key(|it| house.names.label(*it));
    all
}

/// Every place of which the ledger knows, and all together.
///
/// # Errors
/// No rule set is in force.
pub fn places(house: &House, on: Day) -> Result<Vec<PlaceLine>, AnswerError> {
    let kept = kept_sources(house, on);
    let mut lines = Vec::new();
    let mut loose = Vec::new();
    for source in &kept {
        match house.maintenance.device_of(*source, on) {
            Some(device) => {
                let device = house.names.label(device);
                lines.extend(of_sources(house, &[*source], &device, on)?);
            }
            None => loose.push(*source),
        }
    }
    lines.sort_by(|a, b| a.place.cmp(&b.place));
    lines.extend(of_sources(house, &loose, "not in a device", on)?);
    if lines.len() > 1 {
        lines.extend(of_sources(house, &kept, TOGETHER, on)?);
    }
    Ok(lines)
}

/// Sources that count together on a day: those of one place on record. One of which nobody wrote
/// where it is kept may be at any of them; where no place is on record, all are as if at one.
pub(crate) fn by_store(house: &House, on: Day) -> Vec<(String, Vec<RecordId>)> {
    let kept = kept_sources(house, on);
    let mut stores: BTreeMap<String, (String, Vec<RecordId>)> = BTreeMap::new();
    let mut anywhere = Vec::new();
    for source in &kept {
        match house.maintenance.place_of(*source, on) {
            Some(place) => {
                let store = stores.entry(plain(place));
                let store = store.or_insert_with(|| (place.to_owned(), Vec::new()));
                store.1.push(*source);
            }
            None => anywhere.push(*source),
        }
    }
    if stores.is_empty() {
        return vec![(TOGETHER.to_owned(), kept)];
    }
    let all = stores.into_values().map(|(place, mut sources)| {
        sources.extend(&anywhere);
        (place, sources)
    });
    all.collect()
}

/// How the sources at each place on record stand; nothing where no place is on record.
pub(crate) fn stores(house: &House, on: Day) -> Result<Vec<PlaceLine>, AnswerError> {
    let mut lines = Vec::new();
    for (place, sources) in by_store(house, on) {
        if place != TOGETHER {
            lines.extend(of_sources(house, &sources, &format!("at {place}"), on)?);
        }
    }
    Ok(lines)
}

/// What is printed for all sources as one place.
pub(crate) const TOGETHER: &str = "all together";

/// The category of one source or of the one in a device, and beside it that of all together, in
/// words for people.
pub(crate) fn of_item(house: &House, item: RecordId, on: Day) -> Result<Vec<String>, AnswerError> {
    let kept = kept_sources(house, on);
    let held = house.maintenance.source_in(item, on).map(|it| it.0);
    let source = held.unwrap_or(item);
    if !kept.contains(&source) {
        return Ok(Vec::new());
    }
    let mut lines = Vec::new();
    let alone = of_sources(house, &[source], "", on)?;
    lines.extend(alone.map(|it| it.words()));
    if kept.len() > 1 {
        let all = of_sources(house, &kept, TOGETHER, on)?;
        let count = kept.len();
        lines.extend(
            all.map(|it| format!("{TOGETHER}, as if at one place ({count}): {}", it.short())),
        );
    }
    Ok(lines)
}
