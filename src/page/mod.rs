//! The ledger in a browser: a second face beside the command line, over the same rooms. No
//! arithmetic, no SQL, and no second wording: what is one command is asked of the commands.
//!
//! `bound` is where `server` listens, `tls` encrypts, `guard` says who may be answered at all,
//! `sign_in` and `pin` who somebody is, `route` which page an address is, `rights` who may ask for
//! it, `desk` opens the ledger. `today`, `board`, `sheet`, `check` and `wrong` are the crew's;
//! `office` and `act` make a page of any command that shows and a form of any that writes; `pages`
//! says which, and `download` gives what commands write into files. `item` is what a label leads
//! to, `named` where an id leads, `alerts` what is new to whoever is signed in, `calendar` is for
//! calendar programs; `photo` takes photos and papers in, `evidence` shows them, `kept` gives
//! files. `frame` and `field` are what every page is made of; `upload` reads forms, and the files
//! that they bring. `away` and `live` are for pages with no connection, and while somebody types;
//! `plain` words reports for whoever has no terminal.

mod act;
mod act_form;
mod acts;
mod alerts;
mod asked;
mod away;
mod board;
mod bound;
mod calendar;
mod check;
mod check_form;
mod desk;
mod download;
mod evidence;
mod field;
mod frame;
mod guard;
mod in_hand;
mod item;
mod kept;
mod language;
mod live;
mod more;
mod named;
mod office;
mod other_content;
mod own_pin;
mod pages;
mod paper;
mod photo;
mod pin;
mod places;
mod plain;
mod rights;
mod route;
mod scan;
mod scan_into;
mod scanned;
mod secret;
mod server;
mod sheet;
mod sheet_form;
mod sheet_typed;
mod shop;
mod sign_in;
mod tls;
mod today;
mod upload;
mod ways;
mod who;
mod wrong;

pub use bound::{Bound, Door, ServeError, bind};
pub use calendar::calendar_secret;
pub use desk::{CommandField, CommandSaid, Commands, Desk};
pub use pin::{PinError, keep_pin};
pub use server::serve;
pub use sign_in::{Let, who_may_sign_in};
pub use tls::{Encryption, TlsError, authority, given};
pub use wrong::STEP_IN_SPANISH;

/// Every command that is a page or a form: its words, and the flags that it is given there.
pub fn commands() -> Vec<(&'static [&'static str], &'static [&'static str])> {
    let shown = places::commands().chain(download::commands());
    shown.chain(acts::commands()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_that_a_page_leads_to_is_there() {
        assert!(places::forms().count() > 20);
        for to in places::forms() {
            let words: Vec<&str> = to.split('/').collect();
            let is_there = acts::commands().any(|(command, _)| words.starts_with(command));
            assert!(is_there, "/do/{to}");
        }
    }
}
