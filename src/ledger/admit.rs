//! Whether an entry may stand, decided inside the write: references must be in
//! force, a key belongs to one record, and nothing that others point to goes.

use rusqlite::{Connection, OptionalExtension, Row};

use super::written::Written;
use super::{LedgerError, Refusal, derive, read};
use crate::record::{Body, Kind, Pointer, RecordId, header_problem};

/// Refuses a body that contradicts itself. One that takes the place of another does not answer
/// for what that one has as well: an older program may have taken what this one refuses, and a
/// dose must stay correctable.
pub(super) fn check_body(body: &Body, before: Option<&Body>) -> Result<(), LedgerError> {
    let mut problems = body.problems();
    if let (false, Some(before)) = (problems.is_empty(), before) {
        let known = before.problems();
        problems.retain(|it| !known.contains(it));
    }
    if problems.is_empty() {
        Ok(())
    } else {
        Err(Refusal::Problems {
            kind: body.kind(),
            problems,
        }
        .into())
    }
}

/// Refuses an author or a reason that holds what no text may hold.
pub(super) fn check_header(field: &str, text: &str) -> Result<(), LedgerError> {
    match header_problem(field, text) {
        None => Ok(()),
        Some(problem) => Err(Refusal::Header(problem).into()),
    }
}

/// The kind of a record that is in force.
pub(super) fn kind_in_force(
    conn: &Connection,
    record: RecordId,
) -> Result<Option<Kind>, LedgerError> {
    let word: Option<String> = conn
        .prepare_cached("SELECT kind FROM record WHERE id = ?1 AND voided = 0")?
        .query_row([record], |row| row.get(0))
        .optional()?;
    Ok(word.as_deref().and_then(Kind::from_stored))
}

/// The refusal of a reference to nothing.
pub(super) fn dangling(pointer: Pointer) -> LedgerError {
    let kind = pointer.kinds.first().copied().unwrap_or(Kind::Equipment);
    Refusal::NoSuchRecord {
        kind,
        id: pointer.record,
    }
    .into()
}

/// What the ledger already has under this key: the same content in any version of a record
/// that has or had this name (success, nothing to write), other content or a void record
/// (refused), or nothing.
pub(super) fn same_key(
    conn: &Connection,
    body: &Body,
    key: &str,
) -> Result<Option<Written>, LedgerError> {
    if let Some(numbered) = Named::of_row(conn, body)? {
        return match version_that_says(conn, numbered.current, body)? {
            Some(entry) => numbered.already(body, key, entry).map(Some),
            None => Err(numbered.taken(conn, body, key)?),
        };
    }
    let holder = Named::holder(conn, body, key)?;
    if let Some(holder) = &holder
        && let Some(entry) = version_that_says(conn, holder.current, body)?
    {
        return holder.already(body, key, entry).map(Some);
    }
    for former in Named::former_holders(conn, body, key)? {
        if let Some(entry) = version_that_says(conn, former.current, body)? {
            return former.already(body, key, entry).map(Some);
        }
    }
    match holder {
        None => Ok(None),
        Some(holder) => Err(holder.taken(conn, body, key)?),
    }
}

/// A record that has or had a name.
struct Named {
    record: RecordId,
    current: i64,
    voided: bool,
}

impl Named {
    fn from_row(row: &Row<'_>) -> rusqlite::Result<Named> {
        Ok(Named {
            record: row.get(0)?,
            current: row.get(1)?,
            voided: row.get(2)?,
        })
    }

    fn holder(conn: &Connection, body: &Body, key: &str) -> Result<Option<Named>, LedgerError> {
        Ok(conn
            .prepare_cached("SELECT id, current, voided FROM record WHERE kind = ?1 AND key = ?2")?
            .query_row((body.kind().stored(), key), Named::from_row)
            .optional()?)
    }

    /// The record that has the row of this body in the office's own file.
    fn of_row(conn: &Connection, body: &Body) -> Result<Option<Named>, LedgerError> {
        let Some(row) = body.row() else {
            return Ok(None);
        };
        let sql = "SELECT id, current, voided FROM record WHERE kind = ?1 AND own_row = ?2";
        Ok(conn
            .prepare_cached(sql)?
            .query_row((body.kind().stored(), row), Named::from_row)
            .optional()?)
    }

    fn former_holders(
        conn: &Connection,
        body: &Body,
        key: &str,
    ) -> Result<Vec<Named>, LedgerError> {
        // One plain look-up first: almost every key of a bulk import was never used before.
        let mut records: Vec<RecordId> = conn
            .prepare_cached("SELECT record FROM former_key WHERE kind = ?1 AND key = ?2")?
            .query_map((body.kind().stored(), key), |row| row.get(0))?
            .collect::<Result<_, _>>()?;
        records.sort_unstable();
        records.dedup();
        let mut holders = Vec::new();
        for record in records {
            holders.push(
                conn.prepare_cached("SELECT id, current, voided FROM record WHERE id = ?1")?
                    .query_row([record], Named::from_row)?,
            );
        }
        Ok(holders)
    }

    /// That an entry of this record says it; but what is void is in force nowhere, so that is
    /// no success.
    fn already(&self, body: &Body, key: &str, entry: i64) -> Result<Written, LedgerError> {
        if self.voided {
            return Err(self.void(body, key).into());
        }
        Ok(Written::Already {
            entry,
            record: self.record,
            corrected_by: (entry != self.current).then_some(self.current),
        })
    }

    fn void(&self, body: &Body, key: &str) -> Refusal {
        Refusal::Voided {
            kind: body.kind(),
            key: key.to_owned(),
            entry: self.current,
        }
    }

    /// The refusal of a body that takes the name of this record.
    fn taken(&self, conn: &Connection, body: &Body, key: &str) -> Result<LedgerError, LedgerError> {
        if self.voided {
            return Ok(self.void(body, key).into());
        }
        other_content(conn, body, key, self)
    }
}

/// The version of a record, newest first, that has this content.
fn version_that_says(
    conn: &Connection,
    current: i64,
    body: &Body,
) -> Result<Option<i64>, LedgerError> {
    let content = body.content();
    let mut at = Some(current);
    while let Some(seq) = at {
        let entry = read::entry(conn, seq)?;
        let said = entry
            .read_body()
            .map_err(|detail| LedgerError::Unreadable { seq, detail })?;
        if said.is_some_and(|said| said.content() == content) {
            return Ok(Some(seq));
        }
        at = entry.ends;
    }
    Ok(None)
}

/// Refuses an amendment that takes the name of another record.
pub(super) fn key_is_free(
    conn: &Connection,
    body: &Body,
    key: &str,
    record: RecordId,
) -> Result<(), LedgerError> {
    let holders = [Named::holder(conn, body, key)?, Named::of_row(conn, body)?];
    match holders.iter().flatten().find(|it| it.record != record) {
        Some(holder) => Err(holder.taken(conn, body, key)?),
        None => Ok(()),
    }
}

fn other_content(
    conn: &Connection,
    body: &Body,
    key: &str,
    holder: &Named,
) -> Result<LedgerError, LedgerError> {
    let seq = holder.current;
    let old = read::entry(conn, seq)?
        .read_body()
        .map_err(|detail| LedgerError::Unreadable { seq, detail })?;
    Ok(Refusal::SameKey {
        kind: body.kind(),
        key: key.to_owned(),
        entry: seq,
        // What is not void has a body.
        old: Box::new(old.unwrap_or_else(|| body.clone())),
        new: Box::new(body.clone()),
    }
    .into())
}

/// Refuses an amendment after which a reference would point to the wrong thing.
pub(super) fn amendment(
    conn: &Connection,
    record: RecordId,
    before: &Body,
    after: &Body,
) -> Result<(), LedgerError> {
    let turns_into_another_thing = match (before, after) {
        (Body::Instrument(old), Body::Instrument(new)) => old.kind != new.kind,
        (Body::Equipment(old), Body::Equipment(new)) => old.kind != new.kind,
        (Body::Pregnancy(old), Body::Pregnancy(new)) => old.worker != new.worker,
        _ => false,
    };
    if turns_into_another_thing {
        refuse_if_referred(
            conn,
            record,
            "the correction makes it another item".to_owned(),
        )?;
    }
    Ok(())
}

/// Refuses to void what others point to.
pub(super) fn voiding(conn: &Connection, kind: Kind, record: RecordId) -> Result<(), LedgerError> {
    if kind == Kind::Charter {
        return Err(Refusal::CharterStays.into());
    }
    if kind == Kind::Private {
        return Err(Refusal::PrivateStays.into());
    }
    if kind == Kind::EvidenceErasure {
        return Err(Refusal::ErasureStays.into());
    }
    refuse_if_referred(conn, record, format!("the {} would be void", kind.word()))
}

fn refuse_if_referred(
    conn: &Connection,
    record: RecordId,
    what: String,
) -> Result<(), LedgerError> {
    const SHOWN: usize = 12;
    let referrers = derive::referrers(conn, record)?;
    if referrers.is_empty() {
        return Ok(());
    }
    let count = referrers.len() as i64;
    let mut named = Vec::new();
    for seq in referrers.into_iter().take(SHOWN) {
        named.push((seq, super::entry_kind(&read::entry(conn, seq)?)?));
    }
    Err(Refusal::Stranded {
        what,
        record,
        referrers: named,
        count,
    }
    .into())
}
