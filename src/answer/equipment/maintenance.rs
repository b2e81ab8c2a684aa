//! What was known of the inspection and maintenance of things on a day: the checklist in force,
//! parts as installed, leak tests, inventories, source exchanges, servicing and defects that were
//! written down.

use std::collections::HashMap;
use std::sync::Arc;

use crate::answer::context::error::AnswerError;
use crate::answer::context::read_once::ReadOnce;
use crate::calendar::Day;
use crate::dose::checks::input::LastCheck;
use crate::ledger::{LineRow, Snapshot, Stored};
use crate::quantity::Activity;
use crate::record::{
    InstalledPart, Inventory, LeakPart, LeakTest, LineResult, ListAdoption, Loading, RecordId,
    ServiceReturn, Servicing, ServicingType, SourceCheck, SourceCheckType, Withdrawal,
    shows_repair,
};
use crate::rule::{Checklist, ChecklistItem, PartFigures, RuleSetProblems};

/// A checklist in force.
#[derive(Debug, Clone)]
pub(crate) struct ListInForce {
    /// The adoption.
    pub record: RecordId,
    /// Its entry.
    pub entry: i64,
    /// The first day.
    pub from: Day,
    /// The first day as it is told.
    pub told_from: Day,
    /// The list.
    pub list: Checklist,
}

/// A defect that an inspection wrote down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Defect {
    /// The line.
    pub line: LineRow,
    /// The first day's check that found the item good and names no repair: it clears nothing.
    pub good_without_repair: Option<Day>,
    /// The day on which the item was repaired and found good, or was returned.
    pub cleared_on: Option<Day>,
    /// The entry that says so.
    pub cleared_by: Option<i64>,
}

/// What an action begins with that takes an item out of service; the last is of older entries.
const OUT_OF_SERVICE: &[&[&str]] = &[
    &["removed", "from", "service"],
    &["out", "of", "service"],
    &["withdrawn"],
];

impl Defect {
    /// Whether what was done about it took the item out of service: its first words say so.
    pub fn withdraws(&self) -> bool {
        let action = self.line.action.as_deref().unwrap_or_default();
        let words = action.split(|it: char| !it.is_alphanumeric());
        let words: Vec<String> = words
            .filter(|it| !it.is_empty())
            .map(str::to_lowercase)
            .collect();
        let says = |it: &&[&str]| it.iter().eq(words.iter().take(it.len()));
        OUT_OF_SERVICE.iter().any(says)
    }
}

/// Loaded once for a question.
#[derive(Debug, Default)]
pub(crate) struct Maintenance {
    lists: Vec<ListInForce>,
    parts: HashMap<RecordId, Vec<Stored<InstalledPart>>>,
    leak_tests: HashMap<RecordId, Vec<Stored<LeakTest>>>,
    inventories: Vec<Stored<Inventory>>,
    loadings: Vec<Stored<Loading>>,
    source_checks: Vec<Stored<SourceCheck>>,
    transfers: Vec<Stored<Withdrawal>>,
    servicings: HashMap<RecordId, Vec<Stored<Servicing>>>,
    defects: HashMap<RecordId, Vec<Defect>>,
}

impl Maintenance {
    pub fn load(snapshot: &Snapshot<'_>) -> Result<Maintenance, AnswerError> {
        let mut maintenance = Maintenance {
            lists: load_lists(snapshot)?,
            inventories: snapshot.all::<Inventory>()?,
            loadings: snapshot.all::<Loading>()?,
            source_checks: snapshot.all::<SourceCheck>()?,
            transfers: snapshot.all::<Withdrawal>()?,
            ..Maintenance::default()
        };
        maintenance
            .inventories
            .sort_by_key(|it| (it.body.on, it.entry));
        maintenance
            .loadings
            .sort_by_key(|it| (it.body.on, it.entry));
        maintenance
            .source_checks
            .sort_by_key(|it| (it.body.on, it.entry));
        maintenance
            .transfers
            .retain(|it| it.body.transferred_to.is_some());
        maintenance
            .transfers
            .sort_by_key(|it| (it.body.on, it.entry));
        for it in snapshot.all::<InstalledPart>()? {
            let parts = maintenance
                .parts
                .entry(it.body.equipment.number())
                .or_default();
            parts.push(it);
        }
        for parts in maintenance.parts.values_mut() {
            parts.sort_by_key(|it| (it.body.installed_on, it.entry));
        }
        for it in snapshot.all::<LeakTest>()? {
            maintenance
                .leak_tests
                .entry(it.body.item.number())
                .or_default()
                .push(it);
        }
        for tests in maintenance.leak_tests.values_mut() {
            tests.sort_by_key(|it| (it.body.on, it.entry));
        }
        for it in snapshot.all::<Servicing>()? {
            let all = maintenance
                .servicings
                .entry(it.body.instrument.number())
                .or_default();
            all.push(it);
        }
        for all in maintenance.servicings.values_mut() {
            all.sort_by_key(|it| (it.body.on, it.entry));
        }
        maintenance.defects = maintenance.load_defects(snapshot)?;
        Ok(maintenance)
    }

    /// Every list as the house tells it: anew from each day on which other rules come into force
    /// while it is.
    pub fn tell(&mut self, rules_from: &[Day], tell: impl Fn(&mut Checklist, Day)) {
        let mut again: Vec<ListInForce> = Vec::new();
        for day in rules_from {
            let list = self.list_on(*day).filter(|it| it.from < *day);
            let known = again.iter().any(|it| it.told_from == *day);
            again.extend(list.filter(|_| !known).map(|it| ListInForce {
                told_from: *day,
                ..it.clone()
            }));
        }
        self.lists.extend(again);
        for list in &mut self.lists {
            tell(&mut list.list, list.told_from);
        }
    }

    /// The checklist in force on a day: of those adopted from that day or earlier the
    /// latest; of two from the same day, the one written later.
    pub fn list_on(&self, day: Day) -> Option<&ListInForce> {
        self.lists
            .iter()
            .filter(|it| it.told_from <= day)
            .max_by_key(|it| (it.from, it.entry, it.told_from))
    }

    /// The checklist of an adoption, as it is told on a day.
    pub fn list_of(&self, record: RecordId, day: Day) -> Option<&ListInForce> {
        let mine = || self.lists.iter().filter(|it| it.record == record);
        let told = mine().filter(|it| it.told_from <= day);
        let told = told.max_by_key(|it| it.told_from);
        told.or_else(|| mine().min_by_key(|it| it.told_from))
    }

    /// Every adopted list; more than once where it was told anew.
    pub fn lists(&self) -> &[ListInForce] {
        &self.lists
    }

    /// The parts that were ever installed to an item, by day.
    pub fn parts_of(&self, equipment: RecordId) -> &[Stored<InstalledPart>] {
        self.parts
            .get(&equipment)
            .map(Vec::as_slice)
            .unwrap_or_default()
    }

    /// Every defect about which an inspection says that the item was withdrawn.
    pub fn taken_out_by_inspection(&self) -> impl Iterator<Item = &Defect> {
        self.defects.values().flatten().filter(|it| it.withdraws())
    }

    /// An item of a list as it stands on one item: the figures of the part that was installed by
    /// that day win over the list's.
    pub fn item_on(&self, equipment: RecordId, item: &ChecklistItem, day: Day) -> ChecklistItem {
        let part = self
            .parts_of(equipment)
            .iter()
            .rfind(|it| it.body.component == item.component && it.body.installed_on <= day);
        let figures = part.and_then(|it| {
            let (nominal, limit) = it.body.figures()?;
            let mine = it.body.line.as_deref() == Some(item.key.as_str());
            mine.then_some(PartFigures {
                nominal,
                limit,
                entry: it.entry,
            })
        });
        match figures {
            Some(figures) => item.with_figures(figures),
            None => item.clone(),
        }
    }

    /// The last leak test on or before a day. One that says `less than` more than the
    /// limit proves nothing and has not passed.
    pub fn last_leak_test(
        &self,
        item: RecordId,
        part: LeakPart,
        on: Day,
        limit: Activity,
    ) -> Option<(LastCheck, &LeakTest)> {
        let all = self.leak_tests.get(&item)?;
        let last = all
            .iter()
            .rfind(|it| it.body.part == part && it.body.on <= on)?;
        let removable = last.body.removable_bq;
        let check = LastCheck {
            entry: last.entry,
            on: last.body.on,
            passed: removable < limit || (last.body.below && removable == limit),
        };
        Some((check, &last.body))
    }

    /// Every leak test of an item, by day.
    pub fn leak_tests_of(&self, item: RecordId) -> &[Stored<LeakTest>] {
        self.leak_tests
            .get(&item)
            .map(Vec::as_slice)
            .unwrap_or_default()
    }

    /// Everything that was done to an instrument, by day.
    pub fn servicings_of(&self, instrument: RecordId) -> &[Stored<Servicing>] {
        self.servicings
            .get(&instrument)
            .map(Vec::as_slice)
            .unwrap_or_default()
    }

    /// Every inventory, by day.
    pub fn inventories(&self) -> &[Stored<Inventory>] {
        &self.inventories
    }

    /// The source that a device holds on a day, with the entry that says so.
    pub fn source_in(&self, device: RecordId, on: Day) -> Option<(RecordId, i64)> {
        let last = self
            .loadings
            .iter()
            .rfind(|it| it.body.device.number() == device && it.body.on <= on)?;
        Some((last.body.source.number(), last.entry))
    }

    /// The device that holds a source on a day.
    pub fn device_of(&self, source: RecordId, on: Day) -> Option<RecordId> {
        let last = self
            .loadings
            .iter()
            .rfind(|it| it.body.source.number() == source && it.body.on <= on)?;
        let device = last.body.device;
        (self.source_in(device.number(), on)?.0 == source).then_some(device.number())
    }

    /// Every source exchange, by day.
    pub fn loadings(&self) -> &[Stored<Loading>] {
        &self.loadings
    }

    /// Every check of sources and report about them, by day.
    pub fn source_checks(&self) -> &[Stored<SourceCheck>] {
        &self.source_checks
    }

    /// Where a source is kept on a day, by the last record that says so.
    pub fn place_of(&self, source: RecordId, on: Day) -> Option<&str> {
        let says = |it: &&Stored<SourceCheck>| {
            let is_its = it.body.sources.contains(&source.into());
            it.body.kind == SourceCheckType::Stored && it.body.on <= on && is_its
        };
        self.source_checks.iter().rfind(says)?.body.place.as_deref()
    }

    /// Every withdrawal with a receiver, by day.
    pub fn transfers(&self) -> &[Stored<Withdrawal>] {
        &self.transfers
    }

    /// The last servicing of an instrument on or before a day, no battery change, after its
    /// last check. Of two on one day the order of the entries counts.
    pub fn serviced_since(
        &self,
        instrument: RecordId,
        checked: Option<LastCheck>,
        on: Day,
    ) -> Option<&Stored<Servicing>> {
        self.servicings.get(&instrument)?.iter().rfind(|it| {
            it.body.kind == ServicingType::Servicing
                && it.body.on <= on
                && checked.is_none_or(|last| (it.body.on, it.entry) > (last.on, last.entry))
        })
    }

    /// Every defect of an item, cleared or not.
    pub fn defects_of(&self, item: RecordId) -> &[Defect] {
        self.defects
            .get(&item)
            .map(Vec::as_slice)
            .unwrap_or_default()
    }

    /// Defects of an item that were written down on or before a day and not cleared by
    /// then. On the day of the defect itself the item may have been used before.
    pub fn open_defects(&self, item: RecordId, on: Day) -> impl Iterator<Item = &Defect> {
        self.defects
            .get(&item)
            .into_iter()
            .flatten()
            .filter(move |it| {
                it.line.of.on <= on && it.cleared_on.is_none_or(|cleared| cleared > on)
            })
    }

    /// Every defect with what ends it: a return to service, or a line that finds the item good
    /// and shows that it was repaired, by its own words, its occasion, a new part or a servicing.
    fn load_defects(
        &self,
        snapshot: &Snapshot<'_>,
    ) -> Result<HashMap<RecordId, Vec<Defect>>, AnswerError> {
        let mut all: HashMap<RecordId, Vec<Defect>> = HashMap::new();
        let lines = snapshot.defects()?;
        if lines.is_empty() {
            return Ok(all);
        }
        let returns = snapshot.all::<ServiceReturn>()?;
        for line in lines {
            let returned = returns
                .iter()
                .filter(|it| it.body.item.number() == line.of.item && it.body.on >= line.of.on)
                .map(|it| (it.body.on, it.entry))
                .min();
            let later = snapshot.lines_of_key(line.of.item, &line.line, line.of.on)?;
            let moment = |it: &LineRow| (it.of.on, it.of.at.clone(), it.of.entry);
            let good = || {
                let after = later.iter().filter(|it| moment(it) > moment(&line));
                after.filter(|it| it.result == LineResult::Good)
            };
            let shows = |it: &&LineRow| {
                shows_repair(it.result, it.of.occasion, it.action.as_deref())
                    || self.is_renewed(&line, it.of.on)
            };
            let repaired = good().find(shows).map(|it| (it.of.on, it.of.entry));
            let cleared = returned.into_iter().chain(repaired).min();
            all.entry(line.of.item).or_default().push(Defect {
                good_without_repair: good().find(|it| !shows(it)).map(|it| it.of.on),
                line,
                cleared_on: cleared.map(|it| it.0),
                cleared_by: cleared.map(|it| it.1),
            });
        }
        Ok(all)
    }

    /// Whether the part that an item of the list is about was replaced, or an instrument serviced,
    /// since a defect and by a day.
    fn is_renewed(&self, defect: &LineRow, by: Day) -> bool {
        let item = defect.of.item;
        let since = |on: Day| (defect.of.on..=by).contains(&on);
        let list = self.list_of(defect.of.list, defect.of.on);
        let line = list.and_then(|it| it.list.item(&defect.line));
        let of_part = |it: &&Stored<InstalledPart>| {
            line.is_some_and(|line| line.component == it.body.component)
        };
        let mut parts = self.parts_of(item).iter().filter(of_part);
        parts.any(|it| since(it.body.installed_on)) || self.is_serviced(item, (defect.of.on, by))
    }

    /// Whether an instrument was opened, repaired or adjusted between two days. A battery is no
    /// servicing.
    pub fn is_serviced(&self, instrument: RecordId, (first, last): (Day, Day)) -> bool {
        self.servicings_of(instrument).iter().any(|it| {
            it.body.kind == ServicingType::Servicing && (first..=last).contains(&it.body.on)
        })
    }
}

/// The text of an adopted checklist read.
fn read(text: &str) -> Result<Arc<Checklist>, RuleSetProblems> {
    static READ: ReadOnce<String, Arc<Checklist>> = ReadOnce::new();
    READ.of(text.to_owned(), || Checklist::parse(text).map(Arc::new))
}

fn load_lists(snapshot: &Snapshot<'_>) -> Result<Vec<ListInForce>, AnswerError> {
    snapshot
        .all::<ListAdoption>()?
        .into_iter()
        .map(|it| match read(&it.body.text) {
            Ok(list) => Ok(ListInForce {
                record: it.record,
                entry: it.entry,
                from: it.body.from,
                told_from: it.body.from,
                list: Checklist::clone(&list),
            }),
            Err(problems) => Err(AnswerError::Checklist {
                entry: it.entry,
                name: it.body.name,
                detail: problems.to_string(),
            }),
        })
        .collect()
}
