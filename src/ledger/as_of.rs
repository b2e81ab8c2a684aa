//! The ledger as it was known at an earlier moment, and what of its clock can be trusted.

use chrono::TimeDelta;
use rusqlite::Connection;

use super::clock::{Clocks, Cut, Reading};
use super::entry::{Instant, instant_text};
use super::read::said_at;
use super::{Hash, LedgerError, Snapshot, watch};
use crate::calendar::Day;

/// A state of the file: its chain by the seal, and what stands beside the chain by how often this
/// program has written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StateOfFile {
    seal: Hash,
    writes: i64,
}

impl<'a> Snapshot<'a> {
    /// The same unchanging state as it was known when an earlier entry was the newest; with none
    /// before it nothing is known.
    pub fn as_of(&self, entry: i64) -> Snapshot<'a> {
        Snapshot {
            conn: self.conn,
            at: entry.clamp(0, self.at),
            until: self.until,
        }
    }

    /// The same state without what is about a later day: how things stood on that day, by what
    /// is known now.
    pub fn until(&self, day: Day) -> Snapshot<'a> {
        Snapshot {
            until: Some(self.capped(day)),
            ..*self
        }
    }

    /// The same state with what is about later days.
    pub fn whole(&self) -> Snapshot<'a> {
        Snapshot {
            until: None,
            ..*self
        }
    }

    /// The day for which this stands, where it is one.
    pub fn day(&self) -> Option<Day> {
        self.until
    }

    /// Which state this is: its newest entry, and the day for which it stands where it is one.
    pub fn state(&self) -> (i64, Option<Day>) {
        (self.at, self.until)
    }

    /// Which state of the file this is, where it is the whole of it: nothing of an earlier entry or
    /// an earlier day. Two readings of one such state give the same, whatever they ask.
    pub fn state_of_file(&self) -> Result<Option<StateOfFile>, LedgerError> {
        let (count, seal) = self.head()?;
        if self.state() != (count, None) {
            return Ok(None);
        }
        Ok(watch::noted(self.conn)?.map(|writes| StateOfFile { seal, writes }))
    }

    /// Whether a day is later than the one for which this stands.
    pub fn is_later(&self, day: Day) -> bool {
        self.until.is_some_and(|until| day > until)
    }

    /// A last day, or the one for which this stands.
    pub(super) fn capped(&self, last: Day) -> Day {
        self.until.map_or(last, |until| until.min(last))
    }

    /// What of the moments of writing can be trusted, by the entries and the copies up to this
    /// state. `longest` is the longest pause for which the clock is believed.
    pub fn clocks(&self, longest: TimeDelta) -> Result<Clocks, LedgerError> {
        let copies = copies(self.conn, self.at)?;
        if !went_back(self.conn, self.at, &copies)? {
            return Ok(Clocks::default());
        }
        let mut readings = writes(self.conn, self.at)?;
        for copy in copies {
            let after = readings.partition_point(|it| it.first <= copy.last);
            // Of entries that were written in one second some may have come after the copy.
            readings.insert(after, copy);
        }
        Ok(Clocks::judge(&readings, longest))
    }

    /// How entries lie to a moment: by order between those that a trustworthy clock places.
    pub fn cut(&self, clocks: &Clocks, moment: Instant) -> Result<Cut, LedgerError> {
        if !clocks.all_trusted() {
            return Ok(clocks.cut(moment, self.at));
        }
        let said_by = instant_text(moment);
        let (mut known, mut later) = (0, self.at + 1);
        while later - known > 1 {
            let middle = known + (later - known) / 2;
            if said_at(self.conn, middle)?.is_some_and(|said| said <= said_by) {
                known = middle;
            } else {
                later = middle;
            }
        }
        Ok(Cut {
            known,
            unsure: known,
        })
    }
}

/// What the clock said at an entry.
pub(super) fn moment_of(conn: &Connection, entry: i64) -> Result<Instant, LedgerError> {
    instant(entry, &said_at(conn, entry)?.unwrap_or_default())
}

/// A stored moment.
fn instant(entry: i64, said: &str) -> Result<Instant, LedgerError> {
    said.parse().map_err(|_| LedgerError::Damaged {
        detail: format!("entry {entry}: `{said}` is no moment of writing"),
    })
}

/// When copies left the ledger, in the order of their entries.
fn copies(conn: &Connection, newest: i64) -> Result<Vec<Reading>, LedgerError> {
    if !conn.table_exists(None, "anchor")? {
        return Ok(Vec::new());
    }
    let mut statement = conn.prepare_cached(
        "SELECT count, made_at FROM anchor WHERE count BETWEEN 1 AND ?1 ORDER BY count, rowid",
    )?;
    let mut rows = statement.query([newest])?;
    let mut copies = Vec::new();
    while let Some(row) = rows.next()? {
        let (count, made_at): (i64, String) = (row.get(0)?, row.get(1)?);
        copies.push(Reading {
            first: count,
            last: count,
            at: instant(count, &made_at)?,
            copy: true,
        });
    }
    Ok(copies)
}

/// Whether the clock ever stood before where it had stood already. Where it never did, nothing
/// contradicts anything, and no entry need be read.
fn went_back(conn: &Connection, newest: i64, copies: &[Reading]) -> Result<bool, LedgerError> {
    let stepped: bool = conn
        .prepare_cached("SELECT EXISTS (SELECT 1 FROM clock_step WHERE entry <= ?1)")?
        .query_row([newest], |row| row.get(0))?;
    if stepped
        || copies
            .windows(2)
            .any(|it| matches!(it, [one, two] if two.at < one.at))
    {
        return Ok(true);
    }
    for copy in copies {
        let at = instant_text(copy.at);
        let before = said_at(conn, copy.last)?.is_some_and(|said| said > at);
        let after = copy.last < newest && said_at(conn, copy.last + 1)?.is_some_and(|it| it < at);
        if before || after {
            return Ok(true);
        }
    }
    Ok(false)
}

/// Each write, as entries in a row with one moment.
fn writes(conn: &Connection, newest: i64) -> Result<Vec<Reading>, LedgerError> {
    let mut statement =
        conn.prepare("SELECT seq, written_at FROM entry WHERE seq <= ?1 ORDER BY seq")?;
    let mut rows = statement.query([newest])?;
    let mut writes: Vec<Reading> = Vec::new();
    let mut last = String::new();
    while let Some(row) = rows.next()? {
        let seq: i64 = row.get(0)?;
        let said = row.get_ref(1)?.as_str().map_err(rusqlite::Error::from)?;
        match writes.last_mut().filter(|_| said == last) {
            Some(write) => write.last = seq,
            None => {
                writes.push(Reading {
                    first: seq,
                    last: seq,
                    at: instant(seq, said)?,
                    copy: false,
                });
                last.clear();
                last.push_str(said);
            }
        }
    }
    Ok(writes)
}

#[cfg(test)]
pub(super) mod tests {
    use chrono::TimeDelta;

    use crate::ledger::{Author, Instant, KnownAt, Ledger, LedgerError, Mode};
    use crate::record::{Body, Job};

    fn job(id: &str) -> Body {
        let text = format!(
            r#"{{"first_day":"2026-01-05","id":"{id}","jurisdiction":"NRC","place":"a yard",
                "setting":"fixed installation","zone":"America/Chicago"}}"#
        );
        Body::from(serde_json::from_str::<Job>(&text).unwrap())
    }

    /// A ledger in which nothing stands, and who writes in it.
    pub fn blank(dir: &std::path::Path) -> (Ledger, Author) {
        let path = dir.join("wearbook.db");
        std::fs::File::create_new(&path).unwrap();
        let author = Author {
            name: "Ada".to_owned(),
            os_user: "ada".to_owned(),
        };
        (Ledger::create_empty(&path).unwrap(), author)
    }

    #[test]
    fn what_was_written_by_a_moment_is_what_is_known_as_of_it() {
        let dir = tempfile::tempdir().unwrap();
        let (mut ledger, author) = blank(dir.path());
        for (id, at) in [
            ("J-1", "2026-06-14T12:00:00Z"),
            ("J-2", "2026-06-14T12:00:00Z"),
            ("J-3", "2026-06-15T08:30:00Z"),
        ] {
            let now: Instant = at.parse().unwrap();
            let written = ledger.write(&author, now, Mode::Commit, |writer| {
                writer.append(job(id), false)
            });
            written.unwrap();
        }
        let read = ledger.read(KnownAt::Now, |snapshot| {
            for (at, entry) in [
                ("2026-06-14T11:59:59Z", 0),
                ("2026-06-14T12:00:00Z", 2),
                ("2026-06-15T08:29:59Z", 2),
                ("2026-06-15T08:30:00Z", 3),
                ("2027-01-01T00:00:00Z", 3),
            ] {
                let clocks = snapshot.clocks(TimeDelta::days(30))?;
                let cut = snapshot.cut(&clocks, at.parse().unwrap())?;
                assert_eq!((cut.known, cut.unsure), (entry, entry), "{at}");
                let then = snapshot.as_of(entry);
                assert_eq!(then.all::<Job>()?.len() as i64, entry, "{at}");
            }
            assert_eq!(
                snapshot.as_of(99).known_at(),
                3,
                "nothing is known before it is written"
            );
            Ok::<_, LedgerError>(())
        });
        read.unwrap();
    }
}
