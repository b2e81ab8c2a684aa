//! The command line: words in, words out. No arithmetic and no SQL here.
//!
//! `run` is the whole program with everything outside passed in: arguments,
//! environment, clock, terminal. `session` is one command being run, `args` has the nouns,
//! `flags` what many share, `output` is the only printer, `failure` has the exit codes and
//! `failure_words` the words of errors, `ask` is the prompt, and there is a file a noun.

mod args;
mod ask;
mod badge;
mod board;
mod chart;
mod checklist;
mod demo;
mod determination;
mod dose;
mod entry;
mod estimate;
mod event;
mod examples;
mod failure;
mod failure_words;
mod faults;
mod finding;
mod flags;
mod folder;
mod hold;
mod inspect;
mod inspect_prompt;
mod inspect_taken;
mod instrument;
mod leaver;
mod ledger;
mod ledger_words;
mod manual;
mod moment;
mod output;
mod pack;
mod private;
mod progress;
mod records;
mod register;
mod report;
mod review;
mod rules;
mod run;
mod serve;
mod session;
mod sheet;
mod sheet_ask;
mod sheet_crew;
mod sheet_draft;
mod sheet_during;
mod sheet_list;
mod sheet_people;
mod sheet_prompt;
mod sheet_reading;
mod sheet_row;
mod sheet_settle;
mod sheet_start;
mod sheet_written;
mod statement;
mod table;
mod trace;
mod wear;

#[cfg(test)]
mod command_line;

pub use progress::Screen;
pub use run::run;
pub use session::{Clock, Scripted, SharedClock, Surroundings};
