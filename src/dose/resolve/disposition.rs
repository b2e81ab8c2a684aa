//! What records would speak for if a badge on hold were ruled out: the shifts on which it
//! may have been worn would then be another's.
//!
//! The conservative total counts no less than either disposition would leave. As long as nobody
//! ruled, each way in which the shifts may come to lie is a world of its own, and what could be
//! right in one is not added to what could be right in another.

use crate::dose::input::{Counting, Dosimetry, History};
use crate::dose::resolve::by_shift::ByShift;
use crate::dose::resolve::live::Live;
use crate::dose::resolve::wearing;
use crate::quantity::Overflow;

/// Worlds in which a voice may be right, as bits.
pub(super) type Worlds = u32;

/// The world in which nobody has ruled.
pub(super) const AS_IT_STANDS: Worlds = 1;

/// All of them.
pub(super) const EVERY: Worlds = Worlds::MAX;

/// Each badge alone is ruled out in a world of its own while the worlds are so few; else
/// all of them are in one.
const MOST_WORLDS: usize = 16;

/// The records as they would be with badges ruled out.
pub(super) struct RuledOut {
    pub(super) dosimetry: Dosimetry,
    pub(super) live: Vec<Live>,
    pub(super) with: Vec<Vec<usize>>,
}

/// One for each own badge on hold, and one for all of them.
pub(super) fn ruled_out(
    history: &History,
    by_shift: &ByShift<'_>,
) -> Result<Vec<RuledOut>, Overflow> {
    let dosimetry = &history.facts.dosimetry;
    let wear = dosimetry.wear.iter().enumerate();
    let held = wear.filter(|(_, it)| it.is_own() && it.counting == Counting::Held);
    let held: Vec<usize> = held.map(|(at, _)| at).collect();
    let mut sets = Vec::new();
    if held.len() < MOST_WORLDS {
        sets.extend(held.iter().map(|at| vec![*at]));
    }
    if held.len() > 1 {
        sets.push(held);
    }
    let mut worlds = Vec::with_capacity(sets.len());
    for set in sets {
        let mut dosimetry = dosimetry.clone();
        for (at, wear) in dosimetry.wear.iter_mut().enumerate() {
            if set.contains(&at) {
                wear.counting = Counting::RuledOut;
            }
        }
        let live = wearing::live(&dosimetry, &history.shifts, by_shift)?;
        let with = wearing::all_worn_with(&dosimetry);
        worlds.push(RuledOut {
            dosimetry,
            live,
            with,
        });
    }
    Ok(worlds)
}
