//! Findings, the month, the year, records and statements as reports.

pub(super) mod alerts;
pub(super) mod charts;
pub(super) mod finding;
pub(super) mod lists;
pub(super) mod month;
pub(super) mod records;
pub(super) mod statement;
pub(super) mod statement_words;
pub(super) mod year;
