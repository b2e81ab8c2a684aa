//! What the program's work is compared with: the least that could be done with
//! the same file by the same library, without a check, a chain or an index.

use std::path::Path;

use rusqlite::types::Value;
use rusqlite::{Connection, params_from_iter};
use sha2::{Digest, Sha256};

use crate::Outcome;
use crate::shifts::COLUMNS;

/// Makes an empty database with one table that has a column for each cell.
pub fn one_table(path: &Path) -> Outcome<()> {
    if path.exists() {
        std::fs::remove_file(path)?;
    }
    let columns: Vec<String> = COLUMNS
        .iter()
        .map(|name| format!("\"{name}\" TEXT"))
        .collect();
    let conn = Connection::open(path)?;
    conn.execute_batch(&format!(
        "CREATE TABLE line ({}) STRICT",
        columns.join(", ")
    ))?;
    Ok(())
}

/// Inserts every row of a CSV file as it is, in one durable transaction.
pub fn insert_csv(database: &Path, file: &Path) -> Outcome<()> {
    let mut conn = Connection::open(database)?;
    conn.pragma_update(None, "synchronous", "FULL")?;
    let tx = conn.transaction()?;
    {
        let marks = vec!["?"; COLUMNS.len()].join(", ");
        let mut insert = tx.prepare(&format!("INSERT INTO line VALUES ({marks})"))?;
        let mut reader = csv::Reader::from_path(file)?;
        let mut row = csv::StringRecord::new();
        while reader.read_record(&mut row)? {
            insert.execute(params_from_iter(row.iter()))?;
        }
    }
    tx.commit()?;
    Ok(())
}

/// Reads every entry and hashes its bytes, one digest over all of them.
pub fn hash_entries(ledger: &Path) -> Outcome<()> {
    let conn = Connection::open(ledger)?;
    let mut statement = conn.prepare("SELECT * FROM entry ORDER BY seq")?;
    let columns = statement.column_count();
    let mut rows = statement.query([])?;
    let mut sha = Sha256::new();
    while let Some(row) = rows.next()? {
        for column in 0..columns {
            match row.get_ref(column)? {
                rusqlite::types::ValueRef::Integer(number) => sha.update(number.to_le_bytes()),
                rusqlite::types::ValueRef::Text(bytes) | rusqlite::types::ValueRef::Blob(bytes) => {
                    sha.update(bytes);
                }
                _ => {}
            }
        }
    }
    std::hint::black_box(sha.finalize());
    Ok(())
}

/// SQLite's own check of the whole file.
pub fn integrity_check(ledger: &Path) -> Outcome<()> {
    let conn = Connection::open(ledger)?;
    let said: String = conn.query_row("PRAGMA integrity_check", [], |row| row.get(0))?;
    if said == "ok" {
        Ok(())
    } else {
        Err(said.into())
    }
}

/// The tables that one sheet fills, each with the column that names the entry.
const SHEET_TABLES: [(&str, &str); 6] = [
    ("entry", "seq"),
    ("record", "id"),
    ("sheet", "entry"),
    ("sheet_guide_tube", "entry"),
    ("crew", "entry"),
    ("reading", "entry"),
];

/// The rows of one sheet: one list for each of its tables.
pub type SheetRows = Vec<Vec<Vec<Value>>>;

/// Reads the rows that a sheet's entry made.
pub fn rows_of_sheet(conn: &Connection, entry: i64) -> Outcome<SheetRows> {
    let mut found = Vec::new();
    for (table, key) in SHEET_TABLES {
        let mut statement =
            conn.prepare_cached(&format!("SELECT * FROM {table} WHERE {key} = ?1"))?;
        let columns = statement.column_count();
        let rows =
            statement.query_map([entry], |row| (0..columns).map(|at| row.get(at)).collect())?;
        found.push(rows.collect::<Result<Vec<Vec<Value>>, _>>()?);
    }
    Ok(found)
}

/// Opens a database with tables that hold such rows, bare of keys and indexes.
pub fn sheet_tables(path: &Path, ledger: &Connection) -> Outcome<Connection> {
    if path.exists() {
        std::fs::remove_file(path)?;
    }
    let conn = Connection::open(path)?;
    conn.pragma_update(None, "synchronous", "FULL")?;
    for (table, _) in SHEET_TABLES {
        let columns = ledger.prepare(&format!("SELECT * FROM {table}"))?;
        let names: Vec<&str> = columns.column_names().collect();
        conn.execute_batch(&format!("CREATE TABLE {table} ({})", names.join(", ")))?;
    }
    Ok(conn)
}

/// Writes the rows of one sheet in a transaction of their own.
pub fn commit_sheet(conn: &mut Connection, rows: &SheetRows) -> Outcome<()> {
    let tx = conn.transaction()?;
    for ((table, _), rows) in SHEET_TABLES.iter().zip(rows) {
        for row in rows {
            let marks = vec!["?"; row.len()].join(", ");
            tx.prepare_cached(&format!("INSERT INTO {table} VALUES ({marks})"))?
                .execute(params_from_iter(row))?;
        }
    }
    tx.commit()?;
    Ok(())
}

/// Reads the rows of one worker's readings, by the ledger's own index. Returns
/// how many there are.
pub fn select_worker(ledger: &Path, worker: &str) -> Outcome<usize> {
    let conn = Connection::open(ledger)?;
    let mut statement = conn.prepare(
        "SELECT crew.day, crew.role, crew.badge_worn, reading.*
         FROM record
         JOIN crew ON crew.worker = record.id
         JOIN reading ON reading.entry = crew.entry AND reading.person = crew.person
         WHERE record.kind = 'worker' AND record.key = ?1
         ORDER BY crew.day",
    )?;
    let columns = statement.column_count();
    let mut rows = statement.query([worker])?;
    let mut count = 0;
    while let Some(row) = rows.next()? {
        for column in 0..columns {
            std::hint::black_box(row.get_ref(column)?);
        }
        count += 1;
    }
    Ok(count)
}

/// Adds up the readings of five years for each worker: the least that looking
/// at everybody's five years can be. Returns how many sums.
pub fn group_five_years(ledger: &Path) -> Outcome<usize> {
    let conn = Connection::open(ledger)?;
    let mut statement = conn.prepare(
        "SELECT crew.worker, sum(reading.end_count - reading.start_count)
         FROM reading
         JOIN crew ON crew.entry = reading.entry AND crew.person = reading.person
         WHERE reading.day BETWEEN '2021-01-01' AND '2025-12-31'
         GROUP BY crew.worker",
    )?;
    let mut rows = statement.query([])?;
    let mut count = 0;
    while rows.next()?.is_some() {
        count += 1;
    }
    Ok(count)
}
