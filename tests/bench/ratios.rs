//! Speed and size as ratios: the program's work on the ledger of 500 people and
//! eight years (1 000 000 readings, some 340 000 entries), each beside the least
//! that the same library could do, measured in turn in the same process.
//!
//!     cargo bench --bench ratios                  all of it; some minutes and 3 GB of disk
//!     cargo bench --bench ratios -- --small       a fiftieth of it, to see that it runs
//!     cargo bench --bench ratios -- --only month --pairs 3
//!
//! The files are written to a temporary folder and removed at the end, or to the
//! folder that `--dir` names and kept. There a profiler can run one measurement
//! again: `--alone first DIR` (the program's work) or `--part first DIR` (both).
#![forbid(unsafe_code)]

mod badges;
mod bare;
mod company;
mod dice;
mod files;
mod measure;
mod ours;
mod parts;
mod shifts;

use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::Duration;

use files::{Files, Size};
use measure::{Pair, median, peak_kb, ratio};
use parts::{PARTS, Part, SINGLES};

/// What a step of a benchmark gives: there is nobody here who could repair an error.
pub type Outcome<T> = Result<T, Box<dyn std::error::Error>>;

/// The goal for the peak of memory.
const MOST_MB: u64 = 200;

struct Options {
    small: bool,
    pairs: usize,
    only: Option<String>,
    /// Where the files are to be kept.
    dir: Option<PathBuf>,
    /// A measurement to run in this process, in a folder that is made already.
    child: Option<(String, PathBuf, bool)>,
}

fn main() -> Outcome<()> {
    let Some(options) = options()? else {
        println!("these are benchmarks: run them with `cargo bench`");
        return Ok(());
    };
    match &options.child {
        Some((part, dir, alone)) => child(part, dir, *alone, options.pairs),
        None => all(&options),
    }
}

/// Reads the command line; nothing where a test run started the benchmarks.
fn options() -> Outcome<Option<Options>> {
    let mut options = Options {
        small: false,
        pairs: 5,
        only: None,
        dir: None,
        child: None,
    };
    let mut asked = false;
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        let mut value = || words.next().ok_or(format!("{word} needs a value"));
        match word.as_str() {
            "--bench" => asked = true,
            "--small" => options.small = true,
            "--pairs" => options.pairs = value()?.parse()?,
            "--only" => options.only = Some(value()?),
            "--dir" => options.dir = Some(value()?.into()),
            "--part" => options.child = Some((value()?, value()?.into(), false)),
            "--alone" => options.child = Some((value()?, value()?.into(), true)),
            other => return Err(format!("no such option: {other}").into()),
        }
    }
    asked |= options.small || options.child.is_some();
    Ok(asked.then_some(options))
}

fn part_named(name: &str) -> Outcome<&'static Part> {
    Ok(PARTS
        .iter()
        .find(|part| part.name == name)
        .ok_or("no such measurement")?)
}

/// Runs one measurement and prints its times in nanoseconds, a pair a line, or
/// the peak of memory.
fn child(part: &str, dir: &std::path::Path, alone: bool, pairs: usize) -> Outcome<()> {
    let part = part_named(part)?;
    let files = Files {
        dir: dir.to_owned(),
    };
    if alone {
        if let Some(alone) = part.alone {
            alone(&files)?;
        }
        println!("{}", peak_kb().unwrap_or_default());
        return Ok(());
    }
    for number in 0..pairs {
        let pair = (part.pair)(&files, number)?;
        println!("{} {}", pair.ours.as_nanos(), pair.bare.as_nanos());
    }
    Ok(())
}

fn run_child(flag: &str, part: &Part, dir: &std::path::Path, pairs: usize) -> Outcome<String> {
    let done = Command::new(std::env::current_exe()?)
        .args([flag, part.name])
        .arg(dir)
        .args(["--pairs", &pairs.to_string()])
        .stderr(Stdio::inherit())
        .output()?;
    if !done.status.success() {
        return Err(format!("{} failed", part.what).into());
    }
    Ok(String::from_utf8(done.stdout)?)
}

fn all(options: &Options) -> Outcome<()> {
    let temporary = tempfile::tempdir()?;
    let dir = options.dir.as_deref().unwrap_or(temporary.path());
    std::fs::create_dir_all(dir)?;
    let files = Files {
        dir: dir.to_owned(),
    };
    let size = Size::new(options.small);
    let (sheets, readings) = files.make(size, options.pairs, options.pairs * SINGLES)?;
    println!(
        "{readings} readings on {sheets} sheets, {} pairs, medians",
        options.pairs
    );
    println!(
        "{:<34} {:>9} {:>9} {:>6} {:>5}  {:>7}  beside",
        "what", "ours", "bare", "ratio", "goal", "memory"
    );
    for part in PARTS {
        let wanted = options.only.as_deref().is_none_or(|only| only == part.name);
        // The first import makes the ledger that the others need.
        if !wanted && part.name != "first" {
            continue;
        }
        let pairs = if wanted { options.pairs } else { 1 };
        let printed = run_child("--part", part, dir, pairs)?;
        let pairs: Vec<Pair> = printed.lines().filter_map(read_pair).collect();
        let memory = match part.alone {
            Some(_) => run_child("--alone", part, dir, 1)?
                .trim()
                .parse::<u64>()
                .ok(),
            None => None,
        };
        print_line(part, &pairs, memory);
    }
    Ok(())
}

fn read_pair(line: &str) -> Option<Pair> {
    let (ours, bare) = line.split_once(' ')?;
    Some(Pair {
        ours: Duration::from_nanos(ours.parse().ok()?),
        bare: Duration::from_nanos(bare.parse().ok()?),
    })
}

fn print_line(part: &Part, pairs: &[Pair], memory_kb: Option<u64>) {
    let ratio = ratio(pairs);
    let (ours, bare) = (
        median(pairs.iter().map(|pair| pair.ours)),
        median(pairs.iter().map(|pair| pair.bare)),
    );
    let missed = if ratio > part.goal { "missed" } else { "" };
    let memory = memory_kb.map_or(String::new(), |kb| {
        format!(
            "{} MB{}",
            kb / 1024,
            if kb / 1024 > MOST_MB { "!" } else { "" }
        )
    });
    println!(
        "{:<34} {:>7.3} s {:>7.3} s {:>6.2} {:>5}  {:>7}  {} {missed}",
        part.what,
        ours.as_secs_f64(),
        bare.as_secs_f64(),
        ratio,
        part.goal,
        memory,
        part.beside,
    );
}
