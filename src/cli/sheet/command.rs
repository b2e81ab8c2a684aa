//! `wearbook sheet ...`

use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};

use super::paper::in_hand;
use super::row::{HeadArgs, StartArgs, person_row, put, row_of};
use super::written::{HandedIn, hand_in, hand_in_with};
use super::{prompt, start};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{LanguageArg, WriteArgs, WriteFlags, mode};
use crate::cli::frame::session::Session;
use crate::cli::frame::table::previewed;
use crate::intake::{SHEET_COLUMNS, SHEET_NEEDED, SheetBatch, TableFile};
use crate::ledger::Hash;
use crate::show::{sheets_report, with_taken};

#[derive(Debug, Subcommand)]
pub(crate) enum SheetVerb {
    /// Hand in one sheet: by flags, or field by field at a terminal
    ///
    /// Example: wearbook sheet enter --day 2026-06-14 --shift day --job J-12 --work radiography
    /// --device D-2 --person "worker=W01, role=radiographer, dosimeter=PD-01, start=0 mR,
    /// end=12 mR, ratemeter=R-01, alarm_tested=yes, badge_worn=yes"
    Enter(Box<EnterArgs>),
    /// Record the start of a shift when it is done: by flags, or at a terminal
    ///
    /// Badge on, dosimeter recharged and read, alarm heard, meter checked. The sheet at the end
    /// finds it and asks for the end alone.
    ///
    /// Example: wearbook sheet start --day 2026-06-14 --shift day --begins 07:00 --job J-12
    /// --work radiography --device D-2 --meter SM-01 --meter-checked yes --person "worker=W01,
    /// role=radiographer, dosimeter=PD-01, recharged=yes, start=0 mR, ratemeter=R-01,
    /// alarm_tested=yes, badge_worn=yes"
    Start(Box<StartArgs>),
    /// Hand in sheets from a CSV, XLSX or ODS file, one row a person
    ///
    /// Example: wearbook sheet import june.csv --dry-run
    Import {
        /// The file; `wearbook sheet template` prints its header
        file: PathBuf,
        #[command(flatten)]
        write: WriteArgs,
    },
    /// Print the header of an empty sheet file
    ///
    /// Example: wearbook sheet template
    Template,
}

#[derive(Debug, Default, Args)]
pub(crate) struct EnterArgs {
    #[command(flatten)]
    pub head: HeadArgs,
    /// When it ended, HH:MM
    #[arg(long)]
    pub ends: Option<String>,
    /// How many exposures were made
    #[arg(long)]
    pub exposures: Option<String>,
    /// When the first exposure was made, HH:MM
    #[arg(long)]
    pub first_exposure: Option<String>,
    /// Total minutes with the source out
    #[arg(long)]
    pub source_out_min: Option<String>,
    /// Highest rate at the boundary, such as "1.8 mR/h"
    #[arg(long)]
    pub boundary: Option<String>,
    /// Rate of the survey before storage
    #[arg(long)]
    pub storage_survey: Option<String>,
    /// When the device left storage, HH:MM
    #[arg(long)]
    pub device_out: Option<String>,
    /// When it was back, HH:MM
    #[arg(long)]
    pub device_back: Option<String>,
    /// Id of who attests the sheet
    #[arg(long)]
    pub attested_by: Option<String>,
    /// Where the work was, where that is not the job's place
    #[arg(long)]
    pub site: Option<String>,
    /// Entry of the start of this shift, as `sheet start` printed it
    #[arg(long, value_name = "ENTRY")]
    pub shift_start: Option<String>,
    /// Whether that was recorded at the end and not when it was done, yes or no
    #[arg(long)]
    pub meter_late: Option<String>,
    /// Id of the meter of the survey before storage, where it is another
    #[arg(long)]
    pub storage_meter: Option<String>,
    /// How far from the device that survey was made, such as "1 m", or surface
    #[arg(long)]
    pub storage_distance: Option<String>,
    /// Whether the device was locked when it was back, yes or no
    #[arg(long)]
    pub locked: Option<String>,
    /// Id of the radiographer who signs
    #[arg(long)]
    pub signed_by: Option<String>,
    /// Date on the paper that this is copied from
    #[arg(long, value_name = "DATE")]
    pub paper_date: Option<String>,
    /// Who signed the paper
    #[arg(long)]
    pub paper_signer: Option<String>,
    /// File of its image; its digest is computed where the file is there
    #[arg(long)]
    pub image: Option<String>,
    /// Code of the printed form that it is typed in from: what was printed is proposed
    #[arg(long, value_name = "CODE")]
    pub paper: Option<String>,
    /// Photo or scan of that form, kept with the entry
    #[arg(long, value_name = "FILE")]
    pub photo: Option<PathBuf>,
    #[command(flatten)]
    pub language: LanguageArg,
    #[command(flatten)]
    pub write: WriteFlags,
}

pub(crate) fn run(session: &mut Session<'_>, verb: SheetVerb) -> Result<(), Failure> {
    match verb {
        SheetVerb::Template => session
            .output
            .raw(&format!("{}\n", SHEET_COLUMNS.join(","))),
        SheetVerb::Import { file, write } => {
            let said = session.said.clone();
            let file = TableFile {
                path: &file,
                said: &said,
            };
            if previewed(session, &file, SHEET_COLUMNS, SHEET_NEEDED)? {
                return Ok(());
            }
            let by = write.by.as_deref();
            let handed = hand_in(session, by, mode(write.dry_run), SheetBatch::File(file))?;
            show(session, handed, write.dry_run)
        }
        SheetVerb::Enter(args) => enter(session, &args),
        SheetVerb::Start(args) => start::run(session, &args),
    }
}

fn show(
    session: &mut Session<'_>,
    (taken, answer): HandedIn,
    dry_run: bool,
) -> Result<(), Failure> {
    let told = (answer.sheets > 0).then(|| sheets_report(&answer));
    session.output.report(with_taken(told, &taken, dry_run))
}

/// Values of flags in the order of the columns, for a row without a person.
fn head_row(args: &EnterArgs) -> Vec<String> {
    let mut given = args.head.cells();
    given.extend([
        ("ends", &args.ends),
        ("exposures", &args.exposures),
        ("first_exposure", &args.first_exposure),
        ("source_out_min", &args.source_out_min),
        ("boundary", &args.boundary),
        ("storage_survey", &args.storage_survey),
        ("device_out", &args.device_out),
        ("device_back", &args.device_back),
        ("attested_by", &args.attested_by),
        ("site", &args.site),
        ("shift_start", &args.shift_start),
        ("meter_late", &args.meter_late),
        ("storage_meter", &args.storage_meter),
        ("storage_distance", &args.storage_distance),
        ("locked", &args.locked),
        ("signed_by", &args.signed_by),
        ("paper_date", &args.paper_date),
        ("paper_signer", &args.paper_signer),
        ("image", &args.image),
    ]);
    row_of(&given)
}

fn enter(session: &mut Session<'_>, args: &EnterArgs) -> Result<(), Failure> {
    let mut head = head_row(args);
    if let Some(image) = &args.image {
        put(&mut head, "image_sha256", image_digest(image));
        let name = Path::new(image)
            .file_name()
            .and_then(|it| it.to_str())
            .unwrap_or(image);
        put(&mut head, "image", name);
    }
    let by = args.write.by.as_deref();
    let form = in_hand(session, args.paper.as_deref(), args.photo.as_ref())?;
    let typed = head.iter().any(|value| !value.is_empty()) || !args.head.person.is_empty();
    if !typed {
        if !session.asks {
            return Err(Failure::Refused {
                what: "there is no terminal to ask at, and no flag was given".to_owned(),
                hint: "wearbook sheet enter --help, or: wearbook sheet import FILE.csv".to_owned(),
            });
        }
        session.speak(&args.language, by)?;
        return prompt::run(session, by, args.write.dry_run, form.as_ref());
    }
    let rows = args
        .head
        .person
        .iter()
        .map(|text| person_row(&head, text))
        .collect::<Result<Vec<_>, _>>()?;
    let mut rows = if rows.is_empty() { vec![head] } else { rows };
    if let Some(form) = &form {
        for row in &mut rows {
            form.fill(row);
            form.fill_person(row);
        }
    }
    let photo = form.as_ref().and_then(|it| it.photo.as_ref());
    let how = (by, mode(args.write.dry_run));
    let handed = hand_in_with(session, how, SheetBatch::Typed(rows), photo)?;
    show(session, handed, args.write.dry_run)
}

/// The digest of an image that is there; blank where it is not.
fn image_digest(image: &str) -> String {
    use sha2::{Digest, Sha256};
    std::fs::read(image)
        .map(|bytes| Hash(Sha256::digest(bytes).into()).to_string())
        .unwrap_or_default()
}
