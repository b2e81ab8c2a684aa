//! The program: the system's clock, terminal and user, and nothing else.
#![forbid(unsafe_code)]

use std::ffi::OsString;
use std::io::IsTerminal;
use std::process::ExitCode;

use wearbook::cli::{Clock, Surroundings, run};
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
    let asks = stdin.is_terminal() && std::io::stderr().is_terminal();
    let code = run(
        &arguments,
        Surroundings {
            clock: &mut SystemClock,
            os_user: whoami::username().unwrap_or_else(|_| "unknown".to_owned()),
            input: &mut stdin.lock(),
            asks,
            out: &mut std::io::stdout().lock(),
            err: &mut std::io::stderr().lock(),
            width: WIDTH,
        },
    );
    ExitCode::from(code)
}
