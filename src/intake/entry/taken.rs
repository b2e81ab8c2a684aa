//! What was taken in: each entry, whether it is new, and what is told of it.

use crate::ledger::Written;

pub(crate) fn taken(
    kind: &'static str,
    key: String,
    written: Written,
    head: (i64, crate::ledger::Hash),
) -> Taken {
    let mut taken = Taken::default();
    taken.put(None, kind, key, written);
    taken.ending(head)
}

/// One record that was taken in, or was there already.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TakenItem {
    /// The line of the file.
    pub line: Option<u64>,
    /// The kind's word.
    pub kind: &'static str,
    /// Its name.
    pub key: String,
    /// What the ledger did.
    pub written: Written,
}

/// What an intake did.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Taken {
    /// Every record, in the order of the rows.
    pub items: Vec<TakenItem>,
    /// The head of the ledger after it: entry count and hash, as printed.
    pub head: String,
    /// What was written and is held: the item and why.
    pub held: Vec<String>,
    /// What else whoever wrote it has to be told.
    pub notes: Vec<String>,
}

impl Taken {
    /// One more record.
    pub(crate) fn put(
        &mut self,
        line: Option<u64>,
        kind: &'static str,
        key: String,
        written: Written,
    ) {
        self.items.push(TakenItem {
            line,
            kind,
            key,
            written,
        });
    }

    /// All of it, with the head of the ledger after it.
    pub(crate) fn ending(mut self, (count, hash): (i64, crate::ledger::Hash)) -> Taken {
        self.head = crate::ledger::head_text(count, &hash);
        self
    }

    /// What was taken after it.
    pub(crate) fn add(&mut self, next: Taken) {
        self.items.extend(next.items);
        self.held.extend(next.held);
        self.notes.extend(next.notes);
        self.head = next.head;
    }

    /// The entries that are new: what was there already was told when it came.
    pub fn new_entries(&self) -> Vec<i64> {
        let new = self.items.iter().map(|item| item.written);
        let new = new.filter(|it| matches!(it, Written::New { .. }));
        new.map(Written::entry).collect()
    }

    /// How many are new.
    pub fn new_count(&self) -> usize {
        self.new_entries().len()
    }
}
