//! Which words the command line knows. Parsing is dumb: values stay text until
//! the command reads them, so that every refusal is worded in one place.

use std::path::PathBuf;

use clap::{Arg, ArgAction, Args, Command, CommandFactory, Parser, Subcommand};

use super::badge::BadgeVerb;
use super::checklist::ChecklistVerb;
use super::determination::DeterminationVerb;
use super::estimate::{PlanArgs, ReconstructArgs};
use super::inspect::InspectVerb;
use super::instrument::{EquipmentVerb, InstrumentVerb};
use super::wear::WearVerb;
use crate::intake::{REGISTERS, Register};

/// Keep the dosimetry and incident ledger of a gamma radiography crew
///
/// The program keeps readings, doses and what they mean in one tamper-evident
/// file. Figures are no substitute for your licence, local law and the
/// radiation safety officer (RSO).
#[derive(Debug, Parser)]
#[command(
    name = "wearbook",
    version,
    max_term_width = 80,
    disable_help_subcommand = true
)]
pub(super) struct Cli {
    /// The ledger's file
    #[arg(
        long,
        global = true,
        env = "WEARBOOK_LEDGER",
        default_value = "wearbook.db",
        value_name = "FILE"
    )]
    pub ledger: PathBuf,
    /// What to do
    #[command(subcommand)]
    pub noun: Noun,
}

/// The nouns besides the registers.
#[derive(Debug, Subcommand)]
pub(super) enum Noun {
    /// Make, verify, copy and move the ledger
    #[command(subcommand)]
    Ledger(LedgerVerb),
    /// See and adopt schemes of limits
    #[command(subcommand)]
    Scheme(SchemeVerb),
    /// See, check, adopt and compare checklists
    #[command(subcommand)]
    Checklist(ChecklistVerb),
    /// Hand in end-of-shift sheets
    #[command(subcommand)]
    Sheet(SheetVerb),
    /// Write down and see inspections, item by item
    #[command(subcommand)]
    Inspect(InspectVerb),
    /// See how parts wear and where they are heading
    #[command(subcommand)]
    Wear(WearVerb),
    /// See and settle what is held as doubtful
    Held(HeldArgs),
    /// See doses and how they stand against the levels
    #[command(subcommand)]
    Dose(DoseVerb),
    /// See who may work, and what stands against it
    Clearance {
        /// One worker's id [default: everybody who is monitored]
        worker: Option<String>,
        /// The day that counts as today
        #[arg(long, value_name = "DATE")]
        on: Option<String>,
        /// Exit with 3 if somebody may not work
        #[arg(long)]
        check: bool,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// See everything that needs somebody
    Findings(FindingsArgs),
    /// Answer a finding
    #[command(subcommand)]
    Finding(FindingVerb),
    /// See, amend, void and reinstate single entries
    #[command(subcommand)]
    Entry(EntryVerb),
    /// Draw charts
    #[command(subcommand)]
    Chart(ChartVerb),
    /// Build the demonstration ledger and show it
    Demo(DemoArgs),
    /// Print the completion script of a shell
    Completions {
        /// bash, elvish, fish, powershell or zsh
        shell: clap_complete::Shell,
    },
}

/// Flags of every command that writes.
#[derive(Debug, Clone, Args)]
pub(super) struct WriteArgs {
    /// Your name, as the entry keeps it [default: the system user]
    #[arg(long, env = "WEARBOOK_BY", value_name = "NAME")]
    pub by: Option<String>,
    /// Do the same work and take it back: nothing is written
    #[arg(long)]
    pub dry_run: bool,
}

/// Flags of every command that shows.
#[derive(Debug, Clone, Args)]
pub(super) struct ShowArgs {
    /// Print JSON
    #[arg(long, conflicts_with = "csv")]
    pub json: bool,
    /// Print the tables as CSV
    #[arg(long)]
    pub csv: bool,
}

#[derive(Debug, Subcommand)]
pub(super) enum LedgerVerb {
    /// Make a new ledger
    ///
    /// Example: wearbook ledger init --licence 99-1234 --licensee "Our Firm" --site "Tulsa"
    /// --zone America/Chicago --rso "Ada Example"
    Init(InitArgs),
    /// Check that nothing was changed
    Verify {
        /// Entry count and hash that you hold, as COUNT:HASH
        #[arg(long, value_name = "COUNT:HASH")]
        expect: Option<String>,
        /// Also rebuild the tables beside the file, compare, and check the file
        #[arg(long)]
        full: bool,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Fill the derived tables anew from the entries
    Rebuild,
    /// Bring an older ledger to this program's form
    Upgrade,
    /// Write a verified copy while others may go on
    Backup {
        /// The copy
        file: PathBuf,
    },
    /// Write every table as CSV and all entries as one JSON-lines file
    Export {
        /// The folder; files in it are never overwritten
        dir: PathBuf,
    },
    /// Make an identical ledger from exported entries
    Restore {
        /// The entries.jsonl of an export
        file: PathBuf,
    },
    /// Print the entry count and head hash
    Head,
}

#[derive(Debug, Args)]
pub(super) struct InitArgs {
    /// Licence number
    #[arg(long)]
    pub licence: String,
    /// Whom the licence names
    #[arg(long)]
    pub licensee: String,
    /// Place of the office
    #[arg(long)]
    pub site: String,
    /// IANA time zone of the ledger's days
    #[arg(long)]
    pub zone: String,
    /// Name of the first radiation safety officer
    #[arg(long)]
    pub rso: String,
    /// Unit of bare doses and of tables: mrem, mSv or uSv
    #[arg(long, default_value = "mrem")]
    pub unit: String,
    /// Built-in scheme, or a scheme file
    #[arg(long, default_value = "10 CFR")]
    pub scheme: String,
    /// First day of the scheme [default: 1 January five years ago]
    #[arg(long, value_name = "DATE")]
    pub from: Option<String>,
    #[command(flatten)]
    pub write: WriteArgs,
}

#[derive(Debug, Subcommand)]
pub(super) enum SchemeVerb {
    /// List the adopted schemes and the built-in ones
    List {
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Print a scheme with its citations
    Show {
        /// A built-in name, a file, or nothing for the one in force
        scheme: Option<String>,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Check a scheme file: every problem with line and column
    Check {
        /// The file
        file: PathBuf,
    },
    /// Put a scheme in force from a day on
    Adopt {
        /// A built-in name or a file
        scheme: String,
        /// First day
        #[arg(long, value_name = "DATE")]
        from: String,
        #[command(flatten)]
        write: WriteArgs,
    },
}

#[derive(Debug, Subcommand)]
pub(super) enum SheetVerb {
    /// Hand in one sheet: by flags, or field by field at a terminal
    ///
    /// Example: wearbook sheet enter --day 2026-06-14 --shift day --job J-12 --work radiography
    /// --device D-2 --person "worker=W01, role=radiographer, dosimeter=PD-01, start=0 mR,
    /// end=12 mR, ratemeter=R-01, alarm_tested=yes, badge_worn=yes"
    Enter(Box<EnterArgs>),
    /// Hand in sheets from a CSV file, one row a person
    Import {
        /// The file; `wearbook sheet template` prints its header
        file: PathBuf,
        #[command(flatten)]
        write: WriteArgs,
    },
    /// Print the header of an empty sheet file
    Template,
}

#[derive(Debug, Default, Args)]
pub(super) struct EnterArgs {
    /// The office's number of the sheet
    #[arg(long)]
    pub sheet: Option<String>,
    /// Day on which the shift began
    #[arg(long, value_name = "DATE")]
    pub day: Option<String>,
    /// day, evening or night
    #[arg(long)]
    pub shift: Option<String>,
    /// When the shift began, HH:MM
    #[arg(long)]
    pub begins: Option<String>,
    /// When it ended, HH:MM
    #[arg(long)]
    pub ends: Option<String>,
    /// Id of the job
    #[arg(long)]
    pub job: Option<String>,
    /// radiography, source exchange, maintenance, transport or retrieval
    #[arg(long)]
    pub work: Option<String>,
    /// Id of the exposure device
    #[arg(long)]
    pub device: Option<String>,
    /// Id of the source assembly
    #[arg(long)]
    pub source: Option<String>,
    /// Id of the control unit
    #[arg(long)]
    pub control_unit: Option<String>,
    /// Ids of the guide tubes, parted by blanks
    #[arg(long)]
    pub guide_tubes: Option<String>,
    /// Id of the survey meter
    #[arg(long)]
    pub meter: Option<String>,
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
    /// One person: "worker=W01, role=radiographer, dosimeter=PD-01, start=0 mR, end=12 mR, ..."
    #[arg(long, value_name = "FIELDS")]
    pub person: Vec<String>,
    /// Date on the paper that this is copied from
    #[arg(long, value_name = "DATE")]
    pub paper_date: Option<String>,
    /// Who signed the paper
    #[arg(long)]
    pub paper_signer: Option<String>,
    /// File of its image; its digest is computed where the file is there
    #[arg(long)]
    pub image: Option<String>,
    /// Anything else
    #[arg(long)]
    pub note: Option<String>,
    #[command(flatten)]
    pub write: WriteFlags,
}

/// [`WriteArgs`], with a default.
#[derive(Debug, Default, Args)]
pub(super) struct WriteFlags {
    /// Your name, as the entry keeps it [default: the system user]
    #[arg(long, env = "WEARBOOK_BY", value_name = "NAME")]
    pub by: Option<String>,
    /// Do the same work and take it back: nothing is written
    #[arg(long)]
    pub dry_run: bool,
    /// Do not ask: with flags alone, nothing is asked anyway
    #[arg(long)]
    pub yes: bool,
}

#[derive(Debug, Args)]
pub(super) struct HeldArgs {
    #[command(subcommand)]
    pub verb: Option<HeldVerb>,
    #[command(flatten)]
    pub show: ShowArgs,
}

#[derive(Debug, Subcommand)]
pub(super) enum HeldVerb {
    /// Rule on a held item, or say who or what was meant
    Resolve {
        /// The item, as `wearbook held` prints it
        item: String,
        /// It counts as it stands
        #[arg(long, conflicts_with_all = ["does_not_count", "is"])]
        counts: bool,
        /// It does not count
        #[arg(long, conflicts_with = "is")]
        does_not_count: bool,
        /// The id of the worker, dosimeter, job or piece of equipment that was meant
        #[arg(long, value_name = "ID")]
        is: Option<String>,
        /// Why
        #[arg(long)]
        reason: String,
        #[command(flatten)]
        write: WriteArgs,
    },
}

#[derive(Debug, Subcommand)]
pub(super) enum DoseVerb {
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
    /// Show where a person's year is heading: an estimate
    ///
    /// Example: wearbook dose forecast W07
    Forecast {
        /// The worker's id
        worker: String,
        /// The day from which it looks ahead [default: today]
        #[arg(long, value_name = "DATE")]
        on: Option<String>,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Compare readings with badge results, period by period
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
        /// The day that counts as today
        #[arg(long, value_name = "DATE")]
        on: Option<String>,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Estimate a dose from time, distance and shielding; writes nothing
    ///
    /// Example: wearbook dose reconstruct --source S-1 --at 2026-05-19T10:40 --worker W07
    /// --position "what=cranking in, distance=7.5 m, minutes=4"
    /// --position "what=at the tube, distance=1 m to 1.5 m, minutes=40 s, shield=lead 10 mm"
    Reconstruct(Box<ReconstructArgs>),
    /// Plan a retrieval: rates, distances, times, who has allowance left; an estimate
    ///
    /// Example: wearbook dose plan --source S-1 --shield "lead 10 mm" --budget "50 mrem"
    Plan(Box<PlanArgs>),
    /// Show everybody's dose, one line a person
    Crew {
        #[command(flatten)]
        span: SpanArgs,
        #[command(flatten)]
        show: ShowArgs,
    },
}

/// Which days, and as known when.
#[derive(Debug, Clone, Args)]
pub(super) struct SpanArgs {
    /// A year of the licensee [default: the current one]
    #[arg(long, conflicts_with_all = ["from", "to"])]
    pub year: Option<i32>,
    /// First day
    #[arg(long, value_name = "DATE", requires = "to")]
    pub from: Option<String>,
    /// Last day
    #[arg(long, value_name = "DATE", requires = "from")]
    pub to: Option<String>,
    /// The day that counts as today
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// As known when this entry was the newest
    #[arg(long, value_name = "ENTRY")]
    pub known_at: Option<i64>,
}

#[derive(Debug, Args)]
pub(super) struct FindingsArgs {
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
pub(super) enum FindingVerb {
    /// Answer a finding; it returns when the entries that it rests on change
    Answer {
        /// Its key, as `wearbook findings` prints it
        key: String,
        /// What was decided and why
        #[arg(long)]
        reason: String,
        /// The day that counts as today
        #[arg(long, value_name = "DATE")]
        on: Option<String>,
        #[command(flatten)]
        write: WriteArgs,
    },
}

#[derive(Debug, Subcommand)]
pub(super) enum EntryVerb {
    /// Show one entry with its fields
    Show {
        /// Its number
        entry: i64,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Show every version of the record that an entry belongs to
    History {
        /// Any of its entries
        entry: i64,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Correct fields of an entry with a new one
    ///
    /// Example: wearbook entry amend 118 "people.1.readings.1.end=31 mR" --reason "misread"
    Amend {
        /// The newest entry of the record
        entry: i64,
        /// FIELD=VALUE as `wearbook entry show` prints them; FIELD= takes a field away
        #[arg(required = true, value_name = "FIELD=VALUE")]
        changes: Vec<String>,
        /// Why
        #[arg(long)]
        reason: String,
        #[command(flatten)]
        write: WriteArgs,
    },
    /// Cancel a record; it stays readable
    Void {
        /// The newest entry of the record
        entry: i64,
        /// Why
        #[arg(long)]
        reason: String,
        #[command(flatten)]
        write: WriteArgs,
    },
    /// Put a void record in force again
    Reinstate {
        /// The entry that voids it
        entry: i64,
        /// Why
        #[arg(long)]
        reason: String,
        #[command(flatten)]
        write: WriteArgs,
    },
}

#[derive(Debug, Subcommand)]
pub(super) enum ChartVerb {
    /// Draw one person's year against the levels
    ///
    /// Example: wearbook chart worker W07 --year 2026 --out w07.svg
    Worker {
        /// The worker's id
        worker: String,
        /// The licensee's year [default: the current one]
        #[arg(long)]
        year: Option<i32>,
        /// The file: .svg or .png
        #[arg(long, value_name = "FILE")]
        out: PathBuf,
        /// The day that counts as today
        #[arg(long, value_name = "DATE")]
        on: Option<String>,
    },
    /// Draw how a part wore, its line, band and limit
    ///
    /// Example: wearbook chart wear CU-2 --line cable-diameter --out cu2.svg
    Wear {
        /// The equipment's id
        equipment: String,
        /// The item of the checklist [default: the one measured most often]
        #[arg(long, value_name = "KEY")]
        line: Option<String>,
        /// The file: .svg or .png
        #[arg(long, value_name = "FILE")]
        out: PathBuf,
        /// The day that counts as today
        #[arg(long, value_name = "DATE")]
        on: Option<String>,
    },
}

#[derive(Debug, Args)]
pub(super) struct DemoArgs {
    /// The folder to build it in
    #[arg(long, default_value = "wearbook-demo", value_name = "DIR")]
    pub out: PathBuf,
    /// Where the demonstration's files are
    #[arg(long, default_value = "demo", value_name = "DIR")]
    pub from: PathBuf,
}

/// The nouns that have a register.
pub(super) const REGISTER_NOUNS: &[(&str, &str)] = &[
    (
        "worker",
        "Register monitored people and dated facts about them",
    ),
    ("job", "Register where the work is"),
    (
        "instrument",
        "Register dosimeters, ratemeters and survey meters, and their checks",
    ),
    (
        "equipment",
        "Register devices, sources and what goes with them",
    ),
    (
        "badge",
        "Issue badges, take in what their processor reports, accept and settle it",
    ),
    (
        "determination",
        "Record doses that the RSO determines where no dosimeter gives one",
    ),
];

/// The whole command line.
pub(super) fn command() -> Command {
    let mut command = Cli::command();
    for (noun, about) in REGISTER_NOUNS {
        command = command.subcommand(register_noun(noun, about));
    }
    command
}

fn register_noun(noun: &'static str, about: &'static str) -> Command {
    let list = ShowArgs::augment_args(
        Command::new("list").about("List the register").arg(
            Arg::new("on")
                .long("on")
                .value_name("DATE")
                .help("The day that counts as today"),
        ),
    );
    let mut command = Command::new(noun)
        .about(about)
        .subcommand_required(true)
        .arg_required_else_help(true)
        .subcommand(list);
    for register in REGISTERS.iter().filter(|register| register.noun == noun) {
        command = command
            .subcommand(typed(register))
            .subcommand(import(register));
    }
    match noun {
        "badge" => BadgeVerb::augment_subcommands(command),
        "instrument" => InstrumentVerb::augment_subcommands(command),
        "equipment" => EquipmentVerb::augment_subcommands(command),
        "determination" => DeterminationVerb::augment_subcommands(command),
        _ => command,
    }
}

fn typed(register: &Register) -> Command {
    let mut command = Command::new(register.add).about(format!("Write one {}", register.what));
    for column in register.columns {
        command = command.arg(
            Arg::new(column.name)
                .long(column.name.replace('_', "-"))
                .value_name("TEXT")
                .required(column.needed)
                .allow_hyphen_values(column.is_dose())
                .help(column.help),
        );
    }
    // `by` of a check or a withdrawal is who did it; the writer has another name there.
    write_args(command, register.columns.iter().any(|it| it.name == "by"))
}

fn write_args(command: Command, has_by: bool) -> Command {
    let command = command.arg(
        Arg::new("dry_run")
            .long("dry-run")
            .action(ArgAction::SetTrue)
            .help("Do the same work and take it back: nothing is written"),
    );
    let flag = if has_by { "written-by" } else { "by" };
    command.arg(
        Arg::new("written_by")
            .long(flag)
            .env("WEARBOOK_BY")
            .value_name("NAME")
            .help("Your name, as the entry keeps it [default: the system user]"),
    )
}

fn import(register: &Register) -> Command {
    let command = Command::new(register.import)
        .about(format!("Take in a CSV file, one {} a row", register.what))
        .after_help(format!("Columns: {}", register.names.join(", ")))
        .arg(
            Arg::new("file")
                .value_name("FILE")
                .required_unless_present("template")
                .value_parser(clap::value_parser!(PathBuf))
                .help("The file"),
        )
        .arg(
            Arg::new("template")
                .long("template")
                .action(ArgAction::SetTrue)
                .help("Print the header of an empty file"),
        );
    write_args(command, false)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_command_line_contradicts_itself_nowhere() {
        command().debug_assert();
    }
}
