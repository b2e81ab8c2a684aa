//! Why the conservative total counts more than the account.

/// Why the conservative total is above the account.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Why {
    /// A held reading counts until somebody rules.
    Held,
    /// A reading lacks an end, and what its dosimeter's face showed counts.
    ReadingIncomplete,
    /// A night shift that began the day before ran into the span.
    OverMidnight,
    /// A lump whose period the span cuts counts whole.
    WholeLump,
    /// A result counts with the readings beside it, the higher of the two,
    /// until the RSO accepts it.
    ResultNotAccepted,
    /// A result below the minimum counts as the minimum, or as the readings.
    BelowMinimum,
    /// Results and determinations contradict each other: the highest that they
    /// could make together.
    Conflict,
    /// A dosimeter was found to read low.
    ReadsLow,
    /// A determination that only stands until a result comes, and readings
    /// above it.
    UntilResult,
    /// A determination gives a range, whose high end counts, or only what the dose
    /// is above.
    Range,
    /// A badge that was worn at the same time has more, or may have.
    OtherBadge,
    /// A badge of another employer over the same shifts, of which nobody said
    /// whether it measured the same dose.
    Elsewhere,
    /// A determination by the person of their own dose, without a second
    /// person.
    NoSecondPerson,
}
