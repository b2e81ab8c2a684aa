//! Photos and papers that go with records: taken in, shown, carried by copies, erased.

use std::fs;

use image::codecs::jpeg::JpegEncoder;
use image::{ImageFormat, Rgb, RgbImage};
use rusqlite::Connection;
use sha2::{Digest, Sha256};

use super::cli_maintenance_shown::kept;
use super::cli_support::{Place, data_of};

/// A photo with an EXIF block (CIPA DC-008) that says where it was taken.
pub fn photo(across: u32, down: u32, place: &str) -> Vec<u8> {
    let picture = RgbImage::from_fn(across, down, |x, y| {
        let it = u8::try_from((x * 7 + y * 13) % 256).expect("a byte");
        Rgb([it, 255 - it, 128])
    });
    let mut bytes = Vec::new();
    picture
        .write_with_encoder(JpegEncoder::new_with_quality(&mut bytes, 90))
        .expect("a JPEG");
    let block = [b"Exif\0\0II*\0\x08\0\0\0\0\0\0\0\0\0", place.as_bytes()].concat();
    let length = u16::try_from(block.len() + 2).expect("short").to_be_bytes();
    [&[0xff, 0xd8, 0xff, 0xe1], &length[..], &block, &bytes[2..]].concat()
}

pub const PAPER: &[u8] = b"%PDF-1.7\n1 0 obj << /Type /Catalog >> endobj\ntrailer << >>\n%%EOF\n";

fn sha(bytes: &[u8]) -> String {
    Sha256::digest(bytes)
        .iter()
        .map(|it| format!("{it:02x}"))
        .collect()
}

const OPENED: &str = "event open --kind disconnect --occurred 2026-06-14T13:40 --equipment D-1 \
                      --equipment C-1 --words \"the source stayed out\"";

/// The test company after a disconnect, with a photo of the event and a paper of an inspection.
fn shown(name: &str) -> Place {
    let place = kept(name);
    place.done(OPENED);
    place.file("kink.jpg", photo(3000, 1500, "GPS 36.15N 95.99W"));
    place.file("leak.pdf", PAPER);
    place.done("evidence add DIR/kink.jpg --about E-1 --words \"kink in the drive cable\"");
    place.done("evidence add DIR/leak.pdf --about S-1 --words \"certificate of the leak test\"");
    place
}

fn entry_of(place: &Place, words: &str) -> i64 {
    let all = data_of(place, "evidence list");
    let lines = all["lines"].as_array().expect("lines");
    let found = lines.iter().find(|it| it["words"] == words).expect(words);
    found["entry"].as_i64().expect("an entry")
}

#[test]
fn a_photo_is_kept_scaled_without_its_place_and_stands_wherever_the_event_does() {
    let place = shown("evidence-shown");
    let sent = fs::read(place.path("kink.jpg")).expect("the photo");
    let entry = entry_of(&place, "kink in the drive cable");
    let it = data_of(&place, &format!("evidence show {entry}"));
    assert_eq!(
        (it["width"].as_i64(), it["height"].as_i64()),
        (Some(2560), Some(1280))
    );
    assert_eq!(it["sent"], sha(&sent), "the digest of what was sent stays");
    place.done(&format!("evidence save {entry} --out DIR/out.jpg"));
    let out = fs::read(place.path("out.jpg")).expect("the file");
    assert_eq!(it["digest"], sha(&out));
    let decoded = image::load_from_memory_with_format(&out, ImageFormat::Jpeg).expect("a JPEG");
    assert_eq!((decoded.width(), decoded.height()), (2560, 1280));
    let holds = |bytes: &[u8], words: &[u8]| bytes.windows(words.len()).any(|it| it == words);
    assert!(holds(&sent, b"36.15N") && !holds(&out, b"36.15N"));
    // The same photo again is no second one.
    let again =
        place.done("evidence add DIR/kink.jpg --about E-1 --words \"kink in the drive cable\"");
    assert!(
        again.out.contains("0 written, 1 were there already"),
        "{}",
        again.out
    );
    for line in [
        "event show E-1",
        "trace show E-1",
        "evidence list --about E-1",
    ] {
        let said = place.done(line).out;
        assert!(said.contains("kink"), "{line}: {said}");
    }
    place.done("report draft E-1 --out DIR/report");
    let draft = fs::read_to_string(place.path("report/E-1-report.md")).expect("the draft");
    assert!(
        draft.contains("Enclosures") && draft.contains(&sha(&out)),
        "{draft}"
    );
    let item = place.done("evidence list --about S-1").out;
    assert!(
        item.contains("certificate") && !item.contains("kink"),
        "{item}"
    );
    let verified = place.done("ledger verify --full");
    assert!(verified.err.is_empty(), "{}", verified.err);
}

#[test]
fn a_photo_that_is_kept_as_it_was_sent_says_so() {
    let place = shown("evidence-original");
    place.done("evidence add DIR/kink.jpg --about C-1 --words \"as sent\" --keep-original");
    let entry = entry_of(&place, "as sent");
    place.done(&format!("evidence save {entry} --out DIR/out.jpg"));
    let (sent, out) = (
        fs::read(place.path("kink.jpg")),
        fs::read(place.path("out.jpg")),
    );
    assert_eq!(sent.expect("sent"), out.expect("kept"));
    let said = place.done(&format!("evidence show {entry}")).out;
    assert!(
        said.contains("with all that a camera wrote into it"),
        "{said}"
    );
}

#[test]
fn what_is_no_photo_and_no_paper_is_refused_with_the_way_out() {
    let mut place = shown("evidence-refused");
    place.file("photo.jpg", "no photo at all");
    place.file(
        "drawing.svg",
        "<svg xmlns=\"http://www.w3.org/2000/svg\"><script/></svg>",
    );
    place.file("phone.heic", b"\0\0\0\x18ftypheic\0\0\0\0mif1heic");
    place.file("half.pdf", "%PDF-1.7\n1 0 obj");
    // The length of a PDF of 200 MB, and none of its bytes on the disk.
    let long = fs::File::create(place.path("long.pdf")).expect("a file");
    long.set_len(200 * 1024 * 1024).expect("a length");
    for file in [
        "photo.jpg",
        "drawing.svg",
        "phone.heic",
        "half.pdf",
        "long.pdf",
        "none.jpg",
    ] {
        place.refused(&format!("evidence add DIR/{file} --about E-1 --words x"));
    }
    for line in [
        "evidence add DIR/kink.jpg --about E-9 --words x",
        "evidence add DIR/kink.jpg --about 1 --words x",
        "evidence add DIR/kink.jpg --about E-1 --words \" \"",
        "evidence add DIR/kink.jpg --about E-1 --words \"another name for it\"",
        "evidence show 1",
        "evidence save 2 --out DIR/none.jpg",
    ] {
        place.refused(line);
    }
    place.golden("evidence-refused");
}

#[test]
fn what_an_open_event_or_its_time_holds_is_not_erased() {
    let mut place = shown("evidence-held");
    let (photo, paper) = (
        entry_of(&place, "kink in the drive cable"),
        entry_of(&place, "certificate of the leak test"),
    );
    for (entry, why) in [(photo, "event E-1"), (paper, "possessed or in force")] {
        let line = format!("evidence erase {entry} --performed-by W01 --reason \"not needed\"");
        let said = place.refused(&line).err;
        assert!(said.contains(why), "{said}");
    }
}

/// A paper with nothing that holds it: of a note of an event that was closed.
fn free(name: &str) -> (Place, i64) {
    let place = shown(name);
    place.file("face.jpg", photo(400, 300, ""));
    place.done("evidence add DIR/face.jpg --about G-1 --words \"shows a bystander\"");
    let entry = entry_of(&place, "shows a bystander");
    (place, entry)
}

#[test]
fn what_other_entries_keep_too_is_erased_only_when_they_were_spoken_of() {
    let (mut place, entry) = free("evidence-shared");
    place.done("evidence add DIR/face.jpg --about G-2 --words \"the same\"");
    let other = entry_of(&place, "the same");
    let flat = |said: &str| said.split_whitespace().collect::<Vec<_>>().join(" ");
    let named = format!("entry {other}");
    let shown = place.done(&format!("evidence show {entry}")).out;
    assert!(flat(&shown).contains(&named), "{shown}");
    let erase = format!("evidence erase {entry} --performed-by W01 --reason bystander");
    let refused = flat(&place.refused(&erase).err);
    for words in [&named, "--also-there", "gone there as well"] {
        assert!(refused.contains(words), "{words}: {refused}");
    }
    let it = data_of(&place, &format!("evidence show {other}"));
    assert_eq!(it["state"].as_str(), Some("kept"));
    let said = flat(&place.done(&format!("{erase} --also-there")).out);
    assert!(
        said.contains(&named) && said.contains("gone there too"),
        "{said}"
    );
    let it = data_of(&place, &format!("evidence show {other}"));
    assert_eq!(it["state"].as_str(), Some("erased"));
}

#[test]
fn an_erasure_is_by_the_rso_for_good_and_names_the_copies_that_have_it() {
    let (mut place, entry) = free("evidence-erased");
    place.done("ledger backup DIR/copy.db");
    let erase = |by: &str| {
        format!("evidence erase {entry} --performed-by {by} --reason \"shows a bystander\"")
    };
    let said = place.refused(&erase("W07"));
    assert!(said.err.contains("rso"), "{}", said.err);
    place.done(&format!("evidence save {entry} --out DIR/kept.jpg"));
    let content = fs::read(place.path("kept.jpg")).expect("the file");
    let said = place.done(&erase("W01")).out;
    assert!(said.contains("backup of 2026-06-15"), "{said}");
    let it = data_of(&place, &format!("evidence show {entry}"));
    assert_eq!(
        (it["state"].as_str(), &it["digest"]),
        (Some("erased"), &sha(&content).into())
    );
    assert!(
        place
            .refused(&format!("evidence save {entry} --out DIR/x.jpg"))
            .err
            .contains("erased")
    );
    place.refused(&erase("W01"));
    let again = place.refused("evidence add DIR/face.jpg --about G-2 --words again");
    assert!(again.err.contains("was erased by entry"), "{}", again.err);
    let head = place.head();
    let erasure = head.split(':').next().expect("a count");
    let void = place.refused(&format!("entry void {erasure} --reason x"));
    assert!(void.err.contains("does not come back"), "{}", void.err);
    place.done("ledger verify --full");
    place.done("ledger rebuild");
    // Nothing of it is left in the file, and the backup has it still.
    let file = fs::read(place.ledger()).expect("the ledger");
    let mark = &content[content.len() - 64..];
    assert!(!file.windows(64).any(|it| it == mark));
    let copy = fs::read(place.path("copy.db")).expect("the copy");
    assert!(copy.windows(64).any(|it| it == mark));
}

#[test]
fn an_export_carries_each_and_a_ledger_made_without_them_says_so() {
    let (mut place, entry) = free("evidence-carried");
    place.done(&format!(
        "evidence erase {entry} --performed-by W01 --reason \"shows a bystander\""
    ));
    let said = place.done("ledger export DIR/june").out;
    assert!(said.contains("evidence: 2 photos and papers"), "{said}");
    let photo = entry_of(&place, "kink in the drive cable");
    place.turn_to("again.db", "2026-06-16T12:00:00Z");
    place.done("ledger restore DIR/june/entries.jsonl");
    place.done("ledger verify --full");
    for (entry, state) in [(photo, "kept"), (entry, "erased")] {
        let it = data_of(&place, &format!("evidence show {entry}"));
        assert_eq!(it["state"], state, "{entry}");
    }
    // Without its folder.
    fs::rename(place.path("june/evidence"), place.path("june/elsewhere")).expect("a folder");
    place.turn_to("without.db", "2026-06-16T12:00:00Z");
    let said = place.done("ledger restore DIR/june/entries.jsonl").out;
    assert!(said.contains("not carried: 2 photos and papers"), "{said}");
    place.done("ledger verify --full");
    let it = data_of(&place, &format!("evidence show {photo}"));
    assert_eq!(it["state"], "not carried");
    // What comes later is the same by its digest.
    place.done("evidence add DIR/kink.jpg --about E-1 --words \"kink in the drive cable\"");
    let it = data_of(&place, &format!("evidence show {photo}"));
    assert_eq!(it["state"], "kept");
    place.done("ledger verify --full");
    // One that was changed.
    fs::rename(place.path("june/elsewhere"), place.path("june/evidence")).expect("a folder");
    let mut all = fs::read_dir(place.path("june/evidence")).expect("a folder");
    let one = all.next().expect("a file").expect("a file").path();
    fs::write(&one, b"something else").expect("a file");
    place.turn_to("changed.db", "2026-06-16T12:00:00Z");
    let said = place.quiet("ledger restore DIR/june/entries.jsonl");
    assert_eq!(said.code, 1);
    assert!(said.err.contains("it was changed"), "{}", said.err);
    assert!(!place.ledger().exists());
}

#[test]
fn a_byte_of_a_photo_that_was_changed_in_the_file_is_found() {
    let place = shown("evidence-tampered");
    let raw = Connection::open(place.ledger()).expect("the file");
    raw.execute_batch(
        "DROP TRIGGER evidence_is_only_erased;
         UPDATE evidence_file SET content = CAST(substr(content, 1, 500) || x'00'
             || substr(content, 502) AS BLOB) WHERE length(content) > 1000;",
    )
    .expect("a change");
    drop(raw);
    let said = place.quiet("ledger verify --full");
    assert_eq!(said.code, 4);
    assert!(
        said.out.contains("its evidence was changed"),
        "{}",
        said.out
    );
    // And what is not there at all.
    let raw = Connection::open(place.ledger()).expect("the file");
    raw.execute_batch(
        "DROP TRIGGER evidence_is_never_removed;
         DELETE FROM evidence_file WHERE length(content) < 1000;",
    )
    .expect("a change");
    drop(raw);
    let said = place.quiet("ledger verify");
    assert!(
        said.out.contains("is missing from the table evidence_file"),
        "{}",
        said.out
    );
}

#[test]
fn a_dry_run_keeps_nothing() {
    let mut place = shown("evidence-dry");
    place.file("other.jpg", photo(64, 64, ""));
    let before = place.head();
    place.done("evidence add DIR/other.jpg --about E-1 --words other --dry-run");
    assert_eq!(place.head(), before);
    let raw = Connection::open(place.ledger()).expect("the file");
    let count: i64 = raw
        .query_row("SELECT count(*) FROM evidence_file", [], |row| row.get(0))
        .expect("a count");
    assert_eq!(count, 2);
    drop(raw);
    place.turn_to("wearbook.db", "2030-01-15T12:00:00Z");
    let rows = data_of(&place, "review 2029 --on 2030-01-15");
    let rows = rows["retention"].as_array().expect("rows").clone();
    let row = rows
        .iter()
        .find(|it| it["key"] == "evidence")
        .expect("a row");
    assert_eq!(
        (&row["count"], &row["evidence"]),
        (&2.into(), &1.into()),
        "{row}"
    );
}
