//! Tests of the room as small text tables, and against a plain sum.

mod account;
mod badge_table;
mod badges;
mod checks;
mod level_findings;
mod levels;
mod plain_sum;
mod sheet;
mod table;
