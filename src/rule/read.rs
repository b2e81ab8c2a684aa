//! Takes fields out of a file one by one and keeps every problem with its place.

use std::fmt::Display;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::problem::RuleSetProblem;

/// A file being read, with what was found wrong in it so far.
pub(super) struct Reader<'t> {
    text: &'t str,
    problems: Vec<RuleSetProblem>,
    /// Lines that are not TOML. Other complaints about them, and about missing things anywhere,
    /// would only be echoes.
    broken: Vec<usize>,
}

impl<'t> Reader<'t> {
    /// Parses as much of the text as can be, and keeps what is not TOML as problems.
    pub(super) fn open(text: &'t str) -> (Self, Spanned<DeTable<'t>>) {
        let (table, errors) = DeTable::parse_recoverable(text);
        let mut reader = Self {
            text,
            problems: Vec::new(),
            broken: Vec::new(),
        };
        for error in errors {
            let at = error.span().map_or(0, |span| span.start);
            let (what, right) = match error.message() {
                "duplicate key" => (
                    format!("`{}` is given twice", reader.slice(error.span())),
                    "give each field once".to_owned(),
                ),
                message => (
                    format!("not readable as TOML: {message}"),
                    "write each field as `name = value`, texts in double quotes".to_owned(),
                ),
            };
            reader.problem(at, what, right);
            reader.broken.push(reader.place(at).0);
        }
        (reader, table)
    }

    fn slice(&self, span: Option<Range<usize>>) -> &'t str {
        span.and_then(|span| self.text.get(span)).unwrap_or("")
    }

    /// Line and column in characters, both from 1, of a byte of the text.
    pub(super) fn place(&self, at: usize) -> (usize, usize) {
        let mut at = at.min(self.text.len());
        while !self.text.is_char_boundary(at) {
            at -= 1;
        }
        let before = self.text.get(..at).unwrap_or("");
        let line = before.matches('\n').count() + 1;
        let start = before.rfind('\n').map_or(0, |newline| newline + 1);
        let column = before.get(start..).unwrap_or("").chars().count() + 1;
        (line, column)
    }

    /// The line of a byte of the text, from 1.
    pub(super) fn line(&self, at: usize) -> usize {
        self.place(at).0
    }

    /// Keeps a problem at a byte of the text.
    pub(super) fn problem(&mut self, at: usize, what: String, right: String) {
        let (line, column) = self.place(at);
        if self.broken.contains(&line) {
            return;
        }
        self.problems.push(RuleSetProblem {
            line,
            column,
            what,
            right,
        });
    }

    /// Keeps that something is missing, unless lines that are not TOML may be the reason.
    pub(super) fn missing(&mut self, at: usize, what: String, right: String) {
        if self.broken.is_empty() {
            self.problem(at, what, right);
        }
    }

    /// Everything that was found wrong.
    pub(super) fn into_problems(self) -> Vec<RuleSetProblem> {
        self.problems
    }

    /// Whether nothing was found wrong so far.
    pub(super) fn is_clean(&self) -> bool {
        self.problems.is_empty()
    }
}

/// A text with the place where it stands.
pub(super) struct Found<T> {
    pub(super) value: T,
    pub(super) at: usize,
}

/// The fields of one table, taken by name. What nobody takes is unknown.
pub(super) struct Fields<'d, 'i> {
    /// How messages name the table, as "level `deep-year`".
    pub(super) name: String,
    /// Where it begins.
    pub(super) at: usize,
    table: &'d DeTable<'i>,
    taken: Vec<&'static str>,
}

impl<'d, 'i> Fields<'d, 'i> {
    pub(super) fn new(name: String, at: usize, table: &'d DeTable<'i>) -> Self {
        Self {
            name,
            at,
            table,
            taken: Vec::new(),
        }
    }

    /// The value of a field, if it is given.
    pub(super) fn take(&mut self, field: &'static str) -> Option<&'d Spanned<DeValue<'i>>> {
        if !self.taken.contains(&field) {
            self.taken.push(field);
        }
        let mut entries = self.table.iter();
        entries
            .find(|(name, _)| name.get_ref() == field)
            .map(|(_, value)| value)
    }

    /// Whether the field is given.
    pub(super) fn has(&self, field: &str) -> bool {
        self.table.iter().any(|(name, _)| name.get_ref() == field)
    }

    /// Says that a field is missing.
    pub(super) fn needs(&self, reader: &mut Reader<'_>, field: &str, right: &str) {
        reader.missing(
            self.at,
            format!("{} has no `{field}`", self.name),
            right.to_owned(),
        );
    }

    /// A text that is not blank, if the field is given.
    pub(super) fn text(
        &mut self,
        reader: &mut Reader<'_>,
        field: &'static str,
    ) -> Option<Found<String>> {
        let empty = "write a text between the quotes, or leave the field out";
        self.text_or(reader, field, empty)
    }

    /// The same, with what would be right where it is blank.
    fn text_or(
        &mut self,
        reader: &mut Reader<'_>,
        field: &'static str,
        right: &str,
    ) -> Option<Found<String>> {
        let value = self.take(field)?;
        let at = value.span().start;
        let Some(text) = value.get_ref().as_str() else {
            let kind = value.get_ref().type_str();
            reader.problem(
                at,
                format!("`{field}` has the sort {kind}, not a text"),
                format!("write it in double quotes: `{field} = \"...\"`"),
            );
            return None;
        };
        let text = text.trim();
        if text.is_empty() {
            reader.problem(at, format!("`{field}` is empty"), right.to_owned());
            return None;
        }
        let value = text.to_owned();
        Some(Found { value, at })
    }

    /// A text that must be given.
    pub(super) fn must(
        &mut self,
        reader: &mut Reader<'_>,
        field: &'static str,
        right: &str,
    ) -> Option<Found<String>> {
        let given = self.has(field);
        let text = self.text_or(reader, field, right);
        if !given {
            self.needs(reader, field, right);
        }
        text
    }

    /// A list of texts that are not blank, if the field is given.
    pub(super) fn texts(
        &mut self,
        reader: &mut Reader<'_>,
        field: &'static str,
    ) -> Option<Found<Vec<Found<String>>>> {
        let value = self.take(field)?;
        let at = value.span().start;
        let texts: Option<Vec<Found<String>>> = value.get_ref().as_array().and_then(|array| {
            let text = |one: &Spanned<DeValue<'_>>| {
                let text = one.get_ref().as_str()?.trim();
                (!text.is_empty()).then(|| Found {
                    value: text.to_owned(),
                    at: one.span().start,
                })
            };
            array.iter().map(text).collect()
        });
        if texts.is_none() {
            reader.problem(
                at,
                format!("`{field}` is not a list of texts"),
                format!("write it in brackets: `{field} = [\"...\", \"...\"]`"),
            );
        }
        texts.map(|value| Found { value, at })
    }

    /// A text that another room reads, if the field is given.
    pub(super) fn parsed<T, E: Display>(
        &mut self,
        reader: &mut Reader<'_>,
        field: &'static str,
        right: &str,
        parse: impl FnOnce(&str) -> Result<T, E>,
    ) -> Option<Found<T>> {
        let text = self.text(reader, field)?;
        match parse(&text.value) {
            Ok(value) => Some(Found { value, at: text.at }),
            Err(error) => {
                reader.problem(text.at, format!("`{field}`: {error}"), right.to_owned());
                None
            }
        }
    }

    /// One of a few words; it must be given.
    pub(super) fn word<T: Copy>(
        &mut self,
        reader: &mut Reader<'_>,
        field: &'static str,
        known: &[T],
        name: impl Fn(T) -> &'static str,
    ) -> Option<T> {
        let names: Vec<&str> = known.iter().map(|one| name(*one)).collect();
        let right = format!("write one of {}", quoted(&names));
        let text = self.must(reader, field, &right)?;
        let found = known.iter().copied().find(|one| name(*one) == text.value);
        if found.is_none() {
            let what = format!(
                "`{}` is not a known {}",
                text.value,
                field.replace('_', " ")
            );
            reader.problem(text.at, what, right);
        }
        found
    }

    /// Yes or no; a field that is not given is no.
    pub(super) fn flag(&mut self, reader: &mut Reader<'_>, field: &'static str) -> Option<bool> {
        let value = self.take(field)?;
        let flag = value.get_ref().as_bool();
        if flag.is_none() {
            reader.problem(
                value.span().start,
                format!("`{field}` is neither true nor false"),
                "write true or false, without quotes".to_owned(),
            );
        }
        flag
    }

    /// A whole number above zero, if the field is given.
    pub(super) fn whole(
        &mut self,
        reader: &mut Reader<'_>,
        field: &'static str,
    ) -> Option<Found<i64>> {
        let value = self.take(field)?;
        let at = value.span().start;
        let integer = value.get_ref().as_integer();
        let number = integer.and_then(|one| i64::from_str_radix(one.as_str(), one.radix()).ok());
        match number {
            Some(value) if value > 0 => Some(Found { value, at }),
            _ => {
                reader.problem(
                    at,
                    format!("`{field}` is not a whole number above zero"),
                    format!("write it without quotes and decimals: `{field} = 200`"),
                );
                None
            }
        }
    }

    /// Says which fields nobody took.
    pub(super) fn finish(self, reader: &mut Reader<'_>) {
        for (name, _) in self.table {
            let field: &str = name.get_ref();
            if self.taken.contains(&field) {
                continue;
            }
            let right = match nearest(field, &self.taken) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("the fields here are {}", quoted(&self.taken)),
            };
            let what = format!("{} has an unknown field `{field}`", self.name);
            reader.problem(name.span().start, what, right);
        }
    }
}

/// The known word that is spelled most like this one, if one is near.
pub(super) fn nearest<'k>(word: &str, known: &[&'k str]) -> Option<&'k str> {
    let scored = known
        .iter()
        .map(|one| (strsim::damerau_levenshtein(word, one), *one));
    let (distance, near) = scored.min_by_key(|(distance, _)| *distance)?;
    (distance <= 2 || distance * 4 <= near.chars().count()).then_some(near)
}

/// Words in backquotes, with commas between.
pub(super) fn quoted(words: &[&str]) -> String {
    let quoted: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
    quoted.join(", ")
}
