//! What is private about a person, in words.

use crate::answer::{GoneLine, GoneWhy, PrivateAnswer};
use crate::record::Words;
use crate::show::report::Report;

const NONE: &str = "not on file";

/// What is private about a person, for the person and the RSO.
pub fn kept_report(it: &PrivateAnswer) -> Report {
    let mut report = Report::new(format!(
        "{} {}: private, for the person and the RSO alone",
        it.worker, it.name
    ));
    report.line(match &it.identification {
        Some(known) => format!("identification: {} ({})", known.number, known.kind),
        None => format!("identification: {NONE}"),
    });
    report.line(match it.sex {
        Some(sex) => format!("sex: {}", sex.word()),
        None => format!("sex: {NONE}"),
    });
    if it.declarations.is_empty() {
        report.line(format!("declared pregnancy: {NONE}"));
    }
    for one in &it.declarations {
        let ended = match one.withdrawn_on {
            Some(day) => format!(", withdrawn or ended on {day}"),
            None => String::new(),
        };
        let conception = match one.conception_on {
            Some(day) => format!(", estimated conception {day}"),
            None => ", no date of conception".to_owned(),
        };
        report.line(format!(
            "declared pregnancy: written notice {}{conception}{ended} (entry {})",
            one.notice_on, one.entry
        ));
        if one.chained {
            report.under(
                "chained by an older program: no command erases it, and an export has it in \
                 entries.jsonl; every other output masks it",
            );
        }
    }
    for words in it.gone.iter().map(gone_words) {
        report.line(words);
    }
    report.caution(
        "A backup has this table, an export does not. The chain says that something is on file, \
         when and by whom, and not what.",
    );
    report
}

/// What it means that a private record has no content any more.
pub(crate) fn gone_words(it: &GoneLine) -> String {
    let left = "were it a declared pregnancy, no level of it is judged and no dose of it told";
    match &it.why {
        GoneWhy::Erased { on, by, reason } => format!(
            "a private record was erased on {on} by {by} (entry {}): {reason}; {left}",
            it.entry
        ),
        GoneWhy::NotRestored => format!(
            "a private record (entry {}) is not in this ledger, which was made from an export: \
             a backup has it; {left}",
            it.entry
        ),
        GoneWhy::Missing => format!(
            "a private record (entry {}) is not as it was written: wearbook ledger verify; {left}",
            it.entry
        ),
    }
}
