//! The crew's pages: today, start and end of the shift, the day's check, something went wrong, and
//! what comes back on paper or is scanned.

pub mod away;
pub mod check;
pub mod check_form;
pub mod item;
pub mod other_content;
pub mod paper;
pub mod photo;
pub mod scan;
pub mod scan_into;
pub mod sheet;
pub mod sheet_form;
pub mod sheet_typed;
pub mod today;
pub mod wrong;
