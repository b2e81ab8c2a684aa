//! Text inside a page: what never breaks over a line, and a command as the way to what does it.

use maud::{Markup, html};

use crate::text::shown;

/// What stands before a command.
const COMMAND: &str = "wearbook ";

/// Units that stay with their figure.
const UNITS: &[&str] = &[
    "mrem", "rem", "mSv", "uSv", "Sv", "mR", "R", "mrem/h", "uSv/h", "mSv/h", "mR/h", "R/h", "Ci",
    "GBq", "TBq", "kV", "mm", "cm", "m", "in", "ft", "%", "s", "min", "h", "d", "D", "H", "kB",
    "MB",
];

/// The longest word with hyphens that a phone can hold on one line.
const LONGEST: usize = 26;

/// Where a name on a page leads: a cell of a table, or the key of a finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Named<'a> {
    /// The whole of a cell, under the heading of its column.
    Cell(&'a str, &'a str),
    /// The key by which a finding is answered.
    Key(&'a str),
    /// A command, on a line of its own or inside a text.
    Command(&'a str),
}

/// Where a name leads.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Way {
    /// The address; blank where somebody is there already.
    pub to: String,
    /// What is done there; blank where it is but read.
    pub deed: String,
}

/// Gives the way that a name leads; nothing where it leads nowhere.
pub type Links<'a> = &'a dyn Fn(Named<'_>) -> Option<Way>;

/// A piece of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Piece<'a> {
    /// Words as they stand.
    Words(&'a str),
    /// A command, without the program's name.
    Command(&'a str),
}

/// A text by pieces: its commands, and what stands between them.
#[must_use]
pub fn pieces(text: &str) -> Vec<Piece<'_>> {
    let mut all = Vec::new();
    let mut rest = text;
    while let Some((before, behind)) = rest.split_once(COMMAND) {
        let (command, after) = behind.split_at(length(behind));
        if !before.is_empty() {
            all.push(Piece::Words(before));
        }
        all.push(Piece::Command(command));
        rest = after;
    }
    if !rest.is_empty() {
        all.push(Piece::Words(rest));
    }
    all
}

/// How long the command is with which a text begins: two words at most, and what it is given.
fn length(text: &str) -> usize {
    let mut end = 0;
    let mut words = 0;
    let (mut after_flag, mut quoted) = (false, false);
    let mut tokens = text.split_inclusive(' ').peekable();
    while let Some(token) = tokens.next() {
        let whole = token.trim_end_matches(' ');
        let bare = whole.trim_end_matches([';', ',', ':', ')', '.', '`']);
        let ends = bare != whole;
        // The name of something stands before a choice or a flag.
        let leads = !ends && tokens.peek().is_some_and(|it| is_option(it));
        let is_word = bare.bytes().all(|it| it.is_ascii_lowercase() || it == b'-');
        let is_more = match quoted || after_flag || is_given(bare) {
            _ if bare.is_empty() || bare.starts_with('(') => false,
            true => true,
            false => is_word && (words < 2 || leads),
        };
        if !is_more {
            break;
        }
        words = if is_given(bare) { 2 } else { words + 1 };
        quoted ^= bare.matches('"').count() % 2 == 1;
        after_flag = bare.starts_with("--") && !bare.contains('=');
        if ends && !quoted {
            return end + bare.len();
        }
        end += token.len();
    }
    text.get(..end).unwrap_or_default().trim_end().len()
}

fn is_option(token: &str) -> bool {
    token.starts_with("--") || token.contains('|')
}

/// Whether a token is none of a command's own words: a flag, a name, what is to be filled in.
fn is_given(token: &str) -> bool {
    let has_figure = |it: u8| it.is_ascii_uppercase() || it.is_ascii_digit();
    is_option(token) || token.contains(['"', '=']) || token.bytes().any(has_figure)
}

/// A text with what nobody can see made visible; the writer escapes the rest.
pub(super) fn seen(text: &str) -> String {
    shown(text).into()
}

/// A text with its commands as ways.
pub(super) fn told(text: &str, links: Links<'_>) -> Markup {
    let text = seen(text);
    html! {
        @for piece in pieces(&text) {
            @match piece {
                Piece::Words(words) => (unbroken(words)),
                Piece::Command(line) => @match links(Named::Command(line)) {
                    Some(way) if way.to.is_empty() => (way.deed),
                    Some(way) => a href=(way.to) { (way.deed) },
                    None => { (COMMAND) (line) }
                },
            }
        }
    }
}

/// A text in which no date, id, or figure with its unit breaks over a line.
pub(super) fn unbroken(text: &str) -> Markup {
    html! {
        @for (whole, run) in runs(text) {
            @if whole { span.w { (run) } } @else { (run) }
        }
    }
}

/// A text by runs, each with whether it must stay whole.
fn runs(text: &str) -> Vec<(bool, &str)> {
    let mut all: Vec<(bool, &str)> = Vec::new();
    let (mut at, mut loose) = (0, 0);
    while let Some(rest) = text.get(at..).filter(|it| !it.is_empty()) {
        let word = rest.split(' ').next().unwrap_or_default();
        let behind = rest.get(word.len()..).and_then(|it| it.strip_prefix(' '));
        let next = behind.and_then(|it| it.split(' ').next());
        let bare = word.trim_start_matches(['(', '`', '"']);
        let joins = next.is_some_and(|next| belongs(bare, next));
        let whole = match (joins, next) {
            (true, Some(next)) => word.len() + 1 + next.len(),
            _ if stays(bare) => word.len(),
            _ => 0,
        };
        if whole > 0 {
            let before = text.get(loose..at).unwrap_or_default();
            if !before.is_empty() {
                all.push((false, before));
            }
            all.push((true, text.get(at..at + whole).unwrap_or_default()));
            loose = at + whole;
            at = loose;
        } else {
            at += word.len();
        }
        // The blank after it.
        if text.get(at..).is_some_and(|it| it.starts_with(' ')) {
            at += 1;
        }
    }
    let last = text.get(loose..).unwrap_or_default();
    if !last.is_empty() {
        all.push((false, last));
    }
    all
}

/// Whether a word is one at whose hyphens a browser would break: a date, an id.
fn stays(word: &str) -> bool {
    let has_figure = word.bytes().any(|it| it.is_ascii_digit());
    has_figure && word.contains('-') && word.chars().count() <= LONGEST
}

/// Whether the next word belongs to this one: the unit of a figure, the hour of a day.
fn belongs(word: &str, next: &str) -> bool {
    let next = next.trim_end_matches([',', ';', ':', ')', '.', '`', '"']);
    let begins = word.trim_start_matches(['<', '>', '=', '+', '-', '~']);
    let is_figure = begins.starts_with(|it: char| it.is_ascii_digit())
        && begins.bytes().all(|it| it.is_ascii_digit() || it == b'.');
    let is_day = word.len() == 10 && word.bytes().filter(|it| *it == b'-').count() == 2;
    let is_hour = next.len() == 5 && next.as_bytes().get(2) == Some(&b':');
    (is_figure && UNITS.contains(&next)) || (is_day && stays(word) && is_hour)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_command_ends_where_its_sentence_goes_on() {
        for (text, commands) in [
            (
                "read it (wearbook badge read), and tell",
                vec!["badge read"],
            ),
            (
                "wearbook report answer E-6 defect yes|no --because WHY",
                vec!["report answer E-6 defect yes|no --because WHY"],
            ),
            (
                "one: wearbook evidence show ENTRY; its file: wearbook evidence save",
                vec!["evidence show ENTRY", "evidence save"],
            ),
            (
                "to check them too: wearbook ledger verify --full",
                vec!["ledger verify --full"],
            ),
            ("`wearbook report list` has its time.", vec!["report list"]),
            (
                "wearbook hold resolve ITEM --counts --reason WHY (who)",
                vec!["hold resolve ITEM --counts --reason WHY"],
            ),
            (
                "wearbook finding answer KEY --reason \"as found, twice\" then",
                vec!["finding answer KEY --reason \"as found, twice\""],
            ),
            (
                "wearbook work-status ID. Provisional doses",
                vec!["work-status ID"],
            ),
            ("no command", vec![]),
        ] {
            let all = pieces(text);
            let found: Vec<&str> = all
                .iter()
                .filter_map(|it| match it {
                    Piece::Command(line) => Some(*line),
                    Piece::Words(_) => None,
                })
                .collect();
            assert_eq!(found, commands, "{text}");
            let whole: String = all
                .iter()
                .map(|it| match it {
                    Piece::Command(line) => format!("{COMMAND}{line}"),
                    Piece::Words(words) => (*words).to_owned(),
                })
                .collect();
            assert_eq!(whole, text);
        }
    }

    #[test]
    fn dates_ids_and_figures_with_their_unit_stay_whole() {
        for (text, whole) in [
            (
                "due 2026-06-18 11:05 -05:00 (30 days)",
                vec!["2026-06-18 11:05", "-05:00"],
            ),
            (
                "B-2603-09 of W07, 92 mrem; 3 times",
                vec!["B-2603-09", "92 mrem;"],
            ),
            ("(5.8 mm) at 12 %", vec!["(5.8 mm)", "12 %"]),
            ("well-kept and words alone", vec![]),
            ("10 CFR 34.47(a)", vec![]),
        ] {
            let all = runs(text);
            let kept: Vec<&str> = all.iter().filter(|it| it.0).map(|it| it.1).collect();
            assert_eq!(kept, whole, "{text}");
            let again: String = all.iter().map(|it| it.1).collect();
            assert_eq!(again, text);
        }
    }
}
