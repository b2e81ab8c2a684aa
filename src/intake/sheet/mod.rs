//! The end-of-shift sheet: its columns, its rows, its readings, and the start of the shift.

pub(super) mod column;
pub(super) mod reading;
pub(super) mod reading_line;
pub(super) mod rows;
pub(super) mod shift_start;
pub(super) mod stop_scan;
pub(super) mod whole;
