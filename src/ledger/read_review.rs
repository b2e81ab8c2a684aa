//! What a year's review and a job's papers ask of the tables.

use rusqlite::params;

use super::LedgerError;
use super::read::Snapshot;
use crate::calendar::Day;
use crate::record::{Kind, RecordId};

/// How many records of a kind there are, and of which days.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct KindDays {
    /// All that are in force.
    pub count: i64,
    /// The oldest day.
    pub oldest: Option<Day>,
    /// How many are of a day before the one asked for.
    pub before: i64,
}

/// Where a kind's day stands; of others there is none to ask for.
fn day_column(kind: Kind) -> Option<(&'static str, &'static str)> {
    Some(match kind {
        Kind::Sheet => ("sheet", "day"),
        Kind::Check => ("instrument_check", "on_day"),
        Kind::LeakTest => ("leak_test", "on_day"),
        Kind::Inventory => ("inventory", "on_day"),
        Kind::Inspection => ("inspection", "on_day"),
        Kind::Loading => ("loading", "on_day"),
        Kind::Equipment => ("equipment", "in_service"),
        Kind::Qualification => ("qualification", "on_day"),
        Kind::BadgeResult => ("badge_result", "reported_on"),
        Kind::Determination => ("determination", "on_day"),
        Kind::Review => ("review", "on_day"),
        Kind::PriorDose => ("prior_dose", "first_day"),
        _ => return None,
    })
}

impl Snapshot<'_> {
    /// How many records of a kind there are, and how many of them are of a day before one.
    pub fn kind_days(&self, kind: Kind, before: Day) -> Result<Option<KindDays>, LedgerError> {
        let Some((table, column)) = day_column(kind) else {
            return Ok(None);
        };
        let sql = format!(
            "SELECT count(*), min({column}), coalesce(sum({column} < ?2), 0) FROM {table}
             WHERE entry <= ?1 AND (ended_by IS NULL OR ended_by > ?1)"
        );
        let mut statement = self.conn().prepare_cached(&sql)?;
        let found = statement.query_row(params![self.known_at(), before], |row| {
            Ok(KindDays {
                count: row.get(0)?,
                oldest: row.get(1)?,
                before: row.get(2)?,
            })
        })?;
        Ok(Some(found))
    }

    /// How many sheets there are of some days, and how many of them were copied.
    pub fn sheets_between(&self, first: Day, last: Day) -> Result<(i64, i64), LedgerError> {
        let mut statement = self.conn().prepare_cached(
            "SELECT count(*), coalesce(sum(entry.transcribed), 0) FROM sheet
             JOIN entry ON entry.seq = sheet.entry
             WHERE sheet.entry <= ?1 AND (sheet.ended_by IS NULL OR sheet.ended_by > ?1)
               AND sheet.day BETWEEN ?2 AND ?3",
        )?;
        let known = self.known_at();
        let found = statement.query_row(params![known, first, last], |row| {
            Ok((row.get(0)?, row.get(1)?))
        })?;
        Ok(found)
    }

    /// The entries of the sheets of a job over days, by day.
    pub fn sheets_of_job(
        &self,
        job: RecordId,
        first: Day,
        last: Day,
    ) -> Result<Vec<i64>, LedgerError> {
        let mut statement = self.conn().prepare_cached(
            "SELECT entry FROM sheet
             WHERE job = ?2 AND entry <= ?1 AND (ended_by IS NULL OR ended_by > ?1)
               AND day BETWEEN ?3 AND ?4 ORDER BY day, entry",
        )?;
        let rows =
            statement.query_map(params![self.known_at(), job, first, last], |row| row.get(0))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}
