//! What the verdicts suggest to change in the checklist and around it.

use super::coverage::Failed;
use super::record::RecordWord;
use super::verdict::{FlagWord, Verdict};
use crate::record::Coverage;
use crate::rule::{ChecklistItem, When};

/// One item with its verdict.
#[derive(Debug, Clone, Copy)]
pub struct Ruled<'v> {
    /// The item.
    pub equipment: &'v str,
    /// The item.
    pub item: &'v ChecklistItem,
    /// Its verdict.
    pub verdict: &'v Verdict,
}

/// What to think about, one line each; the RSO decides. Items that cannot show the failure
/// suggest nothing by their record.
pub fn suggestions(failed: &Failed, rows: &[Ruled<'_>]) -> Vec<String> {
    let mut all = Vec::new();
    if let Failed::Found {
        on,
        component,
        failure,
        ..
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
    // One advice with every item that it is for.
    let mut advice: Vec<(String, Vec<&str>)> = Vec::new();
    for row in rows {
        let said = match row.verdict.covered.coverage {
            Coverage::CanDetect => of_record(row),
            Coverage::AroseAfter => vec![
                "arose after the last inspection; ask it at each set-up and after anything falls \
                or is \
                 pulled hard"
                    .to_owned(),
            ],
            Coverage::NotEstablished => {
                vec!["coverage is not established; conclude it with `trace conclude`".to_owned()]
            }
            Coverage::CannotDetect | Coverage::NoItem => Vec::new(),
        };
        let key = row.item.key.as_str();
        for what in said {
            match advice.iter_mut().find(|(known, _)| *known == what) {
                Some((_, keys)) if keys.contains(&key) => {}
                Some((_, keys)) => keys.push(key),
                None => advice.push((what, vec![key])),
            }
        }
    }
    let told = advice.into_iter();
    all.extend(told.map(|(what, keys)| format!("{}: {what}", keys.join(", "))));
    all
}

fn of_record(row: &Ruled<'_>) -> Vec<String> {
    let equipment = row.equipment;
    let mut all = vec![match row.verdict.record.word {
        RecordWord::KnownDefectUsed => {
            format!("it caught it; have a written defect stop the use of {equipment}")
        }
        RecordWord::Inactive => {
            "its figures are not given: take nominal and limit from the manual".to_owned()
        }
        RecordWord::RequiredInspectionMissing => {
            "no set leaves before the inspection that is due is written down".to_owned()
        }
        RecordWord::LeftOut => "ask why it was skipped: gauge, time, place on the list".to_owned(),
        RecordWord::OrderUnknown => {
            "set the clock; ask others and check the paper for when it was inspected".to_owned()
        }
        RecordWord::Claimed => {
            "have inspections written on the day on which they are done".to_owned()
        }
        RecordWord::PassedBeyondLimit => "let the figure decide, and not the eye".to_owned(),
        RecordWord::NotInspectedSince => {
            format!("inspect it before {equipment} goes out again after a defect")
        }
        RecordWord::Passed if row.item.measurement.is_some() => {
            "it passed and the part failed: check limit, warning mark and gauge".to_owned()
        }
        RecordWord::Passed => {
            "it passed and the part failed: say better what is good, or measure".to_owned()
        }
    }];
    if row.verdict.record.word == RecordWord::Passed && !row.item.is_for(When::Daily.name()) {
        all.push("it is not inspected daily: inspect it more often".to_owned());
    }
    let warned = |it: &super::verdict::Flag| it.flag == FlagWord::WarningShown;
    if row.verdict.flags.iter().any(warned) {
        all.push("a warning was shown and nothing followed: say who acts on a warning".to_owned());
    }
    all
}
