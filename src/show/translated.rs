//! A page of our own writing in the other language of crews: each text that the table of words has.

use std::path::Path;

use maud::html;

use crate::file::has_mark;
use crate::text::Language;

/// The attributes whose values are read by somebody.
const READ: &[&str] = &[" aria-label=\"", " data-title=\""];

/// What the HTML standard gives to an element whose words are nobody's to translate: what somebody
/// typed, such as a name, whatever word of ours it is.
const AS_TYPED: &str = " translate=\"no\"";

/// Whether a file is a page with this title, in either language.
pub(super) fn has_title(path: &Path, title: &str) -> bool {
    let all = [Language::English, Language::Spanish];
    let marks = all.map(|it| format!("<title>{}</title>", it.say(title)));
    marks.iter().any(|it| has_mark(path, it.as_bytes()))
}

/// A page of our own writing in a language. What stands in an element that is marked as English or
/// as not to be translated, and what the table does not have (figures, citations), stays.
#[must_use]
pub fn translated(language: Language, page: String) -> String {
    if language == Language::English {
        return page;
    }
    let html = format!("<html lang=\"{}\">", language.tag());
    let page = page.replacen("<html lang=\"en\">", &html, 1);
    let mut out = String::with_capacity(page.len());
    let mut rest = page.as_str();
    // How many elements are open inside one that is marked, and that is one of them.
    let mut english = 0_usize;
    let mut run = Run::default();
    while let Some((text, tag, behind)) = next(rest) {
        rest = behind;
        run.text(text);
        if english == 0 && run.holds(tag) {
            continue;
        }
        match english {
            0 => out.push_str(&run.said(language)),
            _ => out.push_str(&run.written()),
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
            0 => out.push_str(&with_attributes(language, tag)),
            _ => out.push_str(tag),
        }
    }
    out.push_str(&run.written());
    out.push_str(rest);
    out
}

/// What keeps a figure and its unit on one line; inside a text it is no end of it.
const UNBROKEN: &str = "<span class=\"w\">";

/// One piece of a text.
enum Piece {
    Text(String),
    /// A tag that is left out where the whole is said.
    Tag(String),
    /// An element with words that somebody typed: a value of the text, whatever it is.
    Typed(String),
}

/// A text with what is kept together in it.
#[derive(Default)]
struct Run {
    pieces: Vec<Piece>,
    is_inside: bool,
    /// How many elements are open in one whose words somebody typed, and that is one of them.
    typed: usize,
}

/// What stands for the typed element of a place in a text while the table is asked: a character of
/// the area that Unicode gives to nobody.
fn stand_in(at: usize) -> Option<char> {
    let at = u32::try_from(at).ok().filter(|it| *it < 0x1000)?;
    char::from_u32(0xE000 + at)
}

impl Run {
    fn text(&mut self, text: &str) {
        match self.pieces.last_mut() {
            Some(Piece::Typed(element)) if self.typed > 0 => element.push_str(text),
            _ if text.is_empty() => {}
            _ => self.pieces.push(Piece::Text(text.to_owned())),
        }
    }

    /// Takes a tag that ends no text; says whether it did.
    fn holds(&mut self, tag: &str) -> bool {
        let is_alone = tag.starts_with("<!") || is_void(tag);
        if self.typed > 0 {
            if let Some(Piece::Typed(element)) = self.pieces.last_mut() {
                element.push_str(tag);
            }
            match tag.starts_with("</") {
                true => self.typed -= 1,
                false => self.typed += usize::from(!is_alone),
            }
            return true;
        }
        if tag.contains(AS_TYPED) && !is_alone {
            self.pieces.push(Piece::Typed(tag.to_owned()));
            self.typed = 1;
            return true;
        }
        let holds = match self.is_inside {
            true => tag == "</span>",
            false => tag == UNBROKEN,
        };
        if holds {
            self.is_inside = !self.is_inside;
            self.pieces.push(Piece::Tag(tag.to_owned()));
        }
        holds
    }

    fn written(&self) -> String {
        let all = self.pieces.iter();
        all.map(|it| match it {
            Piece::Text(it) | Piece::Tag(it) | Piece::Typed(it) => it.as_str(),
        })
        .collect()
    }

    /// The whole in a language, else each of its pieces.
    fn said(&self, language: Language) -> String {
        let mut words = String::new();
        let mut typed = Vec::new();
        for it in &self.pieces {
            match it {
                Piece::Text(text) => words.push_str(text),
                Piece::Tag(_) => {}
                Piece::Typed(element) => {
                    if let Some(stands) = stand_in(typed.len()) {
                        words.push(stands);
                        typed.push((stands, element));
                    }
                }
            }
        }
        if let Some(said) = said(language, &words) {
            let with = |said: String, (stands, element): &(char, &String)| {
                said.replacen(*stands, element, 1)
            };
            return typed.iter().fold(said, with);
        }
        let all = self.pieces.iter();
        all.map(|it| match it {
            Piece::Text(text) => said(language, text).unwrap_or_else(|| text.clone()),
            Piece::Tag(it) | Piece::Typed(it) => it.clone(),
        })
        .collect()
    }
}

/// The text before the next tag, the tag, and what comes behind it.
fn next(page: &str) -> Option<(&str, &str, &str)> {
    let (text, from) = page.split_at(page.find('<')?);
    let (tag, behind) = from.split_at(from.find('>')? + 1);
    Some((text, tag, behind))
}

/// Elements without an end, by the HTML standard; and those of a drawing that are written without.
const VOID: &[&str] = &[
    "area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track",
    "wbr",
];

fn is_void(tag: &str) -> bool {
    let name = tag.trim_start_matches('<');
    let name = name.split([' ', '>', '/']).next().unwrap_or_default();
    VOID.contains(&name) || tag.ends_with("/>")
}

fn with_attributes(language: Language, tag: &str) -> String {
    let mut tag = tag.to_owned();
    for read in READ {
        let Some((before, value)) = tag.split_once(read) else {
            continue;
        };
        let Some((value, behind)) = value.split_once('"') else {
            continue;
        };
        let value = said(language, value).unwrap_or_else(|| value.to_owned());
        tag = format!("{before}{read}{value}\"{behind}");
    }
    tag
}

/// A text with the blanks around it; nothing where the table does not have it.
fn said(language: Language, text: &str) -> Option<String> {
    let bare = text.trim();
    let plain = bare
        .replace("&quot;", "\"")
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&amp;", "&");
    let words = language.other(&plain).filter(|_| !bare.is_empty())?;
    Some(text.replacen(bare, &html! { (words) }.into_string(), 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spanish(page: &str) -> String {
        translated(Language::Spanish, page.to_owned())
    }

    #[test]
    fn a_text_is_said_in_spanish_and_what_is_marked_as_english_or_unknown_stays() {
        let page = concat!(
            "<html lang=\"en\"><head></head><p> Put on record </p>",
            "<div lang=\"en\"><svg><rect></rect></svg><p>Put on record<br>x</p></div>",
            "<p>not above <span class=\"w\">200 mR/h</span></p>",
            "<b aria-label=\"Pages\">CU-2</b><i>Today</i>",
        );
        let shown = spanish(page);
        assert!(shown.starts_with("<html lang=\"es\">"), "{shown}");
        assert!(shown.contains("<p> Poner en el registro </p>"), "{shown}");
        assert!(shown.contains("<p>Put on record<br>x</p>"), "{shown}");
        assert!(
            shown.contains("<b aria-label=\"Páginas\">CU-2</b>"),
            "{shown}"
        );
        assert!(shown.contains("<i>Hoy</i>"), "{shown}");
        assert!(shown.contains("<p>no más de 200 mR/h</p>"), "{shown}");
        assert_eq!(translated(Language::English, page.to_owned()), page);
    }

    #[test]
    fn what_somebody_typed_stays_whatever_word_it_is_and_the_text_around_it_is_said() {
        for (english, wanted) in [
            (
                "<b translate=\"no\" aria-label=\"Pages\">Today</b>",
                "<b translate=\"no\" aria-label=\"Pages\">Today</b>",
            ),
            (
                "<p>Morning check of <b translate=\"no\">Board</b></p>",
                "<p>Revisión diaria de <b translate=\"no\">Board</b></p>",
            ),
            (
                "<td>Today<i translate=\"no\">Good <b>good</b><br></i>Board</td>",
                "<td>Hoy<i translate=\"no\">Good <b>good</b><br></i>Tablero</td>",
            ),
            (
                "<option translate=\"no\">day</option><option>day</option>",
                "<option translate=\"no\">day</option><option>día</option>",
            ),
            (
                "<div lang=\"en\"><b translate=\"no\">day</b></div><b>day</b>",
                "<div lang=\"en\"><b translate=\"no\">day</b></div><b>día</b>",
            ),
            // What could be taken for a place of another is a text of its own.
            (
                "<p>Morning check of <b translate=\"no\">\u{e000}</b></p>",
                "<p>Revisión diaria de <b translate=\"no\">\u{e000}</b></p>",
            ),
        ] {
            assert_eq!(spanish(&format!("{english}<hr>")), format!("{wanted}<hr>"));
        }
    }
}
