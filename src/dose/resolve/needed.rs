//! Which shifts a question about some days needs.

use crate::calendar::Span;
use crate::dose::input::{Counting, Dosimetry, Scope, WearPeriod};
use crate::dose::resolve::wearing::{reach, together};

/// The days of which the shifts are needed so that every group that reaches
/// into a span is decided and apportioned as in the whole history. A loader
/// asks for these days, and for the badges that could have been worn on any of
/// them; with fewer, the shares of a cut would be wrong.
///
/// Two badges share no shift, so that one leads no further than its own days,
/// unless both were worn together or a determination of days reaches over both.
pub fn days_needed(dosimetry: &Dosimetry, span: Span) -> Span {
    let mut stretches = stretches(dosimetry);
    let mut edges = vec![(span, true)];
    let mut needed = span;
    while let Some((edge, reaches_badges)) = edges.pop() {
        needed = Span {
            first: needed.first.min(edge.first),
            last: needed.last.max(edge.last),
        };
        stretches.retain(|it| {
            let taken = it.days.overlaps(&edge) && (it.joins_badges || reaches_badges);
            if taken {
                edges.push((it.days, it.joins_badges));
            }
            !taken
        });
    }
    needed
}

/// Days of which something speaks.
struct Stretch {
    days: Span,
    /// Whether it can speak of the shifts of several badges.
    joins_badges: bool,
}

fn stretches(dosimetry: &Dosimetry) -> Vec<Stretch> {
    let determined = dosimetry
        .determinations
        .iter()
        .filter_map(|it| match it.scope {
            Scope::Span(span) => Some(span),
            _ => None,
        });
    let spares = dosimetry.results.iter().filter(|it| it.wear.is_none());
    let joining = determined.chain(spares.map(|it| it.stated_days));
    let badges = dosimetry.wear.iter().map(|wear| Stretch {
        days: days_of(dosimetry, wear),
        // It is weighed against what is counted of its days.
        joins_badges: !wear.is_own()
            || wear.counting != Counting::Counts
            || (dosimetry.wear.iter()).any(|it| together(dosimetry, wear, it)),
    });
    joining
        .map(|days| Stretch {
            days,
            joins_badges: true,
        })
        .chain(badges)
        .collect()
}

fn days_of(dosimetry: &Dosimetry, wear: &WearPeriod) -> Span {
    let mut days = reach(dosimetry, wear);
    if days.last == Span::OPEN_END {
        // Until something closes it, nothing is apportioned over it but what
        // was determined of it.
        let of_it = dosimetry
            .determinations
            .iter()
            .filter(|it| it.scope == Scope::WearPeriod(wear.record));
        let through = of_it.filter_map(|it| it.through).max();
        days.last = through.max(wear.planned_last).unwrap_or(days.first);
        days.last = days.last.max(days.first);
    }
    days
}
