//! The private table: what must be erasable, beside the chain. An entry of the kind `private`
//! leads to each row and seals it.

use rusqlite::{Connection, OptionalExtension, params};
use sha2::{Digest, Sha256};

use super::append::Writer;
use super::chain::Hash;
use super::chain_check::Fault;
use super::read::Snapshot;
use super::written::Written;
use super::{LedgerError, Refusal};
use crate::record::{Body, ClockType, Id, Kept, Kind, Private, RecordId, Words, Worker};

/// Why the content of a private record is not there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Gone {
    /// It was erased.
    Erased {
        /// When, by the program's clock.
        at: String,
        /// The name that was claimed.
        by: String,
        /// Why.
        reason: String,
    },
    /// The ledger was made from an export, which has no private content.
    NotRestored,
    /// Nobody knows: the row is not as it was written.
    Missing,
}

/// A private record of a person, in its newest form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PrivateRow {
    /// The entry that is in force.
    pub entry: i64,
    /// The record.
    pub record: RecordId,
    /// The person.
    pub worker: RecordId,
    /// What is kept, or why it is not there.
    pub content: Result<Kept, Gone>,
}

/// A row as the tables have it.
struct Stored {
    entry: i64,
    record: RecordId,
    worker: RecordId,
    reference: String,
    erased: bool,
    written_at: String,
    written_by: String,
    reason: Option<String>,
    salt: Option<Vec<u8>>,
    content: Option<String>,
    gone: Option<String>,
}

/// What leads from the entries to the rows, in force or not.
const JOINED: &str = "SELECT it.entry, it.record, it.worker, it.reference, it.erased,
           entry.written_at, entry.written_by, entry.reason,
           private.salt, private.content, private.gone
    FROM private_record it JOIN entry ON entry.seq = it.entry
    LEFT JOIN private ON private.reference = it.reference";

impl Stored {
    fn from_row(row: &rusqlite::Row<'_>) -> rusqlite::Result<Stored> {
        Ok(Stored {
            entry: row.get(0)?,
            record: row.get(1)?,
            worker: row.get(2)?,
            reference: row.get(3)?,
            erased: row.get(4)?,
            written_at: row.get(5)?,
            written_by: row.get(6)?,
            reason: row.get(7)?,
            salt: row.get(8)?,
            content: row.get(9)?,
            gone: row.get(10)?,
        })
    }

    /// Whether the content is what the entry sealed.
    fn is_sealed(&self) -> bool {
        match (&self.salt, &self.content) {
            (Some(salt), Some(content)) => reference(salt, content) == self.reference,
            _ => false,
        }
    }

    fn read(self) -> PrivateRow {
        let content = match (&self.content, self.gone.as_deref()) {
            (Some(text), _) if self.is_sealed() => {
                serde_json::from_str(text).map_err(|_| Gone::Missing)
            }
            (None, Some("not restored")) if !self.erased => Err(Gone::NotRestored),
            // Content that was erased later is gone from an earlier moment too.
            _ if self.erased => Err(Gone::Erased {
                at: self.written_at,
                by: self.written_by,
                reason: self.reason.unwrap_or_default(),
            }),
            _ => Err(Gone::Missing),
        };
        PrivateRow {
            entry: self.entry,
            record: self.record,
            worker: self.worker,
            content,
        }
    }
}

fn reference(salt: &[u8], content: &str) -> String {
    let digest = Sha256::new()
        .chain_update(salt)
        .chain_update(content)
        .finalize();
    Hash(digest.into()).to_string()
}

fn all_rows(
    conn: &Connection,
    sql: &str,
    at: &[&dyn rusqlite::ToSql],
) -> Result<Vec<Stored>, LedgerError> {
    let mut statement = conn.prepare_cached(sql)?;
    let rows = statement.query_map(at, Stored::from_row)?;
    Ok(rows.collect::<Result<_, _>>()?)
}

impl Snapshot<'_> {
    /// The private records of everybody, or of one person, in the order of writing.
    pub fn private(&self, worker: Option<RecordId>) -> Result<Vec<PrivateRow>, LedgerError> {
        let sql = format!(
            "{JOINED} WHERE it.entry <= ?1 AND (it.ended_by IS NULL OR it.ended_by > ?1)
               AND (?2 IS NULL OR it.worker = ?2) ORDER BY it.entry"
        );
        let mut rows = all_rows(self.conn, &sql, params![self.at, worker])?;
        for row in rows
            .iter_mut()
            .filter(|it| it.gone.as_deref() == Some("erased"))
        {
            self.erased_since(row)?;
        }
        Ok(rows.into_iter().map(Stored::read).collect())
    }

    /// Of content that was erased after the moment that is asked for: when, by whom and why.
    fn erased_since(&self, row: &mut Stored) -> Result<(), LedgerError> {
        let found = self
            .conn
            .prepare_cached(
                "SELECT entry.written_at, entry.written_by, entry.reason
                 FROM private_record it JOIN entry ON entry.seq = it.entry
                 WHERE it.record = ?1 AND it.erased = 1 ORDER BY it.entry LIMIT 1",
            )?
            .query_row([row.record], |found| {
                Ok((found.get(0)?, found.get(1)?, found.get(2)?))
            })
            .optional()?;
        if let Some((at, by, reason)) = found {
            (row.written_at, row.written_by, row.reason) = (at, by, reason);
            row.erased = true;
        }
        Ok(())
    }
}

impl Writer<'_> {
    /// Writes that something private of a person is on file, and puts it into the private table;
    /// `replaces` names the entry in force that it takes the place of, and why.
    pub fn keep_private(
        &mut self,
        worker: Id<Worker>,
        kept: &Kept,
        replaces: Option<(i64, &str)>,
    ) -> Result<Written, LedgerError> {
        let content = serde_json::to_string(kept).map_err(|error| LedgerError::Damaged {
            detail: error.to_string(),
        })?;
        let salt = self.salt()?;
        let reference = reference(&salt, &content);
        let body = Private {
            erased: false,
            reference: reference.clone(),
            worker,
        };
        let written = match replaces {
            None => self.append(body.into(), false)?,
            Some((entry, reason)) => self.amend(entry, body.into(), reason, false)?,
        };
        self.tx.execute(
            "INSERT INTO private (reference, salt, content) VALUES (?1, ?2, ?3)",
            params![reference, salt, content],
        )?;
        Ok(written)
    }

    /// Erases the content of a private record, all that it ever was. The chain says that, when,
    /// by whom and why.
    pub fn erase_private(&mut self, entry: i64, reason: &str) -> Result<Written, LedgerError> {
        let old = super::read::entry(self.tx, entry)?;
        let body = old
            .read_body()
            .map_err(|detail| LedgerError::Unreadable { seq: entry, detail })?;
        let Some(Body::Private(before)) = body else {
            return Err(Refusal::NoSuchRecord {
                kind: Kind::Private,
                id: entry,
            }
            .into());
        };
        let body = Private {
            erased: true,
            ..*before
        };
        let written = self.amend(entry, body.into(), reason, false)?;
        self.tx.execute(
            "UPDATE private SET salt = NULL, content = NULL, gone = 'erased'
             WHERE reference IN (SELECT reference FROM private_record WHERE record = ?1)",
            [old.record],
        )?;
        // A row that was lost is erased as well.
        self.tx.execute(
            "INSERT INTO private (reference, gone)
             SELECT DISTINCT reference, 'erased' FROM private_record
             WHERE record = ?1 AND reference NOT IN (SELECT reference FROM private)",
            [old.record],
        )?;
        Ok(written)
    }

    /// 32 bytes that nobody can guess. A demonstration must come out the same each time and holds
    /// nobody's records: there they come from the head of its chain.
    fn salt(&self) -> Result<Vec<u8>, LedgerError> {
        let clock = "SELECT clock FROM charter ORDER BY entry DESC LIMIT 1";
        let clock: Option<String> = self.tx.query_row(clock, [], |row| row.get(0)).optional()?;
        if clock.as_deref() == Some(ClockType::Scripted.stored()) {
            let (count, head) = self.head();
            let seed = format!("a scripted salt, {count}:{head}");
            return Ok(Sha256::digest(seed.as_bytes()).to_vec());
        }
        Ok(self
            .tx
            .query_row("SELECT randomblob(32)", [], |row| row.get(0))?)
    }
}

/// Says of every private record whose content an export does not have that it is not there.
pub(super) fn not_restored(conn: &Connection) -> Result<(), LedgerError> {
    conn.execute(
        "INSERT INTO private (reference, gone)
         SELECT it.reference,
                CASE WHEN EXISTS (SELECT 1 FROM private_record gone
                                  WHERE gone.record = it.record AND gone.erased = 1)
                     THEN 'erased' ELSE 'not restored' END
         FROM private_record it GROUP BY it.reference",
        [],
    )?;
    Ok(())
}

/// Where the private table is not as its entries say: content changed or taken away, or a row
/// that no entry leads to.
pub(super) fn faults(conn: &Connection) -> Result<Vec<Fault>, LedgerError> {
    let erased: Vec<RecordId> = {
        let mut statement = conn.prepare("SELECT record FROM private_record WHERE erased = 1")?;
        let rows = statement.query_map([], |row| row.get(0))?;
        rows.collect::<Result<_, _>>()?
    };
    let mut faults = Vec::new();
    for row in all_rows(conn, &format!("{JOINED} ORDER BY it.entry"), &[])? {
        let is_erased = erased.contains(&row.record);
        let what = match (&row.content, row.gone.as_deref()) {
            (Some(_), _) if is_erased => "its content was erased and stands there all the same",
            (Some(_), _) if row.is_sealed() => continue,
            (Some(_), _) => "its content in the private table was changed",
            (None, Some("erased")) if is_erased => continue,
            (None, Some("not restored")) if !is_erased => continue,
            (None, Some(_)) => "its content is gone, and no entry says that it was erased",
            (None, None) => "its row in the private table is missing",
        };
        faults.push(Fault {
            entry: Some(row.entry),
            what: format!(
                "{what}; a backup may have it, else, after `wearbook ledger rebuild`: \
                 `wearbook private erase ID lost --reason WHY`"
            ),
        });
    }
    let stray = "SELECT count(*) FROM private
                 WHERE reference NOT IN (SELECT reference FROM private_record)";
    let stray: i64 = conn.query_row(stray, [], |row| row.get(0))?;
    if stray > 0 {
        let rows = crate::text::counted(stray, "row", "rows");
        let what = format!("the private table has {rows} to which no entry leads");
        faults.push(Fault { entry: None, what });
    }
    Ok(faults)
}

/// How many entries say what is private themselves: those of older programs.
pub(super) fn chained(conn: &Connection) -> Result<i64, LedgerError> {
    let sql = "SELECT count(*) FROM entry WHERE kind IN (?1, ?2) AND body IS NOT NULL";
    let kinds = (Kind::Pregnancy.stored(), Kind::PregnancyEnd.stored());
    Ok(conn.query_row(sql, kinds, |row| row.get(0))?)
}
