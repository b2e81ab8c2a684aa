//! The page under many at once, on loopback: 20 clients hand in 2 000 sheets while five read the
//! board, beside the same number of command runs on a ledger of their own. Every success has to be
//! an entry, none twice and none lost. Then a page beside its answer by the command, in turn.
//!
//!     cargo bench --bench page
//!     cargo bench --bench page -- --small       60 sheets, to see that it runs
//!     cargo bench --bench page -- --ledger FILE
//!
//! The last one measures on a copy of a ledger of many years, which
//! `cargo bench --bench ratios -- --only first --dir DIR` leaves in DIR.
#![forbid(unsafe_code)]

mod large;

use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

type Outcome<T> = Result<T, Box<dyn std::error::Error + Send + Sync>>;

const CLIENTS: usize = 20;
const READERS: usize = 5;
/// How often a page is asked for beside its answer.
const PAIRS: usize = 15;

fn main() -> Outcome<()> {
    let mut words = std::env::args().skip(1);
    if !words.any(|it| it == "--bench") {
        println!("these are benchmarks: run them with `cargo bench`");
        return Ok(());
    }
    let folder = tempfile::tempdir()?;
    let made = std::env::args().skip_while(|it| it != "--ledger").nth(1);
    if let Some(made) = made {
        return large::measure(folder.path(), Path::new(&made));
    }
    let small = std::env::args().any(|it| it == "--small");
    let each = if small { 3 } else { 100 };
    let (paged, typed) = (
        folder.path().join("page.db"),
        folder.path().join("typed.db"),
    );
    begin(&paged)?;
    registers(folder.path(), &paged)?;
    std::fs::copy(&paged, &typed)?;
    let before = entries(&paged)?;
    let served = Served::start(&paged)?;
    let (times, board, found) = handed_in(&served, each)?;
    let sent = CLIENTS * each;
    let different: BTreeSet<u64> = found.iter().copied().collect();
    println!("{sent} sheets by {CLIENTS} clients while {READERS} read the board");
    println!(
        "  answered as on record {}, as different entries {}",
        found.len(),
        different.len()
    );
    println!("  entries more in the ledger {}", entries(&paged)? - before);
    assert_eq!(
        (found.len(), different.len()),
        (sent, sent),
        "one entry a sheet"
    );
    assert_eq!(entries(&paged)?, before + u64::try_from(sent)?);
    said("  page, a sheet, each client waiting", times);
    said("  page, the board meanwhile", board);
    said(
        "  command, a sheet, one after the other",
        typed_in(folder.path(), &typed, each)?,
    );
    beside(&served, &paged)?;
    println!(
        "  peak memory of the server {} MB (goal 250)",
        served.peak_mb()?
    );
    Ok(())
}

fn said(what: &str, mut times: Vec<Duration>) {
    times.sort();
    let at = |share: usize| {
        times
            .get(times.len() * share / 100)
            .copied()
            .unwrap_or_default()
    };
    println!(
        "{what}: median {} ms, 99th percentile {} ms, of {}",
        at(50).as_millis(),
        at(99).as_millis(),
        times.len()
    );
}

fn command(ledger: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_wearbook"));
    command
        .env_remove("WEARBOOK_LEDGER")
        .env_remove("WEARBOOK_BY");
    command.stdin(Stdio::null()).arg("--ledger").arg(ledger);
    command
}

fn done(command: &mut Command) -> Outcome<String> {
    let said = command.output()?;
    match said.status.code() {
        Some(0 | 3) => Ok(String::from_utf8(said.stdout)?),
        _ => Err(format!("{command:?}: {}", String::from_utf8_lossy(&said.stderr)).into()),
    }
}

fn entries(ledger: &Path) -> Outcome<u64> {
    let seal = done(command(ledger).args(["ledger", "seal"]))?;
    Ok(seal.split(':').next().unwrap_or_default().trim().parse()?)
}

/// A ledger of a company.
fn begin(ledger: &Path) -> Outcome<()> {
    done(command(ledger).args([
        "ledger",
        "new",
        "--license",
        "00-BENCH",
        "--licensee",
        "Bench Company (invented)",
        "--site",
        "Bench (invented)",
        "--zone",
        "America/Chicago",
        "--rso",
        "Ada Example",
    ]))?;
    Ok(())
}

/// Registers with a crew of two for each client.
fn registers(folder: &Path, ledger: &Path) -> Outcome<()> {
    let mut workers = "id,name,role,category,birth_date,monitored_from\n\
                       W00,Ada Example,rso,exposed,1975-02-01,2015-01-05\n"
        .to_owned();
    let mut instruments = "id,type,serial,unit,range,scale,scales,alarm_preset,in_service\n\
        SM-1,survey meter,S1,,,linear,10 mR/h / 100 mR/h / 1000 mR/h,,2024-01-08\n"
        .to_owned();
    let mut equipment = "id,type,serial,nuclide,activity,activity_on,in_service\n".to_owned();
    for at in 0..CLIENTS {
        for (of, role) in [("A", "radiographer"), ("B", "assistant")] {
            workers.push_str(&format!(
                "W{of}{at},Person {of}{at},{role},exposed,1984-08-17,2018-03-12\n"
            ));
            instruments.push_str(&format!(
                "PD-{of}{at},pocket dosimeter,P{of}{at},mR,200 mR,linear,,,2024-01-08\n\
                 RM-{of}{at},alarm ratemeter,R{of}{at},,,,,500 mR/h,2024-01-08\n"
            ));
        }
        equipment.push_str(&format!(
            "D-{at},exposure device,XD{at},,,,2020-01-06\n\
             S-{at},source assembly,XS{at},Ir-192,90 Ci,2026-04-06,2026-04-13\n"
        ));
    }
    let jobs = "id,place,jurisdiction,setting,zone,first_day,last_day\n\
                J-1,Line (invented),NRC,temporary jobsite,America/Chicago,2026-01-05,\n";
    for (noun, text) in [
        ("worker", workers.as_str()),
        ("job", jobs),
        ("instrument", &instruments),
        ("equipment", &equipment),
    ] {
        let file = folder.join(format!("{noun}.csv"));
        std::fs::write(&file, text)?;
        done(command(ledger).args([noun, "import"]).arg(file))?;
    }
    Ok(())
}

/// The day of a client's sheet.
fn day(at: usize) -> String {
    format!("2026-{:02}-{:02}", 5 + at / 25, 1 + at % 25)
}

/// The fields of a sheet: what the form asks, and the column of a file.
fn fields(client: usize, at: usize) -> Vec<(String, String)> {
    let mut all: Vec<(String, String)> = [
        ("sheet", format!("N-{client}-{at}")),
        ("rows", "2".to_owned()),
        ("day", day(at)),
        ("shift", "day".to_owned()),
        ("begins", "07:00".to_owned()),
        ("ends", "15:00".to_owned()),
        ("job", "J-1".to_owned()),
        ("work", "radiography".to_owned()),
        ("device", format!("D-{client}")),
        ("source", format!("S-{client}")),
        ("meter", "SM-1".to_owned()),
        ("exposures", "24".to_owned()),
        ("source_out_min", "36.5".to_owned()),
        ("unit", "mR/h".to_owned()),
        ("boundary", "1.8".to_owned()),
        ("storage_survey", "22".to_owned()),
        ("attested_by", format!("WA{client}")),
    ]
    .map(|(name, value)| (name.to_owned(), value))
    .into();
    for (row, of, role) in [(1, "A", "radiographer"), (2, "B", "assistant")] {
        let person = [
            ("worker", format!("W{of}{client}")),
            ("role", role.to_owned()),
            ("dosimeter", format!("PD-{of}{client}")),
            ("part", "1".to_owned()),
            ("start", "0".to_owned()),
            ("end", format!("{}", 1 + at % 9)),
            ("off_scale", "no".to_owned()),
            ("ratemeter", format!("RM-{of}{client}")),
            ("alarm_tested", "yes".to_owned()),
            ("badge_worn", "yes".to_owned()),
        ];
        all.extend(person.map(|(name, value)| (format!("r{row}.{name}"), value)));
    }
    all
}

/// The same sheets by the command line, one run a sheet.
fn typed_in(folder: &Path, ledger: &Path, each: usize) -> Outcome<Vec<Duration>> {
    let file = folder.join("sheet.csv");
    let mut times = Vec::new();
    for client in 0..CLIENTS {
        for at in 0..each {
            let mut text = "sheet,day,shift,begins,ends,job,work,device,source,meter,exposures,\
                            source_out_min,boundary,storage_survey,attested_by,worker,role,\
                            dosimeter,part,start,end,off_scale,ratemeter,alarm_tested,badge_worn\n"
                .to_owned();
            for (of, role) in [("A", "radiographer"), ("B", "assistant")] {
                text.push_str(&format!(
                    "N-{client}-{at},{},day,07:00,15:00,J-1,radiography,D-{client},S-{client},SM-1,\
                     24,36.5,1.8 mR/h,22 mR/h,WA{client},W{of}{client},{role},PD-{of}{client},1,0,\
                     {} mR,no,RM-{of}{client},yes,yes\n",
                    day(at),
                    1 + at % 9
                ));
            }
            std::fs::write(&file, text)?;
            let begun = Instant::now();
            done(command(ledger).args(["sheet", "import"]).arg(&file))?;
            times.push(begun.elapsed());
        }
    }
    Ok(times)
}

/// A server of a ledger, and the RSO's session.
struct Served {
    child: Child,
    rso: Client,
}

impl Drop for Served {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Served {
    fn start(ledger: &Path) -> Outcome<Served> {
        let mut child = command(ledger)
            .args(["serve", "--port", "0"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()?;
        let mut out = BufReader::new(child.stdout.take().ok_or("no output")?);
        let mut line = String::new();
        out.read_line(&mut line)?;
        std::thread::spawn(move || std::io::copy(&mut out, &mut std::io::sink()));
        let rso = Client::enter(line.trim(), "W00")?;
        Ok(Served { child, rso })
    }

    fn peak_mb(&self) -> Outcome<u64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id()))?;
        let line = status.lines().find(|it| it.starts_with("VmHWM:"));
        let kb: u64 = line
            .and_then(|it| it.split_whitespace().nth(1))
            .ok_or("no peak")?
            .parse()?;
        Ok(kb / 1024)
    }
}

/// One browser.
struct Client {
    at: String,
    cookie: String,
    token: String,
}

impl Client {
    /// Opens an address that works once and says who sits there.
    fn enter(address: &str, worker: &str) -> Outcome<Client> {
        let rest = address.strip_prefix("http://").ok_or("no address")?;
        let (at, path) = rest.split_once('/').ok_or("no path")?;
        let mut client = Client {
            at: at.to_owned(),
            cookie: String::new(),
            token: String::new(),
        };
        let head = client.asked("GET", &format!("/{path}"), "")?;
        let cookie = head.split("\r\nset-cookie: ").nth(1).ok_or("no cookie")?;
        client.cookie = cookie.split(';').next().unwrap_or_default().to_owned();
        client.token = value(&client.asked("GET", "/", "")?, "token")?;
        client.sent("/who", &[("worker".to_owned(), worker.to_owned())])?;
        client.token = value(&client.asked("GET", "/", "")?, "token")?;
        Ok(client)
    }

    fn another(&self, worker: &str) -> Outcome<Client> {
        let said = self.sent("/another", &[])?;
        let at = said.find("http://").ok_or("no address")?;
        let address = said.get(at..).and_then(|it| it.split('<').next());
        Client::enter(address.ok_or("no address")?, worker)
    }

    fn sent(&self, path: &str, fields: &[(String, String)]) -> Outcome<String> {
        let mut form = form_urlencoded::Serializer::new(String::new());
        form.append_pair("token", &self.token);
        form.extend_pairs(fields);
        self.asked("POST", path, &form.finish())
    }

    /// Asks, and gives the whole answer.
    fn asked(&self, method: &str, path: &str, body: &str) -> Outcome<String> {
        let mut stream = TcpStream::connect(&self.at)?;
        stream.set_read_timeout(Some(Duration::from_secs(120)))?;
        write!(
            stream,
            "{method} {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\nCookie: {}\r\n\
             Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{body}",
            self.at,
            self.cookie,
            body.len()
        )?;
        let mut text = String::new();
        stream.read_to_string(&mut text)?;
        match text.split(' ').nth(1) {
            Some("200" | "303") => Ok(text),
            _ => {
                let head: String = text.chars().take(2_000).collect();
                Err(format!("{method} {path}: {head}").into())
            }
        }
    }
}

fn value(page: &str, name: &str) -> Outcome<String> {
    let mark = format!("name=\"{name}\" value=\"");
    let rest = page.split(&mark).nth(1).ok_or("no such field")?;
    Ok(rest.split('"').next().unwrap_or_default().to_owned())
}

type HandedIn = (Vec<Duration>, Vec<Duration>, Vec<u64>);

/// All clients at once, with their readers: times of sheets and boards, and the entries.
fn handed_in(served: &Served, each: usize) -> Outcome<HandedIn> {
    let clients = (0..CLIENTS).map(|at| served.rso.another(&format!("WA{at}")));
    let clients: Vec<Client> = clients.collect::<Outcome<_>>()?;
    let readers = (0..READERS).map(|_| served.rso.another("W00"));
    let readers: Vec<Client> = readers.collect::<Outcome<_>>()?;
    let over = AtomicBool::new(false);
    std::thread::scope(|scope| {
        let reading: Vec<_> = readers
            .iter()
            .map(|it| {
                scope.spawn(|| -> Outcome<Vec<Duration>> {
                    let mut times = Vec::new();
                    while !over.load(Ordering::SeqCst) {
                        let begun = Instant::now();
                        it.asked("GET", "/board", "")?;
                        times.push(begun.elapsed());
                    }
                    Ok(times)
                })
            })
            .collect();
        let sending: Vec<_> = clients
            .iter()
            .enumerate()
            .map(|(of, it)| scope.spawn(move || sheets_of(it, of, each)))
            .collect();
        let (mut times, mut found) = (Vec::new(), Vec::new());
        let joined: Vec<_> = sending.into_iter().map(|it| it.join()).collect();
        over.store(true, Ordering::SeqCst);
        for it in joined {
            for (time, entry) in it.map_err(|_| "a client broke down")?? {
                times.push(time);
                found.push(entry);
            }
        }
        let mut boards = Vec::new();
        for it in reading {
            boards.extend(it.join().map_err(|_| "a reader broke down")??);
        }
        Ok((times, boards, found))
    })
}

fn sheets_of(client: &Client, of: usize, each: usize) -> Outcome<Vec<(Duration, u64)>> {
    let mut all = Vec::new();
    for at in 0..each {
        let mut fields = fields(of, at);
        fields.push(("do".to_owned(), "send".to_owned()));
        let begun = Instant::now();
        let page = client.sent("/sheet", &fields)?;
        let time = begun.elapsed();
        let rest = page.split("entry ").nth(1).ok_or("no entry")?;
        let digits = rest.split(|it: char| !it.is_ascii_digit()).next();
        all.push((time, digits.unwrap_or_default().parse()?));
    }
    Ok(all)
}

/// Pages beside their answers, in turn: the same command in a process of its own, which has to
/// start and to open the ledger too.
fn beside(served: &Served, ledger: &Path) -> Outcome<()> {
    for (path, words, goal) in [
        ("/board", &["board"][..], 1.2),
        ("/people", &["dose", "crew"], 1.5),
        ("/findings", &["findings"], 1.5),
        ("/people/WA1", &["dose", "show", "WA1", "--why"], 1.5),
        ("/status", &["work-status"], 1.5),
    ] {
        let mut ratios = Vec::new();
        for _ in 0..PAIRS {
            let begun = Instant::now();
            served.rso.asked("GET", path, "")?;
            let page = begun.elapsed();
            let begun = Instant::now();
            done(command(ledger).args(words))?;
            ratios.push(page.as_secs_f64() / begun.elapsed().as_secs_f64());
        }
        ratios.sort_by(f64::total_cmp);
        let middle = ratios.get(PAIRS / 2).copied().unwrap_or(f64::NAN);
        println!(
            "  {path}: {middle:.2} x `wearbook {}` (goal {goal})",
            words.join(" ")
        );
    }
    Ok(())
}
