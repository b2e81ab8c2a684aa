//! Finding badges by the number on them, with what is known of each wear period. A ledger of
//! some years has tens of thousands of badges: everything here goes by an index.

use rusqlite::{Row, params};

use super::LedgerError;
use super::read::Snapshot;
use crate::calendar::Day;
use crate::quantity::Dose;
use crate::record::{BadgeChange, BadgeType, DoseQuantity, RecordId, Words};

/// A result as a wear period knows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ResultName {
    /// The entry that says it.
    pub entry: i64,
    /// The result's record.
    pub record: RecordId,
    /// The processor's number of the report.
    pub report: String,
    /// The report's date; of a read, its day.
    pub reported_on: Day,
    /// The running total that a badge read on demand showed.
    pub total: Option<Dose>,
}

/// One wear period of a badge and what became of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WearRow {
    /// The entry that says it.
    pub entry: i64,
    /// The badge's record.
    pub record: RecordId,
    /// The number on the badge.
    pub number: String,
    /// Whole body, extremity or control.
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
    /// What became of it, by day.
    pub changes: Vec<(BadgeChange, Day)>,
    /// Its results, by entry.
    pub results: Vec<ResultName>,
    /// The quantities that were determined for it.
    pub determined: Vec<DoseQuantity>,
}

impl WearRow {
    /// Its last day of wear: planned, or the day on which it was read on demand, taken off, lost
    /// or sent before that. A badge that is handed in late was not worn for longer than planned.
    pub fn worn_until(&self) -> Day {
        let off = self.changes.iter().map(|(_, on)| *on).min();
        let off = off.into_iter().chain(self.read_on()).min();
        off.map_or(self.last_day, |off| off.min(self.last_day))
    }

    /// The day of the read that ended it, of one read on demand.
    pub fn read_on(&self) -> Option<Day> {
        let days = self.results.iter().map(|it| it.reported_on);
        days.max().filter(|_| self.on_demand)
    }

    /// The name that leads to this wear period whatever the day: `B-0412/2026-05-01`.
    pub fn name(&self) -> String {
        format!("{}/{}", self.number, self.first_day)
    }
}

const WEAR: &str = "SELECT entry, record, badge, sort, worker, employer, first_day, last_day,
        last_read, on_demand IS 1
     FROM badge WHERE entry <= ?1 AND (ended_by IS NULL OR ended_by > ?1)";

fn bare(row: &Row<'_>) -> rusqlite::Result<WearRow> {
    let kind: String = row.get(3)?;
    Ok(WearRow {
        entry: row.get(0)?,
        record: row.get(1)?,
        number: row.get(2)?,
        kind: BadgeType::from_stored(&kind).unwrap_or(BadgeType::WholeBody),
        worker: row.get(4)?,
        employer: row.get(5)?,
        first_day: row.get(6)?,
        last_day: row.get(7)?,
        last_read: row.get(8)?,
        on_demand: row.get(9)?,
        changes: Vec::new(),
        results: Vec::new(),
        determined: Vec::new(),
    })
}

impl Snapshot<'_> {
    /// The wear periods of a badge number, capitals or not, by first day.
    pub fn wear_of_number(&self, number: &str) -> Result<Vec<WearRow>, LedgerError> {
        let sql = format!("{WEAR} AND badge = ?2 COLLATE NOCASE ORDER BY first_day, entry");
        self.wear_rows(&sql, params![self.known_at(), number])
    }

    /// The wear period of a badge's record.
    pub fn wear_of_record(&self, record: RecordId) -> Result<Option<WearRow>, LedgerError> {
        // The record's newest entry, by its index; the table has none on `record`.
        let sql = format!("{WEAR} AND entry = (SELECT current FROM record WHERE id = ?2)");
        Ok(self
            .wear_rows(&sql, params![self.known_at(), record])?
            .pop())
    }

    /// The wear periods that a person has on some of these days, as planned.
    pub fn wear_of_worker(
        &self,
        worker: RecordId,
        first: Day,
        last: Day,
    ) -> Result<Vec<WearRow>, LedgerError> {
        let sql = format!(
            "{WEAR} AND worker = ?2 AND first_day <= ?4 AND last_day >= ?3
             ORDER BY first_day, entry"
        );
        self.wear_rows(&sql, params![self.known_at(), worker, first, last])
    }

    /// The number of the badge read on demand that a person wears on the trunk on a day, if the
    /// last that was issued by then is one.
    pub fn read_on_demand(
        &self,
        worker: RecordId,
        day: Day,
    ) -> Result<Option<String>, LedgerError> {
        let mut worn = self.wear_of_worker(worker, day, day)?;
        worn.retain(|it| {
            let ours = it.kind == BadgeType::WholeBody && it.employer.is_none();
            ours && it.worn_until() >= day
        });
        let last = worn.pop().filter(|it| it.on_demand);
        Ok(last.map(|it| it.number))
    }

    /// Wear periods on a day, and those before it that have no result, by first day and number.
    pub fn wear_open_on(&self, on: Day) -> Result<Vec<WearRow>, LedgerError> {
        let sql = format!(
            "{WEAR} AND first_day <= ?2 AND (last_day >= ?2 OR NOT EXISTS
               (SELECT 1 FROM badge_result AS r WHERE r.badge = badge.record
                AND r.entry <= ?1 AND (r.ended_by IS NULL OR r.ended_by > ?1)))
             AND (on_demand IS NOT 1 OR NOT EXISTS
               (SELECT 1 FROM badge_result AS r WHERE r.badge = badge.record
                AND r.reported_on < ?2
                AND r.entry <= ?1 AND (r.ended_by IS NULL OR r.ended_by > ?1)))
             ORDER BY first_day, badge, entry"
        );
        self.wear_rows(&sql, params![self.known_at(), on])
    }

    /// Badge numbers that begin like this one, for near spellings.
    pub fn numbers_like(&self, number: &str) -> Result<Vec<String>, LedgerError> {
        // The fewest letters in which a slip at the end of a long number still finds it, then
        // those that find a zero left out.
        let alike = self.numbers_from(number, 3)?;
        if alike.is_empty() {
            return self.numbers_from(number, 1);
        }
        Ok(alike)
    }

    fn numbers_from(&self, number: &str, letters: usize) -> Result<Vec<String>, LedgerError> {
        let start: String = number.chars().take(letters).collect();
        let end = format!("{start}\u{10ffff}");
        self.rows(
            "SELECT DISTINCT badge FROM badge
             WHERE badge >= ?1 COLLATE NOCASE AND badge < ?2 COLLATE NOCASE
               AND ended_by IS NULL LIMIT 5000",
            params![start, end],
            |row| row.get(0),
        )
    }

    /// The results of a report, by entry: record and entry.
    pub fn results_of_report(&self, report: &str) -> Result<Vec<ResultName>, LedgerError> {
        self.result_names("report = ?2", params![self.known_at(), report])
    }

    /// Numbers of the newest reports, for near spellings.
    pub fn newest_reports(&self) -> Result<Vec<String>, LedgerError> {
        self.rows(
            "SELECT report FROM badge_result WHERE ended_by IS NULL
             GROUP BY report ORDER BY max(entry) DESC LIMIT 500",
            [],
            |row| row.get(0),
        )
    }

    fn wear_rows(
        &self,
        sql: &str,
        values: impl rusqlite::Params,
    ) -> Result<Vec<WearRow>, LedgerError> {
        let mut statement = self.conn().prepare_cached(sql)?;
        let rows = statement.query_map(values, bare)?;
        let mut found: Vec<WearRow> = rows.collect::<Result<_, _>>()?;
        for row in &mut found {
            self.complete(row)?;
        }
        Ok(found)
    }

    fn complete(&self, row: &mut WearRow) -> Result<(), LedgerError> {
        let at = self.known_at();
        let mut statement = self.conn().prepare_cached(
            "SELECT change, on_day FROM badge_event
             WHERE badge = ?2 AND entry <= ?1 AND (ended_by IS NULL OR ended_by > ?1)
             ORDER BY on_day, entry",
        )?;
        let changes = statement.query_map((at, row.record), |row| {
            Ok((row.get::<_, String>(0)?, row.get(1)?))
        })?;
        for change in changes {
            let (word, on) = change?;
            row.changes
                .extend(BadgeChange::from_stored(&word).map(|it| (it, on)));
        }
        row.results = self.result_names("badge = ?2", params![at, row.record])?;
        let mut statement = self.conn().prepare_cached(
            "SELECT quantity FROM determination
             WHERE badge = ?2 AND entry <= ?1 AND (ended_by IS NULL OR ended_by > ?1)",
        )?;
        let words = statement.query_map((at, row.record), |row| row.get::<_, String>(0))?;
        for word in words {
            row.determined.extend(DoseQuantity::from_stored(&word?));
        }
        Ok(())
    }

    fn result_names(
        &self,
        which: &str,
        values: impl rusqlite::Params,
    ) -> Result<Vec<ResultName>, LedgerError> {
        let sql = format!(
            "SELECT entry, record, report, reported_on, total_nsv FROM badge_result
             WHERE {which} AND entry <= ?1 AND (ended_by IS NULL OR ended_by > ?1) ORDER BY entry"
        );
        self.rows(&sql, values, |row| {
            Ok(ResultName {
                entry: row.get(0)?,
                record: row.get(1)?,
                report: row.get(2)?,
                reported_on: row.get(3)?,
                total: row.get::<_, Option<i64>>(4)?.map(Dose::from_nsv),
            })
        })
    }
}
