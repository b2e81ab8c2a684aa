//! A first import fills empty tables with a million rows. Some indexes over them
//! are dropped before and made again after, in the same transaction: sorting
//! once costs a fraction of finding each row's place. Keys, foreign keys and
//! triggers stay; killed in between, the rollback journal brings the indexes
//! back with everything else.

use rusqlite::{Connection, OptionalExtension};

use super::LedgerError;

/// Indexes that no check of a write needs: they serve questions afterwards.
const PUT_OFF: [&str; 6] = [
    "crew_worker",
    "reading_dosimeter",
    "sheet_device",
    "sheet_source",
    "sheet_control_unit",
    "sheet_guide_tube_tube",
];

/// The statements that make the dropped indexes again.
#[derive(Debug, Default)]
pub(super) struct PutOff {
    statements: Vec<String>,
}

impl PutOff {
    /// Drops the indexes, if there is no sheet in the ledger yet.
    pub fn begin(conn: &Connection) -> Result<PutOff, LedgerError> {
        let mut put_off = PutOff::default();
        let filled: bool =
            conn.query_row("SELECT EXISTS (SELECT 1 FROM sheet)", [], |row| row.get(0))?;
        if filled {
            return Ok(put_off);
        }
        for name in PUT_OFF {
            let made: Option<String> = conn
                .query_row(
                    "SELECT sql FROM sqlite_schema WHERE type = 'index' AND name = ?1",
                    [name],
                    |row| row.get(0),
                )
                .optional()?;
            if let Some(statement) = made {
                conn.execute_batch(&format!("DROP INDEX {name}"))?;
                put_off.statements.push(statement);
            }
        }
        Ok(put_off)
    }

    /// Makes the indexes again.
    pub fn finish(&mut self, conn: &Connection) -> Result<(), LedgerError> {
        for statement in self.statements.drain(..) {
            conn.execute_batch(&statement)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ledger::{Instant, Mode};

    fn there(conn: &Connection) -> usize {
        let known = |name: &&str| {
            conn.query_row(
                "SELECT EXISTS (SELECT 1 FROM sqlite_schema WHERE name = ?1)",
                [name],
                |row| row.get::<_, bool>(0),
            )
            .unwrap()
        };
        PUT_OFF.iter().filter(|name| known(name)).count()
    }

    #[test]
    fn indexes_that_were_put_off_are_back_whatever_becomes_of_the_write() {
        let dir = tempfile::tempdir().unwrap();
        let (mut ledger, author) = crate::ledger::as_of::tests::blank(dir.path());
        let now: Instant = "2026-06-14T12:00:00Z".parse().unwrap();
        for (mode, fails) in [
            (Mode::Commit, false),
            (Mode::Rehearse, false),
            (Mode::Commit, true),
        ] {
            let done = ledger.write(&author, now, mode, |writer| {
                writer.before_many()?;
                assert_eq!(there(writer.tx), 0, "they are dropped meanwhile");
                match fails {
                    true => Err(LedgerError::busy()),
                    false => Ok(()),
                }
            });
            assert_eq!(done.is_err(), fails);
            assert_eq!(there(&ledger.conn), PUT_OFF.len(), "{mode:?} {fails}");
        }
    }
}
