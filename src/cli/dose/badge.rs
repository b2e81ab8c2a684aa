//! `wearbook badge import | accept | resolve`: what the register's own commands cannot say.

use std::path::PathBuf;

use clap::{Args, Subcommand};

use crate::answer::LabelsOf;
use crate::cli::equipment::labels::{self, LabelsArgs};
use crate::cli::frame::failure::{self, Failure};
use crate::cli::frame::flags::WriteArgs;
use crate::cli::frame::session::Session;
use crate::cli::frame::table::previewed;
use crate::intake::{
    Accepted, By, REGISTERS, Rows, Settled, TableFile, accept, settle, take_register,
};
use crate::record::{OfRecord, Words};

/// The commands of a badge besides those of its registers.
#[derive(Debug, Subcommand)]
pub(crate) enum BadgeVerb {
    /// Take in a processor's report with headings of its own
    ///
    /// Example: wearbook badge import june.csv --map badge=Dosimeter --map "deep=DDE (mrem)"
    /// --report R-77 --reported-on 2026-06-20 --unit mrem --minimum "10 mrem" --below M
    /// --save-map lab-monthly
    Import(Box<ImportArgs>),
    /// Print labels with a code to scan, for racks and the backs of holders
    ///
    /// Nobody's name stands on one. Never put one over a filter or a window of a badge.
    ///
    /// Example: wearbook badge labels --out labels.html
    Labels(LabelsArgs),
    /// Accept a result, or all of a report that count: from then on levels use them alone
    ///
    /// Example: wearbook badge accept 412 --performed-by W01
    Accept {
        /// The newest entry of a result, such as 412 or entry:412
        #[arg(value_name = "RESULT-ENTRY", required_unless_present = "report")]
        entry: Option<String>,
        /// The processor's number of a report
        #[arg(long, conflicts_with = "entry", value_name = "NUMBER")]
        report: Option<String>,
        #[command(flatten)]
        decide: DecideArgs,
        #[command(flatten)]
        write: WriteArgs,
    },
    /// Resolve which is of record where a badge's result and determinations contradict each other
    ///
    /// `both` takes the result for the rest of its shifts and adds the determinations. Where no
    /// badge is concerned, or reports contradict each other: wearbook dose resolve.
    /// Example: wearbook badge resolve 0417 --of-record result --reason "the badge was worn"
    /// --performed-by W01
    Resolve {
        /// The number on the badge, or NUMBER/FIRST_DAY
        badge: String,
        /// result, determination or both
        #[arg(long, value_name = "WHICH")]
        of_record: String,
        /// Why
        #[arg(long)]
        reason: String,
        #[command(flatten)]
        decide: DecideArgs,
        #[command(flatten)]
        write: WriteArgs,
    },
}

/// Who decides, and when.
#[derive(Debug, Args)]
pub(crate) struct DecideArgs {
    /// Id of who decides: rso or rso designee on that day
    #[arg(long, value_name = "ID")]
    pub performed_by: String,
    /// The day of the decision [default: today]
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// Id of a second person, needed where the dose is the decider's own
    #[arg(long, value_name = "ID")]
    pub second_by: Option<String>,
}

/// A report and what is said with it.
#[derive(Debug, Args)]
pub(crate) struct ImportArgs {
    /// The report's file
    pub file: PathBuf,
    /// The processor's number of the report
    #[arg(long)]
    pub report: Option<String>,
    /// The report's date
    #[arg(long, value_name = "DATE")]
    pub reported_on: Option<String>,
    /// Least dose that the processor reports, such as "10 mrem"
    #[arg(long)]
    pub minimum: Option<String>,
    /// A code of the report for less than that, such as M
    #[arg(long, value_name = "CODE")]
    pub below: Vec<String>,
    #[command(flatten)]
    pub write: WriteArgs,
}

pub(crate) fn run(session: &mut Session<'_>, verb: BadgeVerb) -> Result<(), Failure> {
    match verb {
        BadgeVerb::Import(args) => import(session, &args),
        BadgeVerb::Labels(args) => labels::run(session, LabelsOf::Badges, &args),
        BadgeVerb::Accept {
            entry,
            report,
            decide,
            write,
        } => {
            let what = match (&entry, &report) {
                (Some(entry), _) => Accepted::Entry(entry),
                (None, report) => Accepted::Report(report.as_deref().unwrap_or_default()),
            };
            let by = by(&decide)?;
            session.take(&write, |writer, now| accept(writer, now, what, by))
        }
        BadgeVerb::Resolve {
            badge,
            of_record,
            reason,
            decide,
            write,
        } => {
            let which = match of_record.as_str() {
                "both" => None,
                word => Some(OfRecord::from_word(word).ok_or_else(|| {
                    let what = format!("`{of_record}` cannot be of record");
                    Failure::flag("of-record", what, "result, determination, both")
                })?),
            };
            let by = by(&decide)?;
            let badge = Settled::Badge {
                badge: &badge,
                which,
            };
            let settled = (badge, reason.as_str());
            session.take(&write, |writer, now| settle(writer, now, settled, by))
        }
    }
}

pub(crate) fn by(decide: &DecideArgs) -> Result<By<'_>, Failure> {
    let on = decide
        .on
        .as_deref()
        .map(|text| failure::day("on", text))
        .transpose()?;
    Ok(By {
        worker: &decide.performed_by,
        on,
        second: decide.second_by.as_deref(),
    })
}

fn import(session: &mut Session<'_>, args: &ImportArgs) -> Result<(), Failure> {
    let mut said = session.said.clone();
    if said.columns.is_empty() && said.use_map.is_none() {
        return Err(Failure::Refused {
            what: "nothing says which heading holds what".to_owned(),
            hint: "--map badge=HEADING --map deep=HEADING ..., or --use-map NAME; a file with \
                   our own headings: wearbook badge results FILE"
                .to_owned(),
        });
    }
    let below = (!args.below.is_empty()).then(|| args.below.join(" / "));
    let given = [
        ("report", args.report.clone()),
        ("reported_on", args.reported_on.clone()),
        ("minimum", args.minimum.clone()),
        ("below_code", below),
    ];
    let given = given.into_iter();
    said.once
        .extend(given.filter_map(|(name, value)| Some((name.to_owned(), value?))));
    let register = REGISTERS
        .iter()
        .find(|it| (it.noun, it.import) == ("badge", "results"))
        .ok_or_else(|| Failure::internal("no register of results"))?;
    let file = TableFile {
        path: &args.file,
        said: &said,
    };
    if previewed(session, &file, register.names, &register.needed())? {
        return Ok(());
    }
    let rows = Rows::File(file);
    session.take(&args.write, |writer, now| {
        take_register(writer, now, register, rows)
    })
}
