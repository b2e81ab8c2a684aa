//! Which badge a shift was worn with, resolved from all of a worker's badges.
//!
//! The badge that the sheet names; else the one on issue by actual issue and
//! return, and where no return is recorded by the planned dates. Where two are
//! on issue, as on the day of an exchange or before a late return, the one
//! issued later. A shift after an early return belongs to none: its readings
//! add.
//!
//! Of two badges that were worn together, the one issued while the other was
//! neither due nor handed in, both were worn on each such shift of which the sheet
//! names neither: they measured the same dose.

use crate::calendar::Span;
use crate::dose::input::{
    BadgeKind, Counting, Dosimetry, PlannedSpecialExposure, Shift, WearPeriod,
};
use crate::dose::resolve::by_shift::ByShift;
use crate::dose::resolve::live::Live;
use crate::dose::shift::held_at_most;
use crate::quantity::Overflow;

/// The shifts that the person was on, ascending by day, with the badges worn.
pub(super) fn live(
    dosimetry: &Dosimetry,
    shifts: &[Shift],
    by_shift: &ByShift<'_>,
) -> Result<Vec<Live>, Overflow> {
    let special = authorized(dosimetry);
    let trunks = own(dosimetry, BadgeKind::WholeBody);
    let rings = own(dosimetry, BadgeKind::Extremity);
    let mut places: Vec<(usize, &Shift)> = shifts.iter().enumerate().collect();
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
            named: named(dosimetry, &trunks, shift),
            // The sheet's word is about the badge on the trunk. A ring on
            // issue is taken as worn: no reading could stand in for it.
            ring: badge_on(dosimetry, &rings, shift),
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
    match named(dosimetry, trunks, shift) {
        // One on hold is nobody's to count: until it is ruled on the readings stand.
        Some(at) => Some(at).filter(|at| counts(dosimetry, *at)),
        None => badge_on(dosimetry, trunks, shift),
    }
}

/// The badge that the sheet names, where it could have been worn; one that counts
/// before one on hold.
fn named(dosimetry: &Dosimetry, trunks: &[(usize, Span)], shift: &Shift) -> Option<usize> {
    let number = shift.badge.as_ref()?;
    let could_be = |(at, _): &&(usize, Span)| {
        dosimetry.wear.get(*at).is_some_and(|it| {
            it.badge.eq_ignore_ascii_case(number) && reach(dosimetry, it).contains(shift.day)
        })
    };
    let all = || trunks.iter().filter(could_be).map(|(at, _)| *at);
    all().find(|at| counts(dosimetry, *at)).or(all().next())
}

fn counts(dosimetry: &Dosimetry, at: usize) -> bool {
    let wear = dosimetry.wear.get(at);
    wear.is_some_and(|it| it.counting == Counting::Counts)
}

/// Whether two own badges of one kind were worn at the same time. One that is handed in
/// late, or on the day on which the next is issued, was not.
pub(super) fn together(dosimetry: &Dosimetry, one: &WearPeriod, other: &WearPeriod) -> bool {
    let (first, later) = match (one.first, one.record) < (other.first, other.record) {
        true => (one, other),
        false => (other, one),
    };
    let of_one_type = one.is_own() && other.is_own() && one.kind == other.kind;
    let was_due = first.planned_last.is_some_and(|it| later.first >= it);
    if !of_one_type || one.record == other.record || was_due && first.first != later.first {
        return false;
    }
    let worn = dosimetry.worn_days(first);
    let due = first.planned_last.map_or(worn.last, |it| it.min(worn.last));
    later.first < due || worn == dosimetry.worn_days(later)
}

/// The badges, by their places, that were worn together with one.
pub(super) fn worn_with(dosimetry: &Dosimetry, at: usize) -> Vec<usize> {
    let Some(wear) = dosimetry.wear.get(at) else {
        return Vec::new();
    };
    let all = dosimetry.wear.iter().enumerate();
    all.filter(|(_, it)| it.counting != Counting::RuledOut && together(dosimetry, wear, it))
        .map(|(at, _)| at)
        .collect()
}

/// Of each badge, by its place, those that were worn together with it.
pub(super) fn all_worn_with(dosimetry: &Dosimetry) -> Vec<Vec<usize>> {
    let badges = 0..dosimetry.wear.len();
    badges.map(|at| worn_with(dosimetry, at)).collect()
}

/// Whether a badge that counts was worn on a shift: the shift is its own, or that of one
/// that was worn together with it.
pub(crate) fn was_worn(dosimetry: &Dosimetry, at: usize, live: &Live) -> bool {
    let days = dosimetry.wear.get(at).map(|it| dosimetry.worn_days(it));
    let beside = |of: usize| {
        let on_issue = days.is_some_and(|it| it.contains(live.day));
        on_issue && live.named.is_none() && worn_with(dosimetry, at).contains(&of)
    };
    live.trunk.is_some_and(|of| of == at || beside(of))
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

/// Own badges of one kind that count or may count, by their places, the later issued
/// first.
fn own(dosimetry: &Dosimetry, kind: BadgeKind) -> Vec<(usize, Span)> {
    let mut found: Vec<(usize, Span, i64)> = dosimetry
        .wear
        .iter()
        .enumerate()
        .filter(|(_, wear)| wear.is_own() && wear.kind == kind)
        .filter(|(_, wear)| wear.counting != Counting::RuledOut)
        .map(|(at, wear)| (at, dosimetry.worn_days(wear), wear.record))
        .collect();
    found.sort_by_key(|(_, days, record)| std::cmp::Reverse((days.first, *record)));
    found.into_iter().map(|(at, days, _)| (at, days)).collect()
}

/// Of those on issue that count the one issued last. One on hold leaves it the shift where
/// they were worn together; one that would take the shift from it leaves it to nobody.
fn badge_on(dosimetry: &Dosimetry, badges: &[(usize, Span)], shift: &Shift) -> Option<usize> {
    let from = badges.partition_point(|(_, days)| days.first > shift.day);
    let on_issue = badges
        .iter()
        .skip(from)
        .filter(|(_, days)| days.contains(shift.day));
    let mut held = Vec::new();
    for (at, _) in on_issue {
        let wear = dosimetry.wear.get(*at)?;
        if wear.counting == Counting::Held {
            held.push(wear);
            continue;
        }
        let all_together = held.iter().all(|it| together(dosimetry, wear, it));
        return all_together.then_some(*at);
    }
    None
}
