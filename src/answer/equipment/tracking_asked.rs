//! What the dated checks of sources and the reports about them hang on: a source that came or left,
//! a January with a tracked source, each day with sources of category 2 at one place. Nothing is
//! asked for of before the rule set asked for it, nor before the ledger began.

use std::collections::BTreeMap;

use chrono::{Datelike, Days};

use super::category::{kept_sources, of_sources};
use super::tracking::{Asked, PRESENCE, RECEIPT, RECONCILE, REPORT};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::House;
use crate::answer::dose::presence::stretches;
use crate::calendar::{Day, Span, next_business_day};
use crate::ledger::Stored;
use crate::record::{RecordId, SourceCheck, SourceCheckType as Type};
use crate::rule::{CheckKey, RuleSet, Tolerance};

/// The records that say that the tracking system is kept.
const TRACKED: &[Type] = &[
    Type::ReceiptReport,
    Type::TransferReport,
    Type::Reconciliation,
];

/// The records of a ledger as far as these duties go.
struct Tracking<'a> {
    house: &'a House,
    on: Day,
}

/// Everything that is asked for by a day, done or not, by key and day.
pub(crate) fn all_asked(house: &House, on: Day) -> Result<Vec<Asked>, AnswerError> {
    let tracking = Tracking { house, on };
    let mut all = tracking.receipts()?;
    all.extend(tracking.reports()?);
    all.extend(tracking.reconciliations()?);
    all.extend(tracking.presence()?);
    Ok(all)
}

/// When a source came. Where no receipt is on record, by the day on which it was here at the
/// latest, and whatever was done before may be of its receipt.
struct Came {
    source: RecordId,
    day: Day,
    seen_from: Day,
}

impl Tracking<'_> {
    fn rule(&self, key: CheckKey) -> Result<Option<&Tolerance>, AnswerError> {
        Ok(self.house.rule_set_on(self.on)?.tolerance(key.key()))
    }

    fn asked_from(&self, key: CheckKey, records: &[&Stored<SourceCheck>]) -> Option<Day> {
        let first = records.first().map(|it| it.body.on);
        let asks = |it: &RuleSet| it.tolerance(key.key()).is_some();
        self.house.asked_from(self.on, first, asks)
    }

    /// The records of some kinds up to the day, the earliest first.
    fn records(&self, kinds: &[Type]) -> Vec<&Stored<SourceCheck>> {
        let all = self.house.maintenance.source_checks().iter();
        all.filter(|it| it.body.on <= self.on && kinds.contains(&it.body.kind))
            .collect()
    }

    /// The first record about a source from a day on.
    fn first_of<'r>(
        records: &[&'r Stored<SourceCheck>],
        source: RecordId,
        from: Day,
    ) -> Option<&'r Stored<SourceCheck>> {
        let mine = |it: &&&Stored<SourceCheck>| {
            it.body.on >= from && it.body.sources.contains(&source.into())
        };
        records.iter().find(mine).copied()
    }

    /// The sources that came from a day on.
    fn came(&self, from: Day) -> Vec<Came> {
        let house = self.house;
        let mut came = Vec::new();
        for (source, body) in house.names.sources() {
            let mut loadings = house.maintenance.loadings().iter();
            let loaded = loadings.find(|it| it.body.source.number() == source);
            let loaded = loaded.map(|it| it.body.on);
            let (day, seen_from) = match body.received_on {
                Some(day) => (Some(day), day),
                None => (body.in_service.into_iter().chain(loaded).min(), Day::MIN),
            };
            let day = day.filter(|day| from <= *day && *day <= self.on);
            came.extend(day.map(|day| Came {
                source,
                day,
                seen_from,
            }));
        }
        came.sort_by_key(|it| (it.day, house.names.label(it.source)));
        came
    }

    /// Whether a source alone is tracked by its category on a day; what is not known is.
    fn is_tracked(&self, source: RecordId, day: Day) -> Result<bool, AnswerError> {
        let line = of_sources(self.house, &[source], "", day)?;
        Ok(line.is_some_and(|it| it.counts_as_two()))
    }

    fn once(
        &self,
        (key, what): (CheckKey, &'static str),
        source: RecordId,
        (since, due): (Day, Day),
        done: Option<&Stored<SourceCheck>>,
    ) -> Asked {
        Asked {
            items: vec![self.house.names.label(source)],
            key,
            what,
            since,
            due,
            done: done.map(|it| it.body.on),
            ended: None,
            minutes_late: None,
            is_kept: done.is_some(),
            entries: done.map(|it| it.entry).into_iter().collect(),
        }
    }

    /// Of every source, whatever its category: a package is surveyed by what it is labelled.
    fn receipts(&self) -> Result<Vec<Asked>, AnswerError> {
        let records = self.records(&[Type::ReceiptSurvey, Type::Lodged]);
        let from = self.asked_from(RECEIPT, &records);
        let (Some(rule), Some(from)) = (self.rule(RECEIPT)?, from) else {
            return Ok(Vec::new());
        };
        let hours = rule.hours().unwrap_or_default();
        let asked = self.came(from).into_iter().map(|it| {
            let done = Self::first_of(&records, it.source, it.seen_from);
            let over = done
                .and_then(|it| it.body.minutes())
                .map(|it| it - hours * 60);
            Asked {
                minutes_late: over.filter(|it| *it > 0),
                ..self.once(
                    (RECEIPT, "receipt survey"),
                    it.source,
                    (it.day, it.day),
                    done,
                )
            }
        });
        Ok(asked.collect())
    }

    fn reports(&self) -> Result<Vec<Asked>, AnswerError> {
        let Some(from) = self.asked_from(REPORT, &self.records(TRACKED)) else {
            return Ok(Vec::new());
        };
        let receipts = self.records(&[Type::ReceiptReport]);
        let transfers = self.records(&[Type::TransferReport]);
        let mut asked = Vec::new();
        for it in self.came(from) {
            if self.is_tracked(it.source, it.day)? {
                let what = (REPORT, "report of the receipt");
                let done = Self::first_of(&receipts, it.source, it.seen_from);
                let days = (it.day, next_business_day(it.day));
                asked.push(self.once(what, it.source, days, done));
            }
        }
        for it in self.house.maintenance.transfers() {
            let (source, day) = (it.body.item.number(), it.body.on);
            let is_source = self.house.names.sources().any(|it| it.0 == source);
            // An item that is no source has no quantity.
            if is_source && from <= day && day <= self.on && self.is_tracked(source, day)? {
                let what = (REPORT, "report of the transfer");
                let done = Self::first_of(&transfers, source, day);
                asked.push(self.once(what, source, (day, next_business_day(day)), done));
            }
        }
        Ok(asked)
    }

    /// One for each January in which a tracked source is kept.
    fn reconciliations(&self) -> Result<Vec<Asked>, AnswerError> {
        let by = self.rule(RECONCILE)?.and_then(Tolerance::by_day);
        let (Some(by), Some(from)) = (by, self.asked_from(RECONCILE, &self.records(TRACKED)))
        else {
            return Ok(Vec::new());
        };
        let done = self.records(&[Type::Reconciliation]);
        let mut asked = Vec::new();
        for year in from.year()..=self.on.year().saturating_add(1) {
            let due = by.first_day(year);
            let january = Day::from_ymd_opt(year, 1, 1).unwrap_or(due);
            if due < from || !self.tracks(january.max(from).min(self.on), due.min(self.on))? {
                continue;
            }
            let mine = done.iter().find(|it| it.body.on.year() == year);
            asked.push(Asked {
                items: vec!["all sources".to_owned()],
                key: RECONCILE,
                what: "yearly reconciliation",
                since: january,
                due,
                done: mine.map(|it| it.body.on),
                ended: None,
                minutes_late: None,
                is_kept: !done.is_empty(),
                entries: mine.map(|it| it.entry).into_iter().collect(),
            });
        }
        Ok(asked)
    }

    /// Whether a source was tracked on the first or the last day.
    fn tracks(&self, first: Day, last: Day) -> Result<bool, AnswerError> {
        for day in [first, last] {
            for source in kept_sources(self.house, day) {
                if self.is_tracked(source, day)? {
                    return Ok(true);
                }
            }
        }
        Ok(false)
    }

    /// From the day on which it is asked for, and from each check, to the next. Sources that wait
    /// for the same check are asked for together.
    fn presence(&self) -> Result<Vec<Asked>, AnswerError> {
        let days = self.rule(PRESENCE)?.and_then(Tolerance::days);
        let days = days.and_then(|it| u64::try_from(it).ok()).map(Days::new);
        let records = self.records(&[Type::Presence]);
        let from = self.asked_from(PRESENCE, &records);
        let (Some(days), Some(from)) = (days, from) else {
            return Ok(Vec::new());
        };
        let mut together: BTreeMap<Gap, Asked> = BTreeMap::new();
        for (source, spans) in stretches(self.house, from, self.on)? {
            let mine = records
                .iter()
                .filter(|it| it.body.sources.contains(&source.into()));
            let mine: Vec<(Day, i64)> = mine.map(|it| (it.body.on, it.entry)).collect();
            for span in spans {
                for gap in self.gaps(&mine, span, days) {
                    let asked = together.entry(gap).or_insert_with(|| gap.asked());
                    asked.items.push(self.house.names.label(source));
                    asked.entries.extend(gap.entries.into_iter().flatten());
                }
            }
        }
        let mut all: Vec<Asked> = together.into_values().collect();
        for it in &mut all {
            it.items.sort();
            it.entries.sort_unstable();
            it.entries.dedup();
        }
        Ok(all)
    }

    /// Where one check did not follow the other in time, in days on which it was asked for.
    fn gaps(&self, checks: &[(Day, i64)], span: Span, days: Days) -> Vec<Gap> {
        let mut times = vec![(span.first, None)];
        let within = checks.iter().filter(|it| span.contains(it.0));
        times.extend(within.map(|it| (it.0, Some(it.1))));
        let mut gaps = Vec::new();
        for (at, (since, entry)) in times.iter().enumerate() {
            let Some(due) = since.checked_add_days(days) else {
                continue;
            };
            let next = times.get(at + 1);
            // What has left or has decayed by the day on which it is due is not looked for.
            if next.is_some_and(|it| it.0 <= due) || due.min(self.on) > span.last {
                continue;
            }
            let ended = span.last.succ_opt().filter(|it| *it <= self.on);
            gaps.push(Gap {
                since: *since,
                due,
                done: next.map(|it| it.0),
                ended: ended.filter(|_| next.is_none()),
                is_kept: !checks.is_empty(),
                entries: [*entry, next.and_then(|it| it.1)],
            });
        }
        gaps
    }
}

/// A time without a check of presence.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Gap {
    since: Day,
    due: Day,
    done: Option<Day>,
    ended: Option<Day>,
    is_kept: bool,
    entries: [Option<i64>; 2],
}

impl Gap {
    fn asked(&self) -> Asked {
        Asked {
            items: Vec::new(),
            key: PRESENCE,
            what: "presence check",
            since: self.since,
            due: self.due,
            done: self.done,
            ended: self.ended,
            minutes_late: None,
            is_kept: self.is_kept,
            entries: Vec::new(),
        }
    }
}
