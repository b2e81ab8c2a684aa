//! `wearbook wear ...`

use clap::Subcommand;

use crate::answer::{wear_list, wear_of};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{OnArg, ShowArgs};
use crate::cli::frame::session::Session;
use crate::show::{wear_list_report, wear_report};

#[derive(Debug, Subcommand)]
pub(crate) enum WearVerb {
    /// List every measured part and where it is heading: estimates
    ///
    /// Example: wearbook wear list --check
    List {
        #[command(flatten)]
        on: OnArg,
        /// Exit with 3 if a part may reach its limit before it is inspected again
        #[arg(long)]
        check: bool,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Show the measures of one item of equipment, part after part
    ///
    /// Example: wearbook wear show CU-2
    Show {
        /// Its id
        equipment: String,
        #[command(flatten)]
        on: OnArg,
        #[command(flatten)]
        show: ShowArgs,
    },
}

pub(crate) fn run(session: &mut Session<'_>, verb: WearVerb) -> Result<(), Failure> {
    match verb {
        WearVerb::List { on, check, show } => {
            let answer = session.ask_on(&on, wear_list)?;
            let warns = answer.lines.iter().any(|it| it.forecast.warns);
            session.answer(&show, "wear list", &answer, wear_list_report)?;
            Failure::found_if(check && warns)
        }
        WearVerb::Show {
            equipment,
            on,
            show,
        } => {
            let answer = session.ask_on(&on, |house, on| wear_of(house, &equipment, on))?;
            session.answer(&show, "wear show", &answer, wear_report)
        }
    }
}
