//! Words in, entries out: flags, prompts and files of rows become records, and the
//! records are appended. One plan serves the dry run and the commit: a dry run
//! is the same write, taken back.
//!
//! May use `answer`, `ledger`, `record`, `rule` and the exact values. `file` reads
//! rows of any form of file, `register` has the columns of each register, `entry`
//! what every write shares (`said`, `authority`, `correct`, `fault`); the other
//! folders are the subjects, with a file for each group of kinds.

mod dose;
mod entry;
mod equipment;
mod event;
mod file;
mod register;
mod review;
mod sheet;

pub use dose::doubt_reading::passes_range;
pub use entry::adopt::adopt_rule_set;
pub use entry::amend::{amend, reinstate, void};
pub use entry::evidence::{EvidenceFile, add_evidence, erase_evidence};
pub use entry::fault::{Fault, IntakeError, OnRecord, Refused};
pub use entry::name_held::name_held;
pub use entry::private::{Erase, Typed, erase_private, set_private};
pub use entry::said::{Content, Merged, Said, TableFile};
pub use entry::settle::settle;
pub use entry::settled_before::Settled;
pub use entry::take::{Rows, answer_finding, append_all, rule_on, take_register};
pub use entry::taken::{Taken, TakenItem};
pub use entry::verdict::{Accepted, By, accept};
pub use equipment::calibration::{
    Assessed, CALIBRATION_COLUMNS, CALIBRATION_NEEDED, take_calibrations,
};
pub use equipment::inspection::{
    ALL_OTHERS, INSPECTION_COLUMNS, INSPECTION_NEEDED, take_inspections,
};
pub use event::about_event::{
    AboutEvent, NewAnswer, NewCause, NewNote, NewNotification, NewPeople,
};
pub use event::conclude::{NewConclusion, conclude};
pub use event::happening::NewHappening;
pub use event::open::{NewEvent, open_event, write_about};
pub use event::people::add_people;
pub use event::position::{POSITION_COLUMNS, PositionBatch, Positions, read_positions, shields_of};
pub use file::cells::{Cells, headings};
pub use file::columns::{Columns, Row};
pub use file::grid::letters;
pub use file::grouped::Batch;
pub use file::picture::{LONGEST_SIDE, MOST_BYTES, shown_anew};
pub use file::preview::{Preview, PreviewColumn, preview};
pub use register::{Column, REGISTERS, Register};
pub use review::annual_report::{ReportOf, report_sent};
pub use review::sign::sign;
pub use sheet::column::{PERSON_FIELDS, SHEET_COLUMNS, SHEET_NEEDED};
pub use sheet::reading_line::{Line, Part, Wanted, has_off_scale, read_line, yes};
pub use sheet::shift_start::take_start;
pub use sheet::whole::{SheetBatch, sheet_cell_fault, take_sheets};
