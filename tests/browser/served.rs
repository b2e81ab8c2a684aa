//! The program as a process that serves a copy of the demonstration: it can be killed, started
//! again at the same port, and asked by its commands what is on record.

use std::io::{BufRead, BufReader, Write};
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::OnceLock;

use serde_json::Value;

use super::driver::{Browser, Size};
use super::line::Line;

/// The day of the demonstration.
pub const TODAY: &str = "2026-06-05";

fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_wearbook"));
    command
        .env_remove("WEARBOOK_LEDGER")
        .env_remove("WEARBOOK_BY")
        .stdin(Stdio::null());
    command
}

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    folder
}

/// The demonstration, built once for all.
fn demonstration() -> &'static Path {
    static BUILT: OnceLock<PathBuf> = OnceLock::new();
    BUILT.get_or_init(|| {
        let folder = folder("browser");
        let built = program().arg("demo").arg("--out").arg(&folder).output();
        let built = built.expect("the program");
        let said = String::from_utf8_lossy(&built.stderr).into_owned();
        assert!(built.status.success(), "{said}");
        folder.join("demo.db")
    })
}

/// A ledger that is served.
pub struct Served {
    folder: PathBuf,
    port: u16,
    child: Child,
    address: String,
    how: How,
}

/// What a crew member of the tests signs in with.
pub const CREW_PIN: &str = "480261";

/// Another name of this machine.
const NAME: &str = "truck.example";

/// How a ledger is served.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum How {
    /// Whoever sits there chooses a name, on the day of the demonstration.
    ByName,
    /// By PIN over an encrypted connection, by the clock of this machine.
    ByPin,
    /// By PIN under another name of this machine, which no browser takes for this machine, and
    /// without encryption: a connection that it does not trust.
    InTheClear,
}

impl Drop for Served {
    fn drop(&mut self) {
        self.kill();
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

impl Served {
    /// Serves a copy of the demonstration for one test.
    pub fn start(name: &str) -> Served {
        Served::by(name, How::ByName)
    }

    /// The same where everybody signs in, and the connection is encrypted.
    pub fn with_pins(name: &str) -> Served {
        Served::by(name, How::ByPin)
    }

    /// The same where the browser does not trust the connection, and the flag by which it finds
    /// the server.
    pub fn untrusted(name: &str) -> (Served, String) {
        let rule = format!("--host-resolver-rules=MAP {NAME} 127.0.0.1");
        (Served::by(name, How::InTheClear), rule)
    }

    fn by(name: &str, how: How) -> Served {
        let folder = folder(&format!("browser {name}"));
        std::fs::create_dir_all(&folder).expect("the test's own folder");
        std::fs::copy(demonstration(), folder.join("demo.db")).expect("a copy of the ledger");
        if how != How::ByName {
            pin(&folder, "W01", "long way to the heron flats");
            pin(&folder, "W14", CREW_PIN);
            certify(&folder);
        }
        // The same port again after a restart: what a browser keeps, it keeps for one port.
        let free = TcpListener::bind("127.0.0.1:0").expect("a free port");
        let port = free.local_addr().expect("its address").port();
        drop(free);
        let (child, address) = serve(&folder, port, how);
        Served {
            folder,
            port,
            child,
            address,
            how,
        }
    }

    /// Ends it as a power cut does.
    pub fn kill(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }

    /// Starts it again where it was.
    pub fn restart(&mut self) {
        (self.child, self.address) = serve(&self.folder, self.port, self.how);
    }

    /// An address of the server.
    pub fn at(&self, path: &str) -> String {
        let (scheme, host) = match self.how {
            How::ByName => ("http", "127.0.0.1"),
            How::ByPin => ("https", "127.0.0.1"),
            How::InTheClear => ("http", NAME),
        };
        format!("{scheme}://{host}:{}{path}", self.port)
    }

    /// A browser that reaches the server by a line which can be cut, with somebody signed in.
    pub fn by_line(&self, size: Size, name: &str) -> (Browser, Line) {
        let line = Line::to(self.port);
        let (server, there) = (self.port, line.port);
        let rule = format!("--host-resolver-rules=MAP 127.0.0.1:{server} 127.0.0.1:{there}");
        let browser = Browser::with(size, &[rule]);
        self.sign_in(&browser, &self.address, name);
        (browser, line)
    }

    /// A browser in which somebody is signed in, by the address that the server printed.
    pub fn signed_in(&self, size: Size, name: &str) -> Browser {
        let browser = Browser::new(size);
        self.sign_in(&browser, &self.address, name);
        browser
    }

    /// Signs in with an address that works once.
    pub fn sign_in(&self, browser: &Browser, address: &str, name: &str) {
        browser.open(address);
        browser.tap(name);
        browser.see("Something went wrong");
    }

    /// Signs in after the server was started again.
    pub fn sign_in_again(&self, browser: &Browser, name: &str) {
        self.sign_in(browser, &self.address, name);
    }

    /// Lets another browser in, from that of the RSO.
    pub fn let_in(&self, rso: &Browser, size: Size, name: &str) -> Browser {
        rso.open(&self.at("/more"));
        rso.tap("Another browser on this machine");
        rso.see("it works once");
        let said = rso.said();
        let at = said.find("http://").expect("an address");
        let address = said[at..].split_whitespace().next().expect("an address");
        let browser = Browser::new(size);
        self.sign_in(&browser, address, name);
        browser
    }

    /// A file on the desk.
    pub fn file(&self, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
        let path = self.folder.join(name);
        std::fs::write(&path, text).expect("the test's own folder");
        std::fs::canonicalize(path).expect("the file")
    }

    /// What a command writes into a file.
    pub fn printed(&self, command: &[&str]) -> String {
        let file = self.folder.join("printed.html");
        let mut program = program();
        program.args(command).arg("--out").arg(&file);
        let said = program
            .arg("--ledger")
            .arg(self.folder.join("demo.db"))
            .output();
        let said = said.expect("the program");
        let err = String::from_utf8_lossy(&said.stderr);
        assert!(said.status.success(), "{command:?}: {err}");
        std::fs::read_to_string(file).expect("the file")
    }

    /// What a command answers of the ledger.
    pub fn ask(&self, command: &[&str]) -> Value {
        let ledger = self.folder.join("demo.db");
        let mut program = program();
        program.args(command).arg("--json");
        let said = program.arg("--ledger").arg(ledger).output();
        let said = said.expect("the program");
        let (out, err) = (&said.stdout, String::from_utf8_lossy(&said.stderr));
        assert!(
            matches!(said.status.code(), Some(0 | 3)),
            "{command:?}: {err}"
        );
        serde_json::from_slice(out).unwrap_or_else(|error| panic!("{command:?}: {error}"))
    }

    /// How many entries there are, of which all stand as they were written.
    pub fn entries(&self) -> u64 {
        let answer = self.ask(&["ledger", "verify"]);
        let count = answer.pointer("/data/entries").and_then(Value::as_u64);
        count.unwrap_or_else(|| panic!("{answer}"))
    }

    /// One entry, as it was written.
    pub fn entry(&self, number: u64) -> Value {
        let mut answer = self.ask(&["entry", "show", &number.to_string()]);
        answer["data"].take()
    }
}

/// Sets a PIN as the RSO does at the office's machine.
fn pin(folder: &Path, worker: &str, pin: &str) {
    let mut command = program();
    command.args(["worker", "pin", worker, "--stdin", "--ledger"]);
    command.arg(folder.join("demo.db")).stdin(Stdio::piped());
    command.stdout(Stdio::null());
    let mut child = command.spawn().expect("the program");
    let mut input = child.stdin.take().expect("its input");
    input
        .write_all(format!("{pin}\n").as_bytes())
        .expect("a line");
    drop(input);
    assert!(child.wait().expect("its end").success(), "{worker}");
}

/// A certificate for this machine, which nobody has installed anywhere.
fn certify(folder: &Path) {
    let made = rcgen::generate_simple_self_signed(vec!["127.0.0.1".to_owned()]);
    let made = made.expect("a certificate");
    std::fs::write(folder.join("site.pem"), made.cert.pem()).expect("its file");
    let key = made.signing_key.serialize_pem();
    std::fs::write(folder.join("site.key"), key).expect("the file of its key");
}

fn serve(folder: &Path, port: u16, how: How) -> (Child, String) {
    let port = port.to_string();
    let mut command = program();
    match how {
        How::ByName => command.args(["demo", "--serve", "--out"]).arg(folder),
        How::InTheClear => command
            .args(["serve", "--sign-in", "--name", NAME, "--ledger"])
            .arg(folder.join("demo.db")),
        How::ByPin => command
            .args(["serve", "--sign-in", "--ledger"])
            .arg(folder.join("demo.db"))
            .arg("--cert")
            .arg(folder.join("site.pem"))
            .arg("--key")
            .arg(folder.join("site.key")),
    };
    command.args(["--port", &port]);
    let started = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn();
    let mut child = started.expect("the program");
    let mut out = BufReader::new(child.stdout.take().expect("its output"));
    let mut line = String::new();
    out.read_line(&mut line).expect("an address");
    // Whoever prints to nobody fails: its output is read until it ends.
    std::thread::spawn(move || std::io::copy(&mut out, &mut std::io::sink()));
    assert!(line.contains("://127.0.0.1:"), "{line}");
    (child, line.trim().to_owned())
}
