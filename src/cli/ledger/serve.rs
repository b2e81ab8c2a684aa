//! `wearbook serve`: the page in the browser, and what it asks of the commands.

use std::ffi::OsString;
use std::net::{IpAddr, Ipv4Addr};
use std::path::PathBuf;
use std::process::Command;

use clap::{ArgAction, Args};

use crate::cli::frame::failure::Failure;
use crate::cli::frame::session::{Program, Scripted, Session, SharedClock, Surroundings};
use crate::intake::IntakeError;
use crate::ledger::{Author, Instant};
use crate::page::{self, CommandField, CommandSaid, Commands, Desk, ServeError};
use crate::show::Report;

#[derive(Debug, Args)]
pub(crate) struct ServeArgs {
    /// The address to listen at; so far only this machine itself
    ///
    /// Names are claimed and not proved, and nothing is encrypted: an address that other machines
    /// can reach is refused.
    #[arg(long, value_name = "ADDRESS", default_value_t = IpAddr::V4(Ipv4Addr::LOCALHOST))]
    pub listen: IpAddr,
    /// The port; 0 takes a free one
    #[arg(long, value_name = "PORT", default_value_t = PORT)]
    pub port: u16,
    /// Open the browser
    #[arg(long)]
    pub open: bool,
    /// Whom to call when something went wrong, with the number; more than one may be given
    #[arg(long, value_name = "WHO")]
    pub call: Vec<String>,
}

impl Default for ServeArgs {
    fn default() -> ServeArgs {
        ServeArgs {
            listen: IpAddr::V4(Ipv4Addr::LOCALHOST),
            port: PORT,
            open: false,
            call: Vec::new(),
        }
    }
}

/// Where it listens unless another port is asked for.
const PORT: u16 = 8047;

/// Serves the ledger of a session by a clock, until Ctrl-C.
pub(crate) fn serve_by(
    session: &mut Session<'_>,
    args: &ServeArgs,
    clock: SharedClock,
) -> Result<(), Failure> {
    // A ledger that cannot be read is refused before anybody opens a browser.
    session.open()?;
    let bound = page::bind(args.listen, args.port).map_err(said)?;
    let ledger = session.ledger_path.clone();
    let os_user = session.os_user.clone();
    let commands = CommandLine {
        ledger: ledger.clone(),
        os_user: os_user.clone(),
        clock,
        program: session.program,
    };
    let desk = Desk {
        ledger,
        commands: Box::new(commands),
        os_user,
        call: args.call.clone(),
    };
    let address = bound.address.clone();
    let mut told = Ok(());
    page::serve(bound, desk, || told = tell(session, &address, args.open)).map_err(said)?;
    told
}

/// Says where it is. Whoever cannot read it stops the server all the same.
fn tell(session: &mut Session<'_>, address: &str, open: bool) -> Result<(), Failure> {
    session.output.report(Report::new(address))?;
    session.output.talk(
        "Open this address in a browser on this machine; it works once. Ctrl-C ends the server.",
    )?;
    match open && !opened(address) {
        true => session
            .output
            .talk("No browser could be opened: copy the address."),
        false => Ok(()),
    }
}

pub(crate) fn run(session: &mut Session<'_>, args: &ServeArgs) -> Result<(), Failure> {
    let clock = session.clock.shared();
    serve_by(session, args, clock)
}

fn said(error: ServeError) -> Failure {
    let hint = match &error {
        ServeError::Beyond(_) => {
            "without --listen it listens on 127.0.0.1; other machines need a PIN for each person \
             and an encrypted connection, which are not built yet"
        }
        ServeError::Io { .. } => "another port: wearbook serve --port 0",
        ServeError::Random(_) => "",
    };
    Failure::Refused {
        what: error.to_string(),
        hint: hint.to_owned(),
    }
}

/// Opens the system's browser.
fn opened(address: &str) -> bool {
    let (program, before): (&str, &[&str]) = match std::env::consts::OS {
        "macos" => ("open", &[]),
        "windows" => ("cmd", &["/C", "start", ""]),
        _ => ("xdg-open", &[]),
    };
    let mut command = Command::new(program);
    command.args(before).arg(address).spawn().is_ok()
}

/// The command line, run for a page.
struct CommandLine {
    ledger: PathBuf,
    os_user: String,
    clock: SharedClock,
    program: Program,
}

impl CommandLine {
    fn around<T>(
        &self,
        os_user: &str,
        out: &mut Vec<u8>,
        then: impl FnOnce(Surroundings<'_>) -> T,
    ) -> T {
        // A command stands at one moment.
        let mut clock = Scripted((self.clock)());
        then(Surroundings {
            clock: &mut clock,
            os_user: os_user.to_owned(),
            input: &mut std::io::empty(),
            asks: false,
            out,
            err: &mut std::io::sink(),
            width: 100,
            screen: None,
            if_broken_off: &mut |_| {},
        })
    }

    /// The command of these words.
    fn found(&self, words: &[&str]) -> Option<clap::Command> {
        let mut command = (self.program.command)();
        for word in words {
            command = command.find_subcommand(word)?.clone();
        }
        Some(command)
    }

    /// Whether a command keeps the name of whoever writes.
    fn takes_a_name(&self, words: &[String]) -> bool {
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        let found = self.found(&words);
        found.is_some_and(|it| it.get_arguments().any(|it| it.get_long() == Some("by")))
    }
}

impl Commands for CommandLine {
    fn now(&self) -> Instant {
        (self.clock)()
    }

    fn run(&self, words: &[String], author: &Author) -> CommandSaid {
        let mut all: Vec<OsString> = vec!["wearbook".into()];
        let mut ledger = OsString::from("--ledger=");
        ledger.push(&self.ledger);
        all.push(ledger);
        // Whose name it is stands before what is typed, and behind the command's own words.
        let names = words.iter().take_while(|it| !it.starts_with('-')).count();
        let (command, rest) = words.split_at(names);
        all.extend(command.iter().map(OsString::from));
        if self.takes_a_name(command) {
            all.push(format!("--by={}", author.name).into());
        }
        all.extend(rest.iter().map(OsString::from));
        let mut out = Vec::new();
        let (code, reports) = self.around(&author.os_user, &mut out, |around| {
            (self.program.run_kept)(&all, around)
        });
        CommandSaid {
            code,
            out: String::from_utf8_lossy(&out).into_owned(),
            reports,
        }
    }

    fn say(&self, error: IntakeError) -> Vec<Report> {
        let mut out = Vec::new();
        self.around(&self.os_user, &mut out, |around| {
            let mut session = Session::new(around, self.program);
            session.ledger_path.clone_from(&self.ledger);
            session.learn_manner();
            session.output.keep();
            // What is kept cannot fail to be printed.
            let _ = Failure::from(error).say(&mut session.output);
            session.output.take_kept()
        })
    }

    fn fields(&self, words: &[&str]) -> Option<Vec<CommandField>> {
        let command = self.found(words)?;
        let fields = command.get_arguments().map(|it| CommandField {
            name: it.get_long().unwrap_or(it.get_id().as_str()).to_owned(),
            help: it.get_help().map(ToString::to_string).unwrap_or_default(),
            by_place: it.is_positional(),
            is_switch: matches!(it.get_action(), ArgAction::SetTrue),
            needed: it.is_required_set(),
        });
        Some(fields.collect())
    }
}

#[cfg(test)]
mod tests {
    use crate::cli::frame::args;

    #[test]
    fn the_help_lists_every_command_in_a_group() {
        let help = args::command().render_help().to_string();
        for command in args::command().get_subcommands() {
            let name = command.get_name();
            assert!(help.contains(&format!("\n  {name} ")), "{name}: {help}");
        }
    }

    /// A command that is renamed must not leave a page behind that is none.
    #[test]
    fn every_page_and_every_form_is_a_command_with_its_flags() {
        let all = crate::page::commands();
        assert!(all.len() > 60, "{} commands", all.len());
        for (words, flags) in all {
            let mut command = args::command();
            for word in words.iter().filter(|it| !it.starts_with('-')) {
                let found = command.find_subcommand(word);
                command = found.unwrap_or_else(|| panic!("{words:?}")).clone();
            }
            let given = words.iter().filter_map(|it| it.strip_prefix("--"));
            let flags = flags.iter().map(|it| it.trim_start_matches("--"));
            for flag in flags.chain(given) {
                let known = command
                    .get_arguments()
                    .any(|it| it.get_long() == Some(flag));
                assert!(known, "{words:?} has no --{flag}");
            }
        }
    }
}
