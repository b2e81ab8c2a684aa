//! Who was told what, and how bad it was then: a table beside the chain. An alert stands in it by a
//! digest of its key.

use std::collections::HashMap;

use rusqlite::params;
use sha2::{Digest, Sha256};

use super::entry::{Instant, instant_text};
use super::read::Snapshot;
use super::{Ledger, LedgerError};
use crate::calendar::parse_instant;
use crate::record::RecordId;

/// At most so many rows a reader.
const MOST: usize = 5_000;

/// What a reader was told of one alert.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Told {
    /// How bad it was.
    pub degree: i64,
    /// When it was told first.
    pub first_at: Instant,
    /// When it was told last.
    pub last_at: Instant,
    /// Whether the reader said that it was seen.
    pub is_seen: bool,
}

/// What one alert is told by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Telling<'a> {
    /// What tells it from all others.
    pub key: &'a str,
    /// How bad it is.
    pub degree: i64,
    /// Whether it is told now; else it stood already, and may be less bad than it was.
    pub now: bool,
}

/// By what an alert stands in the table.
#[must_use]
pub fn alert_digest(key: &str) -> [u8; 32] {
    Sha256::digest(key.as_bytes()).into()
}

impl Snapshot<'_> {
    /// What a reader was told, by the digest of the alert.
    pub fn alerts_told(&self, reader: RecordId) -> Result<HashMap<[u8; 32], Told>, LedgerError> {
        let rows = self.rows(
            "SELECT alert, degree, first_at, last_at, seen_at FROM alert_told WHERE reader = ?1",
            [reader],
            |row| {
                let moment = |text: String| parse_instant(&text).ok().map(|it| it.to_utc());
                let (alert, degree): ([u8; 32], i64) = (row.get(0)?, row.get(1)?);
                let at = moment(row.get(2)?).zip(moment(row.get(3)?));
                let is_seen = row.get::<_, Option<String>>(4)?.is_some();
                Ok(at.map(|(first_at, last_at)| {
                    let told = Told {
                        degree,
                        first_at,
                        last_at,
                        is_seen,
                    };
                    (alert, told)
                }))
            },
        )?;
        Ok(rows.into_iter().flatten().collect())
    }
}

impl Ledger {
    /// Notes what a reader was told, of everything that stands. What stands no more is forgotten:
    /// should it come back, it is told again.
    ///
    /// # Errors
    /// The ledger cannot be written.
    pub fn note_alerts(
        &self,
        reader: RecordId,
        all: &[Telling<'_>],
        now: Instant,
    ) -> Result<(), LedgerError> {
        self.beside(|tx| {
            let sql = "SELECT alert FROM alert_told WHERE reader = ?1";
            let mut statement = tx.prepare(sql)?;
            let known = statement.query_map([reader], |row| row.get::<_, [u8; 32]>(0))?;
            let known: Vec<[u8; 32]> = known.collect::<Result<_, _>>()?;
            drop(statement);
            let stands: Vec<[u8; 32]> = all.iter().map(|it| alert_digest(it.key)).collect();
            for gone in known.iter().filter(|it| !stands.contains(it)) {
                tx.execute(
                    "DELETE FROM alert_told WHERE reader = ?1 AND alert = ?2",
                    params![reader, &gone[..]],
                )?;
            }
            let now = instant_text(now);
            for (it, alert) in all.iter().zip(&stands).take(MOST) {
                if !it.now {
                    tx.execute(
                        "UPDATE alert_told SET degree = min(degree, ?3)
                         WHERE reader = ?1 AND alert = ?2",
                        params![reader, &alert[..], it.degree],
                    )?;
                    continue;
                }
                // What got worse was not seen yet.
                tx.execute(
                    "INSERT INTO alert_told (reader, alert, degree, first_at, last_at)
                     VALUES (?1, ?2, ?3, ?4, ?4)
                     ON CONFLICT (reader, alert) DO UPDATE
                     SET seen_at = CASE WHEN excluded.degree > degree THEN NULL ELSE seen_at END,
                         degree = excluded.degree, last_at = excluded.last_at",
                    params![reader, &alert[..], it.degree, now],
                )?;
            }
            Ok(())
        })
    }

    /// Notes that a reader saw some of what stands, each by what tells it from all others and how
    /// bad it is. Says how many were not seen yet.
    ///
    /// # Errors
    /// The ledger cannot be written.
    pub fn see_alerts_of(
        &self,
        reader: RecordId,
        these: &[(&str, i64)],
        now: Instant,
    ) -> Result<usize, LedgerError> {
        self.beside(|tx| {
            let mut count = 0;
            for (key, degree) in these {
                count += tx.execute(
                    "INSERT INTO alert_told (reader, alert, degree, first_at, last_at, seen_at)
                     VALUES (?1, ?2, ?3, ?4, ?4, ?4)
                     ON CONFLICT (reader, alert) DO UPDATE
                     SET degree = excluded.degree, seen_at = excluded.seen_at
                     WHERE seen_at IS NULL OR degree < excluded.degree",
                    params![reader, &alert_digest(key)[..], degree, instant_text(now)],
                )?;
            }
            Ok(count)
        })
    }

    /// Notes that a reader saw everything that he was told. Says how much of it was new.
    ///
    /// # Errors
    /// The ledger cannot be written.
    pub fn see_alerts(&self, reader: RecordId, now: Instant) -> Result<usize, LedgerError> {
        self.beside(|tx| {
            let sql = "UPDATE alert_told SET seen_at = ?2 WHERE reader = ?1 AND seen_at IS NULL";
            Ok(tx.execute(sql, params![reader, instant_text(now)])?)
        })
    }
}
