//! `wearbook pack`

use std::path::PathBuf;

use clap::Args;

use super::args::ShowArgs;
use super::failure::{self, Failure};
use super::folder::Folder;
use super::run::{Session, form};
use crate::answer::pack;
use crate::show::{Report, pack_report, page};
use crate::text::file_name;

/// `wearbook pack`
#[derive(Debug, Args)]
pub(super) struct PackArgs {
    /// Id of the job
    job: String,
    /// A folder for the page
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// The day that counts as today
    #[arg(long, value_name = "DATE")]
    on: Option<String>,
    #[command(flatten)]
    show: ShowArgs,
}

pub(super) fn run(session: &mut Session<'_>, args: &PackArgs) -> Result<(), Failure> {
    let on = args
        .on
        .as_deref()
        .map(|text| failure::day("on", text))
        .transpose()?;
    let now = session.clock.now();
    let answer = session.ask(None, |snapshot, house| {
        pack(
            snapshot,
            house,
            &args.job,
            on.unwrap_or_else(|| house.names.today_at(&house.names.job_ref(&args.job), now)),
        )
    })?;
    let Some(dir) = &args.out else {
        return session
            .output
            .answer(form(&args.show), "pack", &answer, || pack_report(&answer));
    };
    let folder = Folder::open(dir, &answer.ledger)?;
    let mut report = pack_report(&answer);
    session.output.mark(&mut report);
    let name = format!("papers-{}.html", file_name(&answer.job));
    folder.write(&name, &page(&report))?;
    let what = format!("{} is written", dir.join(name).display());
    session.output.report(Report::new(what))
}
