//! The program as a process of its own, on ledgers that it made itself by the system's clock:
//! what these tests do to it (kill it, stop it, take its disk away) cannot be done to a
//! library call.

use std::os::unix::process::ExitStatusExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::OnceLock;
use std::time::{Duration, Instant};

use rusqlite::Connection;
use tempfile::TempDir;

use wearbook::calendar::{Day, parse_day};

pub const PROGRAM: &str = env!("CARGO_BIN_EXE_wearbook");

/// What a process ended with.
#[derive(Debug)]
pub struct Told {
    pub code: Option<i32>,
    pub signal: Option<i32>,
    pub out: String,
    pub err: String,
}

impl From<Output> for Told {
    fn from(output: Output) -> Told {
        Told {
            code: output.status.code(),
            signal: output.status.signal(),
            out: String::from_utf8_lossy(&output.stdout).into_owned(),
            err: String::from_utf8_lossy(&output.stderr).into_owned(),
        }
    }
}

impl Told {
    /// Fails unless the command was refused with this in its message.
    pub fn is_refused(&self, part: &str) {
        assert_eq!(self.code, Some(1), "{part}: {self:?}");
        assert!(self.err.starts_with("error: "), "{part}: {self:?}");
        assert!(self.err.contains(part), "`{part}` is not in {self:?}");
    }
}

/// A command without what the surroundings set.
pub fn command(program: &str) -> Command {
    let mut command = Command::new(program);
    command
        .env_remove("WEARBOOK_LEDGER")
        .env_remove("WEARBOOK_BY")
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

/// The program with its ledger and these words, not yet started.
pub fn wearbook(ledger: &Path, words: &[&str]) -> Command {
    let mut command = command(PROGRAM);
    command.arg("--ledger").arg(ledger).args(words);
    command
}

/// Runs a command to its end.
pub fn told(command: &mut Command) -> Told {
    command.output().expect("the process starts").into()
}

/// Runs the program to its end.
pub fn run(ledger: &Path, words: &[&str]) -> Told {
    told(&mut wearbook(ledger, words))
}

/// Runs the program; it must succeed.
pub fn done(ledger: &Path, words: &[&str]) -> Told {
    let told = run(ledger, words);
    assert_eq!(told.code, Some(0), "{words:?}: {told:?}");
    told
}

/// A full verification that finds nothing.
pub fn assert_verified(ledger: &Path, when: &str) {
    // The plain one first: it raises the alarm that one in full would take off.
    for more in [None, Some("--full")] {
        let line: Vec<&str> = ["ledger", "verify"].into_iter().chain(more).collect();
        let told = run(ledger, &line);
        assert_eq!(told.code, Some(0), "{when}: {told:?}");
        assert!(told.out.contains("verified"), "{when}: {told:?}");
    }
}

/// The journal of a write in progress, or of one that was cut short.
pub fn journal(ledger: &Path) -> PathBuf {
    let mut name = ledger.as_os_str().to_owned();
    name.push("-journal");
    name.into()
}

/// Waits until something is so; says whether it became so in time.
pub fn wait_until(most: Duration, mut so: impl FnMut() -> bool) -> bool {
    let begun = Instant::now();
    while !so() {
        if begun.elapsed() > most {
            return false;
        }
        std::thread::sleep(Duration::from_micros(100));
    }
    true
}

const INIT: &[&str] = &[
    "ledger",
    "new",
    "--license",
    "00-TEST-1",
    "--licensee",
    "Heron Radiography (invented)",
    "--site",
    "Heron Flats (invented)",
    "--zone",
    "America/Chicago",
    "--rso",
    "Adaeze Hollow",
    "--from",
    "2015-01-01",
];

/// The words that make a new ledger.
pub fn init() -> &'static [&'static str] {
    INIT
}

const WORKERS: &str = "id,name,role,category,birth_date,monitored_from
W01,Adaeze Hollow,rso,exposed,1975-02-01,2015-01-05
W07,Mirko Sandpiper,radiographer,exposed,1984-08-17,2018-03-12
W08,Lucinda Ferrow,assistant,exposed,1996-11-30,2020-09-02
";

const JOBS: &str = "id,place,jurisdiction,setting,zone,first_day
J-1,Heron Flats line (invented),NRC,temporary jobsite,America/Chicago,2016-01-05
";

const INSTRUMENTS: &str = "id,type,serial,unit,range,scale,scales,alarm_preset,in_service
PD-07,pocket dosimeter,P7,mR,200 mR,linear,,,2020-01-08
PD-08,pocket dosimeter,P8,mR,200 mR,linear,,,2020-01-08
RM-07,alarm ratemeter,R7,,,,,500 mR/h,2020-01-08
RM-08,alarm ratemeter,R8,,,,,500 mR/h,2020-01-08
SM-1,survey meter,S1,,,linear,10 mR/h / 100 mR/h / 1000 mR/h,,2020-01-08
";

const EQUIPMENT: &str = "id,type,serial,nuclide,activity,activity_on,in_service
D-1,exposure device,XD1,,,,2020-01-06
S-1,source assembly,XS1,Ir-192,90 Ci,2020-01-06,2020-01-13
C-1,control unit,XC1,,,,2020-01-06
G-1,guide tube,XG1,,,,2020-01-06
";

/// How many entries the ledger of the registers has: charter, rule set, and every row.
pub const REGISTERED: i64 = 2 + 3 + 1 + 5 + 4;

/// The bytes of a ledger with registers and no sheet, made once.
pub fn registers() -> &'static [u8] {
    static MADE: OnceLock<Vec<u8>> = OnceLock::new();
    MADE.get_or_init(|| {
        let dir = TempDir::new().expect("a folder of the test's own");
        let ledger = dir.path().join("crew.db");
        done(&ledger, INIT);
        for (noun, text) in [
            ("worker", WORKERS),
            ("job", JOBS),
            ("instrument", INSTRUMENTS),
            ("equipment", EQUIPMENT),
        ] {
            let file = dir.path().join("register.csv");
            std::fs::write(&file, text).expect("the test's own folder");
            done(&ledger, &[noun, "import", &file.to_string_lossy()]);
        }
        std::fs::read(&ledger).expect("the ledger that was just made")
    })
}

/// A folder with a ledger of the registers.
pub struct Yard {
    pub dir: TempDir,
    pub ledger: PathBuf,
}

impl Yard {
    pub fn new() -> Yard {
        let dir = TempDir::new().expect("a folder of the test's own");
        let ledger = dir.path().join("crew.db");
        std::fs::write(&ledger, registers()).expect("the test's own folder");
        Yard { dir, ledger }
    }

    /// Writes a file into the folder.
    pub fn file(&self, name: &str, text: &str) -> String {
        let path = self.dir.path().join(name);
        std::fs::write(&path, text).expect("the test's own folder");
        path.to_string_lossy().into_owned()
    }

    /// Fails unless the ledger's file has the bytes that it began with, and nothing stands
    /// beside it that belongs to it.
    pub fn is_untouched(&self, when: &str) {
        let bytes = std::fs::read(&self.ledger).expect("the ledger");
        assert!(bytes == registers(), "{when}: the ledger's file changed");
        assert!(!journal(&self.ledger).exists(), "{when}: a journal stays");
    }
}

/// The columns of these tests' sheets.
pub const HEADER: &str = "day,shift,begins,ends,job,work,device,source,control_unit,guide_tubes,\
     meter,exposures,source_out_min,boundary,storage_survey,device_out,device_back,attested_by,\
     worker,role,dosimeter,part,start,end,off_scale,ratemeter,alarm_tested,badge_worn,note\n";

/// So many day shifts of two people from a day on, each with a note of so many bytes.
pub fn sheets(first: &str, count: usize, note: usize) -> String {
    let first: Day = parse_day(first).expect("the test's own day");
    let note = "n".repeat(note);
    let mut text = HEADER.to_owned();
    for (at, day) in first.iter_days().take(count).enumerate() {
        for (worker, role) in [("07", "radiographer"), ("08", "assistant")] {
            text.push_str(&format!(
                "{day},day,07:00,15:00,J-1,radiography,D-1,S-1,C-1,G-1,SM-1,24,36.5,1.8 mR/h,\
                 22 mR/h,06:30,15:20,W07,W{worker},{role},PD-{worker},1,0,{},no,RM-{worker},\
                 yes,yes,{note}\n",
                at % 9
            ));
        }
    }
    text
}

/// How many entries, sheets and readings there are, as a plain tool counts them.
pub fn counts(ledger: &Path) -> (i64, i64, i64) {
    let conn = Connection::open(ledger).expect("a plain connection");
    conn.query_row(
        "SELECT (SELECT count(*) FROM entry), (SELECT count(*) FROM sheet),
                (SELECT count(*) FROM reading)",
        [],
        |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)),
    )
    .expect("three counts")
}

/// What [`counts`] gives after so many sheets of two people.
pub fn with_sheets(count: usize) -> (i64, i64, i64) {
    let count = i64::try_from(count).expect("a small number");
    (REGISTERED + count, count, 2 * count)
}

/// Numbers that look random and are the same in every run.
pub struct Dice(pub u64);

impl Dice {
    /// A number below `end`.
    pub fn below(&mut self, end: u64) -> u64 {
        // SplitMix64.
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (mixed ^ (mixed >> 31)) % end.max(1)
    }

    /// A time below `end`.
    pub fn within(&mut self, end: Duration) -> Duration {
        let most = u64::try_from(end.as_micros()).expect("a short time");
        Duration::from_micros(self.below(most))
    }
}
