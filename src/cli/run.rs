//! The whole program, with everything outside passed in.

use std::ffi::OsString;
use std::io::{BufRead, Write};
use std::path::{Path, PathBuf};

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{ArgMatches, FromArgMatches};

use super::args::{self, Cli, Noun, REGISTER_NOUNS, ShowArgs, SpanArgs};
use super::badge::{self, BadgeVerb};
use super::determination::{self, DeterminationVerb};
use super::failure::{self, Failure};
use super::faults::FaultsFile;
use super::instrument::{EquipmentVerb, InstrumentVerb};
use super::output::{Form, Output};
use super::progress::{Screen, Watched};
use super::records::WorkerVerb;
use super::{
    board, chart, checklist, demo, dose, entry, event, finding, held, inspect, instrument, ledger,
    manual, notice, pack, private, records, register, review, scheme, sheet, table, trace, wear,
};
use crate::answer::{AnswerError, House, is_unusual};
use crate::calendar::{Day, Span};
use crate::intake::Said;
use crate::ledger::{Author, ClockNote, Instant, KnownAt, Ledger, LedgerError, Mode, Snapshot};
use crate::text::one_line;

/// What tells the time. The program has two: the system's, and a list of
/// instants for demonstrations and tests. No flag and no variable reaches it.
pub trait Clock {
    /// The present moment.
    fn now(&mut self) -> Instant;

    /// Whether the moments come from a list.
    fn is_scripted(&self) -> bool;
}

/// A clock that stands at one moment.
#[derive(Debug, Clone, Copy)]
pub struct Scripted(pub Instant);

impl Clock for Scripted {
    fn now(&mut self) -> Instant {
        self.0
    }

    fn is_scripted(&self) -> bool {
        true
    }
}

/// Everything outside the program.
pub struct Surroundings<'a> {
    /// The clock.
    pub clock: &'a mut dyn Clock,
    /// The operating system's user.
    pub os_user: String,
    /// What is typed.
    pub input: &'a mut dyn BufRead,
    /// Whether somebody sits there and can be asked.
    pub asks: bool,
    /// Standard output.
    pub out: &'a mut dyn Write,
    /// Standard error.
    pub err: &'a mut dyn Write,
    /// Columns of a line.
    pub width: u16,
    /// The terminal on which a long command says how far it is; nothing where nobody looks.
    pub screen: Option<Screen>,
    /// Takes what is to be said should somebody break the program off; blank for nothing.
    pub if_broken_off: &'a mut dyn FnMut(&str),
}

/// One command being run.
pub(super) struct Session<'a> {
    pub clock: &'a mut dyn Clock,
    pub os_user: String,
    pub input: &'a mut dyn BufRead,
    pub asks: bool,
    pub output: Output<'a>,
    screen: Option<Screen>,
    pub if_broken_off: &'a mut dyn FnMut(&str),
    /// What the clock said at a write.
    clock_note: ClockNote,
    pub ledger_path: PathBuf,
    /// What was said with the file that a command takes in.
    pub said: Said,
    /// Whether its first rows are shown and nothing else is done.
    pub preview: bool,
}

/// Runs one command and returns its exit code.
pub fn run(arguments: &[OsString], around: Surroundings<'_>) -> u8 {
    let Surroundings {
        clock,
        os_user,
        input,
        asks,
        out,
        err,
        width,
        screen,
        if_broken_off,
    } = around;
    // What is typed in several lines has the line ends of its system.
    let arguments: Vec<OsString> = arguments
        .iter()
        .map(|it| match it.to_str() {
            Some(text) => text.replace("\r\n", "\n").into(),
            None => it.clone(),
        })
        .collect();
    let output = Output::new(out, err, width);
    let mut session = Session {
        clock,
        // Nobody chose it here, so it cannot be refused.
        os_user: one_line(&os_user),
        input,
        asks,
        output,
        screen,
        if_broken_off,
        clock_note: ClockNote::default(),
        ledger_path: PathBuf::new(),
        said: Said::default(),
        preview: false,
    };
    let done = session.run(&arguments);
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

impl Session<'_> {
    fn run(&mut self, arguments: &[OsString]) -> Result<(), Failure> {
        let matches = args::command()
            .try_get_matches_from(arguments)
            .map_err(|error| no_ledger(arguments, &error).unwrap_or_else(|| error.into()))?;
        let faults = FaultsFile::asked(&matches)?;
        (self.said, self.preview) = table::asked(&matches)?;
        let done = self.run_noun(&matches);
        if let Some(Err(unwritten)) = faults.map(|it| it.write(&done)) {
            if let Err(failure) = done {
                failure.say(&mut self.output)?;
            }
            return Err(unwritten);
        }
        done
    }

    fn run_noun(&mut self, matches: &ArgMatches) -> Result<(), Failure> {
        if let Some(path) = matches.get_one::<PathBuf>("ledger") {
            self.ledger_path.clone_from(path);
        }
        if let Some((noun, verbs)) = matches.subcommand()
            && REGISTER_NOUNS.iter().any(|(name, _)| *name == noun)
        {
            // What the registers do not have is a command of its own.
            if noun == "badge"
                && let Ok(verb) = BadgeVerb::from_arg_matches(verbs)
            {
                return badge::run(self, verb);
            }
            if noun == "instrument"
                && let Ok(verb) = InstrumentVerb::from_arg_matches(verbs)
            {
                return instrument::run(self, verb);
            }
            if noun == "equipment"
                && let Ok(verb) = EquipmentVerb::from_arg_matches(verbs)
            {
                return instrument::run_equipment(self, verb);
            }
            if noun == "worker"
                && let Ok(WorkerVerb::Show { worker, list }) = WorkerVerb::from_arg_matches(verbs)
            {
                return records::worker(self, &worker, &list);
            }
            if noun == "determination"
                && let Ok(verb) = DeterminationVerb::from_arg_matches(verbs)
            {
                return determination::run(self, verb);
            }
            return register::run(self, noun, verbs);
        }
        let cli = Cli::from_arg_matches(matches)?;
        match cli.noun {
            Noun::Ledger(verb) => ledger::run(self, verb),
            Noun::Scheme(verb) => scheme::run(self, verb),
            Noun::Checklist(verb) => checklist::run(self, verb),
            Noun::Sheet(verb) => sheet::run(self, verb),
            Noun::Inspect(verb) => inspect::run(self, verb),
            Noun::Wear(verb) => wear::run(self, verb),
            Noun::Trace(args) => trace::run(self, args),
            Noun::Held(args) => held::run(self, args),
            Noun::Dose(verb) => dose::run(self, verb),
            Noun::Clearance {
                worker,
                on,
                check,
                show,
            } => dose::who_may_work(self, worker, on, check, &show),
            Noun::Board(args) => board::run(self, &args),
            Noun::Pack(args) => pack::run(self, &args),
            Noun::Records(verb) => records::run(self, verb),
            Noun::Review(args) => review::run(self, args),
            Noun::Findings(args) => finding::list(self, &args),
            Noun::Finding(verb) => finding::run(self, verb),
            Noun::Event(verb) => event::run(self, verb),
            Noun::Notice(verb) => notice::run(self, verb),
            Noun::Entry(verb) => entry::run(self, verb),
            Noun::Private(verb) => private::run(self, verb),
            Noun::Chart(verb) => chart::run(self, verb),
            Noun::Demo(args) => demo::run(self, &args),
            Noun::Man { out } => manual::man(self, out.as_deref()),
            Noun::Help { words, all } => manual::help(self, &words, all),
            Noun::Completions { shell } => manual::completions(self, shell),
        }
    }

    /// Begins to watch long work; a command has one piece of it.
    pub fn watch(&mut self) -> Watched {
        Watched::begin(self.screen.take())
    }

    /// Opens the ledger and notes whether its clock is scripted. A file that another program
    /// has written to is refused.
    pub fn open(&mut self) -> Result<Ledger, Failure> {
        let mut ledger = Ledger::open(&self.ledger_path)?;
        self.output.reads(ledger.read(KnownAt::Now, manner)?);
        ledger.note_clock(self.clock_note.clone());
        Ok(ledger)
    }

    /// Says at once that the clock of a write does not go with the entry before it.
    fn warn_of_clock(&mut self) -> Result<(), Failure> {
        let Some(says) = self.clock_note.take().filter(|it| is_unusual(*it)) else {
            return Ok(());
        };
        match self.ask(None, |_, house| Ok(house.clock_warning(says)))? {
            Some(warning) => self.output.talk(&warning),
            None => Ok(()),
        }
    }

    /// Reads in which units a message speaks of a command that was refused before it opened its
    /// ledger.
    fn learn_manner(&mut self) {
        let known = self.output.in_si || !self.ledger_path.exists();
        let ledger = (!known).then(|| Ledger::open(&self.ledger_path).ok());
        if let Some(ledger) = ledger.flatten() {
            self.note_clock(&ledger);
        }
    }

    /// Notes whether the clock of a ledger is scripted that may be in any state: it is opened
    /// for what is about the file.
    pub fn note_clock(&mut self, ledger: &Ledger) {
        let manner = ledger.read_unwatched(KnownAt::Now, manner);
        self.output.reads(manner.unwrap_or_default());
    }

    /// Reads one question's answer.
    pub fn ask<T>(
        &mut self,
        known_at: Option<i64>,
        question: impl FnOnce(&Snapshot<'_>, &House) -> Result<T, AnswerError>,
    ) -> Result<T, Failure> {
        self.ask_until(known_at, None, question)
    }

    /// The same as things stood on a day: without what is about a later one.
    pub fn ask_until<T>(
        &mut self,
        known_at: Option<i64>,
        until: Option<Day>,
        question: impl FnOnce(&Snapshot<'_>, &House) -> Result<T, AnswerError>,
    ) -> Result<T, Failure> {
        let ledger = self.open()?;
        let known_at = known_at.map_or(KnownAt::Now, KnownAt::Entry);
        let answer = ledger.read(known_at, |snapshot| {
            let stood = until.map(|day| snapshot.until(day));
            let snapshot = stood.as_ref().unwrap_or(snapshot);
            let house = House::load(snapshot)?;
            question(snapshot, &house)
        })?;
        Ok(answer)
    }

    /// Who writes.
    pub fn author(&self, by: Option<&str>) -> Author {
        let name = by
            .filter(|it| !it.trim().is_empty())
            .unwrap_or(&self.os_user);
        Author {
            name: name.to_owned(),
            os_user: self.os_user.clone(),
        }
    }
}

/// Where there is no ledger, that is said before anybody is asked who decides and why.
fn no_ledger(arguments: &[OsString], error: &clap::Error) -> Option<Failure> {
    let (ErrorKind::MissingRequiredArgument, Some(ContextValue::Strings(missing))) =
        (error.kind(), error.get(ContextKind::InvalidArg))
    else {
        return None;
    };
    let is_of_a_decision = |it: &str| it.starts_with("--by-worker") || it.starts_with("--reason");
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

/// What every output of a ledger minds.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Manner {
    /// Whether its clock is scripted: every output says so. A scripted ledger takes no entries by
    /// the system's clock, nor the other way round.
    pub scripted: bool,
    /// Whether it counts doses in sievert.
    pub in_si: bool,
}

fn manner(snapshot: &Snapshot<'_>) -> Result<Manner, LedgerError> {
    let charter = snapshot.all::<crate::record::Charter>()?;
    let scripted = crate::record::ClockSort::Scripted;
    Ok(Manner {
        scripted: charter.iter().any(|it| it.body.clock == scripted),
        in_si: charter.iter().any(|it| it.body.dose_unit().is_si()),
    })
}

/// Whether a write stays.
pub(super) fn mode(dry_run: bool) -> Mode {
    if dry_run {
        Mode::Rehearse
    } else {
        Mode::Commit
    }
}

/// In which form an answer is asked for.
pub(super) fn form(show: &ShowArgs) -> Form {
    match (show.json, show.csv) {
        (true, _) => Form::Json,
        (_, true) => Form::Csv,
        _ => Form::Text,
    }
}

/// Days that flags name, before the ledger is open.
#[derive(Debug, Clone, Copy)]
pub(super) struct Days {
    year: Option<i32>,
    between: Option<(Day, Day)>,
    pub on: Option<Day>,
}

/// Reads the flags of a span.
pub(super) fn days(args: &SpanArgs) -> Result<Days, Failure> {
    let between = match (&args.from, &args.to) {
        (Some(from), Some(to)) => {
            let (first, last) = (failure::day("from", from)?, failure::day("to", to)?);
            if last < first {
                return Err(Failure::flag(
                    "to",
                    format!("{last} is before {first}"),
                    "the last day",
                ));
            }
            Some((first, last))
        }
        _ => None,
    };
    let on = args
        .on
        .as_deref()
        .map(|text| failure::day("on", text))
        .transpose()?;
    Ok(Days {
        year: args.year,
        between,
        on,
    })
}

impl Days {
    /// The span and the day for which levels stand: today where the span holds
    /// it, else its last day. A span without flags is the current year; days of which none has
    /// begun have no answer.
    pub fn settle(&self, house: &House, now: Instant) -> Result<(Span, Day), AnswerError> {
        let today = self.on.unwrap_or_else(|| house.today(now));
        let start = house.scheme_on(today)?.year_start;
        self.settle_or(house, now, |today| start.year(start.year_of(today)))
    }

    /// The days between which something is asked for, where flags name them.
    pub fn asked(&self) -> Option<Span> {
        self.between.map(|(first, last)| Span { first, last })
    }

    /// The same as [`Days::settle`] with another span where no flag names one.
    pub fn settle_or(
        &self,
        house: &House,
        now: Instant,
        otherwise: impl FnOnce(Day) -> Span,
    ) -> Result<(Span, Day), AnswerError> {
        let today = self.on.unwrap_or_else(|| house.today(now));
        let span = match (self.between, self.year) {
            (Some((first, last)), _) => Span { first, last },
            (None, Some(year)) => house.scheme_on(today)?.year_start.year(year),
            (None, None) => otherwise(today),
        };
        if span.first > house.names.newest_day(now) && self.on.is_none() {
            let what = match (self.between, self.year) {
                (None, Some(year)) => year.to_string(),
                _ => format!("{} to {}", span.first, span.last),
            };
            return Err(AnswerError::NotYet { what, today });
        }
        let on = if today > span.last && self.on.is_none() {
            span.last
        } else {
            today
        };
        Ok((span, on))
    }
}

/// A text of a register flag.
pub(super) fn text_of(matches: &ArgMatches, name: &str) -> Option<String> {
    matches.try_get_one::<String>(name).ok().flatten().cloned()
}

/// Reads a file whole.
pub(super) fn read_file(path: &Path) -> Result<String, Failure> {
    std::fs::read_to_string(path).map_err(|source| Failure::File {
        file: path.display().to_string(),
        source,
    })
}
