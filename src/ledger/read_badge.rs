//! Reading badges with what became of them and what was reported, as rows: a
//! crew's year has thousands, and their bodies need not be parsed for a sum.

use std::collections::HashMap;

use rusqlite::params;

use super::LedgerError;
use super::read::Snapshot;
use crate::calendar::Day;
use crate::quantity::Dose;
use crate::record::{BadgeChange, BadgeType, Outcome, RecordId, Words};

/// What a result says of one quantity.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ValueRow {
    /// Deep, lens, shallow or extremity.
    pub quantity: String,
    /// As the report has it.
    pub written: String,
    /// Whether it is a code for less than can be measured.
    pub below: bool,
    /// The dose; zero where below.
    pub dose: Dose,
    /// The least that the processor reports.
    pub minimum: Option<Dose>,
}

/// One result of a badge.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ResultRow {
    /// The entry that says it.
    pub entry: i64,
    /// The result's record.
    pub record: RecordId,
    /// The processor's number of the report.
    pub report: String,
    /// The report's date.
    pub reported_on: Day,
    /// The processor's own deep dose of the year to date.
    pub year_to_date: Option<Dose>,
    /// What it says, a quantity.
    pub values: Vec<ValueRow>,
    /// The entry of its acceptance.
    pub accepted: Option<i64>,
}

/// One badge for its wear period.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadgeRow {
    /// The entry that says it.
    pub entry: i64,
    /// The badge's record.
    pub record: RecordId,
    /// The number on it.
    pub badge: String,
    /// Whole body, extremity, control.
    pub kind: BadgeType,
    /// Who wears it.
    pub worker: Option<RecordId>,
    /// Another employer whose badge it is.
    pub employer: Option<String>,
    /// First day of wear.
    pub first_day: Day,
    /// Last day of wear, as planned.
    pub last_day: Day,
    /// Of one read on demand: the read before its first day.
    pub last_read: Option<Day>,
    /// Whether it is read on demand and goes to no processor.
    pub on_demand: bool,
    /// Of another employer's badge: whether it measured the same dose as ours.
    pub same_dose: Option<bool>,
    /// What became of it, by day.
    pub changes: Vec<(BadgeChange, Day, i64)>,
    /// Its results, by entry.
    pub results: Vec<ResultRow>,
}

impl BadgeRow {
    /// The day of the read that ended it, of one read on demand.
    pub fn read_on(&self) -> Option<Day> {
        let days = self.results.iter().map(|it| it.reported_on);
        days.max().filter(|_| self.on_demand)
    }

    /// Of one read on demand: the day from which the interval to its next read runs.
    pub fn read_from(&self) -> Option<Day> {
        self.on_demand
            .then(|| self.last_read.unwrap_or(self.first_day))
    }

    /// Its last day of wear, as planned; of one read on demand, its read before that.
    pub fn planned_last(&self) -> Day {
        let read = self.read_on().map(|it| it.max(self.first_day));
        read.map_or(self.last_day, |it| it.min(self.last_day))
    }
}

/// In force at `?1`, for a table of this alias.
fn in_force(alias: &str) -> String {
    format!("{alias}.entry <= ?1 AND ({alias}.ended_by IS NULL OR {alias}.ended_by > ?1)")
}

/// All badges of the worker `?4`, or everybody's that could have been worn on some of the days
/// `?2` to `?3`: as planned, taken off late, or never taken off. Which badge a shift was worn with
/// is resolved from all of a person's badges, which are few.
fn chosen(worker: Option<RecordId>) -> &'static str {
    match worker {
        Some(_) => "b.worker = ?4 AND ?2 <= ?3",
        None => {
            "b.first_day <= ?3 AND ?4 IS NULL AND (b.last_day >= ?2
               OR b.record IN (SELECT late.badge FROM badge_event AS late WHERE late.on_day >= ?2)
               OR NOT EXISTS (SELECT 1 FROM badge_event AS any WHERE any.badge = b.record))"
        }
    }
}

impl Snapshot<'_> {
    /// The entries of results of badges that nobody was issued, by their number, except those
    /// that somebody ruled not to count.
    pub fn results_of_nobody(&self) -> Result<Vec<i64>, LedgerError> {
        let out: Vec<i64> = self
            .held()?
            .into_iter()
            .filter(|it| {
                it.disposition.as_ref().map(|it| it.outcome) == Some(Outcome::DoesNotCount)
            })
            .map(|it| it.entry)
            .collect();
        let mut statement = self.conn().prepare_cached(&format!(
            "SELECT r.entry FROM badge_result AS r WHERE r.badge IS NULL AND {} ORDER BY r.entry",
            in_force("r")
        ))?;
        let rows = statement.query_map([self.known_at()], |row| row.get(0))?;
        let mut entries: Vec<i64> = rows.collect::<Result<_, _>>()?;
        entries.retain(|entry| !out.contains(entry));
        Ok(entries)
    }

    /// The badges of one worker, or everybody's that could have been worn on some of these days,
    /// by first day.
    pub fn badges(
        &self,
        worker: Option<RecordId>,
        first: Day,
        last: Day,
    ) -> Result<Vec<BadgeRow>, LedgerError> {
        let sql = format!(
            "SELECT b.entry, b.record, b.badge, b.sort, b.worker, b.employer, b.first_day,
                    b.last_day, b.last_read, b.on_demand IS 1, b.same_dose
             FROM badge AS b WHERE {} AND {} ORDER BY b.first_day, b.entry",
            chosen(worker),
            in_force("b")
        );
        let mut statement = self.conn().prepare_cached(&sql)?;
        let mut rows = statement.query(params![self.known_at(), first, last, worker])?;
        let mut badges = Vec::new();
        while let Some(row) = rows.next()? {
            let (kind, first_day): (String, Day) = (row.get(3)?, row.get(6)?);
            if self.is_later(first_day) {
                continue;
            }
            badges.push(BadgeRow {
                entry: row.get(0)?,
                record: row.get(1)?,
                badge: row.get(2)?,
                kind: BadgeType::from_stored(&kind).unwrap_or(BadgeType::WholeBody),
                worker: row.get(4)?,
                employer: row.get(5)?,
                first_day,
                last_day: row.get(7)?,
                last_read: row.get(8)?,
                on_demand: row.get(9)?,
                same_dose: row.get(10)?,
                changes: Vec::new(),
                results: Vec::new(),
            });
        }
        let places: HashMap<RecordId, usize> = badges
            .iter()
            .enumerate()
            .map(|(at, it)| (it.record, at))
            .collect();
        self.add_changes(&mut badges, &places, (worker, first, last))?;
        self.add_results(&mut badges, &places, (worker, first, last))?;
        Ok(badges)
    }

    fn add_changes(
        &self,
        badges: &mut [BadgeRow],
        places: &HashMap<RecordId, usize>,
        (worker, first, last): (Option<RecordId>, Day, Day),
    ) -> Result<(), LedgerError> {
        let sql = format!(
            "SELECT b.record, e.change, e.on_day, e.entry
             FROM badge AS b JOIN badge_event AS e ON e.badge = b.record
             WHERE {} AND {} AND {} ORDER BY e.on_day, e.entry",
            chosen(worker),
            in_force("b"),
            in_force("e")
        );
        let mut statement = self.conn().prepare_cached(&sql)?;
        let mut rows = statement.query(params![self.known_at(), first, last, worker])?;
        while let Some(row) = rows.next()? {
            let word: String = row.get(1)?;
            let badge = places.get(&row.get(0)?).and_then(|at| badges.get_mut(*at));
            if let (Some(badge), Some(change)) = (badge, BadgeChange::from_stored(&word)) {
                badge.changes.push((change, row.get(2)?, row.get(3)?));
            }
        }
        Ok(())
    }

    fn add_results(
        &self,
        badges: &mut [BadgeRow],
        places: &HashMap<RecordId, usize>,
        (worker, first, last): (Option<RecordId>, Day, Day),
    ) -> Result<(), LedgerError> {
        let sql = format!(
            "SELECT b.record, r.entry, r.record, r.report, r.reported_on, r.year_to_date_nsv,
                    (SELECT a.entry FROM acceptance AS a WHERE a.result_entry = r.entry
                        AND (a.accepted_by IS NOT b.worker OR a.second_by IS NOT NULL) AND {}),
                    v.quantity, v.written, v.below, v.nsv, v.minimum_nsv
             FROM badge AS b
             JOIN badge_result AS r ON r.badge = b.record
             LEFT JOIN badge_value AS v ON v.entry = r.entry
             WHERE {} AND {} AND {} ORDER BY r.entry, v.quantity",
            in_force("a"),
            chosen(worker),
            in_force("b"),
            in_force("r")
        );
        let mut statement = self.conn().prepare_cached(&sql)?;
        let mut rows = statement.query(params![self.known_at(), first, last, worker])?;
        while let Some(row) = rows.next()? {
            let Some(badge) = places.get(&row.get(0)?).and_then(|at| badges.get_mut(*at)) else {
                continue;
            };
            let entry: i64 = row.get(1)?;
            if badge.results.last().is_none_or(|it| it.entry != entry) {
                badge.results.push(ResultRow {
                    entry,
                    record: row.get(2)?,
                    report: row.get(3)?,
                    reported_on: row.get(4)?,
                    year_to_date: row.get::<_, Option<i64>>(5)?.map(Dose::from_nsv),
                    values: Vec::new(),
                    accepted: row.get(6)?,
                });
            }
            let (Some(result), Some(quantity)) =
                (badge.results.last_mut(), row.get::<_, Option<String>>(7)?)
            else {
                continue;
            };
            result.values.push(ValueRow {
                quantity,
                written: row.get(8)?,
                below: row.get(9)?,
                dose: Dose::from_nsv(row.get(10)?),
                minimum: row.get::<_, Option<i64>>(11)?.map(Dose::from_nsv),
            });
        }
        Ok(())
    }
}
