//! `wearbook records ...`, `worker show` and `dose breakdown`: what an inspector asks for, as lists

use std::path::PathBuf;

use chrono::Months;
use clap::{Args, Subcommand};

use crate::answer::{
    AnswerError, House, OpenHouse, RecordsAnswer, RecordsSpan, UseAsked, breakdown, calibrations,
    inventories, lapsed, leak_tests, person, sources, tracking, utilization, yearly_reports,
};
use crate::calendar::{Day, Span};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{BetweenArgs, Days, KnownArgs, ShowArgs, days};
use crate::cli::frame::folder::Folder;
use crate::cli::frame::session::Session;
use crate::ledger::Instant;
use crate::show::{Report, records_report};
use crate::text::file_name;

/// How many months records are listed for where nobody says.
const MONTHS: u32 = 36;

#[derive(Debug, Subcommand)]
pub(crate) enum RecordsVerb {
    /// List the uses of devices and sources: the utilization log
    ///
    /// Without days, of the three years up to today.
    ///
    /// Example: wearbook records utilization --source S-7 --from 2026-06-01 --to 2026-06-30
    Utilization {
        /// Id of one source assembly
        #[arg(long, value_name = "ID")]
        source: Option<String>,
        /// Id of one exposure device
        #[arg(long, value_name = "ID")]
        device: Option<String>,
        /// Id of one person of the crew
        #[arg(long, value_name = "ID")]
        worker: Option<String>,
        /// Id of one job
        #[arg(long, value_name = "ID")]
        job: Option<String>,
        #[command(flatten)]
        list: ListArgs,
    },
    /// List inventories: what was seen, by whom, where, and what was not seen
    ///
    /// Without days, of the three years up to today.
    ///
    /// Example: wearbook records inventories --year 2026
    Inventories(ListArgs),
    /// List receipt, exchange and transfer of sources, with their papers
    ///
    /// Without days, of the three years up to today.
    ///
    /// Example: wearbook records sources --source S-7
    Sources {
        /// Id of one source assembly or device
        #[arg(long, value_name = "ID")]
        source: Option<String>,
        #[command(flatten)]
        list: ListArgs,
    },
    /// List leak tests of all sources and shields, and what had none
    ///
    /// Without days, of the three years up to today.
    ///
    /// Example: wearbook records leak-tests --year 2026
    LeakTests {
        /// Id of one source assembly or device
        #[arg(long, value_name = "ID")]
        item: Option<String>,
        #[command(flatten)]
        list: ListArgs,
    },
    /// List calibrations and checks of all instruments with their points, and what had none
    ///
    /// Without days, of the three years up to today.
    ///
    /// Example: wearbook records calibrations --instrument SM-01
    Calibrations {
        /// Id of one instrument
        #[arg(long, value_name = "ID")]
        instrument: Option<String>,
        #[command(flatten)]
        list: ListArgs,
    },
    /// List who worked while a qualification was not current, every day of it
    ///
    /// Without days, of the three years up to today.
    ///
    /// Example: wearbook records lapsed --year 2026
    Lapsed {
        /// Id of one person
        #[arg(long, value_name = "ID")]
        worker: Option<String>,
        #[command(flatten)]
        list: ListArgs,
    },
    /// List checks, reports and transfers of sources, their category, and who has access
    ///
    /// Without days, of the three years up to today. For the RSO and the authority.
    ///
    /// Example: wearbook records tracking --year 2026
    Tracking(ListArgs),
    /// List whether and when the report of each year was given
    ///
    /// Without days, of the three years up to today.
    ///
    /// Example: wearbook records yearly-reports --on 2026-06-05
    YearlyReports(ListArgs),
}

/// What every list takes.
#[derive(Debug, Args)]
pub(crate) struct ListArgs {
    /// A year of the licensee
    #[arg(long, conflicts_with_all = ["from", "to"])]
    year: Option<i32>,
    #[command(flatten)]
    between: BetweenArgs,
    #[command(flatten)]
    known: KnownArgs,
    /// A folder for the list as page, text, JSON and CSV
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    #[command(flatten)]
    show: ShowArgs,
}

impl ListArgs {
    fn days(&self) -> Result<Days, Failure> {
        days(self.year, &self.between, &self.known.on)
    }
}

/// The three years up to a day.
fn three_years(today: Day) -> Span {
    let before = today.checked_sub_months(Months::new(MONTHS));
    let first = before.and_then(|it| it.succ_opt()).unwrap_or(today);
    Span { first, last: today }
}

pub(crate) fn run(session: &mut Session<'_>, verb: RecordsVerb) -> Result<(), Failure> {
    match verb {
        RecordsVerb::Utilization {
            source,
            device,
            worker,
            job,
            list,
        } => {
            let asked = UseAsked {
                source,
                device,
                worker,
                job,
            };
            show(session, &list, |house, span| {
                utilization(house, &asked, span)
            })
        }
        RecordsVerb::Inventories(list) => show(session, &list, inventories),
        RecordsVerb::Sources { source, list } => show(session, &list, |house, span| {
            sources(house, source.as_deref(), span)
        }),
        RecordsVerb::LeakTests { item, list } => show(session, &list, |house, span| {
            leak_tests(house, item.as_deref(), span)
        }),
        RecordsVerb::Calibrations { instrument, list } => show(session, &list, |house, span| {
            calibrations(house, instrument.as_deref(), span)
        }),
        RecordsVerb::Lapsed { worker, list } => show(session, &list, |house, span| {
            lapsed(house, worker.as_deref(), span)
        }),
        RecordsVerb::Tracking(list) => show(session, &list, tracking),
        RecordsVerb::YearlyReports(list) => show(session, &list, yearly_reports),
    }
}

/// The days asked for, and today: a list of past days is read by today's rules, as whoever asks for
/// it does.
fn asked(
    days: &Days,
    house: &House,
    now: Instant,
    otherwise: impl FnOnce(Day) -> Span,
) -> Result<RecordsSpan, AnswerError> {
    let (span, _) = days.settle_or(house, now, otherwise)?;
    let on = days.on.unwrap_or_else(|| house.today(now));
    Ok(RecordsSpan { span, on })
}

/// Asks for a list of the three years up to today, where no flag says otherwise.
fn show(
    session: &mut Session<'_>,
    args: &ListArgs,
    question: impl FnOnce(&OpenHouse<'_>, RecordsSpan) -> Result<RecordsAnswer, AnswerError>,
) -> Result<(), Failure> {
    let days = args.days()?;
    let now = session.clock.now();
    let answer = session.ask(args.known.known_at, |house| {
        question(house, asked(&days, house, now, three_years)?)
    })?;
    let what = format!("records {}", answer.key);
    print(session, &what, &answer, args)
}

/// One person's file, of all days where no flag says otherwise.
pub(crate) fn worker(
    session: &mut Session<'_>,
    worker: &str,
    args: &ListArgs,
) -> Result<(), Failure> {
    let days = args.days()?;
    let now = session.clock.now();
    let first = Day::MIN;
    let answer = session.ask(args.known.known_at, |house| {
        let span = asked(&days, house, now, |last| Span { first, last })?;
        person(house, worker, span)
    })?;
    print(session, "worker show", &answer, args)
}

/// The dose by job, client, work and crew, of the current year where no flag says otherwise.
pub(crate) fn dose(session: &mut Session<'_>, args: &ListArgs) -> Result<(), Failure> {
    let days = args.days()?;
    let now = session.clock.now();
    let answer = session.ask(args.known.known_at, |house| {
        let (span, _) = days.settle(house, now)?;
        let on = days.on.unwrap_or_else(|| house.today(now));
        breakdown(house, RecordsSpan { span, on })
    })?;
    print(session, "dose breakdown", &answer, args)
}

/// Prints a list, or writes it into a folder.
fn print(
    session: &mut Session<'_>,
    what: &str,
    answer: &RecordsAnswer,
    args: &ListArgs,
) -> Result<(), Failure> {
    let Some(dir) = &args.out else {
        return session.answer(&args.show, what, answer, records_report);
    };
    let folder = Folder::open(dir, &answer.ledger)?;
    let name = match &answer.about {
        Some(id) => format!("{}-{}", answer.key, file_name(id)),
        None => answer.key.to_owned(),
    };
    let report = records_report(answer);
    let files = folder.write_answer((&name, what), answer, report, &session.output)?;
    let mut said = Report::new(format!("{} is in {}", answer.title, dir.display()));
    said.line(files);
    session.output.report(said)
}

/// The commands of a worker besides those of the registers.
#[derive(Debug, Subcommand)]
pub(crate) enum WorkerVerb {
    /// Show one person's file: roles, training, badges, doses of each year, events
    ///
    /// Without days, of all days up to today.
    ///
    /// Example: wearbook worker show W07
    Show {
        /// The worker's id
        worker: String,
        #[command(flatten)]
        list: ListArgs,
    },
    /// Set what a person signs in with at the page, or take it away
    ///
    /// A PIN has at least 6 signs. RSO, designee and inspector may read or decide everything, and
    /// need a passphrase of at least 12. It is asked for twice and not shown. Its hash is kept
    /// beside the chain of entries: no record, export or backup has it. Whoever can open the
    /// ledger's file needs none.
    ///
    /// Example: wearbook worker pin W02
    Pin {
        /// The worker's id
        worker: String,
        /// Read it from the first line of standard input
        #[arg(long, conflicts_with = "remove")]
        stdin: bool,
        /// Take it away: the person cannot sign in any more
        #[arg(long)]
        remove: bool,
    },
}
