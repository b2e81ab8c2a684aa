//! Fields that hold one of a few fixed words. Each has two: the one that bodies and tables hold,
//! which never changes, and the one that people read and write, which may become a better one.

/// A field with a closed list of words.
pub trait Words: Sized + Copy + 'static {
    /// Every value.
    const ALL: &'static [Self];
    /// The words of every value, in the same order.
    const PAIRS: &'static [WordPair];

    /// The word that people read and write.
    fn word(self) -> &'static str;

    /// The word in bodies and tables. It never changes.
    fn stored(self) -> &'static str;

    /// The value that somebody means by this word; blanks around it and capitals do not matter.
    /// What several values are called names none.
    fn from_word(word: &str) -> Option<Self> {
        match WordPair::meant(word, Self::PAIRS).as_slice() {
            [only] => Self::from_stored(only.stored),
            _ => None,
        }
    }

    /// Whether it is one of the values that somebody may mean by this word.
    fn may_be(self, word: &str) -> bool {
        let meant = WordPair::meant(word, Self::PAIRS);
        meant.iter().any(|it| it.stored == self.stored())
    }

    /// The value that a table holds under this word.
    fn from_stored(stored: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|it| it.stored() == stored)
    }

    /// The words as a sentence lists them: `day, evening or night`.
    fn list() -> String {
        word_list(Self::PAIRS)
    }
}

/// The words that people use, as a sentence lists them.
pub fn word_list(words: &[WordPair]) -> String {
    let words: Vec<&str> = words.iter().map(|it| it.shown).collect();
    match words.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => words.concat(),
    }
}

macro_rules! words {
    (
        $(#[$meta:meta])*
        $name:ident {
            $($(#[$vmeta:meta])* $variant:ident = $word:literal $(shown $shown:literal)?
              $(also [$($also:literal),+ $(,)?])?),+ $(,)?
        }
    ) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord,
                 serde::Serialize, serde::Deserialize)]
        pub enum $name { $($(#[$vmeta])* #[serde(rename = $word)] $variant),+ }

        impl crate::record::words::Words for $name {
            const ALL: &'static [$name] = &[$($name::$variant),+];
            const PAIRS: &'static [crate::record::words::WordPair] = &[$(
                crate::record::words::WordPair {
                    stored: $word,
                    shown: crate::record::words::shown!($word $($shown)?),
                    also: &[$($($also),+)?],
                }
            ),+];
            fn word(self) -> &'static str {
                match self {
                    $($name::$variant => crate::record::words::shown!($word $($shown)?)),+
                }
            }
            fn stored(self) -> &'static str {
                match self { $($name::$variant => $word),+ }
            }
        }
    };
}

/// The word that people see: another one where it is given, else the stored one.
macro_rules! shown {
    ($stored:literal) => {
        $stored
    };
    ($stored:literal $shown:literal) => {
        $shown
    };
}

pub(super) use {shown, words};

/// Both words of one value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WordPair {
    /// As bodies and tables hold it.
    pub stored: &'static str,
    /// As people read and write it.
    pub shown: &'static str,
    /// What people also write for it, perhaps for another value of the field too.
    pub also: &'static [&'static str],
}

impl WordPair {
    /// Whether people also call it so.
    fn is_called(&self, word: &str) -> bool {
        self.also.iter().any(|it| it.eq_ignore_ascii_case(word))
    }

    /// Those that somebody may mean by a word: its own, else all that are also called so.
    pub fn meant<'p>(word: &str, pairs: &'p [WordPair]) -> Vec<&'p WordPair> {
        let word = word.trim();
        match pairs.iter().find(|it| it.shown.eq_ignore_ascii_case(word)) {
            Some(own) => vec![own],
            None => pairs.iter().filter(|it| it.is_called(word)).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::ShiftName;

    words! {
        /// A field whose words were bettered after they had been stored.
        Lamp {
            /// Burns.
            Lit = "lit" shown "on" also ["bright", "lamp"],
            /// Was never changed.
            Dark = "dark" also ["lamp"],
        }
    }

    #[test]
    fn what_people_also_say_is_taken_where_it_means_one_value_alone() {
        assert_eq!(Lamp::from_word(" Bright "), Some(Lamp::Lit));
        assert_eq!(Lamp::from_word("lamp"), None);
        assert!(Lamp::Lit.may_be("lamp") && Lamp::Dark.may_be("lamp"));
        assert!(!Lamp::Dark.may_be("on"));
    }

    #[test]
    fn a_word_that_people_see_can_change_and_what_is_stored_does_not() {
        let stored = serde_json::to_string(&[Lamp::Lit, Lamp::Dark]).unwrap();
        assert_eq!(stored, r#"["lit","dark"]"#);
        assert_eq!(Lamp::list(), "on or dark");
        assert_eq!(Lamp::from_word("ON"), Some(Lamp::Lit));
        assert_eq!(Lamp::from_stored("lit"), Some(Lamp::Lit));
        // Neither side takes the other's word.
        assert_eq!(Lamp::from_word("lit"), None);
        assert_eq!(Lamp::from_stored("on"), None);
    }

    #[test]
    fn a_list_of_words_reads_like_a_sentence() {
        assert_eq!(ShiftName::list(), "day, evening or night");
        assert_eq!(ShiftName::from_word(" Night "), Some(ShiftName::Night));
        assert_eq!(ShiftName::from_word("graveyard"), None);
    }
}
