//! `wearbook wear ...`

use clap::Subcommand;

use crate::answer::{wear_list, wear_of};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{OnArg, ShowArgs, form};
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
    let now = session.clock.now();
    match verb {
        WearVerb::List { on, check, show } => {
            let on = on.day()?;
            let answer = session.ask(None, |snapshot, house| {
                wear_list(snapshot, house, on.unwrap_or_else(|| house.today(now)))
            })?;
            let warns = answer.lines.iter().any(|it| it.forecast.warns);
            let output = &mut session.output;
            output.answer(form(&show), "wear list", &answer, || {
                wear_list_report(&answer)
            })?;
            match check && warns {
                true => Err(Failure::Found),
                false => Ok(()),
            }
        }
        WearVerb::Show {
            equipment,
            on,
            show,
        } => {
            let on = on.day()?;
            let answer = session.ask(None, |snapshot, house| {
                let on = on.unwrap_or_else(|| house.today(now));
                wear_of(snapshot, house, &equipment, on)
            })?;
            let output = &mut session.output;
            output.answer(form(&show), "wear show", &answer, || wear_report(&answer))
        }
    }
}
