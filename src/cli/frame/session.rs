//! One command being run: the ledger that it opens, the clock, the terminal, the printer.

use std::ffi::OsString;
use std::io::{BufRead, Write};
use std::path::PathBuf;

use serde::Serialize;

use super::failure::Failure;
use super::flags::{LanguageArg, OnArg, ShowArgs, WriteArgs, form, mode};
use super::output::{Kept, Manner, Output};
use super::progress::{Screen, Watched};
use crate::answer::{AnswerError, Houses, OpenHouse, is_unusual, language_of};
use crate::calendar::Day;
use crate::intake::{Content, IntakeError, Said, Taken};
use crate::ledger::{
    Author, ClockNote, Instant, KnownAt, Ledger, LedgerError, Mode, Snapshot, Writer,
};
use crate::show::{Report, taken_report};
use crate::text::one_line;

/// What tells the time. The program has two: the system's, and a list of
/// instants for demonstrations and tests. No flag and no variable reaches it.
pub trait Clock {
    /// The present moment.
    fn now(&mut self) -> Instant;

    /// Whether the moments come from a list.
    fn is_scripted(&self) -> bool;

    /// The same clock for whoever answers many at once.
    fn shared(&self) -> SharedClock;
}

/// A clock that many may read at once.
pub type SharedClock = Box<dyn Fn() -> Instant + Send + Sync>;

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

    fn shared(&self) -> SharedClock {
        let at = self.0;
        Box::new(move || at)
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
    /// Reads a line that the terminal does not show; nothing where it cannot.
    pub hidden: Option<fn() -> std::io::Result<String>>,
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

/// What a command that is run for a page has from it.
pub(crate) struct FromPage {
    /// What is in the file that it takes in, where one came.
    pub given: Option<Content>,
    /// The registers that all pages share.
    pub houses: Houses,
}

/// Runs a command on words for a page.
type RunKept = fn(&[OsString], FromPage, Surroundings<'_>) -> (u8, Kept);

/// The whole program, for commands that are made of commands: the demonstration and the page.
#[derive(Clone, Copy)]
pub(crate) struct Program {
    /// Runs one command and returns its exit code.
    pub run: fn(&[OsString], Surroundings<'_>) -> u8,
    /// Runs one command for a page, and keeps its reports.
    pub run_kept: RunKept,
    /// What every command takes.
    pub command: fn() -> clap::Command,
}

/// One command being run.
pub(crate) struct Session<'a> {
    pub clock: &'a mut dyn Clock,
    pub os_user: String,
    pub input: &'a mut dyn BufRead,
    pub asks: bool,
    pub hidden: Option<fn() -> std::io::Result<String>>,
    pub output: Output<'a>,
    screen: Option<Screen>,
    pub if_broken_off: &'a mut dyn FnMut(&str),
    /// How a command runs another.
    pub program: Program,
    /// What the clock said at a write.
    clock_note: ClockNote,
    pub ledger_path: PathBuf,
    /// What was said with the file that a command takes in.
    pub said: Said,
    /// Whether its first rows are shown and nothing else is done.
    pub preview: bool,
    /// What is in that file, where it came without one.
    pub given: Option<Content>,
    /// The registers of the ledger, loaded once for all that is asked of one state of it.
    pub houses: Houses,
}

fn manner(snapshot: &Snapshot<'_>) -> Result<Manner, LedgerError> {
    let charter = snapshot.all::<crate::record::Charter>()?;
    let scripted = crate::record::ClockType::Scripted;
    Ok(Manner {
        scripted: charter.iter().any(|it| it.body.clock == scripted),
        unit: charter
            .first()
            .map_or(Manner::default().unit, |it| it.body.dose_unit()),
    })
}

impl<'a> Session<'a> {
    pub fn new(around: Surroundings<'a>, program: Program) -> Session<'a> {
        Session {
            clock: around.clock,
            // Nobody chose it here, so it cannot be refused.
            os_user: one_line(&around.os_user),
            input: around.input,
            asks: around.asks,
            hidden: around.hidden,
            output: Output::new(around.out, around.err, around.width),
            screen: around.screen,
            if_broken_off: around.if_broken_off,
            program,
            clock_note: ClockNote::default(),
            ledger_path: PathBuf::new(),
            said: Said::default(),
            preview: false,
            given: None,
            houses: Houses::default(),
        }
    }
}

impl Session<'_> {
    /// Begins to watch long work; a command has one item of it.
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
    pub fn warn_of_clock(&mut self) -> Result<(), Failure> {
        let Some(says) = self.clock_note.take().filter(|it| is_unusual(*it)) else {
            return Ok(());
        };
        match self.ask(None, |house| Ok(house.clock_warning(says)))? {
            Some(warning) => self.output.talk_report(&Report::new(warning)),
            None => Ok(()),
        }
    }

    /// Reads in which units a message speaks of a command that was refused before it opened its
    /// ledger.
    pub fn learn_manner(&mut self) {
        let known = self.output.unit.is_si() || !self.ledger_path.exists();
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
        question: impl FnOnce(&OpenHouse<'_>) -> Result<T, AnswerError>,
    ) -> Result<T, Failure> {
        self.ask_until(known_at, None, question)
    }

    /// The same as things stood on a day: without what is about a later one.
    pub fn ask_until<T>(
        &mut self,
        known_at: Option<i64>,
        until: Option<Day>,
        question: impl FnOnce(&OpenHouse<'_>) -> Result<T, AnswerError>,
    ) -> Result<T, Failure> {
        let (ledger, houses) = (self.open()?, self.houses.clone());
        let known_at = known_at.map_or(KnownAt::Now, KnownAt::Entry);
        let answer = ledger.read(known_at, |snapshot| {
            let stood = until.map(|day| snapshot.until(day));
            let snapshot = stood.as_ref().unwrap_or(snapshot);
            let house = houses.of(snapshot)?;
            question(&house.open(snapshot))
        })?;
        Ok(answer)
    }

    /// Reads an answer for the day that counts as today: the one that is named, or today.
    pub fn ask_on<T>(
        &mut self,
        on: &OnArg,
        question: impl FnOnce(&OpenHouse<'_>, Day) -> Result<T, AnswerError>,
    ) -> Result<T, Failure> {
        let (on, now) = (on.day()?, self.clock.now());
        self.ask(None, |house| {
            question(house, on.unwrap_or_else(|| house.today(now)))
        })
    }

    /// Prints an answer in the form that was asked for.
    pub fn answer<T: Serialize>(
        &mut self,
        show: &ShowArgs,
        what: &str,
        answer: &T,
        report: impl FnOnce(&T) -> Report,
    ) -> Result<(), Failure> {
        self.output
            .answer(form(show), what, answer, || report(answer))
    }

    /// Writes once in somebody's name, or rehearses it.
    pub fn write_as<T>(
        &mut self,
        (by, mode): (Option<&str>, Mode),
        work: impl FnOnce(&mut Writer<'_>, Instant) -> Result<T, IntakeError>,
    ) -> Result<T, Failure> {
        let author = self.author(by);
        let now = self.clock.now();
        let mut ledger = self.open()?;
        Ok(ledger.write(&author, now, mode, |writer| work(writer, now))?)
    }

    /// The same as the flags of a write say.
    pub fn write<T>(
        &mut self,
        write: &WriteArgs,
        work: impl FnOnce(&mut Writer<'_>, Instant) -> Result<T, IntakeError>,
    ) -> Result<T, Failure> {
        self.write_as((write.by.as_deref(), mode(write.dry_run)), work)
    }

    /// Writes once, and says what was taken.
    pub fn take(
        &mut self,
        write: &WriteArgs,
        work: impl FnOnce(&mut Writer<'_>, Instant) -> Result<Taken, IntakeError>,
    ) -> Result<(), Failure> {
        let taken = self.write(write, work)?;
        self.output.report(taken_report(&taken, write.dry_run))
    }

    /// Speaks from here on in the language that was chosen, else in that of whoever writes.
    pub fn speak(&mut self, chosen: &LanguageArg, by: Option<&str>) -> Result<(), Failure> {
        let who = self.author(by).name;
        let language = match chosen.chosen()? {
            None => self.ask(None, |house| Ok(language_of(&house.names, &who)))?,
            chosen => chosen,
        };
        self.output.language = language.unwrap_or_default();
        Ok(())
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
