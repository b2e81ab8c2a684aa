//! A code in letters that a person can type off a paper: groups of five, the last letter of each a
//! check, so that a slip is told with its group.

/// What each number from 0 to 31 is written as: no I, L, O or U, which look like others or make
/// words.
const ALPHABET: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/// How many letters of a group carry something.
const CARRIED: usize = 4;

/// How many numbers stand over all of it.
const SUM: usize = 2;

/// No code is longer; what is has another mistake.
const MOST: usize = 600;

/// Why letters are no code.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LettersFault {
    /// Nothing, or more than any code has.
    #[error("is no code of a form")]
    NoCode,
    /// A sign that no code has.
    #[error("has `{0}`, which stands in no code of a form")]
    Sign(char),
    /// A group of another length than it was printed with.
    #[error("has {1} letters in its group {0}, and five were printed")]
    Length(usize, usize),
    /// Groups that contradict their own check.
    #[error("is not as it was printed in {}", groups(.0))]
    Groups(Vec<(usize, String)>),
    /// Each group is as printed, and not all of them are there, or in another order.
    #[error("lacks a group, or has one of another form")]
    Torn,
}

impl LettersFault {
    /// What would be right.
    pub fn right(&self) -> &'static str {
        match self {
            LettersFault::NoCode | LettersFault::Sign(_) => {
                "the letters under the square of the form, in groups of five"
            }
            LettersFault::Length(..) => "each group as it is printed; spaces and hyphens are free",
            LettersFault::Groups(_) => "compare it with the form, letter by letter",
            LettersFault::Torn => "every group of the form, in its order",
        }
    }
}

fn groups(all: &[(usize, String)]) -> String {
    let words: Vec<String> = all
        .iter()
        .map(|(number, letters)| format!("group {number}, `{letters}`"))
        .collect();
    words.join(", and ")
}

/// Numbers below 32 as letters, in whole groups with hyphens between them; noughts fill the last.
#[must_use]
pub fn letters(symbols: &[u8]) -> String {
    let mut whole = symbols.to_vec();
    let room = (whole.len() + SUM).next_multiple_of(CARRIED) - SUM;
    whole.resize(room, 0);
    whole.extend(sum(&whole));
    let mut text = String::new();
    for (at, group) in whole.chunks(CARRIED).enumerate() {
        if at > 0 {
            text.push('-');
        }
        for symbol in group.iter().copied().chain([check(at, group)]) {
            let letter = ALPHABET.get(usize::from(symbol & 31));
            text.extend(letter.map(|it| char::from(*it)));
        }
    }
    text
}

/// The numbers of letters with the noughts behind them, however they were typed: small or capital,
/// with or without what stands between the groups, `O` for nought, `I` and `L` for one.
///
/// # Errors
/// What was mistyped, with its group.
pub fn read_letters(typed: &str) -> Result<Vec<u8>, LettersFault> {
    let is_between = |it: char| it.is_whitespace() || it == '-';
    let parts: Vec<&str> = typed
        .split(is_between)
        .filter(|it| !it.is_empty())
        .collect();
    let mut symbols = Vec::new();
    for letter in parts.iter().flat_map(|it| it.chars()) {
        symbols.push(symbol(letter).ok_or(LettersFault::Sign(letter))?);
    }
    if symbols.len() <= CARRIED || symbols.len() > MOST {
        return Err(LettersFault::NoCode);
    }
    // Where the groups were typed apart, a letter too many or too few stands in one of them.
    for (at, part) in parts.iter().enumerate().filter(|_| parts.len() > 1) {
        let length = part.chars().count();
        if length != CARRIED + 1 {
            return Err(LettersFault::Length(at + 1, length));
        }
    }
    let mut carried = Vec::new();
    let mut wrong = Vec::new();
    for (at, group) in symbols.chunks(CARRIED + 1).enumerate() {
        let Some((last, rest)) = group.split_last() else {
            continue;
        };
        if rest.is_empty() || check(at, rest) != *last {
            let letters = group.iter().map(|it| ALPHABET.get(usize::from(*it)));
            let letters = letters.flatten().map(|it| char::from(*it)).collect();
            wrong.push((at + 1, letters));
        }
        carried.extend_from_slice(rest);
    }
    match wrong.len() {
        0 => {}
        1 | 2 => return Err(LettersFault::Groups(wrong)),
        // What follows a group that is missing stands in another place.
        _ => return Err(LettersFault::Torn),
    }
    let Some((rest, last)) = carried.split_last_chunk::<SUM>() else {
        return Err(LettersFault::Torn);
    };
    match sum(rest) == *last {
        true => Ok(rest.to_vec()),
        false => Err(LettersFault::Torn),
    }
}

fn symbol(letter: char) -> Option<u8> {
    let letter = match letter.to_ascii_uppercase() {
        'O' => '0',
        'I' | 'L' => '1',
        other => other,
    };
    let place = ALPHABET.iter().position(|it| char::from(*it) == letter)?;
    u8::try_from(place).ok()
}

/// Twice a number in the field of 32 elements, by x^5 + x^2 + 1.
const fn twice(it: u8) -> u8 {
    match it & 16 {
        0 => it << 1,
        _ => ((it << 1) ^ 0b10_0101) & 31,
    }
}

/// The check of a group: one wrong letter and two that changed places always show, a group in
/// another's place too, up to the 31st.
fn check(at: usize, group: &[u8]) -> u8 {
    let weighed = group.iter().rev().fold((0, 2), |(sum, weight), it| {
        (sum ^ times(*it, weight), twice(weight))
    });
    weighed.0 ^ u8::try_from(at % 31 + 1).unwrap_or(1)
}

fn times(it: u8, weight: u8) -> u8 {
    let (mut sum, mut power, mut rest) = (0, it & 31, weight);
    while rest > 0 {
        if rest & 1 == 1 {
            sum ^= power;
        }
        power = twice(power);
        rest >>= 1;
    }
    sum
}

/// Ten bits over all of it: a group that is missing leaves the others as they were.
fn sum(symbols: &[u8]) -> [u8; SUM] {
    let sum = crc32fast::hash(symbols);
    [(sum & 31) as u8, (sum >> 5 & 31) as u8]
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn what_was_printed_is_read_back_however_it_is_typed(
            symbols in prop::collection::vec(0u8..32, 1..60), small: bool, bare: bool,
        ) {
            let mut typed = letters(&symbols);
            if small { typed = typed.to_lowercase().replace('0', "o").replace('1', "l"); }
            if bare { typed = typed.replace('-', ""); }
            let read = read_letters(&typed).unwrap();
            prop_assert_eq!(letters(&read), letters(&symbols));
            let (said, rest) = read.split_at(symbols.len());
            prop_assert_eq!(said, &symbols[..]);
            prop_assert!(rest.len() < CARRIED && rest.iter().all(|it| *it == 0));
        }

        #[test]
        fn one_wrong_letter_is_told_with_its_group(
            symbols in prop::collection::vec(0u8..32, 8..40), at: prop::sample::Index,
            by in 1u8..32,
        ) {
            let right = letters(&symbols);
            let places: Vec<usize> = right.char_indices().filter(|it| it.1 != '-')
                .map(|it| it.0).collect();
            let place = *at.get(&places);
            let old = symbol(right[place..].chars().next().unwrap()).unwrap();
            let new = char::from(ALPHABET[usize::from(old ^ by)]).to_string();
            let mut wrong = right.clone();
            wrong.replace_range(place..=place, &new);
            let group = place / (CARRIED + 2) + 1;
            match read_letters(&wrong) {
                Err(LettersFault::Groups(all)) => {
                    prop_assert_eq!(all.len(), 1);
                    prop_assert_eq!(all[0].0, group);
                }
                other => prop_assert!(false, "{:?}", other),
            }
        }

        #[test]
        fn two_letters_in_each_others_place_are_told(
            symbols in prop::collection::vec(0u8..32, 8..40), at: prop::sample::Index,
        ) {
            let right = letters(&symbols);
            let bytes = right.as_bytes();
            let pairs: Vec<usize> = (1..bytes.len()).filter(|it| {
                bytes[*it] != b'-' && bytes[it - 1] != b'-' && bytes[*it] != bytes[it - 1]
            }).collect();
            prop_assume!(!pairs.is_empty());
            let place = *at.get(&pairs);
            let mut wrong = bytes.to_vec();
            wrong.swap(place - 1, place);
            let wrong = String::from_utf8(wrong).unwrap();
            let told = matches!(read_letters(&wrong), Err(LettersFault::Groups(_)));
            prop_assert!(told, "{}", wrong);
        }
    }

    #[test]
    fn what_is_no_code_is_told_by_its_mistake() {
        let right = letters(&[1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]);
        let groups: Vec<&str> = right.split('-').collect();
        let without = |at: usize| {
            let rest = groups.iter().enumerate().filter(|it| it.0 != at);
            rest.map(|it| *it.1).collect::<Vec<_>>().join("-")
        };
        for (typed, told) in [
            (String::new(), "is no code of a form"),
            ("D-2".to_owned(), "is no code of a form"),
            ("x".repeat(700), "is no code of a form"),
            (right.replacen('-', "*", 1), "has `*`"),
            (right.replacen('-', "U-", 1), "has `U`"),
            (right.replacen('-', "7-", 1), "has 6 letters in its group 1"),
            (right[1..].to_owned(), "has 4 letters in its group 1"),
            (without(3), "lacks a group"),
            (without(0), "lacks a group"),
            (without(2), "is not as it was printed in group 3"),
        ] {
            let fault = read_letters(&typed).expect_err(&typed);
            assert!(fault.to_string().contains(told), "{typed}: {fault}");
            assert!(!fault.right().is_empty());
        }
    }
}
