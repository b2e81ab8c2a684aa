//! Everything around a command: arguments, flags, the session, the printer, failures.

pub(super) mod args;
pub(super) mod ask;
#[cfg(test)]
mod command_line;
pub(super) mod examples;
pub(super) mod failure;
pub(super) mod failure_words;
pub(super) mod faults;
pub(super) mod flags;
pub(super) mod folder;
pub(super) mod manual;
pub(super) mod moment;
pub(super) mod output;
pub(super) mod progress;
pub(super) mod run;
pub(super) mod session;
pub(super) mod table;
