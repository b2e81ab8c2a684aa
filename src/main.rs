//! The program: the system's clock, terminal and user, and nothing else.
#![forbid(unsafe_code)]

use std::ffi::OsString;
use std::io::{IsTerminal, Write};
use std::process::ExitCode;
use std::sync::{Arc, Mutex};
use std::time::SystemTime;

use chrono::Datelike;

use wearbook::cli::{Clock, Screen, SharedClock, Surroundings, run};
use wearbook::ledger::Instant;

/// The computer's clock, and what it said at first: that stands in where it breaks meanwhile.
struct SystemClock(Instant);

impl Clock for SystemClock {
    fn now(&mut self) -> Instant {
        moment(SystemTime::now()).unwrap_or(self.0)
    }

    fn is_scripted(&self) -> bool {
        false
    }

    fn shared(&self) -> SharedClock {
        let first = self.0;
        Box::new(move || moment(SystemTime::now()).unwrap_or(first))
    }
}

/// What a clock says, if it can be: a computer whose battery is empty says 1970, or less.
fn moment(said: SystemTime) -> Option<Instant> {
    let since = said.duration_since(SystemTime::UNIX_EPOCH).ok()?;
    let seconds = i64::try_from(since.as_secs()).ok()?;
    let moment = Instant::from_timestamp(seconds, since.subsec_nanos())?;
    (1971..=2200).contains(&moment.year()).then_some(moment)
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
    let Some(now) = moment(SystemTime::now()) else {
        let words = "error: this computer's clock cannot be right: it says a year before 1971 or \
                     after 2200\n  hint: set it, then give the command again";
        // Where nobody reads it, the exit code says it.
        let _ = writeln!(std::io::stderr(), "{words}");
        return ExitCode::FAILURE;
    };
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
            clock: &mut SystemClock(now),
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

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;

    #[test]
    fn a_clock_that_cannot_be_right_gives_no_moment() {
        let day = Duration::from_secs(24 * 60 * 60);
        let epoch = SystemTime::UNIX_EPOCH;
        let after = |years: u32| epoch + day * 365 * years + day * (years / 4);
        for (said, year) in [
            (epoch - day, None),
            (epoch, None),
            (after(2), Some(1972)),
            (after(56), Some(2026)),
            (after(240), None),
            (after(8_100), None),
        ] {
            assert_eq!(moment(said).map(|it| it.year()), year, "{said:?}");
        }
    }
}
