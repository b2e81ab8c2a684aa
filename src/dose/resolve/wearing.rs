//! Which badge a shift was worn with, settled from all of a worker's badges.
//!
//! The badge that the sheet names; else the one on issue by actual issue and
//! return, and where no return is recorded by the planned dates. Where two are
//! on issue, as on the day of an exchange or before a late return, the one
//! issued later. A shift after an early return belongs to none: its readings
//! add.

use crate::calendar::Span;
use crate::dose::input::{
    BadgeKind, Counting, Dosimetry, History, PlannedSpecialExposure, Shift, WearPeriod,
};
use crate::dose::resolve::Live;
use crate::dose::resolve::figure::ByShift;
use crate::dose::shift::held_at_most;
use crate::quantity::Overflow;

/// The shifts that the person was on, ascending by day, with the badges worn.
pub(super) fn live(history: &History, by_shift: &ByShift<'_>) -> Result<Vec<Live>, Overflow> {
    let dosimetry = &history.facts.dosimetry;
    let special = authorized(dosimetry);
    let trunks = own(dosimetry, BadgeKind::WholeBody);
    let rings = own(dosimetry, BadgeKind::Extremity);
    let mut places: Vec<(usize, &Shift)> = history.shifts.iter().enumerate().collect();
    places.sort_by_key(|(_, shift)| (shift.day, shift.sheet));
    let mut live = Vec::with_capacity(places.len());
    for (at, shift) in places {
        let Some(dose) = by_shift.plain(shift)? else {
            continue;
        };
        live.push(Live {
            at,
            day: shift.day,
            entry: shift.entry,
            sheet: shift.sheet,
            crosses: shift.crosses_midnight,
            special: special.iter().any(|days| days.contains(shift.day)),
            event: dosimetry.events.iter().any(|it| it.sheet == shift.sheet),
            worn: shift.badge_worn == Some(true),
            dose,
            waiting: held_at_most(shift, &dosimetry.reads_low)?,
            trunk: trunk(dosimetry, &trunks, shift),
            // The sheet's word is about the badge on the trunk. A ring on
            // issue is taken as worn: no reading could stand in for it.
            ring: badge_on(&rings, shift),
        });
    }
    Ok(live)
}

/// The own whole-body badge that was worn on a shift, by its place; none where
/// the sheet does not say that one was.
pub(crate) fn trunk_of(dosimetry: &Dosimetry, shift: &Shift) -> Option<usize> {
    trunk(dosimetry, &own(dosimetry, BadgeKind::WholeBody), shift)
}

/// Whether the badge that was worn on a shift is read on demand and goes to no processor.
pub(crate) fn is_read_on_demand(dosimetry: &Dosimetry, shift: &Shift) -> bool {
    let worn = trunk_of(dosimetry, shift).and_then(|at| dosimetry.wear.get(at));
    worn.is_some_and(|it| it.read_from.is_some())
}

fn trunk(dosimetry: &Dosimetry, trunks: &[(usize, Span)], shift: &Shift) -> Option<usize> {
    if shift.badge_worn != Some(true) {
        return None;
    }
    let named = shift.badge.as_ref().and_then(|number| {
        trunks.iter().find(|(at, _)| {
            dosimetry.wear.get(*at).is_some_and(|it| {
                it.badge.eq_ignore_ascii_case(number) && reach(dosimetry, it).contains(shift.day)
            })
        })
    });
    named.map(|(at, _)| *at).or_else(|| badge_on(trunks, shift))
}

/// The days on which a badge can have been worn at all: as planned, or as
/// issued and returned.
pub(super) fn reach(dosimetry: &Dosimetry, wear: &WearPeriod) -> Span {
    let worn = dosimetry.worn_days(wear);
    Span {
        first: worn.first,
        last: wear.planned_last.map_or(worn.last, |it| it.max(worn.last)),
    }
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
