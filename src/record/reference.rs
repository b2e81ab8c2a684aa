//! How one record points to another.

use serde::{Deserialize, Serialize};

use super::Kind;

/// The identity of a record: the number of its first entry.
pub type RecordId = i64;

/// A pointer from a crew's sheet or a processor's report: to a record that the ledger knows, or the
/// words as written where it knows none. A crew's words are never refused for
/// an unknown name; they are held until somebody says who was meant.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Ref {
    /// A record, by its identity.
    Known(RecordId),
    /// What the sheet says, which the ledger does not know.
    Written(String),
}

impl Ref {
    /// The record, where it is known.
    pub fn known(&self) -> Option<RecordId> {
        match self {
            Ref::Known(id) => Some(*id),
            Ref::Written(_) => None,
        }
    }

    /// The words as written, where no record is known.
    pub fn written(&self) -> Option<&str> {
        match self {
            Ref::Known(_) => None,
            Ref::Written(words) => Some(words),
        }
    }
}

/// A reference that the ledger checks: the record must be in force and of one
/// of these kinds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pointer {
    /// The kinds that may stand there.
    pub kinds: &'static [Kind],
    /// The record.
    pub record: RecordId,
}

impl Pointer {
    /// A reference to a worker.
    pub fn worker(record: RecordId) -> Pointer {
        Pointer {
            kinds: &[Kind::Worker],
            record,
        }
    }

    /// A reference to an instrument.
    pub fn instrument(record: RecordId) -> Pointer {
        Pointer {
            kinds: &[Kind::Instrument],
            record,
        }
    }

    /// A reference to a piece of equipment.
    pub fn equipment(record: RecordId) -> Pointer {
        Pointer {
            kinds: &[Kind::Equipment],
            record,
        }
    }

    /// A reference to anything that can be taken out of service.
    pub fn item(record: RecordId) -> Pointer {
        Pointer {
            kinds: &[Kind::Equipment, Kind::Instrument],
            record,
        }
    }

    /// A reference to an adopted checklist.
    pub fn list(record: RecordId) -> Pointer {
        Pointer {
            kinds: &[Kind::ListAdoption],
            record,
        }
    }

    /// A reference to a job.
    pub fn job(record: RecordId) -> Pointer {
        Pointer {
            kinds: &[Kind::Job],
            record,
        }
    }

    /// A reference to a sheet.
    pub fn sheet(record: RecordId) -> Pointer {
        Pointer {
            kinds: &[Kind::Sheet],
            record,
        }
    }

    /// A reference to a badge.
    pub fn badge(record: RecordId) -> Pointer {
        Pointer {
            kinds: &[Kind::Badge],
            record,
        }
    }

    /// A reference to a badge result.
    pub fn badge_result(record: RecordId) -> Pointer {
        Pointer {
            kinds: &[Kind::BadgeResult],
            record,
        }
    }

    /// A reference to what claims to say a dose: a result or a determination.
    pub fn claim(record: RecordId) -> Pointer {
        Pointer {
            kinds: &[Kind::BadgeResult, Kind::Determination],
            record,
        }
    }

    /// A reference to anything that can hold a doubtful item.
    pub fn held(record: RecordId) -> Pointer {
        Pointer {
            kinds: &[Kind::Sheet, Kind::Badge, Kind::BadgeResult],
            record,
        }
    }

    /// A reference to a declared pregnancy.
    pub fn pregnancy(record: RecordId) -> Pointer {
        Pointer {
            kinds: &[Kind::Pregnancy],
            record,
        }
    }

    /// A reference to an event.
    pub fn event(record: RecordId) -> Pointer {
        Pointer {
            kinds: &[Kind::Event],
            record,
        }
    }

    /// A reference to a planned action of an event.
    pub fn action(record: RecordId) -> Pointer {
        Pointer {
            kinds: &[Kind::EventAction],
            record,
        }
    }

    /// A reference to an inspection.
    pub fn inspection(record: RecordId) -> Pointer {
        Pointer {
            kinds: &[Kind::Inspection],
            record,
        }
    }

    /// A reference to what can be linked to an event.
    pub fn linked(record: RecordId) -> Pointer {
        Pointer {
            kinds: &[
                Kind::Sheet,
                Kind::Badge,
                Kind::BadgeResult,
                Kind::Determination,
                Kind::Inspection,
                Kind::Servicing,
                Kind::FittedPart,
            ],
            record,
        }
    }
}
