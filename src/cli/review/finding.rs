//! `wearbook findings` and `wearbook finding answer`

use clap::{Args, Subcommand};

use crate::answer::{House, finding_stands, findings};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{OnArg, ShowArgs, SpanArgs, WriteArgs, days, form, mode};
use crate::cli::frame::session::Session;
use crate::intake::{IntakeError, answer_finding};
use crate::record::Decision;
use crate::show::{findings_report, taken_report};

#[derive(Debug, Args)]
pub(crate) struct FindingsArgs {
    #[command(flatten)]
    pub span: SpanArgs,
    /// List the answered ones too
    #[arg(long)]
    pub answered: bool,
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
    let days = days(&args.span)?;
    let answer = session.ask(args.span.known_at, |snapshot, house| {
        let (span, on) = days.settle(house, now)?;
        findings(snapshot, house, (span, on, now), args.answered)
    })?;
    session
        .output
        .answer(form(&args.show), "findings", &answer, || {
            findings_report(&answer)
        })?;
    if args.check && answer.has_open() {
        Err(Failure::Found)
    } else {
        Ok(())
    }
}

pub(crate) fn run(session: &mut Session<'_>, verb: FindingVerb) -> Result<(), Failure> {
    let FindingVerb::Answer {
        key,
        reason,
        on,
        write,
    } = verb;
    let on = on.day()?;
    let now = session.clock.now();
    let author = session.author(write.by.as_deref());
    let mut ledger = session.open()?;
    let decision = Decision {
        answer: reason,
        finding: key.clone(),
    };
    let taken = answer_finding(
        &mut ledger,
        &author,
        now,
        mode(write.dry_run),
        decision,
        |snapshot| {
            let house = House::load(snapshot)?;
            let on = on.unwrap_or_else(|| house.today(now));
            Ok::<_, IntakeError>(finding_stands(snapshot, &house, &key, (on, now))?)
        },
    )?;
    session.output.report(taken_report(&taken, write.dry_run))
}
