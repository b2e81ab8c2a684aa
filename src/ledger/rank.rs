//! Records counted among those of their kind, in the order in which they were first written: a
//! short number that never changes, since nothing is ever taken out.

use rusqlite::OptionalExtension;

use super::error::LedgerError;
use super::read::Snapshot;
use crate::record::{Kind, RecordId};

impl Snapshot<'_> {
    /// Which of its kind a record is, counted from 1, the void ones among them.
    pub fn rank(&self, kind: Kind, record: RecordId) -> Result<u64, LedgerError> {
        let sql = "SELECT count(*) FROM record WHERE kind = ?1 AND id <= ?2";
        let mut statement = self.conn().prepare_cached(sql)?;
        let count: i64 = statement.query_row((kind.stored(), record), |row| row.get(0))?;
        Ok(u64::try_from(count).unwrap_or_default())
    }

    /// The record of a kind with this rank and its key, in force or void.
    pub fn of_rank(
        &self,
        kind: Kind,
        rank: u64,
    ) -> Result<Option<(RecordId, String)>, LedgerError> {
        let Some(before) = rank.checked_sub(1).and_then(|it| i64::try_from(it).ok()) else {
            return Ok(None);
        };
        let sql = "SELECT id, key FROM record WHERE kind = ?1 ORDER BY id LIMIT 1 OFFSET ?2";
        let mut statement = self.conn().prepare_cached(sql)?;
        let found = statement.query_row((kind.stored(), before), |row| {
            Ok((row.get(0)?, row.get(1)?))
        });
        Ok(found.optional()?)
    }
}
