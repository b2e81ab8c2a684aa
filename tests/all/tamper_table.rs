//! What can be done to the file of a ledger, and what two verifications and a question about doses
//! must say of it.

/// What is done to the file.
pub enum Deed {
    /// By a tool that uses SQLite.
    Sql(&'static str),
    /// By somebody who knows how it works: the same, and the count noted as the file has it.
    Hidden(&'static str),
    /// Bytes replaced by others of the same length, first place and all others alike.
    Bytes(&'static [u8], &'static [u8]),
    /// A byte of the header.
    Header(usize, u8),
    /// An entry that fits the chain, put in with another tool.
    Chained,
}

use Deed::{Bytes, Chained, Header, Hidden, Sql};

/// A deed; what a plain verification says, nothing where it finds nothing; what one in full
/// says; whether a question about doses is refused.
pub type Row = (&'static str, Deed, &'static str, &'static str, bool);

const OTHER: &str = "another program has written to the file";
const WHOLE: &str = "";
const HASH: &str = "its hash does not fit";

/// What lets entries be changed.
pub const NO_GUARDS: &str =
    "DROP TRIGGER entry_is_never_changed; DROP TRIGGER entry_is_never_removed;
    DROP TRIGGER entry_is_never_overwritten; DROP TRIGGER entry_comes_next;
    PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON;";

/// Every tampering that is tried.
pub const ROWS: &[Row] = &[
    (
        "reading halved",
        Sql("UPDATE reading SET end_count = end_count / 2"),
        OTHER,
        "table reading: ",
        true,
    ),
    (
        "reading deleted",
        Sql("DELETE FROM reading WHERE ordinal = 1"),
        OTHER,
        "table reading: a row of entry 28 is missing",
        true,
    ),
    (
        "person taken off a sheet",
        Sql("PRAGMA foreign_keys = OFF; DELETE FROM crew WHERE person = 1"),
        OTHER,
        "table crew: ",
        true,
    ),
    (
        "row slipped in",
        Sql("INSERT INTO former_key VALUES ('worker', 'W99', 3, 3)"),
        OTHER,
        "table former_key: a row",
        true,
    ),
    (
        "record renamed",
        Sql("UPDATE record SET key = 'W70' WHERE key = 'W07'"),
        OTHER,
        "table record: ",
        true,
    ),
    (
        "derived table dropped",
        Sql("DROP TABLE held"),
        "the table `held` is missing",
        "the table `held` is missing",
        true,
    ),
    (
        "derived table with fewer columns",
        Sql("DROP TABLE held; CREATE TABLE held (entry, ordinal)"),
        "the table `held` is not as the program made it",
        "the table `held` is not as the program made it",
        true,
    ),
    (
        "table of readings dropped",
        Sql("PRAGMA foreign_keys = OFF; DROP TABLE reading"),
        "the table `reading` is missing",
        "the table `reading` is missing",
        true,
    ),
    (
        "entries dropped",
        Sql("PRAGMA foreign_keys = OFF; DROP TABLE entry"),
        "the table `entry` is missing",
        "the table `entry` is missing",
        true,
    ),
    (
        "notes of the form dropped",
        Sql("DROP TABLE form"),
        "the table `form` is missing",
        "the table `form` is missing",
        true,
    ),
    (
        "note of the form changed",
        Sql("UPDATE form SET digest = 'x' WHERE name = 'entry 2'"),
        "its note of the form `entry 2` was changed",
        "its note of the form `entry 2` was changed",
        true,
    ),
    (
        "count dropped",
        Sql("DROP TABLE last_write"),
        "the table `last_write` is missing",
        "the table `last_write` is missing",
        true,
    ),
    (
        "count emptied",
        Sql("DELETE FROM last_write"),
        OTHER,
        WHOLE,
        true,
    ),
    (
        "count set to nonsense",
        Sql("UPDATE last_write SET counter = -1"),
        OTHER,
        WHOLE,
        true,
    ),
    (
        "guard dropped",
        Sql("DROP TRIGGER entry_is_never_changed"),
        "`entry_is_never_changed`, which guards the entries, is missing",
        "`entry_is_never_changed`, which guards the entries, is missing",
        true,
    ),
    (
        "guard replaced",
        Sql(
            "DROP TRIGGER entry_is_never_changed; CREATE TRIGGER entry_is_never_changed
             BEFORE UPDATE ON entry WHEN 0 BEGIN SELECT 1; END",
        ),
        "`entry_is_never_changed`, which guards the entries, is not as the program made it",
        "`entry_is_never_changed`, which guards the entries, is not as the program made it",
        true,
    ),
    (
        "index of the entries dropped",
        Sql("DROP INDEX entry_ends"),
        "`entry_ends`, which guards the entries, is missing",
        "`entry_ends`, which guards the entries, is missing",
        true,
    ),
    (
        "index dropped",
        Sql("DROP INDEX reading_dosimeter"),
        "the index `reading_dosimeter` is missing",
        "the index `reading_dosimeter` is missing",
        true,
    ),
    (
        "index added",
        Sql("CREATE INDEX mine ON reading (unit)"),
        "the index `mine` is not this program's",
        "the index `mine` is not this program's",
        true,
    ),
    (
        "trigger added",
        Sql(
            "CREATE TRIGGER lower AFTER INSERT ON reading BEGIN UPDATE reading
             SET end_count = 0 WHERE entry = new.entry; END",
        ),
        "the trigger `lower` is not this program's",
        "the trigger `lower` is not this program's",
        true,
    ),
    (
        "view added",
        Sql("CREATE VIEW doses AS SELECT * FROM reading"),
        "the view `doses` is not this program's",
        "the view `doses` is not this program's",
        true,
    ),
    (
        "view in the place of a table",
        Sql("ALTER TABLE held RENAME TO was; CREATE VIEW held AS SELECT * FROM was WHERE 0"),
        "the view `held` is not this program's",
        "the view `held` is not this program's",
        true,
    ),
    (
        "table added",
        Sql("CREATE TABLE notes (a)"),
        "the table `notes` is not this program's",
        "the table `notes` is not this program's",
        true,
    ),
    (
        "statistics added",
        Sql("ANALYZE"),
        "the table `sqlite_stat1` is not this program's",
        "the table `sqlite_stat1` is not this program's",
        true,
    ),
    (
        "form lowered",
        Sql("PRAGMA user_version = 1"),
        "(user_version) is 1; its own notes say 7",
        "(user_version) is 1; its own notes say 7",
        true,
    ),
    (
        "form raised",
        Sql("PRAGMA user_version = 8"),
        "(user_version) is 8; its own notes say 7",
        "(user_version) is 8; its own notes say 7",
        true,
    ),
    (
        "mark taken off",
        Sql("PRAGMA application_id = 0"),
        "(application_id) is 0, not",
        "(application_id) is 0, not",
        true,
    ),
    (
        "journal mode",
        Sql("PRAGMA journal_mode = WAL"),
        "the journal mode `wal`",
        "the journal mode `wal`",
        true,
    ),
    (
        "tail cut off",
        Sql("DELETE FROM entry WHERE seq = 28"),
        "the newest entry is 27, and the table `record` knows entry 28: entries were cut off",
        "entries were cut off",
        true,
    ),
    (
        "all entries removed",
        Sql("DELETE FROM entry"),
        "there is no entry: all were removed",
        "there is no entry: all were removed",
        true,
    ),
    (
        "body changed",
        Sql("UPDATE entry SET body = replace(body, 'W07', 'W70') WHERE seq = 4"),
        HASH,
        HASH,
        true,
    ),
    (
        "hash changed",
        Sql("UPDATE entry SET hash = zeroblob(32) WHERE seq = 28"),
        HASH,
        HASH,
        true,
    ),
    (
        "writer changed",
        Sql("UPDATE entry SET written_by = 'somebody else' WHERE seq = 5"),
        HASH,
        HASH,
        true,
    ),
    (
        "entries swapped",
        Sql(
            "UPDATE entry SET seq = -1 WHERE seq = 4; UPDATE entry SET seq = 4 WHERE seq = 5;
             UPDATE entry SET seq = 5 WHERE seq = -1",
        ),
        HASH,
        HASH,
        true,
    ),
    (
        "nothing that can be seen",
        Sql("BEGIN; UPDATE record SET key = key || 'x'; UPDATE record
             SET key = substr(key, 1, length(key) - 1); COMMIT"),
        OTHER,
        WHOLE,
        true,
    ),
    ("packed anew", Sql("VACUUM"), OTHER, WHOLE, true),
    (
        "reading halved, and the count made to fit",
        Hidden("UPDATE reading SET end_count = end_count / 2"),
        WHOLE,
        "table reading: ",
        false,
    ),
    (
        "trigger added, and the count made to fit",
        Hidden("CREATE TRIGGER lower AFTER INSERT ON reading BEGIN SELECT 1; END"),
        "the trigger `lower` is not this program's",
        "the trigger `lower` is not this program's",
        false,
    ),
    (
        "table dropped, and the count made to fit",
        Hidden("PRAGMA foreign_keys = OFF; DROP TABLE reading"),
        "the table `reading` is missing",
        "the table `reading` is missing",
        true,
    ),
    (
        "bytes of an entry",
        Bytes(b"\"exposures\":24", b"\"exposures\":34"),
        HASH,
        HASH,
        false,
    ),
    (
        "mark, in the header",
        Header(68, 0x41),
        "(application_id) is",
        "(application_id) is",
        true,
    ),
    (
        "form, in the header",
        Header(63, 1),
        "(user_version) is 1",
        "(user_version) is 1",
        true,
    ),
    ("count, in the header", Header(27, 0xfe), OTHER, WHOLE, true),
    (
        "journal mode, in the header",
        Header(19, 2),
        "mode `wal`",
        "mode `wal`",
        true,
    ),
    (
        "an entry that fits, from elsewhere",
        Chained,
        OTHER,
        "table ",
        true,
    ),
];
