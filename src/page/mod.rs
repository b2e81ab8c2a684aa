//! The ledger in a browser: a second face beside the command line, over the same rooms. No
//! arithmetic, no SQL, and no second wording: what is one command is asked of the commands.
//!
//! `server` listens, `guard` says who may be answered at all, `route` which page an address is,
//! `desk` opens the ledger. `today`, `sheet`, `check` and `wrong` are the crew's; `office` and
//! `act` make a page of any command that shows and a form of any that writes. `frame` and `field`
//! are what every page is made of.

mod act;
mod asked;
mod check;
mod desk;
mod field;
mod frame;
mod guard;
mod office;
mod route;
mod server;
mod sheet;
mod sheet_form;
mod sheet_typed;
mod today;
mod who;
mod wrong;

pub use desk::{CommandField, CommandSaid, Commands, Desk};
pub use server::{Bound, ServeError, bind, serve};

/// Every command that is a page or a form: its words, and the flags that it is given there.
pub fn commands() -> Vec<(&'static [&'static str], &'static [&'static str])> {
    office::commands().chain(act::commands()).collect()
}
