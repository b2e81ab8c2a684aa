//! Reading inspections line by line, and how often an item was used.

use std::collections::HashMap;

use rusqlite::{OptionalExtension, Params, Row, params};

use super::{LedgerError, Snapshot};
use crate::calendar::Day;
use crate::record::{Kind, LineResult, Occasion, RecordId, Words};

/// The head of one inspection.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InspectionRow {
    /// The entry that says it.
    pub entry: i64,
    /// What was looked at.
    pub item: RecordId,
    /// The checklist that was in force.
    pub list: RecordId,
    /// What it was made for.
    pub occasion: Occasion,
    /// The day.
    pub on: Day,
    /// The hour, HH:MM.
    pub at: Option<String>,
    /// Who looked, where the ledger knows the person.
    pub worker: Option<RecordId>,
    /// Who looked, as written.
    pub inspected: Option<String>,
    /// The device's own counter of cycles.
    pub counter: Option<i64>,
    /// When the inspection was first written.
    pub written_at: String,
    /// The inspection itself, whatever version this is.
    pub record: RecordId,
    /// Whether it was copied from paper.
    pub transcribed: bool,
}

/// One line of an inspection, with its head.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineRow {
    /// The inspection.
    pub of: InspectionRow,
    /// The item's key in the checklist.
    pub line: String,
    /// What was found.
    pub result: LineResult,
    /// What was measured, as written.
    pub value: Option<String>,
    /// What was seen.
    pub note: Option<String>,
    /// What was done about it.
    pub action: Option<String>,
    /// The other item of a mating check.
    pub other: Option<RecordId>,
}

/// One sheet's survey before storage.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SurveyRow {
    /// The sheet's entry.
    pub entry: i64,
    /// The day.
    pub day: Day,
    /// The source that the sheet names, where the ledger knows it.
    pub source: Option<RecordId>,
    /// What the meter read, as written.
    pub read: String,
    /// How far from the device, as written.
    pub at: Option<String>,
}

/// One sheet's use of an item.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct UseRow {
    /// The sheet's entry.
    pub entry: i64,
    /// The day on which the shift began.
    pub day: Day,
    /// Exposures made, where the sheet says so.
    pub exposures: Option<i64>,
}

const HEAD: &str = "i.entry, i.item, i.list, i.occasion, i.on_day, i.at, i.worker, i.looked,
     i.counter, w.written_at, i.record, w.transcribed";

const LINE: &str = "l.line, l.result, l.value, l.note, l.action, l.other";

const FROM: &str = "FROM inspection AS i JOIN entry AS w ON w.seq = i.record";

const LINES: &str = "FROM inspection AS i JOIN entry AS w ON w.seq = i.record
     JOIN inspection_line AS l ON l.entry = i.entry";

const STANDS: &str = "i.entry <= ?1 AND (i.ended_by IS NULL OR i.ended_by > ?1)";

fn head(row: &Row<'_>) -> rusqlite::Result<InspectionRow> {
    let occasion: String = row.get(3)?;
    Ok(InspectionRow {
        entry: row.get(0)?,
        item: row.get(1)?,
        list: row.get(2)?,
        occasion: Occasion::from_stored(&occasion).unwrap_or(Occasion::Daily),
        on: row.get(4)?,
        at: row.get(5)?,
        worker: row.get(6)?,
        inspected: row.get(7)?,
        counter: row.get(8)?,
        written_at: row.get(9)?,
        record: row.get(10)?,
        transcribed: row.get(11)?,
    })
}

fn line(row: &Row<'_>) -> rusqlite::Result<LineRow> {
    let result: String = row.get(13)?;
    Ok(LineRow {
        of: head(row)?,
        line: row.get(12)?,
        // A word that this program does not know vouches for nothing.
        result: LineResult::from_stored(&result).unwrap_or(LineResult::NotDone),
        value: row.get(14)?,
        note: row.get(15)?,
        action: row.get(16)?,
        other: row.get(17)?,
    })
}

fn use_row(row: &Row<'_>) -> rusqlite::Result<UseRow> {
    Ok(UseRow {
        entry: row.get(0)?,
        day: row.get(1)?,
        exposures: row.get(2)?,
    })
}

impl Snapshot<'_> {
    /// Heads of the inspections that stand, which and in what order.
    fn heads(&self, which: &str, values: impl Params) -> Result<Vec<InspectionRow>, LedgerError> {
        let sql = format!("SELECT {HEAD} {FROM} WHERE {STANDS} AND {which}");
        self.rows(&sql, values, head)
    }

    /// Their lines, without those of a later day than this state stands for.
    fn lines(&self, which: &str, values: impl Params) -> Result<Vec<LineRow>, LedgerError> {
        let sql = format!("SELECT {HEAD}, {LINE} {LINES} WHERE {STANDS} AND {which}");
        let mut lines = self.rows(&sql, values, line)?;
        lines.retain(|it| !self.is_later(it.of.on));
        Ok(lines)
    }

    /// The inspections of an item over days, by day, hour and entry.
    pub fn inspections_of(
        &self,
        item: RecordId,
        first: Day,
        last: Day,
    ) -> Result<Vec<InspectionRow>, LedgerError> {
        self.heads(
            "i.item = ?2 AND i.on_day BETWEEN ?3 AND ?4 ORDER BY i.on_day, i.at, i.entry",
            params![self.known_at(), item, first, self.capped(last)],
        )
    }

    /// The lines of mating checks in which an item was the other one, over days.
    pub fn mated_with(
        &self,
        item: RecordId,
        first: Day,
        last: Day,
    ) -> Result<Vec<LineRow>, LedgerError> {
        self.lines(
            "l.other = ?2 AND i.on_day BETWEEN ?3 AND ?4 ORDER BY i.on_day, i.at, i.entry",
            params![self.known_at(), item, first, self.capped(last)],
        )
    }

    /// All inspections over days, by day, hour and entry.
    pub fn inspections(&self, first: Day, last: Day) -> Result<Vec<InspectionRow>, LedgerError> {
        self.heads(
            "i.on_day BETWEEN ?2 AND ?3 ORDER BY i.on_day, i.at, i.entry",
            params![self.known_at(), first, self.capped(last)],
        )
    }

    /// The inspections of an item for an occasion on or before a day, the last first.
    pub fn inspections_for(
        &self,
        item: RecordId,
        occasion: Occasion,
        on: Day,
    ) -> Result<Vec<InspectionRow>, LedgerError> {
        self.heads(
            "i.item = ?2 AND i.on_day <= ?3 AND i.occasion = ?4
             ORDER BY i.on_day DESC, i.at DESC, i.entry DESC",
            params![self.known_at(), item, self.capped(on), occasion.stored()],
        )
    }

    /// Every line of the inspections of an item over days, also where it was the other
    /// item, in the order of the inspections and of their lines.
    pub fn lines_of(
        &self,
        item: RecordId,
        first: Day,
        last: Day,
    ) -> Result<Vec<LineRow>, LedgerError> {
        let columns = format!("SELECT {HEAD}, {LINE}, l.ordinal {LINES} WHERE {STANDS}");
        let days = "i.on_day BETWEEN ?3 AND ?4";
        // One condition of the two would read every inspection.
        let sql = format!(
            "{columns} AND i.item = ?2 AND {days} UNION ALL {columns} AND l.other = ?2 AND {days}
             ORDER BY 5, 6, 1, 19"
        );
        let values = params![self.known_at(), item, first, self.capped(last)];
        self.rows(&sql, values, line)
    }

    /// Every line with a measure of some days, by item, line and day.
    pub fn measurements_between(&self, first: Day, last: Day) -> Result<Vec<LineRow>, LedgerError> {
        self.lines(
            "l.value IS NOT NULL AND i.on_day BETWEEN ?2 AND ?3
             ORDER BY i.item, l.line, i.on_day, i.at, i.entry",
            params![self.known_at(), first, self.capped(last)],
        )
    }

    /// Every line that says `defect`, by day, hour and entry.
    pub fn defects(&self) -> Result<Vec<LineRow>, LedgerError> {
        self.lines(
            "l.result = ?2 ORDER BY i.on_day, i.at, i.entry",
            params![self.known_at(), LineResult::Defect.stored()],
        )
    }

    /// The lines of one key on an item from a day on, by day, hour and entry.
    pub fn lines_of_key(
        &self,
        item: RecordId,
        key: &str,
        first: Day,
    ) -> Result<Vec<LineRow>, LedgerError> {
        self.lines(
            "i.item = ?2 AND l.line = ?3 AND i.on_day >= ?4 ORDER BY i.on_day, i.at, i.entry",
            params![self.known_at(), item, key, first],
        )
    }

    /// The sheets that used an item over days, by day and entry. Of one item it never reads the
    /// sheets of all: each column that can name equipment has an index of its own.
    pub fn uses_of(
        &self,
        item: RecordId,
        first: Day,
        last: Day,
    ) -> Result<Vec<UseRow>, LedgerError> {
        const OF_EQUIPMENT: &str = "
             SELECT s.entry, s.day, s.exposures FROM sheet AS s WHERE {stands} AND s.device = ?2
             UNION
             SELECT s.entry, s.day, s.exposures FROM sheet AS s WHERE {stands} AND s.source = ?2
             UNION
             SELECT s.entry, s.day, s.exposures FROM sheet AS s
              WHERE {stands} AND s.control_unit = ?2
             UNION
             SELECT s.entry, s.day, s.exposures FROM sheet_guide_tube AS g
               CROSS JOIN sheet AS s ON s.entry = g.entry
              WHERE g.tube = ?2 AND {stands}
             ORDER BY 2, 1";
        const OF_METER: &str = "
             SELECT s.entry, s.day, s.exposures FROM sheet AS s WHERE {stands} AND s.meter = ?2
             ORDER BY 2, 1";
        let stands = "s.entry <= ?1 AND (s.ended_by IS NULL OR s.ended_by > ?1)
             AND s.day BETWEEN ?3 AND ?4";
        let is_meter: bool = self
            .conn()
            .prepare_cached("SELECT EXISTS (SELECT 1 FROM record WHERE id = ?1 AND kind = ?2)")?
            .query_row((item, Kind::Instrument.stored()), |row| row.get(0))?;
        let sql = if is_meter { OF_METER } else { OF_EQUIPMENT }.replace("{stands}", stands);
        self.rows(
            &sql,
            params![self.known_at(), item, first, self.capped(last)],
            use_row,
        )
    }

    /// The storage surveys of a device over days, the last first, at most so many.
    pub fn surveys_of(
        &self,
        device: RecordId,
        (first, last): (Day, Day),
        most: usize,
    ) -> Result<Vec<SurveyRow>, LedgerError> {
        let mut statement = self.conn().prepare_cached(
            "SELECT s.entry, s.day, s.source, s.storage_survey, s.storage_distance
             FROM sheet AS s
             WHERE s.entry <= ?1 AND (s.ended_by IS NULL OR s.ended_by > ?1)
             AND s.device = ?2 AND s.day BETWEEN ?3 AND ?4 AND s.storage_survey IS NOT NULL
             ORDER BY s.day DESC, s.entry DESC LIMIT ?5",
        )?;
        let most = i64::try_from(most).unwrap_or(i64::MAX);
        let parameters = params![self.known_at(), device, first, self.capped(last), most];
        let rows = statement.query_map(parameters, |row| {
            Ok(SurveyRow {
                entry: row.get(0)?,
                day: row.get(1)?,
                source: row.get(2)?,
                read: row.get(3)?,
                at: row.get(4)?,
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// The uses of every item up to a day, by item, day and entry: one pass over all sheets.
    pub fn uses_by_item(&self, last: Day) -> Result<HashMap<RecordId, Vec<UseRow>>, LedgerError> {
        let stands = "s.entry <= ?1 AND (s.ended_by IS NULL OR s.ended_by > ?1) AND s.day <= ?2";
        let mut uses: HashMap<RecordId, Vec<UseRow>> = HashMap::new();
        let sql = format!(
            "SELECT s.entry, s.day, s.exposures, s.device, s.source, s.control_unit
             FROM sheet AS s WHERE {stands} ORDER BY s.day, s.entry"
        );
        let mut statement = self.conn().prepare_cached(&sql)?;
        let mut rows = statement.query(params![self.known_at(), self.capped(last)])?;
        while let Some(row) = rows.next()? {
            let it = use_row(row)?;
            for column in 3..6 {
                if let Some(item) = row.get::<_, Option<RecordId>>(column)? {
                    uses.entry(item).or_default().push(it);
                }
            }
        }
        let sql = format!(
            "SELECT s.entry, s.day, s.exposures, g.tube FROM sheet AS s
             JOIN sheet_guide_tube AS g ON g.entry = s.entry
             WHERE {stands} AND g.tube IS NOT NULL ORDER BY s.day, s.entry"
        );
        let mut statement = self.conn().prepare_cached(&sql)?;
        let mut rows = statement.query(params![self.known_at(), self.capped(last)])?;
        while let Some(row) = rows.next()? {
            uses.entry(row.get(3)?).or_default().push(use_row(row)?);
        }
        Ok(uses)
    }

    /// The sheets on which somebody wore a ratemeter over days, by day and entry.
    pub fn shifts_with_ratemeter(
        &self,
        ratemeter: RecordId,
        first: Day,
        last: Day,
    ) -> Result<Vec<(i64, Day)>, LedgerError> {
        self.rows(
            "SELECT entry, day FROM crew
             WHERE ratemeter = ?2 AND day BETWEEN ?3 AND ?4
               AND entry <= ?1 AND (ended_by IS NULL OR ended_by > ?1)
             ORDER BY day, entry",
            params![self.known_at(), ratemeter, first, self.capped(last)],
            |row| Ok((row.get(0)?, row.get(1)?)),
        )
    }

    /// On how many sheets a kind of thing was used, by the word of the registers; nothing where
    /// sheets do not name such things.
    pub fn shifts_with(&self, kind: &str) -> Result<Option<u64>, LedgerError> {
        let named = match kind {
            "exposure device" => "s.device IS NOT NULL",
            "source assembly" => "s.source IS NOT NULL",
            "control unit" => "s.control_unit IS NOT NULL",
            "survey meter" => "s.meter IS NOT NULL",
            "guide tube" => "s.entry IN (SELECT entry FROM sheet_guide_tube)",
            "alarm ratemeter" => "s.entry IN (SELECT entry FROM crew WHERE ratemeter IS NOT NULL)",
            _ => return Ok(None),
        };
        let sql = format!(
            "SELECT count(*) FROM sheet AS s
             WHERE s.entry <= ?1 AND (s.ended_by IS NULL OR s.ended_by > ?1) AND {named}"
        );
        let mut statement = self.conn().prepare_cached(&sql)?;
        let count: i64 = statement.query_row([self.known_at()], |row| row.get(0))?;
        Ok(u64::try_from(count).ok())
    }

    /// The equipment in which a part with this number is on a day.
    pub fn part_elsewhere(
        &self,
        component: &str,
        serial: &str,
        on: Day,
    ) -> Result<Option<RecordId>, LedgerError> {
        let sql = "SELECT p.equipment FROM fitted_part AS p
             WHERE p.entry <= ?1 AND (p.ended_by IS NULL OR p.ended_by > ?1)
               AND p.component = ?2 COLLATE NOCASE AND p.serial = ?3 AND p.fitted_on <= ?4
               AND NOT EXISTS (SELECT 1 FROM fitted_part AS n
                 WHERE n.entry <= ?1 AND (n.ended_by IS NULL OR n.ended_by > ?1)
                   AND n.equipment = p.equipment AND n.component = p.component
                   AND n.fitted_on > p.fitted_on AND n.fitted_on <= ?4)
             ORDER BY p.fitted_on DESC LIMIT 1";
        let mut statement = self.conn().prepare_cached(sql)?;
        let parameters = params![self.known_at(), component, serial, self.capped(on)];
        Ok(statement
            .query_row(parameters, |row| row.get(0))
            .optional()?)
    }
}
