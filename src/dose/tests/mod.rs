//! Tests of the room as small text tables, and against a plain sum.

mod account;
mod ages;
mod badge_on;
mod badge_table;
mod badges;
mod checks;
mod clearing;
mod crew;
mod determined;
mod dispositions;
mod figures_checks;
mod in_event;
mod level_findings;
mod levels;
mod maintenance_checks;
mod plain_sum;
mod qualified;
mod reconciling;
mod said_checks;
mod sheet;
mod table;
mod two_badges;
