//! The two languages of crews, and the one table of every word that a crew reads: on pages, at
//! prompts, on forms and labels.

use std::collections::HashMap;
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

/// A language of crews.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default, Serialize, Deserialize,
)]
pub enum Language {
    /// The language in which the program is written.
    #[default]
    #[serde(rename = "en")]
    English,
    /// As it is spoken in the trade in the United States.
    #[serde(rename = "es")]
    Spanish,
}

impl Language {
    /// Its word by BCP 47, as a page and a record have it.
    #[must_use]
    pub fn tag(self) -> &'static str {
        match self {
            Language::English => "en",
            Language::Spanish => "es",
        }
    }

    /// The language of a tag.
    #[must_use]
    pub fn of_tag(tag: &str) -> Option<Language> {
        let all = [Language::English, Language::Spanish];
        all.into_iter().find(|it| it.tag() == tag)
    }

    /// A text as the table has it in this language, else as it is. What is filled in stays.
    #[must_use]
    pub fn say(self, text: &str) -> String {
        self.other(text).unwrap_or_else(|| text.to_owned())
    }

    /// A text in another language than the one in which the program is written; nothing in that
    /// one, and where the table does not have it.
    #[must_use]
    pub fn other(self, text: &str) -> Option<String> {
        match self {
            Language::English => None,
            Language::Spanish => SPANISH.say(text),
        }
    }

    /// What was typed in this language for a question of yes and no, or for readings, in the words
    /// that the program reads.
    #[must_use]
    pub fn typed(self, text: &str) -> String {
        if self == Language::English {
            return text.to_owned();
        }
        let words = text.split(' ').map(|it| match it.to_lowercase().as_str() {
            "s" | "si" | "sí" => "y",
            "fuera" => "off",
            _ => it,
        });
        words.collect::<Vec<_>>().join(" ")
    }

    /// A text of the table with its holes filled in this order. What is filled in stays as it is,
    /// whatever word it is.
    #[must_use]
    pub fn fill(self, text: &str, values: &[&str]) -> String {
        let known = (self == Language::Spanish).then(|| SPANISH.filled(text));
        filled(known.flatten().unwrap_or(text), values)
    }
}

/// Every word that a crew reads: as the program writes it, in Spanish as the trade in the United
/// States speaks it, and `unsure` where a crew that speaks it has yet to say that the term is
/// theirs; `script` where the page's script says it, `fill` where the program fills it in by
/// itself. `{}` stands for what is filled in and stays as it is, `{word}` for what is a text of the
/// table itself.
pub const TABLE_OF_WORDS: &str = include_str!("spanish.csv");

/// The table's words, those with something filled in, and those of the script.
struct Words {
    whole: HashMap<String, String>,
    filled: Vec<(String, String)>,
    /// Those into which the program fills something by itself: nothing is looked for in them.
    of_fill: HashMap<String, String>,
    of_script: String,
}

/// English, Spanish, how sure the term is, and who says it.
type Row = (String, String, String, String);

static SPANISH: LazyLock<Words> = LazyLock::new(|| {
    let mut rows = csv::Reader::from_reader(TABLE_OF_WORDS.as_bytes());
    let rows: Vec<Row> = rows.deserialize().filter_map(Result::ok).collect();
    let of_script = rows.iter().filter(|it| it.3 == "script");
    let of_script: HashMap<&String, &String> = of_script.map(|it| (&it.0, &it.1)).collect();
    let of_script = serde_json::to_string(&of_script).unwrap_or_default();
    let (of_fill, rows): (Vec<_>, Vec<_>) = rows.into_iter().partition(|it| it.3 == "fill");
    let pairs = rows.into_iter().map(|it| (it.0, it.1));
    let (filled, whole): (Vec<_>, Vec<_>) = pairs.partition(|it| it.0.contains('{'));
    Words {
        whole: whole.into_iter().collect(),
        filled,
        of_fill: of_fill.into_iter().map(|it| (it.0, it.1)).collect(),
        of_script,
    }
});

/// The words of the page's script in Spanish, as JSON.
#[must_use]
pub fn words_of_script() -> &'static str {
    &SPANISH.of_script
}

impl Words {
    /// A text in Spanish; nothing where the table does not have it.
    fn say(&self, text: &str) -> Option<String> {
        let filled = || {
            let mut all = self.filled.iter();
            all.find_map(|(english, spanish)| {
                let values = filled_in(english, text)?;
                let said = values.iter().map(|(value, is_word)| match is_word {
                    true => self.say(value).unwrap_or((*value).to_owned()),
                    false => (*value).to_owned(),
                });
                let said: Vec<String> = said.collect();
                let said: Vec<&str> = said.iter().map(String::as_str).collect();
                Some(filled(spanish, &said))
            })
        };
        self.whole.get(text).cloned().or_else(filled)
    }

    /// The Spanish of a text with holes.
    fn filled(&self, text: &str) -> Option<&str> {
        let mut all = self.filled.iter();
        let found = all.find(|it| it.0 == text).map(|it| &it.1);
        let found = self.of_fill.get(text).or(found);
        found.or(self.whole.get(text)).map(String::as_str)
    }
}

/// The pieces of a text between its holes, each with whether the hole before it is a word.
fn pieces(pattern: &str) -> (&str, Vec<(bool, &str)>) {
    let mut all = pattern.split('{');
    let first = all.next().unwrap_or_default();
    let behind = all.filter_map(|it| {
        let (hole, text) = it.split_once('}')?;
        Some((hole == "word", text))
    });
    (first, behind.collect())
}

/// A text with its holes filled, in one pass, so that no value is taken for a hole.
fn filled(pattern: &str, values: &[&str]) -> String {
    let (first, behind) = pieces(pattern);
    let mut out = first.to_owned();
    let mut values = values.iter();
    for (_, text) in behind {
        out.push_str(values.next().copied().unwrap_or_default());
        out.push_str(text);
    }
    out
}

/// What stands in a text where a pattern has its holes, and whether it is a word of the table.
fn filled_in<'t>(pattern: &str, text: &'t str) -> Option<Vec<(&'t str, bool)>> {
    let (first, behind) = pieces(pattern);
    let mut rest = text.strip_prefix(first)?;
    let mut values = Vec::new();
    let mut behind = behind.into_iter().peekable();
    while let Some((is_word, part)) = behind.next() {
        let at = match (behind.peek(), part) {
            (None, "") => rest.len(),
            (None, last) => rest
                .len()
                .checked_sub(last.len())
                .filter(|_| rest.ends_with(last))?,
            (Some(_), part) => rest.find(part)?,
        };
        let (value, after) = rest.split_at(at);
        if value.is_empty() {
            return None;
        }
        values.push((value, is_word));
        rest = after.strip_prefix(part)?;
    }
    Some(values)
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOLE: &str = "{}";
    const WORD: &str = "{word}";

    #[test]
    fn what_is_filled_in_is_found_in_its_place() {
        for (pattern, text, wanted) in [
            ("left: {}", "left: 12 mrem", Some(vec![("12 mrem", false)])),
            ("left: {}", "left: ", None),
            (
                "from {} to {word}.",
                "from 1 to 2.",
                Some(vec![("1", false), ("2", true)]),
            ),
            ("from {} to {}.", "from 1 to 2", None),
            ("{}, other", "Ada, other", Some(vec![("Ada", false)])),
            ("{}, other", "Ada, others", None),
        ] {
            assert_eq!(filled_in(pattern, text), wanted, "{pattern}: {text}");
        }
    }

    /// A person may be called as the table calls something else, and a value may look like a hole.
    #[test]
    fn what_is_filled_in_stays_whatever_word_it_is() {
        let spanish = Language::Spanish;
        assert_eq!(
            spanish.say("Morning check of Board"),
            "Revisión diaria de Board"
        );
        assert_eq!(spanish.say("left: undetermined"), "queda: no determinada");
        assert_eq!(
            spanish.fill("Morning check of {}", &["{}"]),
            "Revisión diaria de {}"
        );
        assert_eq!(
            Language::English.fill("Morning check of {}", &["Board"]),
            "Morning check of Board"
        );
        assert_eq!(spanish.other("nothing of the table"), None);
    }

    /// Both columns have every word once, and no word of Spanish is the English one by mistake.
    #[test]
    fn each_word_stands_once_with_both_columns() {
        let mut seen = std::collections::HashSet::new();
        let mut rows = csv::Reader::from_reader(TABLE_OF_WORDS.as_bytes());
        for row in rows.deserialize() {
            let (english, spanish, term, of): Row = row.expect("four columns");
            assert!(
                ["", "unsure", "same"].contains(&&*term),
                "{english}: {term}"
            );
            assert!(["", "script", "fill"].contains(&&*of), "{english}: {of}");
            let has_words = english.replace(WORD, "").chars().any(char::is_alphabetic);
            assert!(!spanish.is_empty(), "{english}");
            // Such as `no`, which is the same in both.
            let differs = has_words && term != "same";
            assert_eq!(spanish != english, differs, "{english}");
            assert_eq!((english.trim(), spanish.trim()), (&*english, &*spanish));
            let ends = |it: &str| it.chars().next_back().filter(|it| ".:?!(".contains(*it));
            assert_eq!(ends(&english), ends(&spanish), "{english}: {spanish}");
            let holes = |it: &str| [it.matches(HOLE).count(), it.matches(WORD).count()];
            assert_eq!(holes(&english), holes(&spanish), "{english}: {spanish}");
            let braces = english.matches('{').count();
            assert_eq!(holes(&english).iter().sum::<usize>(), braces, "{english}");
            assert!(seen.insert(english), "a word that stands twice");
        }
        assert!(seen.len() > 250);
    }
}
