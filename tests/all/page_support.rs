//! The page as a browser asks it: a server over loopback on a free port, and a client that knows
//! nothing but HTTP.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::sync::atomic::{AtomicI64, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use rustls::pki_types::ServerName;
use rustls::{ClientConfig, ClientConnection, StreamOwned};
use wearbook::cli::{Clock, SharedClock, Surroundings, run};

use super::cli_support::{Place, words};

/// What a server answered.
#[derive(Debug, Clone)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: String,
}

impl Answer {
    /// A header's value, by its name in lower case.
    pub fn header(&self, name: &str) -> Option<&str> {
        let lines = self.head.lines().skip(1);
        let mut pairs = lines.filter_map(|it| it.split_once(": "));
        pairs
            .find(|it| it.0.eq_ignore_ascii_case(name))
            .map(|it| it.1)
    }

    /// The value of a field of a form.
    pub fn value(&self, name: &str) -> String {
        let mark = format!("name=\"{name}\"");
        let at = self.body.find(&mark).unwrap_or_else(|| {
            panic!("no field {name}: {}", self.body);
        });
        let tag = &self.body[at..at + self.body[at..].find('>').expect("the end of a tag")];
        let value = tag.split("value=\"").nth(1).unwrap_or_default();
        value.split('"').next().unwrap_or_default().to_owned()
    }
}

#[derive(Clone, Default)]
struct Heard(Arc<Mutex<Vec<u8>>>);

impl Heard {
    fn text(&self) -> String {
        let bytes = self.0.lock().expect("the server's words");
        String::from_utf8_lossy(&bytes).into_owned()
    }
}

impl Write for Heard {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.lock().expect("the server's words").write(bytes)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

/// A browser: it keeps its cookie.
#[derive(Clone)]
pub struct Browser {
    pub at: SocketAddr,
    pub cookie: String,
    /// The first address, which works once.
    pub invited: String,
    /// What its forms carry.
    pub token: String,
    /// How it encrypts, where the address says `https`.
    pub tls: Option<Arc<ClientConfig>>,
    /// What the server said when it began.
    pub said: String,
}

/// A clock that a test moves.
#[derive(Clone)]
pub struct Moving(Arc<AtomicI64>);

impl Moving {
    pub fn from(now: wearbook::ledger::Instant) -> Moving {
        Moving(Arc::new(AtomicI64::new(now.timestamp())))
    }

    pub fn on(&self, seconds: i64) {
        self.0.fetch_add(seconds, Ordering::SeqCst);
    }
}

impl Clock for Moving {
    fn now(&mut self) -> wearbook::ledger::Instant {
        (self.shared())()
    }

    fn is_scripted(&self) -> bool {
        true
    }

    fn shared(&self) -> SharedClock {
        let at = Arc::clone(&self.0);
        Box::new(move || {
            let now = chrono::DateTime::from_timestamp(at.load(Ordering::SeqCst), 0);
            now.expect("the test's own moment")
        })
    }
}

/// Serves a ledger until the tests end; the address that it printed.
pub fn served(place: &Place) -> Browser {
    served_by(place, "serve", &Moving::from(place.now))
}

/// The same with flags, and by a clock.
pub fn served_by(place: &Place, line: &str, clock: &Moving) -> Browser {
    let (out, mut clock, ledger) = (Heard::default(), clock.clone(), place.ledger());
    let mut heard = out.clone();
    let mut words = words(&format!("{line} --port 0 --ledger"));
    words.push(ledger.into());
    std::thread::spawn(move || {
        let mut err = heard.clone();
        let around = Surroundings {
            clock: &mut clock,
            os_user: "tester".to_owned(),
            input: &mut std::io::empty(),
            asks: false,
            hidden: None,
            out: &mut heard,
            err: &mut err,
            width: 80,
            screen: None,
            if_broken_off: &mut |_| {},
        };
        run(&words, around)
    });
    let begun = Instant::now();
    loop {
        // Its last line says how it ends.
        let text = out.text();
        let line = text.lines().find(|it| it.starts_with("http"));
        if let Some(line) = line.filter(|_| text.contains("Ctrl-C")) {
            let rest = line.split("://").nth(1).expect("an address");
            let (at, path) = rest.split_once('/').expect("an address with its path");
            return Browser {
                at: at.parse().expect("an address"),
                cookie: String::new(),
                invited: format!("/{path}"),
                token: String::new(),
                tls: None,
                said: text.clone(),
            };
        }
        assert!(begun.elapsed() < Duration::from_secs(60), "{text}");
        std::thread::sleep(Duration::from_millis(20));
    }
}

/// An answer, read from its bytes.
fn read(bytes: &[u8]) -> Answer {
    let text = String::from_utf8_lossy(bytes).into_owned();
    let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
    let status = head.split(' ').nth(1).and_then(|it| it.parse().ok());
    Answer {
        status: status.unwrap_or_else(|| panic!("no answer: {text}")),
        head: head.to_owned(),
        body: body.to_owned(),
    }
}

/// A form as a browser sends it.
pub fn encoded(fields: &[(&str, &str)]) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"-._".contains(&byte);
    let one = |text: &str| -> String {
        text.bytes()
            .map(|byte| match plain(byte) {
                true => char::from(byte).to_string(),
                false => format!("%{byte:02X}"),
            })
            .collect()
    };
    let pairs: Vec<String> = fields
        .iter()
        .map(|(name, value)| format!("{}={}", one(name), one(value)))
        .collect();
    pairs.join("&")
}

/// One part of a form that can have files.
#[derive(Clone, Copy)]
pub enum Sent<'a> {
    Field(&'a str, &'a str),
    File(&'a str, &'a str, &'a [u8]),
}

impl Browser {
    /// Sends a form in parts, as a browser sends one with files.
    pub fn multipart(&self, path: &str, parts: &[Sent<'_>]) -> Answer {
        const BETWEEN: &str = "----wearbook-test";
        let mut body = Vec::new();
        for part in parts {
            let (head, bytes) = match part {
                Sent::Field(name, value) => (format!("name=\"{name}\""), value.as_bytes()),
                Sent::File(name, file, bytes) => (
                    format!("name=\"{name}\"; filename=\"{file}\"\r\nContent-Type: text/csv"),
                    *bytes,
                ),
            };
            let head = format!("--{BETWEEN}\r\nContent-Disposition: form-data; {head}\r\n\r\n");
            body.extend_from_slice(head.as_bytes());
            body.extend_from_slice(bytes);
            body.extend_from_slice(b"\r\n");
        }
        body.extend_from_slice(format!("--{BETWEEN}--\r\n").as_bytes());
        let lines = [
            format!("Content-Type: multipart/form-data; boundary={BETWEEN}"),
            format!("Content-Length: {}", body.len()),
            self.origin(),
        ];
        let head = format!("{}\r\n\r\n", self.head("POST", path, &lines).join("\r\n"));
        read(&self.exchanged(&[head.as_bytes(), &body].concat()))
    }

    /// Sends a form with a file: its field, its name and what is in it.
    pub fn upload(
        &self,
        path: &str,
        fields: &[(&str, &str)],
        (field, name, bytes): (&str, &str, impl AsRef<[u8]>),
    ) -> Answer {
        let mut parts = vec![Sent::Field("token", &self.token)];
        parts.extend(fields.iter().map(|(name, value)| Sent::Field(name, value)));
        parts.push(Sent::File(field, name, bytes.as_ref()));
        self.multipart(path, &parts)
    }

    /// The same where nobody chose a file.
    pub fn upload_none(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        self.upload(path, fields, ("file", "", ""))
    }

    /// Sends exactly these lines and what follows them.
    pub fn raw(&self, head: &[String], body: &str) -> Answer {
        let text = format!("{}\r\n\r\n{body}", head.join("\r\n"));
        read(&self.exchanged(text.as_bytes()))
    }

    /// Sends bytes and reads until the other side is done.
    pub fn exchanged(&self, sent: &[u8]) -> Vec<u8> {
        let stream = TcpStream::connect(self.at).expect("the server is there");
        let wait = Some(Duration::from_secs(60));
        stream.set_read_timeout(wait).expect("a timeout");
        let mut bytes = Vec::new();
        // A server that has refused already may not read the rest.
        match &self.tls {
            None => {
                let mut stream = stream;
                let _ = stream.write_all(sent);
                let _ = stream.read_to_end(&mut bytes);
            }
            Some(config) => {
                let name = ServerName::from(self.at.ip());
                let client = ClientConnection::new(Arc::clone(config), name);
                let mut stream = StreamOwned::new(client.expect("a client"), stream);
                let _ = stream.write_all(sent);
                let _ = stream.read_to_end(&mut bytes);
            }
        }
        bytes
    }

    fn origin(&self) -> String {
        let scheme = if self.tls.is_some() { "https" } else { "http" };
        format!("Origin: {scheme}://{}", self.at)
    }

    /// Signs in with a PIN and comes back to an address.
    pub fn sign_in(&mut self, name: &str, pin: &str, to: &str) -> Answer {
        let fields = [("name", name), ("pin", pin), ("to", to)];
        let answer = self.send("/sign-in", &[&self.origin()], &fields);
        if answer.status == 303 {
            let cookie = answer.header("set-cookie").expect("a cookie");
            self.cookie = cookie.split(';').next().unwrap_or_default().to_owned();
            self.token = self.get("/board").value("token");
        }
        answer
    }

    /// The same browser with one more cookie.
    pub fn with_cookie(&self, pair: &str) -> Browser {
        Browser {
            cookie: format!("{}; {pair}", self.cookie),
            ..self.clone()
        }
    }

    /// The head of a request as a browser writes it.
    pub fn head(&self, method: &str, path: &str, more: &[String]) -> Vec<String> {
        let mut head = vec![
            format!("{method} {path} HTTP/1.1"),
            format!("Host: {}", self.at),
            "Connection: close".to_owned(),
        ];
        if !self.cookie.is_empty() {
            head.push(format!("Cookie: {}", self.cookie));
        }
        head.extend(more.iter().cloned());
        head
    }

    pub fn get(&self, path: &str) -> Answer {
        self.raw(&self.head("GET", path, &[]), "")
    }

    /// Sends a form, with what else its head has.
    pub fn send(&self, path: &str, more: &[&str], fields: &[(&str, &str)]) -> Answer {
        let body = encoded(fields);
        let mut lines = vec![
            "Content-Type: application/x-www-form-urlencoded".to_owned(),
            format!("Content-Length: {}", body.len()),
        ];
        lines.extend(more.iter().map(|it| (*it).to_owned()));
        self.raw(&self.head("POST", path, &lines), &body)
    }

    /// Sends a form of a page that was opened before: with its token.
    pub fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let mut all = vec![("token", self.token.as_str())];
        all.extend(fields);
        self.send(path, &[&self.origin()], &all)
    }

    /// Opens the address and says who sits there.
    pub fn signed_in(mut self, worker: &str) -> Browser {
        let answer = self.get(&self.invited.clone());
        assert_eq!(answer.status, 303, "{}", answer.body);
        let cookie = answer.header("set-cookie").expect("a cookie");
        self.cookie = cookie.split(';').next().unwrap_or_default().to_owned();
        let token = self.get("/").value("token");
        let said = self.send("/who", &[], &[("token", &token), ("worker", worker)]);
        assert_eq!(said.status, 303, "{}", said.body);
        self.token = self.get("/more").value("token");
        self
    }

    /// The same server for somebody else.
    pub fn another(&self, worker: &str) -> Browser {
        let said = self.post("/another", &[]);
        let at = said.body.find("/in/").expect("one more address");
        let invited = said.body[at..].split('<').next().unwrap_or_default();
        let browser = Browser {
            at: self.at,
            cookie: String::new(),
            invited: invited.to_owned(),
            token: String::new(),
            ..self.clone()
        };
        browser.signed_in(worker)
    }
}
