//! Fields that hold one of a few fixed words.

/// A field with a closed list of words.
pub trait Words: Sized + Copy + 'static {
    /// Every value.
    const ALL: &'static [Self];
    /// The word as stored and shown.
    fn word(self) -> &'static str;

    /// The value with this word; blanks around it and capitals do not matter.
    fn from_word(word: &str) -> Option<Self> {
        let word = word.trim();
        Self::ALL
            .iter()
            .copied()
            .find(|it| it.word().eq_ignore_ascii_case(word))
    }

    /// The words as a sentence lists them: `day, evening or night`.
    fn list() -> String {
        let words: Vec<&str> = Self::ALL.iter().map(|it| it.word()).collect();
        match words.split_last() {
            Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
            _ => words.concat(),
        }
    }
}

macro_rules! words {
    (
        $(#[$meta:meta])*
        $name:ident { $($(#[$vmeta:meta])* $variant:ident = $word:literal),+ $(,)? }
    ) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord,
                 serde::Serialize, serde::Deserialize)]
        pub enum $name { $($(#[$vmeta])* #[serde(rename = $word)] $variant),+ }

        impl crate::record::words::Words for $name {
            const ALL: &'static [$name] = &[$($name::$variant),+];
            fn word(self) -> &'static str {
                match self { $($name::$variant => $word),+ }
            }
        }
    };
}

pub(super) use words;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::ShiftName;

    #[test]
    fn a_list_of_words_reads_like_a_sentence() {
        assert_eq!(ShiftName::list(), "day, evening or night");
        assert_eq!(ShiftName::from_word(" Night "), Some(ShiftName::Night));
        assert_eq!(ShiftName::from_word("graveyard"), None);
    }
}
