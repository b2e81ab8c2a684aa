//! The only printer. Results go to standard output, talk to standard error; a
//! broken pipe ends quietly.

use std::io::{ErrorKind, Write};

use serde::Serialize;

use super::failure::Failure;
use crate::quantity::DoseUnit;
use crate::rule::Finding;
use crate::show::{self, Report};
use crate::text::{Language, in_si, one_line, shown, si_units_of};

/// In which form an answer is printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Form {
    Text,
    Json,
    /// One table: the one of this name, else the main one.
    Csv(Option<String>),
}

/// Where everything is printed.
pub(crate) struct Output<'a> {
    out: &'a mut dyn Write,
    err: &'a mut dyn Write,
    width: u16,
    /// Whether the open ledger's clock is scripted.
    pub scripted: bool,
    /// In which language a prompt asks.
    pub language: Language,
    /// In which unit it counts doses.
    pub unit: DoseUnit,
    /// Where somebody else renders them: what would have been printed.
    kept: Option<Kept>,
}

/// What is kept for a page.
#[derive(Debug, Default)]
pub(crate) struct Kept {
    /// The reports that would have been printed.
    pub reports: Vec<Report>,
    /// The tables that the answer has as CSV, the main one first.
    pub tables: Vec<&'static str>,
}

/// What every output of a ledger with a scripted clock says.
const SCRIPTED: &str =
    "The clock of this ledger is scripted: a demonstration or a test, not records.";

fn quiet(result: std::io::Result<()>) -> Result<(), Failure> {
    match result {
        Ok(()) => Ok(()),
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Err(Failure::BrokenPipe),
        Err(error) => Err(Failure::Output(error)),
    }
}

impl<'a> Output<'a> {
    pub fn new(out: &'a mut dyn Write, err: &'a mut dyn Write, width: u16) -> Output<'a> {
        Output {
            out,
            err,
            width,
            scripted: false,
            language: Language::default(),
            unit: DoseUnit::Millirem,
            kept: None,
        }
    }

    /// From here on keeps reports and talk instead of printing them.
    pub fn keep(&mut self) {
        self.kept = Some(Kept::default());
    }

    /// Whether reports are kept for a page, which can have drawings.
    pub fn keeps(&self) -> bool {
        self.kept.is_some()
    }

    /// What was kept.
    pub fn take_kept(&mut self) -> Kept {
        self.kept.take().unwrap_or_default()
    }

    /// Minds from here on what this ledger's outputs mind.
    pub fn reads(&mut self, manner: Manner) {
        self.scripted = manner.scripted;
        self.unit = manner.unit;
    }

    /// Prints text as it is, but for what nobody can see.
    pub fn raw(&mut self, text: &str) -> Result<(), Failure> {
        quiet(
            self.out
                .write_all(shown(text).as_bytes())
                .and_then(|()| self.out.flush()),
        )
    }

    /// Prints a report as text.
    pub fn report(&mut self, mut report: Report) -> Result<(), Failure> {
        self.mark(&mut report);
        if let Some(kept) = &mut self.kept {
            kept.reports.push(report);
            return Ok(());
        }
        let text = show::text(&report, self.width);
        self.raw(&text)
    }

    /// Says in a report that the ledger's clock is scripted, where it is.
    pub fn mark(&self, report: &mut Report) {
        if self.scripted {
            report.of_ledger = Some(SCRIPTED);
        }
    }

    /// Prints an answer in the form that was asked for.
    pub fn answer<T: Serialize>(
        &mut self,
        form: Form,
        what: &str,
        answer: &T,
        report: impl FnOnce() -> Report,
    ) -> Result<(), Failure> {
        match form {
            Form::Text => {
                if let Some(kept) = &mut self.kept {
                    kept.tables = show::tables_of(what);
                }
                self.report(report())
            }
            Form::Json => {
                let text = show::json(what, self.scripted, answer).map_err(Failure::internal)?;
                self.raw(&text)
            }
            Form::Csv(table) => {
                let text = show::csv_of(what, answer, table.as_deref(), self.unit)?;
                if self.scripted {
                    self.talk(SCRIPTED)?;
                }
                self.raw(&text)
            }
        }
    }

    /// What would be right, in the units of the open ledger.
    pub fn example(&self, right: &str) -> String {
        match self.unit.is_si() {
            true => in_si(right),
            false => right.to_owned(),
        }
    }

    /// What is wrong with a value, with the units of the open ledger.
    pub fn wrong(&self, what: &str) -> String {
        match self.unit.is_si() {
            true => si_units_of(what),
            false => what.to_owned(),
        }
    }

    /// A text of the table of words in the language of the prompt, with the blanks around it; any
    /// other as it is.
    pub fn said(&self, text: &str) -> String {
        let bare = text.trim();
        match self.language.other(bare) {
            Some(said) if !bare.is_empty() => text.replacen(bare, &said, 1),
            _ => text.to_owned(),
        }
    }

    /// Says something of the table on standard error, wrapped at the width.
    pub fn tell(&mut self, text: &str) -> Result<(), Failure> {
        let said = self.said(text);
        self.talk_report(&Report::new(said))
    }

    /// Says what stops somebody or has to be done in the language of the prompt, before the
    /// findings say it in theirs.
    pub fn tell_stops(&mut self, found: &[Finding]) -> Result<(), Failure> {
        let said = show::said_of_stops_report(self.language, found);
        self.talk_report(&said)
    }

    /// Says something on standard error.
    pub fn talk(&mut self, text: &str) -> Result<(), Failure> {
        if let Some(kept) = &mut self.kept {
            let mut lines = text.lines();
            let mut report = Report::new(lines.next().unwrap_or_default());
            lines.for_each(|line| report.under(line.trim()));
            kept.reports.push(report);
            return Ok(());
        }
        quiet(writeln!(self.err, "{}", shown(text)).and_then(|()| self.err.flush()))
    }

    /// Prints a question without a line end; a long one on several lines, so that no terminal
    /// breaks it in the middle of a word.
    pub fn question(&mut self, text: &str) -> Result<(), Failure> {
        let mut text = one_line(text);
        if text.chars().count() > usize::from(self.width) {
            let width = self.width.saturating_sub(1);
            let lines = show::text(&Report::new(text.trim_end()), width);
            text = format!("{} ", lines.trim_end());
        }
        quiet(write!(self.err, "{text}").and_then(|()| self.err.flush()))
    }

    /// A report as it would be printed.
    pub fn text(&self, report: &Report) -> String {
        show::text(report, self.width)
    }

    /// Prints a report on standard error.
    pub fn talk_report(&mut self, report: &Report) -> Result<(), Failure> {
        if let Some(kept) = &mut self.kept {
            kept.reports.push(report.clone());
            return Ok(());
        }
        let text = show::text(report, self.width);
        quiet(
            self.err
                .write_all(text.as_bytes())
                .and_then(|()| self.err.flush()),
        )
    }
}

/// What every output of a ledger minds.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Manner {
    /// Whether its clock is scripted: every output says so. A scripted ledger takes no entries by
    /// the system's clock, nor the other way round.
    pub scripted: bool,
    /// In which unit it counts doses.
    pub unit: DoseUnit,
}

impl Default for Manner {
    fn default() -> Manner {
        Manner {
            scripted: false,
            unit: DoseUnit::Millirem,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each line of a question fits, whatever is proposed, and the cursor stands behind the last.
    #[test]
    fn a_long_question_is_parted_between_words() {
        let ids: Vec<String> = (1..40).map(|it| format!("GT-{it}")).collect();
        for count in 0..ids.len() {
            let asked = format!(
                "equipment, by numbers or ids [{}]: ",
                ids[..count].join(" ")
            );
            let (mut out, mut err) = (Vec::new(), Vec::new());
            Output::new(&mut out, &mut err, 80)
                .question(&asked)
                .expect("a question");
            let shown = String::from_utf8(err).expect("text");
            assert!(shown.ends_with("]: "), "{shown}");
            assert!(shown.lines().all(|it| it.chars().count() <= 80), "{shown}");
            let words = |it: &str| it.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
            assert_eq!(words(&shown), words(&asked));
        }
    }
}
