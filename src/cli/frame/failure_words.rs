//! What went wrong, in words: the sentence, the facts beneath it, the hint.

use super::failure::Failure;
use super::output::Output;
use crate::answer::{AnswerError, FormFault, NoSuchName, Sought};
use crate::cli::ledger::ledger_words::{file_words, ledger_words};
use crate::intake::IntakeError;
use crate::record::{EquipmentType, InstrumentType, Words};
use crate::rule::RuleSetProblem;
use crate::show::{Report, refused_report, stops_report};
use crate::text::{bounded, one_line, short};

impl Failure {
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
            Failure::RuleSet { .. }
            | Failure::Intake(IntakeError::ChangesPast(_) | IntakeError::WhoseLicense(_)) => {
                let (what, facts, hint) = self.words();
                let part = |text: &str| bounded(text);
                let mut report = Report::new(format!("error: {}", one_line(&part(&what))));
                for fact in facts {
                    report.under(part(&output.wrong(&fact)));
                }
                if !hint.is_empty() {
                    report.under(format!("hint: {}", part(&hint)));
                }
                output.talk_report(&report)
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
            Failure::RuleSet {
                what,
                file,
                problems,
            } => {
                let fact = |it: &RuleSetProblem| {
                    let (line, column) = (it.line, it.column);
                    let what = format!("line {line}, column {column}: {}", one_line(&it.what));
                    [what, format!("  right: {}", one_line(&it.right))]
                };
                let facts = problems.as_slice().iter().flat_map(fact).collect();
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
                "`wearbook ledger seal` counts the entries; taking a file in again is safe"
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
    if let Some(word) = text(ContextKind::InvalidSubcommand)
        && let Some((kind, noun)) = type_called(word)
    {
        let word = short(&one_line(word));
        let all = if noun == "instrument" {
            "instruments"
        } else {
            noun
        };
        return Some(format!(
            "error: `{word}` is no command\n  hint: {kind} stands among the {all}: wearbook {noun} \
             list"
        ));
    }
    let argument = text(ContextKind::InvalidArg)?;
    let value = short(&one_line(text(ContextKind::InvalidValue)?));
    // All values that the parser itself reads are whole numbers or words of a list.
    match (error.kind(), error.get(ContextKind::ValidValue)) {
        (ErrorKind::ValueValidation, _) => Some(match bound(error) {
            Some(right) => format!("error: {argument}: `{value}` is out of range\n  hint: {right}"),
            None => format!(
                "error: {argument}: `{value}` is not a whole number\n  hint: digits alone, such as \
                 118"
            ),
        }),
        (ErrorKind::InvalidValue, Some(ContextValue::Strings(known))) if !known.is_empty() => {
            let known = known.join(", ");
            Some(format!(
                "error: {argument}: `{value}` is not known\n  hint: one of {known}"
            ))
        }
        _ => None,
    }
}

/// The bound that a whole number passes, as the parser of the command line puts it: `0 is not in
/// 1..=600`.
fn bound(error: &clap::Error) -> Option<String> {
    let said = std::error::Error::source(error)?.to_string();
    let (value, range) = said.split_once(" is not in ")?;
    let (least, most) = range.split_once("..")?;
    let (value, least): (i128, i128) = (value.parse().ok()?, least.parse().ok()?);
    Some(match value < least {
        true => format!("at least {least}"),
        false => format!("at most {}", most.trim_start_matches('=')),
    })
}

/// What people call so that has a register, and the noun of its commands.
fn type_called(word: &str) -> Option<(String, &'static str)> {
    fn of<W: Words>(word: &str, noun: &'static str) -> Option<(String, &'static str)> {
        let one = word.strip_suffix('s').unwrap_or(word);
        let all = W::ALL.iter();
        let kinds: Vec<String> = all
            .filter(|it| it.may_be(word) || it.may_be(one))
            .map(|it| format!("every {}", it.word()))
            .collect();
        (!kinds.is_empty()).then(|| (kinds.join(" and "), noun))
    }
    of::<InstrumentType>(word, "instrument").or_else(|| of::<EquipmentType>(word, "equipment"))
}

/// Near spellings, or else the command that lists what there is.
fn near_hint(error: &NoSuchName) -> String {
    let near: Vec<String> = error.near.iter().map(|it| format!("`{it}`")).collect();
    // Another month is not what was meant.
    if error.what == Sought::SignedMonth {
        let signed = match near.is_empty() {
            true => "no month is signed yet".to_owned(),
            false => format!("signed are {}", near.join(", ")),
        };
        let name = &error.name;
        return format!("{signed}; to sign it: wearbook review {name} --sign --performed-by ID");
    }
    if !near.is_empty() {
        return format!("did you mean {}?", near.join(" or "));
    }
    let list = match &error.what {
        Sought::Worker => "worker list",
        Sought::Instrument => "instrument list",
        Sought::Equipment => "equipment list",
        Sought::Inspection => "inspect list",
        Sought::ItemOrInstrument => "equipment list; wearbook instrument list",
        Sought::Job => "job list",
        Sought::Event => "event list",
        Sought::Sheet => "dose show ID --why",
        Sought::Badge | Sought::Report => "badge list",
        Sought::OnHold => "hold list",
        Sought::OpenFinding => "findings",
        Sought::Evidence => "evidence list",
        Sought::Documented => "event list; wearbook equipment list; wearbook instrument list",
        Sought::Checklist => "checklist list",
        Sought::MeasuredItem(_) => "wear list",
        Sought::RuleSet => "rules list",
        Sought::Mapping => return "name one that was saved before (--save-map NAME)".to_owned(),
        Sought::SignedMonth => "review MONTH",
    };
    format!("to see what there is: wearbook {list}")
}

/// How many lines of a kind an adoption for past days shows.
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
        IntakeError::WhoseLicense(asked) => {
            let (before, after) = (&asked.before, &asked.after);
            let facts = vec![
                format!("by the rules in force until then it is under {before}"),
                format!("say whose it is, then adopt: as before, or `jurisdiction={after}`"),
            ];
            let before = one_word(before);
            let hint = format!("wearbook entry correct 1 jurisdiction={before} --reason WHY");
            (error.to_string(), facts, hint)
        }
    }
}

/// A value as it is typed.
fn one_word(text: &str) -> String {
    match text.contains(' ') {
        true => format!("\"{text}\""),
        false => text.to_owned(),
    }
}

fn answer_words(error: &AnswerError) -> (String, Vec<String>, String) {
    match error {
        AnswerError::Ledger(error) => ledger_words(error),
        AnswerError::NoSuchName(error) => (error.to_string(), Vec::new(), near_hint(error)),
        AnswerError::NoRuleSet { .. } => (
            error.to_string(),
            Vec::new(),
            "wearbook rules adopt NAME --from DATE".to_owned(),
        ),
        AnswerError::OfLaterDay { day, .. } => (
            error.to_string(),
            Vec::new(),
            format!("the same with --on {day} or a later day, or without --on"),
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
                "wearbook equipment install --equipment {} --component \"{}\" --installed-on DATE \
                --performed-by \
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
        AnswerError::Form(fault) => (fault.to_string(), Vec::new(), form_hint(fault)),
        other => (other.to_string(), Vec::new(), String::new()),
    }
}

/// What would lead on with a printed form.
fn form_hint(fault: &FormFault) -> String {
    match fault {
        FormFault::Letters { fault, .. } => fault.right().to_owned(),
        FormFault::Label(_) => "the code under the square of the form, after `Form`".to_owned(),
        FormFault::OtherLedger => "name that ledger with --ledger FILE".to_owned(),
        FormFault::OtherCopy => {
            "the copy that printed it with --ledger FILE; or type the paper in without --paper, \
             with its date and signer"
                .to_owned()
        }
        FormFault::OtherForm => {
            "the program that printed it; or type the paper in without --paper, with its date and \
             signer"
                .to_owned()
        }
        FormFault::Void { entry, .. } => format!(
            "wearbook entry show {entry}; or type the paper in without --paper, with its date and \
             signer"
        ),
        FormFault::Missing(_) => {
            "the ledger that printed it, or a newer copy of this one".to_owned()
        }
        FormFault::Other { command, .. } => (*command).to_owned(),
        FormFault::NoPlace(_) => {
            "one device, source, control unit and survey meter, and guide tubes".to_owned()
        }
        FormFault::TypedIn(entries) => {
            let entry = entries.first().copied().unwrap_or_default();
            format!(
                "wearbook entry show {entry}; if it is wrong: wearbook entry correct {entry} \
                 FIELD=VALUE --reason WHY; another shift on a copy of the same paper is typed in \
                 without --paper, with its date and signer"
            )
        }
    }
}
