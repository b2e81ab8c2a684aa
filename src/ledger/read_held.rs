//! Reading what is held, with what was ruled, and the starts of shifts.

use super::LedgerError;
use super::read::{Snapshot, Stored};
use crate::calendar::Day;
use crate::record::{Disposition, RecordId, ShiftStart};

/// One held item of a sheet, a badge, a result or a source.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldRow {
    /// The entry.
    pub entry: i64,
    /// The item, counted from 1.
    pub item: i64,
    /// The sheet, badge, result or source.
    pub record: RecordId,
    /// The sheet's day, the badge's first day of wear, the day of the report, or the reference
    /// day of a source.
    pub day: Day,
    /// The person's place on the sheet.
    pub person: Option<i64>,
    /// The part of the reading.
    pub part: Option<i64>,
    /// Which of the person's readings, from 1; nothing: every reading of the part.
    pub reading: Option<i64>,
    /// The word for why it is held.
    pub kind: String,
    /// What it is about.
    pub about: String,
    /// The disposition, where there is one.
    pub disposition: Option<Disposition>,
}

impl Snapshot<'_> {
    /// The starts of shifts of these days, by day and entry.
    pub fn shift_starts(
        &self,
        first: Day,
        last: Day,
    ) -> Result<Vec<Stored<ShiftStart>>, LedgerError> {
        self.of_days("shift_start", first, last)
    }

    /// Every held item of what is in force, ruled upon or not, by day.
    pub fn held(&self) -> Result<Vec<HeldRow>, LedgerError> {
        let dispositions = self.all::<Disposition>()?;
        let mut statement = self.conn().prepare_cached(
            "SELECT held.entry, held.ordinal, entry.record,
                    coalesce(sheet.day, badge.first_day, badge_result.reported_on,
                             entry.body ->> 'activity_on') AS on_day,
                    held.person, held.part, held.reading, held.sort, held.about
             FROM held JOIN entry ON entry.seq = held.entry
             LEFT JOIN sheet ON sheet.entry = held.entry
             LEFT JOIN badge ON badge.entry = held.entry
             LEFT JOIN badge_result ON badge_result.entry = held.entry
             WHERE held.entry <= ?1 AND (held.ended_by IS NULL OR held.ended_by > ?1)
             ORDER BY on_day, held.entry, held.ordinal",
        )?;
        let rows = statement.query_map([self.known_at()], |row| {
            Ok(HeldRow {
                entry: row.get(0)?,
                item: row.get(1)?,
                record: row.get(2)?,
                day: row.get(3)?,
                person: row.get(4)?,
                part: row.get(5)?,
                reading: row.get(6)?,
                kind: row.get(7)?,
                about: row.get(8)?,
                disposition: None,
            })
        })?;
        let mut held: Vec<HeldRow> = rows.collect::<Result<_, _>>()?;
        for row in &mut held {
            row.disposition = dispositions
                .iter()
                .map(|it| &it.body)
                .find(|it| (it.entry, it.item) == (row.entry, row.item))
                .cloned();
        }
        Ok(held)
    }
}
