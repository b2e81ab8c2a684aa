//! Reading: entries, typed records and the rows of shifts, as known at an
//! entry. Everything inside one `Snapshot` sees one unchanging state.

use rusqlite::{Connection, OptionalExtension, Row, params};

use super::chain::Hash;
use super::entry::Entry;
use super::{LedgerError, Refusal, derive};
use crate::calendar::Day;
use crate::record::{self, Body, Kind, Record, RecordId, Role, Sheet, ShiftName, Words, Work};

/// Up to which entry the ledger is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum KnownAt {
    /// Everything that is written.
    #[default]
    Now,
    /// What was known when this entry was the newest.
    Entry(i64),
}

/// Entry count and hash of the newest entry; zero and all zero when empty.
pub(super) fn head(conn: &Connection) -> Result<(i64, Hash), LedgerError> {
    Ok(conn
        .prepare_cached("SELECT seq, hash FROM entry ORDER BY seq DESC LIMIT 1")?
        .query_row([], |row| Ok((row.get(0)?, Hash(row.get(1)?))))
        .optional()?
        .unwrap_or_default())
}

/// What the clock said when an entry was written; nothing where there is no such entry.
pub(super) fn said_at(conn: &Connection, seq: i64) -> Result<Option<String>, LedgerError> {
    let sql = "SELECT written_at FROM entry WHERE seq = ?1";
    let found = conn.prepare_cached(sql)?.query_row([seq], |row| row.get(0));
    Ok(found.optional()?)
}

/// One entry.
pub(super) fn entry(conn: &Connection, seq: i64) -> Result<Entry, LedgerError> {
    let sql = format!("SELECT {} FROM entry WHERE seq = ?1", Entry::COLUMNS);
    let found = conn
        .prepare_cached(&sql)?
        .query_row([seq], Entry::from_row)
        .optional()?;
    found.ok_or_else(|| Refusal::NoSuchEntry { entry: seq }.into())
}

/// The newest entry of a record.
pub(super) fn newest(conn: &Connection, record: RecordId) -> Result<i64, LedgerError> {
    let found = conn
        .query_row(
            "SELECT current FROM record WHERE id = ?1",
            [record],
            |row| row.get(0),
        )
        .optional()?;
    found.ok_or_else(|| Refusal::NoSuchEntry { entry: record }.into())
}

/// Names of the derived tables, for an export.
pub fn table_names() -> Vec<&'static str> {
    derive::all_tables()
}

/// A record as it stands in one entry.
#[derive(Debug, Clone, PartialEq)]
pub struct Stored<T> {
    /// The entry that says it.
    pub entry: i64,
    /// The record.
    pub record: RecordId,
    /// When the entry was written.
    pub written_at: String,
    /// When the record was first written.
    pub first_written_at: String,
    /// Whether it was copied from paper.
    pub transcribed: bool,
    /// What it says.
    pub body: T,
}

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

/// One unchanging state of the ledger.
#[derive(Debug)]
pub struct Snapshot<'a> {
    pub(super) conn: &'a Connection,
    pub(super) at: i64,
    pub(super) until: Option<Day>,
}

impl<'a> Snapshot<'a> {
    pub(super) fn begin(
        conn: &'a Connection,
        known_at: KnownAt,
    ) -> Result<Snapshot<'a>, LedgerError> {
        let (count, _) = head(conn)?;
        let at = match known_at {
            KnownAt::Now => count,
            KnownAt::Entry(entry) if (1..=count).contains(&entry) => entry,
            KnownAt::Entry(entry) => return Err(Refusal::NoSuchEntry { entry }.into()),
        };
        Ok(Snapshot {
            conn,
            at,
            until: None,
        })
    }

    pub(super) fn conn(&self) -> &'a Connection {
        self.conn
    }

    /// The newest entry that this reading knows.
    pub fn known_at(&self) -> i64 {
        self.at
    }

    /// Entry count and head hash of the ledger as it is now.
    pub fn head(&self) -> Result<(i64, Hash), LedgerError> {
        head(self.conn)
    }

    /// One entry.
    pub fn entry(&self, seq: i64) -> Result<Entry, LedgerError> {
        entry(self.conn, seq)
    }

    /// The newest entry of a record.
    pub fn newest(&self, record: RecordId) -> Result<i64, LedgerError> {
        newest(self.conn, record)
    }

    /// Every version of the record that an entry belongs to, oldest first.
    pub fn history(&self, seq: i64) -> Result<Vec<Entry>, LedgerError> {
        let record = self.entry(seq)?.record;
        let mut versions = Vec::new();
        let mut at = Some(newest(self.conn, record)?);
        while let Some(seq) = at {
            let version = self.entry(seq)?;
            at = version.ends;
            versions.push(version);
        }
        versions.reverse();
        Ok(versions)
    }

    /// Entries of a span of numbers, in order.
    pub fn entries(&self, first: i64, last: i64) -> Result<Vec<Entry>, LedgerError> {
        let sql = format!(
            "SELECT {} FROM entry WHERE seq BETWEEN ?1 AND ?2 ORDER BY seq",
            Entry::COLUMNS
        );
        let mut statement = self.conn.prepare(&sql)?;
        let rows = statement.query_map([first, last], Entry::from_row)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Every entry that replaces or voids an earlier one, in order.
    pub fn corrections(&self) -> Result<Vec<Entry>, LedgerError> {
        let sql = format!(
            "SELECT {} FROM entry WHERE ends IS NOT NULL AND seq <= ?1 ORDER BY seq",
            Entry::COLUMNS
        );
        let mut statement = self.conn.prepare_cached(&sql)?;
        let rows = statement.query_map([self.at], Entry::from_row)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// On which days sheets are of which job, each once.
    pub fn job_days(&self, first: Day, last: Day) -> Result<Vec<(RecordId, Day)>, LedgerError> {
        let mut statement = self.conn.prepare_cached(
            "SELECT DISTINCT job, day FROM sheet
             WHERE job IS NOT NULL AND entry <= ?1 AND (ended_by IS NULL OR ended_by > ?1)
               AND day BETWEEN ?2 AND ?3 ORDER BY job, day",
        )?;
        let rows = statement.query_map(params![self.at, first, self.capped(last)], |row| {
            Ok((row.get(0)?, row.get(1)?))
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// The record of a kind with this key, in force or void.
    pub fn find(&self, kind: Kind, key: &str) -> Result<Option<RecordId>, LedgerError> {
        Ok(self
            .conn
            .prepare_cached("SELECT id FROM record WHERE kind = ?1 AND key = ?2")?
            .query_row((kind.stored(), key), |row| row.get(0))
            .optional()?)
    }

    /// Every record of a kind that is in force, in the order of writing.
    pub fn all<T: Record>(&self) -> Result<Vec<Stored<T>>, LedgerError> {
        let Some(table) = derive::tables(T::KIND).first() else {
            return Ok(Vec::new());
        };
        let sql = format!("{} ORDER BY it.entry", stored_sql(table));
        self.stored(&sql, params![self.at])
    }

    /// One record of a kind, where it is in force.
    pub fn one<T: Record>(&self, record: RecordId) -> Result<Option<Stored<T>>, LedgerError> {
        // By the chain of its versions and not by a table: tables of records have no index on
        // the record, and some are long.
        let Some(mut seq) = self.newest_of_any(record)? else {
            return Ok(None);
        };
        let version = loop {
            let version = self.entry(seq)?;
            match version.ends {
                _ if seq <= self.at => break version,
                Some(earlier) => seq = earlier,
                None => return Ok(None),
            }
        };
        let Some(text) = version.body.filter(|_| version.kind == T::KIND.stored()) else {
            return Ok(None);
        };
        let body = record::read(version.version, &text)
            .map_err(|detail| LedgerError::Unreadable { seq, detail })?;
        Ok(Some(Stored {
            entry: seq,
            record,
            written_at: version.written_at,
            first_written_at: self.entry(record)?.written_at,
            transcribed: version.transcribed,
            body,
        }))
    }

    fn newest_of_any(&self, record: RecordId) -> Result<Option<i64>, LedgerError> {
        Ok(self
            .conn
            .prepare_cached("SELECT current FROM record WHERE id = ?1")?
            .query_row([record], |row| row.get(0))
            .optional()?)
    }

    /// The sheets whose shift began on one of these days, by day and entry.
    pub fn sheets(&self, first: Day, last: Day) -> Result<Vec<Stored<Sheet>>, LedgerError> {
        self.of_days("sheet", first, last)
    }

    /// The records of a table with a day, by day and entry.
    pub(super) fn of_days<T: Record>(
        &self,
        table: &str,
        first: Day,
        last: Day,
    ) -> Result<Vec<Stored<T>>, LedgerError> {
        let by_day = "AND it.day BETWEEN ?2 AND ?3 ORDER BY it.day, it.entry";
        let sql = format!("{} {by_day}", stored_sql(table));
        self.stored(&sql, params![self.at, first, self.capped(last)])
    }

    fn stored<T: Record>(
        &self,
        sql: &str,
        values: impl rusqlite::Params,
    ) -> Result<Vec<Stored<T>>, LedgerError> {
        let mut statement = self.conn.prepare_cached(sql)?;
        let mut rows = statement.query(values)?;
        let mut found = Vec::new();
        while let Some(row) = rows.next()? {
            let seq: i64 = row.get(0)?;
            let text: String = row.get(5)?;
            let body: T = record::read(row.get(6)?, &text)
                .map_err(|detail| LedgerError::Unreadable { seq, detail })?;
            if body.about().is_some_and(|day| self.is_later(day)) {
                continue;
            }
            found.push(Stored {
                entry: seq,
                record: row.get(1)?,
                written_at: row.get(2)?,
                first_written_at: row.get(3)?,
                transcribed: row.get(4)?,
                body,
            });
        }
        Ok(found)
    }

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

    /// The sheet that an entry says, where it is one.
    pub fn sheet_at(&self, seq: i64) -> Result<Option<Sheet>, LedgerError> {
        Ok(match self.body(seq)? {
            Some(Body::Sheet(sheet)) => Some(*sheet),
            _ => None,
        })
    }

    /// The typed body of an entry.
    pub fn body(&self, seq: i64) -> Result<Option<Body>, LedgerError> {
        self.entry(seq)?
            .read_body()
            .map_err(|detail| LedgerError::Unreadable { seq, detail })
    }
}

/// Records of a table, with the times of their entries; `?1` is the newest
/// entry known. CROSS JOIN keeps SQLite from walking all of `entry` in order and
/// looking each one up in a register of a few hundred rows.
fn stored_sql(table: &str) -> String {
    format!(
        "SELECT entry.seq, entry.record, entry.written_at, born.written_at, entry.transcribed,
                entry.body, entry.version
         FROM {table} AS it
         CROSS JOIN entry ON entry.seq = it.entry
         CROSS JOIN entry AS born ON born.seq = entry.record
         WHERE it.entry <= ?1 AND (it.ended_by IS NULL OR it.ended_by > ?1)"
    )
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
