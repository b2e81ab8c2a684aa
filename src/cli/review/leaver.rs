//! `wearbook dose leaver`: the packet of somebody who leaves.

use std::path::PathBuf;

use chrono::Datelike;
use clap::Args;

use crate::answer::leaver;
use crate::cli::frame::failure::{self, Failure};
use crate::cli::frame::flags::ShowArgs;
use crate::cli::frame::folder::Folder;
use crate::cli::frame::session::Session;
use crate::show::{Report, leaver_report, statement_page};
use crate::text::file_name;

/// `wearbook dose leaver`
#[derive(Debug, Args)]
pub(crate) struct LeaverArgs {
    /// The worker's id
    worker: String,
    /// The last day
    #[arg(long, value_name = "DATE")]
    on: String,
    /// Statements of earlier years too, from this one on [default: those owed unasked]
    #[arg(long, value_name = "YEAR")]
    since: Option<i32>,
    /// A folder for the sheet on top and the pages [default: shows the sheet alone]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    #[command(flatten)]
    show: ShowArgs,
}

pub(crate) fn run(session: &mut Session<'_>, args: &LeaverArgs) -> Result<(), Failure> {
    let on = failure::day("on", &args.on)?;
    if let Some(since) = args.since.filter(|since| *since > on.year()) {
        return Err(Failure::Flag {
            flag: "since",
            what: format!("{since} is after the last day, {on}"),
            right: "the first of the earlier years that are asked for".to_owned(),
        });
    }
    let now = session.clock.now();
    let answer = session.ask(None, |house| {
        leaver(house, &args.worker, (on, args.since), now)
    })?;
    let id = file_name(&answer.worker);
    let statements = answer.statements();
    let files: Vec<String> = statements
        .map(|it| format!("{id}-{}.html", it.year))
        .collect();
    let Some(dir) = &args.out else {
        return session.answer(&args.show, "dose leaver", &answer, |it| {
            let mut report = leaver_report(it, &files);
            report.line("");
            report.line("The pages that go with it are not written yet: --out DIR writes them.");
            report
        });
    };
    let folder = Folder::open(dir, &answer.ledger)?;
    let scripted = session.output.scripted;
    for (file, statement) in files.iter().zip(answer.statements()) {
        folder.write(file, &statement_page(statement, scripted))?;
    }
    let report = leaver_report(&answer, &files);
    let name = format!("leaver-{id}");
    let names = (name.as_str(), "dose leaver");
    let written = folder.write_answer(names, &answer, report, &session.output)?;
    let mut said = Report::new(format!(
        "The packet of {} is in {}",
        answer.worker,
        dir.display()
    ));
    said.line(format!("the sheet on top: {written}"));
    said.line(format!("the statements: {}", files.join(", ")));
    if answer.is_estimate() {
        said.line("some figures are estimates");
        if !answer.awaited.is_empty() {
            said.line(format!("badges awaited: {}", answer.awaited.len()));
        }
    }
    session.output.report(said)
}
