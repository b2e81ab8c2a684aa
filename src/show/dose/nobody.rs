//! Results that are unassigned, under every list of doses.

use crate::answer::NobodysLine;
use crate::show::report::Report;

/// Adds them, with how to say whose they are.
pub(crate) fn nobodys_lines(report: &mut Report, lines: &[NobodysLine]) {
    let Some(first) = lines.first() else { return };
    report.gap();
    report.line(format!(
        "Unassigned badge results, not in any figure here: {}",
        lines.len()
    ));
    for line in lines {
        report.under(line.words.clone());
    }
    report.under(format!(
        "somebody received it; once its badge is issued: wearbook entry correct {} badge={} \
        --reason \
         WHY",
        first.entry, first.badge
    ));
}
