//! `wearbook trace ...`

use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};

use crate::answer::{TraceAnswer, ranking_of, trace_of};
use crate::cli::frame::failure::{self, Failure};
use crate::cli::frame::flags::{KnownArgs, OnArg, ShowArgs, WriteArgs, need_ending};
use crate::cli::frame::session::Session;
use crate::file::{Over, write_whole};
use crate::intake::{NewConclusion, conclude};
use crate::show::{Report, ranking_report, trace_page, trace_report};

#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true)]
pub(crate) struct TraceArgs {
    #[command(subcommand)]
    verb: Option<TraceVerb>,
    /// Name of the event
    event: Option<String>,
    #[command(flatten)]
    form: TraceForm,
}

/// In which form, and as known when.
#[derive(Debug, Args)]
pub(crate) struct TraceForm {
    /// Write it as a printable page
    #[arg(long, value_name = "FILE.html")]
    out: Option<PathBuf>,
    /// Every item, and all that the verdicts rest on
    #[arg(long)]
    all: bool,
    #[command(flatten)]
    known: KnownArgs,
    #[command(flatten)]
    show: ShowArgs,
}

#[derive(Debug, Subcommand)]
pub(crate) enum TraceVerb {
    /// Show each item that could have detected an event, with its verdict
    ///
    /// First the finding in four sentences, then one table, then the items that could have detected
    /// it. --all tells of every item, of every inspection that had to be there, and on what it
    /// rests.
    ///
    /// Example: wearbook trace show E-1 --out e1.html
    Show {
        /// Name of the event
        event: String,
        #[command(flatten)]
        form: TraceForm,
    },
    /// Conclude whether an item could have detected an event; the RSO's
    ///
    /// Example: wearbook trace conclude E-1 tube-kinks --performed-by W01
    ///   --coverage "arose after the last inspection" --because "the stand fell on it"
    Conclude {
        /// Name of the event
        event: String,
        /// Key of the item; none: nothing covers this; or a barrier: mating check, survey,
        /// alarm ratemeter, dosimeter, lock, boundary
        item: String,
        /// "can detect", "cannot detect", "no item", "arose after the last inspection"
        /// or "not established"
        #[arg(long, value_name = "WORD")]
        coverage: String,
        /// What it rests on
        #[arg(long, value_name = "WHY")]
        because: String,
        /// Id of the RSO or designee who concludes it
        #[arg(long, value_name = "ID")]
        performed_by: String,
        /// Id of the item that was inspected [default: the one that failed]
        #[arg(long, value_name = "ID")]
        of: Option<String>,
        /// The day [default: today]
        #[arg(long, value_name = "DATE")]
        on: Option<String>,
        #[command(flatten)]
        write: WriteArgs,
    },
    /// Rank the items by what they caught and let through, over all events
    ///
    /// Example: wearbook trace ranking
    Ranking {
        #[command(flatten)]
        on: OnArg,
        #[command(flatten)]
        show: ShowArgs,
    },
}

pub(crate) fn run(session: &mut Session<'_>, args: TraceArgs) -> Result<(), Failure> {
    match (args.verb, args.event) {
        (Some(TraceVerb::Show { event, form }), _) => show(session, &event, &form),
        (None, Some(event)) => show(session, &event, &args.form),
        (
            Some(TraceVerb::Conclude {
                event,
                item,
                coverage,
                because,
                performed_by,
                of,
                on,
                write,
            }),
            _,
        ) => {
            let on = on.map(|it| failure::day("on", &it)).transpose()?;
            let new = NewConclusion {
                item,
                coverage,
                because,
                by: performed_by,
                of,
                on,
            };
            session.take(&write, |writer, now| conclude(writer, now, &event, &new))
        }
        (Some(TraceVerb::Ranking { on, show }), _) => {
            let answer = session.ask_until(None, on.day()?, ranking_of)?;
            session.answer(&show, "trace ranking", &answer, ranking_report)
        }
        (None, None) => Err(Failure::Refused {
            what: "a trace is of one event".to_owned(),
            hint: "wearbook event list shows the events; then wearbook trace E-1".to_owned(),
        }),
    }
}

fn show(session: &mut Session<'_>, event: &str, asked: &TraceForm) -> Result<(), Failure> {
    let answer = session.ask_until(asked.known.known_at, asked.known.on.day()?, |house| {
        trace_of(house, event)
    })?;
    if let Some(out) = &asked.out {
        return page(session, &answer, out);
    }
    session.answer(&asked.show, "trace show", &answer, |it| {
        trace_report(it, asked.all)
    })
}

fn page(session: &mut Session<'_>, answer: &TraceAnswer, out: &Path) -> Result<(), Failure> {
    let right = "a file name such as e1.html; `chart trace` draws the picture alone";
    need_ending(out, "html", right)?;
    let page = trace_page(answer, session.output.scripted)?;
    write_whole(out, page.as_bytes(), Over::Nothing)?;
    session
        .output
        .report(Report::new(format!("{} is written", out.display())))
}
