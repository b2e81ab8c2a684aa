//! File names made of ids: safe on every system, and each leads back to its id.
//!
//! The rule set: Latin letters, digits, `-`, `_` and dots inside stand as they are. Every other
//! character is written as its UTF-8 bytes, each `%` and two hexadecimal digits; so is the first
//! character of a name that some system keeps for a device. Because systems differ in whether
//! `w07` and `W07` are one name, an id with small letters ends in `~` and a hexadecimal number: the
//! first bit (the lowest) stands for the first letter, and is 1 where that is small. What would be
//! longer than 120 characters is cut, and ends in `~~` and 32 digits of its SHA-256; such a name
//! alone does not lead back.

use sha2::{Digest, Sha256};

/// Longest name that is not cut; with what is put around it, it fits into 255 bytes everywhere.
const LONGEST: usize = 120;

/// Names that some system keeps for its devices, whatever ending they have.
const DEVICES: [&str; 6] = ["CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$"];

fn is_device(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or(name).to_ascii_uppercase();
    let port = ["COM", "LPT"]
        .iter()
        .filter_map(|it| stem.strip_prefix(it))
        .any(|rest| rest.len() == 1 && rest.bytes().all(|it| it.is_ascii_digit()));
    port || DEVICES.contains(&stem.as_str())
}

/// A file name, without its ending, for an id.
pub fn file_name(id: &str) -> String {
    let device = is_device(id);
    let last = id.chars().count().saturating_sub(1);
    let mut name = String::new();
    for (at, sign) in id.chars().enumerate() {
        let inside = at > 0 && at < last;
        let plain = match sign {
            '-' | '_' => true,
            '.' => inside,
            other => other.is_ascii_alphanumeric() && !(device && at == 0),
        };
        if plain {
            name.push(sign);
        } else {
            for byte in sign.encode_utf8(&mut [0; 4]).bytes() {
                name.push_str(&format!("%{byte:02X}"));
            }
        }
    }
    name.push_str(&small_letters(id));
    if name.is_empty() {
        name.push('%');
    }
    if name.len() <= LONGEST {
        return name;
    }
    let digest = Sha256::digest(id.as_bytes());
    name.truncate(LONGEST - 34);
    name.push_str("~~");
    for byte in digest.iter().take(16) {
        name.push_str(&format!("{byte:02x}"));
    }
    name
}

/// Which of the letters are small, as `~` and a hexadecimal number; nothing where none is.
fn small_letters(id: &str) -> String {
    let letters: Vec<bool> = id
        .chars()
        .filter(char::is_ascii_alphabetic)
        .map(|it| it.is_ascii_lowercase())
        .collect();
    let mut digits: Vec<char> = letters
        .chunks(4)
        .map(|four| {
            let bits = four
                .iter()
                .rev()
                .fold(0, |all, it| 2 * all + u32::from(*it));
            char::from_digit(bits, 16).unwrap_or('0')
        })
        .collect();
    while digits.last() == Some(&'0') {
        digits.pop();
    }
    match digits.is_empty() {
        true => String::new(),
        false => format!("~{}", digits.iter().rev().collect::<String>()),
    }
}

/// The id for which a file is named, whatever a system did to the case of its letters; nothing
/// where the name is not of the rule set or was cut.
pub fn id_of_file_name(name: &str) -> Option<String> {
    if name == "%" {
        return Some(String::new());
    }
    let (escaped, small) = name.split_once('~').unwrap_or((name, ""));
    let mut bytes = Vec::new();
    let mut rest = escaped.bytes();
    while let Some(byte) = rest.next() {
        if byte == b'%' {
            let digits = [rest.next()?, rest.next()?];
            let digits = std::str::from_utf8(&digits).ok()?;
            bytes.push(u8::from_str_radix(digits, 16).ok()?);
        } else {
            bytes.push(byte);
        }
    }
    let id = String::from_utf8(bytes).ok()?;
    let mut bits = Vec::new();
    for digit in small.chars().rev() {
        let digit = digit.to_digit(16)?;
        bits.extend((0..4).map(|bit| digit >> bit & 1 == 1));
    }
    let mut bits = bits.into_iter();
    let cased = |sign: char| {
        if !sign.is_ascii_alphabetic() {
            return sign;
        }
        match bits.next() {
            Some(true) => sign.to_ascii_lowercase(),
            _ => sign.to_ascii_uppercase(),
        }
    };
    Some(id.chars().map(cased).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::HashMap;

    #[test]
    fn nasty_ids_have_safe_names() {
        for (id, name) in [
            ("W07", "W07"),
            ("w07", "w07~1"),
            ("Wo-7", "Wo-7~2"),
            ("PD-03.1", "PD-03.1"),
            ("../../etc/passwd", "%2E.%2F..%2Fetc%2Fpasswd~1ff"),
            ("A/B", "A%2FB"),
            ("A\\B", "A%5CB"),
            (".X", "%2EX"),
            ("X.", "X%2E"),
            ("X ", "X%20"),
            ("-X", "-X"),
            ("CON", "%43ON"),
            ("nul.txt", "%6Eul.txt~3f"),
            ("COM1", "%43OM1"),
            ("COM10", "COM10"),
            ("A:B", "A%3AB"),
            ("A%41", "A%2541"),
            ("A~1", "A%7E1"),
            ("É", "%C3%89"),
            ("\u{202e}", "%E2%80%AE"),
            ("", "%"),
        ] {
            assert_eq!(file_name(id), name);
            assert_eq!(id_of_file_name(name).as_deref(), Some(id));
        }
    }

    #[test]
    fn ids_that_differ_in_case_have_names_that_differ_without_it() {
        let ids = ["w07", "W07", "Ab", "aB", "AB", "ab", "Con", "CON", "con"];
        let mut names: HashMap<String, &str> = HashMap::new();
        for id in ids {
            let name = file_name(id);
            let known = names.insert(name.to_lowercase(), id);
            assert_eq!(known, None, "{id}");
            assert_eq!(id_of_file_name(&name.to_uppercase()).as_deref(), Some(id));
        }
    }

    #[test]
    fn a_long_id_is_cut_and_stays_its_own() {
        let (a, b) = ("é".repeat(60), format!("{}e", "é".repeat(59)));
        let (a, b) = (file_name(&a), file_name(&b));
        assert!(a.len() <= LONGEST && a != b, "{a} {b}");
        assert_eq!(id_of_file_name(&a), None);
        // The longest id that can be registered, of plain characters.
        assert_eq!(file_name(&"A.b".repeat(13)).len(), 39 + 8);
    }

    proptest! {
        #[test]
        fn every_name_is_safe_and_leads_back(id in "\\PC{0,12}") {
            let name = file_name(&id);
            prop_assert!(!name.is_empty() && name.len() <= LONGEST);
            let safe = |it: char| it.is_ascii_alphanumeric() || "-_.%~".contains(it);
            prop_assert!(name.chars().all(safe), "{}", name);
            prop_assert!(!name.starts_with('.') && !name.ends_with('.'), "{}", name);
            prop_assert!(!is_device(&name), "{}", name);
            match id_of_file_name(&name) {
                Some(back) => prop_assert_eq!(back, id),
                None => prop_assert!(name.contains("~~")),
            }
        }

        #[test]
        fn no_two_ids_share_a_name(a in "[aAbB.~%]{0,6}", b in "[aAbB.~%]{0,6}") {
            let same = file_name(&a).eq_ignore_ascii_case(&file_name(&b));
            prop_assert_eq!(same, a == b);
        }
    }
}
