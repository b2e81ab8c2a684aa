//! Plain words on where each part of an account comes from, down to the
//! entries.

use crate::calendar::Span;
use crate::dose::input::{
    BadgeResult, Determination, History, Relation, Reported, Scope, Unstated, WearPeriod,
};
use crate::dose::resolve::share::Shares;
use crate::dose::resolve::{Resolved, Source};
use crate::dose::shift;
use crate::dose::total::{PerQuantity, QUANTITIES};
use crate::quantity::Dose;
use crate::record::Words;
use crate::rule::{Quantity, Terms};

/// The words of a shift that speaks for itself.
pub(crate) fn shift(history: &History, resolved: &Resolved, at: usize) -> Vec<String> {
    let Some(live) = resolved.live.get(at) else {
        return Vec::new();
    };
    let Some(work) = history.shifts.get(live.at) else {
        return Vec::new();
    };
    let mut words = vec![format!(
        "{} {} shift of {}",
        work.work.word(),
        work.shift.word(),
        work.day
    )];
    words.extend(shift::explain(work));
    for one in &history.facts.dosimetry.determinations {
        let names = match one.scope {
            Scope::Reading { sheet, .. } | Scope::Shift { sheet } => sheet == work.sheet,
            Scope::Event { sheet, .. } => sheet == Some(work.sheet),
            Scope::WearPeriod(_) | Scope::Span(_) => false,
        };
        if names && one.relation != Relation::Adds {
            words.push(determination(one, history));
        }
    }
    if live.special {
        words.push("planned special exposure: counted apart".to_string());
    } else if !history.facts.dosimetry.wear.is_empty() && work.badge_worn.is_none() {
        words.push("the sheet does not say whether the badge was worn: it adds".to_string());
    } else if work.badge_worn == Some(false) {
        words.push("the badge was not worn: no result speaks for this shift".to_string());
    }
    words
}

/// The words of a lump.
pub(crate) fn lump(
    history: &History,
    resolved: &Resolved,
    source: Source,
    whole: Span,
    span: Span,
) -> Vec<String> {
    let mut words = origin(history, source);
    let lumps = QUANTITIES.iter().map(|it| &resolved.of.get(*it).lumps);
    let mut lumps = lumps.flatten();
    let lump = lumps.find(|it| it.source == source && it.days == whole);
    let members: &[usize] = lump.map(|it| it.members.as_slice()).unwrap_or_default();
    let entries: Vec<String> = members
        .iter()
        .filter_map(|at| resolved.live.get(*at))
        .map(|live| live.entry.to_string())
        .collect();
    if !entries.is_empty() {
        let shifts = match entries.len() {
            1 => "1 shift: entry".to_owned(),
            count => format!("{count} shifts: entries"),
        };
        words.push(format!("covers {shifts} {}", entries.join(", ")));
    }
    let part = whole.common(&span);
    if let (Some(part), Some(lump)) = (part, lump)
        && (part != whole || lump.apart > Dose::ZERO || !lump.whole)
    {
        words.push(match &lump.shares {
            Shares::Days => format!(
                "apportioned: {} of the {} of the period",
                part.days(),
                crate::text::counted(whole.days(), "day", "days")
            ),
            Shares::Stretches(_) => "apportioned by days: for the others of its period another \
                                     badge has more"
                .to_owned(),
            Shares::Shifts(shares) => {
                let inside = shares
                    .iter()
                    .filter(|it| span.contains(it.day) && !it.special);
                format!(
                    "apportioned by the readings: {} of the {}",
                    inside.count(),
                    crate::text::counted(shares.len(), "shift", "shifts")
                )
            }
        });
    }
    if let Source::Prior(at) = source
        && let Some(prior) = history.facts.prior.get(at)
    {
        let name = |it| history.facts.terms.dose(it);
        match (prior.deep, prior.lens, prior.shallow) {
            (None, _, _) => {
                words.push(format!("{} not stated: undetermined", name(Quantity::Deep)))
            }
            (Some(_), Some(_), Some(_)) => {}
            _ => words.push(format!(
                "lens or {} not stated: the {} stands in",
                name(Quantity::Shallow),
                name(Quantity::Deep)
            )),
        }
    }
    words
}

/// The words of what a badge worn at the same time as another has above it.
pub(crate) fn above(history: &History, source: Source) -> Vec<String> {
    let mut words = origin(history, source);
    let own = wear_of(history, source).is_some_and(WearPeriod::is_own);
    let together = match own {
        true => "worn together with a ring: only what it has above the ring adds",
        false => "worn together with the own badge: only what it has above the own dose adds",
    };
    words.push(together.to_string());
    words
}

/// The badge that a result or a determination is about.
fn wear_of(history: &History, source: Source) -> Option<&WearPeriod> {
    let dosimetry = &history.facts.dosimetry;
    let record = match source {
        Source::Result(at) => dosimetry.results.get(at)?.wear?,
        Source::Determination(at) => match dosimetry.determinations.get(at)?.scope {
            Scope::WearPeriod(record) => record,
            _ => return None,
        },
        Source::Prior(_) => return None,
    };
    dosimetry.wear.iter().find(|it| it.record == record)
}

/// Where a lump comes from, in one or two lines.
pub(crate) fn origin(history: &History, source: Source) -> Vec<String> {
    let dosimetry = &history.facts.dosimetry;
    match source {
        Source::Prior(at) => history.facts.prior.get(at).map_or(Vec::new(), |prior| {
            let days = format!("{} to {}", prior.first, prior.last);
            match &prior.opening {
                None => vec![format!("{days} with {}", prior.employer)],
                Some(basis) => vec![
                    format!("opening total of {days}, before this ledger: {basis}"),
                    "part of it is a share by days, an estimate".to_owned(),
                ],
            }
        }),
        Source::Determination(at) => match dosimetry.determinations.get(at) {
            Some(one) => vec![determination(one, history)],
            None => Vec::new(),
        },
        Source::Result(at) => dosimetry
            .results
            .get(at)
            .map_or(Vec::new(), |it| result(history, it)),
    }
}

fn badge(wear: &WearPeriod) -> String {
    let last = wear.last.map_or("now".to_string(), |last| last.to_string());
    format!("badge {} of {} to {last}", wear.badge, wear.first)
}

fn result(history: &History, result: &BadgeResult) -> Vec<String> {
    let wear = &history.facts.dosimetry.wear;
    let named = match wear.iter().find(|it| Some(it.record) == result.wear) {
        Some(wear) => badge(wear),
        None => format!(
            "a badge that was never issued, {} to {}",
            result.stated_days.first, result.stated_days.last
        ),
    };
    let accepted = match result.accepted {
        Some(entry) => format!("accepted by entry {entry}"),
        None => "not accepted yet".to_string(),
    };
    let mut words = vec![
        named,
        format!(
            "result reported on {}: {}; {accepted}",
            result.reported_on,
            stated(&result.doses, history)
        ),
    ];
    words.extend(unstated(result, history.facts.terms));
    words
}

/// What is taken for the lens and shallow dose that a report does not state.
fn unstated(result: &BadgeResult, terms: Terms) -> Option<String> {
    let missing: Vec<&str> = [Quantity::Lens, Quantity::Shallow]
        .into_iter()
        .filter(|it| result.doses.get(*it).is_none())
        .map(|it| terms.short(it))
        .collect();
    if missing.is_empty() || result.doses.deep.is_none() {
        return None;
    }
    let names = missing.join(" and ");
    Some(match result.unstated {
        Unstated::AsDeep => format!(
            "does not state the {names} dose: the {} is taken for it, by the convention for \
             photons",
            terms.dose(Quantity::Deep)
        ),
        Unstated::Nothing => {
            format!("does not state the {names} dose: the readings stand in")
        }
    })
}

fn stated(doses: &PerQuantity<Option<Reported>>, history: &History) -> String {
    let all: Vec<String> = QUANTITIES
        .iter()
        .filter_map(|it| Some((history.facts.terms.short(*it), doses.get(*it).as_ref()?)))
        .map(|(name, reported)| match reported {
            Reported::Dose(dose) => format!("{name} {}", print(*dose, history)),
            Reported::BelowMinimum { code, minimum } => format!(
                "{name} `{code}`, below the minimum of {}: counts as zero",
                print(*minimum, history)
            ),
        })
        .collect();
    if all.is_empty() {
        "no dose stated".to_string()
    } else {
        all.join(", ")
    }
}

/// What a record says, without its entry.
pub(crate) fn said(history: &History, source: Source) -> String {
    match source {
        Source::Determination(at) => {
            let one = history.facts.dosimetry.determinations.get(at);
            one.map_or(String::new(), |one| determined(one, history))
        }
        _ => origin(history, source).join("; "),
    }
}

fn determination(one: &Determination, history: &History) -> String {
    format!("entry {}: {}", one.entry, determined(one, history))
}

fn determined(one: &Determination, history: &History) -> String {
    let relation = match one.relation {
        Relation::Replaces => "replaces what else is known",
        Relation::Adds => "adds",
        Relation::UntilResult => "stands until a result comes",
    };
    let scope = match one.scope {
        Scope::Reading { .. } => "of a reading".to_string(),
        Scope::Shift { .. } => "of a shift".to_string(),
        Scope::WearPeriod(record) => {
            let wear = &history.facts.dosimetry.wear;
            match wear.iter().find(|it| it.record == record) {
                Some(wear) => format!("for {}", badge(wear)),
                None => "for a wear period".to_string(),
            }
        }
        Scope::Event { day, .. } => format!("of an event of {day}"),
        Scope::Span(span) => format!("for {} to {}", span.first, span.last),
    };
    let name = history.facts.terms.dose(one.quantity);
    let mut words = format!(
        "{name} {scope} determined as {}; {relation}",
        reach(one, history)
    );
    if !one.stands_for(history.facts.record) {
        words.push_str("; of their own dose without a second person: does not stand");
    }
    words
}

/// A determined dose with its range.
fn reach(one: &Determination, history: &History) -> String {
    let dose = print(one.dose, history);
    match (one.open, one.is_exact()) {
        (true, _) => format!("at least {dose}, no upper bound"),
        (false, false) => format!(
            "{dose}, at most {}, which counts for duties and levels",
            print(one.at_most, history)
        ),
        (false, true) => dose,
    }
}

/// A dose in the ledger's unit.
fn print(dose: Dose, history: &History) -> String {
    match history.facts.unit {
        Some(unit) => dose.display(unit),
        None => dose.display_with_si(),
    }
}

/// Whether a shift has readings on an exposure scale.
pub(crate) fn shows_exposure(history: &History, at: usize) -> bool {
    history.shifts.get(at).is_some_and(|work| {
        work.readings.iter().any(|reading| {
            [reading.start, reading.end]
                .into_iter()
                .flatten()
                .any(|shown| shown.is_exposure())
        })
    })
}
