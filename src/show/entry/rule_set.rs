//! Rule sets of limits.

use crate::answer::RuleSetLine;
use crate::rule::{Offer, RuleSet, Tells};
use crate::show::report::{Report, Table};

/// The rule sets that are in the ledger and those that come with the program.
pub fn rule_sets_report(adopted: Option<&[RuleSetLine]>, offers: &[Offer]) -> Report {
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
    report.caution("Confirm with your license and your authority; states and countries differ.");
    report
}

/// A rule set's levels and intervals, and with `texts` its numbers and rules too.
pub fn rule_set_report(rule_set: &RuleSet, texts: bool) -> Report {
    let mut report = Report::new(format!("{}: {}", rule_set.key, rule_set.title));
    if let Some(base) = &rule_set.based_on {
        let through = match rule_set.through.is_empty() {
            true => String::new(),
            false => format!(", by way of {}", rule_set.through.join(", ")),
        };
        report.line(format!("based on {base}{through}"));
    }
    report.line(format!("its year begins on {}", rule_set.year_start));
    report.gap();
    let mut levels = Table::new(&["level", "whose dose", ">at", "over", "rule"]);
    for level in &rule_set.levels {
        levels.row([
            format!("{}\n{}", level.key, level.kind.name()),
            format!(
                "{}\n{}",
                level.applies_to.name(),
                rule_set.terms().short(level.quantity)
            ),
            rule_set.print(level.dose),
            level.window.to_string(),
            level.cited(),
        ]);
    }
    report.table(levels.in_unit(rule_set.unit.symbol()));
    report.gap();
    let mut intervals = Table::new(&["falls due", "how often", "rule"]);
    for it in &rule_set.intervals {
        intervals.row([it.what.clone(), it.interval.to_string(), it.cited()]);
    }
    report.table(intervals);
    if texts {
        rule_set_texts(&mut report, rule_set);
    } else {
        report.gap();
        report.line("Its numbers, its rules and what each asks for: --texts");
    }
    for caution in rule_set.cautions() {
        report.caution(format!("{}: {}", caution.about, caution.what));
    }
    report.caution(rule_set.caution_of(Tells::Both));
    report
}

fn rule_set_texts(report: &mut Report, rule_set: &RuleSet) {
    report.gap();
    let mut tolerances = Table::new(&["number", "meaning", "rule"]);
    for it in &rule_set.tolerances {
        tolerances.row([it.key.clone(), it.meaning.clone(), it.cited()]);
    }
    report.table(tolerances);
    report.gap();
    let mut rules = Table::new(&["rule", "meaning", "what to do", "where"]);
    for it in &rule_set.rules {
        rules.row([
            it.key.clone(),
            it.meaning.clone(),
            it.remedy.clone(),
            it.cited(),
        ]);
    }
    report.table(rules);
}
