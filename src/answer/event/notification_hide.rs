//! Puts what a report calls people in the place of their ids and names, and nothing else in the
//! place of anything else: an id that may be an ordinary word, a number or a thing is left and
//! told, so that somebody looks.

use std::collections::BTreeSet;

use crate::answer::context::load::House;

/// Before a number they say that it is somebody's.
const BEFORE_A_NUMBER: &[&str] = &["worker ", "employee ", "radiographer ", "assistant ", "id "];

/// What is replaced by what.
#[derive(Debug, Clone, Default)]
pub(crate) struct Hide {
    /// Whole names and ids with a figure in them, in capitals or not.
    words: Vec<(String, String)>,
    /// Parts of names and ids of letters, only as they are written: `Long` is somebody, `long` is
    /// not.
    parts: Vec<(String, String)>,
    /// Ids of figures alone.
    numbers: Vec<(String, String)>,
    /// Ids that may be ordinary words or things.
    doubtful: Vec<String>,
}

impl Hide {
    pub fn new(house: &House, called: &[Called]) -> Hide {
        let mut hide = Hide::default();
        let is_thing = |id: &str| {
            let items = house
                .names
                .items()
                .into_iter()
                .map(|it| house.names.label(it));
            let jobs = house.names.job_ids();
            items.chain(jobs).any(|it| it.eq_ignore_ascii_case(id))
        };
        for it in called {
            match &it.name {
                Some(name) => {
                    hide.name(name, &it.called);
                    hide.id(&it.label, &it.called, is_thing(&it.label));
                }
                None => hide.name(&it.label, &it.called),
            }
        }
        // People who had no part in it are nobody's business either.
        for (_, worker) in house.names.workers() {
            if called.iter().any(|it| it.label == worker.id) {
                continue;
            }
            hide.name(&worker.name, "another employee");
            hide.id(&worker.id, "another employee", is_thing(&worker.id));
        }
        hide
    }

    /// A name: whole in any case, its parts as they are written.
    fn name(&mut self, name: &str, called: &str) {
        self.words.push((name.to_owned(), called.to_owned()));
        let joins = |c: char| c.is_alphanumeric() || c == '-' || c == '\'';
        let parts = name.split(|c: char| !joins(c));
        let is_name = |it: &&str| it.len() > 2 && *it != name && it.starts_with(char::is_uppercase);
        for part in parts.filter(is_name) {
            self.part(part, called);
        }
        self.order();
    }

    fn part(&mut self, part: &str, called: &str) {
        match self.parts.iter_mut().find(|it| it.0 == part) {
            // A name of two people is neither's.
            Some(known) if known.1 != called => known.1 = "somebody".to_owned(),
            Some(_) => {}
            None => self.parts.push((part.to_owned(), called.to_owned())),
        }
    }

    /// An id: with figures among its letters in any case; of capitals alone as it is written.
    fn id(&mut self, id: &str, called: &str, is_thing: bool) {
        let has = |is: fn(char) -> bool| id.chars().any(is);
        let (letters, figures) = (has(char::is_alphabetic), has(char::is_numeric));
        let pair = (id.to_owned(), called.to_owned());
        match (letters, figures) {
            _ if is_thing => self.doubtful.push(id.to_owned()),
            (false, _) => self.numbers.push(pair),
            (true, true) => self.words.push(pair),
            (true, false) if has(char::is_lowercase) || id.chars().count() < 2 => {
                self.doubtful.push(id.to_owned());
            }
            (true, false) => self.part(id, called),
        }
        self.order();
    }

    /// The longest first, so that no part of a name is taken for another.
    fn order(&mut self) {
        for all in [&mut self.words, &mut self.parts, &mut self.numbers] {
            all.sort_by_key(|it| std::cmp::Reverse(it.0.len()));
        }
    }

    /// What stands for somebody at the start of a text, and what follows it; `before` is what
    /// stands before it.
    fn at<'a>(&self, before: &str, text: &'a str) -> Option<(&str, &'a str)> {
        let whole = self
            .words
            .iter()
            .filter_map(|(word, called)| Some((called.as_str(), strip_any_case(text, word)?)));
        let parts = self.parts.iter().filter_map(|(word, called)| {
            Some((called.as_str(), text.strip_prefix(word.as_str())?))
        });
        let lower = before.to_lowercase();
        let said = BEFORE_A_NUMBER.iter().any(|it| lower.ends_with(it)) || lower.ends_with('#');
        let numbers = self
            .numbers
            .iter()
            .filter(|_| said)
            .filter_map(|(word, called)| {
                Some((called.as_str(), text.strip_prefix(word.as_str())?))
            });
        whole
            .chain(parts)
            .chain(numbers)
            .find(|(_, after)| self.ends(after))
    }

    /// Whether an id that stands before this is whole: `W1` is no part of `W1-2`, but both people
    /// of `W1-W2` are named.
    fn ends(&self, after: &str) -> bool {
        let mut signs = after.chars();
        match (signs.next(), signs.next()) {
            (Some(sign), _) if sign.is_alphanumeric() => false,
            (Some('-' | '_'), Some(next)) if next.is_alphanumeric() => {
                let rest = after.get(1..).unwrap_or_default();
                self.at("", rest).is_some()
            }
            _ => true,
        }
    }

    pub fn from(&self, text: &str) -> String {
        let mut out = String::new();
        let mut rest = text;
        let mut inside = false;
        while let Some(next) = rest.chars().next() {
            let before = text.get(..text.len() - rest.len()).unwrap_or_default();
            match self.at(before, rest).filter(|_| !inside) {
                Some((called, after)) => {
                    out.push_str(called);
                    rest = after;
                    // What is joined to somebody may be somebody else.
                    if let Some(joined) = rest.strip_prefix(['-', '_'])
                        && self.at("", joined).is_some()
                    {
                        out.push('-');
                        rest = joined;
                    }
                }
                None => {
                    out.push(next);
                    rest = rest.get(next.len_utf8()..).unwrap_or_default();
                    inside = next.is_alphanumeric() || (inside && matches!(next, '-' | '_'));
                }
            }
        }
        out
    }

    /// Doubtful ids that stand in some texts as words of their own.
    pub fn unsure<'a>(&self, texts: impl Iterator<Item = &'a String>) -> Vec<String> {
        let mut found = BTreeSet::new();
        for text in texts {
            let joins = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_');
            for word in text.split(|c: char| !joins(c)) {
                if self.doubtful.iter().any(|it| it == word) {
                    found.insert(word.to_owned());
                }
            }
        }
        found.into_iter().collect()
    }
}

/// What follows a word at the start of a text, in capitals or not.
fn strip_any_case<'a>(text: &'a str, word: &str) -> Option<&'a str> {
    if word.is_empty() {
        return None;
    }
    let head = text.get(..word.len())?;
    let same = head.eq_ignore_ascii_case(word);
    same.then(|| text.get(word.len()..)).flatten()
}

/// Somebody as a report calls the person.
#[derive(Debug, Clone)]
pub(crate) struct Called {
    pub called: String,
    pub label: String,
    pub name: Option<String>,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(hide: &Hide, rows: &[(&str, &str)]) {
        for (text, wanted) in rows {
            assert_eq!(hide.from(text), *wanted, "{text}");
        }
    }

    #[test]
    fn names_and_ids_become_letters_and_parts_of_words_stay() {
        let mut hide = Hide::default();
        hide.id("W07", "radiographer A", false);
        hide.name("Ann Lee", "radiographer A");
        hide.name("Ann", "person B");
        check(
            &hide,
            &[
                ("W07 cranked", "radiographer A cranked"),
                ("seen by w07.", "seen by radiographer A."),
                ("W070 and xW07 stay", "W070 and xW07 stay"),
                ("Ann Lee told Ann", "radiographer A told person B"),
                ("Annual check, é W07", "Annual check, é radiographer A"),
            ],
        );
    }

    #[test]
    fn a_part_of_a_name_is_somebody_only_as_it_is_written() {
        let mut hide = Hide::default();
        hide.name("Adaeze Long", "radiographer A");
        hide.name("Long-Smith, Jo", "assistant B");
        hide.name("Ben Adaeze", "another employee");
        check(
            &hide,
            &[
                ("Long cranked it in", "radiographer A cranked it in"),
                ("with the long tongs", "with the long tongs"),
                ("Longer than usual", "Longer than usual"),
                ("A. Long's hand", "A. radiographer A's hand"),
                ("ADAEZE LONG left", "radiographer A left"),
                ("Long-Smith saw it", "assistant B saw it"),
                ("told Adaeze", "told somebody"),
            ],
        );
    }

    /// By id: what it masks, and what looks like it and is not.
    #[test]
    fn an_id_never_turns_what_is_not_somebody_into_nonsense() {
        let mut hide = Hide::default();
        hide.id("W1", "radiographer A", false);
        hide.id("W2", "assistant B", false);
        hide.id("lead", "another employee", false);
        hide.id("Will", "another employee", false);
        hide.id("A", "another employee", false);
        hide.id("JB", "trainee C", false);
        hide.id("7", "person D", false);
        hide.id("D-1", "another employee", true);
        check(
            &hide,
            &[
                ("W1-2 is a weld", "W1-2 is a weld"),
                ("bay 3-W1 was wet", "bay 3-W1 was wet"),
                ("W1_a.jpg", "W1_a.jpg"),
                (
                    "W1/W2, (W1)",
                    "radiographer A/assistant B, (radiographer A)",
                ),
                ("W1-W2 carried it", "radiographer A-assistant B carried it"),
                ("W1's hand; W1.", "radiographer A's hand; radiographer A."),
                ("lead shot, a lead apron", "lead shot, a lead apron"),
                ("Will it hold?", "Will it hold?"),
                ("A crank", "A crank"),
                ("JB saw the jb weld", "trainee C saw the jb weld"),
                ("7 mrem after 17 min", "7 mrem after 17 min"),
                ("worker 7 and #7", "worker person D and #person D"),
                ("D-1 stuck", "D-1 stuck"),
            ],
        );
        let texts = ["a lead apron".to_owned(), "D-1 stuck, D-10 not".to_owned()];
        assert_eq!(hide.unsure(texts.iter()), ["D-1", "lead"]);
    }
}
