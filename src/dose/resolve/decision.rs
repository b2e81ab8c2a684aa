//! What was decided between records that contradict each other: which are out,
//! which speak only for the rest, which were chosen.

use std::collections::{BTreeMap, BTreeSet};

use crate::dose::input::Determination;

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
    pub(super) fn take(&mut self, entry: i64, step: Step) {
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

/// One decision, before it is taken.
pub(super) struct Step {
    pub(super) stands: Vec<i64>,
    rest: Option<i64>,
    set_aside: Vec<i64>,
}

impl Step {
    pub(super) fn of(stands: &[i64], rest: Option<i64>, set_aside: &[i64]) -> Step {
        Step {
            stands: stands.to_vec(),
            rest,
            set_aside: set_aside.to_vec(),
        }
    }
}

/// Whether the RSO chose it, and when it was told: the least goes on speaking.
pub(super) type Rank = (bool, (i64, i64));
