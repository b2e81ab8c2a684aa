//! Who may subscribe to the calendar: hashes of secrets, beside the chain. Nothing here becomes a
//! dose or an entry.

use rusqlite::{OptionalExtension, params};
use sha2::{Digest, Sha256};

use super::entry::{Instant, instant_text};
use super::read::Snapshot;
use super::{Ledger, LedgerError};

/// At most so many are in force; withdrawn ones beyond as many again are forgotten.
const MOST: i64 = 50;

/// One address that a calendar program may ask for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CalendarSecret {
    /// Its number, by which it is withdrawn.
    pub number: i64,
    /// When it was made, as the clock said.
    pub made_at: String,
    /// Who made it.
    pub made_by: String,
    /// Whose calendar it is for.
    pub for_whom: String,
    /// When it was withdrawn.
    pub withdrawn_at: Option<String>,
}

/// What a secret opens.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CalendarDoor {
    /// Nothing: no such secret was ever given out, or it is long forgotten.
    Unknown,
    /// Nothing any more.
    Withdrawn,
    /// The calendar.
    Open,
}

fn digest(secret: &str) -> [u8; 32] {
    Sha256::digest(secret.as_bytes()).into()
}

impl Snapshot<'_> {
    /// What a secret opens.
    pub fn calendar_door(&self, secret: &str) -> Result<CalendarDoor, LedgerError> {
        let sql = "SELECT withdrawn_at FROM calendar_secret WHERE hash = ?1";
        let mut statement = self.conn.prepare_cached(sql)?;
        let found = statement.query_row([&digest(secret)[..]], |row| row.get(0));
        Ok(match found.optional()? {
            None => CalendarDoor::Unknown,
            Some(None::<String>) => CalendarDoor::Open,
            Some(Some(_)) => CalendarDoor::Withdrawn,
        })
    }

    /// Every secret that is known, the newest last.
    pub fn calendar_secrets(&self) -> Result<Vec<CalendarSecret>, LedgerError> {
        self.rows(
            "SELECT number, made_at, made_by, for_whom, withdrawn_at FROM calendar_secret
             ORDER BY number",
            [],
            |row| {
                Ok(CalendarSecret {
                    number: row.get(0)?,
                    made_at: row.get(1)?,
                    made_by: row.get(2)?,
                    for_whom: row.get(3)?,
                    withdrawn_at: row.get(4)?,
                })
            },
        )
    }
}

impl Ledger {
    /// Keeps the hash of a new secret. Says its number; nothing where there are too many.
    ///
    /// # Errors
    /// The ledger cannot be written.
    pub fn add_calendar(
        &self,
        secret: &str,
        (by, for_whom): (&str, &str),
        now: Instant,
    ) -> Result<Option<i64>, LedgerError> {
        self.beside(|tx| {
            let sql = "SELECT count(*) FROM calendar_secret WHERE withdrawn_at IS NULL";
            let in_force: i64 = tx.query_row(sql, [], |row| row.get(0))?;
            if in_force >= MOST {
                return Ok(None);
            }
            tx.execute(
                "DELETE FROM calendar_secret WHERE number IN (
                     SELECT number FROM calendar_secret WHERE withdrawn_at IS NOT NULL
                     ORDER BY number DESC LIMIT -1 OFFSET ?1)",
                [MOST],
            )?;
            // A number is never given out twice: somebody may have written it down.
            let next = "SELECT coalesce(max(number), 0) + 1 FROM calendar_secret";
            let number: i64 = tx.query_row(next, [], |row| row.get(0))?;
            tx.execute(
                "INSERT INTO calendar_secret (number, hash, made_at, made_by, for_whom)
                 VALUES (?1, ?2, ?3, ?4, ?5)",
                params![number, &digest(secret)[..], instant_text(now), by, for_whom],
            )?;
            Ok(Some(number))
        })
    }

    /// Withdraws a secret. Says what it opened before.
    ///
    /// # Errors
    /// The ledger cannot be written.
    pub fn withdraw_calendar(
        &self,
        number: i64,
        now: Instant,
    ) -> Result<CalendarDoor, LedgerError> {
        self.beside(|tx| {
            let sql = "SELECT withdrawn_at FROM calendar_secret WHERE number = ?1";
            let found = tx.query_row(sql, [number], |row| row.get::<_, Option<String>>(0));
            match found.optional()? {
                None => Ok(CalendarDoor::Unknown),
                Some(Some(_)) => Ok(CalendarDoor::Withdrawn),
                Some(None) => {
                    tx.execute(
                        "UPDATE calendar_secret SET withdrawn_at = ?2 WHERE number = ?1",
                        params![number, instant_text(now)],
                    )?;
                    Ok(CalendarDoor::Open)
                }
            }
        })
    }

    /// Takes the secrets out of a copy: an address opens the ledger that it was made for alone.
    pub(super) fn strip_calendars(&self) -> Result<(), LedgerError> {
        if self.conn.table_exists(None, "calendar_secret")? {
            self.conn.execute("DELETE FROM calendar_secret", [])?;
        }
        Ok(())
    }
}
