//! Photos and papers that go with a record: what is kept of a file, and how it is erased again.

use std::io::Read;
use std::path::Path;

use super::authority;
use super::fault::{Fault, Faults, IntakeError};
use super::take::take_one;
use super::taken::{Taken, taken};
use crate::answer::{EvidenceLine, House, OpenHouse, documented, evidence_at, evidence_held};
use crate::calendar::Day;
use crate::intake::file::picture::{MOST_BYTES, NotTaken, Taken as Made, codes_in, take, too_long};
use crate::ledger::{CopyMade, Instant, LedgerError, Refusal, Writer, digest_of};
use crate::record::{
    Body, Documented, Evidence, EvidenceErasure, EvidenceType, Id, Kind, RecordId, Target, Words,
};
use crate::text::counted;

/// A photo or paper that can be kept. A picture was decoded: whatever else the file held is gone,
/// unless it is kept as it was sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EvidenceFile {
    made: Made,
    original: bool,
    sent: String,
    sent_bytes: usize,
}

impl EvidenceFile {
    /// Looks at what was sent. It takes time for a picture, and is done before a write begins.
    ///
    /// # Errors
    /// What is neither a photo nor a paper, too long, or broken.
    pub fn of(name: &str, sent: &[u8], original: bool) -> Result<EvidenceFile, IntakeError> {
        let made = take(sent, original).map_err(|why| not_taken(name, why))?;
        Ok(EvidenceFile {
            original: original && made.kind.is_picture(),
            made,
            sent: digest_of(sent),
            sent_bytes: sent.len(),
        })
    }

    /// Reads a file, and no more of it than may be kept.
    ///
    /// # Errors
    /// A file that cannot be read, and all of [`EvidenceFile::of`].
    pub fn read(path: &Path, original: bool) -> Result<EvidenceFile, IntakeError> {
        let name = path.display().to_string();
        let failed = |source| IntakeError::File {
            file: path.display().to_string(),
            source,
        };
        let file = std::fs::File::open(path).map_err(failed)?;
        let length = file.metadata().map_err(failed)?.len();
        if let Some(why) = too_long(length) {
            return Err(not_taken(&name, why));
        }
        let mut sent = Vec::new();
        let most = MOST_BYTES as u64 + 1;
        file.take(most).read_to_end(&mut sent).map_err(failed)?;
        EvidenceFile::of(&name, &sent, original)
    }

    /// What it is.
    pub fn kind(&self) -> EvidenceType {
        self.made.kind
    }

    /// What the codes in a picture say: labels and printed forms. None where it is no picture, or
    /// none can be read.
    pub fn codes(&self) -> Vec<String> {
        match self.made.kind.is_picture() {
            true => codes_in(&self.made.bytes),
            false => Vec::new(),
        }
    }

    fn body(&self, about: RecordId, words: &str) -> Evidence {
        let size = |it: usize| i64::try_from(it).unwrap_or(i64::MAX);
        Evidence {
            about: Id::new(about),
            bytes: size(self.made.bytes.len()),
            digest: digest_of(&self.made.bytes),
            height: self.made.size.map(|it| i64::from(it.1)),
            kind: self.made.kind,
            original: self.original,
            sent: self.sent.clone(),
            sent_bytes: size(self.sent_bytes),
            width: self.made.size.map(|it| i64::from(it.0)),
            words: words.trim().to_owned(),
        }
    }
}

fn not_taken(name: &str, NotTaken { what, right }: NotTaken) -> IntakeError {
    let mut faults = Faults::default();
    faults.push(Fault::new(None, "file", name, what, right));
    faults.refuse(None, Vec::new())
}

/// The record that a photo or paper is to go with, or why none can.
fn record_of(
    house: &OpenHouse<'_>,
    about: &str,
    faults: &mut Faults,
) -> Result<RecordId, IntakeError> {
    let record = documented(house, about)?;
    let newest = house.snapshot.newest(record)?;
    let stored = house.snapshot.entry(newest)?;
    let kind = Kind::from_stored(&stored.kind);
    if stored.body.is_none() {
        let right = format!("to reinstate it: wearbook entry reinstate {newest} --reason WHY");
        let what = format!("is void by entry {newest}");
        faults.push(Fault::new(None, "about", about, what, right));
    } else if !kind.is_some_and(|it| Documented::GOAL.kinds.contains(&it)) {
        let what = format!(
            "is a {}, with which no photo or paper goes",
            stored.kind_word()
        );
        let right = "an event, an item, a sheet, or the entry of an inspection, a check, a leak \
                     test, a result or a line of an event";
        faults.push(Fault::new(None, "about", about, what, right));
    }
    Ok(record)
}

/// Keeps a photo or paper with a record.
///
/// # Errors
/// A name that leads nowhere or to what nothing goes with; what was erased before; a photo that is
/// there with other words.
pub fn add_evidence(
    writer: &mut Writer<'_>,
    file: &EvidenceFile,
    (about, words): (&str, &str),
) -> Result<Taken, IntakeError> {
    let house = House::load(&writer.snapshot()?)?;
    let mut faults = Faults::default();
    let record = {
        let snapshot = writer.snapshot()?;
        record_of(&house.open(&snapshot), about, &mut faults)?
    };
    let mut body = file.body(record, words);
    let made = digest_of(&file.made.bytes);
    before(writer, &mut body)?;
    for problem in Body::from(body.clone()).problems() {
        faults.push(Fault::of_problem(None, problem));
    }
    if faults.any() {
        return Err(faults.refuse(None, Vec::new()));
    }
    refuse_erased(writer, &body)?;
    let key = format!("{} of {}", file.made.kind.word(), about.trim());
    match writer.find(&body.clone().into()) {
        Err(LedgerError::Refused(_)) => take_one(writer, &house.names, body.into(), faults),
        // The first stays as it was made then.
        Ok(Some(written)) if body.digest != made => {
            Ok(taken(Kind::Evidence.word(), key, written, writer.head()))
        }
        _ => {
            let written = writer.keep_evidence(body, &file.made.bytes, false)?;
            Ok(taken(Kind::Evidence.word(), key, written, writer.head()))
        }
    }
}

/// The same file that goes with the same record already is what was made of it then: another
/// program may scale and encode it otherwise.
fn before(writer: &Writer<'_>, body: &mut Evidence) -> Result<(), IntakeError> {
    let all = writer.snapshot()?.all::<Evidence>()?;
    let same = |it: &Evidence| {
        (it.about, &it.sent, it.original) == (body.about, &body.sent, body.original)
    };
    if let Some(it) = all.into_iter().map(|it| it.body).find(|it| same(it)) {
        *body = Evidence {
            words: std::mem::take(&mut body.words),
            ..it
        };
    }
    Ok(())
}

/// Refuses what was erased, also where another program scaled it otherwise then.
fn refuse_erased(writer: &Writer<'_>, body: &Evidence) -> Result<(), IntakeError> {
    let snapshot = writer.snapshot()?;
    let all = snapshot.all::<Evidence>()?;
    let mut same = all.iter().filter(|it| it.body.sent == body.sent);
    let erasures = snapshot.all::<EvidenceErasure>()?;
    let erased = same.find_map(|it| {
        let mut of = erasures.iter();
        of.find(|one| one.body.digest == it.body.digest)
    });
    match erased {
        Some(it) => Err(LedgerError::from(Refusal::EvidenceErased { entry: it.entry }).into()),
        None => Ok(()),
    }
}

/// Erases what an entry of evidence keeps, wherever else the same goes with: the digest stays.
/// Where other entries keep the same, `also_there` has to say so.
///
/// # Errors
/// Somebody who may not decide it; entries that keep the same and were not spoken of; what an open
/// event or its time to keep holds; what is gone already.
pub fn erase_evidence(
    writer: &mut Writer<'_>,
    now: Instant,
    (entry, by, on, reason): (i64, &str, Option<Day>, &str),
    also_there: bool,
) -> Result<Taken, IntakeError> {
    let house = House::load(&writer.snapshot()?)?;
    let (body, copies, faults, shared) = {
        let snapshot = writer.snapshot()?;
        let open = &house.open(&snapshot);
        let today = open.today(now);
        let on = on.unwrap_or(today);
        let it = evidence_at(open, entry, today)?;
        let body = EvidenceErasure {
            by: house.names.worker(by)?,
            digest: it.line.digest.clone(),
            on,
            reason: reason.to_owned(),
        };
        let mut faults = Faults::default();
        let checked = Body::from(body.clone());
        for problem in authority::problems(&snapshot, &house.names, &checked)? {
            faults.push(Fault::of_problem(None, problem));
        }
        if let Some(erased) = &it.line.erased {
            let (entry, what) = (entry.to_string(), format!("was erased on {}", erased.on));
            let right = format!("its erasure: wearbook entry show {}", erased.entry);
            faults.push(Fault::new(None, "entry", &entry, what, right));
        } else {
            for held in evidence_held(open, &it.line.digest, today)? {
                let right = "close the event, or wait until its time is over";
                let what = format!("cannot be erased: {held}");
                faults.push(Fault::new(None, "entry", &entry.to_string(), what, right));
            }
        }
        let shared: Vec<String> = it.shared.iter().map(shared_words).collect();
        if !shared.is_empty() && !also_there && it.line.erased.is_none() {
            let what = format!(
                "keeps what {} keep too: it would be gone there as well",
                shared.join(" and ")
            );
            let right = "nothing, if one of them needs it; else say that it goes there too \
                         (--also-there)";
            faults.push(Fault::new(None, "entry", &entry.to_string(), what, right));
        }
        (body, it.copies, faults, shared)
    };
    if faults.any() {
        return Err(faults.refuse(None, Vec::new()));
    }
    let key = format!("of entry {entry}");
    let written = writer.erase_evidence(body)?;
    let mut taken = taken(Kind::EvidenceErasure.word(), key, written, writer.head());
    if !shared.is_empty() {
        let entries = shared.join(" and ");
        taken.notes.push(format!(
            "The same was kept by {entries}, and is gone there too."
        ));
    }
    taken.notes.push(copies_words(&copies));
    Ok(taken)
}

/// Another entry that keeps the same: `entry 120 (with inspection of CU-2 on 2026-05-01)`.
fn shared_words(it: &EvidenceLine) -> String {
    format!("entry {} (with {})", it.entry, it.about)
}

/// Which copies still hold it.
fn copies_words(copies: &[CopyMade]) -> String {
    const SHOWN: usize = 5;
    const ALSO: &str = "a copy that was made by hand may have it too";
    if copies.is_empty() {
        return format!("No backup or export was made since it came; {ALSO}.");
    }
    let named = copies.iter().rev().take(SHOWN).map(|it| {
        let day = it.made_at.get(..10).unwrap_or(&it.made_at);
        format!(
            "{} of {day} ({})",
            it.kind,
            counted(it.count, "entry", "entries")
        )
    });
    let named: Vec<String> = named.collect();
    let more = copies.len().saturating_sub(SHOWN);
    let more = match more {
        0 => String::new(),
        more => format!(" and {more} older"),
    };
    format!(
        "CAUTION: copies that were made since still have it: {}{more}; {ALSO}. Destroy them or \
         make them anew, as your own law says.",
        named.join(", ")
    )
}
