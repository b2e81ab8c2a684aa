//! `--faults FILE`: everything that is wrong with what was handed in, as CSV.

use std::path::{Path, PathBuf};

use clap::ArgMatches;

use super::failure::Failure;
use crate::file::{Over, has_mark, write_whole};
use crate::intake::{IntakeError, Refused};
use crate::show::{FAULT_COLUMNS, csv, faults_table};

/// A file of faults that is to be written.
pub(crate) struct FaultsFile(PathBuf);

impl FaultsFile {
    /// The file that a command was told to write, where it was. What is there and is no file of
    /// faults stops the command before it begins.
    pub fn asked(matches: &ArgMatches) -> Result<Option<FaultsFile>, Failure> {
        let mut leaf = matches;
        while let Some((_, below)) = leaf.subcommand() {
            leaf = below;
        }
        let Ok(Some(path)) = leaf.try_get_one::<PathBuf>("faults") else {
            return Ok(None);
        };
        if path.symlink_metadata().is_ok() && !holds_faults(path) {
            return Err(Failure::Refused {
                what: format!(
                    "`{}` exists already and is no file of faults",
                    path.display()
                ),
                hint: "choose another place; nothing else is ever overwritten".to_owned(),
            });
        }
        Ok(Some(FaultsFile(path.clone())))
    }

    /// Writes the faults that a command ended with; where it took everything in, a header alone,
    /// so that an earlier file does not speak of this one. Whole or not at all.
    pub fn write(&self, done: &Result<(), Failure>) -> Result<(), Failure> {
        let refused: Option<&Refused> = match done {
            Ok(()) => None,
            Err(Failure::Intake(IntakeError::Refused(refused))) => Some(refused),
            Err(_) => return Ok(()),
        };
        let text = csv(&faults_table(refused)).map_err(Failure::internal)?;
        Ok(write_whole(
            &self.0,
            text.as_bytes(),
            Over::Own(holds_faults),
        )?)
    }
}

fn holds_faults(path: &Path) -> bool {
    path.is_file() && has_mark(path, FAULT_COLUMNS.join(",").as_bytes())
}
