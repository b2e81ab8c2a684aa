//! Exports that anybody can read, and the way back from one. The entries stand one a line, in
//! order, and end with their seal: count and head hash, so that a file that was cut short shows.

use std::fs::File;
use std::io::{BufRead, BufReader, BufWriter, Write};
use std::path::{Path, PathBuf};

use rusqlite::types::ValueRef;
use rusqlite::{Connection, TransactionBehavior};
use serde_json::{Map, Value};

use super::append::{Author, Writer};
use super::chain::{Hash, head_text};
use super::chain_check::{ChainCheck, link_of};
use super::entry::{Entry, Instant};
use super::error::file_error;
use super::place::begin_building;
use super::tally::Tally;
use super::watch::{self, Anchor};
use super::{Ledger, LedgerError, derive, evidence, private};
use crate::file::FolderBuilding;

/// What an export wrote.
#[derive(Debug)]
pub struct ExportReport {
    /// The files with their number of rows.
    pub files: Vec<(PathBuf, i64)>,
    /// How many entries.
    pub count: i64,
    /// The hash of the newest.
    pub head: Hash,
    /// How many photos and papers, a file each in the folder `evidence`.
    pub evidence: i64,
    /// How many entries say what is private themselves, in the form of an older program: the
    /// chain needs them as they are.
    pub chained_private: i64,
    /// Why the ledger could not note that this export was made; it is as good without.
    pub not_noted: Option<LedgerError>,
}

/// What a restore made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RestoreReport {
    /// How many entries.
    pub count: i64,
    /// The hash of the newest.
    pub head: Hash,
    /// How many photos and papers the folder beside the entries did not have.
    pub not_carried: i64,
}

impl Ledger {
    /// Writes every entry as one line of JSON, in order, and the seal of them all as the last.
    /// `restore` makes an identical ledger from it.
    pub fn export_entries(&self, to: &Path) -> Result<(i64, Hash), LedgerError> {
        let tx = self.conn.unchecked_transaction()?;
        export_entries(&tx, to)
    }

    /// Writes the rows in force, one CSV file a table, and all entries as
    /// `entries.jsonl`, into an empty folder. All files show one moment, also
    /// while others write. The rows have doses in them: a file that another program has written
    /// to is refused. The ledger notes that the export was made.
    pub fn export(&self, dir: &Path, now: Instant) -> Result<ExportReport, LedgerError> {
        if let Some(above) = dir.parent() {
            std::fs::create_dir_all(above).map_err(file_error(above))?;
        }
        let building = FolderBuilding::begin(dir)?;
        let tx = self.conn.unchecked_transaction()?;
        watch::refuse_others(&tx, &self.header)?;
        let mut files = Vec::new();
        for table in derive::all().filter(|it| *it != "record").chain(["record"]) {
            // Declarations that are chained have no file of their own.
            let is_private = matches!(table, "pregnancy" | "pregnancy_end");
            if is_private || matches!(table, "former_key" | "clock_step" | "reference" | "said") {
                continue;
            }
            let name = format!("{table}.csv");
            let rows = export_table(&tx, table, &building.path().join(&name))?;
            files.push((dir.join(name), rows));
        }
        let name = "entries.jsonl";
        let (count, head) = export_entries(&tx, &building.path().join(name))?;
        files.push((dir.join(name), count));
        let evidence = evidence::export(&tx, building.path())?;
        let chained_private = private::chained(&tx)?;
        drop(tx);
        building.finish()?;
        Ok(ExportReport {
            files,
            count,
            head,
            evidence,
            chained_private,
            not_noted: self.anchor(Anchor::Export, now, (count, head)).err(),
        })
    }

    /// Makes a ledger from an export of entries. A line that does not fit the chain is refused,
    /// and so is a file that ends before its seal or has another one; no file is left. One
    /// without a seal is taken only with the seal that somebody else holds.
    pub fn restore(
        from: &Path,
        to: &Path,
        now: Instant,
        expect: Option<(i64, Hash)>,
    ) -> Result<RestoreReport, LedgerError> {
        Ledger::restore_watched(from, to, (now, expect), &Tally::default())
    }

    /// [`Ledger::restore`] for somebody who watches.
    pub fn restore_watched(
        from: &Path,
        to: &Path,
        (now, expect): (Instant, Option<(i64, Hash)>),
        tally: &Tally,
    ) -> Result<RestoreReport, LedgerError> {
        let building = begin_building(to)?;
        let restored = restore_into(from, building.path(), (now, expect), tally)?;
        building.finish()?;
        Ok(restored)
    }
}

fn export_entries(conn: &Connection, to: &Path) -> Result<(i64, Hash), LedgerError> {
    let mut out = BufWriter::new(File::create_new(to).map_err(file_error(to))?);
    let sql = format!("SELECT {} FROM entry ORDER BY seq", Entry::COLUMNS);
    let mut statement = conn.prepare(&sql)?;
    let mut rows = statement.query([])?;
    let (mut count, mut head) = (0, Hash::default());
    while let Some(row) = rows.next()? {
        let entry = Entry::from_row(row)?;
        writeln!(out, "{}", entry_to_json(&entry)).map_err(file_error(to))?;
        (count, head) = (count + 1, entry.hash);
    }
    writeln!(out, "{}", seal_to_json(count, &head)).map_err(file_error(to))?;
    out.flush().map_err(file_error(to))?;
    Ok((count, head))
}

fn export_table(conn: &Connection, table: &str, to: &Path) -> Result<i64, LedgerError> {
    let in_force = if table == "record" {
        "voided = 0"
    } else {
        "ended_by IS NULL"
    };
    let sql = format!("SELECT * FROM {table} WHERE {in_force} ORDER BY 1, 2, 3");
    let mut statement = conn.prepare(&sql)?;
    let names: Vec<String> = statement.column_names().map(str::to_owned).collect();
    let csv_error = |error: csv::Error| LedgerError::File {
        path: to.to_owned(),
        source: std::io::Error::other(error.to_string()),
    };
    let file = File::create_new(to).map_err(file_error(to))?;
    let mut out = csv::Writer::from_writer(BufWriter::new(file));
    out.write_record(&names).map_err(csv_error)?;
    let mut rows = statement.query([])?;
    let mut count = 0;
    while let Some(row) = rows.next()? {
        for column in 0..names.len() {
            let cell = match row.get_ref(column)? {
                ValueRef::Integer(number) => number.to_string(),
                ValueRef::Text(text) => String::from_utf8_lossy(text).into_owned(),
                _ => String::new(),
            };
            out.write_field(cell).map_err(csv_error)?;
        }
        out.write_record(None::<&[u8]>).map_err(csv_error)?;
        count += 1;
    }
    out.flush().map_err(file_error(to))?;
    Ok(count)
}

fn restore_into(
    from: &Path,
    to: &Path,
    (now, expect): (Instant, Option<(i64, Hash)>),
    tally: &Tally,
) -> Result<RestoreReport, LedgerError> {
    let file = File::open(from).map_err(file_error(from))?;
    let bytes = file.metadata().map_or(0, |it| it.len());
    tally.begin("taking over the entries", bytes);
    let mut ledger = Ledger::create_empty(to)?;
    let tx = ledger
        .conn
        .transaction_with_behavior(TransactionBehavior::Immediate)?;
    let author = Author {
        name: String::new(),
        os_user: String::new(),
    };
    let mut writer = Writer::begin(&tx, &author, now)?;
    let (check, sealed) = take_lines(from, file, &mut writer, tally)?;
    drop(writer);
    let found = (check.count, check.head);
    if check.count == 0 {
        return Err(bad_line(from, 1, "there is no entry in it"));
    }
    if !sealed && expect.is_none() {
        return Err(LedgerError::NoSeal {
            path: from.to_owned(),
            found: head_text(check.count, &check.head),
        });
    }
    if let Some((count, head)) = expect.filter(|it| *it != found) {
        let what = format!(
            "it holds {}; {} was expected",
            head_text(check.count, &check.head),
            head_text(count, &head)
        );
        return Err(bad_line(from, check.count, what));
    }
    derive::rebuild(&tx, tally)?;
    private::not_restored(&tx)?;
    let not_carried = evidence::restore(&tx, from)?;
    watch::note(&tx, &ledger.header)?;
    tx.commit()?;
    Ok(RestoreReport {
        count: check.count,
        head: check.head,
        not_carried,
    })
}

fn bad_line(from: &Path, line: i64, detail: impl Into<String>) -> LedgerError {
    LedgerError::BadExport {
        path: from.to_owned(),
        line: usize::try_from(line).unwrap_or(usize::MAX),
        detail: detail.into(),
    }
}

/// Takes entries over line by line, to the seal. Says whether there was one.
fn take_lines(
    from: &Path,
    file: File,
    writer: &mut Writer<'_>,
    tally: &Tally,
) -> Result<(ChainCheck, bool), LedgerError> {
    let mut check = ChainCheck::default();
    let (mut read, mut sealed) = (0, false);
    for (line, number) in BufReader::new(file).lines().zip(1..) {
        let bad = |detail: String| bad_line(from, number, detail);
        let line = line.map_err(|error| bad(error.to_string()))?;
        read += u64::try_from(line.len()).unwrap_or(0) + 1;
        tally.reach(read);
        let value: Value = serde_json::from_str(&line).map_err(|error| bad(error.to_string()))?;
        if sealed {
            return Err(bad(
                "it stands after the seal, which ends an export".to_owned()
            ));
        }
        if let Some(seal) = value.get("seal") {
            check_seal(seal, &check).map_err(bad)?;
            sealed = true;
            continue;
        }
        let entry = entry_from_json(&value).map_err(bad)?;
        check.next(&link_of(&entry), &entry.hash);
        if let Some(fault) = check.faults.first() {
            return Err(bad(fault.to_string()));
        }
        writer.take_over(&entry)?;
    }
    Ok((check, sealed))
}

/// The form of the lines and of the seal. Another form gets another number.
const FORMAT: i64 = 1;

fn seal_to_json(count: i64, head: &Hash) -> Value {
    serde_json::json!({
        "seal": { "count": count, "format": FORMAT, "head": head.to_string() }
    })
}

/// Whether the entries before it are those that the seal was put under.
fn check_seal(seal: &Value, check: &ChainCheck) -> Result<(), String> {
    let number = |name: &str| seal.get(name).and_then(Value::as_i64);
    let head = seal.get("head").and_then(Value::as_str);
    let (Some(format), Some(count), Some(head)) = (
        number("format"),
        number("count"),
        head.and_then(Hash::parse),
    ) else {
        return Err("it is no seal: `count`, `format` and `head` belong to one".to_owned());
    };
    if format != FORMAT {
        return Err(format!(
            "the export has the format {format}; this program reads {FORMAT}"
        ));
    }
    if (count, head) != (check.count, check.head) {
        return Err(format!(
            "the seal is {}; the entries before it make {}",
            head_text(count, &head),
            head_text(check.count, &check.head)
        ));
    }
    Ok(())
}

fn entry_to_json(entry: &Entry) -> Value {
    let mut map = Map::new();
    map.insert("seq".into(), entry.seq.into());
    map.insert("record".into(), entry.record.into());
    map.insert("kind".into(), entry.kind.clone().into());
    map.insert("version".into(), entry.version.into());
    map.insert("written_at".into(), entry.written_at.clone().into());
    map.insert("written_by".into(), entry.written_by.clone().into());
    map.insert("os_user".into(), entry.os_user.clone().into());
    map.insert("ends".into(), entry.ends.into());
    map.insert("reason".into(), entry.reason.clone().into());
    map.insert("transcribed".into(), entry.transcribed.into());
    map.insert("body".into(), entry.body.clone().into());
    map.insert("hash".into(), entry.hash.to_string().into());
    Value::Object(map)
}

fn entry_from_json(value: &Value) -> Result<Entry, String> {
    let number = |name: &str| {
        value
            .get(name)
            .and_then(Value::as_i64)
            .ok_or_else(|| format!("`{name}` is not a number"))
    };
    let text = |name: &str| {
        value
            .get(name)
            .and_then(Value::as_str)
            .map(str::to_owned)
            .ok_or_else(|| format!("`{name}` is not a text"))
    };
    let present = |name: &str| value.get(name).is_some_and(|it| !it.is_null());
    Ok(Entry {
        seq: number("seq")?,
        record: number("record")?,
        kind: text("kind")?,
        version: number("version")?,
        written_at: text("written_at")?,
        written_by: text("written_by")?,
        os_user: text("os_user")?,
        ends: if present("ends") {
            Some(number("ends")?)
        } else {
            None
        },
        reason: if present("reason") {
            Some(text("reason")?)
        } else {
            None
        },
        transcribed: value
            .get("transcribed")
            .and_then(Value::as_bool)
            .ok_or("`transcribed` is not true or false")?,
        body: if present("body") {
            Some(text("body")?)
        } else {
            None
        },
        hash: Hash::parse(&text("hash")?).ok_or("`hash` is not a SHA-256 digest")?,
    })
}
