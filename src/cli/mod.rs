//! The command line: words in, words out. No arithmetic and no SQL here.
//!
//! `frame` is what stands around a command: `run` is the whole program with everything
//! outside passed in (arguments, environment, clock, terminal), `session` one command being
//! run, `args` has the nouns, `flags` what many share, `output` is the only printer,
//! `failure` has the exit codes, `ask` is the prompt. Beside it there is a file a noun.

mod dose;
mod equipment;
mod event;
mod frame;
mod ledger;
mod review;
mod sheet;

pub use frame::progress::Screen;
pub use frame::run::run;
pub use frame::session::{Clock, Scripted, SharedClock, Surroundings};
