//! The papers of a job.

use super::report::{Report, Table};
use crate::answer::{PackAnswer, PackPart};

/// The papers, as text and as a page.
pub fn pack_report(it: &PackAnswer) -> Report {
    let mut report = Report::new(format!("Papers of {}, {}", it.job, it.on));
    report.line(format!("{}; {}; {}", it.place, it.setting, it.jurisdiction));
    report.line(format!("{}, licence {}", it.licensee, it.licence));
    report.line(format!("ledger {}", it.head));
    report.line(format!("rule: {}", it.rule));
    let bring: Vec<&PackPart> = it.parts.iter().filter(|it| !it.held).collect();
    report.section("To bring: the ledger does not hold these");
    for part in bring {
        report.line(format!("[ ] {}", part.what));
    }
    for part in it.parts.iter().filter(|it| it.held) {
        let mut title = part.what.clone();
        if let Some(first) = title.get_mut(..1) {
            first.make_ascii_uppercase();
        }
        report.section(title);
        if part.rows.is_empty() {
            report.line("Nothing of it is on record for this job.");
            continue;
        }
        let mut table = Table::new(&part.headings);
        table.rows.clone_from(&part.rows);
        report.table(table);
    }
    report.caution("Copies of records; the licence, local law and the RSO say what must be there.");
    report.caution(it.confirm.clone());
    report
}
