//! Calibrations and inspections of equipment.

pub(super) mod calibration;
pub(super) mod inspection;
pub(super) mod inspection_line;
