//! The language in which somebody reads the crew's pages, and which pages those are. What the
//! records, the rules and the office say stays as it was written.

use axum::http::HeaderMap;
use axum::http::header::COOKIE;
use maud::{Markup, PreEscaped, html};

use crate::rule::{Finding, Severity};
use crate::show::{said_of_stops, translated};
use crate::text::{Language, words_of_script};

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

/// The language that a browser chose; nothing where nobody chose one.
pub fn chosen(headers: &HeaderMap) -> Option<Language> {
    let all = headers.get_all(COOKIE).iter();
    let mut pairs = all
        .filter_map(|it| it.to_str().ok())
        .flat_map(|it| it.split(';'))
        .filter_map(|it| it.trim().split_once('='));
    let chosen = pairs.find(|it| it.0 == COOKIE_NAME)?;
    Language::of_tag(chosen.1)
}

/// What makes a browser keep a language, by its tag; nothing where there is no such one. It lasts a
/// year, and says nothing of anybody.
pub fn kept(tag: &str) -> Option<String> {
    Language::of_tag(tag)
        .map(|_| format!("{COOKIE_NAME}={tag}; HttpOnly; SameSite=Lax; Path=/; Max-Age=31536000"))
}

/// A page of an address in a language; the office's pages stay as they are.
pub fn page_in(language: Language, address: &[&str], page: Markup) -> Markup {
    let first = address.first().copied().unwrap_or_default();
    if language == Language::English || !BOTH.contains(&first) {
        return page;
    }
    let words = html! { meta name="words" content=(words_of_script()); }.into_string();
    let page = page.into_string();
    let page = page.replacen("</head>", &format!("{words}</head>"), 1);
    let page = page.replacen(TO_SPANISH, TO_ENGLISH, 1);
    PreEscaped(translated(language, page))
}

/// What stops somebody or has to be done, said in a language above the findings themselves; nothing
/// in the language in which they are written.
pub fn stops<'a>(language: Language, found: impl IntoIterator<Item = &'a Finding>) -> Markup {
    let Some(said) = said_of_stops(language, found) else {
        return html! {};
    };
    html! {
        @for one in &said.each {
            div class=(if one.severity == Severity::Stop { "stop" } else { "act" })
                lang=(language.tag()) {
                @for (subject, words) in &one.lines {
                    p {
                        span.word { (one.word) } " " b translate="no" { (subject) } ": " (words)
                    }
                }
                p { (said.close) }
            }
        }
    }
}

/// The way to the other language, for a page of the crew.
pub fn other() -> Markup {
    PreEscaped(TO_SPANISH.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the script says stands in it as one text, or broken over lines.
    #[test]
    fn the_script_says_nothing_that_the_table_does_not_have() {
        let script = concat!(
            include_str!("../page.js"),
            include_str!("../live.js"),
            include_str!("../scan.js")
        );
        let script: Vec<&str> = script.lines().map(str::trim).collect();
        let script = script.join(" ").replace("\" + \"", "");
        let said = script.split("say(").skip(1);
        let said = said.filter_map(|it| it.trim_start().strip_prefix('"')?.split('"').next());
        let said: Vec<&str> = said.collect();
        assert!(said.len() > 20, "{said:?}");
        for words in said {
            assert!(
                words_of_script().contains(&format!("\"{words}\":")),
                "{words}"
            );
        }
    }
}
