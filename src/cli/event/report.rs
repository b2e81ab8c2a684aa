//! `wearbook report ...`

use std::path::{Path, PathBuf};

use chrono::TimeDelta;
use clap::{Args, Subcommand, ValueEnum};

use super::command::written;
use crate::answer::{DraftAnswer, Moment, draft_of, notification_of, notifications_all};
use crate::calendar::{Day, TimeOfDay};
use crate::cli::frame::failure::{self, Failure};
use crate::cli::frame::flags::{ShowArgs, WriteArgs};
use crate::cli::frame::folder::Folder;
use crate::cli::frame::moment::moment;
use crate::cli::frame::session::Session;
use crate::intake::{AboutEvent, NewAnswer, NewNotification};
use crate::show::{
    Report, draft_report, markdown, notification_report, notifications_report, page, private_report,
};
use crate::text::file_name;

/// The commands of reports.
#[derive(Debug, Subcommand)]
pub(crate) enum ReportVerb {
    /// Show whom to tell of an event by when, and what is left
    ///
    /// Example: wearbook report show E-1 --check
    Show(NotificationShowArgs),
    /// Answer a question of a rule; what nobody answered counts as yes
    ///
    /// Example: wearbook report answer E-1 no-redundant no
    ///   --because "a second device stood ready on the truck"
    Answer(AnswerArgs),
    /// Write down that a report was given: it closes every clock that it serves
    ///
    /// Example: wearbook report done E-1 call --performed-by "A. Reyes"
    ///   --to "duty officer" --at 2026-05-19T15:10 --reference 57001
    Done(DoneArgs),
    /// List the open clocks of every event that is not closed
    ///
    /// Example: wearbook report list
    List(NotificationListArgs),
    /// Draft the written report: what the ledger has, and what is missing
    ///
    /// Example: wearbook report draft E-1 --out report-E-1
    Draft {
        /// Name of the event
        event: String,
        /// A folder for the draft and, apart from it, the private part
        #[arg(long, value_name = "DIR")]
        out: PathBuf,
        #[command(flatten)]
        at: AtArgs,
    },
}

#[derive(Debug, Args)]
pub(crate) struct AtArgs {
    /// The day that counts as today: at its end
    #[arg(
        long,
        visible_alias = "as-of",
        value_name = "DATE",
        conflicts_with = "at"
    )]
    on: Option<String>,
    /// The moment that counts as now
    #[arg(long, value_name = "TIME")]
    at: Option<String>,
}

impl AtArgs {
    /// The day of it: what is about a later one does not count.
    fn day(&self) -> Result<Option<Day>, Failure> {
        let day = self.on.as_deref().map(|it| failure::day("on", it));
        Ok(match (day.transpose()?, self.moment()?) {
            (Some(day), _) | (None, Some(Moment::Local(day, _))) => Some(day),
            // In no zone is it a later day.
            (None, Some(Moment::Fixed(at))) => Some((at + TimeDelta::hours(14)).date_naive()),
            (None, None) => None,
        })
    }

    /// The moment that was asked for. Of a day the end: no clock looks longer than it is.
    fn moment(&self) -> Result<Option<Moment>, Failure> {
        if let Some(text) = &self.at {
            return Ok(Some(moment("at", text)?));
        }
        let Some(text) = &self.on else {
            return Ok(None);
        };
        let day = failure::day("on", text)?;
        let last = TimeOfDay::from_hms_opt(23, 59, 0).unwrap_or(TimeOfDay::MIN);
        Ok(Some(Moment::Local(day, last)))
    }
}

#[derive(Debug, Args)]
pub(crate) struct NotificationShowArgs {
    /// Name of the event
    event: String,
    #[command(flatten)]
    at: AtArgs,
    /// As known when this entry was the newest
    #[arg(long, value_name = "ENTRY")]
    known_at: Option<i64>,
    /// Exit with 3 if anything is open and overdue
    #[arg(long)]
    check: bool,
    #[command(flatten)]
    show: ShowArgs,
}

#[derive(Debug, Args)]
pub(crate) struct NotificationListArgs {
    #[command(flatten)]
    at: AtArgs,
    /// Exit with 3 if anything is overdue
    #[arg(long)]
    check: bool,
    #[command(flatten)]
    show: ShowArgs,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum YesNo {
    Yes,
    No,
}

#[derive(Debug, Args)]
pub(crate) struct AnswerArgs {
    /// Name of the event
    event: String,
    /// The question's key, as `report show` names it
    question: String,
    /// yes or no
    answer: YesNo,
    /// What the answer rests on
    #[arg(long, value_name = "WHY")]
    because: String,
    /// When it was answered [default: now]
    #[arg(long, value_name = "TIME")]
    at: Option<String>,
    #[command(flatten)]
    write: WriteArgs,
}

#[derive(Debug, Args)]
pub(crate) struct DoneArgs {
    /// Name of the event
    event: String,
    /// The report, or one duty of it, as `report show` names them
    #[arg(value_name = "REPORT")]
    duty: String,
    /// Who made the report
    #[arg(long, value_name = "NAME")]
    performed_by: String,
    /// Who was told
    #[arg(long, value_name = "NAME")]
    to: String,
    /// When [default: now]
    #[arg(long, value_name = "TIME")]
    at: Option<String>,
    /// The start of the clock that it answers [default: the oldest that is open]
    #[arg(long, value_name = "TIME")]
    from: Option<String>,
    /// The authority's number
    #[arg(long, value_name = "NO")]
    reference: Option<String>,
    #[command(flatten)]
    write: WriteArgs,
}

pub(crate) fn run(session: &mut Session<'_>, verb: ReportVerb) -> Result<(), Failure> {
    match verb {
        ReportVerb::Show(args) => show(session, &args),
        ReportVerb::List(args) => list(session, &args),
        ReportVerb::Draft { event, out, at } => report(session, &event, &out, &at),
        ReportVerb::Answer(args) => {
            let about = AboutEvent::Answer(NewAnswer {
                at: args.at.map(|text| moment("at", &text)).transpose()?,
                because: args.because,
                question: args.question,
                yes: args.answer == YesNo::Yes,
            });
            write(session, &args.event, &about, &args.write)
        }
        ReportVerb::Done(args) => {
            let about = AboutEvent::Given(NewNotification {
                at: args.at.map(|text| moment("at", &text)).transpose()?,
                by: args.performed_by,
                duty: args.duty,
                from: args.from.map(|text| moment("from", &text)).transpose()?,
                reference: args.reference,
                to: args.to,
            });
            write(session, &args.event, &about, &args.write)
        }
    }
}

fn show(session: &mut Session<'_>, args: &NotificationShowArgs) -> Result<(), Failure> {
    let (until, at) = (args.at.day()?, args.at.moment()?);
    let now = session.clock.now();
    let answer = session.ask_until(args.known_at, until, |house| {
        notification_of(house, &args.event, at, now)
    })?;
    session.answer(&args.show, "report show", &answer, notification_report)?;
    Failure::found_if(args.check && answer.is_overdue())
}

fn list(session: &mut Session<'_>, args: &NotificationListArgs) -> Result<(), Failure> {
    let (until, at) = (args.at.day()?, args.at.moment()?);
    let now = session.clock.now();
    let answer = session.ask_until(None, until, |house| notifications_all(house, at, now))?;
    session.answer(&args.show, "report list", &answer, notifications_report)?;
    Failure::found_if(args.check && answer.is_overdue())
}

fn report(session: &mut Session<'_>, event: &str, out: &Path, at: &AtArgs) -> Result<(), Failure> {
    let (until, at) = (at.day()?, at.moment()?);
    let now = session.clock.now();
    let answer: DraftAnswer =
        session.ask_until(None, until, |house| draft_of(house, event, (at, now)))?;
    let folder = Folder::open(out, &answer.ledger)?;
    let (mut draft, mut private) = (draft_report(&answer), private_report(&answer));
    let mut said = Report::new(format!(
        "The draft of the report on {} is in {}",
        answer.event,
        out.display()
    ));
    for (report, name) in [(&mut draft, "report"), (&mut private, "private-part")] {
        session.output.mark(report);
        let name = format!("{}-{name}", file_name(&answer.event));
        folder.write(&format!("{name}.html"), &page(report))?;
        folder.write(&format!("{name}.md"), &markdown(report))?;
        said.line(format!("{name}.html, {name}.md"));
    }
    if let Some(words) = answer.no_list() {
        said.line(words);
    }
    match answer.missing() {
        0 if answer.no_list().is_some() || !answer.private.is_empty() => {}
        0 => said.line("nothing that the program knows of is missing in it"),
        1 => said.line("1 content is missing in it, or in part: it says so in its place"),
        many => said.line(format!(
            "{many} contents are missing in it, or in part: each says so in its place"
        )),
    }
    if !answer.private.is_empty() {
        let people = match answer.missing_of_people() {
            0 => String::new(),
            count => format!(
                "; a name or date of birth of {}",
                crate::text::counted(count, "person", "people")
            ),
        };
        said.line(format!(
            "The private part says MISSING of the identification number of everybody{people}: \
             fill it in by hand."
        ));
    }
    if !answer.unsure.is_empty() {
        said.line(format!(
            "An id may be an ordinary word, and was left unchanged: check {}.",
            answer.unsure.join(", ")
        ));
    }
    said.line("Read both before they go out: free text may name a person.");
    session.output.report(said)
}

fn write(
    session: &mut Session<'_>,
    event: &str,
    about: &AboutEvent,
    write: &WriteArgs,
) -> Result<(), Failure> {
    let mut report = written(session, event, about, write)?;
    report.line(format!("How it stands now: wearbook report show {event}"));
    session.output.report(report)
}
