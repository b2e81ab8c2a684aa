//! Which nouns the command line knows, and the verbs of the registers. The other
//! verbs of a noun stand in the noun's file. Parsing is dumb: values stay text until the command
//! reads them, so that every refusal is worded in one place.

use std::path::PathBuf;

use clap::{Arg, ArgAction, Args, Command, CommandFactory, Parser, Subcommand};

use super::examples::example;
use super::flags::{KnownArgs, OnArg, ShowArgs};
use super::table::with_table;
use crate::cli::dose::badge::BadgeVerb;
use crate::cli::dose::chart::ChartVerb;
use crate::cli::dose::command::DoseVerb;
use crate::cli::dose::determination::DeterminationVerb;
use crate::cli::dose::hold::HoldVerb;
use crate::cli::dose::private::PrivateVerb;
use crate::cli::equipment::checklist::ChecklistVerb;
use crate::cli::equipment::due::DueAheadArgs;
use crate::cli::equipment::inspect::InspectVerb;
use crate::cli::equipment::instrument::{EquipmentVerb, InstrumentVerb};
use crate::cli::equipment::wear::WearVerb;
use crate::cli::event::command::EventVerb;
use crate::cli::event::report::ReportVerb;
use crate::cli::event::trace::TraceArgs;
use crate::cli::ledger::command::LedgerVerb;
use crate::cli::ledger::demo::DemoArgs;
use crate::cli::ledger::entry::EntryVerb;
use crate::cli::ledger::evidence::EvidenceVerb;
use crate::cli::ledger::rules::RulesVerb;
use crate::cli::ledger::serve::ServeArgs;
use crate::cli::review::alerts::AlertsArgs;
use crate::cli::review::board::BoardArgs;
use crate::cli::review::command::ReviewArgs;
use crate::cli::review::finding::{FindingVerb, FindingsArgs};
use crate::cli::review::pack::PackArgs;
use crate::cli::review::records::{RecordsVerb, WorkerVerb};
use crate::cli::sheet::command::SheetVerb;
use crate::cli::sheet::form::FormVerb;
use crate::intake::{REGISTERS, Register};
use crate::ledger::WAIT_S;

/// Keep the dosimetry and incident ledger of a gamma radiography crew
///
/// The program keeps readings, doses and what they mean in one tamper-evident
/// file. Figures are no substitute for your license, local law and the
/// radiation safety officer (RSO).
#[derive(Debug, Parser)]
#[command(
    name = "wearbook",
    version,
    max_term_width = 80,
    disable_help_subcommand = true
)]
pub(crate) struct Cli {
    /// The ledger's file
    #[arg(
        long,
        global = true,
        env = "WEARBOOK_LEDGER",
        default_value = "wearbook.db",
        value_name = "FILE",
        display_order = 900
    )]
    pub ledger: PathBuf,
    /// How long to wait while another command has the ledger, in seconds
    #[arg(
        long,
        global = true,
        default_value_t = WAIT_S,
        value_name = "SECONDS",
        value_parser = clap::value_parser!(u64).range(0..=3600),
        hide_short_help = true,
        display_order = 901
    )]
    pub wait: u64,
    /// What to do
    #[command(subcommand)]
    pub noun: Noun,
}

/// The nouns besides the registers.
#[derive(Debug, Subcommand)]
pub(crate) enum Noun {
    /// Make, verify, copy and move the ledger
    #[command(subcommand)]
    Ledger(LedgerVerb),
    /// See, check and adopt rule sets
    #[command(subcommand)]
    Rules(RulesVerb),
    /// See, check, adopt and compare checklists
    #[command(subcommand)]
    Checklist(ChecklistVerb),
    /// Hand in end-of-shift sheets
    #[command(subcommand)]
    Sheet(SheetVerb),
    /// Write down and see inspections, item by item
    #[command(subcommand)]
    Inspect(InspectVerb),
    /// Print the forms of a day, for where no phone and no computer is at hand
    #[command(subcommand)]
    Form(FormVerb),
    /// See how parts wear and where they are heading
    #[command(subcommand)]
    Wear(WearVerb),
    /// Walk from an event to the items of the checklist that could have detected it
    ///
    /// Example: wearbook trace E-1
    Trace(TraceArgs),
    /// See and resolve what is on hold as doubtful
    ///
    /// Example: wearbook hold list
    #[command(subcommand)]
    Hold(HoldVerb),
    /// See doses and how they stand against the levels
    #[command(subcommand)]
    Dose(DoseVerb),
    /// See who and what may go out today
    ///
    /// Example: wearbook board --crew W03,W05 --check
    Board(BoardArgs),
    /// Go through a month or a year, sign a month, and see what changed since
    ///
    /// Example: wearbook review 2026-05 --out reviews --sign --performed-by W01
    Review(ReviewArgs),
    /// Print the papers that must be at a job site
    ///
    /// Example: wearbook pack JOB-11 --out papers
    Pack(PackArgs),
    /// See the records that an inspector asks for, each as a list with its rule
    #[command(subcommand)]
    Records(RecordsVerb),
    /// See who may work, and what stands against it
    ///
    /// Example: wearbook work-status W07 --on 2026-06-05 --check
    WorkStatus {
        /// One worker's id [default: everybody who is monitored]
        worker: Option<String>,
        #[command(flatten)]
        known: KnownArgs,
        /// Exit with 3 if somebody may not work
        #[arg(long)]
        check: bool,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// See everything that needs somebody
    ///
    /// Example: wearbook findings --on 2026-06-05 --check
    Findings(FindingsArgs),
    /// Answer a finding
    #[command(subcommand)]
    Finding(FindingVerb),
    /// Open, follow and close events: what went wrong
    #[command(subcommand)]
    Event(EventVerb),
    /// See which reports of an event are owed to whom by when, answer their questions, record
    /// what was sent
    #[command(subcommand)]
    Report(ReportVerb),
    /// See, correct, void and reinstate single entries
    #[command(subcommand)]
    Entry(EntryVerb),
    /// Keep photos and papers with what they show
    #[command(subcommand)]
    Evidence(EvidenceVerb),
    /// Keep, show and erase what is private about a person
    #[command(subcommand)]
    Private(PrivateVerb),
    /// See what somebody should hear of, or send what is new to a reader by mail
    ///
    /// With --for only what is new is told: to the RSO everything, to a designee what no RSO has
    /// seen for a day, to anybody else what is about oneself, by the roles on record. STOPs and the
    /// law's clocks come again until they were seen; what falls due and what wears comes once a
    /// week; everything comes again when it gets worse.
    ///
    /// Example: wearbook alerts --for W01 --check
    Alerts(AlertsArgs),
    /// See what falls due of everything, with the deadlines of events; or write it as a calendar
    ///
    /// It names people by their ids and tells no dose.
    ///
    /// Example: wearbook due --within 180 --out due.ics
    Due(DueAheadArgs),
    /// Draw charts
    #[command(subcommand)]
    Chart(ChartVerb),
    /// Build the demonstration ledger and show it
    ///
    /// Example: wearbook demo --out wearbook-demo
    Demo(DemoArgs),
    /// Show the ledger in a browser, on this machine or in the site's own network
    ///
    /// Alone it can be reached from this machine only, and whoever opens the address that it prints
    /// chooses a name. With --sign-in everybody signs in with a PIN, and entries say so. Crew hand
    /// in sheets, starts of shift and checks, open events and see their own dose; RSO and designee
    /// do everything; an inspector reads everything and writes nothing: by the roles on record
    /// today. After wrong PINs each try waits longer; ten in a row lock for 15 minutes.
    ///
    /// Example: wearbook serve --open --call "RSO 555-0100"
    Serve(ServeArgs),
    /// Print the manual page, or write one for each command
    ///
    /// Example: wearbook man --out man1
    Man {
        /// The folder for the pages of all commands [default: print the first page]
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
    },
    /// Print the help of a command, or of all commands one after the other
    ///
    /// Example: wearbook help --all
    Help {
        /// The command, as `sheet enter`
        words: Vec<String>,
        /// All of them: the reference of the commands
        #[arg(long, conflicts_with = "words")]
        all: bool,
    },
    /// Print the completion script of a shell
    ///
    /// Example: wearbook completions bash
    Completions {
        /// bash, elvish, fish, powershell or zsh
        shell: clap_complete::Shell,
    },
}

/// The nouns that have a register.
pub(crate) const REGISTER_NOUNS: &[(&str, &str)] = &[
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
        "Issue badges, take in what their processor reports or a read shows, accept and resolve it",
    ),
    (
        "determination",
        "Record doses that the RSO determines where no dosimeter gives one",
    ),
];

/// The commands besides the registers that take in a file.
const IMPORTS: &[(&str, &str)] = &[
    ("badge", "import"),
    ("inspect", "import"),
    ("instrument", "calibrations"),
    ("sheet", "import"),
];

/// A command that takes in a file, and can write what is wrong with it.
fn taking_a_file(command: Command) -> Command {
    with_table(command).arg(
        Arg::new("faults")
            .long("faults")
            .value_name("FILE")
            .value_parser(clap::value_parser!(PathBuf))
            .help_heading("The file")
            .help("Write everything that is wrong with the file as CSV"),
    )
}

/// The whole command line.
pub(crate) fn command() -> Command {
    let mut command = Cli::command();
    for (noun, about) in REGISTER_NOUNS {
        command = command.subcommand(register_noun(noun, about));
    }
    command = command.mut_subcommands(|noun| {
        let name = noun.get_name().to_owned();
        noun.mut_subcommands(|verb| {
            let takes_a_file = IMPORTS.contains(&(name.as_str(), verb.get_name()));
            if takes_a_file {
                taking_a_file(verb)
            } else {
                verb
            }
        })
    });
    command.build();
    grouped(folded(command))
}

/// The nouns by use.
pub(crate) const GROUPS: &[(&str, &[&str])] = &[
    ("Each shift", &["sheet", "inspect", "form", "pack"]),
    (
        "Each morning",
        &[
            "board",
            "alerts",
            "due",
            "work-status",
            "findings",
            "finding",
            "hold",
        ],
    ),
    (
        "Each month",
        &["review", "dose", "wear", "records", "chart"],
    ),
    ("After an event", &["event", "evidence", "report", "trace"]),
    (
        "Registers",
        &[
            "worker",
            "job",
            "instrument",
            "equipment",
            "badge",
            "determination",
            "private",
        ],
    ),
    (
        "The ledger",
        &[
            "ledger",
            "entry",
            "rules",
            "checklist",
            "serve",
            "demo",
            "help",
            "man",
            "completions",
        ],
    ),
];

/// The first page of the help with its commands by use.
fn grouped(command: Command) -> Command {
    const NAME: usize = 15;
    let mut text = String::new();
    for (title, nouns) in GROUPS {
        text.push_str(&format!("\n{title}:\n"));
        for noun in *nouns {
            let about = command.find_subcommand(noun).and_then(Command::get_about);
            let about = about.map(ToString::to_string).unwrap_or_default();
            let mut line = format!("  {noun:<NAME$}");
            for word in about.split(' ') {
                if line.len() + word.len() > WIDTH {
                    text.push_str(&format!("{}\n", line.trim_end()));
                    line = " ".repeat(NAME + 2);
                }
                line.push_str(&format!("{word} "));
            }
            text.push_str(&format!("{}\n", line.trim_end()));
        }
    }
    command.help_template(format!(
        "{{about-with-newline}}\n{{usage-heading}} {{usage}}\n{text}\nOptions:\n{{options}}"
    ))
}

/// Columns of the help.
const WIDTH: usize = 80;

/// A command line with usage lines that are broken before they pass the width of the help.
fn folded(command: Command) -> Command {
    const HEAD: &str = "Usage: ";
    let mut command = command.mut_subcommands(folded);
    let usage = command.render_usage().to_string();
    let usage = usage.strip_prefix(HEAD).unwrap_or(&usage);
    if usage.contains('\n') || HEAD.len() + usage.len() <= WIDTH {
        return command;
    }
    let mut text = String::new();
    let mut column = HEAD.len();
    // A flag stays with its value.
    for (at, word) in usage.replace(" <", "\u{a0}<").split(' ').enumerate() {
        let wide = word.chars().count();
        if at > 0 && column + 1 + wide > WIDTH {
            text.push_str("\n           ");
            column = 11;
        } else if at > 0 {
            text.push(' ');
            column += 1;
        }
        text.push_str(word);
        column += wide;
    }
    command.override_usage(text.replace('\u{a0}', " "))
}

fn register_noun(noun: &'static str, about: &'static str) -> Command {
    let list = ShowArgs::augment_args(OnArg::augment_args(Command::new("list")))
        .about("List the register")
        .after_help(format!("Example: wearbook {noun} list"));
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
    let command = match noun {
        "worker" => WorkerVerb::augment_subcommands(command),
        "badge" => BadgeVerb::augment_subcommands(command),
        "instrument" => InstrumentVerb::augment_subcommands(command),
        "equipment" => EquipmentVerb::augment_subcommands(command),
        "determination" => DeterminationVerb::augment_subcommands(command),
        _ => command,
    };
    // The verbs bring a comment of their own, which is no help to anybody.
    command.about(about)
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
    if let Some(example) = example(register.noun, register.add) {
        command = command.after_help(format!("Example: {example}"));
    }
    write_args(command)
}

fn write_args(command: Command) -> Command {
    let command = command.arg(
        Arg::new("dry_run")
            .long("dry-run")
            .action(ArgAction::SetTrue)
            .help("Dry run: check everything, write nothing"),
    );
    command.arg(
        Arg::new("written_by")
            .long("by")
            .env("WEARBOOK_BY")
            .value_name("NAME")
            .help("Your name, as the entry keeps it [default: the system user]"),
    )
}

fn import(register: &Register) -> Command {
    let command = Command::new(register.import)
        .about(format!(
            "Take in a CSV, XLSX or ODS file, one {} a row",
            register.what
        ))
        .after_help(format!(
            "Columns: {}\n\nExample: wearbook {} {verb} {verb}.csv",
            register.names.join(", "),
            register.noun,
            verb = register.import
        ))
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
    taking_a_file(write_args(command))
}
