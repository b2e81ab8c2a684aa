//! What the verdicts suggest to change in the checklist and around it.

use super::coverage::Failed;
use super::record::RecordWord;
use super::verdict::{FlagWord, Verdict};
use crate::record::Coverage;
use crate::rule::{ChecklistItem, When};

/// One item with its verdict.
#[derive(Debug, Clone, Copy)]
pub struct Ruled<'v> {
    /// The piece.
    pub piece: &'v str,
    /// The item.
    pub item: &'v ChecklistItem,
    /// Its verdict.
    pub verdict: &'v Verdict,
}

/// What to think about, one line each; the RSO decides. Items that cannot show the failure
/// suggest nothing by their record.
#[must_use]
pub fn suggestions(failed: &Failed, rows: &[Ruled<'_>]) -> Vec<String> {
    let mut all = Vec::new();
    if let Failed::Found {
        on,
        component,
        failure,
    } = failed
    {
        let is = |it: &&Ruled<'_>, coverage| it.verdict.covered.coverage == coverage;
        let can = rows.iter().any(|it| is(&it, Coverage::CanDetect));
        let open = rows.iter().any(|it| is(&it, Coverage::NotEstablished));
        if !can && !open {
            all.push(format!(
                "no item can show `{failure}` at the {component} of a {on}: add one"
            ));
        }
    }
    for row in rows {
        let key = &row.item.key;
        match row.verdict.covered.coverage {
            Coverage::CanDetect => all.extend(of_record(row)),
            Coverage::AroseAfter => all.push(format!(
                "{key}: arose after the last look; ask it at each set-up and after anything \
                 falls or is pulled hard"
            )),
            Coverage::NotEstablished => all.push(format!(
                "{key}: coverage is not established; conclude it with `trace conclude`"
            )),
            Coverage::CannotDetect | Coverage::NoItem => {}
        }
    }
    all
}

fn of_record(row: &Ruled<'_>) -> Vec<String> {
    let (key, piece) = (&row.item.key, row.piece);
    let mut all = vec![match row.verdict.record.word {
        RecordWord::KnownDefectUsed => {
            format!("{key}: it caught it; have a written defect stop the use of {piece}")
        }
        RecordWord::Inactive => {
            format!("{key}: nobody gave its figures: take nominal and limit from the manual")
        }
        RecordWord::RequiredLookAbsent => {
            format!("{key}: no set leaves before the look that is due is written")
        }
        RecordWord::LeftOut => {
            format!("{key}: ask why it was left out: gauge, time, place on the list")
        }
        RecordWord::OrderUnknown => {
            format!("{key}: set the clock; ask others and the paper when it was looked at")
        }
        RecordWord::Claimed => {
            format!("{key}: have inspections written on the day on which they are done")
        }
        RecordWord::PassedBeyondLimit => {
            format!("{key}: let the figure decide, and not the eye")
        }
        RecordWord::Passed if row.item.measure.is_some() => {
            format!("{key}: it passed and the part failed: look at limit, warning mark and gauge")
        }
        RecordWord::Passed => {
            format!("{key}: it passed and the part failed: say better what is good, or measure")
        }
    }];
    if row.verdict.record.word == RecordWord::Passed && !row.item.is_for(When::Daily.name()) {
        all.push(format!("{key}: it is not looked at daily: look more often"));
    }
    let warned = |it: &super::verdict::Flag| it.flag == FlagWord::WarningShown;
    if row.verdict.flags.iter().any(warned) {
        all.push(format!(
            "{key}: a warning was shown and nothing followed: say who acts on a warning"
        ));
    }
    all
}
