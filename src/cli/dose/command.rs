//! `wearbook dose ...`

use std::path::PathBuf;

use clap::{Args, Subcommand};

use super::badge::{self, DecideArgs};
use super::estimate::{self, PlanArgs, ReconstructArgs};
use crate::answer::{dose_of, dose_of_crew, forecast_of, lists, reconcile, work_status};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{KnownArgs, OnArg, ShowArgs, SpanArgs, WriteArgs};
use crate::cli::frame::session::Session;
use crate::cli::review::leaver;
use crate::cli::review::records::{self, ListArgs};
use crate::cli::review::statement;
use crate::intake::{Settled, settle};
use crate::rule::Severity;
use crate::show::{
    crew_report, dose_report, forecast_report, lists_report, reconcile_report, work_status_report,
};

#[derive(Debug, Subcommand)]
pub(crate) enum DoseVerb {
    /// Show one person's dose, the levels and what is left
    ///
    /// Example: wearbook dose show W07 --year 2026 --why
    Show {
        /// The worker's id
        worker: String,
        #[command(flatten)]
        span: SpanArgs,
        /// Show every contribution with its entry
        #[arg(long)]
        why: bool,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Show the crew's dose by job, client, kind of work and crew, with the year before
    ///
    /// Without days, of the current year.
    ///
    /// Example: wearbook dose breakdown --year 2026
    Breakdown {
        #[command(flatten)]
        list: ListArgs,
    },
    /// Show where a person's year is heading: an estimate
    ///
    /// Example: wearbook dose forecast W07
    Forecast {
        /// The worker's id
        worker: String,
        #[command(flatten)]
        on: OnArg,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Compare readings with badge results, period by period
    ///
    /// Example: wearbook dose reconcile --year 2026 --check
    Reconcile {
        /// One worker's id [default: everybody]
        worker: Option<String>,
        #[command(flatten)]
        span: SpanArgs,
        /// Exit with 3 if anything is beyond the band
        #[arg(long)]
        check: bool,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// List who is above a share of a limit, estimates, missing results, undetermined doses
    ///
    /// Example: wearbook dose lists --year 2026 --share 10
    Lists {
        #[command(flatten)]
        span: SpanArgs,
        /// The share of a limit, in per cent
        #[arg(long, default_value_t = 10, value_name = "PERCENT")]
        share: i64,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Write a worker's year on one page, or everybody's into a folder
    ///
    /// Example: wearbook dose statement --all --year 2025 --out statements
    Statement {
        /// One worker's id
        worker: Option<String>,
        /// The licensee's year [default: the current one]
        #[arg(long)]
        year: Option<i32>,
        /// Everybody who was monitored in the year
        #[arg(long, conflicts_with = "worker")]
        all: bool,
        /// A file (.html or .csv), or with --all a folder
        #[arg(long, value_name = "PATH")]
        out: Option<PathBuf>,
        #[command(flatten)]
        on: OnArg,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Write what somebody who leaves is given, with the badges whose result is awaited
    ///
    /// Example: wearbook dose leaver W07 --on 2026-06-30 --out leaver-W07
    Leaver(leaver::LeaverArgs),
    /// Estimate a dose from time, distance and shielding; writes nothing
    ///
    /// Example: wearbook dose reconstruct --source S-1 --at 2026-05-19T10:40 --worker W07
    /// --position "what=cranking in, distance=7.5 m, minutes=4"
    /// --position "what=at the tube, distance=1 m to 1.5 m, minutes=40 s, shield=lead 10 mm"
    Reconstruct(Box<ReconstructArgs>),
    /// Plan a retrieval: rates, distances, times, whom a budget fits; an estimate
    ///
    /// Example: wearbook dose plan --source S-1 --shield "lead 10 mm" --budget "50 mrem"
    Plan(Box<PlanArgs>),
    /// Resolve which of what contradicts each other is of record
    ///
    /// `dose show ID --why` lists what is open, with the command for each way out. What is not
    /// named is set aside.
    /// Example: wearbook dose resolve --of-record 130 --rest 118 --reason "dropped at noon"
    /// --performed-by W01
    Resolve(Box<SettleArgs>),
    /// Show everybody's dose, one line a person
    ///
    /// Example: wearbook dose crew --year 2026
    Crew {
        #[command(flatten)]
        span: SpanArgs,
        #[command(flatten)]
        show: ShowArgs,
    },
}

/// What is of record, and who decides so.
#[derive(Debug, Args)]
pub(crate) struct SettleArgs {
    /// The newest entry of a result or determination that stands
    #[arg(long, value_name = "ENTRY", required = true)]
    pub of_record: Vec<i64>,
    /// The one that stands only for the shifts that the others are not about
    #[arg(long, value_name = "ENTRY")]
    pub rest: Option<i64>,
    /// Why
    #[arg(long)]
    pub reason: String,
    #[command(flatten)]
    pub decide: DecideArgs,
    #[command(flatten)]
    pub write: WriteArgs,
}

fn settle_conflict(session: &mut Session<'_>, args: &SettleArgs) -> Result<(), Failure> {
    let by = badge::by(&args.decide)?;
    let entries = Settled::Entries {
        of_record: &args.of_record,
        rest: args.rest,
    };
    let settled = (entries, args.reason.as_str());
    session.take(&args.write, |writer, now| settle(writer, now, settled, by))
}

pub(crate) fn run(session: &mut Session<'_>, verb: DoseVerb) -> Result<(), Failure> {
    let now = session.clock.now();
    match verb {
        DoseVerb::Resolve(args) => settle_conflict(session, &args),
        DoseVerb::Show {
            worker,
            span,
            why,
            show,
        } => {
            let days = span.days()?;
            let answer = session.ask(span.known.known_at, |house| {
                let worker = house.names.worker(&worker)?;
                let (span, on) = days.settle(house, now)?;
                dose_of(house, worker.number(), span, on)
            })?;
            session.answer(&show, "dose show", &answer, |it| dose_report(it, why))
        }
        DoseVerb::Forecast { worker, on, show } => {
            let answer = session.ask_on(&on, |house, on| {
                forecast_of(house, house.names.worker(&worker)?.number(), on)
            })?;
            session.answer(&show, "dose forecast", &answer, forecast_report)
        }
        DoseVerb::Reconcile {
            worker,
            span,
            check,
            show,
        } => {
            let days = span.days()?;
            let answer = session.ask(span.known.known_at, |house| {
                let worker = worker.map(|id| house.names.worker(&id)).transpose()?;
                let (span, _) = days.settle(house, now)?;
                reconcile(house, worker.map(|it| it.number()), span)
            })?;
            session.answer(&show, "dose reconcile", &answer, reconcile_report)?;
            let act = answer
                .findings
                .iter()
                .any(|it| it.severity != Severity::Watch);
            Failure::found_if(check && act)
        }
        DoseVerb::Lists { span, share, show } => {
            let days = span.days()?;
            let answer = session.ask(span.known.known_at, |house| {
                let (span, on) = days.settle(house, now)?;
                lists(house, span, on, share)
            })?;
            session.answer(&show, "dose lists", &answer, lists_report)
        }
        DoseVerb::Statement {
            worker,
            year,
            all,
            out,
            on,
            show,
        } => {
            let asked = statement::Asked {
                worker,
                year,
                all,
                out,
                on,
            };
            statement::run(session, asked, &show)
        }
        DoseVerb::Leaver(args) => leaver::run(session, &args),
        DoseVerb::Reconstruct(args) => estimate::reconstruct(session, *args),
        DoseVerb::Plan(args) => estimate::plan_retrieval(session, *args),
        DoseVerb::Breakdown { list } => records::dose(session, &list),
        DoseVerb::Crew { span, show } => {
            let days = span.days()?;
            let answer = session.ask(span.known.known_at, |house| {
                let (span, on) = days.settle(house, now)?;
                dose_of_crew(house, span, on)
            })?;
            session.answer(&show, "dose crew", &answer, crew_report)
        }
    }
}

/// `wearbook work-status`
pub(crate) fn who_may_work(
    session: &mut Session<'_>,
    worker: Option<String>,
    known: &KnownArgs,
    check: bool,
    show: &ShowArgs,
) -> Result<(), Failure> {
    let now = session.clock.now();
    let on = known.on.day()?;
    let answer = session.ask(known.known_at, |house| {
        let worker = worker.map(|id| house.names.worker(&id)).transpose()?;
        work_status(
            house,
            worker.map(|it| it.number()),
            on.unwrap_or_else(|| house.today(now)),
            now,
        )
    })?;
    session.answer(show, "work-status", &answer, work_status_report)?;
    let stopped = answer.lines.iter().any(|it| !it.may_work);
    Failure::found_if(check && stopped)
}
