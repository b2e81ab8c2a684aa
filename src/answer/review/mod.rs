//! The office's questions: findings, the month, the year, statements and how long records are kept.

pub(super) mod alert;
pub(super) mod alert_readers;
pub(super) mod alerts;
pub(super) mod away;
pub(super) mod desk;
pub(super) mod events;
pub(super) mod findings;
pub(super) mod items;
pub(super) mod month;
pub(super) mod people;
pub(super) mod pictures;
pub(super) mod retention;
pub(super) mod retention_papers;
pub(super) mod sections;
pub(super) mod signed;
pub(super) mod statement;
pub(super) mod statement_items;
pub(super) mod statement_reasons;
pub(super) mod to_do;
pub(super) mod year;
