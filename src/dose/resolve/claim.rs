//! Which badge a shift was worn with.

use crate::calendar::Span;
use crate::dose::input::{BadgeKind, Counting, Dosimetry, History, PlannedSpecialExposure, Shift};
use crate::dose::resolve::Live;
use crate::dose::resolve::figure::ByShift;
use crate::quantity::Overflow;

/// The shifts that the person was on, ascending by day, with the badges worn.
pub(super) fn live(history: &History, by_shift: &ByShift<'_>) -> Result<Vec<Live>, Overflow> {
    let dosimetry = &history.facts.dosimetry;
    let special = authorized(dosimetry);
    let trunks = own(dosimetry, BadgeKind::WholeBody);
    let rings = own(dosimetry, BadgeKind::Extremity);
    let mut places: Vec<(usize, &Shift)> = history.shifts.iter().enumerate().collect();
    places.sort_by_key(|(_, shift)| shift.day);
    let mut live = Vec::with_capacity(places.len());
    for (at, shift) in places {
        let Some(dose) = by_shift.plain(shift)? else {
            continue;
        };
        let worn = shift.badge_worn == Some(true);
        let event = dosimetry.events.iter().any(|it| it.sheet == shift.sheet);
        live.push(Live {
            at,
            day: shift.day,
            entry: shift.entry,
            crosses: shift.crosses_midnight,
            special: special.iter().any(|days| days.contains(shift.day)),
            event,
            dose,
            trunk: worn.then(|| badge_on(&trunks, shift)).flatten(),
            // The sheet's word is about the badge on the trunk. A ring on
            // issue is taken as worn: no reading could stand in for it.
            ring: badge_on(&rings, shift),
        });
    }
    Ok(live)
}

/// The days that count apart.
pub(super) fn authorized(dosimetry: &Dosimetry) -> Vec<Span> {
    dosimetry
        .special
        .iter()
        .filter(|it| it.is_authorized())
        .map(|it: &PlannedSpecialExposure| it.days)
        .collect()
}

/// Own badges of one kind that count, by their places, the later issued first.
fn own(dosimetry: &Dosimetry, kind: BadgeKind) -> Vec<(usize, Span)> {
    let mut found: Vec<(usize, Span, i64)> = dosimetry
        .wear
        .iter()
        .enumerate()
        .filter(|(_, wear)| wear.is_own() && wear.kind == kind)
        .filter(|(_, wear)| wear.counting == Counting::Counts)
        .map(|(at, wear)| (at, dosimetry.worn_days(wear), wear.record))
        .collect();
    found.sort_by_key(|(_, days, record)| std::cmp::Reverse((days.first, *record)));
    found.into_iter().map(|(at, days, _)| (at, days)).collect()
}

fn badge_on(badges: &[(usize, Span)], shift: &Shift) -> Option<usize> {
    let from = badges.partition_point(|(_, days)| days.first > shift.day);
    badges
        .iter()
        .skip(from)
        .find(|(_, days)| days.contains(shift.day))
        .map(|(at, _)| *at)
}
