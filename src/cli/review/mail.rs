//! Alerts by mail: encrypted or not at all, and no lock is held while a server takes its time.

use std::error::Error;
use std::path::{Path, PathBuf};
use std::time::Duration;

use clap::Args;
use lettre::message::Mailbox;
use lettre::transport::smtp::authentication::Credentials;
use lettre::transport::smtp::client::{Certificate, Tls, TlsParameters};
use lettre::{Message, SmtpTransport, Transport};

use crate::answer::{Alert, AlertType, AlertsAnswer};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::read_file;
use crate::ledger::Instant;
use crate::text::counted;

/// Where a connection is encrypted from its first byte; elsewhere it begins in the clear and is
/// encrypted before anything is said.
const ENCRYPTED: u16 = 465;
/// Where the password stands, unless in a file.
const PASSWORD: &str = "WEARBOOK_SMTP_PASSWORD";

/// The flags of a mail.
#[derive(Debug, Args)]
pub(crate) struct MailArgs {
    /// Send what is new to this address
    #[arg(long, value_name = "ADDRESS", requires_all = ["smtp", "mail_from", "reader"])]
    mail_to: Vec<String>,
    /// Whose address the mail is from
    #[arg(long, value_name = "ADDRESS", requires = "mail_to")]
    mail_from: Option<String>,
    /// The mail server, as HOST or HOST:PORT [default port: 587]
    ///
    /// At port 465 the connection is encrypted from the start, elsewhere by STARTTLS. A server that
    /// does not encrypt, or that has no certificate of its name, gets nothing.
    #[arg(long, value_name = "HOST", requires = "mail_to")]
    smtp: Option<String>,
    /// The name to sign in with at the mail server
    #[arg(long, value_name = "NAME", requires = "mail_to")]
    smtp_user: Option<String>,
    /// A file with the password, which only its owner may read [default: the variable
    /// WEARBOOK_SMTP_PASSWORD]
    #[arg(long, value_name = "FILE", requires = "smtp_user")]
    smtp_secret: Option<PathBuf>,
    /// Trust the authority in this file, as PEM, besides the system's own
    #[arg(long, value_name = "FILE", requires = "mail_to")]
    smtp_ca: Option<PathBuf>,
    /// How many seconds one answer of the server may take
    #[arg(long, value_name = "SECONDS", requires = "mail_to", default_value_t = 15,
          value_parser = clap::value_parser!(u16).range(1..=600))]
    smtp_wait: u16,
    /// Put doses into the mail; without, it says who must look and where
    #[arg(long, requires = "mail_to")]
    with_doses: bool,
}

/// Everything that a mail needs, read and checked before anything is sent.
pub(crate) struct Post {
    to: Vec<Mailbox>,
    from: Mailbox,
    server: String,
    transport: SmtpTransport,
    with_doses: bool,
}

fn address(flag: &'static str, text: &str) -> Result<Mailbox, Failure> {
    let right = "an address such as rso@example.com";
    text.parse()
        .map_err(|_| Failure::flag(flag, format!("`{text}` is no address of a mail"), right))
}

impl MailArgs {
    /// What is to be sent where; nothing where no address is given.
    pub fn post(&self) -> Result<Option<Post>, Failure> {
        let (Some(smtp), Some(from)) = (&self.smtp, &self.mail_from) else {
            return Ok(None);
        };
        let (host, port) = match smtp.rsplit_once(':') {
            Some((host, port)) => {
                let right = "HOST or HOST:PORT, such as mail.example.com:587";
                let port: Result<u16, _> = port.parse();
                let wrong = || Failure::flag("smtp", format!("`{smtp}` has no port"), right);
                (host.to_owned(), port.map_err(|_| wrong())?)
            }
            None => (smtp.clone(), 587),
        };
        let to = self.mail_to.iter().map(|it| address("mail-to", it));
        let mut tls = TlsParameters::builder(host.clone());
        if let Some(path) = &self.smtp_ca {
            let pem = read_file(path)?;
            let cert = Certificate::from_pem(pem.as_bytes()).map_err(|_| {
                let what = format!("{} is no certificate", path.display());
                Failure::flag(
                    "smtp-ca",
                    what,
                    "a file of lines between -----BEGIN and -----END",
                )
            })?;
            tls = tls.add_root_certificate(cert);
        }
        let tls = tls.build().map_err(|error| Failure::Refused {
            what: format!("the mail server's encryption cannot be set up: {error}"),
            hint: "is a certificate store of the system there?".to_owned(),
        })?;
        let tls = match port {
            ENCRYPTED => Tls::Wrapper(tls),
            _ => Tls::Required(tls),
        };
        let mut transport = SmtpTransport::builder_dangerous(host)
            .port(port)
            .tls(tls)
            .timeout(Some(Duration::from_secs(u64::from(self.smtp_wait))));
        if let Some(user) = &self.smtp_user {
            transport = transport.credentials(Credentials::new(user.clone(), self.password()?));
        }
        Ok(Some(Post {
            to: to.collect::<Result<_, _>>()?,
            from: address("mail-from", from)?,
            server: smtp.clone(),
            transport: transport.build(),
            with_doses: self.with_doses,
        }))
    }

    fn password(&self) -> Result<String, Failure> {
        let Some(path) = &self.smtp_secret else {
            return std::env::var(PASSWORD).map_err(|_| Failure::Refused {
                what: "there is no password for the mail server".to_owned(),
                hint: format!("the variable {PASSWORD}, or --smtp-secret FILE"),
            });
        };
        need_owner_alone(path)?;
        Ok(read_file(path)?.trim_end_matches(['\r', '\n']).to_owned())
    }
}

/// A secret that others can read is none.
#[cfg(unix)]
fn need_owner_alone(path: &Path) -> Result<(), Failure> {
    use std::os::unix::fs::PermissionsExt;
    let meta = std::fs::metadata(path).map_err(|source| Failure::File {
        file: path.display().to_string(),
        source,
    })?;
    match meta.permissions().mode() & 0o077 {
        0 => Ok(()),
        _ => Err(Failure::Refused {
            what: format!("{} can be read by others; nothing was sent", path.display()),
            hint: format!("chmod 600 {}, and a new password", path.display()),
        }),
    }
}

#[cfg(not(unix))]
fn need_owner_alone(_: &Path) -> Result<(), Failure> {
    Ok(())
}

/// Whether it took too long, however deep that stands in what went wrong.
fn is_late(error: &(dyn Error + 'static)) -> bool {
    use std::io::ErrorKind;
    let kind = error
        .downcast_ref::<std::io::Error>()
        .map(std::io::Error::kind);
    matches!(kind, Some(ErrorKind::WouldBlock | ErrorKind::TimedOut))
        || error.source().is_some_and(is_late)
}

/// Whether the encryption itself refused, however deep it stands in what went wrong.
fn is_of_encryption(error: &(dyn Error + 'static)) -> bool {
    let inner = error.downcast_ref::<std::io::Error>();
    let inner = inner.and_then(std::io::Error::get_ref);
    error.is::<rustls::Error>()
        || inner.is_some_and(|it| it.is::<rustls::Error>())
        || error.source().is_some_and(is_of_encryption)
}

/// One line of a mail.
fn line(it: &Alert, with_doses: bool) -> String {
    let what = if with_doses { &it.what } else { &it.open };
    format!(
        "{}  {}: {what}\r\n    look: {}\r\n",
        it.kind.word(),
        it.about,
        it.look
    )
}

impl Post {
    /// Sends what is new. It is told only when the server has taken it.
    pub fn send(&self, all: &AlertsAnswer, now: Instant) -> Result<(), Failure> {
        let stops = all.rows.iter().filter(|it| it.kind == AlertType::Stop);
        let subject = format!(
            "wearbook: {}, {}",
            counted(all.rows.len(), "alert", "alerts"),
            counted(stops.count(), "STOP", "STOPs")
        );
        let mut body = String::new();
        for it in &all.rows {
            body.push_str(&line(it, self.with_doses));
        }
        if !self.with_doses {
            body.push_str("\r\nDoses stand in the ledger and not in this mail.\r\n");
        }
        if all.rows.iter().any(|it| it.repeats) {
            let id = all.reader.as_deref().unwrap_or("ID");
            body.push_str(&format!(
                "\r\nSTOPs and clocks come again until they were seen: wearbook alerts --for {id} \
                 --seen\r\n"
            ));
        }
        body.push_str(&format!("\r\n{}\r\n", all.confirm));
        let mut mail = Message::builder()
            .from(self.from.clone())
            .subject(subject)
            .date(now.into());
        for it in &self.to {
            mail = mail.to(it.clone());
        }
        let mail = mail.body(body).map_err(Failure::internal)?;
        let sent = self.transport.send(&mail);
        sent.map(|_| ()).map_err(|error| self.refused(&error))
    }

    /// Why a server did not take it.
    fn refused(&self, error: &lettre::transport::smtp::Error) -> Failure {
        let server = &self.server;
        let why = if error.is_timeout() || is_late(error) {
            "does not answer"
        } else if error.is_tls() || is_of_encryption(error) {
            "has no certificate of its name that this machine trusts"
        } else if error.is_client() {
            "does not encrypt, or speaks no SMTP that this program knows"
        } else if error.is_permanent() {
            "refuses the mail, the address or the password"
        } else if error.is_transient() {
            "takes no mail just now"
        } else {
            "cannot be reached, or broke off before it took the mail"
        };
        // What the server itself said helps; what the system says of a connection does not.
        let said = match error.status() {
            Some(_) => format!(" ({error})"),
            None => String::new(),
        };
        Failure::Refused {
            what: format!("the mail server {server} {why}{said}; nothing was told"),
            hint: "the alerts are told again: the same command, or without --mail-to".to_owned(),
        }
    }
}
