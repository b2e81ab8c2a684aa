//! The flags that many commands share, and what is read from them.

use std::path::Path;

use clap::{ArgMatches, Args};

use super::failure::{self, Failure};
use super::output::Form;
use crate::answer::{AnswerError, House};
use crate::calendar::{Day, Span};
use crate::ledger::{Instant, Mode};
use crate::record::Words;
use crate::text::Language;

/// Flags of every command that writes.
#[derive(Debug, Clone, Args)]
pub(crate) struct WriteArgs {
    /// Your name, as the entry keeps it [default: the system user]
    #[arg(long, env = "WEARBOOK_BY", value_name = "NAME")]
    pub by: Option<String>,
    /// Dry run: check everything, write nothing
    #[arg(long)]
    pub dry_run: bool,
}

/// Flags of every command that shows.
#[derive(Debug, Clone, Args)]
pub(crate) struct ShowArgs {
    /// Print JSON
    #[arg(long, conflicts_with = "csv")]
    pub json: bool,
    /// Print the main table as CSV
    #[arg(long)]
    pub csv: bool,
    /// Another table than the main one; an unknown name lists them
    #[arg(long, value_name = "NAME", requires = "csv")]
    pub table: Option<String>,
}

impl ShowArgs {
    /// Whether it is asked for as data.
    pub fn is_data(&self) -> bool {
        self.json || self.csv
    }
}

/// [`WriteArgs`], with a default.
#[derive(Debug, Default, Args)]
pub(crate) struct WriteFlags {
    /// Your name, as the entry keeps it [default: the system user]
    #[arg(long, env = "WEARBOOK_BY", value_name = "NAME")]
    pub by: Option<String>,
    /// Dry run: check everything, write nothing
    #[arg(long)]
    pub dry_run: bool,
    /// Do not ask: with flags alone, nothing is asked anyway
    #[arg(long)]
    pub yes: bool,
}

/// The language of what a crew reads.
#[derive(Debug, Clone, Default, Args)]
pub(crate) struct LanguageArg {
    /// Language of it: en or es [default: as the record says of whoever enters it, or of the crew's
    /// radiographer]
    #[arg(long, value_name = "LANGUAGE")]
    language: Option<String>,
}

impl LanguageArg {
    /// The language, where one is named.
    pub fn chosen(&self) -> Result<Option<Language>, Failure> {
        let Some(text) = &self.language else {
            return Ok(None);
        };
        match Language::from_word(text) {
            Some(language) => Ok(Some(language)),
            None => Err(Failure::flag(
                "language",
                format!("`{text}` is no language of crews"),
                &Language::list(),
            )),
        }
    }
}

/// The day for which a command answers.
#[derive(Debug, Clone, Default, Args)]
pub(crate) struct OnArg {
    /// The day that counts as today
    #[arg(long, visible_alias = "as-of", value_name = "DATE")]
    on: Option<String>,
}

impl OnArg {
    /// The day, where one is named.
    pub fn day(&self) -> Result<Option<Day>, Failure> {
        let day = self.on.as_deref().map(|it| failure::day("on", it));
        day.transpose()
    }
}

/// For which day, and as known when.
#[derive(Debug, Clone, Args)]
pub(crate) struct KnownArgs {
    #[command(flatten)]
    pub on: OnArg,
    /// As known when this entry was the newest
    #[arg(long, value_name = "ENTRY")]
    pub known_at: Option<i64>,
}

/// Between which days.
#[derive(Debug, Clone, Default, Args)]
pub(crate) struct BetweenArgs {
    /// First day
    #[arg(long, value_name = "DATE", requires = "to")]
    pub from: Option<String>,
    /// Last day
    #[arg(long, value_name = "DATE", requires = "from")]
    pub to: Option<String>,
}

/// Which days, and as known when.
#[derive(Debug, Clone, Args)]
pub(crate) struct SpanArgs {
    /// A year of the licensee [default: the current one]
    #[arg(long, conflicts_with_all = ["from", "to"])]
    pub year: Option<i32>,
    #[command(flatten)]
    pub between: BetweenArgs,
    #[command(flatten)]
    pub known: KnownArgs,
}

impl SpanArgs {
    /// Reads the flags.
    pub fn days(&self) -> Result<Days, Failure> {
        days(self.year, &self.between, &self.known.on)
    }
}

/// Whether a write stays.
pub(crate) fn mode(dry_run: bool) -> Mode {
    if dry_run {
        Mode::Rehearse
    } else {
        Mode::Commit
    }
}

/// In which form an answer is asked for.
pub(crate) fn form(show: &ShowArgs) -> Form {
    match (show.json, show.csv) {
        (true, _) => Form::Json,
        (_, true) => Form::Csv(show.table.clone()),
        _ => Form::Text,
    }
}

/// Days that flags name, before the ledger is open.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Days {
    year: Option<i32>,
    between: Option<(Day, Day)>,
    pub on: Option<Day>,
}

/// Reads the flags of a span.
pub(crate) fn days(year: Option<i32>, between: &BetweenArgs, on: &OnArg) -> Result<Days, Failure> {
    let between = match (&between.from, &between.to) {
        (Some(from), Some(to)) => {
            let (first, last) = (failure::day("from", from)?, failure::day("to", to)?);
            if last < first {
                return Err(Failure::flag(
                    "to",
                    format!("{last} is before {first}"),
                    "the last day",
                ));
            }
            Some((first, last))
        }
        _ => None,
    };
    Ok(Days {
        year,
        between,
        on: on.day()?,
    })
}

impl Days {
    /// The span and the day for which levels stand: today where the span holds
    /// it, else its last day. A span without flags is the current year; days of which none has
    /// begun have no answer.
    pub fn settle(&self, house: &House, now: Instant) -> Result<(Span, Day), AnswerError> {
        let today = self.on.unwrap_or_else(|| house.today(now));
        let start = house.rule_set_on(today)?.year_start;
        self.settle_or(house, now, |today| start.year(start.year_of(today)))
    }

    /// The days between which something is asked for, where flags name them.
    pub fn asked(&self) -> Option<Span> {
        self.between.map(|(first, last)| Span { first, last })
    }

    /// The same as [`Days::resolve`] with another span where no flag names one.
    pub fn settle_or(
        &self,
        house: &House,
        now: Instant,
        otherwise: impl FnOnce(Day) -> Span,
    ) -> Result<(Span, Day), AnswerError> {
        let today = self.on.unwrap_or_else(|| house.today(now));
        let span = match (self.between, self.year) {
            (Some((first, last)), _) => Span { first, last },
            (None, Some(year)) => house.rule_set_on(today)?.year_start.year(year),
            (None, None) => otherwise(today),
        };
        if span.first > house.names.newest_day(now) && self.on.is_none() {
            let what = match (self.between, self.year) {
                (None, Some(year)) => year.to_string(),
                _ => format!("{} to {}", span.first, span.last),
            };
            return Err(AnswerError::NotYet { what, today });
        }
        let on = if today > span.last && self.on.is_none() {
            span.last
        } else {
            today
        };
        Ok((span, on))
    }
}

/// A text of a register flag.
pub(crate) fn text_of(matches: &ArgMatches, name: &str) -> Option<String> {
    matches.try_get_one::<String>(name).ok().flatten().cloned()
}

/// Reads a file whole.
pub(crate) fn read_file(path: &Path) -> Result<String, Failure> {
    std::fs::read_to_string(path).map_err(|source| Failure::File {
        file: path.display().to_string(),
        source,
    })
}

/// Refuses a file whose name does not say what will be in it.
pub(crate) fn need_ending(out: &Path, ending: &str, right: &str) -> Result<(), Failure> {
    match out.extension().is_some_and(|it| it == ending) {
        true => Ok(()),
        false => Err(Failure::flag(
            "out",
            format!("`{}` is no .{ending}", out.display()),
            right,
        )),
    }
}
