//! What settles a shift whose dosimeters give no dose that can be relied on: a
//! determination, or the RSO's acceptance or settlement of the badge's result.

use std::collections::BTreeSet;

use crate::calendar::Span;
use crate::dose::input::{
    BadgeKind, Counting, History, Reading, Relation, Scope, Shift, WearPeriod,
};
use crate::rule::Quantity;

/// Findings of a sheet that end when the dose of the shift is determined.
pub const SETTLED_BY_A_DOSE: [&str; 3] =
    ["off-scale", "electronic-over-shift-limit", "no-dosimeter"];

/// The entries that settle a finding of this key about a shift of this sheet.
/// Nothing while any part of it is open, and for findings that no dose settles.
pub fn settled_by(history: &History, check: &str, sheet: i64) -> Option<BTreeSet<i64>> {
    let work = history.shifts.iter().find(|it| it.sheet == sheet)?;
    match check {
        "off-scale" => {
            let mut entries = BTreeSet::new();
            let off_scale = |it: &&Reading| it.off_scale && !it.is_ruled_out();
            for it in work.readings.iter().filter(off_scale) {
                entries.insert(reading(history, work, it)?);
            }
            (!entries.is_empty()).then_some(entries)
        }
        "electronic-over-shift-limit" => any_reading(history, work).map(|it| [it].into()),
        "no-dosimeter" => whole(history, work).map(|it| [it].into()),
        _ => None,
    }
}

/// What settles one reading of a shift.
pub(super) fn reading(history: &History, work: &Shift, of: &Reading) -> Option<i64> {
    resolved(history, work, |scope| match scope {
        Scope::Reading {
            sheet,
            dosimeter,
            part,
        } => (*sheet, *dosimeter, *part) == (work.sheet, of.record, of.part),
        scope => is_whole(history, scope, work),
    })
}

/// What settles a shift of which some reading is too high to pass.
pub(super) fn any_reading(history: &History, work: &Shift) -> Option<i64> {
    resolved(history, work, |scope| match scope {
        Scope::Reading { sheet, .. } => *sheet == work.sheet,
        scope => is_whole(history, scope, work),
    })
}

fn whole(history: &History, work: &Shift) -> Option<i64> {
    resolved(history, work, |scope| is_whole(history, scope, work))
}

/// Whether a scope holds the whole of a shift.
fn is_whole(history: &History, scope: &Scope, work: &Shift) -> bool {
    match scope {
        Scope::Shift { sheet } => *sheet == work.sheet,
        Scope::Event { sheet, .. } => *sheet == Some(work.sheet),
        Scope::Span(span) => span.contains(work.day),
        // What was determined of a badge still worn replaces no reading.
        Scope::WearPeriod(record) => badge_of(history, work).is_some_and(|it| {
            let days = history.facts.dosimetry.worn_days(it);
            it.record == *record && days.last != Span::OPEN_END
        }),
        Scope::Reading { .. } => false,
    }
}

/// The badge that was worn on a shift; of two the later issued.
fn badge_of<'h>(history: &'h History, work: &Shift) -> Option<&'h WearPeriod> {
    let dosimetry = &history.facts.dosimetry;
    let wear = dosimetry.wear.iter();
    wear.filter(|_| work.badge_worn == Some(true))
        .filter(|it| it.is_own() && it.kind == BadgeKind::WholeBody)
        .filter(|it| it.counting == Counting::Counts)
        .filter(|it| dosimetry.worn_days(it).contains(work.day))
        .max_by_key(|it| (it.first, it.record))
}

fn resolved(history: &History, work: &Shift, this: impl Fn(&Scope) -> bool) -> Option<i64> {
    let facts = &history.facts;
    let badge = badge_of(history, work);
    let of_badge = || {
        facts.dosimetry.results.iter().filter(|it| {
            badge.is_some_and(|badge| it.wear == Some(badge.record))
                && it.counting == Counting::Counts
                && it.doses.deep.is_some()
        })
    };
    // What stands until a result stands no longer once there is one: then the
    // result does, from the moment at which the RSO accepts it.
    let overtaken = of_badge().next().is_some();
    let determined = facts.dosimetry.determinations.iter().find(|one| {
        one.quantity == Quantity::Deep
            && match one.relation {
                Relation::Replaces => true,
                Relation::UntilResult => !overtaken,
                Relation::Adds => false,
            }
            && one.stands_for(facts.record)
            && this(&one.scope)
    });
    if let Some(one) = determined {
        return Some(one.entry);
    }
    let badge = badge?;
    let settlements = &facts.dosimetry.settlements;
    let settled = || settlements.iter().find(|it| it.wear == badge.record);
    of_badge()
        .find_map(|it| it.accepted)
        .or_else(|| settled().map(|it| it.entry))
}
