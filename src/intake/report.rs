//! A processor's report with headings of its own. Which heading holds which column is said
//! with the file, or was saved under a name before.

use std::path::Path;

use super::fault::IntakeError;
use super::mapped::Mapped;
use super::register::RESULTS;
use super::take::{Taken, take_mapped};
use crate::answer::{NoSuchName, near};
use crate::ledger::{Author, Instant, Ledger, Mode, Snapshot};
use crate::record::{Body, Mapping};

/// A report's file and what was said with it.
#[derive(Debug)]
pub struct ReportFile<'a> {
    /// The file.
    pub path: &'a Path,
    /// Our column and the file's heading.
    pub columns: Vec<(String, String)>,
    /// A saved mapping to use; headings that are given too stand before it.
    pub use_map: Option<&'a str>,
    /// A name to save the mapping under.
    pub save_map: Option<&'a str>,
    /// Our column and what holds where the report has no such cell.
    pub defaults: Vec<(&'static str, String)>,
}

/// Takes in a report: all of it or nothing.
///
/// # Errors
/// Every line that cannot be taken in; a heading or a saved mapping that is not there.
pub fn take_report(
    ledger: &mut Ledger,
    author: &Author,
    now: Instant,
    mode: Mode,
    file: &ReportFile<'_>,
) -> Result<Taken, IntakeError> {
    ledger.write(author, now, mode, |writer| {
        let columns = columns_of(&writer.snapshot()?, file)?;
        let also = file.save_map.map(|name| {
            Body::from(Mapping {
                columns: columns.clone(),
                name: name.to_owned(),
            })
        });
        let mapped = Mapped {
            columns,
            defaults: file.defaults.clone(),
        };
        take_mapped(writer, now, &RESULTS, file.path, &mapped, also)
    })
}

/// The mapping in the order of our columns' names, each once.
fn columns_of(
    snapshot: &Snapshot<'_>,
    file: &ReportFile<'_>,
) -> Result<Vec<(String, String)>, IntakeError> {
    let mut columns = file.columns.clone();
    columns.sort();
    let twice = columns
        .iter()
        .zip(columns.iter().skip(1))
        .find(|(a, b)| a.0 == b.0);
    if let Some(((column, one), (_, other))) = twice {
        return Err(IntakeError::BadChange {
            detail: format!("`{column}` is mapped twice, to `{one}` and to `{other}`"),
            right: "each column once".to_owned(),
        });
    }
    if let Some(name) = file.use_map {
        let saved = snapshot.all::<Mapping>()?;
        let found = saved
            .iter()
            .find(|it| it.body.name.eq_ignore_ascii_case(name));
        let found = found.ok_or_else(|| NoSuchName {
            what: "saved mapping".to_owned(),
            name: name.to_owned(),
            near: near(name, saved.iter().map(|it| it.body.name.as_str())),
        })?;
        for (column, heading) in &found.body.columns {
            if !columns.iter().any(|(it, _)| it == column) {
                columns.push((column.clone(), heading.clone()));
            }
        }
        columns.sort();
    }
    if columns.is_empty() {
        return Err(IntakeError::BadChange {
            detail: "nothing says which heading holds what".to_owned(),
            right: "--map badge=HEADING --map deep=HEADING ..., or --use-map NAME; a file with \
                    our own headings: wearbook badge results FILE"
                .to_owned(),
        });
    }
    Ok(columns)
}
