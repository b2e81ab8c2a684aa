//! The program: the system's clock, terminal and user, and nothing else.
#![forbid(unsafe_code)]

use std::ffi::OsString;
use std::io::IsTerminal;
use std::process::ExitCode;

use wearbook::cli::{Clock, Screen, Surroundings, run};
use wearbook::ledger::Instant;

struct SystemClock;

impl Clock for SystemClock {
    fn now(&mut self) -> Instant {
        chrono::Utc::now()
    }

    fn is_scripted(&self) -> bool {
        false
    }
}

/// Lines are no longer than this where nobody reads them at a terminal.
const WIDTH: u16 = 80;

fn main() -> ExitCode {
    let arguments: Vec<OsString> = std::env::args_os().collect();
    let stdin = std::io::stdin();
    let seen = std::io::stderr().is_terminal();
    let asks = stdin.is_terminal() && seen;
    // A terminal that cannot go back in its line has no use for one that changes.
    let dumb = std::env::var_os("TERM").is_some_and(|it| it == "dumb");
    let screen = (seen && !dumb).then(|| Box::new(std::io::stderr()) as Screen);
    let code = run(
        &arguments,
        Surroundings {
            clock: &mut SystemClock,
            os_user: whoami::username().unwrap_or_else(|_| "unknown".to_owned()),
            input: &mut stdin.lock(),
            asks,
            out: &mut std::io::stdout().lock(),
            // Not locked: the line of progress is drawn by another hand.
            err: &mut std::io::stderr(),
            width: WIDTH,
            screen,
        },
    );
    ExitCode::from(code)
}
