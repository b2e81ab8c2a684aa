//! The page as a browser asks it: a server over loopback on a free port, and a client that knows
//! nothing but HTTP.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::PathBuf;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use super::cli_support::{Place, run_with};

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
}

/// Serves a ledger until the tests end; the address that it printed.
pub fn served(place: &Place) -> Browser {
    let (out, now, ledger): (Heard, _, PathBuf) = (Heard::default(), place.now, place.ledger());
    let mut heard = out.clone();
    std::thread::spawn(move || {
        let words = ["wearbook", "serve", "--port", "0", "--ledger"];
        let mut words: Vec<std::ffi::OsString> = words.iter().map(Into::into).collect();
        words.push(ledger.into());
        let mut err = heard.clone();
        let input: (bool, &mut dyn std::io::BufRead) = (false, &mut std::io::empty());
        run_with((&words, 80), now, input, &mut heard, &mut err)
    });
    let begun = Instant::now();
    loop {
        let text = out.text();
        if let Some(line) = text.lines().find(|it| it.starts_with("http://")) {
            let rest = line.trim_start_matches("http://");
            let (at, path) = rest.split_once('/').expect("an address with its secret");
            return Browser {
                at: at.parse().expect("an address"),
                cookie: String::new(),
                invited: format!("/{path}"),
                token: String::new(),
            };
        }
        assert!(begun.elapsed() < Duration::from_secs(60), "{text}");
        std::thread::sleep(Duration::from_millis(20));
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

impl Browser {
    /// Sends exactly these lines and what follows them.
    pub fn raw(&self, head: &[String], body: &str) -> Answer {
        let mut stream = TcpStream::connect(self.at).expect("the server is there");
        let wait = Some(Duration::from_secs(60));
        stream.set_read_timeout(wait).expect("a timeout");
        let text = format!("{}\r\n\r\n{body}", head.join("\r\n"));
        // A server that has refused already may not read the rest.
        let _ = stream.write_all(text.as_bytes());
        let mut bytes = Vec::new();
        let _ = stream.read_to_end(&mut bytes);
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
        let status = head.split(' ').nth(1).and_then(|it| it.parse().ok());
        Answer {
            status: status.unwrap_or_else(|| panic!("no answer: {text}")),
            head: head.to_owned(),
            body: body.to_owned(),
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
        let origin = format!("Origin: http://{}", self.at);
        self.send(path, &[&origin], &all)
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
        };
        browser.signed_in(worker)
    }
}
