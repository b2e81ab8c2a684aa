//! Errors as texts and exit codes. Exit codes live here only.

use super::output::Output;
use crate::answer::{AnswerError, NoSuchName};
use crate::calendar::CalendarError;
use crate::intake::IntakeError;
use crate::ledger::{LedgerError, Refusal};
use crate::record::differences;
use crate::rule::SchemeProblems;
use crate::show::{ChartError, refused_report};
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
                output.talk_report(&refused_report(refused))
            }
            other => {
                let (what, facts, hint) = other.words();
                // A value must not end the line that quotes it, nor fill the screen.
                let part = |text: &str| bounded(&one_line(text));
                let mut text = format!("error: {}", part(&what));
                for fact in facts {
                    text.push_str("\n  ");
                    text.push_str(&part(&fact));
                }
                if !hint.is_empty() {
                    text.push_str("\n  hint: ");
                    text.push_str(&part(&hint));
                }
                output.talk(&text)
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

fn intake_words(error: &IntakeError) -> (String, Vec<String>, String) {
    match error {
        IntakeError::Ledger(error) => ledger_words(error),
        IntakeError::NoSuchName(error) => (error.to_string(), Vec::new(), near_hint(error)),
        IntakeError::BadChange { detail, right } => (detail.clone(), Vec::new(), right.clone()),
        IntakeError::File { file, source } => file_words(file, source),
        IntakeError::Answer(error) => answer_words(error),
        IntakeError::Refused(_) => (error.to_string(), Vec::new(), String::new()),
    }
}

/// What the system says of a file, in our own words where it is often said.
fn file_words(file: &str, source: &std::io::Error) -> (String, Vec<String>, String) {
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

fn ledger_words(error: &LedgerError) -> (String, Vec<String>, String) {
    let hint = match error {
        LedgerError::Missing { .. } => {
            "name it with --ledger FILE or WEARBOOK_LEDGER, or make one with `wearbook ledger init`"
        }
        LedgerError::Exists { .. } => "choose another name; nothing is ever overwritten",
        LedgerError::NotALedger { .. } => "name the ledger's file with --ledger FILE",
        LedgerError::Newer { .. } => "use the newer program; nothing was changed",
        LedgerError::NeedsUpgrade => "make a backup, then: wearbook ledger upgrade",
        LedgerError::Busy { .. } => "try again when the other process is done",
        LedgerError::ReadOnly => "allow writing to the file and its folder, or copy it elsewhere",
        LedgerError::DiskFull => "make room, then try again",
        LedgerError::System { .. } => "look at the disk, its space, its quota and the permissions",
        LedgerError::CutShort { .. } => {
            "run any command as one who may write to both files and their folder; \
             never delete the journal, and never copy one file without the other"
        }
        LedgerError::Unreadable { detail, .. } if detail.needs_newer() => {
            "a newer wearbook is needed to read it; nothing was changed"
        }
        LedgerError::Damaged { .. } | LedgerError::Unreadable { .. } => {
            "wearbook ledger verify --full; then go back to the newest backup that verifies"
        }
        LedgerError::OtherWriter => {
            "wearbook ledger verify --full; where only tables differ: wearbook ledger rebuild"
        }
        LedgerError::OtherJournal { .. } => "close the other program, then try again",
        LedgerError::Altered { .. } => {
            "wearbook ledger verify --full says everything that was altered; wearbook ledger \
             rebuild makes the file anew where the entries fit their chain"
        }
        LedgerError::Unsound { .. } => {
            "go back to the newest backup that verifies; where the last entries alone are missing \
             and somebody holds the seal of those that are left: wearbook ledger rebuild --expect \
             COUNT:HASH"
        }
        LedgerError::Lying { .. } => "wearbook ledger verify --full, then: wearbook ledger rebuild",
        LedgerError::NoSeal { .. } => {
            "take the whole file; an export of an older wearbook has no seal, and is taken with \
             --expect COUNT:HASH as somebody noted it down then"
        }
        LedgerError::BadExport { .. } => "an export that was not changed since it was written",
        LedgerError::Refused(refusal) => return refusal_words(refusal),
        LedgerError::File { path, source } => {
            return file_words(&path.display().to_string(), source);
        }
        _ => "",
    };
    let facts = match error {
        LedgerError::OtherWriter => vec![
            "nothing is counted, shown or written from it before its entries are verified"
                .to_owned(),
        ],
        _ => Vec::new(),
    };
    let what = match error {
        // A line that is no entry at all: what the parser says helps nobody.
        LedgerError::BadExport { path, line, detail } if detail.contains(" at line ") => {
            format!(
                "line {line} of {} is not an entry of an export",
                path.display()
            )
        }
        _ => error.to_string(),
    };
    (what, facts, hint.to_owned())
}

fn refusal_words(refusal: &Refusal) -> (String, Vec<String>, String) {
    let (facts, hint) = match refusal {
        Refusal::Problems { problems, .. } => (
            problems
                .iter()
                .map(|it| match it.value.as_str() {
                    "" => format!("{}: {}; right: {}", it.field, it.what, it.right),
                    value => format!("{}: `{value}` {}; right: {}", it.field, it.what, it.right),
                })
                .collect(),
            String::new(),
        ),
        Refusal::SameKey {
            entry, old, new, ..
        } => {
            let fields: Vec<String> = differences(old, new).into_iter().map(|it| it.0).collect();
            let names = fields.join("`, `");
            let fact = format!("entry {entry} differs in `{names}`: wearbook entry show {entry}");
            let changes = fields.join("=VALUE ");
            let amend = format!("wearbook entry amend {entry} {changes}=VALUE --reason WHY");
            (vec![fact], format!("if the entry is wrong: {amend}"))
        }
        Refusal::Voided { entry, .. } => (
            vec![format!("entry {entry} voids it")],
            format!("to put it in force again: wearbook entry reinstate {entry} --reason WHY"),
        ),
        Refusal::NotNewest { newest, .. } => (
            Vec::new(),
            format!(
                "name the newest entry: {newest}; all versions: wearbook entry history {newest}"
            ),
        ),
        Refusal::Stranded {
            referrers, count, ..
        } => {
            let mut facts: Vec<String> = referrers
                .iter()
                .map(|(entry, kind)| format!("entry {entry} ({})", kind.word()))
                .collect();
            if *count > referrers.len() as i64 {
                facts.push(format!("and {} more", count - referrers.len() as i64));
            }
            let first = referrers.first().map_or(0, |(entry, _)| *entry);
            let hint = format!("void or amend those first: wearbook entry show {first}");
            (facts, hint)
        }
        Refusal::NothingChanges { entry } => (
            Vec::new(),
            format!("to see what it says: wearbook entry show {entry}"),
        ),
        Refusal::NoSuchEntry { .. } => (
            Vec::new(),
            "to see how many there are: wearbook ledger head".to_owned(),
        ),
        Refusal::NoReason => (Vec::new(), "--reason \"why\"".to_owned()),
        Refusal::Header(problem) => (Vec::new(), problem.right.clone()),
        Refusal::SameButCase { there, .. } => (
            Vec::new(),
            format!("`{there}` if it is the same, else another id"),
        ),
        _ => (Vec::new(), String::new()),
    };
    (refusal.to_string(), facts, hint)
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
