//! The program: the system's clock, terminal and user, and nothing else.
#![forbid(unsafe_code)]

use std::ffi::OsString;
use std::io::{IsTerminal, Write};
use std::process::ExitCode;
use std::sync::{Arc, Mutex};

use wearbook::cli::{Clock, Screen, SharedClock, Surroundings, run};
use wearbook::ledger::Instant;

struct SystemClock;

impl Clock for SystemClock {
    fn now(&mut self) -> Instant {
        chrono::Utc::now()
    }

    fn is_scripted(&self) -> bool {
        false
    }

    fn shared(&self) -> SharedClock {
        Box::new(chrono::Utc::now)
    }
}

/// Says what must not go unsaid when Ctrl-C is pressed or the terminal closed. The system's own way
/// is left alone until there is such a thing.
fn say_when_broken_off() -> impl FnMut(&str) {
    let words = Arc::new(Mutex::new(String::new()));
    let mut watched = false;
    move |text| {
        if let Ok(mut words) = words.lock() {
            text.clone_into(&mut words);
        }
        if watched || text.is_empty() {
            return;
        }
        watched = true;
        let words = Arc::clone(&words);
        // Where it cannot be watched for, it was said already when it was typed.
        let _ = ctrlc::set_handler(move || {
            if let Ok(words) = words.lock() {
                let _ = writeln!(std::io::stderr(), "\n{words}");
            }
            std::process::exit(BROKEN_OFF);
        });
    }
}

/// The exit code of a program that was broken off, as shells have it.
const BROKEN_OFF: i32 = 130;

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
            hidden: asks.then_some(rpassword::read_password as _),
            out: &mut std::io::stdout().lock(),
            // Not locked: the line of progress is drawn by another hand.
            err: &mut std::io::stderr(),
            width: WIDTH,
            screen,
            if_broken_off: &mut say_when_broken_off(),
        },
    );
    ExitCode::from(code)
}
