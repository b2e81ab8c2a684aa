//! Alerts as a report.

use crate::answer::AlertsAnswer;
use crate::show::report::{Report, Table};
use crate::text::counted;

/// What is to be heard of.
pub fn alerts_report(it: &AlertsAnswer) -> Report {
    let count = counted(it.rows.len(), "alert", "alerts");
    let mut report = Report::new(match &it.reader {
        Some(reader) => format!("{count} for {reader} on {}", it.on),
        None => format!("{count} on {}: everything that stands", it.on),
    });
    let mut table = match it.reader {
        Some(_) => Table::new(&["", "about", "what", "look", "key"]),
        None => Table::new(&["", "about", "what", "look"]),
    };
    for row in &it.rows {
        let (kind, about) = (row.kind.word().to_owned(), row.about.clone());
        let (what, look) = (row.what.clone(), row.look.clone());
        // What is told once needs no word that it was seen.
        let key = if row.repeats { &*row.short } else { "" };
        match it.reader {
            Some(_) => table.row([kind, about, what, look, key.to_owned()]),
            None => table.row([kind, about, what, look]),
        }
    }
    if table.rows.is_empty() {
        report.line("Nothing new.");
    } else {
        report.gap();
        report.table(table);
    }
    if it.told_before > 0 {
        report.line(format!(
            "{} more stand: told before, or in the digest of the week (wearbook alerts)",
            it.told_before
        ));
    }
    if let (Some(reader), true) = (&it.reader, it.rows.iter().any(|it| it.repeats)) {
        report.line(format!(
            "STOPs and clocks come again until they were seen: wearbook alerts --for {reader} \
             --seen KEY; without a key, all that was told"
        ));
    }
    report.line(format!("{}.", it.hears));
    if it.reader.is_none() {
        for line in &it.readers {
            report.line(format!("{} hears of {}.", line.worker, line.words()));
        }
    }
    report.caution(
        "An alert is no clearance, and none is no proof that all is well: the license, local law \
         and the RSO decide.",
    );
    report.caution(it.confirm.clone());
    report
}
