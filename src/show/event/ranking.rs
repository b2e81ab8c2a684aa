//! What each item caught and let through, as text and CSV.

use crate::answer::RankingAnswer;
use crate::show::report::{Report, Table};
use crate::trace::ranking::{FailureRate, ItemRank};

fn percent(value: f64) -> String {
    format!("{:.0} %", value * 100.0)
}

fn share_words(it: &ItemRank) -> String {
    match (it.share, it.interval) {
        (Some(share), Some(bounds)) => format!(
            "{} ({} to {})",
            percent(share),
            percent(bounds.lower),
            percent(bounds.upper)
        ),
        _ => "none counted".to_owned(),
    }
}

fn rate_words(it: &FailureRate) -> String {
    match (it.per_thousand, it.interval) {
        (Some(rate), Some(bounds)) => {
            // A rare failure keeps figures that say something.
            let digits = if bounds.upper < 1.0 { 4 } else { 2 };
            let (lower, upper) = (bounds.lower, bounds.upper);
            format!("{rate:.digits$} ({lower:.digits$} to {upper:.digits$})")
        }
        _ => "shifts not known".to_owned(),
    }
}

/// The ranking.
pub fn ranking_report(answer: &RankingAnswer) -> Report {
    let ranking = &answer.ranking;
    let mut report = Report::new(match ranking.events {
        1 => "Items over 1 event".to_owned(),
        many => format!("Items over {many} events"),
    });
    report.line(ranking.first);
    report.line(answer.judges);
    report.gap();
    let mut table = Table::new(&[
        "item",
        ">caught",
        ">let through",
        "share caught (95 %)",
        ">open",
    ]);
    for it in &ranking.items {
        let star = if it.not_concluded > 0 { " *" } else { "" };
        table.row([
            format!("{}\n{}", it.on, it.item),
            it.caught.to_string(),
            format!("{}{star}", it.let_through),
            share_words(it),
            it.open.to_string(),
        ]);
    }
    report.table(table);
    report.line(
        "caught: defects written down before anything happened, each once while it stands open. \
         let through: events that the item could have detected and did not stop. *: some rest on \
         the checklist's data, not concluded. open: not established whether it could have detected \
         them; not counted. Interval: exact, Clopper-Pearson.",
    );
    let used: u64 = ranking.items.iter().map(|it| it.used_all_the_same).sum();
    if used > 0 {
        report.line(format!(
            "Caught, and the equipment used all the same: {used}."
        ));
    }
    if !ranking.rates.is_empty() {
        report.gap();
        let mut table = Table::new(&["failure", ">events", ">shifts", "per 1 000 shifts (95 %)"]);
        for it in &ranking.rates {
            table.row([
                format!("{}\n{}", it.on, it.failure),
                it.events.to_string(),
                it.shifts.map(|it| it.to_string()).unwrap_or_default(),
                rate_words(it),
            ]);
        }
        report.table(table);
        report.line(
            "Interval: exact, Poisson (Garwood). A shift is a sheet that names such an item.",
        );
    }
    if ranking.without_cause > 0 {
        report.line(format!(
            "Without a cause yet, and in no rate: {}.",
            ranking.without_cause
        ));
    }
    report.caution(
        "Ask the RSO before a checklist is changed by these figures; manual and license come \
         first.",
    );
    report
}
