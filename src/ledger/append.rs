//! Writing: the only place that inserts into `entry`.

use std::collections::HashMap;

use rusqlite::Transaction;

use super::bulk::PutOff;
use super::chain::{Hash, Link};
use super::entry::{Entry, Instant, instant_text};
use super::ids::Ids;
use super::read::{KnownAt, Snapshot};
use super::tally::Tally;
use super::written::Written;
use super::{LedgerError, Refusal, admit, derive};
use crate::record::{Body, Kind, RecordId};

/// Who writes: the name that the writer claims, kept with the operating
/// system's user. Neither is proof of a person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Author {
    /// The claimed name.
    pub name: String,
    /// The operating system's user.
    pub os_user: String,
}

/// Whether a write stays.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    /// It stays.
    Commit,
    /// A dry run: the same work, taken back at the end.
    Rehearse,
}

/// One write in progress.
#[derive(Debug)]
pub struct Writer<'a> {
    pub(super) tx: &'a Transaction<'a>,
    author: &'a Author,
    written_at: String,
    /// What the clock said at the newest entry.
    said_before: String,
    count: i64,
    head: Hash,
    /// Kinds of records in force that this write has looked up: a bulk import
    /// points to the same few hundred all the time.
    in_force: HashMap<RecordId, Kind>,
    put_off: PutOff,
    ids: Ids,
    /// Whether the write has changed a page of the file, which SQLite then counts.
    touched: bool,
    /// What a long write counts with.
    pub(super) tally: Tally,
}

impl<'a> Writer<'a> {
    pub(super) fn begin(
        tx: &'a Transaction<'a>,
        author: &'a Author,
        now: Instant,
    ) -> Result<Writer<'a>, LedgerError> {
        admit::check_header("by", &author.name)?;
        admit::check_header("system user", &author.os_user)?;
        let (count, head) = super::read::head(tx)?;
        let written_at = instant_text(now);
        let said_before = super::read::said_at(tx, count)?.unwrap_or_default();
        Ok(Writer {
            tx,
            author,
            written_at,
            said_before,
            count,
            head,
            in_force: HashMap::new(),
            put_off: PutOff::default(),
            ids: Ids::default(),
            touched: false,
            tally: Tally::default(),
        })
    }

    pub(super) fn has_touched_the_file(&self) -> bool {
        self.touched
    }

    /// Says that the write has changed what stands beside the chain.
    pub(super) fn touch(&mut self) {
        self.touched = true;
    }

    /// What this write counts with, for whoever watches it.
    pub fn tally(&self) -> &Tally {
        &self.tally
    }

    /// The state that this write sees, its own entries included.
    pub fn snapshot(&self) -> Result<Snapshot<'_>, LedgerError> {
        Snapshot::begin(self.tx, KnownAt::Now)
    }

    /// How many entries there are now, and the hash of the last.
    pub fn head(&self) -> (i64, Hash) {
        (self.count, self.head)
    }

    /// Says that many sheets follow: into a ledger without one, they are written
    /// first and indexed after. [`Writer::after_many`] ends it; the end of the
    /// write does so in any case.
    pub fn before_many(&mut self) -> Result<(), LedgerError> {
        self.put_off.finish(self.tx)?;
        self.put_off = PutOff::begin(self.tx)?;
        // Indexes go and come back, also where no entry follows.
        self.touched = true;
        Ok(())
    }

    /// Makes the indexes that [`Writer::before_many`] put off.
    pub fn after_many(&mut self) -> Result<(), LedgerError> {
        self.put_off.finish(self.tx)
    }

    /// Writes a new record, or finds that the ledger says it already.
    pub fn append(&mut self, body: Body, transcribed: bool) -> Result<Written, LedgerError> {
        match self.find(&body)? {
            Some(found) => Ok(found),
            None => self.append_found_new(&body, transcribed),
        }
    }

    /// Whether the ledger says this already. Other content under the same key,
    /// or a void record of that key, is refused.
    pub fn find(&self, body: &Body) -> Result<Option<Written>, LedgerError> {
        admit::same_key(self.tx, body, &body.key())
    }

    /// Writes a record that [`Writer::find`] has not found in this write.
    pub fn append_found_new(
        &mut self,
        body: &Body,
        transcribed: bool,
    ) -> Result<Written, LedgerError> {
        self.admit(body, None)?;
        let key = body.key();
        self.ids.check(self.tx, body, None)?;
        let seq = self.count + 1;
        let text = body.canonical();
        self.insert(seq, seq, body.kind(), None, None, transcribed, Some(&text))?;
        derive::new_record(self.tx, seq, &key, body)?;
        self.ids.add(body, seq);
        Ok(Written::New {
            entry: seq,
            record: seq,
        })
    }

    fn admit(&mut self, body: &Body, before: Option<&Body>) -> Result<(), LedgerError> {
        admit::check_body(body, before)?;
        for pointer in body.references() {
            let kind = match self.in_force.get(&pointer.record) {
                Some(kind) => Some(*kind),
                None => {
                    let kind = admit::kind_in_force(self.tx, pointer.record)?;
                    if let Some(kind) = kind {
                        self.in_force.insert(pointer.record, kind);
                    }
                    kind
                }
            };
            if !kind.is_some_and(|kind| pointer.kinds.contains(&kind)) {
                return Err(admit::dangling(pointer));
            }
        }
        Ok(())
    }

    /// Replaces the newest entry of a record, which may be a void one: then the
    /// record is in force again.
    pub fn amend(
        &mut self,
        entry: i64,
        body: Body,
        reason: &str,
        transcribed: bool,
    ) -> Result<Written, LedgerError> {
        let old = self.newest(entry, reason)?;
        let is = super::entry_kind(&old)?;
        if is != body.kind() {
            return Err(Refusal::OtherKind {
                entry,
                is,
                asked: body.kind(),
            }
            .into());
        }
        let (stands, before) = self.before(&old)?;
        self.admit(&body, before.as_ref())?;
        if let (true, Some(before)) = (stands, &before) {
            if before.content() == body.content() {
                return Err(Refusal::NothingChanges { entry: old.seq }.into());
            }
            admit::amendment(self.tx, old.record, before, &body)?;
        }
        let key = body.key();
        admit::key_is_free(self.tx, &body, &key, old.record)?;
        self.ids
            .check(self.tx, &body, Some((old.record, before.as_ref())))?;
        let seq = self.count + 1;
        let text = body.canonical();
        self.insert(
            seq,
            old.record,
            is,
            Some(old.seq),
            Some(reason),
            transcribed,
            Some(&text),
        )?;
        derive::amended_record(self.tx, seq, old.record, old.seq, &key, &body)?;
        self.ids.forget();
        Ok(Written::New {
            entry: seq,
            record: old.record,
        })
    }

    /// What a record says up to an entry, and whether that is in force: of a void entry what it
    /// voids.
    fn before(&self, old: &Entry) -> Result<(bool, Option<Body>), LedgerError> {
        let said = |entry: &Entry| {
            entry.read_body().map_err(|detail| LedgerError::Unreadable {
                seq: entry.seq,
                detail,
            })
        };
        if let Some(body) = said(old)? {
            return Ok((true, Some(body)));
        }
        match old.ends {
            Some(ends) => Ok((false, said(&super::read::entry(self.tx, ends)?)?)),
            None => Ok((false, None)),
        }
    }

    /// Cancels a record. Refused while others point to it.
    pub fn void(&mut self, entry: i64, reason: &str) -> Result<Written, LedgerError> {
        let old = self.newest(entry, reason)?;
        let kind = super::entry_kind(&old)?;
        if old.body.is_none() {
            return Err(Refusal::Voided {
                kind,
                key: old.record.to_string(),
                entry,
            }
            .into());
        }
        admit::voiding(self.tx, kind, old.record)?;
        self.in_force.remove(&old.record);
        let seq = self.count + 1;
        self.insert(
            seq,
            old.record,
            kind,
            Some(old.seq),
            Some(reason),
            false,
            None,
        )?;
        derive::voided_record(self.tx, seq, old.record, old.seq, kind)?;
        Ok(Written::New {
            entry: seq,
            record: old.record,
        })
    }

    /// Puts a void record in force again, as it stood before.
    pub fn reinstate(&mut self, entry: i64, reason: &str) -> Result<Written, LedgerError> {
        let void = self.newest(entry, reason)?;
        let kind = super::entry_kind(&void)?;
        let before = match (void.body.is_none(), void.ends) {
            (true, Some(ends)) => super::read::entry(self.tx, ends)?,
            _ => return Err(Refusal::NothingChanges { entry }.into()),
        };
        let Some(text) = before.body else {
            return Err(Refusal::NothingChanges { entry }.into());
        };
        let body =
            Body::read(kind, before.version, &text).map_err(|detail| LedgerError::Unreadable {
                seq: before.seq,
                detail,
            })?;
        self.amend(entry, body, reason, before.transcribed)
    }

    fn newest(&self, entry: i64, reason: &str) -> Result<Entry, LedgerError> {
        if reason.trim().is_empty() {
            return Err(Refusal::NoReason.into());
        }
        admit::check_header("reason", reason)?;
        let old = super::read::entry(self.tx, entry)?;
        let newest = super::read::newest(self.tx, old.record)?;
        if newest != entry {
            return Err(Refusal::NotNewest { entry, newest }.into());
        }
        Ok(old)
    }

    #[allow(clippy::too_many_arguments)] // the columns of the table
    fn insert(
        &mut self,
        seq: i64,
        record: RecordId,
        kind: Kind,
        ends: Option<i64>,
        reason: Option<&str>,
        transcribed: bool,
        body: Option<&str>,
    ) -> Result<(), LedgerError> {
        let link = Link {
            seq,
            record,
            kind: kind.stored(),
            version: kind.form(),
            written_at: &self.written_at,
            written_by: &self.author.name,
            os_user: &self.author.os_user,
            ends,
            reason,
            transcribed,
            body,
        };
        let hash = link.hash(&self.head);
        insert_link(self.tx, &link, &hash)?;
        if self.said_before != self.written_at {
            derive::clock_step(self.tx, seq, &self.said_before, &self.written_at)?;
            self.said_before.clone_from(&self.written_at);
        }
        self.count = seq;
        self.head = hash;
        self.touched = true;
        Ok(())
    }

    /// Takes over an entry of an export with its own time and hash. For a
    /// restore only, which has checked the chain.
    pub(super) fn take_over(&mut self, entry: &Entry) -> Result<(), LedgerError> {
        insert_link(self.tx, &super::chain_check::link_of(entry), &entry.hash)?;
        self.count = entry.seq;
        self.head = entry.hash;
        Ok(())
    }
}

fn insert_link(tx: &Transaction<'_>, link: &Link<'_>, hash: &Hash) -> Result<(), LedgerError> {
    let mut statement = tx.prepare_cached(
        "INSERT INTO entry (seq, record, kind, version, written_at, written_by, os_user,
                            ends, reason, transcribed, body, hash)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
    )?;
    statement.execute(rusqlite::params![
        link.seq,
        link.record,
        link.kind,
        link.version,
        link.written_at,
        link.written_by,
        link.os_user,
        link.ends,
        link.reason,
        link.transcribed,
        link.body,
        &hash.0[..],
    ])?;
    Ok(())
}
