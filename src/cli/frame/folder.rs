//! A folder of files of one ledger.

use std::path::{Path, PathBuf};

use serde::Serialize;

use super::failure::Failure;
use super::output::Output;
use crate::file::{Over, is_unfinished, write_whole};
use crate::show::{Report, csv_of_each, json, page, text};
use crate::text::counted;

/// Names the ledger whose files a folder holds.
const MARK: &str = "ledger-id.txt";

/// A folder into which files of one ledger go.
pub(crate) struct Folder {
    dir: PathBuf,
}

/// Endings of files that are written elsewhere: a folder that has one is a file that was meant.
const ENDINGS: &[&str] = &[
    "html", "htm", "json", "txt", "csv", "md", "pdf", "svg", "png", "zip", "ics", "db", "xlsx",
    "ods",
];

/// Refuses the name of a file where a folder is made: several files go there.
pub(crate) fn no_file_name(dir: &Path) -> Result<(), Failure> {
    let ending = dir.extension().and_then(|it| it.to_str());
    let is_file = ending.is_some_and(|it| ENDINGS.iter().any(|one| it.eq_ignore_ascii_case(one)));
    // A folder that is there is what somebody named it.
    if !is_file || dir.is_dir() {
        return Ok(());
    }
    Err(Failure::Refused {
        what: format!(
            "`{}` is a file's name, and a folder is made there",
            dir.display()
        ),
        hint: format!(
            "a folder for the files, such as {}",
            dir.with_extension("").display()
        ),
    })
}

impl Folder {
    /// Makes the folder, or takes one that holds files of the same ledger or nothing.
    pub fn open(dir: &Path, ledger: &str) -> Result<Folder, Failure> {
        no_file_name(dir)?;
        let failed = |source| Failure::File {
            file: dir.display().to_string(),
            source,
        };
        std::fs::create_dir_all(dir).map_err(failed)?;
        let mark = dir.join(MARK);
        let others = || -> std::io::Result<usize> {
            let all = std::fs::read_dir(dir)?.collect::<Result<Vec<_>, _>>()?;
            // What is not complete is from a command that was broken off here.
            Ok(all.iter().filter(|it| !is_unfinished(&it.path())).count())
        };
        match std::fs::read_to_string(&mark) {
            Ok(other) if other.trim() == ledger => {}
            Ok(other) => {
                return Err(Failure::Refused {
                    what: format!(
                        "{} holds files of another ledger, {}",
                        dir.display(),
                        other.trim()
                    ),
                    hint: "name another folder".to_owned(),
                });
            }
            Err(_) if others().map_err(failed)? > 0 => {
                return Err(Failure::Refused {
                    what: format!("{} holds files that are not this ledger's", dir.display()),
                    hint: "name a new folder, or an empty one".to_owned(),
                });
            }
            Err(_) => write_whole(&mark, format!("{ledger}\n").as_bytes(), Over::Nothing)?,
        }
        Ok(Folder {
            dir: dir.to_owned(),
        })
    }

    /// Writes a file, in the place of an earlier one of the same name: what is in the folder is
    /// the ledger's.
    pub fn write(&self, name: &str, text: &str) -> Result<(), Failure> {
        let over = Over::Own(|_| true);
        Ok(write_whole(&self.dir.join(name), text.as_bytes(), over)?)
    }

    /// Writes one answer as page, text at 80 columns, JSON, and each of its tables that has rows as
    /// CSV; returns what it wrote, in words.
    pub fn write_answer(
        &self,
        (name, what): (&str, &str),
        answer: &impl Serialize,
        mut report: Report,
        output: &Output<'_>,
    ) -> Result<String, Failure> {
        output.mark(&mut report);
        let envelope = json(what, output.scripted, answer).map_err(Failure::internal)?;
        self.write(&format!("{name}.json"), &envelope)?;
        self.write(&format!("{name}.txt"), &text(&report, 80))?;
        self.write(&format!("{name}.html"), &page(&report))?;
        let tables = csv_of_each(what, answer, output.unit)?;
        for (table, text) in &tables {
            self.write(&format!("{name}-{table}.csv"), text)?;
        }
        let tables = counted(tables.len(), "table", "tables");
        Ok(format!(
            "{name}.html, {name}.txt, {name}.json; {tables} as {name}-TABLE.csv"
        ))
    }
}
