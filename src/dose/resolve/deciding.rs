//! How what was decided is read from a worker's records.

use std::collections::BTreeSet;

use crate::dose::input::{Chosen, Counting, Determination, Dosimetry, History, Scope};
use crate::dose::resolve::by_shift::{ByShift, sheet_of};
use crate::dose::resolve::decision::{Decisions, Step};
use crate::dose::resolve::live::Live;
use crate::dose::resolve::wearing;
use crate::quantity::Overflow;

impl Decisions {
    /// Those of one worker's records.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub(crate) fn of_history(history: &History) -> Result<Decisions, Overflow> {
        let facts = &history.facts;
        let all = ByShift::new(&facts.dosimetry, facts.record, &Decisions::default());
        let live = wearing::live(&facts.dosimetry, &history.shifts, &all)?;
        Ok(Decisions::of(&facts.dosimetry, facts.record, &live))
    }

    /// Supersessions and resolutions in the order in which they were written:
    /// the later has the last word on what it names.
    pub(super) fn of(dosimetry: &Dosimetry, worker: i64, live: &[Live]) -> Decisions {
        let mut decisions = Decisions::default();
        let standing = |one: &&Determination| one.stands_for(worker);
        let results = dosimetry.results.iter();
        let current: BTreeSet<i64> = results
            .filter(|it| it.counting != Counting::RuledOut)
            .map(|it| it.entry)
            .chain(
                dosimetry
                    .determinations
                    .iter()
                    .filter(standing)
                    .map(|it| it.entry),
            )
            .collect();
        let mut steps: Vec<(i64, Step)> = Vec::new();
        for one in dosimetry.determinations.iter().filter(standing) {
            if !one.supersedes.is_empty() {
                let step = Step::of(&[], None, &one.supersedes);
                steps.push((one.entry, step));
            }
        }
        for one in &dosimetry.resolutions {
            let step = match &one.of {
                Chosen::Entries {
                    stands,
                    rest,
                    set_aside,
                } => Step::of(stands, *rest, set_aside),
                Chosen::OfBadge { wear, result } => {
                    match of_badge(dosimetry, live, *wear, *result, one.entry) {
                        Some(step) => step,
                        None => continue,
                    }
                }
            };
            steps.push((one.entry, step));
        }
        steps.sort_by_key(|(entry, _)| *entry);
        for (entry, step) in steps {
            if step.stands.iter().all(|it| current.contains(it)) {
                decisions.take(entry, step);
            }
        }
        decisions
    }
}

/// The choice of an earlier form: of all that spoke of a badge's shifts before
/// it, the newest result or the determinations.
fn of_badge(
    dosimetry: &Dosimetry,
    live: &[Live],
    wear: i64,
    result: bool,
    before: i64,
) -> Option<Step> {
    let at = dosimetry.wear.iter().position(|it| it.record == wear)?;
    let days = dosimetry.worn_days(dosimetry.wear.get(at)?);
    let on_its_shifts = |sheet: i64| {
        let worn = |it: &&Live| it.trunk == Some(at) || it.ring == Some(at);
        live.iter().filter(worn).any(|it| it.sheet == sheet)
    };
    let touches = |one: &&Determination| match one.scope {
        Scope::WearPeriod(record) => record == wear,
        Scope::Span(span) => span.overlaps(&days),
        scope => sheet_of(&scope).is_some_and(on_its_shifts),
    };
    let mut results: Vec<i64> = dosimetry
        .results
        .iter()
        .filter(|it| it.wear == Some(wear) && it.entry < before)
        .map(|it| it.entry)
        .collect();
    results.sort_unstable();
    let determined = dosimetry.determinations.iter().filter(touches);
    let determined: Vec<i64> = determined
        .map(|it| it.entry)
        .filter(|it| *it < before)
        .collect();
    if !result {
        return (!determined.is_empty()).then(|| Step::of(&determined, None, &results));
    }
    let newest = results.pop()?;
    results.extend(determined);
    Some(Step::of(&[newest], None, &results))
}
