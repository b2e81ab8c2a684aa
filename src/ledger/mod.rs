//! The ledger: one SQLite file, one table of immutable, chained entries, and
//! the tables derived from them. The only room with SQL in it. Uses `record`
//! and the exact values; knows no command and no rule.
//!
//! - `append` is the only place that inserts into `entry`
//! - `bulk` puts two indexes off while a first import runs
//! - `admit` decides, inside the write, whether an entry may stand
//! - `derive` turns entries into rows, live and in a rebuild
//! - `read` gives typed rows back, as known at an entry
//! - `rank` counts records among those of their kind
//! - `chain` hashes; `chain_check` follows it; `verify` proves, with `form` and `compare`; `watch`
//!   tells who else wrote, and `own_state` notes what this program did
//! - `private` keeps what must be erasable, beside the chain
//! - `evidence` keeps photos and papers, beside the chain by their digests
//! - `sign_in` keeps who may sign in at the page, beside the chain too, and `calendar_secret` which
//!   calendar programs may ask it; `alert_told` who was told what
//! - `keep` backs up, `slices` copies while others write, `copies` keeps some in a folder and
//!   `copy_folder` notes where; `export` exports and restores

mod admit;
mod alert_told;
mod append;
mod as_of;
mod bulk;
mod calendar_secret;
mod chain;
mod chain_check;
mod clock;
mod compare;
mod copies;
mod copy_folder;
mod derive;
mod entry;
mod error;
mod evidence;
mod export;
mod find_badge;
mod form;
mod header;
mod ids;
mod keep;
mod migrate;
mod open;
mod own_state;
mod place;
mod private;
mod rank;
mod read;
mod read_badge;
mod read_held;
mod read_maintenance;
mod read_review;
mod read_shift;
mod sign_in;
mod slices;
mod tally;
mod verify;
mod wait;
mod watch;
mod written;

pub use alert_told::{Telling, Told, alert_digest};
pub use append::{Author, Mode, Writer};
pub use as_of::StateOfFile;
pub use calendar_secret::{CalendarDoor, CalendarSecret};
pub use chain::{Hash, head_text};
pub use chain_check::Fault;
pub use clock::{Bounds, ClockNote, ClockSays, Clocks, Cut, Doubted, Reading, Why};
pub use copies::{CopyAsked, CopyKind, CopyReport, Drill, FoundCopy, TriedCopy};
pub use copy_folder::CopyFolder;
pub use entry::{Entry, Instant};
pub use error::{Doing, LedgerError, Refusal};
pub use evidence::{CopyMade, EvidenceState, digest_of};
pub use export::{ExportReport, RestoreReport};
pub use find_badge::{ResultName, WearRow};
pub use keep::BackupReport;
pub use open::Ledger;
pub use private::{Gone, PrivateRow};
pub use read::{KnownAt, Snapshot, Stored};
pub use read_badge::{BadgeRow, ResultRow, ValueRow};
pub use read_held::HeldRow;
pub use read_maintenance::{InspectionRow, LineRow, SurveyRow, UseRow};
pub use read_review::{Handled, SheetDay};
pub use read_shift::{ReadingRow, ShiftRow};
pub use sign_in::{Attempt, PinType, Refused, RefusedRow, SignInRow};
pub use slices::Pace;
pub use tally::{Progress, Tally};
pub use verify::Verification;
pub use wait::{WAIT_S, wait_at_most};
pub use written::Written;

use crate::record::{Kind, UnreadableBody};

/// The kind of a stored entry.
fn entry_kind(entry: &Entry) -> Result<Kind, LedgerError> {
    Kind::from_stored(&entry.kind).ok_or_else(|| LedgerError::Unreadable {
        seq: entry.seq,
        detail: UnreadableBody::UnknownKind {
            kind: entry.kind.clone(),
        },
    })
}
