//! `wearbook due`: what falls due of everything, on the screen and as a calendar.

use std::path::PathBuf;

use clap::Args;

use crate::answer::due_ahead;
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{OnArg, ShowArgs, need_ending};
use crate::cli::frame::session::Session;
use crate::file::{Over, write_whole};
use crate::show::{Report, due_ahead_report, due_calendar, is_due_calendar};

/// `wearbook due`
#[derive(Debug, Args)]
pub(crate) struct DueAheadArgs {
    /// So many days ahead
    #[arg(long, value_name = "DAYS", default_value_t = 90)]
    within: u32,
    /// Write a calendar that calendar programs read (RFC 5545), in the place of an earlier one
    #[arg(long, value_name = "FILE", conflicts_with_all = ["json", "csv"])]
    out: Option<PathBuf>,
    #[command(flatten)]
    on: OnArg,
    /// Exit with 3 if something is overdue or not in force
    #[arg(long)]
    check: bool,
    #[command(flatten)]
    show: ShowArgs,
}

pub(crate) fn run(session: &mut Session<'_>, args: &DueAheadArgs) -> Result<(), Failure> {
    if let Some(out) = &args.out {
        need_ending(out, "ics", "a file name such as due.ics")?;
    }
    let (on, now) = (args.on.day()?, session.clock.now());
    let answer = session.ask(None, |house| {
        due_ahead(
            house,
            (on.unwrap_or_else(|| house.today(now)), args.within),
            now,
        )
    })?;
    let overdue = answer.has_overdue();
    match &args.out {
        None => session.answer(&args.show, "due", &answer, due_ahead_report)?,
        Some(path) => {
            let calendar = due_calendar(&answer, now);
            write_whole(path, calendar.as_bytes(), Over::Own(is_due_calendar))?;
            let mut report = Report::new(format!("{} is written", path.display()));
            report.line(answer.words());
            report.line(
                "It is as of now and grows old: an address to subscribe to stays current (wearbook \
                 ledger calendar new).",
            );
            report.caution(answer.confirm.clone());
            session.output.report(report)?;
        }
    }
    Failure::found_if(args.check && overdue)
}
