//! The papers of a job.

use crate::answer::{PackAnswer, PackPart};
use crate::show::report::{Report, Table};

/// The papers, as text and as a page.
pub fn pack_report(it: &PackAnswer) -> Report {
    let mut report = Report::new(format!("Papers of {}, {}", it.job, it.on));
    report.line(format!("{}; {}; {}", it.place, it.setting, it.jurisdiction));
    report.line(format!("{}, license {}", it.licensee, it.license));
    report.line(format!("ledger {}", it.head));
    report.line(format!("rule: {}", it.rule));
    report.line(covers(it));
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
            report.line(match it.asked {
                Some(_) => "Nothing of it is on record for these days of this job.",
                None => "Nothing of it is on record for this job.",
            });
            continue;
        }
        report.line(match part.rows.len() {
            1 => "1 row.".to_owned(),
            count => format!("{count} rows."),
        });
        let mut table = Table::new(&part.headings);
        table.rows.clone_from(&part.rows);
        report.table(table);
    }
    report.caution("Copies of records; the license, local law and the RSO say what must be there.");
    report.caution(it.confirm.clone());
    report
}

/// What the papers cover: nothing is left out of them but by days that were asked for.
fn covers(it: &PackAnswer) -> String {
    let (all, taken) = it.sheets;
    let sheets = |count: usize| match count {
        1 => "1 sheet".to_owned(),
        count => format!("{count} sheets"),
    };
    let days = it.days.map_or_else(String::new, |days| {
        format!(", {} to {}", days.first, days.last)
    });
    match it.asked {
        None => format!("the whole job: {}{days}", sheets(all)),
        Some(asked) => format!(
            "ONLY {} to {}, as asked: {taken} of {}{days}; without --from and --to the whole job",
            asked.first,
            asked.last,
            sheets(all)
        ),
    }
}
