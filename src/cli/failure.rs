//! Errors as texts and exit codes. Exit codes live here only.

use super::ledger_words::ledger_words;
use super::output::Output;
use crate::answer::{AnswerError, NoSuchName};
use crate::calendar::CalendarError;
use crate::intake::IntakeError;
use crate::ledger::LedgerError;
use crate::rule::{Finding, SchemeProblems};
use crate::show::{ChartError, refused_report, stops_report};
use crate::text::{bounded, one_line, short};

/// Everything that ends a command before its end.
#[derive(Debug)]
pub(super) enum Failure {
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
    /// A scheme or checklist file has problems.
    Scheme {
        /// `scheme` or `checklist`.
        what: &'static str,
        file: String,
        problems: SchemeProblems,
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

    /// Says what went wrong.
    pub fn say(&self, output: &mut Output<'_>) -> Result<(), Failure> {
        match self {
            Failure::BrokenPipe | Failure::Found | Failure::NotVerified => Ok(()),
            Failure::Usage(error) if !error.use_stderr() => output.raw(&error.to_string()),
            Failure::Usage(error) => {
                let text = usage_words(error).unwrap_or_else(|| error.to_string());
                output.talk(text.trim_end())
            }
            Failure::Intake(IntakeError::Refused(refused)) => {
                let mut refused = refused.clone();
                for fault in &mut refused.faults {
                    fault.right = output.example(&fault.right);
                    fault.what = output.wrong(&fault.what);
                }
                output.talk_report(&refused_report(&refused))
            }
            other => {
                let (what, facts, hint) = other.words();
                // A value must not end the line that quotes it, nor fill the screen.
                let part = |text: &str| bounded(&one_line(text));
                let mut text = format!("error: {}", part(&output.wrong(&what)));
                for fact in facts {
                    text.push_str("\n  ");
                    text.push_str(&part(&output.wrong(&fact)));
                }
                if !hint.is_empty() {
                    text.push_str("\n  hint: ");
                    text.push_str(&part(&output.example(&hint)));
                }
                output.talk(&text)?;
                match self {
                    Failure::Abandoned { stops, .. } if !stops.is_empty() => {
                        output.talk_report(&stops_report(stops))
                    }
                    _ => Ok(()),
                }
            }
        }
    }

    /// What, facts, hint.
    fn words(&self) -> (String, Vec<String>, String) {
        match self {
            Failure::Flag { flag, what, right } => {
                (format!("--{flag}: {what}"), Vec::new(), right.clone())
            }
            Failure::Intake(error) => intake_words(error),
            Failure::Answer(error) => answer_words(error),
            Failure::Ledger(error) => ledger_words(error),
            Failure::Scheme {
                what,
                file,
                problems,
            } => {
                let facts = problems
                    .as_slice()
                    .iter()
                    .map(|it| {
                        format!(
                            "line {}, column {}: {}; right: {}",
                            it.line, it.column, it.what, it.right
                        )
                    })
                    .collect();
                (format!("{file} is not a {what}"), facts, String::new())
            }
            Failure::File { file, source } => file_words(file, source),
            Failure::Refused { what, hint } => (what.clone(), Vec::new(), hint.clone()),
            Failure::Chart(error) => (error.to_string(), Vec::new(), String::new()),
            Failure::Cancelled => ("nothing was written".to_owned(), Vec::new(), String::new()),
            Failure::Abandoned { kept, .. } => (
                "nothing was written".to_owned(),
                Vec::new(),
                match kept {
                    true => "what was typed is kept; the same command offers it again",
                    false => "",
                }
                .to_owned(),
            ),
            Failure::Output(error) => (
                format!("the output cannot be written: {error}"),
                vec!["what the command wrote to the ledger stands".to_owned()],
                "`wearbook ledger head` counts the entries; taking a file in again is safe"
                    .to_owned(),
            ),
            Failure::Internal(what) => (
                format!("a fault of the program: {what}"),
                Vec::new(),
                "nothing was written; please report it".to_owned(),
            ),
            _ => (String::new(), Vec::new(), String::new()),
        }
    }
}

/// A value that an argument does not take, in our own words; nothing for what
/// the parser of the command line says well itself.
fn usage_words(error: &clap::Error) -> Option<String> {
    use clap::error::{ContextKind, ContextValue, ErrorKind};
    let text = |kind| match error.get(kind) {
        Some(ContextValue::String(text)) => Some(text.as_str()),
        _ => None,
    };
    let argument = text(ContextKind::InvalidArg)?;
    let value = short(&one_line(text(ContextKind::InvalidValue)?));
    // All values that the parser itself reads are whole numbers or words of a list.
    match (error.kind(), error.get(ContextKind::ValidValue)) {
        (ErrorKind::ValueValidation, _) => Some(format!(
            "error: {argument}: `{value}` is not a whole number\n  hint: digits alone, such as 118"
        )),
        (ErrorKind::InvalidValue, Some(ContextValue::Strings(known))) if !known.is_empty() => {
            let known = known.join(", ");
            Some(format!(
                "error: {argument}: `{value}` is not known\n  hint: one of {known}"
            ))
        }
        _ => None,
    }
}

/// Near spellings, or else the command that lists what there is.
fn near_hint(error: &NoSuchName) -> String {
    let near: Vec<String> = error.near.iter().map(|it| format!("`{it}`")).collect();
    if !near.is_empty() {
        return format!("did you mean {}?", near.join(" or "));
    }
    let list = match error.what.as_str() {
        "worker" => "worker list",
        "instrument" => "instrument list",
        "equipment" => "equipment list",
        "inspection entry" => "inspect list",
        "equipment or instrument" => "equipment list; wearbook instrument list",
        "job" => "job list",
        "event" => "event list",
        "held item" => "held",
        "open finding" => "findings",
        "adopted or built-in checklist, or checklist file" => "checklist list",
        what if what.starts_with("measured item") => "wear list",
        _ => "scheme list",
    };
    format!("to see what there is: wearbook {list}")
}

/// How many lines of a sort an adoption for past days shows.
const PAST_SHOWN: usize = 20;

fn intake_words(error: &IntakeError) -> (String, Vec<String>, String) {
    match error {
        IntakeError::Ledger(error) => ledger_words(error),
        IntakeError::NoSuchName(error) => (error.to_string(), Vec::new(), near_hint(error)),
        IntakeError::BadChange { detail, right } => (detail.clone(), Vec::new(), right.clone()),
        IntakeError::File { file, source } => file_words(file, source),
        IntakeError::Answer(error) => answer_words(error),
        IntakeError::Refused(_) => (error.to_string(), Vec::new(), String::new()),
        IntakeError::ChangesPast(changes) => {
            let part = |(heading, all): &(&str, &[String])| {
                let count = all.len();
                let first = all.iter().take(PAST_SHOWN).map(|it| format!("  {it}"));
                let mut lines = vec![format!("{heading}: {count}")];
                lines.extend(first);
                if count > PAST_SHOWN {
                    lines.push(format!("  and {} more", count - PAST_SHOWN));
                }
                lines
            };
            let parts = changes.parts().into_iter().filter(|it| !it.1.is_empty());
            let facts = parts.flat_map(|it| part(&it)).collect();
            let hint = "the same with --reason WHY, which is kept; or --from a day to come";
            (error.to_string(), facts, hint.to_owned())
        }
    }
}

/// What the system says of a file, in our own words where it is often said.
pub(super) fn file_words(file: &str, source: &std::io::Error) -> (String, Vec<String>, String) {
    use std::io::ErrorKind;
    if source.get_ref().is_some() {
        // Not the system's words but those of another room.
        return (format!("{file}: {source}"), Vec::new(), String::new());
    }
    let (what, hint) = match source.kind() {
        ErrorKind::NotFound => (
            format!("there is no `{file}`"),
            "look at the name, and in which folder it is",
        ),
        ErrorKind::IsADirectory => (format!("`{file}` is a folder"), "name a file in it"),
        ErrorKind::AlreadyExists => (
            format!("`{file}` exists already"),
            "choose another place; nothing is ever overwritten",
        ),
        ErrorKind::PermissionDenied => (
            format!("`{file}` may not be used by this user"),
            "allow it, or choose another place",
        ),
        ErrorKind::InvalidData => (
            format!("`{file}` is not UTF-8 text"),
            "save it as UTF-8 text",
        ),
        ErrorKind::StorageFull => (
            format!("the disk of `{file}` is full"),
            "make room, then try again",
        ),
        _ => (format!("`{file}`: {source}"), ""),
    };
    (what, Vec::new(), hint.to_owned())
}

fn answer_words(error: &AnswerError) -> (String, Vec<String>, String) {
    match error {
        AnswerError::Ledger(error) => ledger_words(error),
        AnswerError::NoSuchName(error) => (error.to_string(), Vec::new(), near_hint(error)),
        AnswerError::NoScheme { .. } => (
            error.to_string(),
            Vec::new(),
            "wearbook scheme adopt NAME --from DATE".to_owned(),
        ),
        AnswerError::NotYet { .. }
        | AnswerError::NotOfPeriod { .. }
        | AnswerError::BeforeCharter { .. }
        | AnswerError::NotMonitoredIn { .. } => (
            error.to_string(),
            Vec::new(),
            "a day, month or year that has begun and is on record".to_owned(),
        ),
        AnswerError::NoChecklist { day } => (
            error.to_string(),
            Vec::new(),
            format!("wearbook checklist adopt general --from {day}"),
        ),
        AnswerError::Inactive(it) => (
            error.to_string(),
            vec![it.why.to_owned()],
            format!(
                "wearbook equipment fit --equipment {} --component \"{}\" --fitted-on DATE --by \
                 NAME --line {} --nominal \"...\" --limit \"...\"",
                it.equipment, it.component, it.line
            ),
        ),
        AnswerError::NotOneMoment { .. } => (
            error.to_string(),
            Vec::new(),
            "the clocks change there then: write it with its offset, `2026-11-01T01:30-05:00`"
                .to_owned(),
        ),
        AnswerError::OverYears { last, .. } => (
            error.to_string(),
            Vec::new(),
            format!("each year has limits of its own: ask to {last}, then from the day after"),
        ),
        other => (other.to_string(), Vec::new(), String::new()),
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

impl From<clap::Error> for Failure {
    fn from(error: clap::Error) -> Failure {
        Failure::Usage(error)
    }
}

/// A day that a flag names.
pub(super) fn day(flag: &'static str, text: &str) -> Result<crate::calendar::Day, Failure> {
    crate::calendar::parse_day(text)
        .map_err(|error: CalendarError| Failure::flag(flag, error, "a date such as 2026-06-14"))
}
