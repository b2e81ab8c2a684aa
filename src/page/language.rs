//! The crew's pages in the two languages of crews: which one somebody reads, and a page in it. What
//! the records, the rules and the office say stays as it was written.

use std::collections::HashMap;
use std::sync::LazyLock;

use axum::http::HeaderMap;
use axum::http::header::COOKIE;
use maud::{Markup, PreEscaped, html};

use super::spanish_stops::{CALL, OTHERS, STOPS};
use crate::rule::{CheckKey, Finding, Severity};

/// A language of crews.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Language {
    /// The language in which the program is written.
    #[default]
    English,
    /// As it is spoken in the trade in the United States.
    Spanish,
}

/// The cookie of whoever chose a language: it names no session.
const COOKIE_NAME: &str = "wearbook-language";

/// The pages that a crew has in both; the others are the office's.
const BOTH: &[&str] = &[
    "", "sign-in", "who", "start", "sheet", "check", "wrong", "paper", "photo", "scan", "away",
    "item", "badge", "pin",
];

/// The way to the other language, on each page of the crew.
const TO_SPANISH: &str = r#"<a href="/language/es" lang="es">Español</a>"#;
const TO_ENGLISH: &str = r#"<a href="/language/en" lang="en">English</a>"#;

impl Language {
    /// That of a request.
    pub fn of(headers: &HeaderMap) -> Language {
        let all = headers.get_all(COOKIE).iter();
        let mut pairs = all
            .filter_map(|it| it.to_str().ok())
            .flat_map(|it| it.split(';'))
            .filter_map(|it| it.trim().split_once('='));
        match pairs.find(|it| it.0 == COOKIE_NAME) {
            Some((_, "es")) => Language::Spanish,
            _ => Language::English,
        }
    }

    /// What makes a browser keep a language, by its word; nothing where there is no such word. It
    /// lasts a year, and says nothing of anybody.
    pub fn kept(word: &str) -> Option<String> {
        matches!(word, "en" | "es").then(|| {
            format!("{COOKIE_NAME}={word}; HttpOnly; SameSite=Lax; Path=/; Max-Age=31536000")
        })
    }

    /// A page of an address in this language; the office's pages stay as they are.
    pub fn page(self, address: &[&str], page: Markup) -> Markup {
        let first = address.first().copied().unwrap_or_default();
        match self {
            Language::Spanish if BOTH.contains(&first) => {
                PreEscaped(translated(&page.into_string()))
            }
            _ => page,
        }
    }

    /// What stops somebody or has to be done, said in this language above the findings themselves;
    /// nothing in the language in which they are written.
    pub fn stops<'a>(self, found: impl IntoIterator<Item = &'a Finding>) -> Markup {
        if self == Language::English {
            return html! {};
        }
        let mut told: Vec<(Severity, &str, &str)> = Vec::new();
        for it in found
            .into_iter()
            .filter(|it| it.severity != Severity::Watch)
        {
            let one = (it.severity, it.subject.as_str(), stop_words(&it.check));
            if !told.contains(&one) {
                told.push(one);
            }
        }
        let of = |severity: Severity| told.iter().filter(move |it| it.0 == severity);
        html! {
            @for (severity, class, word) in [
                (Severity::Stop, "stop", "ALTO"), (Severity::Act, "act", "HAGA"),
            ] {
                @if of(severity).next().is_some() {
                    div class=(class) lang="es" {
                        @for (_, subject, words) in of(severity) {
                            p { span.word { (word) } " " b { (subject) } ": " (words) }
                        }
                        p { (CALL) }
                    }
                }
            }
        }
    }
}

/// What a finding's check means and what to do, in Spanish.
fn stop_words(check: &str) -> &'static str {
    let key = CheckKey::of(check);
    let found = STOPS.iter().find(|it| Some(it.0) == key);
    found.map_or(OTHERS, |it| it.1)
}

/// The way to the other language, for a page of the crew.
pub(super) fn other() -> Markup {
    PreEscaped(TO_SPANISH.to_owned())
}

/// Every word of the crew's pages and their script: as the program writes it, in Spanish as the
/// trade in the United States speaks it, and `unsure` where a crew that speaks it has yet to say
/// that the term is theirs; `script` where the page's script says it. `{}` stands for what is
/// filled in.
const TABLE: &str = include_str!("spanish.csv");

/// The table's words, those with something filled in, and those of the script.
struct Words {
    whole: HashMap<String, String>,
    filled: Vec<(String, String)>,
    of_script: String,
}

/// English, Spanish, how sure the term is, and who says it.
type Row = (String, String, String, String);

static SPANISH: LazyLock<Words> = LazyLock::new(|| {
    let mut rows = csv::Reader::from_reader(TABLE.as_bytes());
    let rows: Vec<Row> = rows.deserialize().filter_map(Result::ok).collect();
    let of_script = rows.iter().filter(|it| it.3 == "script");
    let of_script: HashMap<&String, &String> = of_script.map(|it| (&it.0, &it.1)).collect();
    let of_script = serde_json::to_string(&of_script).unwrap_or_default();
    let pairs = rows.into_iter().map(|it| (it.0, it.1));
    let (filled, whole): (Vec<_>, Vec<_>) = pairs.partition(|it| it.0.contains(HOLE));
    Words {
        whole: whole.into_iter().collect(),
        filled,
        of_script,
    }
});

/// What stands for something that is filled in.
const HOLE: &str = "{}";

impl Words {
    /// A text in Spanish; nothing where the table does not have it.
    fn say(&self, text: &str) -> Option<String> {
        let filled = || {
            let mut all = self.filled.iter();
            all.find_map(|(english, spanish)| {
                let values = filled_in(english, text)?;
                // What is filled in may be a word of the table itself.
                let said = values
                    .iter()
                    .map(|it| self.say(it).unwrap_or((*it).to_owned()));
                Some(said.fold(spanish.clone(), |words, it| words.replacen(HOLE, &it, 1)))
            })
        };
        self.whole.get(text).cloned().or_else(filled)
    }
}

/// What stands in a text where a pattern has its holes.
fn filled_in<'t>(pattern: &str, text: &'t str) -> Option<Vec<&'t str>> {
    let mut parts = pattern.split(HOLE);
    let mut rest = text.strip_prefix(parts.next()?)?;
    let mut values = Vec::new();
    let mut parts = parts.peekable();
    while let Some(part) = parts.next() {
        let at = match (parts.peek(), part) {
            (None, "") => rest.len(),
            (None, last) => rest
                .len()
                .checked_sub(last.len())
                .filter(|_| rest.ends_with(last))?,
            (Some(_), part) => rest.find(part)?,
        };
        let (value, behind) = rest.split_at(at);
        if value.is_empty() {
            return None;
        }
        values.push(value);
        rest = behind.strip_prefix(part)?;
    }
    Some(values)
}

/// The attributes whose values are read by somebody.
const READ: &[&str] = &[" aria-label=\"", " data-title=\""];

/// A page of our own writing with each text that the table has in Spanish. What stands in an
/// element that is marked as English, and what the table does not have (names, ids, figures),
/// stays.
fn translated(page: &str) -> String {
    let page = page.replacen("<html lang=\"en\">", "<html lang=\"es\">", 1);
    let words = html! { meta name="words" content=(SPANISH.of_script); }.into_string();
    let page = page.replacen("</head>", &format!("{words}</head>"), 1);
    let page = page.replacen(TO_SPANISH, TO_ENGLISH, 1);
    let mut out = String::with_capacity(page.len());
    let mut rest = page.as_str();
    // How many elements are open inside one that is marked as English, and that is one of them.
    let mut english = 0_usize;
    let mut run = Run::default();
    while let Some((text, tag, behind)) = next(rest) {
        rest = behind;
        run.text(text);
        if run.holds(tag) {
            continue;
        }
        match english {
            0 => out.push_str(&run.in_spanish()),
            _ => out.push_str(&run.written),
        }
        run = Run::default();
        let closes = tag.starts_with("</");
        let is_alone = tag.starts_with("<!") || is_void(tag);
        match (english, closes) {
            (0, false) if tag.contains(" lang=\"en\"") && !is_alone => english = 1,
            (0, _) => {}
            (_, true) => english -= 1,
            (_, false) if !is_alone => english += 1,
            _ => {}
        }
        match english {
            0 => out.push_str(&with_attributes(tag)),
            _ => out.push_str(tag),
        }
    }
    out.push_str(&run.written);
    out.push_str(rest);
    out
}

/// What keeps a figure and its unit on one line; inside a text it is no end of it.
const UNBROKEN: &str = "<span class=\"w\">";

/// A text with what is kept together in it.
#[derive(Default)]
struct Run {
    /// As the page has it.
    written: String,
    /// Without the spans.
    words: String,
    is_inside: bool,
}

impl Run {
    fn text(&mut self, text: &str) {
        self.written.push_str(text);
        self.words.push_str(text);
    }

    /// Takes a tag that ends no text; says whether it did.
    fn holds(&mut self, tag: &str) -> bool {
        let holds = match self.is_inside {
            true => tag == "</span>",
            false => tag == UNBROKEN,
        };
        if holds {
            self.is_inside = !self.is_inside;
            self.written.push_str(tag);
        }
        holds
    }

    /// The whole in Spanish, else each of its pieces.
    fn in_spanish(&self) -> String {
        if self.words == self.written {
            return in_spanish(&self.words);
        }
        match said(&self.words) {
            Some(words) => words,
            None => {
                let pieces = self.written.split_inclusive('>').map(|it| {
                    let at = it.find('<').unwrap_or(it.len());
                    let (text, tag) = it.split_at(at);
                    format!("{}{tag}", in_spanish(text))
                });
                pieces.collect()
            }
        }
    }
}

/// The text before the next tag, the tag, and what comes behind it.
fn next(page: &str) -> Option<(&str, &str, &str)> {
    let (text, from) = page.split_at(page.find('<')?);
    let (tag, behind) = from.split_at(from.find('>')? + 1);
    Some((text, tag, behind))
}

/// Elements without an end, by the HTML standard.
const VOID: &[&str] = &[
    "area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track",
    "wbr",
];

fn is_void(tag: &str) -> bool {
    let name = tag.trim_start_matches('<');
    let name = name.split([' ', '>', '/']).next().unwrap_or_default();
    VOID.contains(&name)
}

fn with_attributes(tag: &str) -> String {
    let mut tag = tag.to_owned();
    for read in READ {
        let Some((before, value)) = tag.split_once(read) else {
            continue;
        };
        let Some((value, behind)) = value.split_once('"') else {
            continue;
        };
        tag = format!("{before}{read}{}\"{behind}", in_spanish(value));
    }
    tag
}

/// A text in Spanish, with the blanks around it.
fn in_spanish(text: &str) -> String {
    said(text).unwrap_or_else(|| text.to_owned())
}

/// The same; nothing where the table does not have it.
fn said(text: &str) -> Option<String> {
    let bare = text.trim();
    let plain = bare
        .replace("&quot;", "\"")
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&amp;", "&");
    let words = SPANISH.say(&plain).filter(|_| !bare.is_empty())?;
    Some(text.replacen(bare, &html! { (words) }.into_string(), 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_filled_in_stays_as_it_is() {
        for (pattern, text, wanted) in [
            ("left: {}", "left: 12 mrem", Some(vec!["12 mrem"])),
            ("left: {}", "left: ", None),
            ("from {} to {}.", "from 1 to 2.", Some(vec!["1", "2"])),
            ("from {} to {}.", "from 1 to 2", None),
            ("{}, other", "Ada, other", Some(vec!["Ada"])),
            ("{}, other", "Ada, others", None),
        ] {
            assert_eq!(filled_in(pattern, text), wanted, "{pattern}: {text}");
        }
    }

    #[test]
    fn a_text_is_said_in_spanish_and_what_is_marked_as_english_or_unknown_stays() {
        let page = concat!(
            "<html lang=\"en\"><head></head><p> Put on record </p>",
            "<div lang=\"en\"><svg><rect></rect></svg><p>Put on record<br>x</p></div>",
            "<p>not above <span class=\"w\">200 mR/h</span></p>",
            "<b aria-label=\"Pages\">CU-2</b><i>Today</i>",
        );
        let shown = translated(page);
        assert!(shown.starts_with("<html lang=\"es\">"), "{shown}");
        assert!(shown.contains("<p> Poner en el registro </p>"), "{shown}");
        assert!(shown.contains("<p>Put on record<br>x</p>"), "{shown}");
        assert!(
            shown.contains("<b aria-label=\"Páginas\">CU-2</b>"),
            "{shown}"
        );
        assert!(shown.contains("<i>Hoy</i>"), "{shown}");
        assert!(shown.contains("<p>no más de 200 mR/h</p>"), "{shown}");
    }

    /// Both columns have every word once, and no word of Spanish is the English one by mistake.
    #[test]
    fn each_word_stands_once_with_both_columns() {
        let mut seen = std::collections::HashSet::new();
        let mut rows = csv::Reader::from_reader(TABLE.as_bytes());
        for row in rows.deserialize() {
            let (english, spanish, term, of): Row = row.expect("four columns");
            assert!(["", "unsure"].contains(&&*term), "{english}: {term}");
            assert!(["", "script"].contains(&&*of), "{english}: {of}");
            let has_words = english.chars().any(char::is_alphabetic);
            assert!(
                !spanish.is_empty() && (spanish != english) == has_words,
                "{english}"
            );
            assert_eq!((english.trim(), spanish.trim()), (&*english, &*spanish));
            let ends = |it: &str| it.chars().next_back().filter(|it| ".:?!(".contains(*it));
            assert_eq!(ends(&english), ends(&spanish), "{english}: {spanish}");
            let holes = |it: &str| it.matches(HOLE).count();
            assert_eq!(holes(&english), holes(&spanish), "{english}: {spanish}");
            assert!(seen.insert(english), "a word that stands twice");
        }
        assert!(seen.len() > 250);
    }

    /// What the script says stands in it as one text, or broken over lines.
    #[test]
    fn the_script_says_nothing_that_the_table_does_not_have() {
        let script = concat!(
            include_str!("page.js"),
            include_str!("live.js"),
            include_str!("scan.js")
        );
        let script: Vec<&str> = script.lines().map(str::trim).collect();
        let script = script.join(" ").replace("\" + \"", "");
        let said = script.split("say(").skip(1);
        let said = said.filter_map(|it| it.trim_start().strip_prefix('"')?.split('"').next());
        let said: Vec<&str> = said.collect();
        assert!(said.len() > 20, "{said:?}");
        for words in said {
            assert!(
                SPANISH.of_script.contains(&format!("\"{words}\":")),
                "{words}"
            );
        }
    }

    #[test]
    fn every_check_that_a_crew_meets_has_its_own_sentence() {
        use crate::rule::Section;
        for key in CheckKey::ALL {
            let of_crew = matches!(
                key.section(),
                Section::OpenDoses | Section::Daily | Section::Levels | Section::Sheets
            );
            let there = STOPS.iter().filter(|it| it.0 == *key).count();
            assert!(there <= 1, "{}", key.key());
            assert!(there == 1 || !of_crew, "{} has no sentence", key.key());
        }
    }
}
