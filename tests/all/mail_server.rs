//! A mail server on loopback for the tests: it speaks SMTP with STARTTLS, keeps what it takes, and
//! misbehaves when it is asked to.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use rustls::pki_types::{PrivateKeyDer, PrivatePkcs8KeyDer};
use rustls::{ServerConfig, ServerConnection, StreamOwned};

use super::cli_support::Place;

/// How a server behaves.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Manner {
    /// As it should.
    Good,
    /// It takes a connection and says nothing.
    Hangs,
    /// It does not encrypt.
    InTheClear,
    /// Its certificate is another machine's.
    OtherName,
    /// It refuses whom the mail is for.
    Refuses,
    /// It takes the whole mail and breaks off without a word.
    Drops,
}

/// A server, and what it took.
pub struct MailServer {
    /// Where it listens, as HOST:PORT.
    pub at: String,
    /// The file with its certificate.
    pub ca: String,
    taken: Arc<Mutex<Vec<String>>>,
    /// Everything that was said before the connection was encrypted.
    clear: Arc<Mutex<String>>,
}

impl MailServer {
    pub fn begin(place: &Place, name: &str, manner: Manner) -> MailServer {
        let whose = match manner {
            Manner::OtherName => "elsewhere.invalid",
            _ => "127.0.0.1",
        };
        let made = rcgen::generate_simple_self_signed(vec![whose.to_owned()]);
        let made = made.expect("a certificate");
        let ca = place.file(&format!("{name}.pem"), made.cert.pem());
        let key = PrivatePkcs8KeyDer::from(made.signing_key.serialize_der());
        let provider = Arc::new(rustls::crypto::ring::default_provider());
        let config = ServerConfig::builder_with_provider(provider)
            .with_safe_default_protocol_versions()
            .expect("the usual versions")
            .with_no_client_auth()
            .with_single_cert(vec![made.cert.der().clone()], PrivateKeyDer::from(key))
            .expect("a key that fits");
        let config = Arc::new(config);
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
        let server = MailServer {
            at: listener.local_addr().expect("an address").to_string(),
            ca,
            taken: Arc::default(),
            clear: Arc::default(),
        };
        let (taken, clear) = (Arc::clone(&server.taken), Arc::clone(&server.clear));
        std::thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                let _ = stream.set_read_timeout(Some(Duration::from_secs(20)));
                let config = Arc::clone(&config);
                // What breaks off is what the test is about.
                let _ = serve(stream, manner, config, (&taken, &clear));
            }
        });
        server
    }

    /// The mails that it took.
    pub fn taken(&self) -> Vec<String> {
        self.taken.lock().expect("the mails").clone()
    }

    pub fn said_in_the_clear(&self) -> String {
        self.clear.lock().expect("the words").clone()
    }
}

/// One line, without its end.
fn line(from: &mut impl BufRead) -> std::io::Result<String> {
    let mut line = String::new();
    match from.read_line(&mut line)? {
        0 => Err(std::io::ErrorKind::UnexpectedEof.into()),
        _ => Ok(line.trim_end().to_owned()),
    }
}

type Kept<'a> = (&'a Mutex<Vec<String>>, &'a Mutex<String>);

fn serve(
    stream: TcpStream,
    manner: Manner,
    config: Arc<ServerConfig>,
    (taken, clear): Kept<'_>,
) -> std::io::Result<()> {
    if manner == Manner::Hangs {
        let mut nothing = [0; 1];
        let _ = (&stream).read(&mut nothing);
        return Ok(());
    }
    let mut plain = BufReader::new(stream);
    plain.get_mut().write_all(b"220 mail.example ESMTP\r\n")?;
    loop {
        let said = line(&mut plain)?;
        clear.lock().expect("the words").push_str(&said);
        let to = plain.get_mut();
        match said.split(' ').next().unwrap_or_default() {
            "EHLO" if manner == Manner::InTheClear => to.write_all(b"250 mail.example\r\n")?,
            "EHLO" => to.write_all(b"250-mail.example\r\n250 STARTTLS\r\n")?,
            "STARTTLS" => {
                to.write_all(b"220 go on\r\n")?;
                break;
            }
            "QUIT" => return to.write_all(b"221 bye\r\n"),
            _ => to.write_all(b"500 not before it is encrypted\r\n")?,
        }
    }
    let connection = ServerConnection::new(config).map_err(std::io::Error::other)?;
    let mut secret = BufReader::new(StreamOwned::new(connection, plain.into_inner()));
    loop {
        let said = line(&mut secret)?;
        let answer: &[u8] = match said.split(' ').next().unwrap_or_default() {
            "EHLO" => b"250-mail.example\r\n250 AUTH PLAIN\r\n",
            "AUTH" => b"235 welcome\r\n",
            "MAIL" => b"250 ok\r\n",
            "RCPT" if manner == Manner::Refuses => b"550 nobody of that name\r\n",
            "RCPT" => b"250 ok\r\n",
            "DATA" => {
                secret.get_mut().write_all(b"354 go on\r\n")?;
                let mut mail = String::new();
                loop {
                    let line = line(&mut secret)?;
                    if line == "." {
                        break;
                    }
                    mail.push_str(&line);
                    mail.push('\n');
                }
                if manner == Manner::Drops {
                    return Ok(());
                }
                taken.lock().expect("the mails").push(mail);
                b"250 taken\r\n"
            }
            "QUIT" => b"221 bye\r\n",
            _ => b"250 ok\r\n",
        };
        secret.get_mut().write_all(answer)?;
    }
}
