//! What became of something that was to be written.

use crate::record::RecordId;

/// What came of an append.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Written {
    /// A new entry.
    New {
        /// Its number.
        entry: i64,
        /// The record that it belongs to.
        record: RecordId,
    },
    /// The ledger says that already; nothing was written.
    Already {
        /// The entry that says it.
        entry: i64,
        /// The record.
        record: RecordId,
        /// The newest entry of the record, where it is a later one.
        corrected_by: Option<i64>,
    },
}

impl Written {
    /// The record that was written or found.
    pub fn record(self) -> RecordId {
        match self {
            Written::New { record, .. } | Written::Already { record, .. } => record,
        }
    }

    /// The entry that was written or found.
    pub fn entry(self) -> i64 {
        match self {
            Written::New { entry, .. } | Written::Already { entry, .. } => entry,
        }
    }

    /// The entry that is in force for what was handed in: of a version that was amended the
    /// newest.
    pub fn standing(self) -> i64 {
        match self {
            Written::Already {
                corrected_by: Some(by),
                ..
            } => by,
            other => other.entry(),
        }
    }
}
