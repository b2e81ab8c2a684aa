//! What is wrong with what was handed in, and where.

use crate::answer::{AdoptionChanges, AnswerError, Difference, LicenseAsked, NoSuchName};
use crate::ledger::LedgerError;
use crate::record::Problem;
use crate::rule::Finding;
use crate::text::{bounded, short};

/// One thing that cannot be taken in: where it stands, what is wrong with it
/// and what would be right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The physical line of the file; nothing where it was typed.
    pub line: Option<u64>,
    /// The place of its column in the file, from 1, where it is about a cell.
    pub column: Option<usize>,
    /// The column or flag.
    pub field: String,
    /// The value as written, or its first 200 characters.
    pub value: String,
    /// What is wrong, lower case.
    pub what: String,
    /// What would be right.
    pub right: String,
    /// What is on record under the same key and says something else.
    pub on_record: Option<OnRecord>,
}

/// An entry with the key of what was handed in, and other content.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OnRecord {
    /// Its number.
    pub entry: i64,
    /// Where the two differ: `old` is what the entry has.
    pub differences: Vec<Difference>,
}

impl Fault {
    /// A fault of a field.
    pub fn new(
        line: Option<u64>,
        field: &str,
        value: &str,
        what: impl Into<String>,
        right: impl Into<String>,
    ) -> Fault {
        let shown = short(value);
        // The reason may quote the value, whole or in part.
        let installed = |text: String| match shown == value {
            true => bounded(&text),
            false => bounded(&text.replace(value, &shown)),
        };
        Fault {
            line,
            column: None,
            what: installed(what.into()),
            right: installed(right.into()),
            field: short(field),
            value: shown,
            on_record: None,
        }
    }

    /// The fault that a record found in itself.
    pub fn of_problem(line: Option<u64>, problem: Problem) -> Fault {
        let Problem {
            field,
            value,
            what,
            right,
        } = problem;
        Fault::new(line, &field, &value, what, right)
    }
}

/// Those that are not among the old ones: what a correction brings in.
pub(crate) fn only_new(old: &[Fault], mut new: Vec<Fault>) -> Vec<Fault> {
    new.retain(|fault| {
        let same = |it: &Fault| it.field == fault.field && it.what == fault.what;
        !old.iter().any(same)
    });
    new
}

/// Why nothing was taken in.
#[derive(Debug, Clone, PartialEq)]
pub struct Refused {
    /// The file, with its table where it is a spreadsheet; nothing where it was typed.
    pub file: Option<String>,
    /// Whether its lines are rows of a spreadsheet, and its columns have letters.
    pub spreadsheet: bool,
    /// Every fault, in the order of the lines.
    pub faults: Vec<Fault>,
    /// How many more there were than are kept.
    pub more: usize,
    /// What the readable lines say that must stop somebody: shown even though
    /// the file is refused.
    pub stops: Vec<Finding>,
}

/// A failed intake.
#[derive(Debug, thiserror::Error)]
pub enum IntakeError {
    /// What was handed in cannot be taken in.
    #[error("{} of what was handed in cannot be taken in", .0.faults.len())]
    Refused(Box<Refused>),
    /// The file cannot be read.
    #[error("{file}: {source}")]
    File {
        /// The file.
        file: String,
        /// What the system said.
        source: std::io::Error,
    },
    /// The ledger refuses or fails.
    #[error(transparent)]
    Ledger(#[from] LedgerError),
    /// A name that leads nowhere.
    #[error(transparent)]
    NoSuchName(#[from] NoSuchName),
    /// What the ledger says cannot be worked out.
    #[error(transparent)]
    Answer(#[from] AnswerError),
    /// A rule set adopted for days that are past, without a reason.
    #[error("this changes what was said of days that are past, and needs a reason")]
    ChangesPast(Box<AdoptionChanges>),
    /// A rule set of another authority, where only the rule set says whose license it is.
    #[error("these rules would make the license one under {}", .0.after)]
    WhoseLicense(LicenseAsked),
    /// A field of a body that cannot be set.
    #[error("{detail}")]
    BadChange {
        /// What is wrong.
        detail: String,
        /// What would be right.
        right: String,
    },
}

/// Collects faults; keeps the first million, so that a file without end does not fill the memory.
#[derive(Debug, Default)]
pub(crate) struct Faults {
    pub list: Vec<Fault>,
    pub more: usize,
    /// The headings of the file, each with its place from 1.
    pub headings: Vec<(String, usize)>,
    /// Whether the file is a spreadsheet.
    pub spreadsheet: bool,
}

impl Faults {
    const MOST: usize = 1_000_000;

    pub fn push(&mut self, fault: Fault) {
        if self.list.len() < Self::MOST {
            self.list.push(fault);
        } else {
            self.more += 1;
        }
    }

    /// How many there are, with those that are not kept.
    pub fn count(&self) -> usize {
        self.list.len() + self.more
    }

    pub fn any(&self) -> bool {
        !self.list.is_empty()
    }

    pub fn refuse(self, file: Option<&str>, stops: Vec<Finding>) -> IntakeError {
        let mut faults = self.list;
        faults.sort_by_key(|fault| fault.line);
        for fault in faults.iter_mut().filter(|it| it.line.is_some()) {
            let mut named = self.headings.iter().filter(|it| it.0 == fault.field);
            fault.column = named.next().map(|it| it.1);
        }
        IntakeError::Refused(Box::new(Refused {
            file: file.map(str::to_owned),
            spreadsheet: self.spreadsheet,
            faults,
            more: self.more,
            stops,
        }))
    }
}
