//! What can be wrong with a quantity, each with what would be right.

use thiserror::Error;

/// A sum, difference or product that does not fit. It is an error, never a wrap.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("the total is larger than a ledger can hold")]
pub struct Overflow;

/// Why a text is not a quantity, or two quantities do not go together. Each message is one
/// line: what was refused, in backquotes, and what would be right.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum QuantityError {
    /// Nothing but spaces.
    #[error("{what} is wanted here and the place is empty")]
    Empty {
        /// The quantity that was wanted, as in `dose`.
        what: &'static str,
    },
    /// No number at the front, or more than one.
    #[error("`{text}` cannot be read as {what}: write one number without gaps, then its unit")]
    NotANumber {
        /// The text as given.
        text: String,
        /// The quantity that was wanted.
        what: &'static str,
    },
    /// `1,2` is one and a fifth to some people and twelve to others.
    #[error("`{text}` has a comma: the decimal sign is a point, and thousands take no mark")]
    Comma {
        /// The text as given.
        text: String,
    },
    /// `1.2e3`: easily mistyped by a factor of ten, so not read.
    #[error("`{text}` is in exponent form: write the number out in full")]
    Exponent {
        /// The text as given.
        text: String,
    },
    /// `12.` may be a number that was cut off.
    #[error("`{text}` ends at the decimal point: write the digits after it, or leave it out")]
    CutOff {
        /// The text as given.
        text: String,
    },
    /// A minus sign where nothing can be below zero.
    #[error("`{text}` is below zero, which {what} cannot be")]
    Negative {
        /// The text as given.
        text: String,
        /// The quantity that was wanted.
        what: &'static str,
    },
    /// A bare number where no unit is agreed.
    #[error("`{text}` has no unit: write it with one of {known}")]
    NoUnit {
        /// The text as given.
        text: String,
        /// The units that would do.
        known: String,
    },
    /// A unit that this quantity does not have.
    #[error("`{unit}` is not a unit of {what}: {right}")]
    UnknownUnit {
        /// The unit as given.
        unit: String,
        /// The quantity that was wanted.
        what: &'static str,
        /// What would be right.
        right: String,
    },
    /// A length where an angle is wanted, and the like.
    #[error("`{text}` is {found} and {wanted} is wanted: write it in one of {known}")]
    WrongKind {
        /// The text as given.
        text: String,
        /// What it is, as in `an angle`.
        found: String,
        /// What was wanted, as in `a length`.
        wanted: String,
        /// The units that would do.
        known: String,
    },
    /// Roentgen where dose is wanted. 1 mR counts as 1 mrem only where a rule of record says
    /// so, for the reading of a dosimeter or a meter, and never by the way.
    #[error("`{text}` is exposure in air, not {what}: write it in one of {known}")]
    Exposure {
        /// The text as given.
        text: String,
        /// The quantity that was wanted.
        what: &'static str,
        /// The units that would do.
        known: String,
    },
    /// More decimals than can be kept. Rounding it silently would change what was written.
    #[error("`{text}` is finer than can be kept: `{unit}` takes {decimals} decimals at most")]
    TooFine {
        /// The text as given.
        text: String,
        /// The unit it was read in.
        unit: &'static str,
        /// How many decimals that unit always takes.
        decimals: u32,
    },
    /// A number beyond what an entry can carry (2^53 - 1 of the smallest unit).
    #[error("`{text}` is larger than a ledger can hold: look at the number and its unit")]
    TooLarge {
        /// The text as given.
        text: String,
    },
    /// Exposure and dose compared or subtracted: one of the two readings has the wrong unit.
    #[error("`{first}` and `{second}` cannot be set against each other: one is exposure")]
    ExposureAgainstDose {
        /// The first of the two, as printed.
        first: String,
        /// The second, as printed.
        second: String,
    },
    /// A computation that does not fit.
    #[error(transparent)]
    Overflow(#[from] Overflow),
}
