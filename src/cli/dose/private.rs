//! `wearbook private ...`

use clap::{Subcommand, ValueEnum};

use crate::answer::private_of;
use crate::cli::frame::failure::{self, Failure};
use crate::cli::frame::flags::{ShowArgs, WriteArgs};
use crate::cli::frame::session::Session;
use crate::intake::{Erase, Typed, erase_private, set_private};
use crate::show::{kept_report, taken_report};

#[derive(Debug, Subcommand)]
pub(crate) enum PrivateVerb {
    /// Keep what identifies a person, for the person's own statements
    ///
    /// A declared pregnancy is kept with `worker pregnancy`. What is there already is replaced.
    ///
    /// Example: wearbook private set W07 --number 000-00-0000 --type SSN --sex female
    Set {
        /// The worker's id
        worker: String,
        /// A number that identifies the person
        #[arg(long)]
        number: Option<String>,
        /// Which kind of number, as the authority's form names it
        #[arg(long = "type")]
        kind: Option<String>,
        /// female or male
        #[arg(long)]
        sex: Option<String>,
        #[command(flatten)]
        write: WriteArgs,
    },
    /// Show what is kept of a person, to the person and the RSO
    ///
    /// Example: wearbook private show W07
    Show {
        /// The worker's id
        worker: String,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Erase something that is kept of a person
    ///
    /// The chain keeps that something was erased, when, by whom and why, and never what: say
    /// nothing private in the reason.
    ///
    /// Example: wearbook private erase W07 identification --reason "asked in writing"
    Erase {
        /// The worker's id
        worker: String,
        /// What to erase
        what: What,
        /// Of several declarations the one with this day of the written notice
        #[arg(long, value_name = "DATE")]
        notice_on: Option<String>,
        /// Why
        #[arg(long)]
        reason: String,
        #[command(flatten)]
        write: WriteArgs,
    },
}

/// What can be erased.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum What {
    /// Declared pregnancies
    Declaration,
    /// The number that identifies the person
    Identification,
    /// The person's sex
    Sex,
    /// What is not there any more, once the RSO has found out what it was
    Lost,
}

pub(crate) fn run(session: &mut Session<'_>, verb: PrivateVerb) -> Result<(), Failure> {
    match verb {
        PrivateVerb::Set {
            worker,
            number,
            kind,
            sex,
            write,
        } => {
            let typed = Typed { number, kind, sex };
            session.take(&write, |writer, _| set_private(writer, &worker, &typed))
        }
        PrivateVerb::Show { worker, show } => {
            let answer = session.ask(None, |house| {
                private_of(house, house.names.worker(&worker)?.number())
            })?;
            session.answer(&show, "private show", &answer, kept_report)
        }
        PrivateVerb::Erase {
            worker,
            what,
            notice_on,
            reason,
            write,
        } => {
            let notice_on = notice_on
                .map(|text| failure::day("notice-on", &text))
                .transpose()?;
            let what = match what {
                What::Declaration => Erase::Declaration(notice_on),
                What::Identification => Erase::Identification,
                What::Sex => Erase::Sex,
                What::Lost => Erase::Lost,
            };
            let asked = (worker.as_str(), what);
            let taken = session.write(&write, |writer, _| erase_private(writer, asked, &reason))?;
            let mut report = taken_report(&taken, write.dry_run);
            report.caution(
                "Copies of the file that were made earlier still have it: erase or destroy them \
                 too, as your own law says.",
            );
            session.output.report(report)
        }
    }
}
