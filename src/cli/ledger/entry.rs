//! `wearbook entry ...`

use clap::Subcommand;

use crate::answer::{entry_of, history_of};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{ShowArgs, WriteArgs};
use crate::cli::frame::session::Session;
use crate::intake::{amend, reinstate, void};
use crate::show::{entry_report, history_report};

#[derive(Debug, Subcommand)]
pub(crate) enum EntryVerb {
    /// Show one entry with its fields
    ///
    /// Example: wearbook entry show 118
    Show {
        /// Its number
        entry: i64,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Show every version of the record that an entry belongs to
    ///
    /// Example: wearbook entry history 118
    History {
        /// Any of its entries
        entry: i64,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Correct fields of an entry with a new one
    ///
    /// Example: wearbook entry correct 118 "people.1.readings.1.end=31 mR" --reason "misread"
    Correct {
        /// The newest entry of the record
        entry: i64,
        /// FIELD=VALUE as `wearbook entry show` prints them; FIELD= takes a field away
        #[arg(required = true, value_name = "FIELD=VALUE")]
        changes: Vec<String>,
        /// Why
        #[arg(long)]
        reason: String,
        #[command(flatten)]
        write: WriteArgs,
    },
    /// Cancel a record; it stays readable
    ///
    /// Example: wearbook entry void 118 --reason "entered twice"
    Void {
        /// The newest entry of the record
        entry: i64,
        /// Why
        #[arg(long)]
        reason: String,
        #[command(flatten)]
        write: WriteArgs,
    },
    /// Put a void record in force again
    ///
    /// Example: wearbook entry reinstate 131 --reason "it was not the same sheet"
    Reinstate {
        /// The entry that voids it
        entry: i64,
        /// Why
        #[arg(long)]
        reason: String,
        #[command(flatten)]
        write: WriteArgs,
    },
}

pub(crate) fn run(session: &mut Session<'_>, verb: EntryVerb) -> Result<(), Failure> {
    match verb {
        EntryVerb::Show { entry, show } => {
            let answer = session.ask(None, |house| entry_of(house, entry))?;
            session.answer(&show, "entry show", &answer, entry_report)
        }
        EntryVerb::History { entry, show } => {
            let answer = session.ask(None, |house| history_of(house, entry))?;
            session.answer(&show, "entry history", &answer, |it| history_report(it))
        }
        EntryVerb::Correct {
            entry,
            changes,
            reason,
            write,
        } => {
            let changes = changes
                .iter()
                .map(|it| change(it))
                .collect::<Result<Vec<_>, _>>()?;
            session.take(&write, |writer, now| {
                amend(writer, now, entry, &changes, &reason)
            })
        }
        EntryVerb::Void {
            entry,
            reason,
            write,
        } => session.take(&write, |writer, _| void(writer, entry, &reason)),
        EntryVerb::Reinstate {
            entry,
            reason,
            write,
        } => session.take(&write, |writer, _| reinstate(writer, entry, &reason)),
    }
}

fn change(text: &str) -> Result<(String, String), Failure> {
    match text.split_once('=') {
        Some((field, value)) => Ok((field.trim().to_owned(), value.trim().to_owned())),
        None => Err(Failure::Refused {
            what: format!("`{text}` is not FIELD=VALUE"),
            hint: "such as \"people.1.readings.1.end=31 mR\"".to_owned(),
        }),
    }
}
