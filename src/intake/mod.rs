//! Words in, entries out: flags, prompts and files of rows become records, and the
//! records are appended. One plan serves the dry run and the commit: a dry run
//! is the same write, taken back.
//!
//! May use `answer`, `ledger`, `record`, `rule` and the exact values. `cells`
//! reads rows of any form of file and `said` has what was said with it, `fields`
//! turns cells into values, `doubt` and `doubt_badge` say what is held, `authority`
//! who may decide, `label` how a record is named, and there is a file for each
//! group of kinds.

mod about_event;
mod adopt;
mod amend;
mod annual_report;
mod authority;
mod calibration;
mod cell_text;
mod cells;
mod cells_csv;
mod columns;
mod conclude;
mod correct;
mod doubt;
mod doubt_badge;
mod doubt_reading;
mod effect;
mod event;
mod event_cause;
mod event_desk;
mod event_happening;
mod event_people;
mod fault;
mod fields;
mod grid;
mod grouped;
mod inspection;
mod inspection_line;
mod known_dose;
mod label;
mod line_ends;
mod mapped;
mod merged;
mod name_held;
mod named;
mod notification;
mod position;
mod preview;
mod private;
mod reading;
mod reading_line;
mod register;
mod reread;
mod review;
mod said;
mod settle;
mod settled_before;
mod sheet;
mod sheet_column;
mod sheet_rows;
mod shift_start;
mod stop_scan;
mod take;
mod taken;
mod verdict;
mod words;
mod workbook;
mod workbook_scan;

pub use about_event::{AboutEvent, NewAnswer, NewCause, NewNote, NewNotification, NewPeople};
pub use adopt::adopt_rule_set;
pub use amend::{amend, reinstate, void};
pub use annual_report::{ReportOf, report_sent};
pub use calibration::{Assessed, CALIBRATION_COLUMNS, CALIBRATION_NEEDED, take_calibrations};
pub use cells::Cells;
pub use columns::{Columns, Row};
pub use conclude::{NewConclusion, conclude};
pub use doubt_reading::passes_range;
pub use event::{NewEvent, open_event, write_about};
pub use event_happening::NewHappening;
pub use event_people::add_people;
pub use fault::{Fault, IntakeError, Refused};
pub use grid::letters;
pub use grouped::Batch;
pub use inspection::{ALL_OTHERS, INSPECTION_COLUMNS, INSPECTION_NEEDED, take_inspections};
pub use name_held::name_held;
pub use position::{POSITION_COLUMNS, PositionBatch, Positions, read_positions, shields_of};
pub use preview::{Preview, PreviewColumn, preview};
pub use private::{Erase, Typed, erase_private, set_private};
pub use reading_line::{Line, Part, Wanted, has_off_scale, read_line, yes};
pub use register::{Column, REGISTERS, Register};
pub use review::sign;
pub use said::{Merged, Said, TableFile};
pub use settle::settle;
pub use settled_before::Settled;
pub use sheet::{SheetBatch, sheet_cell_fault, take_sheets};
pub use sheet_column::{PERSON_FIELDS, SHEET_COLUMNS, SHEET_NEEDED};
pub use shift_start::take_start;
pub use take::{Rows, answer_finding, append_all, rule_on, take_register};
pub use taken::{Taken, TakenItem};
pub use verdict::{Accepted, By, accept};
