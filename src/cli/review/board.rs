//! `wearbook board`

use clap::Args;

use crate::answer::board;
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{KnownArgs, ShowArgs};
use crate::cli::frame::session::Session;
use crate::show::board_report;

/// `wearbook board`
#[derive(Debug, Args)]
pub(crate) struct BoardArgs {
    /// Only these people, such as W03,W05,W06
    #[arg(long, value_name = "IDS", value_delimiter = ',')]
    crew: Vec<String>,
    #[command(flatten)]
    known: KnownArgs,
    /// Exit with 3 if anything says stop
    #[arg(long)]
    check: bool,
    #[command(flatten)]
    show: ShowArgs,
}

pub(crate) fn run(session: &mut Session<'_>, args: &BoardArgs) -> Result<(), Failure> {
    let on = args.known.on.day()?;
    let now = session.clock.now();
    let answer = session.ask(args.known.known_at, |house| {
        board(
            house,
            &args.crew,
            on.unwrap_or_else(|| house.today(now)),
            now,
        )
    })?;
    session.answer(&args.show, "board", &answer, board_report)?;
    Failure::found_if(args.check && answer.says_stop())
}
