//! The plain model's figures of one shift alone.

use super::decided::Decided;
use super::draw::{About, Raw, RawFixed};

/// One shift's own figures.
#[derive(Clone, Debug, Default)]
pub(super) struct Own {
    pub(super) dose: i64,
    pub(super) open: bool,
    pub(super) record: bool,
    pub(super) held: bool,
    pub(super) safe: i64,
    pub(super) safe_open: bool,
    /// The determinations that take part.
    pub(super) by: Vec<RawFixed>,
    /// They are of the deep dose and stand in for the lens.
    pub(super) stands_in: bool,
    /// What each view of the shift says of how long they go on: one of them takes the
    /// place of readings, and they stand in.
    pub(super) views: Vec<(bool, bool)>,
    pub(super) contradict: bool,
    /// A determination of it says only what the dose is above.
    pub(super) above: bool,
    /// A determination of it is a range or above something.
    pub(super) wide: bool,
}

/// What a determination says: dose, most, without an upper bound.
fn says(one: &RawFixed) -> (i64, i64, bool) {
    (one.dose, one.high, one.above)
}

/// `until`, `deep`: whether those that stand until a result, and those of the
/// deep dose in place of the lens, take part.
pub(super) fn own(
    raw: &Raw,
    at: usize,
    lens: bool,
    decided: &Decided,
    ended: &dyn Fn(i64) -> (bool, bool),
) -> Own {
    let out = &decided.out;
    let shift = &raw.shifts[at];
    let about = |it: &&RawFixed| it.about == About::Reading(at) || it.about == About::Shift(at);
    let takes_part =
        |it: &&RawFixed| about(it) && !out.contains(&it.entry) && !(it.until && ended(it.entry).0);
    let mut by: Vec<RawFixed> = raw
        .fixed
        .iter()
        .filter(takes_part)
        .filter(|it| it.lens == lens)
        .cloned()
        .collect();
    let stands_in = lens && by.is_empty();
    if stands_in {
        by = raw
            .fixed
            .iter()
            .filter(takes_part)
            .filter(|it| !it.lens && !ended(it.entry).1)
            .cloned()
            .collect();
    }
    by.sort_by_key(|it| decided.rank(it.entry, it.told));
    let second = shift.second.unwrap_or(0);
    let held = shift.held.unwrap_or(0);
    let shows = shift.shows.unwrap_or(0);
    let readings = Own {
        dose: shows.max(second),
        open: shift.off(),
        record: false,
        held: shift.held.is_some(),
        safe: shows.max(second).max(held),
        safe_open: shift.off(),
        by: Vec::new(),
        stands_in: false,
        views: Vec::new(),
        contradict: false,
        above: false,
        wide: false,
    };
    let of = |reading: bool| -> Vec<&RawFixed> {
        by.iter()
            .filter(|it| (it.about == About::Reading(at)) == reading)
            .collect()
    };
    let (parts, whole) = (of(true), of(false));
    let mut found = readings.clone();
    let differ = |all: &[&RawFixed]| all.iter().any(|it| says(it) != says(all[0]));
    if let Some(first) = parts.first() {
        let highest = parts.iter().map(|it| it.high).max().unwrap();
        let floor = if parts.iter().any(|it| it.until) {
            shows
        } else {
            0
        };
        found.dose = first.dose.max(second);
        found.open = first.above || shift.beyond;
        found.record = !first.until && shift.second.is_none();
        found.safe = highest.max(floor).max(second).max(held);
        found.safe_open = shift.beyond || parts.iter().any(|it| it.above);
        found.contradict = differ(&parts);
    }
    if let Some(first) = whole.first() {
        let high = |it: &&RawFixed| it.high.max(if it.until { readings.safe } else { held });
        let highest = whole.iter().map(high).max().unwrap();
        let parts_safe = if parts.is_empty() { 0 } else { found.safe };
        let agree = parts.is_empty() || (found.dose, found.open) == (first.dose, first.above);
        found.contradict |= differ(&whole) || !agree;
        found.safe = highest.max(parts_safe);
        found.safe_open = by.iter().any(|it| it.above);
        if by[0].about == About::Shift(at) {
            found.dose = first.dose;
            found.open = first.above;
            found.record = !first.until;
            found.held = false;
        }
    }
    found.record &= !stands_in;
    found.above = by.iter().any(|it| it.above);
    found.wide = by.iter().any(|it| it.above || it.high != it.dose);
    if !by.is_empty() {
        found.views = vec![(by.iter().any(|it| !it.until), stands_in)];
    }
    found.by = by;
    found.stands_in = stands_in;
    found
}
