//! One entry as it is stored.

use chrono::{DateTime, SecondsFormat, Utc};

use rusqlite::ToSql;
use rusqlite::types::ToSqlOutput;

use super::chain::Hash;
use crate::record::{Body, Id, Kind, RecordId, UnreadableBody};

/// A moment of writing, UTC, whole seconds.
pub type Instant = DateTime<Utc>;

/// How a moment of writing is stored: `2026-06-14T21:03:11Z`.
pub(super) fn instant_text(at: Instant) -> String {
    at.to_rfc3339_opts(SecondsFormat::Secs, true)
}

/// A row holds the number of a record; of which kind it is, the column's foreign key says.
impl<T> ToSql for Id<T> {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(self.number().into())
    }
}

/// One immutable entry, header and body.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Its number.
    pub seq: i64,
    /// The number of the first entry of the same record.
    pub record: RecordId,
    /// The kind's word.
    pub kind: String,
    /// The version of the body's form.
    pub version: i64,
    /// When the program wrote it.
    pub written_at: String,
    /// The name that the writer claimed.
    pub written_by: String,
    /// The operating system's user.
    pub os_user: String,
    /// The entry that it replaces.
    pub ends: Option<i64>,
    /// Why.
    pub reason: Option<String>,
    /// Whether it was copied from paper.
    pub transcribed: bool,
    /// Canonical JSON, or nothing where it voids the record.
    pub body: Option<String>,
    /// Hash over the previous hash and everything above.
    pub hash: Hash,
}

impl Entry {
    /// The columns of `entry`, in the order in which `from_row` reads them.
    pub(super) const COLUMNS: &'static str = "seq, record, kind, version, written_at, \
         written_by, os_user, ends, reason, transcribed, body, hash";

    pub(super) fn from_row(row: &rusqlite::Row<'_>) -> rusqlite::Result<Entry> {
        Ok(Entry {
            seq: row.get(0)?,
            record: row.get(1)?,
            kind: row.get(2)?,
            version: row.get(3)?,
            written_at: row.get(4)?,
            written_by: row.get(5)?,
            os_user: row.get(6)?,
            ends: row.get(7)?,
            reason: row.get(8)?,
            transcribed: row.get(9)?,
            body: row.get(10)?,
            hash: Hash(row.get(11)?),
        })
    }

    /// The word that people read for its kind; the stored one where this program does not know it.
    pub fn kind_word(&self) -> &str {
        match Kind::from_stored(&self.kind) {
            Some(kind) => kind.word(),
            None => &self.kind,
        }
    }

    /// The typed body; nothing where the entry voids its record.
    pub fn read_body(&self) -> Result<Option<Body>, UnreadableBody> {
        let Some(text) = &self.body else {
            return Ok(None);
        };
        let Some(kind) = Kind::from_stored(&self.kind) else {
            return Err(UnreadableBody::UnknownKind {
                kind: self.kind.clone(),
            });
        };
        Body::read(kind, self.version, text).map(Some)
    }
}
