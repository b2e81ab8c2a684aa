//! What a person decides about what the program says: answers to findings and
//! dispositions on held items. The reason stands in the entry's header.

use serde::{Deserialize, Serialize};

use super::field::{Shape, fields};
use super::words::words;
use super::{Held, Id, Kind, Problem, Record, RecordId};

/// The answer to one finding. It holds as long as the entries that the finding
/// speaks of stay as they are: the finding's key names them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Decision {
    /// What was decided and why.
    pub answer: String,
    /// The finding's key: check, subject, entries.
    pub finding: String,
}

fields! { Decision {
    answer.needs("what was decided and why"),
    finding.needs("the finding's key, as `findings` prints it"),
} }

words! {
    /// What is done with a held item.
    Outcome {
        /// It counts as it stands.
        Counts = "counts",
        /// It does not count.
        DoesNotCount = "does not count",
    }
}

/// A disposition on one held item of one version of a sheet, a badge or a result. When
/// that is amended, its items are looked at anew.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Disposition {
    /// The entry that holds the item.
    pub entry: RecordId,
    /// Which of its held items, counted from 1.
    pub item: i64,
    /// What is done with it.
    pub outcome: Outcome,
    /// Why.
    pub reason: String,
    /// The sheet, badge, result or source.
    pub record: Id<Held>,
}

fields! { Disposition {
    entry.written(Shape::Entry).fixed(),
    item.fixed(),
    outcome,
    reason.needs("why it counts or does not count"),
    record.fixed(),
} }

impl Record for Decision {
    const KIND: Kind = Kind::Decision;

    fn key(&self) -> String {
        self.finding.clone()
    }
}

/// Nothing has more doubtful items than this.
const MOST_ITEMS: i64 = 1_000_000;

impl Record for Disposition {
    const KIND: Kind = Kind::Disposition;

    fn key(&self) -> String {
        format!("{}.{}", self.entry, self.item)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        if !(1..=MOST_ITEMS).contains(&self.item) {
            problems.push(Problem::new(
                "item",
                self.item.to_string(),
                "is not an item that can be on hold",
                "the number that `held` lists, counted from 1",
            ));
        }
        problems
    }
}
