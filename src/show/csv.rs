//! An answer's tables as CSV: one at a time, a value a cell, numbers bare under their unit.

use std::collections::BTreeMap;

use serde::Serialize;

use super::report::{Part, Report};
use super::values::{ValueTable, tables};
use crate::quantity::{Dose, DoseUnit};
use crate::text::{one_line, shown_as_text};

/// The reference of the keys: which columns a table has stands there, so that they are the same
/// whatever a ledger holds.
const REFERENCE: &str = include_str!("../../demo/keys.md");

/// Why there is no CSV.
#[derive(Debug)]
pub enum NoCsv {
    /// The answer has no table of the name that was asked for; it has these.
    Unknown(Vec<String>),
    /// A fault of the program.
    Failed(String),
}

fn failed(error: impl std::fmt::Display) -> NoCsv {
    NoCsv::Failed(error.to_string())
}

/// The tables of an answer and their columns as the reference has them, the main one first.
#[must_use]
pub fn listed<'r>(reference: &'r str, what: &str) -> Vec<(&'r str, Vec<&'r str>)> {
    let mut all: Vec<(&str, Vec<&str>)> = Vec::new();
    let own = reference
        .split("\n## ")
        .find(|it| it.lines().next() == Some(what));
    for line in own.unwrap_or_default().lines() {
        let keys = match (line.strip_prefix("- "), line.strip_prefix("  ")) {
            (Some(line), _) => {
                let (name, keys) = line.split_once(':').unwrap_or((line, ""));
                all.push((name, Vec::new()));
                keys
            }
            (None, keys) => keys.unwrap_or_default(),
        };
        if let Some((_, all)) = all.last_mut() {
            all.extend(keys.split(',').map(str::trim).filter(|it| !it.is_empty()));
        }
    }
    all
}

/// The names of the tables that an answer of this name has as CSV, the main one first.
#[must_use]
pub fn tables_of(what: &str) -> Vec<&'static str> {
    listed(REFERENCE, what).into_iter().map(|it| it.0).collect()
}

/// The tables of an answer with the columns of the reference, the main one first.
fn all_tables(what: &str, answer: &impl Serialize) -> Result<Vec<ValueTable>, NoCsv> {
    let mut found = tables(answer).map_err(failed)?;
    let mut all = Vec::new();
    for (name, keys) in listed(REFERENCE, what) {
        let at = found.iter().position(|it| it.name == name);
        let mut table = at.map(|at| found.remove(at)).unwrap_or_default();
        name.clone_into(&mut table.name);
        let keys = keys.into_iter().map(|it| it.trim_end_matches('*'));
        let mut columns: Vec<String> = keys.map(str::to_owned).collect();
        columns.extend(
            table
                .keys
                .into_iter()
                .filter(|it| !columns.contains(it))
                .collect::<Vec<_>>(),
        );
        table.keys = columns;
        all.push(table);
    }
    all.extend(found.into_iter().filter(|it| !it.keys.is_empty()));
    Ok(all)
}

/// One table of an answer as CSV: the one that was asked for, or the main one.
///
/// # Errors
/// A name that none of its tables has.
pub fn csv_of(
    what: &str,
    answer: &impl Serialize,
    asked: Option<&str>,
    unit: DoseUnit,
) -> Result<String, NoCsv> {
    let all = all_tables(what, answer)?;
    let table = match asked {
        Some(name) => all.iter().find(|it| it.name == name),
        None => all.first(),
    };
    match table {
        Some(table) => written(table, unit).map_err(failed),
        None => Err(NoCsv::Unknown(all.into_iter().map(|it| it.name).collect())),
    }
}

/// Each table of an answer that has rows, with its name.
///
/// # Errors
/// A fault of the program.
pub fn csv_of_each(
    what: &str,
    answer: &impl Serialize,
    unit: DoseUnit,
) -> Result<Vec<(String, String)>, NoCsv> {
    let all = all_tables(what, answer)?.into_iter();
    let full = all.filter(|it| !it.rows.is_empty());
    full.map(|it| Ok((it.name.clone(), written(&it, unit).map_err(failed)?)))
        .collect()
}

fn written(table: &ValueTable, unit: DoseUnit) -> Result<String, csv::Error> {
    let keys: Vec<&String> = table
        .keys
        .iter()
        .filter(|it| !is_words(it, &table.keys))
        .collect();
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(keys.iter().map(|key| safe(&heading(key, unit))))?;
    for row in &table.rows {
        let row: BTreeMap<&str, &str> = row.iter().map(|it| (&*it.0, &*it.1)).collect();
        writer.write_record(keys.iter().map(|key| safe(&cell(key, &row, unit))))?;
    }
    finished(writer)
}

fn finished(writer: csv::Writer<Vec<u8>>) -> Result<String, csv::Error> {
    let bytes = writer.into_inner().map_err(|it| it.into_error())?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// The endings of keys that name a unit.
const FIGURES: &[&str] = &["nsv_per_hour", "nsv", "ppm", "permille", "minutes", "bq"];

/// A key without the unit at its end, and that unit.
fn parted(key: &str) -> (&str, Option<&'static str>) {
    let is = |it: &&&str| {
        key.strip_suffix(**it)
            .is_some_and(|it| it.is_empty() || it.ends_with(['_', '.']))
    };
    match FIGURES.iter().find(is) {
        Some(unit) => (
            key.trim_end_matches(unit).trim_end_matches(['_', '.']),
            Some(unit),
        ),
        None => (key, None),
    }
}

/// Whether a column says in words what another has as a figure.
fn is_words(key: &str, keys: &[String]) -> bool {
    let plain = ["shown", "short", "words"]
        .iter()
        .find_map(|it| key.strip_suffix(it));
    let plain = plain.map_or(key, |it| it.trim_end_matches(['_', '.']));
    parted(key).1.is_none()
        && keys.iter().any(|it| {
            let (figure, unit) = parted(it);
            let figure = figure
                .strip_suffix("known")
                .map_or(figure, |it| it.trim_end_matches(['_', '.']));
            unit.is_some() && figure == plain
        })
}

fn heading(key: &str, unit: DoseUnit) -> String {
    let (plain, figure) = parted(key);
    let plain = if plain.is_empty() { "dose" } else { plain };
    let dose = unit.symbol();
    match figure {
        Some("nsv_per_hour") => format!("{plain} ({dose}/h)"),
        Some("nsv") => format!("{plain} ({dose})"),
        Some("ppm" | "permille") => format!("{plain} (%)"),
        Some("minutes") => format!("{plain} (min)"),
        Some(_) => format!("{plain} (Bq)"),
        None => plain.to_owned(),
    }
}

/// A cell; of a dose that nothing measured none, for a 0 would say that there was none.
fn cell(key: &str, row: &BTreeMap<&str, &str>, unit: DoseUnit) -> String {
    let text = row.get(key).copied().unwrap_or_default();
    let (_, Some(figure)) = parted(key) else {
        return text.to_owned();
    };
    let beside = key
        .rsplit_once('.')
        .map_or("assessed".to_owned(), |it| format!("{}.assessed", it.0));
    if figure == "nsv" && row.get(&*beside) == Some(&"false") {
        return String::new();
    }
    let Ok(number) = text.parse::<i64>() else {
        return text.to_owned();
    };
    match figure {
        "nsv" | "nsv_per_hour" => {
            let shown = Dose::from_nsv(number).display(unit);
            shown.split(' ').next().unwrap_or_default().to_owned()
        }
        "ppm" => in_percent(number, 10_000),
        "permille" => in_percent(number, 10),
        _ => text.to_owned(),
    }
}

/// A whole number of parts as a percentage, exact.
fn in_percent(parts: i64, of_one: u64) -> String {
    let (whole, rest) = (parts.unsigned_abs() / of_one, parts.unsigned_abs() % of_one);
    let sign = if parts < 0 { "-" } else { "" };
    let wide = of_one.ilog10() as usize;
    let text = format!("{sign}{whole}.{rest:0wide$}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A cell that every spreadsheet shows as it stands.
fn safe(cell: &str) -> String {
    shown_as_text(&one_line(cell)).into_owned()
}

/// The tables of a report as CSV, of which it has one.
///
/// # Errors
/// A fault of the program.
pub fn csv(report: &Report) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for part in &report.parts {
        let Part::Table(table) = part else { continue };
        writer.write_record(table.columns.iter().map(|(heading, _)| safe(heading)))?;
        for row in &table.rows {
            writer.write_record(row.iter().map(|cell| safe(cell)))?;
        }
    }
    finished(writer)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::show::Table;

    #[test]
    fn no_cell_is_run_or_unseen() {
        let mut table = Table::new(&["=who", ">dose"]);
        table.row(["=1+1\u{202e}".into(), "-12".into()]);
        table.row(["two\nlines".into(), "-12 mrem".into()]);
        let mut report = Report::new("");
        report.table(table);
        let wanted = "'=who,dose\n'=1+1\\u{202e},-12\ntwo lines,'-12 mrem\n";
        assert_eq!(csv(&report).unwrap(), wanted);
    }

    fn said(answer: serde_json::Value, table: Option<&str>) -> String {
        match csv_of("no command", &answer, table, DoseUnit::Millirem) {
            Ok(text) => text,
            Err(NoCsv::Unknown(names)) => names.join(" "),
            Err(NoCsv::Failed(why)) => why,
        }
    }

    #[test]
    fn a_list_is_a_table_and_a_list_in_a_row_another_that_says_whose_it_is() {
        let answer = serde_json::json!({"on": "2026-06-05", "people": [
            {"id": "W1", "dose": {"nsv": 125_000, "shown": "12.5 mrem"},
             "why": [{"x": 1}, {"x": 2, "y": 3}]},
            {"id": "W2", "dose": {"nsv": -5_000, "shown": "-0.5 mrem"}, "why": []},
        ]});
        assert_eq!(
            said(answer.clone(), None),
            "dose (mrem),id\n12.5,W1\n-0.5,W2\n"
        );
        let inner = said(answer.clone(), Some("people.why"));
        assert_eq!(
            inner,
            "people.dose (mrem),x,y
12.5,1,
12.5,2,3
"
        );
        assert_eq!(said(answer.clone(), Some("answer")), "on\n2026-06-05\n");
        assert_eq!(said(answer, Some("sets")), "people people.why answer");
    }

    #[test]
    fn a_dose_that_nothing_measured_is_no_figure() {
        let answer = serde_json::json!([
            {"year": {"assessed": false, "known_nsv": 0, "short": "none", "prior": {"nsv": 0}}},
            {"year": {"assessed": true, "known_nsv": 10_000, "short": "1", "prior": {"nsv": 0}}},
        ]);
        let text = said(answer, None);
        assert_eq!(
            text,
            "year.assessed,year.known (mrem),year.prior (mrem)\nfalse,,0\ntrue,1,0\n"
        );
    }

    #[test]
    fn parts_of_a_whole_stand_as_exact_percentages() {
        for (parts, of_one, wanted) in [
            (36_400, 10_000, "3.64"),
            (1_000_000, 10_000, "100"),
            (-45, 10, "-4.5"),
            (1, 10_000, "0.0001"),
            (0, 10, "0"),
        ] {
            assert_eq!(in_percent(parts, of_one), wanted);
        }
    }
}
