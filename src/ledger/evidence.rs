//! Photos and papers beside the chain, each by its SHA-256: what an entry of the kind `evidence`
//! has said of it, kept, erased, or not carried by the export that a ledger was made from.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use rusqlite::types::ValueRef;
use rusqlite::{Connection, OptionalExtension, params};
use sha2::{Digest, Sha256};

use super::append::Writer;
use super::chain::Hash;
use super::chain_check::Fault;
use super::error::file_error;
use super::read::Snapshot;
use super::written::Written;
use super::{LedgerError, Refusal};
use crate::record::{Evidence, EvidenceErasure, EvidenceType, Words};

/// Of what is kept by a digest: whether it is there, and if not, why.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EvidenceState {
    /// It is there.
    Kept,
    /// Somebody erased it; an entry says who and why.
    Erased,
    /// The ledger was made from an export that did not carry it.
    NotCarried,
    /// It is not there, and nothing says why.
    Missing,
}

/// A copy that left the ledger.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CopyMade {
    /// When, by the program's clock.
    pub made_at: String,
    /// `backup` or `export`.
    pub kind: String,
    /// How many entries it has.
    pub count: i64,
}

/// The SHA-256 of some bytes, as entries have it.
pub fn digest_of(bytes: &[u8]) -> String {
    Hash(Sha256::digest(bytes).into()).to_string()
}

fn state(conn: &Connection, digest: &str) -> Result<EvidenceState, LedgerError> {
    let gone: Option<Option<String>> = conn
        .prepare_cached("SELECT gone FROM evidence_file WHERE digest = ?1")?
        .query_row([digest], |row| row.get(0))
        .optional()?;
    Ok(match gone {
        None => EvidenceState::Missing,
        Some(None) => EvidenceState::Kept,
        Some(Some(word)) if word == "erased" => EvidenceState::Erased,
        Some(Some(_)) => EvidenceState::NotCarried,
    })
}

/// The content of a digest with the digest that it has now.
fn content(conn: &Connection, digest: &str) -> Result<Option<(Vec<u8>, String)>, LedgerError> {
    let found: Option<Option<Vec<u8>>> = conn
        .prepare_cached("SELECT content FROM evidence_file WHERE digest = ?1")?
        .query_row([digest], |row| row.get(0))
        .optional()?;
    Ok(found.flatten().map(|bytes| {
        let now = digest_of(&bytes);
        (bytes, now)
    }))
}

impl Snapshot<'_> {
    /// Whether what a digest names is there.
    pub fn evidence_state(&self, digest: &str) -> Result<EvidenceState, LedgerError> {
        state(self.conn, digest)
    }

    /// What is kept by a digest; nothing where it is not there.
    ///
    /// # Errors
    /// Content that was changed in the file.
    pub fn evidence_content(&self, digest: &str) -> Result<Option<Vec<u8>>, LedgerError> {
        match content(self.conn, digest)? {
            Some((_, now)) if now != digest => Err(LedgerError::Altered {
                what: format!("the evidence kept as {digest} was changed"),
            }),
            found => Ok(found.map(|it| it.0)),
        }
    }

    /// The copies that left the ledger since an entry was the newest, oldest first: each of them
    /// holds what stood in the ledger then.
    pub fn copies_since(&self, entry: i64) -> Result<Vec<CopyMade>, LedgerError> {
        self.rows(
            "SELECT made_at, sort, count FROM anchor WHERE count >= ?1 ORDER BY made_at",
            [entry],
            |row| {
                Ok(CopyMade {
                    made_at: row.get(0)?,
                    kind: row.get(1)?,
                    count: row.get(2)?,
                })
            },
        )
    }
}

impl Writer<'_> {
    /// Writes that a photo or paper goes with a record, and keeps it. What an export did not carry
    /// comes back so.
    pub fn keep_evidence(
        &mut self,
        body: Evidence,
        bytes: &[u8],
        transcribed: bool,
    ) -> Result<Written, LedgerError> {
        let digest = digest_of(bytes);
        if body.digest != digest {
            let detail = format!("evidence of the digest {digest} is called {}", body.digest);
            return Err(LedgerError::Damaged { detail });
        }
        let erased = "SELECT entry FROM evidence_erasure WHERE digest = ?1 ORDER BY entry LIMIT 1";
        let erased = self.tx.query_row(erased, [&digest], |row| row.get(0));
        if let Some(entry) = erased.optional()? {
            return Err(Refusal::EvidenceErased { entry }.into());
        }
        let written = self.append(body.into(), transcribed)?;
        match state(self.tx, &digest)? {
            EvidenceState::Kept | EvidenceState::Erased => {}
            EvidenceState::NotCarried => {
                self.tx.execute(
                    "UPDATE evidence_file SET content = ?2, gone = NULL WHERE digest = ?1",
                    params![digest, bytes],
                )?;
                self.touch();
            }
            // The same photo again, as another program scaled it: the first stays.
            EvidenceState::Missing if !matches!(written, Written::New { .. }) => {}
            EvidenceState::Missing => {
                self.tx.execute(
                    "INSERT INTO evidence_file (digest, content) VALUES (?1, ?2)",
                    params![digest, bytes],
                )?;
            }
        }
        Ok(written)
    }

    /// Erases what is kept by a digest. The chain says that, by whom and why, and keeps the digest.
    pub fn erase_evidence(&mut self, body: EvidenceErasure) -> Result<Written, LedgerError> {
        let digest = body.digest.clone();
        let written = self.append(body.into(), false)?;
        self.tx.execute(
            "UPDATE evidence_file SET content = NULL, gone = 'erased' WHERE digest = ?1",
            [&digest],
        )?;
        // What was lost is erased as well.
        if state(self.tx, &digest)? == EvidenceState::Missing {
            self.tx.execute(
                "INSERT INTO evidence_file (digest, gone) VALUES (?1, 'erased')",
                [&digest],
            )?;
        }
        Ok(written)
    }
}

/// The name under which an export has it.
fn file_name(digest: &str, kind: Option<EvidenceType>) -> String {
    format!("{digest}.{}", kind.map_or("bin", EvidenceType::suffix))
}

/// Every digest that an entry names, in force or not, with the first entry and what it is.
fn named(conn: &Connection) -> Result<BTreeMap<String, (i64, Option<EvidenceType>)>, LedgerError> {
    let mut statement = conn.prepare("SELECT digest, entry, sort FROM evidence ORDER BY entry")?;
    let mut rows = statement.query([])?;
    let mut named = BTreeMap::new();
    while let Some(row) = rows.next()? {
        let kind: String = row.get(2)?;
        let found = (row.get(1)?, EvidenceType::from_stored(&kind));
        named.entry(row.get(0)?).or_insert(found);
    }
    Ok(named)
}

fn erased(conn: &Connection) -> Result<BTreeSet<String>, LedgerError> {
    let mut statement = conn.prepare("SELECT digest FROM evidence_erasure")?;
    let rows = statement.query_map([], |row| row.get(0))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// Writes each into the folder `evidence` of an export. Says how many.
pub(super) fn export(conn: &Connection, dir: &Path) -> Result<i64, LedgerError> {
    let all = named(conn)?;
    let dir = folder(dir);
    let mut count = 0;
    for (digest, (entry, kind)) in &all {
        let Some((bytes, now)) = content(conn, digest)? else {
            continue;
        };
        if now != *digest {
            let what = format!("the evidence of entry {entry} was changed");
            return Err(LedgerError::Altered { what });
        }
        if count == 0 {
            std::fs::create_dir(&dir).map_err(file_error(&dir))?;
        }
        let path = dir.join(file_name(digest, *kind));
        let mut file = std::fs::File::create_new(&path).map_err(file_error(&path))?;
        std::io::Write::write_all(&mut file, &bytes).map_err(file_error(&path))?;
        count += 1;
    }
    Ok(count)
}

fn folder(export: &Path) -> PathBuf {
    export.join("evidence")
}

/// Takes each from the folder beside the exported entries. What was erased is not taken, and what
/// is not there was not carried. Says how many were not.
pub(super) fn restore(conn: &Connection, entries: &Path) -> Result<i64, LedgerError> {
    let dir = folder(entries.parent().unwrap_or(Path::new("")));
    let erased = erased(conn)?;
    let mut not_carried = 0;
    for (digest, (entry, kind)) in named(conn)? {
        let path = dir.join(file_name(&digest, kind));
        let gone = match erased.contains(&digest) {
            true => Some("erased"),
            false if !path.exists() => Some("not carried"),
            false => None,
        };
        let bytes = match gone {
            Some(_) => None,
            None => Some(std::fs::read(&path).map_err(file_error(&path))?),
        };
        if bytes.as_deref().is_some_and(|it| digest_of(it) != digest) {
            let what = format!("it is not what entry {entry} kept: it was changed");
            let source = std::io::Error::other(what);
            return Err(LedgerError::File { path, source });
        }
        not_carried += i64::from(gone == Some("not carried"));
        conn.execute(
            "INSERT INTO evidence_file (digest, content, gone) VALUES (?1, ?2, ?3)",
            params![digest, bytes, gone],
        )?;
    }
    Ok(not_carried)
}

/// Where what is kept is not as the entries say: changed, taken away, or what no entry names.
/// `full` looks at every byte of it.
pub(super) fn faults(conn: &Connection, full: bool) -> Result<Vec<Fault>, LedgerError> {
    let (all, erased) = (named(conn)?, erased(conn)?);
    let mut faults = Vec::new();
    for (digest, (entry, _)) in &all {
        let is_erased = erased.contains(digest);
        let what = match state(conn, digest)? {
            EvidenceState::Kept if is_erased => "its evidence was erased and is there all the same",
            EvidenceState::Kept if full && !is_sound(conn, digest)? => "its evidence was changed",
            EvidenceState::Kept => continue,
            EvidenceState::Erased if is_erased => continue,
            EvidenceState::NotCarried if !is_erased => continue,
            EvidenceState::Missing => "its evidence is missing from the table evidence_file",
            _ => "its evidence is gone, and no entry says that it was erased",
        };
        faults.push(Fault {
            entry: Some(*entry),
            what: format!("{what}; a backup may have it"),
        });
    }
    let mut statement = conn.prepare("SELECT digest FROM evidence_file ORDER BY digest")?;
    let rows = statement.query_map([], |row| row.get::<_, String>(0))?;
    for digest in rows {
        let digest = digest?;
        if !all.contains_key(&digest) && !erased.contains(&digest) {
            let what = format!("the table evidence_file has {digest}, which no entry names");
            faults.push(Fault { entry: None, what });
        }
    }
    Ok(faults)
}

/// Whether content has its digest, without a copy of it.
fn is_sound(conn: &Connection, digest: &str) -> Result<bool, LedgerError> {
    let mut statement =
        conn.prepare_cached("SELECT content FROM evidence_file WHERE digest = ?1")?;
    Ok(statement.query_row([digest], |row| {
        Ok(match row.get_ref(0)? {
            ValueRef::Blob(bytes) => digest_of(bytes) == digest,
            _ => false,
        })
    })?)
}
