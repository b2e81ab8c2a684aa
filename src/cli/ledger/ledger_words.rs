//! What a ledger refused or could not do, in words: the sentence, the facts beneath it, the hint.

use crate::ledger::{LedgerError, Refusal};
use crate::record::differences;

pub(crate) fn ledger_words(error: &LedgerError) -> (String, Vec<String>, String) {
    let hint = match error {
        LedgerError::Missing { .. } => {
            "name it with --ledger FILE or WEARBOOK_LEDGER, or make one with `wearbook ledger new`"
        }
        LedgerError::Exists { .. } => "choose another name; nothing is ever overwritten",
        LedgerError::Unfinished { .. } => "give the command that writes it again, or remove it",
        LedgerError::NotALedger { .. } => "name the ledger's file with --ledger FILE",
        LedgerError::Newer { .. } => "use the newer program; nothing was changed",
        LedgerError::NeedsUpgrade => "make a backup, then: wearbook ledger upgrade",
        LedgerError::Busy { .. } | LedgerError::BeingWritten { .. } => {
            "try again when the other process is done"
        }
        LedgerError::ReadOnly => "allow writing to the file and its folder, or copy it elsewhere",
        LedgerError::DiskFull => "make room, then try again",
        LedgerError::System { .. } => "check the disk: its space, its quota and the permissions",
        LedgerError::CutShort { .. } => {
            "run any command as one who may write to both files and their folder; \
             never delete the journal, and never copy one file without the other"
        }
        LedgerError::Unreadable { detail, .. } if detail.needs_newer() => {
            "a newer wearbook is needed to read it; nothing was changed"
        }
        LedgerError::Damaged { .. } | LedgerError::Unreadable { .. } => {
            "wearbook ledger verify --full; then go back to the newest backup that verifies"
        }
        LedgerError::OtherWriter => {
            "wearbook ledger verify --full; where only tables differ: wearbook ledger rebuild"
        }
        LedgerError::OtherJournal { .. } => "close the other program, then try again",
        LedgerError::Altered { .. } => {
            "wearbook ledger verify --full says everything that was altered; wearbook ledger \
             rebuild makes the file anew where the entries fit their chain"
        }
        LedgerError::Unsound { .. } => {
            "go back to the newest backup that verifies; if only the last entries are missing and \
             someone holds the seal of those that are left: wearbook ledger rebuild --expect \
             COUNT:HASH"
        }
        LedgerError::Lying { .. } => "wearbook ledger verify --full, then: wearbook ledger rebuild",
        LedgerError::NoSeal { .. } => {
            "take the whole file; an export of an older wearbook has no seal, and is taken with \
             --expect COUNT:HASH as noted down at the time"
        }
        LedgerError::BadExport { .. } => "an export that was not changed since it was written",
        LedgerError::Refused(refusal) => return refusal_words(refusal),
        LedgerError::File { path, source } => {
            return file_words(&path.display().to_string(), source);
        }
        _ => "",
    };
    let facts = match error {
        LedgerError::OtherWriter => vec![
            "nothing is counted, shown or written from it before its entries are verified"
                .to_owned(),
        ],
        _ => Vec::new(),
    };
    let what = match error {
        // A line that is no entry at all: what the parser says helps nobody.
        LedgerError::BadExport { path, line, detail } if detail.contains(" at line ") => {
            format!(
                "line {line} of {} is not an entry of an export",
                path.display()
            )
        }
        _ => error.to_string(),
    };
    (what, facts, hint.to_owned())
}

fn refusal_words(refusal: &Refusal) -> (String, Vec<String>, String) {
    let (facts, hint) = match refusal {
        Refusal::Problems { problems, .. } => (
            problems
                .iter()
                .map(|it| match it.value.as_str() {
                    "" => format!("{}: {}; right: {}", it.field, it.what, it.right),
                    value => format!("{}: `{value}` {}; right: {}", it.field, it.what, it.right),
                })
                .collect(),
            String::new(),
        ),
        Refusal::SameKey {
            entry, old, new, ..
        } => {
            let fields: Vec<String> = differences(old, new).into_iter().map(|it| it.0).collect();
            let names = fields.join("`, `");
            let fact = format!("entry {entry} differs in `{names}`: wearbook entry show {entry}");
            let changes = fields.join("=VALUE ");
            let correct = format!("wearbook entry correct {entry} {changes}=VALUE --reason WHY");
            (vec![fact], format!("if the entry is wrong: {correct}"))
        }
        Refusal::Voided { entry, .. } => (
            vec![format!("entry {entry} voids it")],
            format!("to reinstate it: wearbook entry reinstate {entry} --reason WHY"),
        ),
        Refusal::NotNewest { newest, .. } => (
            Vec::new(),
            format!(
                "name the newest entry: {newest}; all versions: wearbook entry history {newest}"
            ),
        ),
        Refusal::Stranded {
            referrers, count, ..
        } => {
            let mut facts: Vec<String> = referrers
                .iter()
                .map(|(entry, kind)| format!("entry {entry} ({})", kind.word()))
                .collect();
            if *count > referrers.len() as i64 {
                facts.push(format!("and {} more", count - referrers.len() as i64));
            }
            let first = referrers.first().map_or(0, |(entry, _)| *entry);
            let hint = format!("void or correct those first: wearbook entry show {first}");
            (facts, hint)
        }
        Refusal::NothingChanges { entry } | Refusal::EvidenceErased { entry } => (
            Vec::new(),
            format!("to see what it says: wearbook entry show {entry}"),
        ),
        Refusal::NoSuchEntry { .. } => (
            Vec::new(),
            "to see how many there are: wearbook ledger seal".to_owned(),
        ),
        Refusal::PrivateStays => (
            Vec::new(),
            "wearbook private erase ID WHAT --reason WHY".to_owned(),
        ),
        Refusal::NoReason => (Vec::new(), "--reason \"why\"".to_owned()),
        Refusal::Header(problem) => (Vec::new(), problem.right.clone()),
        Refusal::SameButCase { there, .. } => (
            Vec::new(),
            format!("`{there}` if it is the same, else another id"),
        ),
        _ => (Vec::new(), String::new()),
    };
    (refusal.to_string(), facts, hint)
}

/// What the system says of a file, in our own words where it is often said.
pub(crate) fn file_words(file: &str, source: &std::io::Error) -> (String, Vec<String>, String) {
    use std::io::ErrorKind;
    if source.get_ref().is_some() {
        // Not the system's words but those of another room.
        return (format!("{file}: {source}"), Vec::new(), String::new());
    }
    let (what, hint) = match source.kind() {
        ErrorKind::NotFound => (
            format!("there is no `{file}`"),
            "check the name and the folder",
        ),
        ErrorKind::IsADirectory => (format!("`{file}` is a folder"), "name a file in it"),
        ErrorKind::AlreadyExists => (
            format!("`{file}` exists already"),
            "choose another place; nothing is ever overwritten",
        ),
        ErrorKind::PermissionDenied => (
            format!("`{file}` may not be used by this user"),
            "allow it, or choose another place",
        ),
        ErrorKind::InvalidData => (
            format!("`{file}` is not UTF-8 text"),
            "save it as UTF-8 text",
        ),
        ErrorKind::StorageFull => (
            format!("the disk of `{file}` is full"),
            "make room, then try again",
        ),
        _ => (format!("`{file}`: {source}"), ""),
    };
    (what, Vec::new(), hint.to_owned())
}
