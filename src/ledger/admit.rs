//! Whether an entry may stand, decided inside the write: references must be in
//! force, a key belongs to one record, and nothing that others point to goes.

use rusqlite::{Connection, OptionalExtension, Row};
use serde_json::Value;

use super::append::Written;
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
    Ok(word.as_deref().and_then(Kind::from_word))
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
            .query_row((body.kind().word(), key), Named::from_row)
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
            .query_map((body.kind().word(), key), |row| row.get(0))?
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
            amended_by: (entry != self.current).then_some(self.current),
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
    match Named::holder(conn, body, key)? {
        Some(holder) if holder.record != record => Err(holder.taken(conn, body, key)?),
        _ => Ok(()),
    }
}

fn other_content(
    conn: &Connection,
    body: &Body,
    key: &str,
    holder: &Named,
) -> Result<LedgerError, LedgerError> {
    let entry = read::entry(conn, holder.current)?;
    let old: Value = entry
        .body
        .as_deref()
        .and_then(|text| serde_json::from_str(text).ok())
        .unwrap_or(Value::Null);
    let new: Value = serde_json::from_str(&body.content().canonical()).unwrap_or(Value::Null);
    // An amendment can make two records the same in all; then they differ in who they are.
    let (field, old, new) = first_difference("", &old, &new).unwrap_or_else(|| {
        let number = format!("entry {}", holder.current);
        ("number".to_owned(), number, "this one".to_owned())
    });
    Ok(Refusal::SameKey {
        kind: body.kind(),
        key: key.to_owned(),
        entry: holder.current,
        field,
        old,
        new,
    }
    .into())
}

/// The first field that differs between two bodies, with both values. What the
/// program itself adds (`held`) is not compared.
pub(super) fn first_difference(
    path: &str,
    old: &Value,
    new: &Value,
) -> Option<(String, String, String)> {
    let at = |name: &str| {
        if path.is_empty() {
            name.to_owned()
        } else {
            format!("{path}.{name}")
        }
    };
    match (old, new) {
        (Value::Object(a), Value::Object(b)) => {
            let mut names: Vec<&String> = a.keys().chain(b.keys()).collect();
            names.sort();
            names.dedup();
            names
                .into_iter()
                .filter(|name| *name != "held")
                .find_map(|name| {
                    let (x, y) = (a.get(name), b.get(name));
                    first_difference(
                        &at(name),
                        x.unwrap_or(&Value::Null),
                        y.unwrap_or(&Value::Null),
                    )
                })
        }
        (Value::Array(a), Value::Array(b)) => (0..a.len().max(b.len())).find_map(|place| {
            first_difference(
                &at(&(place + 1).to_string()),
                a.get(place).unwrap_or(&Value::Null),
                b.get(place).unwrap_or(&Value::Null),
            )
        }),
        _ if old == new => None,
        _ => Some((path.to_owned(), plain(old), plain(new))),
    }
}

fn plain(value: &Value) -> String {
    match value {
        Value::Null => "nothing".to_owned(),
        Value::String(text) => text.clone(),
        other => other.to_string(),
    }
}

/// Refuses an amendment after which a reference would point to the wrong thing.
pub(super) fn amendment(
    conn: &Connection,
    record: RecordId,
    before: &Body,
    after: &Body,
) -> Result<(), LedgerError> {
    let turns_into_another_thing = match (before, after) {
        (Body::Instrument(old), Body::Instrument(new)) => old.sort != new.sort,
        (Body::Equipment(old), Body::Equipment(new)) => old.sort != new.sort,
        (Body::Pregnancy(old), Body::Pregnancy(new)) => old.worker != new.worker,
        _ => false,
    };
    if turns_into_another_thing {
        refuse_if_referred(
            conn,
            record,
            "the amendment makes it another thing".to_owned(),
        )?;
    }
    Ok(())
}

/// Refuses to void what others point to.
pub(super) fn voiding(conn: &Connection, kind: Kind, record: RecordId) -> Result<(), LedgerError> {
    if kind == Kind::Charter {
        return Err(Refusal::CharterStays.into());
    }
    refuse_if_referred(conn, record, format!("the {} would be void", kind.word()))
}

fn refuse_if_referred(
    conn: &Connection,
    record: RecordId,
    what: String,
) -> Result<(), LedgerError> {
    const SHOWN: usize = 12;
    let mut referrers: Vec<i64> = Vec::new();
    for (table, column) in derive::reference_columns(conn)? {
        // A doubt mentions the sheet that it contradicts; it lapses with it.
        if (table.as_str(), column.as_str()) == ("held", "other") {
            continue;
        }
        let sql = format!("SELECT entry FROM {table} WHERE {column} = ?1 AND ended_by IS NULL");
        let found: Vec<i64> = conn
            .prepare(&sql)?
            .query_map([record], |row| row.get(0))?
            .collect::<Result<_, _>>()?;
        referrers.extend(found);
    }
    referrers.sort_unstable();
    referrers.dedup();
    if referrers.is_empty() {
        return Ok(());
    }
    let count = referrers.len() as i64;
    let mut named = Vec::new();
    for seq in referrers.into_iter().take(SHOWN) {
        named.push((seq, read::entry(conn, seq)?.kind));
    }
    Err(Refusal::Stranded {
        what,
        record,
        referrers: named,
        count,
    }
    .into())
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn the_first_field_that_differs_is_named_with_its_place() {
        let old = json!({"day": "2026-06-14", "people": [{"role": "assistant"}], "held": [1]});
        let new = json!({"day": "2026-06-14", "people": [{"role": "trainee"}]});
        assert_eq!(
            first_difference("", &old, &new),
            Some(("people.1.role".into(), "assistant".into(), "trainee".into()))
        );
        assert_eq!(first_difference("", &old, &old), None);
    }
}
