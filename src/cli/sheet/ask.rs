//! Questions of a sheet: each answer is checked when it is given, and kept in the draft.

use super::draft::Draft;
use super::written::on_the_way;
use crate::cli::frame::failure::Failure;
use crate::cli::frame::session::Session;
use crate::intake::{sheet_cell_fault, yes};
use crate::record::{Words, word_list};
use crate::rule::Finding;
use crate::show::{Report, stops_report};
use crate::text::Language;

/// What an answer is read as, or what is wrong with it and what would be right.
pub(crate) type Read<T> = Result<T, String>;

/// Somebody who is asked, and the draft of what was typed.
pub(crate) struct Asking<'s, 'a> {
    pub session: &'s mut Session<'a>,
    pub draft: Draft,
}

/// One question.
pub(crate) struct Question<'q> {
    /// Its name in the draft.
    pub key: &'q str,
    /// As it is put.
    pub label: &'q str,
    /// What Enter keeps; blank for nothing.
    pub proposal: &'q str,
}

/// Choices that are longer than this stand above their question.
const ONE_LINE: usize = 40;

impl Asking<'_, '_> {
    /// Asks until the answer can be read. What a draft answers already is taken from it.
    pub fn ask<T>(
        &mut self,
        question: &Question<'_>,
        check: impl FnMut(&mut Session<'_>, &str) -> Result<Read<T>, Failure>,
    ) -> Result<T, Failure> {
        let label = self.session.output.said(question.label);
        let question = Question {
            label: &label,
            ..*question
        };
        self.asked(&question, str::to_owned, check)
    }

    /// The same where the label is in the prompt's language already, and what is typed is read as
    /// the program's own words.
    pub fn asked<T>(
        &mut self,
        question: &Question<'_>,
        own: impl Fn(&str) -> String,
        mut check: impl FnMut(&mut Session<'_>, &str) -> Result<Read<T>, Failure>,
    ) -> Result<T, Failure> {
        if let Some(typed) = self.draft.answered(question.key) {
            let line = format!("{}: {typed}", question.label);
            self.session.output.talk_report(&Report::new(line))?;
            match self.checked(question, &typed, &mut check)? {
                Ok(value) => return Ok(value),
                Err(wrong) => self.say(&wrong)?,
            }
        }
        loop {
            let (label, proposal) = (question.label, question.proposal);
            let typed = own(&self.session.field_as_it_is(label, proposal)?);
            let typed = if typed.is_empty() { "-" } else { &typed };
            match self.checked(question, typed, &mut check)? {
                Ok(value) => return Ok(value),
                Err(wrong) => self.say(&wrong)?,
            }
        }
    }

    fn checked<T>(
        &mut self,
        question: &Question<'_>,
        typed: &str,
        check: &mut impl FnMut(&mut Session<'_>, &str) -> Result<Read<T>, Failure>,
    ) -> Result<Read<T>, Failure> {
        let text = if typed == "-" { "" } else { typed };
        let read = check(self.session, text)?;
        if read.is_ok() {
            self.keep(question.key, typed)?;
        }
        Ok(read)
    }

    /// Keeps an answer in the draft; where that cannot be done it is said, once.
    pub fn keep(&mut self, key: &str, typed: &str) -> Result<(), Failure> {
        let ledger = self.session.ledger_path.clone();
        let first = !self.draft.any();
        match self.draft.keep(&ledger, key, typed) {
            None if first => {
                on_the_way(self.session, &[]);
                Ok(())
            }
            Some(why) => self.say(&format!(
                "what is typed cannot be kept as a draft ({why}); go on, and finish in one go"
            )),
            None => Ok(()),
        }
    }

    /// In which language it asks.
    pub fn language(&self) -> Language {
        self.session.output.language
    }

    /// Asks for yes or no; nobody's yes is assumed without a proposal.
    pub fn yes(&mut self, key: &str, label: &str, proposal: Option<bool>) -> Result<bool, Failure> {
        let language = self.language();
        let (label, which) = (language.say(label), language.say("yes or no"));
        let question = Question {
            key,
            label: &format!("{label}, {which}"),
            proposal: &match proposal {
                Some(true) => language.say("yes"),
                Some(false) => language.say("no"),
                None => String::new(),
            },
        };
        let own = |typed: &str| language.typed(typed);
        self.asked(&question, own, |_, typed| {
            Ok(yes(typed).ok_or_else(|| "type yes or no".to_owned()))
        })
    }

    /// Asks for one of a few words: by word, by the beginning of it, or by number.
    pub fn word<W: Words>(
        &mut self,
        key: &str,
        label: &str,
        proposal: Option<W>,
    ) -> Result<W, Failure> {
        let language = self.language();
        let label = language.say(label);
        let numbered = W::ALL.iter().zip(1..);
        let numbered = numbered.map(|(it, number)| format!("{number} {}", language.say(it.word())));
        let choices = numbered.collect::<Vec<_>>().join(", ");
        let label = match choices.chars().count() > ONE_LINE {
            true => {
                self.under(&choices)?;
                label
            }
            false => format!("{label}: {choices}"),
        };
        let question = Question {
            key,
            label: &label,
            proposal: &proposal.map_or(String::new(), |it| language.say(it.word())),
        };
        // Kept as the program's own word, so that a draft can be read in either language.
        let own = |typed: &str| match word_in::<W>(language, typed) {
            Some(it) if language != Language::English => it.word().to_owned(),
            _ => typed.to_owned(),
        };
        self.asked(&question, own, |_, typed| {
            Ok(word(typed).ok_or_else(|| format!("`{typed}`: {}", words_in::<W>(language))))
        })
    }

    /// Asks for one cell of the sheet.
    pub fn cell(&mut self, column: &str, label: &str, proposal: &str) -> Result<String, Failure> {
        let question = Question {
            key: column,
            label,
            proposal,
        };
        self.ask(&question, |session, typed| {
            let fault = faulty(session, &[(column, typed)])?;
            Ok(fault.map_or_else(|| Ok(typed.to_owned()), Err))
        })
    }

    /// Ends a prompt: what was written needs no draft; what was left is kept, and a stop that was
    /// on its way is said.
    pub fn end(
        mut self,
        done: Result<(), Failure>,
        dry_run: bool,
        stops: impl FnOnce(&mut Session<'_>) -> Result<Vec<Finding>, Failure>,
    ) -> Result<(), Failure> {
        let left = self.draft.left();
        match done {
            Err(Failure::Cancelled) => {
                let mut stops = stops(self.session)?;
                stops.extend(left);
                self.session.output.tell_stops(&stops)?;
                let kept = self.draft.any() && self.draft.is_kept();
                if self.language() != Language::English {
                    self.session.output.tell(match kept {
                        true => "Nothing is written: the same command offers the draft again.",
                        false => "Nothing is written.",
                    })?;
                }
                Err(Failure::Abandoned { kept, stops })
            }
            Ok(()) => {
                if !dry_run {
                    self.draft.done()?;
                }
                self.session.output.tell_stops(&left)?;
                self.session.output.talk_report(&stops_report(&left))
            }
            other => other,
        }
    }

    /// Says something of the table under a question, within the width.
    pub fn say(&mut self, text: &str) -> Result<(), Failure> {
        let said = self.session.output.said(text);
        self.under(&said)
    }

    /// The same as it is.
    fn under(&mut self, text: &str) -> Result<(), Failure> {
        let mut report = Report::new("");
        report.under(text);
        self.session.output.talk_report(&report)
    }
}

/// Two hours in one line; blank where nobody knows, unless they are needed.
pub(crate) fn hours(
    asking: &mut Asking<'_, '_>,
    key: &str,
    label: &str,
    needed: bool,
) -> Result<(String, String), Failure> {
    let question = Question {
        key,
        label,
        proposal: "",
    };
    asking.ask(&question, |session, typed| {
        let words: Vec<&str> = typed.split_whitespace().collect();
        // One beside the other tells the clock of both.
        let named = ["begins", "ends"].into_iter().zip(words.iter().copied());
        let given: Vec<(&str, &str)> = named.filter(|it| it.1 != "-").collect();
        if let Some(wrong) = faulty(session, &given)? {
            return Ok(Err(wrong));
        }
        let hour = |it: &&str| {
            if *it == "-" {
                String::new()
            } else {
                (*it).to_owned()
            }
        };
        Ok(match words.as_slice() {
            [] if !needed => Ok((String::new(), String::new())),
            [one] if !needed => Ok((hour(one), String::new())),
            [one, two] if !needed || ![one, two].contains(&&"-") => Ok((hour(one), hour(two))),
            _ => Err("two hours, such as `06:40 15:20`".to_owned()),
        })
    })
}

/// One of a few words, by its number, the word, or the beginning that only one of them has.
pub(crate) fn word<W: Words>(typed: &str) -> Option<W> {
    let number = typed.parse::<usize>().ok();
    if let Some(at) = number.and_then(|it| it.checked_sub(1)) {
        return W::ALL.get(at).copied();
    }
    let typed = typed.trim().to_lowercase();
    if typed.is_empty() {
        return None;
    }
    let begins = |it: &&W| it.word().to_lowercase().starts_with(&typed);
    let mut all = W::ALL.iter().filter(begins);
    match (W::from_word(&typed), all.next(), all.next()) {
        (Some(whole), _, _) => Some(whole),
        (None, Some(only), None) => Some(*only),
        _ => None,
    }
}

/// The same by the words of a language, which are read beside the program's own.
fn word_in<W: Words>(language: Language, typed: &str) -> Option<W> {
    let typed = typed.trim().to_lowercase();
    let said = |it: &W| language.say(it.word()).to_lowercase();
    let own = |it: &W| it.word().to_lowercase();
    let whole = W::ALL
        .iter()
        .find(|it| said(it) == typed || own(it) == typed);
    // A beginning that means one thing in one language and another in the other means none.
    let begins = |it: &&W| said(it).starts_with(&typed) || own(it).starts_with(&typed);
    let mut all = W::ALL.iter().filter(begins);
    match (
        whole,
        typed.parse::<usize>().is_ok(),
        all.next(),
        all.next(),
    ) {
        (Some(whole), ..) => Some(*whole),
        (None, true, ..) => word(&typed),
        (None, false, Some(only), None) if !typed.is_empty() => Some(*only),
        _ => None,
    }
}

/// The words of a kind as a sentence lists them.
fn words_in<W: Words>(language: Language) -> String {
    match language {
        Language::English => word_list(W::PAIRS),
        Language::Spanish => {
            let all = W::ALL.iter().map(|it| language.say(it.word()));
            all.collect::<Vec<_>>().join(", ")
        }
    }
}

/// What the intake would refuse of these cells, in words.
pub(crate) fn faulty(
    session: &mut Session<'_>,
    given: &[(&str, &str)],
) -> Result<Option<String>, Failure> {
    let now = session.clock.now();
    let fault = session.ask(None, |house| Ok(sheet_cell_fault(&house.names, now, given)))?;
    Ok(fault.map(|fault| {
        let quoted = format!("`{}`", fault.value);
        let value = match fault.value.is_empty() || fault.what.contains(&quoted) {
            true => String::new(),
            false => format!("{quoted} "),
        };
        let output = &session.output;
        format!(
            "{value}{}; {}: {}",
            output.said(&output.wrong(&fault.what)),
            output.said("right"),
            output.said(&output.example(&fault.right))
        )
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Role, ShiftName, Work};

    #[test]
    fn a_word_is_typed_whole_by_its_beginning_or_by_number() {
        assert_eq!(word("night"), Some(ShiftName::Night));
        assert_eq!(word("N"), Some(ShiftName::Night));
        assert_eq!(word("2"), Some(ShiftName::Evening));
        assert_eq!(word::<ShiftName>("4"), None);
        assert_eq!(word::<ShiftName>("0"), None);
        assert_eq!(word::<ShiftName>("noon"), None);
        assert_eq!(word::<ShiftName>(""), None);
        // `r` begins two of them, and `rso` is a whole word.
        assert_eq!(word::<Work>("r"), None);
        assert_eq!(word("ret"), Some(Work::Retrieval));
        assert_eq!(word("rso"), Some(Role::Rso));
    }
}
