//! Reading: entries and typed records, as known at an
//! entry. Everything inside one `Snapshot` sees one unchanging state.

use rusqlite::{Connection, OptionalExtension, Row, params};

use super::chain::Hash;
use super::entry::Entry;
use super::{LedgerError, Refusal};
use crate::calendar::Day;
use crate::record::{self, Body, Kind, Record, RecordId, Sheet};

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

    /// Every row of a query.
    pub(super) fn rows<T>(
        &self,
        sql: &str,
        values: impl rusqlite::Params,
        row: impl FnMut(&Row<'_>) -> rusqlite::Result<T>,
    ) -> Result<Vec<T>, LedgerError> {
        let mut statement = self.conn.prepare_cached(sql)?;
        let rows = statement.query_map(values, row)?;
        Ok(rows.collect::<Result<_, _>>()?)
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
        self.rows(&sql, [first, last], Entry::from_row)
    }

    /// Every entry that replaces or voids an earlier one, in order.
    pub fn corrections(&self) -> Result<Vec<Entry>, LedgerError> {
        let sql = format!(
            "SELECT {} FROM entry WHERE ends IS NOT NULL AND seq <= ?1 ORDER BY seq",
            Entry::COLUMNS
        );
        self.rows(&sql, [self.at], Entry::from_row)
    }

    /// On which days sheets are of which job, each once.
    pub fn job_days(&self, first: Day, last: Day) -> Result<Vec<(RecordId, Day)>, LedgerError> {
        self.rows(
            "SELECT DISTINCT job, day FROM sheet
             WHERE job IS NOT NULL AND entry <= ?1 AND (ended_by IS NULL OR ended_by > ?1)
               AND day BETWEEN ?2 AND ?3 ORDER BY job, day",
            params![self.at, first, self.capped(last)],
            |row| Ok((row.get(0)?, row.get(1)?)),
        )
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
        match T::KIND {
            Kind::Sheet => {
                let sql = format!("{} ORDER BY it.entry", stored_sql("sheet"));
                self.stored(&sql, params![self.at])
            }
            kind => self.stored(OF_KIND, params![self.at, kind.stored()]),
        }
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

/// Records of the kind `?2` by entry, of any but sheets: the index of kinds leaves them out.
const OF_KIND: &str = "SELECT it.seq, it.record, it.written_at, born.written_at, it.transcribed,
            it.body, it.version
     FROM entry AS it
     CROSS JOIN entry AS born ON born.seq = it.record
     WHERE it.kind = ?2 AND it.kind <> 'sheet' AND it.seq <= ?1 AND it.body IS NOT NULL
       AND NOT EXISTS (SELECT 1 FROM entry AS later WHERE later.ends = it.seq AND later.seq <= ?1)
     ORDER BY it.seq";
