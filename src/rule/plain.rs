//! A file as it may be kept: with plain line ends, and without a character that nobody can see,
//! be it written as it is or as an escape.

use toml::de::DeValue;

use super::problem::{RuleSetProblem, RuleSetProblems};
use super::read::Reader;
use crate::text::{Lines, Unfit, unfit};

/// The text with plain line ends and without a byte-order mark, or everything in it that no text
/// may hold.
pub(super) fn plain(text: &str) -> Result<String, RuleSetProblems> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let text = text.replace("\r\n", "\n");
    let mut problems = Vec::new();
    for (line, number) in text.lines().zip(1..) {
        if let Some(found) = unfit(line, Lines::Many) {
            problems.push(RuleSetProblem {
                line: number,
                column: found.place,
                what: format!("there is {}", found.named()),
                right: found.right().to_owned(),
            });
        }
    }
    // An escape is seen only in what the file means.
    let (reader, document) = Reader::open(&text);
    let mut found = Vec::new();
    if problems.is_empty() {
        for (_, value) in document.get_ref() {
            escaped(value.get_ref(), value.span().start, &mut found);
        }
    }
    for (at, found) in found {
        let (line, column) = reader.place(at);
        problems.push(RuleSetProblem {
            line,
            column,
            what: format!("the text {}", found.what()),
            right: found.right().to_owned(),
        });
    }
    drop((reader, document));
    match problems.is_empty() {
        true => Ok(text),
        false => Err(RuleSetProblems::of(problems)),
    }
}

fn escaped(value: &DeValue<'_>, at: usize, found: &mut Vec<(usize, Unfit)>) {
    match value {
        DeValue::String(text) => found.extend(unfit(text, Lines::Many).map(|it| (at, it))),
        DeValue::Array(list) => {
            for it in list {
                escaped(it.get_ref(), it.span().start, found);
            }
        }
        DeValue::Table(table) => {
            for (_, it) in table {
                escaped(it.get_ref(), it.span().start, found);
            }
        }
        _ => {}
    }
}
