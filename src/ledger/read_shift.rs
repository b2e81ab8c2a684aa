//! Reading the shifts of people with what their dosimeters showed.

use rusqlite::{Row, params};

use super::LedgerError;
use super::read::Snapshot;
use crate::calendar::Day;
use crate::record::{RecordId, Role, ShiftName, Words, Work};

/// What one person's dosimeter showed on one shift.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadingRow {
    /// The dosimeter, where the ledger knows it.
    pub dosimeter: Option<RecordId>,
    /// Counted from 1.
    pub part: i64,
    /// The unit as written.
    pub unit: Option<String>,
    /// In nanosievert or 0.1 microroentgen.
    pub start_count: Option<i64>,
    /// In nanosievert or 0.1 microroentgen.
    pub end_count: Option<i64>,
    /// Off its scale.
    pub off_scale: bool,
}

/// One person's shift: the sheet's head, the person's line and the readings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShiftRow {
    /// The sheet's entry.
    pub entry: i64,
    /// The sheet.
    pub sheet: RecordId,
    /// The person's place on the sheet.
    pub person: i64,
    /// The person.
    pub worker: RecordId,
    /// The day on which the shift began.
    pub day: Day,
    /// Day, evening or night.
    pub shift: ShiftName,
    /// Whether it ran past midnight.
    pub crosses_midnight: bool,
    /// What was done.
    pub work: Work,
    /// What the person acted as.
    pub role: Role,
    /// Whether the badge was worn.
    pub badge_worn: Option<bool>,
    /// The number of the badge, where the sheet names it.
    pub badge: Option<String>,
    /// The readings.
    pub readings: Vec<ReadingRow>,
}

impl Snapshot<'_> {
    /// The shifts of one person that began on one of these days.
    pub fn shifts_of(
        &self,
        worker: RecordId,
        first: Day,
        last: Day,
    ) -> Result<Vec<ShiftRow>, LedgerError> {
        let sql = format!(
            "{SHIFT_SQL} AND crew.worker = ?4 ORDER BY crew.day, crew.entry, crew.person,
             reading.ordinal"
        );
        let mut shifts = Vec::new();
        self.each_shift(
            &sql,
            params![self.at, first, self.capped(last), worker],
            |shift| shifts.push(shift),
        )?;
        Ok(shifts)
    }

    /// The shifts of everybody that began on one of these days, by entry.
    pub fn shifts(
        &self,
        first: Day,
        last: Day,
        take: impl FnMut(ShiftRow),
    ) -> Result<(), LedgerError> {
        let sql = format!(
            "{SHIFT_SQL} AND sheet.day BETWEEN ?2 AND ?3 AND crew.worker IS NOT NULL
             ORDER BY sheet.day, crew.entry, crew.person, reading.ordinal"
        );
        self.each_shift(&sql, params![self.at, first, self.capped(last)], take)
    }

    fn each_shift(
        &self,
        sql: &str,
        values: impl rusqlite::Params,
        mut take: impl FnMut(ShiftRow),
    ) -> Result<(), LedgerError> {
        let mut statement = self.conn.prepare_cached(sql)?;
        let mut rows = statement.query(values)?;
        let mut open: Option<ShiftRow> = None;
        while let Some(row) = rows.next()? {
            let (entry, person): (i64, i64) = (row.get(0)?, row.get(2)?);
            let same = open
                .as_ref()
                .is_some_and(|it| (it.entry, it.person) == (entry, person));
            if !same && let Some(done) = open.replace(shift_head(row, entry, person)?) {
                take(done);
            }
            if let Some(shift) = &mut open
                && let Some(reading) = reading_row(row)?
            {
                shift.readings.push(reading);
            }
        }
        if let Some(done) = open {
            take(done);
        }
        Ok(())
    }

    /// The last time before or on a day that a dosimeter was read, newest
    /// first: the sheet's entry, its day, the person's place and the reading.
    pub fn readings_of_dosimeter(
        &self,
        dosimeter: RecordId,
        first: Day,
        last: Day,
    ) -> Result<Vec<(i64, Day, i64, ReadingRow)>, LedgerError> {
        let mut statement = self.conn.prepare_cached(
            "SELECT entry, day, person, dosimeter, part, unit, start_count, end_count, off_scale
             FROM reading
             WHERE dosimeter = ?2 AND day BETWEEN ?3 AND ?4
               AND entry <= ?1 AND (ended_by IS NULL OR ended_by > ?1)
             ORDER BY day DESC, entry DESC, part DESC",
        )?;
        let rows = statement.query_map(
            params![self.at, dosimeter, first, self.capped(last)],
            |row| {
                let reading = ReadingRow {
                    dosimeter: row.get(3)?,
                    part: row.get(4)?,
                    unit: row.get(5)?,
                    start_count: row.get(6)?,
                    end_count: row.get(7)?,
                    off_scale: row.get(8)?,
                };
                Ok((row.get(0)?, row.get(1)?, row.get(2)?, reading))
            },
        )?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}

/// Shifts with their readings; `?1` newest entry known, `?2` and `?3` days.
const SHIFT_SQL: &str = "SELECT crew.entry, sheet.record, crew.person, crew.worker, crew.day,
            sheet.shift, sheet.crosses_midnight, sheet.work, crew.role, crew.badge_worn,
            reading.part, reading.dosimeter, reading.unit, reading.start_count,
            reading.end_count, reading.off_scale, crew.badge
     FROM crew
     JOIN sheet ON sheet.entry = crew.entry
     LEFT JOIN reading ON reading.entry = crew.entry AND reading.person = crew.person
     WHERE crew.entry <= ?1 AND (crew.ended_by IS NULL OR crew.ended_by > ?1)
       AND crew.day BETWEEN ?2 AND ?3";

fn shift_head(row: &Row<'_>, entry: i64, person: i64) -> Result<ShiftRow, LedgerError> {
    Ok(ShiftRow {
        entry,
        sheet: row.get(1)?,
        person,
        worker: row.get(3)?,
        day: row.get(4)?,
        shift: word(row, 5, entry)?,
        crosses_midnight: row.get(6)?,
        work: word(row, 7, entry)?,
        role: word(row, 8, entry)?,
        badge_worn: row.get(9)?,
        badge: row.get(16)?,
        readings: Vec::new(),
    })
}

fn reading_row(row: &Row<'_>) -> Result<Option<ReadingRow>, LedgerError> {
    let Some(part) = row.get::<_, Option<i64>>(10)? else {
        return Ok(None);
    };
    Ok(Some(ReadingRow {
        dosimeter: row.get(11)?,
        part,
        unit: row.get(12)?,
        start_count: row.get(13)?,
        end_count: row.get(14)?,
        off_scale: row.get(15)?,
    }))
}

fn word<W: Words>(row: &Row<'_>, column: usize, seq: i64) -> Result<W, LedgerError> {
    let text = row.get_ref(column)?.as_str().unwrap_or_default();
    W::from_stored(text).ok_or_else(|| LedgerError::Damaged {
        detail: format!("entry {seq} has the unknown word `{text}`; run `ledger verify --full`"),
    })
}
