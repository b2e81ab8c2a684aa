//! `wearbook review`

use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};

use crate::answer::{ReviewAnswer, collective, review, review_diff, review_pictures, year_review};
use crate::calendar::Month;
use crate::cli::frame::failure::{self, Failure};
use crate::cli::frame::flags::{ShowArgs, WriteArgs};
use crate::cli::frame::folder::Folder;
use crate::cli::frame::session::Session;
use crate::intake::{ReportOf, report_sent, sign};
use crate::ledger::Mode;
use crate::record::AnnualReport;
use crate::show::{
    Report, collective_chart, csv, review_diff_report, review_drawings, review_report,
    statements_table, taken_report, year_review_report,
};

/// `wearbook review`
#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true)]
pub(crate) struct ReviewArgs {
    #[command(subcommand)]
    verb: Option<ReviewVerb>,
    /// The month, such as 2026-05, or a year, such as 2026 [default: the month before this]
    period: Option<String>,
    /// The day for which all of it stands; nothing about a later day counts [default: the
    /// month's last day, or today]
    #[arg(
        long,
        visible_alias = "as-of",
        value_name = "DATE",
        conflicts_with = "sign"
    )]
    on: Option<String>,
    /// A folder for the page, the text, the JSON and the tables
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Sign it
    #[arg(long, requires = "performed_by")]
    sign: bool,
    /// Id of the RSO or designee who signs
    #[arg(long, value_name = "ID", requires = "sign")]
    performed_by: Option<String>,
    /// Why it is signed with open stops, or again
    #[arg(long, value_name = "WHY", requires = "sign")]
    reason: Option<String>,
    /// Your name, as the entry keeps it [default: the system user]
    #[arg(long, env = "WEARBOOK_BY", value_name = "NAME")]
    by: Option<String>,
    #[command(flatten)]
    show: ShowArgs,
}

#[derive(Debug, Subcommand)]
enum ReviewVerb {
    /// Show what changed in a month since it was signed
    ///
    /// Example: wearbook review changes 2026-05
    Changes {
        /// The month
        month: String,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Write down that the annual report of a year was sent to the authority, or that people were
    /// given their own
    ///
    /// Example: wearbook review sent 2025 --to "State Office" --performed-by "Ada Example"
    /// --on 2026-04-22 --reference R-26-118
    Sent(SentArgs),
}

#[derive(Debug, Args)]
struct SentArgs {
    /// The licensee's year that the report is of
    year: i32,
    /// To which authority
    #[arg(long, value_name = "NAME", required_unless_present = "worker")]
    to: Option<String>,
    /// To the person of this id, or `all`: their own report, to everybody who was monitored
    #[arg(long, value_name = "ID", conflicts_with = "to")]
    worker: Option<String>,
    /// Who sent it
    #[arg(long, value_name = "NAME")]
    performed_by: String,
    /// The day on which it was sent
    #[arg(long, value_name = "DATE")]
    on: String,
    /// The receipt, or the number of the parcel
    #[arg(long, value_name = "NO")]
    reference: Option<String>,
    #[command(flatten)]
    write: WriteArgs,
}

fn month_of(text: &str) -> Result<Month, Failure> {
    Month::parse(text).map_err(|error| Failure::Refused {
        what: error.to_string(),
        hint: "wearbook review 2026-05".to_owned(),
    })
}

pub(crate) fn run(session: &mut Session<'_>, args: ReviewArgs) -> Result<(), Failure> {
    if let Some(ReviewVerb::Sent(args)) = args.verb {
        return sent(session, args);
    }
    if let Some(ReviewVerb::Changes { month, show }) = args.verb {
        let month = month_of(&month)?;
        let answer = session.ask(None, |house| review_diff(house, month))?;
        return session.answer(&show, "review changes", &answer, review_diff_report);
    }
    if let Some(year) = args.period.as_deref().and_then(year_of) {
        return of_year(session, year, &args);
    }
    let month = args.period.as_deref().map(month_of).transpose()?;
    let on = args.on.as_deref().map(|it| failure::day("on", it));
    let on = on.transpose()?;
    let month = month.or(on.map(Month::of));
    let now = session.clock.now();
    let on_page = session.output.keeps();
    let mut made = None;
    let mut pictures = None;
    let answer = session.ask(None, |house| {
        let month = month.unwrap_or_else(|| Month::of(house.today(now)).before());
        made = Some(month);
        let answer = review(house, month, (on, now))?;
        let draws = args.out.is_some() || (on_page && !args.show.is_data());
        pictures = match draws {
            true => Some(review_pictures(house, &answer, now)?),
            false => None,
        };
        Ok(answer)
    })?;
    // A refused signature prints nothing but why.
    let signed = match (&args.performed_by, made, args.sign) {
        (Some(by), Some(month), true) => {
            let signature = (by.as_str(), args.reason.as_deref());
            let name = (args.by.as_deref(), Mode::Commit);
            Some(session.write_as(name, |writer, now| sign(writer, now, month, signature))?)
        }
        _ => None,
    };
    let drawings = match &pictures {
        Some(pictures) => review_drawings(pictures, session.output.scripted)?,
        None => Vec::new(),
    };
    match &args.out {
        Some(dir) => write_out(session, &answer, &drawings, dir)?,
        None => session.answer(&args.show, "review", &answer, |it| {
            review_report(it, &drawings)
        })?,
    }
    match signed {
        Some(taken) => session.output.talk_report(&taken_report(&taken, false)),
        None => Ok(()),
    }
}

fn sent(session: &mut Session<'_>, args: SentArgs) -> Result<(), Failure> {
    let report = AnnualReport {
        on: failure::day("on", &args.on)?,
        by: args.performed_by,
        reference: args.reference,
        to: args.to.unwrap_or_default(),
        worker: None,
        year: i64::from(args.year),
    };
    let of = match &args.worker {
        Some(id) => ReportOf::Person(id),
        None => ReportOf::Authority,
    };
    session.take(&args.write, |writer, now| {
        report_sent(writer, now, (report, of))
    })
}

/// Four digits: a year.
fn year_of(text: &str) -> Option<i32> {
    let digits = text.len() == 4 && text.bytes().all(|it| it.is_ascii_digit());
    digits.then(|| text.parse().ok()).flatten()
}

fn of_year(session: &mut Session<'_>, year: i32, args: &ReviewArgs) -> Result<(), Failure> {
    if args.sign {
        let what = format!("`{year}` is a year");
        return Err(Failure::flag("sign", what, "a month, such as `2026-05`"));
    }
    let on = args.on.as_deref().map(|it| failure::day("on", it));
    let on = on.transpose()?;
    let now = session.clock.now();
    let (answer, months, unit) = session.ask(None, |house| {
        if args.out.is_some() {
            // Everybody's dose of record goes out with it.
            house.snapshot.prove(None)?;
        }
        let answer = year_review(house, year, (on, now))?;
        let start = house.rule_set_on(answer.last)?.year_start;
        let months = collective(house, start.year(year), answer.last)?;
        Ok((answer, months, house.unit()))
    })?;
    let drawing = collective_chart(&months, unit, session.output.scripted)?;
    let Some(dir) = &args.out else {
        return session.answer(&args.show, "review year", &answer, |it| {
            year_review_report(it, &[drawing])
        });
    };
    let folder = Folder::open(dir, &answer.ledger)?;
    let report = year_review_report(&answer, &[drawing]);
    let name = format!("review-{year}");
    let names = (name.as_str(), "review year");
    let files = folder.write_answer(names, &answer, report, &session.output)?;
    let annual = csv(&statements_table(&answer.statements)).map_err(Failure::internal)?;
    folder.write(&format!("annual-report-{year}.csv"), &annual)?;
    let mut said = Report::new(format!("The review of {year} is in {}", dir.display()));
    said.line(files);
    said.line(format!("annual-report-{year}.csv has the dose records"));
    session.output.report(said)
}

fn write_out(
    session: &mut Session<'_>,
    answer: &ReviewAnswer,
    drawings: &[(&'static str, String)],
    dir: &Path,
) -> Result<(), Failure> {
    let folder = Folder::open(dir, &answer.ledger)?;
    let report = review_report(answer, drawings);
    let name = format!("review-{}", answer.month);
    let names = (name.as_str(), "review");
    let files = folder.write_answer(names, answer, report, &session.output)?;
    let mut said = Report::new(format!(
        "The review of {} is in {}",
        answer.month,
        dir.display()
    ));
    said.line(files);
    let stops = crate::text::counted(
        answer.open_stops,
        "open finding says stop",
        "open findings say stop",
    );
    said.line(stops);
    session.output.report(said)
}
