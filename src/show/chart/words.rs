//! How wide a text will be, and where to break it.
//!
//! The drawing backend knows no font, so widths come from the bundled one (DejaVu Sans, which is
//! among the widest of its kind: a viewer that falls back to another font needs less room).

use crate::text::one_line;

/// Advance widths of U+0020 to U+007E in DejaVu Sans, in 1/2048 of the font size. The tests
/// hold them against the bundled font.
const ADVANCES: [i64; 95] = [
    651, 821, 942, 1716, 1303, 1946, 1597, 563, 799, 799, 1024, 1716, //
    651, 739, 651, 690, 1303, 1303, 1303, 1303, 1303, 1303, 1303, 1303, //
    1303, 1303, 690, 690, 1716, 1716, 1716, 1087, 2048, 1401, 1405, 1430, //
    1577, 1294, 1178, 1587, 1540, 604, 604, 1343, 1141, 1767, 1532, 1612, //
    1235, 1612, 1423, 1300, 1251, 1499, 1401, 2025, 1403, 1251, 1403, 799, //
    690, 799, 1716, 1024, 1024, 1255, 1300, 1126, 1300, 1260, 721, 1300, //
    1298, 569, 569, 1186, 569, 1995, 1298, 1253, 1300, 1300, 842, 1067, //
    803, 1298, 1212, 1675, 1212, 1212, 1075, 1303, 690, 1303, 1716, //
];

/// Width counted for any other character: a full square, so that labels keep clear of each
/// other (few letters are wider).
const OTHER: i64 = 2048;

/// Width of `text` at font size `size`, in drawing units, rounded up.
pub(super) fn width(text: &str, size: i32) -> i32 {
    let sum: i64 = clean(text).chars().map(advance).sum();
    let units = (sum.saturating_mul(i64::from(size)) + 2047) / 2048;
    i32::try_from(units).unwrap_or(i32::MAX)
}

fn advance(c: char) -> i64 {
    let code = u32::from(c);
    let place = code.checked_sub(0x20).and_then(|n| usize::try_from(n).ok());
    let found = place.and_then(|n| ADVANCES.get(n)).copied();
    found.unwrap_or(OTHER)
}

/// `text` in lines no wider than `limit` units, broken at spaces, and inside a word only where
/// the word alone is too wide. Never drops a character but the spaces at a break.
pub(super) fn wrap(text: &str, size: i32, limit: i32) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in clean(text).split_whitespace() {
        let joined = if line.is_empty() {
            word.to_owned()
        } else {
            format!("{line} {word}")
        };
        if width(&joined, size) <= limit {
            line = joined;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            let mut longer = line.clone();
            longer.push(c);
            if width(&longer, size) > limit && !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            line.push(c);
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// The widest of several lines, in drawing units.
pub(super) fn widest<S: AsRef<str>>(lines: &[S], size: i32) -> i32 {
    lines
        .iter()
        .map(|l| width(l.as_ref(), size))
        .max()
        .unwrap_or(0)
}

/// `text` as a drawing has it: what nobody can see, and XML partly cannot carry, as an escape;
/// line breaks and tabs as spaces.
pub(super) fn clean(text: &str) -> String {
    one_line(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wrapped_lines_fit_and_keep_every_word() {
        let text =
            "a caution that is longer than one line, anunbrokenwordthatisfartoolongforit end";
        let lines = wrap(text, 25, 300);
        assert!(lines.len() > 3, "{lines:?}");
        assert!(lines.iter().all(|l| width(l, 25) <= 300), "{lines:?}");
        let without = |s: &str| s.split_whitespace().collect::<String>();
        assert_eq!(without(&lines.concat()), without(text));
    }

    #[test]
    fn a_width_is_never_rounded_down() {
        assert_eq!(width("A", 2048), 1401);
        assert_eq!(width("A", 2), 2);
        assert_eq!(width("", 25), 0);
    }

    #[test]
    fn what_nobody_can_see_is_drawn() {
        assert_eq!(clean("a\u{8}b\nc\u{ffff}d"), "a\\u{8}b c\\u{ffff}d");
        assert_eq!(width("\u{8}", 25), width("\\u{8}", 25));
    }
}
