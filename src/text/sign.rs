//! Characters that nobody can see: refused in every text that is taken in, and printed as
//! `\u{202e}` where an older ledger holds them.
//!
//! They are Unicode's own classes: control (Cc), line and paragraph separator (Zl, Zp), format
//! (Cf) but for the few that are drawn, Default_Ignorable_Code_Point, and code points that are no
//! characters. A text that holds one can look like another text, or order its words anew on the
//! screen (Unicode Technical Reports 36 and 39).

use std::borrow::Cow;

/// Whether a text may have several lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lines {
    /// One line: ids, names, everything but notes.
    One,
    /// A note: line breaks and tabs are part of it.
    Many,
}

/// The first character of a text that may not stand there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unfit {
    /// The character.
    pub sign: char,
    /// Its place among the characters, from 1.
    pub place: usize,
}

/// Characters that nobody can see, besides controls and code points that are no characters: first
/// and last of each range.
const UNSEEN: [(u32, u32); 18] = [
    (0x00AD, 0x00AD),
    (0x034F, 0x034F),
    (0x061C, 0x061C),
    (0x115F, 0x1160),
    (0x17B4, 0x17B5),
    (0x180B, 0x180F),
    (0x200B, 0x200F),
    (0x2028, 0x202E),
    (0x2060, 0x206F),
    (0x3164, 0x3164),
    (0xFE00, 0xFE0F),
    (0xFEFF, 0xFEFF),
    (0xFFA0, 0xFFA0),
    (0xFFF0, 0xFFFB),
    (0x1_3430, 0x1_343F),
    (0x1_BCA0, 0x1_BCA3),
    (0x1_D173, 0x1_D17A),
    (0xE_0000, 0xE_0FFF),
];

/// Of them those that turn the direction of writing.
const DIRECTION: [(u32, u32); 4] = [
    (0x061C, 0x061C),
    (0x200E, 0x200F),
    (0x202A, 0x202E),
    (0x2066, 0x2069),
];

const LOST: char = '\u{fffd}';

fn within(ranges: &[(u32, u32)], sign: char) -> bool {
    let code = u32::from(sign);
    ranges
        .iter()
        .any(|(first, last)| (*first..=*last).contains(&code))
}

fn is_no_character(sign: char) -> bool {
    let code = u32::from(sign);
    code & 0xFFFE == 0xFFFE || (0xFDD0..=0xFDEF).contains(&code)
}

fn is_unseen(sign: char) -> bool {
    if sign.is_ascii() {
        return sign.is_ascii_control();
    }
    sign.is_control() || is_no_character(sign) || within(&UNSEEN, sign)
}

/// The first character that may not stand in a text of so many lines.
pub fn unfit(text: &str, lines: Lines) -> Option<Unfit> {
    let allowed = |sign: char| lines == Lines::Many && matches!(sign, '\n' | '\t');
    text.chars()
        .zip(1..)
        .find(|(sign, _)| (*sign == LOST || is_unseen(*sign)) && !allowed(*sign))
        .map(|(sign, place)| Unfit { sign, place })
}

impl Unfit {
    /// What is wrong, as it follows the value.
    pub fn what(&self) -> String {
        format!("has {}, as character {}", self.named(), self.place)
    }

    /// The character in words.
    pub fn named(&self) -> String {
        let kind = match self.sign {
            '\n' => "a line break",
            '\t' => "a tab",
            '\r' => "a carriage return without a line break",
            LOST => "which stands for a character that was lost",
            '\u{feff}' => "a byte-order mark",
            '\u{2028}' | '\u{2029}' => "a separator of lines",
            it if it.is_control() => "a control character",
            it if is_no_character(it) => "which is no character",
            it if within(&DIRECTION, it) => "which turns the direction of writing",
            _ => "which cannot be seen",
        };
        format!("U+{:04X}, {kind}", u32::from(self.sign))
    }

    /// What would be right.
    pub fn right(&self) -> &'static str {
        match self.sign {
            '\n' | '\t' => "one line with plain blanks; line breaks and tabs are for notes",
            LOST => "save the file as UTF-8 text, and type the character again",
            _ => "the text without it: delete it, or type the text again",
        }
    }
}

fn escaped(text: &str, hidden: impl Fn(char) -> bool) -> Cow<'_, str> {
    if !text.chars().any(&hidden) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    for sign in text.chars() {
        if hidden(sign) {
            out.extend(sign.escape_unicode());
        } else {
            out.push(sign);
        }
    }
    Cow::Owned(out)
}

/// A text for a screen or page: what nobody can see stands there as `\u{202e}`. Line breaks and
/// tabs stay.
pub fn shown(text: &str) -> Cow<'_, str> {
    escaped(text, |sign| is_unseen(sign) && !matches!(sign, '\n' | '\t'))
}

/// A text for a place that has one line: a line break or tab is a blank there.
pub fn one_line(text: &str) -> String {
    let text = shown(text);
    text.replace(['\n', '\t'], " ")
}

/// JSON text in which what nobody can see is an escape of JSON's own. Such characters stand in
/// its strings alone, and those below U+0020 are escapes already.
pub fn in_json(json: String) -> String {
    let hidden = |sign: char| sign >= '\u{7f}' && is_unseen(sign);
    if !json.chars().any(hidden) {
        return json;
    }
    let mut out = String::with_capacity(json.len() + 16);
    for sign in json.chars() {
        if hidden(sign) {
            for unit in sign.encode_utf16(&mut [0; 2]) {
                out.push_str(&format!("\\u{unit:04x}"));
            }
        } else {
            out.push(sign);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `tests/reference/unseen_characters.txt`: a range of code points a line.
    fn reference() -> Vec<(u32, u32)> {
        let text = include_str!("../../tests/reference/unseen_characters.txt");
        let code = |text: &str| u32::from_str_radix(text, 16).unwrap();
        text.lines()
            .filter(|line| !line.starts_with('#'))
            .map(|line| line.split_once("..").unwrap())
            .map(|(first, last)| (code(first), code(last)))
            .collect()
    }

    #[test]
    fn what_nobody_can_see_is_what_the_unicode_tables_call_so() {
        let reference = reference();
        assert!(reference.len() > 30);
        for code in 0..=0x10_FFFF {
            let Some(sign) = char::from_u32(code) else {
                continue;
            };
            // Format controls of Unicode 15, which came after the reference.
            let later = (0x1_3439..=0x1_343F).contains(&code);
            let there = within(&reference, sign) || later;
            assert_eq!(is_unseen(sign), there, "U+{code:04X}");
        }
    }

    #[test]
    fn a_refused_character_is_named_with_its_place() {
        for (text, what) in [
            (
                "W0\u{202e}7",
                "has U+202E, which turns the direction of writing, as character 3",
            ),
            ("a\nb", "has U+000A, a line break, as character 2"),
            (
                "\u{feff}W07",
                "has U+FEFF, a byte-order mark, as character 1",
            ),
            (
                "é\u{200b}",
                "has U+200B, which cannot be seen, as character 2",
            ),
            ("a\u{9f}", "has U+009F, a control character, as character 2"),
            (
                "a\u{2029}",
                "has U+2029, a separator of lines, as character 2",
            ),
            (
                "caf\u{fffd}",
                "has U+FFFD, which stands for a character that was lost, as character 4",
            ),
            (
                "\u{e0041}",
                "has U+E0041, which cannot be seen, as character 1",
            ),
            (
                "\u{fffe}",
                "has U+FFFE, which is no character, as character 1",
            ),
        ] {
            assert_eq!(
                unfit(text, Lines::One).map(|it| it.what()),
                Some(what.to_owned())
            );
        }
        assert_eq!(unfit("a\n\tb", Lines::Many), None);
        assert_eq!(unfit("a\r\nb", Lines::Many).map(|it| it.sign), Some('\r'));
        for fine in ["", "W-07 é 辐射 👷 ا", "a\u{301}"] {
            assert_eq!(unfit(fine, Lines::One), None);
        }
    }

    #[test]
    fn what_is_printed_shows_what_is_there() {
        assert_eq!(shown("a\u{202e}b\n\tc\u{0}"), "a\\u{202e}b\n\tc\\u{0}");
        assert_eq!(one_line("a\nb\tc\r"), "a b c\\u{d}");
        assert!(matches!(shown("plain é"), Cow::Borrowed(_)));
    }

    #[test]
    fn json_says_the_same_in_its_own_escapes() {
        for text in ["a\u{202e}b\u{e0041}\u{7f}\u{85}\u{1}\n", "plain é 👷"] {
            let json = in_json(serde_json::to_string(text).unwrap());
            assert!(!json.chars().any(is_unseen), "{json}");
            assert_eq!(serde_json::from_str::<String>(&json).unwrap(), text);
        }
    }
}
