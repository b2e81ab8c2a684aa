//! What stands behind every page: the ledger, opened for one short read or write as the commands
//! open it, and the commands themselves.

use std::path::PathBuf;

use crate::answer::{AnswerError, House, Houses, OpenHouse};
use crate::calendar::Day;
use crate::intake::{Content, IntakeError};
use crate::ledger::{Author, Instant, KnownAt, Ledger, Mode, Writer};
use crate::record::{Role, Words};
use crate::show::Report;

/// What a command said.
#[derive(Debug, Clone, Default)]
pub struct CommandSaid {
    /// Its exit code.
    pub code: u8,
    /// JSON or CSV, where that was asked for.
    pub out: String,
    /// Its reports, also of why it was refused.
    pub reports: Vec<Report>,
    /// The tables that its answer has as CSV, the main one first.
    pub tables: Vec<&'static str>,
}

/// One flag or value of a command, as a form asks for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CommandField {
    /// Its name.
    pub name: String,
    /// What it is, in the words of the help.
    pub help: String,
    /// Whether it stands by its place and not behind its name.
    pub by_place: bool,
    /// Whether it is yes or left out.
    pub is_switch: bool,
    /// Whether it must be there.
    pub needed: bool,
    /// Whether it is a file.
    pub is_file: bool,
    /// Whether it may be given more than once.
    pub is_many: bool,
    /// The heading under which the help has it; blank for none.
    pub under: String,
}

/// The command line, for a page that is one command.
pub trait Commands: Send + Sync {
    /// The present moment.
    fn now(&self) -> Instant;
    /// Runs a command on the ledger; its entries are by this author. What is given is what is in
    /// the file that the command takes in: then no file of this machine is read.
    fn run(&self, words: &[String], given: Option<Content>, author: &Author) -> CommandSaid;
    /// What was refused, in the words of the commands.
    fn say(&self, error: IntakeError) -> Vec<Report>;
    /// What a command takes; nothing where there is no such command.
    fn fields(&self, words: &[&str]) -> Option<Vec<CommandField>>;
}

/// What the pages stand on.
pub struct Desk {
    /// The ledger's file.
    pub ledger: PathBuf,
    /// The command line.
    pub commands: Box<dyn Commands>,
    /// The registers, loaded once for all pages of one state of the ledger.
    pub houses: Houses,
    /// The system's user who runs the server.
    pub os_user: String,
    /// Whom to call when something went wrong, as the site has put it in.
    pub call: Vec<String>,
    /// The site's own emergency steps, in their order.
    pub steps: Vec<String>,
    /// Whether people sign in, or choose a name.
    pub signs_in: bool,
}

/// Somebody who is signed in, by the records of the day.
#[derive(Debug, Clone)]
pub struct Person {
    /// The worker's id.
    pub id: String,
    /// Full name.
    pub name: String,
    /// What the person is that day.
    pub role: Option<Role>,
    /// Whether the person signed in with a PIN, and did not only choose a name.
    pub signed_in: bool,
}

impl Person {
    /// Whether the person is RSO or designee, and may see and decide everything.
    pub fn is_office(&self) -> bool {
        matches!(self.role, Some(Role::Rso | Role::RsoDesignee))
    }

    /// Whether the person is an inspector, who reads everything and writes nothing.
    pub fn is_inspector(&self) -> bool {
        self.role == Some(Role::Inspector)
    }

    /// Whether the person may read of everybody.
    pub fn reads_all(&self) -> bool {
        self.is_office() || self.is_inspector()
    }

    /// The role in words.
    pub fn role_word(&self) -> &'static str {
        self.role.map_or("no role on record", Words::word)
    }
}

impl Desk {
    /// Reads one question's answer.
    pub fn read<T>(
        &self,
        question: impl FnOnce(&OpenHouse<'_>) -> Result<T, AnswerError>,
    ) -> Result<T, IntakeError> {
        let ledger = Ledger::open(&self.ledger)?;
        Ok(ledger.read(KnownAt::Now, |snapshot| {
            let house = self.houses.of(snapshot)?;
            question(&house.open(snapshot))
        })?)
    }

    /// Writes once, or rehearses it.
    pub fn write<T>(
        &self,
        author: &Author,
        mode: Mode,
        work: impl FnOnce(&mut Writer<'_>, Instant) -> Result<T, IntakeError>,
    ) -> Result<T, IntakeError> {
        let mut ledger = Ledger::open(&self.ledger)?;
        let now = self.commands.now();
        ledger.write(author, now, mode, |writer| work(writer, now))
    }

    /// Whose name an entry has. Whether anybody proved it, the entry says.
    pub fn author(&self, person: &Person) -> Author {
        let how = match person.signed_in {
            true => format!("signed in as {}", person.id),
            false => "name claimed".to_owned(),
        };
        Author {
            name: person.name.clone(),
            os_user: format!("{}, page, {how}", self.os_user),
        }
    }
}

/// Somebody by id, who may sign in: monitored that day, or with a role.
pub fn person_on(house: &House, id: &str, today: Day) -> Option<Person> {
    let record = house.names.find_worker(id)?.number();
    let role = house.names.role_on(record, today);
    let may = role.is_some() || house.names.monitored(record, today);
    let body = house.names.worker_body(record).filter(|_| may)?;
    Some(Person {
        id: body.id.clone(),
        name: body.name.clone(),
        role,
        signed_in: false,
    })
}

/// Everybody who may sign in, by name.
pub fn people_on(house: &House, today: Day) -> Vec<Person> {
    let all = house.names.workers();
    let mut people: Vec<Person> = all
        .filter_map(|(_, body)| person_on(house, &body.id, today))
        .collect();
    people.sort_by(|a, b| a.name.cmp(&b.name));
    people
}
