//! Photos and papers: lists of them, and one with all that is known of it.

use crate::answer::{EvidenceAnswer, EvidenceLine, OneEvidence};
use crate::show::report::{Report, Table};

const CAUTION: &str = "A photo shows what somebody photographed, and a paper what somebody wrote: \
                       neither is checked here. Opened elsewhere, a PDF may hold more than it \
                       shows.";

/// Every photo and paper, or those that go with something.
pub fn evidence_report(it: &EvidenceAnswer) -> Report {
    let count = crate::text::counted(it.lines.len(), "photo or paper", "photos and papers");
    let mut report = Report::new(match &it.about {
        Some(about) => format!("{count} with {about}"),
        None => count,
    });
    report.table(evidence_table(&it.lines));
    if !it.lines.is_empty() {
        report.line("One of them: wearbook evidence show ENTRY; its file: wearbook evidence save");
    }
    report.caution(CAUTION);
    report
}

/// Photos and papers as a table.
pub(crate) fn evidence_table(lines: &[EvidenceLine]) -> Table {
    let mut table = Table::new(&["photo or paper", "goes with", "type", "state", ">evidence"]);
    for it in lines {
        table.row([
            it.words.clone(),
            format!("{}, entry {}", it.about, it.about_entry),
            it.kind.to_owned(),
            state_words(it),
            it.entry.to_string(),
        ]);
    }
    table
}

/// The part of an answer on an event with what goes with it; nothing where nothing does.
pub(crate) fn evidence_part(report: &mut Report, lines: &[EvidenceLine]) {
    if lines.is_empty() {
        return;
    }
    report.section("Photos and papers");
    report.table(evidence_table(lines));
}

/// Whether it is there, and if not why.
fn state_words(it: &EvidenceLine) -> String {
    match (&it.erased, it.is_kept()) {
        (Some(erased), _) => format!("erased {}", erased.on),
        (None, true) => size_words(it),
        (None, false) => it.state.to_owned(),
    }
}

/// How large it is: pixels, and the length of the file.
fn size_words(it: &EvidenceLine) -> String {
    let length = length_words(it.bytes);
    match (it.width, it.height) {
        (Some(across), Some(down)) => format!("{across} x {down}, {length}"),
        _ => length,
    }
}

/// A length as people say it.
fn length_words(bytes: i64) -> String {
    match bytes {
        0..=999_949 => format!("{} kB", (bytes + 999) / 1000),
        _ => format!("{}.{} MB", bytes / 1_000_000, bytes % 1_000_000 / 100_000),
    }
}

/// As a list of enclosures has it.
pub(crate) fn enclosure_words(it: &EvidenceLine) -> String {
    format!(
        "{} ({}, {}; with {}, entry {}); SHA-256 {}",
        it.words,
        it.kind,
        state_words(it),
        it.about,
        it.entry,
        it.digest
    )
}

/// One photo or paper.
pub fn one_evidence_report(all: &OneEvidence) -> Report {
    let it = &all.line;
    let mut report = Report::new(format!("{}, entry {}", it.words, it.entry));
    report.line(format!("with       {}, entry {}", it.about, it.about_entry));
    report.line(format!("type       {}, {}", it.kind, size_words(it)));
    report.line(format!("written    {} by {}", it.written_at, it.written_by));
    for one in &all.shared {
        report.line(format!(
            "also kept  by entry {}, with {}",
            one.entry, one.about
        ));
    }
    let kept = match (&it.erased, it.is_kept(), it.original) {
        (Some(erased), _, _) => format!(
            "erased on {} by {} (entry {}): {}",
            erased.on, erased.by, erased.entry, erased.reason
        ),
        (None, true, true) => "as it was sent, with all that a camera wrote into it".to_owned(),
        (None, true, false) if it.digest == it.sent => "as it was sent".to_owned(),
        (None, true, false) => format!(
            "scaled and encoded anew; {} were sent",
            length_words(it.sent_bytes)
        ),
        (None, false, _) if it.state == "not carried" => {
            "not carried: this ledger was made from an export without it; take it in again with \
             wearbook evidence add, or have it from a backup"
                .to_owned()
        }
        (None, false, _) => "MISSING: wearbook ledger verify --full".to_owned(),
    };
    report.line(format!("kept       {kept}"));
    report.line(format!("digest     {}", it.digest));
    report.line(format!("sent       {}", it.sent));
    for held in &all.held {
        report.line(format!("held       {held}"));
    }
    if it.is_kept() {
        report.line(format!(
            "Its file: wearbook evidence save {} --out NAME.{}",
            it.entry,
            if it.kind == "PDF" { "pdf" } else { "jpg" }
        ));
    }
    report.caution(CAUTION);
    report
}
