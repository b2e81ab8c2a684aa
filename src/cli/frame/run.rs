//! The whole program, with everything outside passed in: which command is meant, and its end.

use std::ffi::OsString;
use std::path::PathBuf;

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::parser::ValueSource;
use clap::{ArgMatches, FromArgMatches};

use super::args::{self, Cli, Noun, REGISTER_NOUNS};
use super::failure::Failure;
use super::faults::FaultsFile;
use super::output::Kept;
use super::session::{FromPage, Program, Session, Surroundings};
use super::{manual, table};
use crate::cli::dose::badge::{self, BadgeVerb};
use crate::cli::dose::determination::{self, DeterminationVerb};
use crate::cli::dose::{chart, command as dose, hold, private};
use crate::cli::equipment::instrument::{self, EquipmentVerb, InstrumentVerb};
use crate::cli::equipment::{checklist, due, inspect, register, wear};
use crate::cli::event::{command as event, report, trace};
use crate::cli::ledger::{command as ledger, demo, entry, evidence, pin, rules, serve};
use crate::cli::review::records::{self, WorkerVerb};
use crate::cli::review::{alerts, board, command as review, finding, pack};
use crate::cli::sheet::{command as sheet, form};
use crate::ledger::{LedgerError, WAIT_S, wait_at_most};

const PROGRAM: Program = Program {
    run,
    run_kept,
    command: args::command,
};

/// Runs one command and returns its exit code.
pub fn run(arguments: &[OsString], around: Surroundings<'_>) -> u8 {
    run_in(&mut Session::new(around, PROGRAM), arguments)
}

/// Runs one command for a page and keeps its reports, for whoever renders them.
fn run_kept(arguments: &[OsString], page: FromPage, around: Surroundings<'_>) -> (u8, Kept) {
    let mut session = Session::new(around, PROGRAM);
    session.given = page.given;
    session.houses = page.houses;
    session.output.keep();
    let code = run_in(&mut session, arguments);
    (code, session.output.take_kept())
}

fn run_in(session: &mut Session<'_>, arguments: &[OsString]) -> u8 {
    // What is typed in several lines has the line ends of its system.
    let arguments: Vec<OsString> = arguments
        .iter()
        .map(|it| match it.to_str() {
            Some(text) => text.replace("\r\n", "\n").into(),
            None => it.clone(),
        })
        .collect();
    let done = take(session, &arguments);
    let warned = session.warn_of_clock();
    match done.and(warned) {
        Ok(()) => 0,
        Err(failure) => {
            session.learn_manner();
            // Where even the message cannot be written, the exit code is left.
            let _ = failure.say(&mut session.output);
            failure.exit_code()
        }
    }
}

/// Reads the words of a command and does it.
fn take(session: &mut Session<'_>, arguments: &[OsString]) -> Result<(), Failure> {
    let matches = args::command()
        .try_get_matches_from(arguments)
        .map_err(|error| no_ledger(arguments, &error).unwrap_or_else(|| error.into()))?;
    let faults = FaultsFile::asked(&matches)?;
    (session.said, session.preview) = table::asked(&matches)?;
    session.said.content.clone_from(&session.given);
    let done = take_noun(session, &matches);
    if let Some(Err(unwritten)) = faults.map(|it| it.write(&done)) {
        if let Err(failure) = done {
            failure.say(&mut session.output)?;
        }
        return Err(unwritten);
    }
    done
}

fn take_noun(session: &mut Session<'_>, matches: &ArgMatches) -> Result<(), Failure> {
    if let Some(path) = matches.get_one::<PathBuf>("ledger") {
        session.ledger_path.clone_from(path);
    }
    wait_at_most(matches.get_one("wait").copied().unwrap_or(WAIT_S));
    if let Some((noun, verbs)) = matches.subcommand()
        && REGISTER_NOUNS.iter().any(|(name, _)| *name == noun)
    {
        return take_register(session, noun, verbs);
    }
    let cli = Cli::from_arg_matches(matches)?;
    match cli.noun {
        Noun::Ledger(verb) => ledger::run(session, verb),
        Noun::Rules(verb) => rules::run(session, verb),
        Noun::Checklist(verb) => checklist::run(session, verb),
        Noun::Sheet(verb) => sheet::run(session, verb),
        Noun::Inspect(verb) => inspect::run(session, verb),
        Noun::Form(verb) => form::run(session, verb),
        Noun::Wear(verb) => wear::run(session, verb),
        Noun::Trace(args) => trace::run(session, args),
        Noun::Hold(verb) => hold::run(session, verb),
        Noun::Dose(verb) => dose::run(session, verb),
        Noun::WorkStatus {
            worker,
            known,
            check,
            show,
        } => dose::who_may_work(session, worker, &known, check, &show),
        Noun::Board(args) => board::run(session, &args),
        Noun::Pack(args) => pack::run(session, &args),
        Noun::Records(verb) => records::run(session, verb),
        Noun::Review(args) => review::run(session, args),
        Noun::Findings(args) => finding::list(session, &args),
        Noun::Finding(verb) => finding::run(session, verb),
        Noun::Event(verb) => event::run(session, verb),
        Noun::Report(verb) => report::run(session, verb),
        Noun::Entry(verb) => entry::run(session, verb),
        Noun::Evidence(verb) => evidence::run(session, verb),
        Noun::Private(verb) => private::run(session, verb),
        Noun::Alerts(args) => alerts::run(session, &args),
        Noun::Due(args) => due::run(session, &args),
        Noun::Chart(verb) => chart::run(session, verb),
        Noun::Demo(_) if matches.value_source("ledger") == Some(ValueSource::CommandLine) => {
            Err(Failure::flag(
                "ledger",
                "the demonstration makes a ledger of its own",
                "--out DIR, the folder to make it in",
            ))
        }
        Noun::Demo(args) => demo::run(session, &args),
        Noun::Serve(args) => serve::run(session, &args),
        Noun::Man { out } => manual::man(session, out.as_deref()),
        Noun::Help { words, all } => manual::help(session, &words, all),
        Noun::Completions { shell } => manual::completions(session, shell),
    }
}

/// A noun that has a register: what the register does not have is a command of its own.
fn take_register(session: &mut Session<'_>, noun: &str, verbs: &ArgMatches) -> Result<(), Failure> {
    if noun == "badge"
        && let Ok(verb) = BadgeVerb::from_arg_matches(verbs)
    {
        return badge::run(session, verb);
    }
    if noun == "instrument"
        && let Ok(verb) = InstrumentVerb::from_arg_matches(verbs)
    {
        return instrument::run(session, verb);
    }
    if noun == "equipment"
        && let Ok(verb) = EquipmentVerb::from_arg_matches(verbs)
    {
        return instrument::run_equipment(session, verb);
    }
    if noun == "worker"
        && let Ok(verb) = WorkerVerb::from_arg_matches(verbs)
    {
        return match verb {
            WorkerVerb::Show { worker, list } => records::worker(session, &worker, &list),
            WorkerVerb::Pin {
                worker,
                stdin,
                remove,
            } => pin::run(session, &worker, (stdin, remove)),
        };
    }
    if noun == "determination"
        && let Ok(verb) = DeterminationVerb::from_arg_matches(verbs)
    {
        return determination::run(session, verb);
    }
    register::run(session, noun, verbs)
}

/// Where there is no ledger, that is said before anybody is asked who decides and why.
fn no_ledger(arguments: &[OsString], error: &clap::Error) -> Option<Failure> {
    let (ErrorKind::MissingRequiredArgument, Some(ContextValue::Strings(missing))) =
        (error.kind(), error.get(ContextKind::InvalidArg))
    else {
        return None;
    };
    let is_of_a_decision =
        |it: &str| it.starts_with("--performed-by") || it.starts_with("--reason");
    let mut lenient = args::command().ignore_errors(true);
    let matches = lenient.try_get_matches_from_mut(arguments).ok()?;
    // What stands behind an incomplete verb is not passed up.
    let typed = |(at, it): (usize, &OsString)| match it.to_str()?.strip_prefix("--ledger")? {
        "" => arguments.get(at + 1).map(PathBuf::from),
        given => given.strip_prefix('=').map(PathBuf::from),
    };
    let path = match arguments.iter().enumerate().find_map(typed) {
        Some(path) => path,
        None => matches.get_one::<PathBuf>("ledger")?.clone(),
    };
    let says_so = missing.iter().any(|it| is_of_a_decision(it)) && !path.exists();
    says_so.then(|| LedgerError::Missing { path }.into())
}
