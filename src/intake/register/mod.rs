//! The registers and the small records: one table of columns a kind serves the
//! CSV file, the flags of the typed command and the empty template. The tables and
//! their readers stand in a file for each group; `wear` finds the badge that a
//! number means.

mod again;
mod badge;
mod determination;
mod figures;
mod items;
mod maintenance;
mod opening;
mod people;
mod read;
mod read_total;
mod result;
mod source_check;
mod wear;

use super::entry::authority;
use super::entry::fault::{Fault, Faults};
use super::entry::said::holds_doses;
use super::file::columns::{Columns, Row};
use super::file::fields::Fields;
use super::file::named::what_of;
use super::file::words::{did_you_mean, quoted, with_article};
use crate::answer::Names;
use crate::calendar::Day;
use crate::ledger::{Instant, LedgerError, Snapshot};
use crate::record::{Badge, Body, Id, Monitoring, RecordId, Ref, Target, Worker};

pub(super) use again::new_faults;
pub(super) use maintenance::removable;
pub(super) use people::{CATEGORY_RIGHT, UNSAID_CATEGORY};
pub(super) use read_total::{Follows, corrected_read, voided_read};
pub(super) use wear::{Found, find_wear, refused};

/// A column of a file, which is also a flag of the typed command.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Column {
    /// Its name.
    pub name: &'static str,
    /// Whether a file must have it.
    pub needed: bool,
    /// What it holds, for the help text.
    pub help: &'static str,
}

impl Column {
    /// Whether it holds a dose: a negative one is then refused in words about the dose, and not
    /// taken for a flag.
    pub fn is_dose(&self) -> bool {
        holds_doses(self.name)
    }
}

/// What one row says: a body, and perhaps one that points to the record of the
/// first.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct RowBodies {
    pub first: Body,
    pub then: Option<Then>,
    /// What whoever writes it has to be told.
    pub notes: Vec<String>,
}

impl RowBodies {
    /// One record.
    fn of(body: impl Into<Body>) -> RowBodies {
        RowBodies {
            first: body.into(),
            then: None,
            notes: Vec::new(),
        }
    }
}

/// A second record of the same row.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Then {
    /// The pregnancy of the row was withdrawn on a day.
    Withdrawn(Day),
    /// The worker of the row was monitored until a day.
    MonitoredUntil(Day),
    /// The badge of the row is worn on after its read.
    WornOn(Box<Badge>),
}

impl Then {
    /// The second body, once the first has its record; nothing where none is written.
    pub fn body(&self, first: RecordId) -> Option<Body> {
        Some(match self {
            Then::WornOn(badge) => badge.as_ref().clone().into(),
            // It stands with the declaration, in the private table.
            Then::Withdrawn(_) => return None,
            Then::MonitoredUntil(on) => Monitoring {
                change: crate::record::MonitoringChange::Ends,
                on: *on,
                worker: first.into(),
            }
            .into(),
        })
    }
}

/// What a row is read against.
pub(super) struct RowDesk<'a> {
    pub names: &'a Names,
    pub snapshot: &'a Snapshot<'a>,
    /// The latest day that it is at the office or at a job: what is later is in the future.
    pub today: Day,
    /// The record that is being corrected: it is not in its own way.
    pub amends: Option<Amended<'a>>,
}

/// A record that is being corrected.
#[derive(Debug, Clone, Copy)]
pub(super) struct Amended<'a> {
    pub before: &'a Body,
}

/// The day that it is in the ledger's zone.
pub(super) fn today(names: &Names, now: Instant) -> Day {
    names.zone.local_day(now)
}

/// How a row becomes bodies.
#[derive(Debug, Clone, Copy)]
pub(super) enum Reader {
    /// With the registers alone.
    Names(fn(&mut Fields<'_>, &Names) -> Option<RowBodies>),
    /// With questions to the ledger.
    RowDesk(fn(&mut Fields<'_>, &RowDesk<'_>) -> Result<Option<RowBodies>, LedgerError>),
}

/// One kind of file.
#[derive(Debug, Clone, Copy)]
pub struct Register {
    /// The noun under which its commands stand.
    pub noun: &'static str,
    /// The verb of the typed command.
    pub add: &'static str,
    /// The verb of the import.
    pub import: &'static str,
    /// What one row is, in the singular, for messages.
    pub what: &'static str,
    /// Its columns.
    pub columns: &'static [Column],
    /// The names of its columns.
    pub names: &'static [&'static str],
    pub(super) read: Reader,
}

impl Register {
    /// The columns that a file must have.
    pub fn needed(&self) -> Vec<&'static str> {
        self.columns
            .iter()
            .filter(|column| column.needed)
            .map(|column| column.name)
            .collect()
    }
}

macro_rules! register {
    ($name:ident: $noun:literal $add:literal $import:literal $what:literal, $how:ident $read:path,
     [$($column:literal $needed:literal $help:literal),+ $(,)?]) => {
        pub(in crate::intake) const $name: Register = Register {
            noun: $noun,
            add: $add,
            import: $import,
            what: $what,
            columns: &[$(Column { name: $column, needed: $needed, help: $help }),+],
            names: &[$($column),+],
            read: Reader::$how($read),
        };
    };
}

use register;

/// Every kind of file besides the sheets.
pub const REGISTERS: &[Register] = &[
    items::JOBS,
    people::WORKERS,
    people::ROLES,
    people::ALERTS,
    people::MONITORING,
    people::PREGNANCIES,
    people::PRIOR,
    opening::OPENING,
    people::MISSING,
    people::REQUESTS,
    people::AUTHORIZATIONS,
    people::QUALIFICATIONS,
    people::PLANNED_EXPOSURES,
    items::INSTRUMENTS,
    items::CHECKS,
    items::EQUIPMENT,
    items::WITHDRAWALS,
    items::RETURNS,
    maintenance::PARTS,
    maintenance::SERVICES,
    maintenance::LEAK_TESTS,
    maintenance::INVENTORIES,
    maintenance::LOADINGS,
    source_check::SOURCE_CHECKS,
    badge::ISSUES,
    badge::RETURNS,
    badge::SENDINGS,
    badge::LOSSES,
    badge::DAMAGES,
    result::RESULTS,
    read::READS,
    determination::DETERMINATIONS,
];

fn only(body: impl Into<Body>) -> Option<RowBodies> {
    Some(RowBodies::of(body))
}

/// The worker that a cell names; an unknown one is a fault with near spellings.
fn worker(fields: &mut Fields<'_>, names: &Names, column: usize) -> Option<Id<Worker>> {
    let id = fields.needed(column, "the id of a worker")?;
    let found = names.find_worker(&id);
    if found.is_none() {
        let right = did_you_mean(&names.near_workers(&id), "register the worker first");
        fields.fault(column, "is not a worker that the ledger knows", right);
    }
    found
}

/// The item that a cell names: one that the ledger knows and that may stand there.
pub(super) fn equipment<T: Target>(
    fields: &mut Fields<'_>,
    names: &Names,
    column: usize,
) -> Option<Id<T>> {
    let wanted = what_of(T::GOAL);
    let id = fields.needed(column, &format!("the id of {wanted}"))?;
    match names.equipment_ref::<T>(&id) {
        Ok(Ref::Known(record)) => Some(record),
        Ok(Ref::Written(_)) => {
            let what = format!("is not {wanted} that the ledger knows");
            let right = did_you_mean(&names.near_fitting(T::GOAL, &id), "register it first");
            fields.fault(column, what, right);
            None
        }
        Err(kind) => {
            fields.fault(column, format!("is {}", with_article(kind)), wanted);
            None
        }
    }
}

/// Reads one row of a register, with the record's own problems as faults.
pub(super) fn read_row(
    register: &Register,
    columns: &Columns,
    row: &Row,
    desk: &RowDesk<'_>,
    faults: &mut Faults,
) -> Result<Option<RowBodies>, LedgerError> {
    let mut fields = Fields {
        columns,
        row,
        faults,
    };
    let read = match register.read {
        Reader::Names(read) => read(&mut fields, desk.names),
        Reader::RowDesk(read) => read(&mut fields, desk)?,
    };
    let Some(mut bodies) = read else {
        return Ok(None);
    };
    columns.number(std::slice::from_ref(row), &mut bodies.first);
    let mut problems = bodies.first.problems();
    problems.extend(authority::problems(
        desk.snapshot,
        desk.names,
        &bodies.first,
    )?);
    let sound = problems.is_empty();
    for problem in problems {
        faults.push(Fault::of_problem(row.line, problem));
    }
    Ok(sound.then_some(bodies))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_registers_share_a_command() {
        let mut commands: Vec<(&str, &str)> = REGISTERS
            .iter()
            .flat_map(|it| [(it.noun, it.add), (it.noun, it.import)])
            .collect();
        let count = commands.len();
        commands.sort_unstable();
        commands.dedup();
        assert_eq!(commands.len(), count);
    }

    /// `--dates` and `--preview` know days by the names of their columns.
    #[test]
    fn a_column_that_tells_a_day_is_known_as_one() {
        use crate::intake::entry::said::holds_days;
        // These speak of a day and hold something else.
        const OTHERS: [&str; 4] = ["activity", "performed_by", "shifts_after", "shipping_paper"];
        let columns = REGISTERS.iter().flat_map(|it| it.columns);
        let mut days = 0;
        for column in columns {
            let words = |sign: char| !sign.is_ascii_alphabetic();
            let told = column
                .help
                .split(words)
                .any(|it| ["day", "date"].contains(&it));
            let other = OTHERS.contains(&column.name) || column.help.starts_with("number of");
            assert_eq!(
                holds_days(column.name),
                told && !other || ["first_day", "received_at"].contains(&column.name),
                "{}: {}",
                column.name,
                column.help
            );
            days += usize::from(told);
        }
        assert!(days > 40, "{days}");
    }

    #[test]
    fn the_columns_of_a_register_are_its_names() {
        for register in REGISTERS {
            let names: Vec<&str> = register.columns.iter().map(|column| column.name).collect();
            assert_eq!(names, register.names);
        }
    }
}
