//! A month signed and reports that were sent.

pub(super) mod annual_report;
pub(super) mod sign;
