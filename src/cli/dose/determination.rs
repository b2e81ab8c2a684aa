//! `wearbook determination notional`: what the register's own commands cannot say.

use clap::Subcommand;

use crate::answer::notional_of;
use crate::calendar::Span;
use crate::cli::frame::failure::{self, Failure};
use crate::cli::frame::flags::ShowArgs;
use crate::cli::frame::session::Session;
use crate::show::notional_report;

/// The commands of a determination besides those of its register.
#[derive(Debug, Subcommand)]
pub(crate) enum DeterminationVerb {
    /// Work out the limit's share of some days; writes nothing
    ///
    /// Example: wearbook determination notional --worker W02 --first-day 2026-05-01
    /// --last-day 2026-05-14
    Notional {
        /// Id of the worker
        #[arg(long, value_name = "ID")]
        worker: String,
        /// The first day
        #[arg(long, value_name = "DATE")]
        first_day: String,
        /// The last day
        #[arg(long, value_name = "DATE")]
        last_day: String,
        #[command(flatten)]
        show: ShowArgs,
    },
}

pub(crate) fn run(session: &mut Session<'_>, verb: DeterminationVerb) -> Result<(), Failure> {
    let DeterminationVerb::Notional {
        worker,
        first_day,
        last_day,
        show,
    } = verb;
    let first = failure::day("first-day", &first_day)?;
    let last = failure::day("last-day", &last_day)?;
    if last < first {
        let what = format!("`{last}` is before the first day {first}");
        return Err(Failure::flag(
            "last-day",
            what,
            "the first day or a later one",
        ));
    }
    let answer = session.ask(None, |house| {
        let worker = house.names.worker(&worker)?;
        notional_of(house, worker.number(), Span { first, last })
    })?;
    session.answer(&show, "determination notional", &answer, notional_report)
}
