//! The words of a rule set file that stand for one of a few things.

/// An enum whose members each have one name, in files and on the screen.
macro_rules! words {
    (
        $(#[$doc:meta])* $enum:ident {
            $( $(#[$line:meta])* $member:ident = $name:literal ),+ $(,)?
        }
    ) => {
        $(#[$doc])*
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash,
            serde::Serialize, serde::Deserialize,
        )]
        pub enum $enum {
            $( $(#[$line])* #[serde(rename = $name)] $member ),+
        }

        impl $enum {
            /// Every one of them, in the order of this list.
            pub const ALL: &'static [Self] = &[$( Self::$member ),+];

            /// The name in files and on the screen.
            pub const fn name(self) -> &'static str {
                match self { $( Self::$member => $name ),+ }
            }

            /// The one that has this name, if any.
            pub fn from_name(name: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|one| one.name() == name)
            }
        }

        impl std::fmt::Display for $enum {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.name())
            }
        }
    };
}
pub(super) use words;

words! {
    /// Which dose a level is about.
    Quantity {
        /// Whole body, at 1 cm depth; effective dose where a law speaks of that.
        Deep = "deep",
        /// Lens of the eye, at 0.3 cm.
        Lens = "lens",
        /// Skin of the whole body, at 0.007 cm.
        Shallow = "shallow",
        /// Skin of hands, forearms, feet and lower legs.
        Extremity = "extremity",
    }
}

words! {
    /// Whom a level is for. Which people a law means by it, the rule set's comments say.
    AppliesTo {
        /// A radiation worker of 18 years or more.
        Adult = "adult",
        /// A worker under 18 who is no apprentice in the sense of the rule set.
        Minor = "minor",
        /// An apprentice or student from 16 to 18.
        Apprentice = "apprentice",
        /// The embryo, fetus or unborn child of a worker who declared a pregnancy. Comes on top
        /// of the worker's own levels.
        DeclaredPregnancy = "declared pregnancy",
        /// A person who is not a radiation worker.
        Other = "other",
        /// Whoever it is.
        Anyone = "anyone",
    }
}

words! {
    /// What happens at a level.
    LevelType {
        /// A limit of the law or the license.
        Limit = "limit",
        /// A ceiling that the site sets itself below a limit.
        Administrative = "administrative",
        /// A dose from which the site looks into the cause.
        Investigation = "investigation",
        /// A dose on one shift that stops the wearer.
        Shift = "shift",
    }
}

impl LevelType {
    /// What a sentence calls a level of this kind.
    pub const fn level_name(self) -> &'static str {
        match self {
            Self::Limit => "limit",
            Self::Administrative => "administrative level",
            Self::Investigation => "investigation level",
            Self::Shift => "shift level",
        }
    }
}

words! {
    /// Whether a dose equal to the level already counts.
    Reached {
        /// Only a greater dose counts: a limit of 5 rem is kept with exactly 5 rem.
        Above = "above",
        /// An equal dose counts too.
        AtOrAbove = "at or above",
    }
}

words! {
    /// How well a value is known.
    Status {
        /// Read in the published text of the citation.
        Read = "read",
        /// Not read there, or amended since: every output that uses it says so.
        ToBeConfirmed = "to be confirmed",
    }
}

/// The citation, followed by `(to be confirmed)` where the text was not read.
pub(super) fn cited(citation: &str, status: Status) -> String {
    match status {
        Status::Read => citation.to_owned(),
        Status::ToBeConfirmed => format!("{citation} ({status})"),
    }
}

/// Gives each kind of entry the printed form of its citation.
macro_rules! has_citation {
    ($($kind:ty),+) => { $(
        impl $kind {
            /// The citation, followed by `(to be confirmed)` where the text was not read.
            pub fn cited(&self) -> String {
                $crate::rule::word::cited(&self.citation, self.status)
            }
        }
    )+ };
}
pub(super) use has_citation;
