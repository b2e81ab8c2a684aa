//! What was decided between records that contradict each other: which are out,
//! which speak only for the rest, which were chosen.

use std::collections::{BTreeMap, BTreeSet};

use crate::dose::input::{Chosen, Counting, Determination, Dosimetry, History, Scope};
use crate::dose::resolve::claim::Rank;
use crate::dose::resolve::figure::{ByShift, sheet_of};
use crate::dose::resolve::{Live, wearing};
use crate::quantity::Overflow;

/// The decisions that hold.
#[derive(Clone, Debug, Default)]
pub(crate) struct Decisions {
    /// What was set aside or superseded, and the entry that says so.
    out: BTreeMap<i64, i64>,
    /// What was chosen to stand, and the entry that says so.
    chosen: BTreeMap<i64, i64>,
    /// One that speaks for the rest, and those that speak for their own.
    rest: BTreeMap<i64, BTreeSet<i64>>,
}

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

    fn take(&mut self, entry: i64, step: Step) {
        for stands in &step.stands {
            self.out.remove(stands);
            self.chosen.insert(*stands, entry);
            self.rest.remove(stands);
        }
        for aside in step.set_aside {
            self.out.insert(aside, entry);
            self.chosen.remove(&aside);
        }
        if let Some(rest) = step.rest {
            let others = step.stands.iter().copied().filter(|it| *it != rest);
            self.rest.insert(rest, others.collect());
        }
    }

    /// Whether a result or determination was set aside or superseded.
    pub(crate) fn is_out(&self, entry: i64) -> bool {
        self.out.contains_key(&entry)
    }

    /// The entry by which it was.
    pub(super) fn out_by(&self, entry: i64) -> Option<i64> {
        self.out.get(&entry).copied()
    }

    /// Which of several determinations of one thing goes on speaking while they
    /// contradict each other, the least: what the RSO chose to stand before what was told
    /// first.
    pub(super) fn rank(&self, one: &Determination) -> Rank {
        let chosen = self.chosen.contains_key(&one.entry);
        (!chosen, (one.record, one.entry))
    }

    /// The entry by which the RSO chose it to stand.
    pub(crate) fn chosen_by(&self, entry: i64) -> Option<i64> {
        self.chosen.get(&entry).copied()
    }

    /// Those for whose shifts one that speaks for the rest does not speak.
    pub(super) fn beside(&self, rest: i64) -> impl Iterator<Item = i64> {
        let others = self.rest.get(&rest).into_iter().flatten().copied();
        others.filter(|it| !self.out.contains_key(it))
    }
}

struct Step {
    stands: Vec<i64>,
    rest: Option<i64>,
    set_aside: Vec<i64>,
}

impl Step {
    fn of(stands: &[i64], rest: Option<i64>, set_aside: &[i64]) -> Step {
        Step {
            stands: stands.to_vec(),
            rest,
            set_aside: set_aside.to_vec(),
        }
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
