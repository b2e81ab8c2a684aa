//! What somebody who leaves is given.

use super::dose::under;
use super::report::{Report, Table};
use super::statement::standing;
use crate::answer::{AwaitedBadge, LeaverAnswer};

/// What somebody who leaves is given, and what of it is still awaited.
pub fn leaver_report(it: &LeaverAnswer) -> Report {
    let mut report = Report::new(format!(
        "Doses of {} {}, who leaves: as of {}",
        it.worker, it.name, it.on
    ));
    report.line(match it.left_on {
        Some(day) => format!("last monitored day {day}"),
        None => format!(
            "monitored still; once the last day is known: wearbook worker monitoring --worker {} \
             --on DATE --change ends",
            it.worker
        ),
    });
    if it.estimate {
        let rule = under(it.rule.as_deref());
        report.line(format!(
            "ESTIMATE{rule}: what is awaited or provisional will be replaced"
        ));
    }
    report.gap();
    let mut table = Table::new(&["year", ">deep dose", "standing", "on paper"]);
    for year in &it.years {
        table.row([
            year.year.to_string(),
            year.deep.clone().unwrap_or_else(|| "-".to_owned()),
            standing(year.standing).to_owned(),
            format!(
                "wearbook dose statement {} --year {} --out FILE.html",
                it.worker, year.year
            ),
        ]);
    }
    report.table(table);
    if it.years.is_empty() {
        report.line("the ledger holds nothing of this person in these years, which is not zero");
    }
    report.gap();
    match it.awaited.as_slice() {
        [] => report.line("No badge waits for a result."),
        badges => {
            report.line("Badges without a result:");
            for badge in badges {
                report.under(badge_words(badge));
            }
        }
    }
    if let Some(remedy) = it.remedy.as_ref().filter(|_| it.estimate) {
        report.line(remedy.clone());
    }
    report.caution(it.confirm.clone());
    report
}

fn badge_words(it: &AwaitedBadge) -> String {
    let state = match &it.state {
        None => "not handed back: collect it before the person goes".to_owned(),
        Some((state, day)) if it.to_be_determined => {
            format!("{state} on {day}: no result comes, the RSO determines the dose")
        }
        Some((state, day)) => format!("{state} on {day}: its result is awaited"),
    };
    format!("badge {} of {} to {}, {state}", it.badge, it.first, it.last)
}
