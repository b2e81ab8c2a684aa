//! `wearbook pack`

use std::path::PathBuf;

use clap::Args;

use crate::answer::pack;
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{BetweenArgs, OnArg, ShowArgs, days};
use crate::cli::frame::folder::Folder;
use crate::cli::frame::session::Session;
use crate::show::{Report, pack_report};
use crate::text::file_name;

/// `wearbook pack`
#[derive(Debug, Args)]
pub(crate) struct PackArgs {
    /// Id of the job
    job: String,
    /// A folder for the page, the text, the JSON and the tables
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// First day [default: of the whole job]
    #[arg(long, value_name = "DATE", requires = "to")]
    from: Option<String>,
    /// Last day
    #[arg(long, value_name = "DATE", requires = "from")]
    to: Option<String>,
    #[command(flatten)]
    on: OnArg,
    #[command(flatten)]
    show: ShowArgs,
}

pub(crate) fn run(session: &mut Session<'_>, args: &PackArgs) -> Result<(), Failure> {
    let between = BetweenArgs {
        from: args.from.clone(),
        to: args.to.clone(),
    };
    let days = days(None, &between, &args.on)?;
    let now = session.clock.now();
    let answer = session.ask(None, |house| {
        let today = || house.names.today_at(&house.names.job_ref(&args.job), now);
        let on = days.on.unwrap_or_else(today);
        pack(house, &args.job, days.asked(), on)
    })?;
    let Some(dir) = &args.out else {
        return session.answer(&args.show, "pack", &answer, pack_report);
    };
    let folder = Folder::open(dir, &answer.ledger)?;
    let name = format!("papers-{}", file_name(&answer.job));
    let names = (name.as_str(), "pack");
    let files = folder.write_answer(names, &answer, pack_report(&answer), &session.output)?;
    let mut said = Report::new(format!("The papers are in {}", dir.display()));
    said.line(files);
    session.output.report(said)
}
