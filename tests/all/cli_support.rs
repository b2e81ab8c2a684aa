//! The program as its user runs it: a command line, a clock that stands still, and what comes out.
//! Nothing of the program's inside is used but `wearbook::cli::run`.
//!
//! Every test has a folder of its own under `target/t/`, with a relative name of fixed length: the
//! names of files are part of what is printed and decide where lines break, so they must be the
//! same on every machine. Each command is given the ledger `wearbook.db` of that folder.
//! Transcripts leave the folder's name out, as it would be for somebody who works in it.
//!
//! What came out is compared with a golden file, `tests/golden/NAME.txt`: input, commands and
//! every answer. `WEARBOOK_BLESS=1` writes it anew; read the difference first.

pub use super::cli_figures::findings_of;
use std::cell::RefCell;
use std::ffi::OsString;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::{BufRead, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use unicode_width::UnicodeWidthStr;
use wearbook::calendar::parse_instant;
use wearbook::cli::{Scripted, Surroundings, run};
use wearbook::ledger::Instant;

/// The moment at which the tests' clock stands: seven in the morning at the
/// yard of the test company.
pub const NOW: &str = "2026-06-15T12:00:00Z";

/// What one command said.
#[derive(Debug, Clone)]
pub struct Said {
    pub code: u8,
    pub out: String,
    pub err: String,
}

/// A folder with a ledger, and the transcript of what was done there.
pub struct Place {
    pub dir: PathBuf,
    ledger: &'static str,
    pub width: u16,
    pub now: Instant,
    transcript: String,
}

fn instant(text: &str) -> Instant {
    parse_instant(text).expect("the test's own moment").to_utc()
}

/// The words of a command line; double quotes hold words together.
pub fn words(line: &str) -> Vec<OsString> {
    let mut all = vec![OsString::from("wearbook")];
    let (mut word, mut quoted, mut begun) = (String::new(), false, false);
    for sign in line.chars() {
        match sign {
            '"' => {
                quoted = !quoted;
                begun = true;
            }
            ' ' | '\n' if !quoted => {
                if begun {
                    all.push(std::mem::take(&mut word).into());
                }
                begun = false;
            }
            other => {
                word.push(other);
                begun = true;
            }
        }
    }
    if begun {
        all.push(word.into());
    }
    all
}

/// Runs one command with everything outside given, and a width in columns.
pub fn run_with(
    (arguments, width): (&[OsString], u16),
    now: Instant,
    (asks, input): (bool, &mut dyn BufRead),
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> u8 {
    for name in ["WEARBOOK_LEDGER", "WEARBOOK_BY"] {
        assert!(
            std::env::var_os(name).is_none(),
            "unset {name} for the tests"
        );
    }
    run(
        arguments,
        Surroundings {
            clock: &mut Scripted(now),
            os_user: "tester".to_owned(),
            input,
            asks,
            hidden: None,
            out,
            err,
            width,
            screen: None,
            if_broken_off: &mut |_| {},
        },
    )
}

impl Place {
    /// A folder without a ledger.
    pub fn empty(name: &str) -> Place {
        super::cli_demo::begin();
        let mut hasher = DefaultHasher::new();
        name.hash(&mut hasher);
        let dir = format!("target/t/{:06x}", hasher.finish() & 0xff_ffff);
        let dir = PathBuf::from(dir);
        let _ = std::fs::remove_dir_all(&dir);
        std::fs::create_dir_all(&dir).expect("the test's own folder");
        Place {
            dir,
            ledger: "wearbook.db",
            width: 80,
            now: instant(NOW),
            transcript: String::new(),
        }
    }

    /// A folder with the ledger of the test company: registers, no sheet.
    pub fn with_registers(name: &str) -> Place {
        let place = Place::empty(name);
        std::fs::write(place.ledger(), registers()).expect("the test's own folder");
        place
    }

    pub fn ledger(&self) -> PathBuf {
        self.path(self.ledger)
    }

    /// Works on another ledger of the folder, at another moment.
    pub fn turn_to(&mut self, ledger: &'static str, moment: &str) {
        self.ledger = ledger;
        self.now = instant(moment);
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.dir.join(name)
    }

    /// Writes a file without showing it.
    pub fn file(&self, name: &str, bytes: impl AsRef<[u8]>) -> String {
        let path = self.path(name);
        std::fs::write(&path, bytes).expect("the test's own folder");
        path.display().to_string()
    }

    /// Writes a file and shows it in the transcript; signs that cannot be seen
    /// are written as escapes.
    pub fn shown_file(&mut self, name: &str, bytes: impl AsRef<[u8]>) -> String {
        let bytes = bytes.as_ref();
        self.transcript.push_str(&format!("--- {name}\n"));
        for line in bytes.split_inclusive(|byte| *byte == b'\n') {
            let line = line.strip_suffix(b"\n").unwrap_or(line);
            self.transcript.push_str(&visible(line));
            self.transcript.push('\n');
        }
        self.transcript.push('\n');
        self.file(name, bytes)
    }

    /// Adopts the built-in list with the invented figures of the demonstration.
    pub fn adopt_own_list(&self, from: &str) {
        let list = concat!(env!("CARGO_MANIFEST_DIR"), "/demo/site-checklist.toml");
        self.done(&format!("checklist adopt {list} --from {from}"));
    }

    /// Runs a command without showing it.
    pub fn quiet(&self, line: &str) -> Said {
        self.said(line, None)
    }

    /// Runs a command that must succeed, without showing it.
    pub fn done(&self, line: &str) -> Said {
        let said = self.quiet(line);
        assert_eq!(said.code, 0, "{line}\n{}{}", said.out, said.err);
        said
    }

    /// Takes in sheets of these rows.
    pub fn hand_in(&self, rows: &str) {
        let file = self.file("sheet.csv", format!("{HEADER}{rows}"));
        self.done(&format!("sheet import {file}"));
    }

    fn said(&self, line: &str, typed: Option<&str>) -> Said {
        let line = line.replace("DIR/", &format!("{}/", self.dir.display()));
        let mut arguments = words(&line);
        // The demonstration makes a ledger of its own, and takes no other.
        if !line.starts_with("demo ") {
            arguments.extend(["--ledger".into(), self.ledger().into_os_string()]);
        }
        let (mut out, screen) = (Vec::new(), RefCell::new(Vec::new()));
        let mut keyboard = Keyboard {
            typed: typed.unwrap_or_default().as_bytes(),
            screen: &screen,
        };
        let input: (bool, &mut dyn BufRead) = (typed.is_some(), &mut keyboard);
        let code = run_with(
            (&arguments, self.width),
            self.now,
            input,
            &mut out,
            &mut Screen(&screen),
        );
        let text = |bytes| String::from_utf8(bytes).expect("text is printed, nothing else");
        let said = Said {
            code,
            out: text(out),
            err: text(screen.into_inner()),
        };
        sound(&line, &said, self.width);
        super::cli_values::hold_to_reference(&line, &said.out);
        said
    }

    fn show(&mut self, line: &str, said: &Said) {
        let line = visible(line.replace("DIR/", "").as_bytes());
        self.transcript
            .push_str(&format!("$ wearbook {line}\n--- exit {}\n", said.code));
        for (name, text) in [("stdout", &said.out), ("stderr", &said.err)] {
            if !text.is_empty() {
                self.transcript.push_str(&format!("--- {name}\n{text}"));
            }
        }
        self.transcript.push('\n');
    }

    /// Runs a command and shows it. `DIR/` in it is the test's own folder.
    pub fn run(&mut self, line: &str) -> Said {
        let said = self.quiet(line);
        self.show(line, &said);
        said
    }

    /// Runs a command at a terminal where these lines are typed.
    pub fn ask(&mut self, line: &str, typed: &str) -> Said {
        let said = self.said(line, Some(typed));
        self.show(line, &said);
        said
    }

    /// Runs a command at a terminal without showing it.
    pub fn said_at_terminal(&self, line: &str, typed: &str) -> Said {
        self.said(line, Some(typed))
    }

    /// Runs a command that must be refused and change nothing.
    pub fn refused(&mut self, line: &str) -> Said {
        let before = std::fs::read(self.ledger()).ok();
        let said = self.run(line);
        assert!(
            matches!(said.code, 1 | 2),
            "{line} ended with {}",
            said.code
        );
        assert!(said.out.is_empty(), "{line} is refused and prints a result");
        assert!(
            before == std::fs::read(self.ledger()).ok(),
            "{line} is refused and changes the ledger's file"
        );
        said
    }

    /// Entry count and head hash.
    pub fn head(&self) -> String {
        self.done("ledger seal").out
    }

    /// Compares the transcript with the golden file of this name.
    pub fn golden(self, name: &str) {
        let folder = format!("{}/", self.dir.display());
        compare(name, &self.transcript.replace(&folder, ""));
    }
}

fn visible(line: &[u8]) -> String {
    let mut text = String::new();
    for chunk in line.utf8_chunks() {
        for sign in chunk.valid().chars() {
            match sign {
                '\u{feff}' => text.push_str("\\u{feff}"),
                '\r' => text.push_str("\\r"),
                other => text.push_str(&wearbook::text::shown(other.encode_utf8(&mut [0; 4]))),
            }
        }
        for byte in chunk.invalid() {
            text.push_str(&format!("\\x{byte:02x}"));
        }
    }
    text
}

/// A terminal: what is typed appears on the screen as it is read.
struct Screen<'a>(&'a RefCell<Vec<u8>>);

struct Keyboard<'a> {
    typed: &'a [u8],
    screen: &'a RefCell<Vec<u8>>,
}

impl Write for Screen<'_> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.borrow_mut().write(bytes)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

impl Read for Keyboard<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let count = self.typed.read(buffer)?;
        self.screen.borrow_mut().extend_from_slice(&buffer[..count]);
        Ok(count)
    }
}

impl BufRead for Keyboard<'_> {
    fn fill_buf(&mut self) -> std::io::Result<&[u8]> {
        Ok(self.typed)
    }

    fn consume(&mut self, count: usize) {
        let (now, later) = self.typed.split_at(count);
        self.screen.borrow_mut().extend_from_slice(now);
        self.typed = later;
    }
}

/// What holds for every command: nothing panics, a refusal says so in one
/// line of lower case, and where something is printed for people it fits.
fn sound(line: &str, said: &Said, width: u16) {
    let whole = format!("{line}\n{}{}", said.out, said.err);
    assert_ne!(said.code, 70, "a fault of the program: {whole}");
    for blame in ["invalid type", "invalid value", "invalid input", "os error"] {
        assert!(!said.err.contains(blame), "blames: {whole}");
    }
    if said.code == 1 || said.code == 2 {
        let first = said.err.lines().find(|it| it.starts_with("error: "));
        let first = first.unwrap_or_else(|| panic!("no `error: ` line: {whole}"));
        let what = first.trim_start_matches("error: ");
        let lower = what.starts_with(|it: char| !it.is_uppercase());
        assert!(lower || what.starts_with("SQLite"), "capital: {whole}");
    }
    for it in said.out.lines().filter(|_| !line.contains("--json")) {
        let csv = line.contains("--csv") || line.contains("template");
        // As a screen counts: what combines with the sign before it takes no room of its own.
        let fits = it.width() <= usize::from(width)
            || csv
            || line.starts_with("completions")
            || line == "man";
        assert!(
            fits || !it.trim_start().contains(' '),
            "wider than {width}: {it}\n{whole}"
        );
    }
}

/// The data of a command's JSON, whatever it ends with.
pub fn data_of(place: &Place, line: &str) -> serde_json::Value {
    let said = place.quiet(&format!("{line} --json"));
    let read: Result<serde_json::Value, _> = serde_json::from_str(&said.out);
    let mut all = read.unwrap_or_else(|_| panic!("{line}: {}{}", said.out, said.err));
    all["data"].take()
}

/// Compares a text with the golden file of this name, or writes it.
pub fn compare(name: &str, text: &str) {
    let path = Path::new("tests/golden").join(format!("{name}.txt"));
    if std::env::var_os("WEARBOOK_BLESS").is_some() {
        std::fs::write(&path, text).expect("tests/golden can be written");
        return;
    }
    let golden = std::fs::read_to_string(&path)
        .unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    assert!(
        golden == text,
        "{} differs; look at it, then WEARBOOK_BLESS=1\n{}",
        path.display(),
        first_difference(&golden, text)
    );
}

fn first_difference(golden: &str, text: &str) -> String {
    let (mut golden, mut text) = (golden.lines(), text.lines());
    let mut number = 0;
    loop {
        number += 1;
        match (golden.next(), text.next()) {
            (None, None) => return "only line ends differ".to_owned(),
            (old, new) if old == new => {}
            (old, new) => {
                let (old, new) = (old.unwrap_or("(end)"), new.unwrap_or("(end)"));
                return format!("line {number}\n  golden: {old}\n  now:    {new}");
            }
        }
    }
}

/// The columns that the sheets of these tests have.
pub const HEADER: &str = "day,shift,begins,ends,job,work,device,source,control_unit,guide_tubes,\
     meter,exposures,source_out_min,boundary,storage_survey,device_out,device_back,attested_by,\
     worker,role,dosimeter,part,start,end,off_scale,ratemeter,alarm_tested,badge_worn\n";

/// One row of a sheet: day, shift and person as given, the rest as on any day.
pub fn row(day: &str, shift: &str, person: &str) -> String {
    let times = match shift {
        "day" => "07:00,15:00",
        "evening" => "15:00,23:00",
        _ => "21:00,05:00",
    };
    format!(
        "{day},{shift},{times},J-1,radiography,D-1,S-1,C-1,G-1 G-2,SM-1,24,36.5,1.8 mR/h,22 mR/h,\
         06:30,15:20,W07,{person}\n"
    )
}

/// A radiographer and an assistant with ordinary readings.
pub fn crew(day: &str, shift: &str) -> String {
    row(day, shift, "W07,radiographer,PD-07,1,0,12,no,RM-07,yes,yes")
        + &row(day, shift, "W08,assistant,PD-08,1,1,9,no,RM-08,yes,yes")
}

const WORKERS: &str = "id,name,role,category,birth_date,monitored_from,monitored_until
W01,Adaeze Hollow,rso,exposed,1975-02-01,2015-01-05,
W07,Mirko Sandpiper,radiographer,exposed,1984-08-17,2018-03-12,
W08,Lucinda Ferrow,assistant,exposed,1996-11-30,2024-09-02,
W09,Piet Ashgrove,assistant,exposed,1999-04-04,2026-06-10,
";

const JOBS: &str = "id,place,jurisdiction,setting,zone,first_day,last_day
J-1,Heron Flats line (invented),NRC,temporary jobsite,America/Chicago,2026-01-05,
J-2,Yard bay (invented),NRC,permanent radiographic installation,America/Chicago,2015-01-05,
";

const INSTRUMENTS: &str = "id,type,serial,unit,range,scale,scales,alarm_preset,in_service
PD-07,pocket dosimeter,P7,mR,200 mR,linear,,,2024-01-08
PD-08,pocket dosimeter,P8,mR,200 mR,linear,,,2024-01-08
PD-09,pocket dosimeter,P9,mR,200 mR,linear,,,2024-01-08
EL-01,electronic dosimeter,E1,uSv,10000000 uSv,digital,,,2024-01-08
RM-07,alarm ratemeter,R7,,,,,500 mR/h,2024-01-08
RM-08,alarm ratemeter,R8,,,,,500 mR/h,2024-01-08
SM-1,survey meter,S1,,,linear,10 mR/h / 100 mR/h / 1000 mR/h,,2024-01-08
";

const CHECKS: &str = "instrument,on,type,result,performed_by
PD-07,2026-01-12,response check,pass,Adaeze Hollow
PD-08,2026-01-12,response check,pass,Adaeze Hollow
EL-01,2026-01-12,response check,pass,Adaeze Hollow
RM-07,2026-01-12,calibration,pass,Adaeze Hollow
RM-08,2026-01-12,calibration,pass,Adaeze Hollow
SM-1,2026-04-13,calibration,pass,Adaeze Hollow
";

const EQUIPMENT: &str = "id,type,serial,nuclide,activity,activity_on,in_service
D-1,exposure device,XD1,,,,2020-01-06
S-1,source assembly,XS1,Ir-192,90 Ci,2026-04-06,2026-04-13
C-1,control unit,XC1,,,,2020-01-06
G-1,guide tube,XG1,,,,2020-01-06
G-2,guide tube,XG2,,,,2020-01-06
";

const LEAK_TESTS: &str = "item,on,part,removable,performed_by
S-1,2026-04-13,source,< 5 Bq,Wipe Laboratory (invented)
";

/// The command that makes the test company's ledger.
pub const INIT: &str = "ledger new --license 00-TEST-1 --licensee \"Heron Radiography (invented)\" \
     --site \"Heron Flats (invented)\" --zone America/Chicago --rso \"Adaeze Hollow\"";

/// The bytes of a ledger with registers and no sheet, made once.
fn registers() -> &'static [u8] {
    static MADE: OnceLock<Vec<u8>> = OnceLock::new();
    MADE.get_or_init(|| {
        let place = Place::empty("registers");
        place.done(INIT);
        for (verb, text) in [
            ("worker import", WORKERS),
            ("job import", JOBS),
            ("instrument import", INSTRUMENTS),
            ("instrument checks", CHECKS),
            ("equipment import", EQUIPMENT),
            ("equipment leak-tests", LEAK_TESTS),
        ] {
            let file = place.file("register.csv", text);
            place.done(&format!("{verb} {file}"));
        }
        std::fs::read(place.ledger()).expect("the ledger that was just made")
    })
}
