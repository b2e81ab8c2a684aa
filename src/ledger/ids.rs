//! Ids that differ in small and capital letters alone are refused: people find records without
//! regard to case, and some systems keep `w07` and `W07` in one file.

use std::collections::HashMap;

use rusqlite::Connection;

use super::{LedgerError, Refusal};
use crate::record::{Body, Kind, RecordId};

/// The ids of a kind in small letters, each with the records that have it and how they write it.
type Folded = HashMap<String, Vec<(RecordId, String)>>;

/// The ids that a write has looked at: a register that is taken in asks for each row.
#[derive(Debug, Default)]
pub(super) struct Ids(HashMap<Kind, Folded>);

/// The id under which people know a record of a kind that has one.
fn id_of(body: &Body) -> Option<&str> {
    Some(match body {
        Body::Job(it) => &it.id,
        Body::Worker(it) => &it.id,
        Body::Instrument(it) => &it.id,
        Body::Equipment(it) => &it.id,
        Body::Badge(it) => &it.badge,
        Body::Mapping(it) => &it.name,
        Body::Event(it) => &it.name,
        _ => return None,
    })
}

/// The id in the key of such a kind.
fn id_of_key(kind: Kind, key: &str) -> &str {
    match kind {
        // One number serves for several wear periods: `B-1/2026-05-01`.
        Kind::Badge => key.rsplit_once('/').map_or(key, |(number, _)| number),
        _ => key,
    }
}

impl Ids {
    /// Refuses an id that another record has but for the case of its letters. An amendment is
    /// asked only where it changes the id.
    pub fn check(
        &mut self,
        conn: &Connection,
        body: &Body,
        amended: Option<(RecordId, Option<&Body>)>,
    ) -> Result<(), LedgerError> {
        let Some(id) = id_of(body) else {
            return Ok(());
        };
        let before = amended.and_then(|(_, before)| before).and_then(id_of);
        if before == Some(id) {
            return Ok(());
        }
        let itself = amended.map(|(record, _)| record);
        let known = self.of(conn, body.kind())?.get(&id.to_lowercase());
        let other = known
            .into_iter()
            .flatten()
            .find(|(record, there)| Some(*record) != itself && there != id);
        let Some((record, there)) = other else {
            return Ok(());
        };
        Err(Refusal::SameButCase {
            kind: body.kind(),
            id: id.to_owned(),
            there: there.clone(),
            entry: super::read::newest(conn, *record)?,
        }
        .into())
    }

    /// Notes a record that was written.
    pub fn add(&mut self, body: &Body, record: RecordId) {
        if let (Some(id), Some(known)) = (id_of(body), self.0.get_mut(&body.kind())) {
            let same = known.entry(id.to_lowercase()).or_default();
            same.push((record, id.to_owned()));
        }
    }

    /// Forgets what was looked at, where ids may have changed.
    pub fn forget(&mut self) {
        self.0.clear();
    }

    fn of(&mut self, conn: &Connection, kind: Kind) -> Result<&Folded, LedgerError> {
        use std::collections::hash_map::Entry;
        match self.0.entry(kind) {
            Entry::Occupied(known) => Ok(known.into_mut()),
            Entry::Vacant(place) => {
                let mut folded = Folded::new();
                let mut statement =
                    conn.prepare_cached("SELECT id, key FROM record WHERE kind = ?1")?;
                let mut rows = statement.query([kind.word()])?;
                while let Some(row) = rows.next()? {
                    let (record, key): (RecordId, String) = (row.get(0)?, row.get(1)?);
                    let id = id_of_key(kind, &key).to_owned();
                    let same = folded.entry(id.to_lowercase()).or_default();
                    same.push((record, id));
                }
                Ok(place.insert(folded))
            }
        }
    }
}
