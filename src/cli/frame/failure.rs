//! Errors as texts and exit codes. Exit codes live here only.

use crate::answer::{AnswerError, NoSuchName};
use crate::calendar::CalendarError;
use crate::file::WriteError;
use crate::intake::IntakeError;
use crate::ledger::LedgerError;
use crate::rule::{Finding, RuleSetProblems};
use crate::show::{ChartError, NoCsv};

/// Everything that ends a command before its end.
#[derive(Debug)]
pub(crate) enum Failure {
    /// The words of the command cannot be taken.
    Usage(clap::Error),
    /// A value of a flag cannot be read: what, and what would be right.
    Flag {
        flag: &'static str,
        what: String,
        right: String,
    },
    /// The intake refuses.
    Intake(IntakeError),
    /// The question has no answer.
    Answer(AnswerError),
    /// The ledger fails.
    Ledger(LedgerError),
    /// A rule set or checklist file has problems.
    RuleSet {
        /// `rule_set` or `checklist`.
        what: &'static str,
        file: String,
        problems: RuleSetProblems,
    },
    /// A file cannot be read or written.
    File {
        file: String,
        source: std::io::Error,
    },
    /// There is something in the way, or missing.
    Refused { what: String, hint: String },
    /// The chart cannot be drawn.
    Chart(ChartError),
    /// Somebody answered no, or closed the input.
    Cancelled,
    /// The prompt of a sheet was left before its yes.
    Abandoned {
        /// Whether what was typed is in a draft.
        kept: bool,
        /// What the readings that were typed say that must stop somebody.
        stops: Vec<Finding>,
    },
    /// `--check` found something; the answer has been printed.
    Found,
    /// The ledger fails verification; what is wrong has been printed.
    NotVerified,
    /// Nobody reads the output any more.
    BrokenPipe,
    /// The output cannot be written.
    Output(std::io::Error),
    /// A fault of the program.
    Internal(String),
}

impl Failure {
    /// What `--check` exits with.
    pub fn found_if(found: bool) -> Result<(), Failure> {
        match found {
            true => Err(Failure::Found),
            false => Ok(()),
        }
    }

    pub fn internal(error: impl std::fmt::Display) -> Failure {
        Failure::Internal(error.to_string())
    }

    pub fn flag(flag: &'static str, what: impl std::fmt::Display, right: &str) -> Failure {
        Failure::Flag {
            flag,
            what: what.to_string(),
            right: right.to_owned(),
        }
    }

    /// 0 done; 1 refused, nothing written; 2 usage; 3 `--check` found
    /// something; 4 the ledger fails verification; 70 a fault of the program; 74 done, but the
    /// output could not be written.
    pub fn exit_code(&self) -> u8 {
        match self {
            Failure::BrokenPipe => 0,
            Failure::Usage(error) if !error.use_stderr() => 0,
            Failure::Usage(_) | Failure::Flag { .. } => 2,
            Failure::Found => 3,
            Failure::NotVerified => 4,
            Failure::Output(_) => 74,
            Failure::Internal(_) => 70,
            other => match other.of_ledger() {
                Some(LedgerError::Unreadable { detail, .. }) if detail.needs_newer() => 1,
                Some(
                    LedgerError::Damaged { .. }
                    | LedgerError::Unreadable { .. }
                    | LedgerError::OtherWriter
                    | LedgerError::Altered { .. }
                    | LedgerError::Unsound { .. }
                    | LedgerError::Lying { .. },
                ) => 4,
                Some(LedgerError::Sqlite(_)) => 70,
                _ => 1,
            },
        }
    }

    /// What the ledger said, whichever room passed it on.
    fn of_ledger(&self) -> Option<&LedgerError> {
        match self {
            Failure::Ledger(error)
            | Failure::Intake(
                IntakeError::Ledger(error) | IntakeError::Answer(AnswerError::Ledger(error)),
            )
            | Failure::Answer(AnswerError::Ledger(error)) => Some(error),
            _ => None,
        }
    }
}

impl From<IntakeError> for Failure {
    fn from(error: IntakeError) -> Failure {
        Failure::Intake(error)
    }
}

impl From<AnswerError> for Failure {
    fn from(error: AnswerError) -> Failure {
        Failure::Answer(error)
    }
}

impl From<LedgerError> for Failure {
    fn from(error: LedgerError) -> Failure {
        Failure::Ledger(error)
    }
}

impl From<WriteError> for Failure {
    fn from(error: WriteError) -> Failure {
        match error {
            WriteError::Io { path, source } => Failure::File {
                file: path.display().to_string(),
                source,
            },
            WriteError::Exists { path } => Failure::Refused {
                what: format!("`{}` exists already", path.display()),
                hint: "name another place, or move it away: it is not overwritten".to_owned(),
            },
            WriteError::Busy { .. } => Failure::Refused {
                what: error.to_string(),
                hint: "wait for it, and give the command again".to_owned(),
            },
        }
    }
}

impl From<NoSuchName> for Failure {
    fn from(error: NoSuchName) -> Failure {
        Failure::Answer(error.into())
    }
}

impl From<ChartError> for Failure {
    fn from(error: ChartError) -> Failure {
        Failure::Chart(error)
    }
}

impl From<NoCsv> for Failure {
    fn from(error: NoCsv) -> Failure {
        match error {
            NoCsv::Unknown(names) => Failure::flag(
                "table",
                "there is no table of this name",
                &format!("one of: {}", names.join(", ")),
            ),
            NoCsv::Failed(why) => Failure::Internal(why),
        }
    }
}

impl From<clap::Error> for Failure {
    fn from(error: clap::Error) -> Failure {
        Failure::Usage(error)
    }
}

/// A day that a flag names.
pub(crate) fn day(flag: &'static str, text: &str) -> Result<crate::calendar::Day, Failure> {
    crate::calendar::read_day(text)
        .map_err(|error: CalendarError| Failure::flag(flag, error, "a date such as 2026-06-14"))
}
