//! Records that contradict each other. Nothing is chosen in silence: the
//! account keeps what stood before, the safe side takes the higher, and the
//! conflict stays open until the RSO settles it.

use crate::calendar::Span;
use crate::quantity::Dose;
use crate::rule::Quantity;

/// What contradicts what.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dispute {
    /// A result and a determination that replaces. The account keeps the
    /// determination, and the readings of the other shifts beside it.
    ResultAndDetermination,
    /// Two reports of one badge, neither of which corrects the other. The
    /// account keeps the first.
    Results,
    /// Two determinations of one thing. The account keeps the first.
    Determinations,
    /// A shift was off-scale, not read or part of an event, and the readings
    /// of the others are above the result: nothing is left for it. The account
    /// keeps the readings.
    ReadingsAboveResult,
}

/// One open conflict in one quantity.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Conflict {
    /// What it is about.
    pub dispute: Dispute,
    /// The wear period's record; `None` for determinations of a single shift
    /// or span.
    pub wear: Option<i64>,
    /// The days that it touches.
    pub days: Span,
    /// The quantity.
    pub quantity: Quantity,
    /// The results and determinations, by their entries, ascending.
    pub entries: Vec<i64>,
    /// The same in plain words.
    pub words: String,
}

impl Conflict {
    pub(super) fn new(
        dispute: Dispute,
        wear: Option<i64>,
        days: Span,
        quantity: Quantity,
        sides: &[(i64, Dose)],
    ) -> Conflict {
        let mut entries: Vec<i64> = sides.iter().map(|(entry, _)| *entry).collect();
        entries.sort_unstable();
        entries.dedup();
        let said: Vec<String> = sides
            .iter()
            .map(|(entry, dose)| format!("entry {entry} has {}", dose.display_with_si()))
            .collect();
        let what = match dispute {
            Dispute::ResultAndDetermination => {
                "a result and a determination; the determination is kept"
            }
            Dispute::Results => "two reports of one badge; the first is kept",
            Dispute::Determinations => "two determinations; the first is kept",
            Dispute::ReadingsAboveResult => {
                "a shift without an upper bound, and the readings of the others are above the \
                 result; the readings are kept"
            }
        };
        let last = if days.last == Span::OPEN_END {
            "now".to_string()
        } else {
            days.last.to_string()
        };
        Conflict {
            dispute,
            wear,
            days,
            quantity,
            entries,
            words: format!(
                "{} dose of {} to {last}: {what} until the RSO settles it ({})",
                quantity.name(),
                days.first,
                said.join(", ")
            ),
        }
    }
}
