//! `wearbook instrument calibrate | calibrations | show | due | labels` and `equipment show | due |
//! labels`: what the registers' own commands cannot say.

use std::path::PathBuf;

use clap::Subcommand;

use super::labels::{self, LabelsArgs};
use crate::answer::{LabelsOf, due, item_of};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{OnArg, ShowArgs, WriteArgs};
use crate::cli::frame::session::Session;
use crate::cli::frame::table::previewed;
use crate::intake::{Batch, CALIBRATION_COLUMNS, CALIBRATION_NEEDED, TableFile, take_calibrations};
use crate::show::{calibrations_report, due_report, item_report, with_taken};

/// The commands of an instrument besides those of its registers.
#[derive(Debug, Subcommand)]
pub(crate) enum InstrumentVerb {
    /// Write down a calibration or response check with its points
    ///
    /// Example: wearbook instrument calibrate SM-01 --on 2026-05-19 --performed-by "Cal Lab"
    /// --point "found, scale=10 mR/h, true=3.3 mR/h, reads=3.5 mR/h" --point "found, scale=10 mR/h,
    /// true=6.7 mR/h, reads=6.6 mR/h"
    Calibrate {
        /// The instrument's id
        instrument: String,
        /// Day
        #[arg(long, value_name = "DATE")]
        on: String,
        /// calibration or response check
        #[arg(long = "type", default_value = "calibration", value_name = "TYPE")]
        kind: String,
        /// Who did it
        #[arg(long, value_name = "NAME")]
        performed_by: String,
        /// Number of the certificate
        #[arg(long)]
        certificate: Option<String>,
        /// pass or fail, as the certificate says [default: what the points say]
        #[arg(long)]
        result: Option<String>,
        /// One point: "found|left, scale=RATE, true=RATE, reads=RATE"
        #[arg(long, required = true, value_name = "FIELDS")]
        point: Vec<String>,
        #[command(flatten)]
        write: WriteArgs,
    },
    /// Take in calibrations from a CSV file, one row a point
    ///
    /// Example: wearbook instrument calibrations certificates.csv
    Calibrations {
        /// The file
        #[arg(required_unless_present = "template")]
        file: Option<PathBuf>,
        /// Print the header of an empty file
        #[arg(long)]
        template: bool,
        #[command(flatten)]
        write: WriteArgs,
    },
    /// Show one instrument: checks with their points, servicing, look-backs
    ///
    /// Example: wearbook instrument show SM-01
    Show {
        /// Its id
        instrument: String,
        #[command(flatten)]
        at: OnArg,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// List what falls due, or is overdue
    ///
    /// Example: wearbook instrument due --within 60
    Due(DueArgs),
    /// Print labels with a code to scan, or stickers of calibrations
    ///
    /// A code opens the instrument at the page; it holds the ledger's id and the instrument's, and
    /// nothing private. Days stand on stickers alone.
    ///
    /// Example: wearbook instrument labels --stickers --out stickers.html
    Labels {
        /// Stickers: what was done, and until when it holds; only of what is in time
        #[arg(long)]
        stickers: bool,
        #[command(flatten)]
        labels: LabelsArgs,
    },
}

/// The commands of equipment besides those of its registers.
#[derive(Debug, Subcommand)]
pub(crate) enum EquipmentVerb {
    /// Show one item: parts, source, tests, inspections, withdrawals
    ///
    /// Example: wearbook equipment show CU-2
    Show {
        /// Its id
        equipment: String,
        #[command(flatten)]
        at: OnArg,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// List what falls due, or is overdue
    ///
    /// Example: wearbook equipment due --within 60
    Due(DueArgs),
    /// Print labels with a code to scan
    ///
    /// A code opens the item at the page: its check of the day for a crew, its file for the RSO. It
    /// holds the ledger's id and the item's, and nothing private.
    ///
    /// Example: wearbook equipment labels --size 2.625x1in --out labels.html
    Labels(LabelsArgs),
}

/// Which duties are listed.
#[derive(Debug, clap::Args)]
pub(crate) struct DueArgs {
    /// So many days ahead
    #[arg(long, default_value_t = 30, value_name = "DAYS")]
    pub within: u32,
    #[command(flatten)]
    pub on: OnArg,
    /// Exit with 3 if something is overdue
    #[arg(long)]
    pub check: bool,
    #[command(flatten)]
    pub show: ShowArgs,
}

pub(crate) fn run(session: &mut Session<'_>, verb: InstrumentVerb) -> Result<(), Failure> {
    match verb {
        InstrumentVerb::Calibrate {
            instrument,
            on,
            kind,
            performed_by,
            certificate,
            result,
            point,
            write,
        } => {
            let mut base = vec![String::new(); CALIBRATION_COLUMNS.len()];
            let head = [
                ("instrument", instrument),
                ("on", on),
                ("type", kind),
                ("performed_by", performed_by),
                ("certificate", certificate.unwrap_or_default()),
                ("result", result.unwrap_or_default()),
            ];
            for (column, value) in head {
                put(&mut base, column, value);
            }
            let rows = point
                .iter()
                .map(|text| point_row(&base, text))
                .collect::<Result<Vec<_>, _>>()?;
            take(session, Batch::Typed(rows), &write)
        }
        InstrumentVerb::Calibrations {
            file,
            template,
            write,
        } => match file {
            Some(file) if !template => {
                let said = session.said.clone();
                let file = TableFile {
                    path: &file,
                    said: &said,
                };
                if previewed(session, &file, CALIBRATION_COLUMNS, CALIBRATION_NEEDED)? {
                    return Ok(());
                }
                take(session, Batch::File(file), &write)
            }
            _ => session
                .output
                .raw(&format!("{}\n", CALIBRATION_COLUMNS.join(","))),
        },
        InstrumentVerb::Show {
            instrument,
            at,
            show,
        } => item(session, "instrument show", &instrument, &at, &show),
        InstrumentVerb::Due(due) => list_due(session, "instrument", &due),
        InstrumentVerb::Labels { stickers, labels } => {
            let of = match stickers {
                true => LabelsOf::Calibrations,
                false => LabelsOf::Instruments,
            };
            labels::run(session, of, &labels)
        }
    }
}

pub(crate) fn run_equipment(session: &mut Session<'_>, verb: EquipmentVerb) -> Result<(), Failure> {
    match verb {
        EquipmentVerb::Show {
            equipment,
            at,
            show,
        } => item(session, "equipment show", &equipment, &at, &show),
        EquipmentVerb::Due(due) => list_due(session, "equipment", &due),
        EquipmentVerb::Labels(args) => labels::run(session, LabelsOf::Equipment, &args),
    }
}

fn item(
    session: &mut Session<'_>,
    what: &str,
    id: &str,
    at: &OnArg,
    show: &ShowArgs,
) -> Result<(), Failure> {
    let answer = session.ask_on(at, |house, on| item_of(house, id, on))?;
    session.answer(show, what, &answer, item_report)
}

fn list_due(session: &mut Session<'_>, noun: &str, args: &DueArgs) -> Result<(), Failure> {
    let answer = session.ask_on(&args.on, |house, on| due(house, noun, on, args.within))?;
    let overdue = answer.has_overdue();
    session.answer(&args.show, &format!("{noun} due"), &answer, due_report)?;
    Failure::found_if(args.check && overdue)
}

fn take(session: &mut Session<'_>, batch: Batch<'_>, write: &WriteArgs) -> Result<(), Failure> {
    let (taken, assessed) =
        session.write(write, |writer, now| take_calibrations(writer, now, batch))?;
    let told = (!assessed.is_empty()).then(|| calibrations_report(&assessed));
    session
        .output
        .report(with_taken(told, &taken, write.dry_run))
}

fn put(row: &mut [String], column: &str, value: impl Into<String>) {
    let place = CALIBRATION_COLUMNS.iter().position(|it| *it == column);
    if let Some(cell) = place.and_then(|place| row.get_mut(place)) {
        *cell = value.into();
    }
}

/// Reads `found, scale=10 mR/h, true=3.3 mR/h, reads=3.5 mR/h`.
fn point_row(base: &[String], text: &str) -> Result<Vec<String>, Failure> {
    const FIELDS: &[&str] = &["scale", "true", "reads"];
    let mut row = base.to_vec();
    let parts = text.split(',').map(str::trim).filter(|it| !it.is_empty());
    for (at, part) in parts.enumerate() {
        match part.split_once('=') {
            None if at == 0 => put(&mut row, "as", part),
            Some((field, value)) if FIELDS.contains(&field.trim()) => {
                put(&mut row, field.trim(), value.trim());
            }
            _ => {
                return Err(Failure::Flag {
                    flag: "point",
                    what: format!("`{part}` is not FIELD=VALUE of a point"),
                    right: "found or left, then scale=, true= and reads= with their units"
                        .to_owned(),
                });
            }
        }
    }
    Ok(row)
}
