//! One browser with a profile of its own, and the hand that taps and types in it and counts both.

use std::cell::Cell;
use std::future::Future;
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use fantoccini::elements::{Element, ElementRef};
use fantoccini::error::CmdError;
use fantoccini::{Client, ClientBuilder};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use tokio::runtime::{Builder, Runtime};

/// The window of a device, in CSS pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    pub width: u32,
    pub height: u32,
    pub touch: bool,
    /// Device pixels for a CSS pixel: a page at 200 % has two.
    pub ratio: u32,
}

pub const PHONE: Size = Size {
    width: 360,
    height: 640,
    touch: true,
    ratio: 2,
};
pub const DESK: Size = Size {
    width: 1280,
    height: 800,
    touch: false,
    ratio: 1,
};

/// How the browser is started.
const ARGS: &[&str] = &[
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--lang=en-US",
    "--disable-dev-shm-usage",
    "--no-first-run",
];

/// How long anything may take to appear.
const PATIENCE: Duration = Duration::from_secs(20);

/// What stands for an element in the driver's answers.
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

/// The first that is seen and begins with these words.
const SEEN: &str = "
    const [within, words] = arguments;
    const at = within ? document.querySelector(within) : document;
    const all = at ? at.querySelectorAll('a, button, summary, label') : [];
    const is = (it) => it.innerText.trim().startsWith(words) && it.checkVisibility()
        && it.getBoundingClientRect().right > 0;
    return [...all].find(is) || null;";

/// The driver, which ends with the test.
struct Driver {
    child: Child,
    address: String,
}

impl Driver {
    fn start() -> Driver {
        let started = Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn();
        let mut child = started.unwrap_or_else(|error| {
            panic!(
                "chromedriver: {error}; Debian has it in chromium-driver, and `.ci/run` installs it"
            )
        });
        let mut out = BufReader::new(child.stdout.take().expect("its output"));
        let mut line = String::new();
        let port = loop {
            line.clear();
            let count = out.read_line(&mut line).expect("what the driver says");
            assert_ne!(count, 0, "the driver ended");
            if let Some((_, port)) = line.split_once("successfully on port ") {
                break port.trim().trim_end_matches('.').to_owned();
            }
        };
        Driver {
            child,
            address: format!("http://127.0.0.1:{port}"),
        }
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A browser in somebody's hand.
pub struct Browser {
    client: Option<Client>,
    runtime: Runtime,
    _driver: Driver,
    /// The width of its window, in CSS pixels.
    pub width: i64,
    taps: Cell<usize>,
    typed: Cell<usize>,
}

impl Drop for Browser {
    fn drop(&mut self) {
        if let Some(client) = self.client.take() {
            let _ = self.runtime.block_on(client.close());
        }
    }
}

impl Browser {
    /// Opens a browser that has seen nothing yet.
    pub fn new(size: Size) -> Browser {
        Browser::with(size, &[])
    }

    /// The same with flags of its own.
    pub fn with(size: Size, flags: &[String]) -> Browser {
        let driver = Driver::start();
        let runtime = Builder::new_current_thread().enable_all().build();
        let runtime = runtime.expect("a runtime");
        let window = format!("--window-size={},{}", size.width, size.height);
        let mut args = vec![window];
        args.extend(ARGS.iter().map(|it| (*it).to_owned()));
        args.extend(flags.iter().cloned());
        let chromium = json!({
            "goog:chromeOptions": {
                "args": args,
                "mobileEmulation": { "deviceMetrics": {
                    "width": size.width, "height": size.height, "pixelRatio": size.ratio,
                    "touch": size.touch, "mobile": size.touch
                } }
            },
            "timeouts": { "script": 60_000 }
        });
        let Value::Object(chromium) = chromium else {
            unreachable!("an object, above");
        };
        let client = runtime.block_on(async {
            let mut builder = ClientBuilder::new(HttpConnector::new());
            builder.capabilities(chromium);
            builder.connect(&driver.address).await
        });
        Browser {
            client: Some(client.expect("a browser; Debian has it in chromium")),
            runtime,
            _driver: driver,
            width: size.width.into(),
            taps: Cell::new(0),
            typed: Cell::new(0),
        }
    }

    fn client(&self) -> &Client {
        self.client.as_ref().expect("a browser that is open")
    }

    /// Waits for what the browser does.
    pub fn done<'a, T, F>(&'a self, ask: impl FnOnce(&'a Client) -> F) -> T
    where
        F: Future<Output = Result<T, CmdError>>,
    {
        let done = self.runtime.block_on(ask(self.client()));
        done.unwrap_or_else(|error| panic!("{error}\n{}", self.said()))
    }

    /// Opens an address.
    pub fn open(&self, address: &str) {
        self.done(|it| it.goto(address));
    }

    /// Runs a line of script in the page.
    pub fn script(&self, script: &str, given: &[Value]) -> Value {
        self.done(|it| it.execute(script, given.to_vec()))
    }

    /// What the page says, as it is seen.
    pub fn said(&self) -> String {
        let script = "return location.pathname + '\\n' + document.body.innerText";
        let said = self
            .runtime
            .block_on(self.client().execute(script, Vec::new()));
        said.ok()
            .and_then(|it| it.as_str().map(str::to_owned))
            .unwrap_or_default()
    }

    /// The path of the page.
    pub fn path(&self) -> String {
        let path = self.script("return location.pathname", &[]);
        path.as_str().unwrap_or_default().to_owned()
    }

    /// Waits until the page says this.
    pub fn see(&self, words: &str) {
        self.wait_for(words, || self.said().contains(words).then_some(()));
    }

    /// Waits until something is there.
    pub fn wait_for<T>(&self, what: &str, look: impl Fn() -> Option<T>) -> T {
        let begun = Instant::now();
        loop {
            if let Some(found) = look() {
                return found;
            }
            assert!(begun.elapsed() < PATIENCE, "no {what}: {}", self.said());
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    /// The element that a script gives.
    fn element(&self, what: &str, script: &str, given: &[Value]) -> Element {
        self.wait_for(what, || {
            let found = self.script(script, given);
            let id = found[ELEMENT].as_str()?;
            let id = ElementRef::from(id.to_owned());
            Some(Element::from_element_id(self.client().clone(), id))
        })
    }

    /// Taps on what begins with these words.
    pub fn tap(&self, words: &str) {
        self.tap_in("", words);
    }

    /// Taps on what begins with these words, within a part of the page.
    pub fn tap_in(&self, within: &str, words: &str) {
        let found = self.element(words, SEEN, &[json!(within), json!(words)]);
        self.taps.set(self.taps.get() + 1);
        self.done(|_| async move { found.click().await });
    }

    /// Taps on one of several choices.
    pub fn choose(&self, name: &str, value: &str) {
        let script = "
            const all = document.querySelectorAll('input[type=radio], input[type=checkbox]');
            const is = (it) => it.name === arguments[0] && it.value === arguments[1];
            return [...all].find(is)?.closest('label') || null;";
        let found = self.element(name, script, &[json!(name), json!(value)]);
        self.taps.set(self.taps.get() + 1);
        self.done(|_| async move { found.click().await });
    }

    /// Picks one from a list that opens.
    pub fn pick(&self, name: &str, value: &str) {
        self.typed.set(self.typed.get() + 1);
        let field = self.field(name);
        self.done(|_| async move { field.select_by_value(value).await });
    }

    /// Types into a field; what stood there goes.
    pub fn fill(&self, name: &str, value: &str) {
        self.typed.set(self.typed.get() + 1);
        self.read_off(name, value);
    }

    /// The same for what an instrument shows, which is not counted.
    pub fn read_off(&self, name: &str, value: &str) {
        let field = self.field(name);
        self.done(|_| async move {
            field.clear().await?;
            field.send_keys(value).await
        });
    }

    /// Chooses a file for a field.
    pub fn attach(&self, name: &str, file: &std::path::Path) {
        self.typed.set(self.typed.get() + 1);
        let field = self.field(name);
        let file = file.display().to_string();
        self.done(|_| async move { field.send_keys(&file).await });
    }

    fn field(&self, name: &str) -> Element {
        let script = "
            const all = [...document.getElementsByName(arguments[0])];
            const is = (it) => it.type === 'file' || it.checkVisibility() && it.type !== 'hidden';
            return all.find(is) || null;";
        self.element(name, script, &[json!(name)])
    }

    /// What stands in a field.
    pub fn value(&self, name: &str) -> String {
        let script = "return document.getElementsByName(arguments[0])[0]?.value ?? ''";
        let value = self.script(script, &[json!(name)]);
        value.as_str().unwrap_or_default().to_owned()
    }

    /// What the device has kept: the names of all that stays when the browser is closed.
    pub fn kept(&self) -> Vec<String> {
        let script = "
            const done = arguments[0];
            const all = async () => {
                const found = Object.keys(localStorage).concat(Object.keys(sessionStorage));
                for (const name of globalThis.caches ? await caches.keys() : []) {
                    const cache = await caches.open(name);
                    for (const it of await cache.keys()) {
                        found.push(name + ' ' + new URL(it.url).pathname);
                    }
                }
                return found;
            };
            all().then(done, (error) => done([String(error)]));";
        let kept = self.done(|it| it.execute_async(script, Vec::new()));
        let kept = kept.as_array().into_iter().flatten();
        kept.filter_map(|it| it.as_str().map(str::to_owned))
            .collect()
    }

    /// Presses a key where the keyboard stands.
    pub fn press(&self, key: &str) {
        self.done(|it| async move { it.active_element().await?.send_keys(key).await });
    }

    /// Taps and typed fields since the last time that this was asked.
    pub fn count(&self) -> (usize, usize) {
        (self.taps.take(), self.typed.take())
    }
}
