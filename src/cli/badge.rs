//! `wearbook badge import | accept | settle`: what the register's own commands cannot say.

use std::path::PathBuf;

use clap::{Args, Subcommand};

use super::args::WriteArgs;
use super::failure::{self, Failure};
use super::run::{Session, mode};
use crate::intake::{Accepted, By, ReportFile, Settled, accept, settle, take_report};
use crate::record::{OfRecord, Words};
use crate::show::taken_report;

/// The commands of a badge besides those of its registers.
#[derive(Debug, Subcommand)]
pub(super) enum BadgeVerb {
    /// Take in a processor's report with headings of its own
    ///
    /// Example: wearbook badge import june.csv --map badge=Dosimeter --map "deep=DDE (mrem)"
    /// --report R-77 --reported-on 2026-06-20 --unit mrem --minimum "10 mrem" --below M
    /// --save-map lab-monthly
    Import(Box<ImportArgs>),
    /// Accept a result, or all of a report that count: from then on levels use them alone
    ///
    /// Example: wearbook badge accept 412 --by-worker W01
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
    /// Settle which is of record where a badge's result and determinations contradict each other
    ///
    /// `both` takes the result for the rest of its shifts and adds the determinations. Where no
    /// badge is concerned, or reports contradict each other: wearbook dose settle.
    /// Example: wearbook badge settle 0417 --of-record result --reason "the badge was worn"
    /// --by-worker W01
    Settle {
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
pub(super) struct DecideArgs {
    /// Id of who decides: rso or rso designee on that day
    #[arg(long, value_name = "ID")]
    pub by_worker: String,
    /// The day of the decision [default: today]
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// Id of a second person, needed where the dose is the decider's own
    #[arg(long, value_name = "ID")]
    pub second_by: Option<String>,
}

/// A report and what is said with it.
#[derive(Debug, Args)]
pub(super) struct ImportArgs {
    /// The report's file
    pub file: PathBuf,
    /// Our column and the report's heading; `badge results --template` lists our columns
    #[arg(long, value_name = "COLUMN=HEADING")]
    pub map: Vec<String>,
    /// A saved mapping
    #[arg(long, value_name = "NAME")]
    pub use_map: Option<String>,
    /// Save the mapping under this name
    #[arg(long, value_name = "NAME", conflicts_with = "use_map")]
    pub save_map: Option<String>,
    /// The processor's number of the report
    #[arg(long)]
    pub report: Option<String>,
    /// The report's date
    #[arg(long, value_name = "DATE")]
    pub reported_on: Option<String>,
    /// Unit of the cells that have none: mrem, rem, mSv or uSv
    #[arg(long)]
    pub unit: Option<String>,
    /// Least dose that the processor reports, such as "10 mrem"
    #[arg(long)]
    pub minimum: Option<String>,
    /// A code of the report for less than that, such as M
    #[arg(long, value_name = "CODE")]
    pub below: Vec<String>,
    #[command(flatten)]
    pub write: WriteArgs,
}

pub(super) fn run(session: &mut Session<'_>, verb: BadgeVerb) -> Result<(), Failure> {
    match verb {
        BadgeVerb::Import(args) => import(session, &args),
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
            let author = session.author(write.by.as_deref());
            let (now, mode) = (session.clock.now(), mode(write.dry_run));
            let mut ledger = session.open()?;
            let taken = accept(&mut ledger, &author, now, mode, what, by)?;
            session.output.report(taken_report(&taken, write.dry_run))
        }
        BadgeVerb::Settle {
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
            let author = session.author(write.by.as_deref());
            let (now, mode) = (session.clock.now(), mode(write.dry_run));
            let mut ledger = session.open()?;
            let badge = Settled::Badge {
                badge: &badge,
                which,
            };
            let settled = (badge, reason.as_str());
            let taken = settle(&mut ledger, &author, now, mode, settled, by)?;
            session.output.report(taken_report(&taken, write.dry_run))
        }
    }
}

pub(super) fn by(decide: &DecideArgs) -> Result<By<'_>, Failure> {
    let on = decide
        .on
        .as_deref()
        .map(|text| failure::day("on", text))
        .transpose()?;
    Ok(By {
        worker: &decide.by_worker,
        on,
        second: decide.second_by.as_deref(),
    })
}

fn import(session: &mut Session<'_>, args: &ImportArgs) -> Result<(), Failure> {
    let columns = args
        .map
        .iter()
        .map(|it| pair(it))
        .collect::<Result<Vec<_>, _>>()?;
    let below = (!args.below.is_empty()).then(|| args.below.join(" / "));
    let defaults = [
        ("report", args.report.clone()),
        ("reported_on", args.reported_on.clone()),
        ("unit", args.unit.clone()),
        ("minimum", args.minimum.clone()),
        ("below_code", below),
    ];
    let file = ReportFile {
        path: &args.file,
        columns,
        use_map: args.use_map.as_deref(),
        save_map: args.save_map.as_deref(),
        defaults: defaults
            .into_iter()
            .filter_map(|(name, value)| Some((name, value?)))
            .collect(),
    };
    let author = session.author(args.write.by.as_deref());
    let (now, mode) = (session.clock.now(), mode(args.write.dry_run));
    let mut ledger = session.open()?;
    let taken = take_report(&mut ledger, &author, now, mode, &file)?;
    session
        .output
        .report(taken_report(&taken, args.write.dry_run))
}

fn pair(text: &str) -> Result<(String, String), Failure> {
    let parts = text.split_once('=');
    let parts = parts.map(|(column, heading)| (column.trim(), heading.trim()));
    match parts {
        Some((column, heading)) if !column.is_empty() && !heading.is_empty() => {
            Ok((column.to_owned(), heading.to_owned()))
        }
        _ => Err(Failure::flag(
            "map",
            format!("`{text}` is not COLUMN=HEADING"),
            "such as --map \"deep=DDE (mrem)\"",
        )),
    }
}
