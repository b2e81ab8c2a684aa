//! Whether the file has the form that this program gave it, and how it gets it back: tables,
//! guards, indexes, the marks in its header. Nothing in it may be there that others added: a
//! trigger or a view can make the tables say what no entry says.

use std::sync::OnceLock;

use rusqlite::Connection;

use super::place::APPLICATION_ID;
use super::{LedgerError, derive, migrate};

/// A table, index, trigger or view, with the words that made it.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Object {
    kind: String,
    name: String,
    table: String,
    sql: String,
}

impl Object {
    fn is_derived(&self) -> bool {
        derive::all().any(|name| name == self.table)
    }

    /// Whether it keeps the entries as they were written.
    fn is_guard(&self) -> bool {
        self.kind != "table" && self.table == "entry" && self.name != "entry_kind"
    }

    /// Whether the program made it as this one makes it. A comment in a derived table is for
    /// people.
    fn is_as(&self, made: &Object) -> bool {
        self.sql == made.sql
            || self.is_derived() && migrate::bare(&self.sql) == migrate::bare(&made.sql)
    }

    fn shown(&self) -> String {
        match self.is_guard() {
            true => format!("`{}`, which guards the entries", self.name),
            false => format!("the {} `{}`", self.kind, self.name),
        }
    }

    fn drop_it(&self, conn: &Connection) -> Result<(), LedgerError> {
        let name = self.name.replace('"', "\"\"");
        conn.execute_batch(&format!("DROP {} \"{name}\"", self.kind))?;
        Ok(())
    }
}

fn objects(conn: &Connection) -> Result<Vec<Object>, LedgerError> {
    // What SQLite makes by itself for a key has no words; of its own tables only the statistics
    // of somebody's ANALYZE can be dropped.
    let mut statement = conn.prepare(
        "SELECT type, name, tbl_name, sql FROM sqlite_schema
         WHERE sql IS NOT NULL AND (name NOT LIKE 'sqlite\\_%' ESCAPE '\\'
                                    OR name LIKE 'sqlite\\_stat%' ESCAPE '\\')
         ORDER BY type = 'table', name",
    )?;
    let rows = statement.query_map([], |row| {
        Ok(Object {
            kind: row.get(0)?,
            name: row.get(1)?,
            table: row.get(2)?,
            sql: row.get(3)?,
        })
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// What a ledger of the current form has. It is the same for every ledger: it is made once.
fn expected() -> Result<&'static [Object], LedgerError> {
    static MADE: OnceLock<Vec<Object>> = OnceLock::new();
    if let Some(made) = MADE.get() {
        return Ok(made);
    }
    let mut fresh = Connection::open_in_memory()?;
    let tx = fresh.transaction()?;
    migrate::run(&tx)?;
    tx.execute_batch(migrate::DERIVED)?;
    let made = objects(&tx)?;
    Ok(MADE.get_or_init(|| made))
}

/// The first of the file's marks that is not as it was made.
pub(super) fn altered_mark(conn: &Connection) -> Result<Option<String>, LedgerError> {
    Ok(altered_marks(conn)?.into_iter().next())
}

fn altered_marks(conn: &Connection) -> Result<Vec<String>, LedgerError> {
    let mut all = Vec::new();
    let id: i64 = conn.pragma_query_value(None, "application_id", |row| row.get(0))?;
    if id != APPLICATION_ID {
        all.push(format!(
            "its mark as a ledger (application_id) is {id}, not {APPLICATION_ID}"
        ));
    }
    if !conn.table_exists(None, "form")? {
        all.push("the table `form` is missing".to_owned());
    } else if let Some((found, noted)) = migrate::altered_version(conn)? {
        all.push(format!(
            "the number of its form (user_version) is {found}; its own notes say {noted}"
        ));
    }
    Ok(all)
}

/// Everything in which the file's form is not the one that this program gives a ledger.
pub(super) fn faults(conn: &Connection) -> Result<Vec<String>, LedgerError> {
    let mut all = altered_marks(conn)?;
    let journal: String = conn.query_row("PRAGMA journal_mode", [], |row| row.get(0))?;
    if journal == "wal" {
        all.push(
            "it was set to the journal mode `wal`: a copy of the one file may lack what was \
             written last"
                .to_owned(),
        );
    }
    let (expected, found) = (expected()?, objects(conn)?);
    let same = |a: &Object, b: &Object| (&a.kind, &a.name) == (&b.kind, &b.name);
    for it in expected {
        let what = match found.iter().find(|other| same(it, other)) {
            None => "is missing",
            Some(there) if !there.is_as(it) => "is not as the program made it",
            Some(_) => continue,
        };
        // A missing `form` is a mark that is told above; what stood on a missing table is gone
        // with it.
        let stands_on_another = it.name != it.table;
        let is_told = it.name == "form" || stands_on_another && lacks(&found, &it.table);
        if !(is_told && what == "is missing") {
            let way_out = match it.is_derived() {
                true => "; `ledger rebuild` makes it anew from the entries",
                false => "",
            };
            let comma = if it.is_guard() { "," } else { "" };
            all.push(format!("{}{comma} {what}{way_out}", it.shown()));
        }
    }
    for it in &found {
        if !expected.iter().any(|other| same(it, other)) {
            let what = "is not this program's: it was added by hand";
            all.push(format!("the {} `{}` {what}", it.kind, it.name));
        }
    }
    if conn.table_exists(None, "form")? {
        for (name, digest) in migrate::notes() {
            if migrate::noted(conn, &name)?.as_deref() != Some(digest) {
                all.push(format!("its note of the form `{name}` was changed"));
            }
        }
    }
    Ok(all)
}

fn lacks(found: &[Object], table: &str) -> bool {
    !found
        .iter()
        .any(|it| it.kind == "table" && it.name == table)
}

/// Gives the file its form again, but for the derived tables, which are made anew after it:
/// what others added goes, guards and marks come back. Says what went and what came.
pub(super) fn mend(conn: &Connection) -> Result<Vec<String>, LedgerError> {
    let mut said = Vec::new();
    let (expected, found) = (expected()?, objects(conn)?);
    let mut extra = Vec::new();
    let is_view = |name: &str| {
        expected
            .iter()
            .any(|it| it.kind == "view" && it.name == name)
    };
    for it in found {
        // An older form had tables in the place of views; they are made anew with the others.
        if it.kind != "view" && it.kind != "trigger" && is_view(&it.table) {
            continue;
        }
        let wanted = expected
            .iter()
            .find(|other| (&other.kind, &other.name) == (&it.kind, &it.name));
        match wanted {
            Some(same) if same.sql == it.sql || same.is_derived() => {}
            Some(_) if it.kind == "table" && is_no_copy(&it.name) => {
                let what = format!("the table `{}` is not as the program made it", it.name);
                return Err(LedgerError::Altered { what });
            }
            _ => extra.push(it),
        }
    }
    said.extend(extra.iter().map(|it| format!("dropped {}", it.shown())));
    drop_all(conn, extra)?;
    let found = objects(conn)?;
    // Tables come last in the order of dropping, and first in that of making.
    for it in expected.iter().rev().filter(|it| !it.is_derived()) {
        let there = found
            .iter()
            .any(|other| (&other.kind, &other.name) == (&it.kind, &it.name));
        if !there {
            conn.execute_batch(&it.sql)?;
            said.push(format!("put back {}", it.shown()));
        }
    }
    for (name, digest) in migrate::notes() {
        migrate::note(conn, &name, digest)?;
    }
    conn.pragma_update(None, "application_id", APPLICATION_ID)?;
    Ok(said)
}

/// Whether what stands in a table stands nowhere else.
fn is_no_copy(name: &str) -> bool {
    matches!(name, "entry" | "private" | "evidence_file")
}

/// Drops what may stand on each other, in whatever order lets it go.
fn drop_all(conn: &Connection, mut extra: Vec<Object>) -> Result<(), LedgerError> {
    while !extra.is_empty() {
        let before = extra.len();
        let mut last = None;
        extra.retain(|it| match it.drop_it(conn) {
            Ok(()) => false,
            Err(error) => {
                last = Some(error);
                true
            }
        });
        if extra.len() == before {
            return last.map_or(Ok(()), Err);
        }
        // What stood on a table is gone with it.
        let found = objects(conn)?;
        extra.retain(|it| found.contains(it));
    }
    Ok(())
}
