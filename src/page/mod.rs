//! The ledger in a browser: a second face beside the command line, over the same rooms. No
//! arithmetic, no SQL, and no second wording: what is one command is asked of the commands.
//!
//! `server` says where it listens, who somebody is and which page an address is; `crew` has the
//! pages of a crew, `office` makes a page of any command that shows and a form of any that writes;
//! `shell` is what every page stands on. The scripts and the style stand beside them.

mod crew;
mod office;
mod server;
mod shell;

pub use crew::wrong::STEP_IN_SPANISH;
pub use office::calendar::calendar_secret;
pub use server::bound::{Bound, Door, ServeError, bind};
pub use server::pin::{PinError, keep_pin};
pub use server::serve::serve;
pub use server::sign_in::{Let, who_may_sign_in};
pub use server::tls::{Encryption, TlsError, authority, given};
pub use shell::desk::{CommandField, CommandSaid, Commands, Desk};

/// Every command that is a page or a form: its words, and the flags that it is given there.
pub fn commands() -> Vec<(&'static [&'static str], &'static [&'static str])> {
    let shown = shell::places::commands().chain(office::download::commands());
    shown.chain(shell::acts::commands()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_that_a_page_leads_to_is_there() {
        assert!(shell::places::forms().count() > 20);
        for to in shell::places::forms() {
            let words: Vec<&str> = to.split('/').collect();
            let is_there = shell::acts::commands().any(|(command, _)| words.starts_with(command));
            assert!(is_there, "/do/{to}");
        }
    }
}
