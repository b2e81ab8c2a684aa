//! Who may sign in at the page and whom it turned away: two tables beside the chain. Nothing here
//! becomes a dose or an entry.

use rusqlite::{Connection, OptionalExtension, Row, params};

use super::entry::{Instant, instant_text};
use super::read::Snapshot;
use super::{Ledger, LedgerError};
use crate::calendar::{Day, parse_day, parse_instant};
use crate::record::RecordId;

/// At most so many rows of refused attempts.
const MOST_REFUSED: i64 = 1_000;

/// What somebody signs in with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PinType {
    /// Short, for the crew.
    Pin,
    /// Long, for whoever may see or decide everything.
    Passphrase,
}

impl PinType {
    /// How people call it.
    pub fn shown(self) -> &'static str {
        match self {
            PinType::Pin => "PIN",
            PinType::Passphrase => "passphrase",
        }
    }

    /// The word that is stored.
    pub fn word(self) -> &'static str {
        match self {
            PinType::Pin => "pin",
            PinType::Passphrase => "passphrase",
        }
    }
}

/// Why the page turned somebody away.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refused {
    /// A PIN that is not the person's, or nobody's name.
    WrongPin,
    /// Locked after too many wrong ones.
    Locked,
    /// A person who has none.
    NoPin,
    /// Something that the person's role does not allow.
    NoRight,
}

impl Refused {
    const ALL: [Refused; 4] = [
        Refused::WrongPin,
        Refused::Locked,
        Refused::NoPin,
        Refused::NoRight,
    ];

    /// The word that is stored, and shown.
    pub fn word(self) -> &'static str {
        match self {
            Refused::WrongPin => "wrong PIN",
            Refused::Locked => "locked",
            Refused::NoPin => "no PIN",
            Refused::NoRight => "no right",
        }
    }
}

/// One person who may sign in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SignInRow {
    /// The person.
    pub worker: RecordId,
    /// With what.
    pub kind: PinType,
    /// The hash, as a PHC string.
    pub hash: String,
    /// How many wrong ones were tried in a row.
    pub failed: i64,
    /// When the last of them was tried.
    pub last_at: Option<Instant>,
}

/// What was refused to one person on one day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RefusedRow {
    /// The day.
    pub day: Day,
    /// The person; nothing where nobody has that name.
    pub worker: Option<RecordId>,
    /// Why.
    pub kind: Refused,
    /// How often.
    pub count: i64,
    /// The last address that was asked for.
    pub about: String,
}

/// Whether somebody may try.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Attempt {
    /// The person has no PIN.
    NoPin,
    /// Not yet; so many wrong ones were tried.
    Wait(SignInRow),
    /// It counts as wrong until it was right.
    Try(SignInRow),
}

const ROW: &str = "SELECT worker, sort, hash, failed, last_at FROM sign_in";

fn from_row(row: &Row<'_>) -> rusqlite::Result<SignInRow> {
    let (kind, last_at): (String, Option<String>) = (row.get(1)?, row.get(4)?);
    Ok(SignInRow {
        worker: row.get(0)?,
        kind: match kind.as_str() {
            "passphrase" => PinType::Passphrase,
            _ => PinType::Pin,
        },
        hash: row.get(2)?,
        failed: row.get(3)?,
        last_at: last_at.and_then(|it| parse_instant(&it).ok().map(|at| at.to_utc())),
    })
}

fn row_of(conn: &Connection, worker: RecordId) -> Result<Option<SignInRow>, LedgerError> {
    let mut statement = conn.prepare_cached(&format!("{ROW} WHERE worker = ?1"))?;
    Ok(statement.query_row([worker], from_row).optional()?)
}

impl Snapshot<'_> {
    /// What a person signs in with.
    pub fn sign_in(&self, worker: RecordId) -> Result<Option<SignInRow>, LedgerError> {
        row_of(self.conn, worker)
    }

    /// What the page refused from a day on, up to a day.
    pub fn refused_attempts(&self, first: Day, last: Day) -> Result<Vec<RefusedRow>, LedgerError> {
        let mut statement = self.conn.prepare_cached(
            "SELECT day, worker, sort, count, about FROM refused_attempt
             WHERE day BETWEEN ?1 AND ?2 ORDER BY day DESC, worker, sort",
        )?;
        let rows = statement.query_map(params![first.to_string(), last.to_string()], |row| {
            let (day, kind): (String, String) = (row.get(0)?, row.get(2)?);
            let worker: RecordId = row.get(1)?;
            let kind = Refused::ALL.into_iter().find(|it| it.word() == kind);
            let read = kind.zip(parse_day(&day).ok());
            let (count, about) = (row.get(3)?, row.get(4)?);
            Ok(read.map(|(kind, day)| RefusedRow {
                day,
                worker: Some(worker).filter(|it| *it != 0),
                kind,
                count,
                about,
            }))
        })?;
        let rows: Vec<Option<RefusedRow>> = rows.collect::<Result<_, _>>()?;
        Ok(rows.into_iter().flatten().collect())
    }
}

impl Ledger {
    /// Sets what a person signs in with, or takes it away. Wrong ones are forgotten with the old
    /// one. Says whether there was one.
    pub fn set_pin(
        &self,
        worker: RecordId,
        pin: Option<(PinType, &str)>,
    ) -> Result<bool, LedgerError> {
        self.beside(|tx| {
            let had = tx.execute("DELETE FROM sign_in WHERE worker = ?1", [worker])? > 0;
            if let Some((kind, hash)) = pin {
                tx.execute(
                    "INSERT INTO sign_in (worker, sort, hash) VALUES (?1, ?2, ?3)",
                    params![worker, kind.word(), hash],
                )?;
            }
            Ok(had)
        })
    }

    /// Begins an attempt to sign in. It is counted as a wrong one before anybody looks at the PIN,
    /// so that many at once, or a server that is killed, win nothing.
    pub fn begin_attempt(
        &self,
        worker: RecordId,
        now: Instant,
        may_try: impl Fn(&SignInRow) -> bool,
    ) -> Result<Attempt, LedgerError> {
        let stands = |conn: &Connection| -> Result<Option<Attempt>, LedgerError> {
            Ok(match row_of(conn, worker)? {
                None => Some(Attempt::NoPin),
                Some(row) if !may_try(&row) => Some(Attempt::Wait(row)),
                Some(_) => None,
            })
        };
        // Whoever has to wait writes nothing.
        if let Some(stands) = stands(&self.conn)? {
            return Ok(stands);
        }
        self.beside(|tx| {
            if let Some(stands) = stands(tx)? {
                return Ok(stands);
            }
            tx.execute(
                "UPDATE sign_in SET failed = failed + 1, last_at = ?2 WHERE worker = ?1",
                params![worker, instant_text(now)],
            )?;
            Ok(row_of(tx, worker)?.map_or(Attempt::NoPin, Attempt::Try))
        })
    }

    /// Ends an attempt that was right: the wrong ones before it are forgotten.
    pub fn end_attempt(&self, worker: RecordId) -> Result<(), LedgerError> {
        self.beside(|tx| {
            tx.execute(
                "UPDATE sign_in SET failed = 0, last_at = NULL WHERE worker = ?1",
                [worker],
            )?;
            Ok(())
        })
    }

    /// Notes that something was refused to somebody. The oldest make room.
    pub fn note_refused(
        &self,
        (day, worker): (Day, Option<RecordId>),
        kind: Refused,
        about: &str,
        now: Instant,
    ) -> Result<(), LedgerError> {
        self.beside(|tx| {
            tx.execute(
                "INSERT INTO refused_attempt (day, worker, sort, count, about, last_at)
                 VALUES (?1, ?2, ?3, 1, ?4, ?5)
                 ON CONFLICT (day, worker, sort) DO UPDATE
                 SET count = count + 1, about = excluded.about, last_at = excluded.last_at",
                params![
                    day.to_string(),
                    worker.unwrap_or(0),
                    kind.word(),
                    about,
                    instant_text(now)
                ],
            )?;
            tx.execute(
                "DELETE FROM refused_attempt WHERE rowid IN (
                     SELECT rowid FROM refused_attempt ORDER BY day DESC, last_at DESC
                     LIMIT -1 OFFSET ?1)",
                [MOST_REFUSED],
            )?;
            Ok(())
        })
    }

    /// Takes what people sign in with out of a copy. A copy travels, and a few digits are soon
    /// guessed from their hash; what is deleted is overwritten in the file.
    pub(super) fn strip_pins(&self) -> Result<(), LedgerError> {
        if self.conn.table_exists(None, "sign_in")? {
            self.conn.execute("DELETE FROM sign_in", [])?;
        }
        Ok(())
    }
}
