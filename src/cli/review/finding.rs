//! `wearbook findings` and `wearbook finding answer`

use clap::{Args, Subcommand};

use crate::answer::{House, finding_stands, findings};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{OnArg, ShowArgs, SpanArgs, WriteArgs};
use crate::cli::frame::session::Session;
use crate::intake::answer_finding;
use crate::record::Decision;
use crate::show::findings_report;

#[derive(Debug, Args)]
pub(crate) struct FindingsArgs {
    #[command(flatten)]
    pub span: SpanArgs,
    /// List the answered ones too
    #[arg(long)]
    pub answered: bool,
    /// List all of each check: without it, the newest 20 of what stops nobody
    #[arg(long)]
    pub all: bool,
    /// Exit with 3 if anything is open
    #[arg(long)]
    pub check: bool,
    #[command(flatten)]
    pub show: ShowArgs,
}

#[derive(Debug, Subcommand)]
pub(crate) enum FindingVerb {
    /// Answer a finding; it returns when the entries that it rests on change
    ///
    /// Example: wearbook finding answer high-shift/W01/118 --reason "two welds, seen with
    /// W01"
    Answer {
        /// Its key, as `wearbook findings` prints it
        key: String,
        /// What was decided and why
        #[arg(long)]
        reason: String,
        #[command(flatten)]
        on: OnArg,
        #[command(flatten)]
        write: WriteArgs,
    },
}

pub(crate) fn list(session: &mut Session<'_>, args: &FindingsArgs) -> Result<(), Failure> {
    let now = session.clock.now();
    let days = args.span.days()?;
    let answer = session.ask(args.span.known.known_at, |house| {
        let (span, on) = days.settle(house, now)?;
        findings(house, (span, on, now), args.answered)
    })?;
    session.answer(&args.show, "findings", &answer, |it| {
        findings_report(it, args.all)
    })?;
    Failure::found_if(args.check && answer.has_open())
}

pub(crate) fn run(session: &mut Session<'_>, verb: FindingVerb) -> Result<(), Failure> {
    let FindingVerb::Answer {
        key,
        reason,
        on,
        write,
    } = verb;
    let on = on.day()?;
    let decision = Decision {
        answer: reason,
        finding: key.clone(),
    };
    session.take(&write, |writer, now| {
        answer_finding(writer, decision, |snapshot| {
            let house = House::load(snapshot)?;
            let on = on.unwrap_or_else(|| house.today(now));
            Ok(finding_stands(&house.open(snapshot), &key, (on, now))?)
        })
    })
}
