//! What a year's review and a job's papers ask of the tables.

use rusqlite::params;

use super::LedgerError;
use super::read::Snapshot;
use crate::calendar::{Day, Span};
use crate::record::RecordId;

/// One sheet as far as the time for which it is kept asks for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SheetDay {
    /// The entry.
    pub entry: i64,
    /// The sheet.
    pub record: RecordId,
    /// Its day.
    pub day: Day,
    /// Whether it has a survey before storage.
    pub has_survey: bool,
}

/// One person's shift with a source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Handled {
    /// The day of the sheet.
    pub day: Day,
    /// The source, where the sheet names it.
    pub source: Option<RecordId>,
    /// The device, where the sheet names it.
    pub device: Option<RecordId>,
    /// The job, where the ledger knows it.
    pub job: Option<RecordId>,
    /// Whether the source was carried and nothing else.
    pub is_transport: bool,
    /// Whether the person acted as a radiographer or in the place of one.
    pub leads: bool,
    /// Whether nobody else who leads was there: with a source and under nobody's eyes.
    pub is_alone: bool,
}

impl Snapshot<'_> {
    /// Every sheet with its day, without its body.
    pub fn sheet_days(&self) -> Result<Vec<SheetDay>, LedgerError> {
        let mut statement = self.conn().prepare_cached(
            "SELECT entry, record, day, storage_survey IS NOT NULL FROM sheet
             WHERE entry <= ?1 AND (ended_by IS NULL OR ended_by > ?1)",
        )?;
        let rows = statement.query_map([self.known_at()], |row| {
            Ok(SheetDay {
                entry: row.get(0)?,
                record: row.get(1)?,
                day: row.get(2)?,
                has_survey: row.get(3)?,
            })
        })?;
        let mut all: Vec<SheetDay> = rows.collect::<Result<_, _>>()?;
        all.retain(|it| !self.is_later(it.day));
        Ok(all)
    }

    /// The day of the oldest sheet.
    pub fn oldest_sheet(&self) -> Result<Option<Day>, LedgerError> {
        let mut statement = self.conn().prepare_cached(
            "SELECT min(day) FROM sheet WHERE entry <= ?1 AND (ended_by IS NULL OR ended_by > ?1)",
        )?;
        Ok(statement.query_row([self.known_at()], |row| row.get(0))?)
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

    /// With which sources one person worked up to a day, each kind of work once.
    pub fn handled(&self, worker: RecordId, until: Day) -> Result<Vec<Handled>, LedgerError> {
        let mut statement = self.conn().prepare_cached(
            "SELECT crew.day, sheet.source, sheet.device, sheet.job, sheet.work = 'transport',
                    crew.role IN ('radiographer', 'rso', 'rso designee'),
                    EXISTS (SELECT 1 FROM crew AS other
                            WHERE other.entry = crew.entry AND other.person <> crew.person
                              AND other.role IN ('radiographer', 'rso', 'rso designee'))
             FROM crew JOIN sheet ON sheet.entry = crew.entry
             WHERE crew.worker = ?2 AND crew.day <= ?3
               AND (sheet.source IS NOT NULL OR sheet.device IS NOT NULL)
               AND crew.entry <= ?1 AND (crew.ended_by IS NULL OR crew.ended_by > ?1)
             ORDER BY crew.day",
        )?;
        let rows = statement.query_map(params![self.known_at(), worker, until], |row| {
            let (leads, led): (bool, bool) = (row.get(5)?, row.get(6)?);
            Ok(Handled {
                day: row.get(0)?,
                source: row.get(1)?,
                device: row.get(2)?,
                job: row.get(3)?,
                is_transport: row.get(4)?,
                leads,
                is_alone: leads || !led,
            })
        })?;
        let mut all: Vec<Handled> = rows.collect::<Result<_, _>>()?;
        all.retain(|it| !self.is_later(it.day));
        Ok(all)
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
        self.rows(
            "SELECT entry FROM sheet
             WHERE job = ?2 AND entry <= ?1 AND (ended_by IS NULL OR ended_by > ?1)
               AND day BETWEEN ?3 AND ?4 ORDER BY day, entry",
            params![self.known_at(), job, first, self.capped(last)],
            |row| row.get(0),
        )
    }
}
