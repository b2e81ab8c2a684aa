//! The page on a ledger of many years, what a copy of it costs whoever hands in a sheet meanwhile,
//! and a photo beside the least that the same libraries do for it.

use std::io::Cursor;
use std::path::Path;
use std::process::Stdio;
use std::time::{Duration, Instant};

use image::codecs::jpeg::JpegEncoder;
use rusqlite::Connection;

use super::{Client, Outcome, PAIRS, Served, beside, command, done, fields, registers, said};

/// A copy may make a sheet wait so much longer.
const MOST_WAIT: Duration = Duration::from_millis(250);
/// A sheet a day, and none of a day to come.
const MOST_SHEETS: usize = 150;
/// As the program does it.
const LONGEST_SIDE: u32 = 2560;
/// The quality of a JPEG that it encodes anew.
const QUALITY: u8 = 85;

/// All of it, on a copy of a ledger that `cargo bench --bench ratios -- --dir DIR` made.
pub fn measure(folder: &Path, made: &Path) -> Outcome<()> {
    let ledger = folder.join("large.db");
    std::fs::copy(made, &ledger)?;
    registers(folder, &ledger)?;
    let served = Served::start(&ledger)?;
    beside(&served, &ledger)?;
    println!(
        "  peak memory of the server {} MB (goal 250)",
        served.peak_mb()?
    );
    copies(folder, &ledger, &served.rso.another("WA0")?)?;
    photo(folder, &ledger)?;
    paper(folder, &ledger)
}

/// Sheets alone, and the same number while copies are made without a pause.
fn copies(folder: &Path, ledger: &Path, crew: &Client) -> Outcome<()> {
    let mut number = 0;
    let mut one = || -> Outcome<Duration> {
        let mut fields = fields(0, number);
        number += 1;
        fields.push(("do".to_owned(), "send".to_owned()));
        let begun = Instant::now();
        crew.sent("/sheet", &fields)?;
        Ok(begun.elapsed())
    };
    one()?;
    let quiet: Vec<Duration> = (0..PAIRS).map(|_| one()).collect::<Outcome<_>>()?;
    let kept = folder.join("copies");
    std::fs::create_dir_all(&kept)?;
    let begun = Instant::now();
    let mut copy = command(ledger)
        .args(["ledger", "copies", "--keep", "1", "--dir"])
        .arg(&kept)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()?;
    let mut busy = Vec::new();
    while busy.len() < MOST_SHEETS && copy.try_wait()?.is_none() {
        busy.push(one()?);
        std::thread::sleep(Duration::from_millis(500));
    }
    if !copy.wait()?.success() {
        return Err("no copy was made".into());
    }
    println!(
        "  a copy while sheets come in: {:.1} s",
        begun.elapsed().as_secs_f64()
    );
    let longest = |times: &[Duration]| times.iter().max().copied().unwrap_or_default();
    let more = longest(&busy).saturating_sub(longest(&quiet));
    said("  a sheet, nothing beside it", quiet);
    said("  a sheet, a copy beside it", busy);
    println!(
        "  the slowest waited {} ms longer (goal {})",
        more.as_millis(),
        MOST_WAIT.as_millis()
    );
    Ok(())
}

/// The time in the middle, in seconds.
fn middle(mut times: Vec<Duration>) -> f64 {
    times.sort();
    times
        .get(times.len() / 2)
        .copied()
        .unwrap_or_default()
        .as_secs_f64()
}

/// A picture of some 3 MB, of the size that a phone takes.
fn picture() -> Outcome<Vec<u8>> {
    let mut state = 1_u32;
    let noisy = image::RgbImage::from_fn(4000, 3000, |x, y| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let shade = |it: u32| u8::try_from((it + (state >> 27)) % 256).unwrap_or_default();
        image::Rgb([shade(x / 16), shade(y / 12), shade((x + y) / 28)])
    });
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 70).encode_image(&noisy)?;
    Ok(bytes)
}

/// A photo by the command, beside the library's decoding, scaling and encoding with a plain
/// insert, and beside the insert alone.
fn photo(folder: &Path, ledger: &Path) -> Outcome<()> {
    let (file, sent) = (folder.join("photo.jpg"), picture()?);
    let plain = Connection::open(folder.join("plain.db"))?;
    plain.pragma_update(None, "synchronous", 2)?;
    plain.execute(
        "CREATE TABLE kept (digest BLOB PRIMARY KEY, bytes BLOB)",
        [],
    )?;
    let (mut ours, mut bare, mut insert) = (Vec::new(), Vec::new(), Vec::new());
    for number in 0..PAIRS {
        // No two are the same: what is kept already is not kept twice.
        let mut sent = sent.clone();
        sent.extend(number.to_be_bytes());
        std::fs::write(&file, &sent)?;
        let begun = Instant::now();
        done(
            command(ledger)
                .args(["evidence", "add", "--about", "D-0", "--words"])
                .arg(format!("bench {number}"))
                .arg(&file),
        )?;
        ours.push(begun.elapsed());
        let begun = Instant::now();
        let anew = encoded_anew(&std::fs::read(&file)?)?;
        let inserting = Instant::now();
        let number = i64::try_from(number)?;
        plain.execute(
            "INSERT INTO kept (digest, bytes) VALUES (?1, ?2)",
            (number, anew),
        )?;
        insert.push(inserting.elapsed());
        bare.push(begun.elapsed());
    }
    let (ours, bare, insert) = (middle(ours), middle(bare), middle(insert));
    println!(
        "  a photo of {:.1} MB: {:.0} ms by the command; decoded, encoded and inserted {:.0} ms, \
         {:.2} x (goal 2); of that the insert alone {:.0} ms",
        f64::from(u32::try_from(sent.len())?) / 1e6,
        ours * 1e3,
        bare * 1e3,
        ours / bare,
        insert * 1e3,
    );
    Ok(())
}

/// A paper of 3 MB, which is kept as it is: what it costs more than one of 1 kB, beside its plain
/// insert.
fn paper(folder: &Path, ledger: &Path) -> Outcome<()> {
    let file = folder.join("paper.pdf");
    let plain = Connection::open(folder.join("papers.db"))?;
    plain.pragma_update(None, "synchronous", 2)?;
    plain.execute("CREATE TABLE kept (bytes BLOB)", [])?;
    let added = |number: usize, size: usize| -> Outcome<Duration> {
        let mut bytes = format!("%PDF-1.4\n% {number} {size}\n").into_bytes();
        bytes.resize(size, b' ');
        bytes.extend(b"\n%%EOF\n");
        std::fs::write(&file, &bytes)?;
        let begun = Instant::now();
        done(
            command(ledger)
                .args(["evidence", "add", "--about", "D-0", "--words", "bench"])
                .arg(&file),
        )?;
        Ok(begun.elapsed())
    };
    let (mut more, mut insert) = (Vec::new(), Vec::new());
    for number in 0..PAIRS {
        let small = added(number, 1_000)?;
        more.push(added(number, 3_000_000)?.saturating_sub(small));
        let begun = Instant::now();
        plain.execute(
            "INSERT INTO kept (bytes) VALUES (?1)",
            [vec![b' '; 3_000_000]],
        )?;
        insert.push(begun.elapsed());
    }
    let (more, insert) = (middle(more), middle(insert));
    println!(
        "  a paper of 3 MB: {:.0} ms more than one of 1 kB; its plain insert {:.0} ms, {:.2} x \
         (goal 2)",
        more * 1e3,
        insert * 1e3,
        more / insert,
    );
    Ok(())
}

fn encoded_anew(sent: &[u8]) -> Outcome<Vec<u8>> {
    let decoded = image::load_from_memory(sent)?;
    let scaled = decoded.resize(
        LONGEST_SIDE,
        LONGEST_SIDE,
        image::imageops::FilterType::Triangle,
    );
    let mut out = Cursor::new(Vec::new());
    JpegEncoder::new_with_quality(&mut out, QUALITY).encode_image(&scaled)?;
    Ok(out.into_inner())
}
