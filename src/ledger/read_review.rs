//! What a year's review and a job's papers ask of the tables.

use rusqlite::params;

use super::LedgerError;
use super::read::Snapshot;
use crate::calendar::{Day, Span};
use crate::record::{Kind, RecordId};
use crate::rule::Of;

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

/// Only those records of a kind that are asked for.
fn narrowed(of: Of) -> String {
    match of {
        Of::All => String::new(),
        Of::Instruments(sorts) => format!(
            " AND instrument IN (SELECT record FROM instrument WHERE sort IN ('{}')
               AND entry <= ?1 AND (ended_by IS NULL OR ended_by > ?1))",
            sorts.join("', '")
        ),
        Of::Sources => " AND (sort = 'source assembly' OR uranium_tube = 1)".to_owned(),
        Of::Surveyed => " AND storage_survey IS NOT NULL".to_owned(),
    }
}

impl Snapshot<'_> {
    /// How many records of a kind there are, and how many of them are of a day before one.
    pub fn kind_days(
        &self,
        kind: Kind,
        of: Of,
        before: Day,
    ) -> Result<Option<KindDays>, LedgerError> {
        let Some((table, column)) = day_column(kind) else {
            return Ok(None);
        };
        let sql = format!(
            "SELECT count(*), min({column}), coalesce(sum({column} < ?2), 0) FROM {table}
             WHERE entry <= ?1 AND (ended_by IS NULL OR ended_by > ?1){}",
            narrowed(of)
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

    /// Whether a person took part in radiography on one of these days, in a role.
    pub fn radiographed(&self, worker: RecordId, days: Span) -> Result<bool, LedgerError> {
        self.any_radiography("crew.worker = ?2", worker, days)
    }

    /// Whether anybody else did, people whom no register has among them.
    pub fn others_radiographed(&self, worker: RecordId, days: Span) -> Result<bool, LedgerError> {
        self.any_radiography("crew.worker IS NOT ?2", worker, days)
    }

    fn any_radiography(
        &self,
        who: &str,
        worker: RecordId,
        days: Span,
    ) -> Result<bool, LedgerError> {
        let sql = format!(
            "SELECT EXISTS (SELECT 1 FROM crew JOIN sheet ON sheet.entry = crew.entry
             WHERE {who} AND crew.role <> 'other' AND sheet.work = 'radiography'
               AND crew.day BETWEEN ?3 AND ?4 AND sheet.day BETWEEN ?3 AND ?4
               AND crew.entry <= ?1 AND (crew.ended_by IS NULL OR crew.ended_by > ?1))"
        );
        let mut statement = self.conn().prepare_cached(&sql)?;
        let values = params![self.known_at(), worker, days.first, days.last];
        Ok(statement.query_row(values, |row| row.get(0))?)
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
