//! `wearbook serve`: the page in the browser, and what it asks of the commands.

use std::ffi::OsString;
use std::net::{IpAddr, Ipv4Addr};
use std::path::PathBuf;
use std::process::Command;
use std::sync::{Arc, OnceLock};

use clap::{ArgAction, Args, ValueHint};

use super::copies::{Daily, KEEP};
use crate::answer::Houses;
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::read_file;
use crate::cli::frame::session::{FromPage, Program, Scripted, Session, SharedClock, Surroundings};
use crate::intake::{Content, IntakeError};
use crate::ledger::{Author, Instant};
use crate::page::{
    self, CommandField, CommandSaid, Commands, Desk, Door, Encryption, STEP_IN_SPANISH, ServeError,
    TlsError,
};
use crate::show::Report;
use crate::text::one_line;

#[derive(Debug, Args)]
pub(crate) struct ServeArgs {
    /// The address to listen at: one of this machine's
    ///
    /// 127.0.0.1 is reached from this machine alone. At any other, people sign in and the
    /// connection is encrypted: with --cert and --key, or by an authority of the site's own, which
    /// is made on first use in the folder LEDGER.site beside the ledger. Install its certificate on
    /// the devices and compare the fingerprint that is printed.
    #[arg(long, value_name = "ADDRESS", default_value_t = IpAddr::V4(Ipv4Addr::LOCALHOST))]
    pub listen: IpAddr,
    /// The port; 0 takes a free one
    #[arg(long, value_name = "PORT", default_value_t = PORT)]
    pub port: u16,
    /// Ask everybody for a PIN (wearbook worker pin W02), on this machine too
    ///
    /// Without it whoever opens the address chooses a name, and each entry says that it was
    /// claimed. Whoever can open the ledger's file can write anything either way.
    #[arg(long)]
    pub sign_in: bool,
    /// Encrypt with the certificate in this file, as PEM
    #[arg(long, value_name = "FILE", requires = "key")]
    pub cert: Option<PathBuf>,
    /// The private key of the certificate, as PEM
    #[arg(long, value_name = "FILE", requires = "cert")]
    pub key: Option<PathBuf>,
    /// A name of this machine in the network, such as truck.local, by which browsers may ask for it
    #[arg(long, value_name = "NAME")]
    pub name: Option<String>,
    /// Keep a verified copy a day in this folder while people write; the board says how old
    #[arg(long, value_name = "DIR")]
    pub copies: Option<PathBuf>,
    /// How many copies stay in it
    #[arg(long, value_name = "N", requires = "copies", default_value_t = KEEP,
          value_parser = clap::value_parser!(u16).range(1..))]
    pub keep: u16,
    /// Open the browser
    #[arg(long)]
    pub open: bool,
    /// Whom to call when something went wrong, with the number; more than one may be given
    #[arg(long, value_name = "WHO")]
    pub call: Vec<String>,
    /// The site's own emergency steps, a text file with a step on each line
    ///
    /// They stand before any field of the page `Something went wrong`, below two that are always
    /// there: hold the boundary, and no retrieval unless trained and authorized for it. A line that
    /// begins with `es:` is the step above it in Spanish.
    #[arg(long, value_name = "FILE")]
    pub steps: Option<PathBuf>,
}

/// The most steps, and the most characters of one, that somebody reads in an emergency.
const STEPS: usize = 12;
const STEP_SIGNS: usize = 200;

/// The steps in the site's file.
fn steps(args: &ServeArgs) -> Result<Vec<String>, Failure> {
    let Some(path) = &args.steps else {
        return Ok(Vec::new());
    };
    let text = read_file(path)?;
    let lines = text.lines().map(str::trim).filter(|it| !it.is_empty());
    let all: Vec<String> = lines.map(one_line).collect();
    let long = all.iter().position(|it| it.chars().count() > STEP_SIGNS);
    let is_spanish = |it: &&String| it.starts_with(STEP_IN_SPANISH);
    let alone = all.first().filter(is_spanish).is_some()
        || all.windows(2).any(|it| it.iter().all(|it| is_spanish(&it)));
    let what = match (all.len() - all.iter().filter(is_spanish).count(), long) {
        (0, _) => "has no step".to_owned(),
        _ if alone => format!("has a line with `{STEP_IN_SPANISH}` that follows no step"),
        (count, _) if count > STEPS => format!("has {count} steps"),
        (_, Some(at)) => {
            let step = all.iter().take(at + 1).filter(|it| !is_spanish(it)).count();
            format!("has more than {STEP_SIGNS} characters in step {step}")
        }
        (_, None) => return Ok(all),
    };
    Err(Failure::Refused {
        what: format!("{} {what}", path.display()),
        hint: format!(
            "a text file with a step on each line: 1 to {STEPS} of them, each at most {STEP_SIGNS} \
             characters"
        ),
    })
}

impl Default for ServeArgs {
    fn default() -> ServeArgs {
        ServeArgs {
            listen: IpAddr::V4(Ipv4Addr::LOCALHOST),
            port: PORT,
            sign_in: false,
            cert: None,
            key: None,
            name: None,
            copies: None,
            keep: KEEP,
            open: false,
            call: Vec::new(),
            steps: None,
        }
    }
}

/// Where it listens unless another port is asked for.
pub(crate) const PORT: u16 = 8047;

/// Serves the ledger of a session by a clock, until Ctrl-C.
pub(crate) fn serve_by(
    session: &mut Session<'_>,
    args: &ServeArgs,
    clock: SharedClock,
) -> Result<(), Failure> {
    // A ledger that cannot be read is refused before anybody opens a browser.
    session.open()?;
    let ledger = session.ledger_path.clone();
    let os_user = session.os_user.clone();
    let clock = Arc::new(clock);
    let houses = Houses::default();
    let commands = CommandLine {
        ledger: ledger.clone(),
        os_user: os_user.clone(),
        clock: Arc::clone(&clock),
        program: session.program,
        tree: OnceLock::new(),
        houses: houses.clone(),
    };
    let copied = ledger.clone();
    let desk = Desk {
        ledger,
        commands: Box::new(commands),
        houses,
        os_user,
        call: args.call.clone(),
        steps: steps(args)?,
        signs_in: args.sign_in || !args.listen.is_loopback(),
    };
    if args.listen.is_unspecified() {
        return Err(said(ServeError::Any(args.listen)));
    }
    let mut words = Vec::new();
    if desk.signs_in {
        words.push(who_signs_in(&desk)?);
    }
    let door = Door {
        host: args.listen,
        port: args.port,
        name: name_of(args)?,
        signs_in: desk.signs_in,
        encryption: encryption(session, args, &desk)?,
    };
    words.extend(door.encryption.as_ref().map(known_by));
    let bound = page::bind(door).map_err(said)?;
    let address = bound.address.clone();
    let how = match desk.signs_in {
        true => "Open this address in a browser; everybody signs in. Ctrl-C ends the server.",
        false => {
            "Open this address in a browser on this machine; it works once. Ctrl-C ends the server."
        }
    };
    words.push(how.to_owned());
    let of = args.copies.as_deref();
    let daily = of.map(|folder| Daily::begin(copied, (folder, args.keep), clock));
    let _daily = daily.transpose()?;
    let mut told = Ok(());
    page::serve(bound, desk, || {
        told = tell(session, &address, &words, args.open)
    })
    .map_err(said)?;
    told
}

/// Says where it is. Whoever cannot read it stops the server all the same.
fn tell(
    session: &mut Session<'_>,
    address: &str,
    words: &[String],
    open: bool,
) -> Result<(), Failure> {
    session.output.report(Report::new(address))?;
    for words in words {
        session.output.talk(words)?;
    }
    match open && !opened(address) {
        true => session
            .output
            .talk("No browser could be opened: copy the address."),
        false => Ok(()),
    }
}

/// Who can sign in and who cannot yet; somebody of the office must.
fn who_signs_in(desk: &Desk) -> Result<String, Failure> {
    let all = page::who_may_sign_in(desk)?;
    if !all.office {
        return Err(Failure::Refused {
            what: "nobody who is RSO or designee today has a passphrase to sign in with".to_owned(),
            hint: "wearbook worker pin W01, with the id of the RSO".to_owned(),
        });
    }
    let may = crate::text::counted(all.may, "person", "people");
    Ok(match all.not_yet.is_empty() {
        true => format!("{may} can sign in."),
        false => format!(
            "{may} can sign in. Not before a PIN is set (wearbook worker pin ID): {}.",
            all.not_yet.join(", ")
        ),
    })
}

/// A name that browsers may ask for: letters, digits, hyphens and dots.
fn name_of(args: &ServeArgs) -> Result<Option<String>, Failure> {
    let Some(name) = args.name.as_deref().map(str::to_lowercase) else {
        return Ok(None);
    };
    let plain = |it: &str| {
        let signs = it
            .bytes()
            .all(|it| it.is_ascii_alphanumeric() || it == b'-');
        !it.is_empty() && it.len() <= 63 && signs && !it.starts_with('-') && !it.ends_with('-')
    };
    match name.len() <= 253 && name.split('.').all(plain) {
        true => Ok(Some(name)),
        false => Err(Failure::flag(
            "name",
            format!("`{name}` is no name of a machine"),
            "letters, digits, hyphens and dots, such as truck.local",
        )),
    }
}

/// How the connection is encrypted: with what was given, else by the site's own authority where
/// others can reach it.
fn encryption(
    session: &Session<'_>,
    args: &ServeArgs,
    desk: &Desk,
) -> Result<Option<Encryption>, Failure> {
    let made = match (&args.cert, &args.key) {
        (Some(cert), Some(key)) => page::given(cert, key),
        _ if args.listen.is_loopback() => return Ok(None),
        _ => {
            let mut folder = session.ledger_path.clone().into_os_string();
            folder.push(".site");
            let names: Vec<String> = name_of(args)?.into_iter().collect();
            let today = desk.commands.now().date_naive();
            page::authority(&PathBuf::from(folder), &[args.listen], &names, today)
        }
    };
    made.map(Some).map_err(not_encrypted)
}

fn not_encrypted(error: TlsError) -> Failure {
    let hint = match error {
        TlsError::File { path, source } => {
            let file = path.display().to_string();
            return Failure::File { file, source };
        }
        TlsError::Without { .. } | TlsError::Unusable { .. } => {
            "a file of lines between -----BEGIN ...----- and -----END ...-----"
        }
        TlsError::OtherKey { .. } => "the certificate and the key that were made together",
        TlsError::OpenKey { .. } => "chmod 600, and a new authority if others may have it",
        TlsError::Public(_) => "an own authority is for private networks: --cert FILE --key FILE",
    };
    Failure::Refused {
        what: error.to_string(),
        hint: hint.to_owned(),
    }
}

/// By what a device knows the server.
fn known_by(it: &Encryption) -> String {
    match &it.to_install {
        Some(cert) => format!(
            "To be installed on the devices: {}. Compare its fingerprint there, SHA-256: {}",
            cert.display(),
            it.fingerprint
        ),
        None => format!(
            "Fingerprint of the certificate, SHA-256: {}",
            it.fingerprint
        ),
    }
}

pub(crate) fn run(session: &mut Session<'_>, args: &ServeArgs) -> Result<(), Failure> {
    let clock = session.clock.shared();
    serve_by(session, args, clock)
}

fn said(error: ServeError) -> Failure {
    use std::io::ErrorKind;
    let (what, hint) = match &error {
        ServeError::Beyond(_) => (error.to_string(), "without --listen it is 127.0.0.1"),
        ServeError::Any(_) => (
            error.to_string(),
            "one address of this machine, such as --listen 192.168.1.20",
        ),
        ServeError::Io { address, source } => match source.kind() {
            ErrorKind::AddrInUse => (
                format!("another program listens at {address} already"),
                "another port: wearbook serve --port 0",
            ),
            ErrorKind::AddrNotAvailable => (
                format!("{address} is no address of this machine"),
                "--listen with an address that the system's network settings show",
            ),
            ErrorKind::PermissionDenied => (
                format!("this user may not listen at {address}"),
                "a port above 1023",
            ),
            _ => (error.to_string(), "another port: wearbook serve --port 0"),
        },
        ServeError::Random(_) => (error.to_string(), ""),
    };
    Failure::Refused {
        what,
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
    clock: Arc<SharedClock>,
    program: Program,
    /// Every command, made once.
    tree: OnceLock<clap::Command>,
    /// The registers that all pages share.
    houses: Houses,
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
            hidden: None,
            out,
            err: &mut std::io::sink(),
            width: 100,
            screen: None,
            if_broken_off: &mut |_| {},
        })
    }

    /// The command of these words.
    fn found(&self, words: &[&str]) -> Option<&clap::Command> {
        let all = self.tree.get_or_init(self.program.command);
        words
            .iter()
            .try_fold(all, |it, word| it.find_subcommand(word))
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

    fn run(&self, words: &[String], given: Option<Content>, author: &Author) -> CommandSaid {
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
        let (code, kept) = self.around(&author.os_user, &mut out, |around| {
            let houses = self.houses.clone();
            (self.program.run_kept)(&all, FromPage { given, houses }, around)
        });
        CommandSaid {
            code,
            out: String::from_utf8_lossy(&out).into_owned(),
            reports: kept.reports,
            tables: kept.tables,
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
            session.output.take_kept().reports
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
            is_file: it.get_value_hint() == ValueHint::AnyPath,
            under: it.get_help_heading().unwrap_or_default().to_owned(),
            is_many: matches!(it.get_action(), ArgAction::Append),
        });
        Some(fields.collect())
    }
}

#[cfg(test)]
mod tests;
