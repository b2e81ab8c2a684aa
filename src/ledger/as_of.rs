//! The ledger as it was known at an earlier moment.

use super::entry::{Instant, instant_text};
use super::{LedgerError, Snapshot};

impl<'a> Snapshot<'a> {
    /// The same unchanging state as it was known when an earlier entry was the newest; with none
    /// before it nothing is known.
    #[must_use]
    pub fn as_of(&self, entry: i64) -> Snapshot<'a> {
        Snapshot {
            conn: self.conn,
            at: entry.clamp(0, self.at),
        }
    }

    /// The newest entry that was written at a moment or before it; 0 where there is none. It
    /// takes the moments of entries to run forward, as those of one clock do.
    pub fn written_by(&self, moment: Instant) -> Result<i64, LedgerError> {
        let (mut known, mut later) = (0, self.at + 1);
        while later - known > 1 {
            let middle = known + (later - known) / 2;
            let written_at: String = self
                .conn
                .prepare_cached("SELECT written_at FROM entry WHERE seq = ?1")?
                .query_row([middle], |row| row.get(0))?;
            if written_at <= instant_text(moment) {
                known = middle;
            } else {
                later = middle;
            }
        }
        Ok(known)
    }
}

#[cfg(test)]
mod tests {
    use crate::ledger::{Author, Instant, KnownAt, Ledger, LedgerError, Mode};
    use crate::record::{Body, Job};

    fn job(id: &str) -> Body {
        let text = format!(
            r#"{{"first_day":"2026-01-05","id":"{id}","jurisdiction":"NRC","place":"a yard",
                "setting":"fixed installation","zone":"America/Chicago"}}"#
        );
        Body::from(serde_json::from_str::<Job>(&text).unwrap())
    }

    #[test]
    fn what_was_written_by_a_moment_is_what_is_known_as_of_it() {
        let dir = tempfile::tempdir().unwrap();
        let mut ledger = {
            let path = crate::ledger::open::begin_building(&dir.path().join("wearbook.db"));
            Ledger::create_empty(&path.unwrap()).unwrap()
        };
        let author = Author {
            name: "Ada".to_owned(),
            os_user: "ada".to_owned(),
        };
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
                assert_eq!(snapshot.written_by(at.parse().unwrap())?, entry, "{at}");
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
