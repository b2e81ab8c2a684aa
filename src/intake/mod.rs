//! Words in, entries out: flags, prompts and CSV files become records, and the
//! records are appended. One plan serves the dry run and the commit: a dry run
//! is the same write, taken back.
//!
//! May use `answer`, `ledger`, `record`, `rule` and the exact values. `cells`
//! reads CSV, `fields` turns cells into values, `doubt` says what is held, and there is a file for each group of
//! kinds.

mod amend;
mod cells;
mod doubt;
mod fault;
mod fields;
mod register;
mod sheet;
mod sheet_rows;
mod take;

pub use amend::{amend, name_held, reinstate, void};
pub use cells::{Cells, Columns, Row, Source};
pub use fault::{Fault, IntakeError, Refused};
pub use register::{Column, REGISTERS, Register};
pub use sheet::{SHEET_COLUMNS, SheetBatch, take_sheets};
pub use take::{Rows, Taken, TakenItem, answer_finding, append_all, rule_on, take_register};
