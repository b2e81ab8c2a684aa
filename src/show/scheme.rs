//! Schemes of limits.

use super::report::{Report, Table};
use crate::answer::SchemeLine;
use crate::rule::{Offer, Scheme, Tells};

/// The schemes that are in the ledger and those that come with the program.
pub fn schemes_report(adopted: Option<&[SchemeLine]>, offers: &[Offer]) -> Report {
    let mut report = Report::new("Schemes");
    if let Some(adopted) = adopted {
        report.gap();
        report.line("Adopted by this ledger:");
        let mut table = Table::new(&["", "name", "from", ">entry"]);
        for line in adopted {
            table.row([
                if line.in_force { "in force" } else { "" }.to_owned(),
                line.name.clone(),
                line.from.to_string(),
                line.entry.to_string(),
            ]);
        }
        report.table(table);
    }
    report.gap();
    report.line("Built in, to be adopted or taken as a base:");
    for offer in offers {
        report.under(offer.name);
    }
    report.caution("Confirm with your licence and your authority; states and countries differ.");
    report
}

/// Everything that a scheme says.
pub fn scheme_report(scheme: &Scheme) -> Report {
    let mut report = Report::new(format!("{}: {}", scheme.key, scheme.title));
    if let Some(base) = &scheme.based_on {
        let through = match scheme.through.is_empty() {
            true => String::new(),
            false => format!(", by way of {}", scheme.through.join(", ")),
        };
        report.line(format!("based on {base}{through}"));
    }
    report.line(format!("its year begins on {}", scheme.year_start));
    report.gap();
    let mut levels = Table::new(&["level", "whose dose", ">at", "over", "rule"]);
    for level in &scheme.levels {
        levels.row([
            format!("{}\n{}", level.key, level.sort.name()),
            format!(
                "{}\n{}",
                level.applies_to.name(),
                scheme.terms().short(level.quantity)
            ),
            scheme.print(level.dose),
            level.window.to_string(),
            level.cited(),
        ]);
    }
    report.table(levels.in_unit(scheme.unit.symbol()));
    report.gap();
    let mut intervals = Table::new(&["falls due", "how often", "rule"]);
    for it in &scheme.intervals {
        intervals.row([it.what.clone(), it.interval.to_string(), it.cited()]);
    }
    report.table(intervals);
    report.gap();
    let mut tolerances = Table::new(&["number", "meaning", "rule"]);
    for it in &scheme.tolerances {
        tolerances.row([it.key.clone(), it.meaning.clone(), it.cited()]);
    }
    report.table(tolerances);
    report.gap();
    let mut rules = Table::new(&["rule", "meaning", "what to do", "where"]);
    for it in &scheme.rules {
        rules.row([
            it.key.clone(),
            it.meaning.clone(),
            it.remedy.clone(),
            it.cited(),
        ]);
    }
    report.table(rules);
    for caution in scheme.cautions() {
        report.caution(format!("{}: {}", caution.about, caution.what));
    }
    report.caution(scheme.caution_of(Tells::Both));
    report
}
