//! Doses of one person and of the crew.

use super::nobody::nobodys_lines;
use super::private::gone_words;
use crate::answer::{
    CrewAnswer, DoseAnswer, DoseFigure, LevelLine, QuantityLine, Silence, TotalView,
};
use crate::rule::Quantity;
use crate::show::report::{Report, Table};
use crate::show::review::finding::{Checked, by_check};

/// One worker's dose; with `why`, down to the entries.
pub fn dose_report(answer: &DoseAnswer, why: bool) -> Report {
    let mut report = Report::new(format!(
        "{} {}, {} to {}",
        answer.worker, answer.name, answer.first, answer.last
    ));
    report.gap();
    let mut totals = Table::new(&[
        "dose",
        ">total",
        ">of record",
        ">provisional",
        ">prior",
        ">apportioned",
        ">conservative total",
    ]);
    for line in &answer.totals {
        let part = |dose: &DoseFigure| match answer.no_record {
            true => "-".to_owned(),
            false => dose.shown.clone(),
        };
        totals.row([
            answer.terms.short_of(&line.quantity).to_owned(),
            figure(answer, line, &line.account),
            part(&line.account.of_record),
            part(&line.account.provisional),
            part(&line.account.prior),
            part(&line.account.apportioned),
            figure(answer, line, &line.conservative),
        ]);
    }
    report.table(totals.in_unit(&answer.unit));
    if answer.no_record {
        report.line(
            "no record: the ledger holds nothing of this person in these days, which is not zero",
        );
    }
    if answer
        .totals
        .iter()
        .any(|line| line.account.short == NOT_ASSESSED)
    {
        report.line("- means not assessed: it was not measured, which is not zero");
    }
    not_accepted(&mut report, answer);
    if let Some(meaning) = &answer.not_monitored {
        report.line(format!("{NO_MONITOR}: {meaning}"));
    }
    for line in answer.totals.iter().filter(|line| line.account.at_least) {
        let name = answer.terms.short_of(&line.quantity);
        report.line(format!("{name}: {}", line.account.shown));
    }
    for words in &answer.opening {
        report.line(words.clone());
    }
    if !answer.special.is_empty() {
        let all = answer.special.iter();
        let all: Vec<String> = all
            .map(|it| format!("{} {}", answer.terms.short_of(&it.quantity), it.dose))
            .collect();
        report.line(format!(
            "planned special exposures, counted apart{}: {}",
            under(answer.special_rule.as_deref()),
            all.join(", ")
        ));
    }
    for conflict in &answer.conflicts {
        report.line(format!("to be resolved: {}", conflict.words));
        for outcome in &conflict.outcomes {
            report.under(format!("{}: {}", outcome.words, outcome.command));
        }
    }
    if !answer.raised_by.is_empty() {
        report.line("the conservative total, which the levels use, is higher because:");
        for raised in &answer.raised_by {
            report.under(raised.clone());
        }
    }
    report.gap();
    report.line(format!("Levels on {}:", answer.on));
    report.table(levels_table(&answer.levels).in_unit(&answer.unit));
    for level in &answer.levels {
        for words in level.words.iter().chain(&whole(level, &answer.unit)) {
            report.under(format!("{}: {words}", level.words()));
        }
    }
    for it in &answer.gone {
        report.line(gone_words(it));
    }
    let found: Vec<Checked<'_>> = answer.findings.iter().map(Checked::new).collect();
    by_check(&mut report, &found);
    if why {
        report.gap();
        report.line(format!(
            "What makes up the total ({}):",
            answer.terms.dose(Quantity::Deep)
        ));
        let deep = format!(">{}", answer.terms.short(Quantity::Deep));
        let mut table = Table::new(&["day", &deep, "class", ">entry", "how"]);
        for line in &answer.why {
            let day = if line.first == line.last {
                line.first.to_string()
            } else {
                format!("{} to {}", line.first, line.last)
            };
            table.row([
                day,
                line.deep.clone(),
                line.class.clone(),
                line.entry.to_string(),
                line.words.join("; "),
            ]);
        }
        report.table(table);
        no_more(&mut report, answer);
    } else {
        report.gap();
        report.line(format!(
            "Each number down to its entries: wearbook dose show {} --from {} --to {} --why",
            answer.worker, answer.first, answer.last
        ));
    }
    if let Some(convention) = &answer.convention {
        report.caution(convention.clone());
    }
    report.caution(answer.confirm.clone());
    report
}

/// Results that stand among the doses of record and that nobody accepted yet.
fn not_accepted(report: &mut Report, answer: &DoseAnswer) {
    let entries: Vec<String> = answer
        .why
        .iter()
        .filter(|it| it.is_reported)
        .map(|it| it.entry.to_string())
        .collect();
    if !entries.is_empty() {
        let entries = counted_list(&entries);
        report.line(format!(
            "not of record until somebody accepts the result ({entries}); the column has it as \
             reported"
        ));
    }
}

/// `entry 7`, or `entries 7, 9`.
fn counted_list(entries: &[String]) -> String {
    let word = if entries.len() == 1 {
        "entry"
    } else {
        "entries"
    };
    format!("{word} {}", entries.join(", "))
}

/// What was set aside, replaced or ended, one line each.
fn no_more(report: &mut Report, answer: &DoseAnswer) {
    if answer.no_more.is_empty() {
        return;
    }
    report.gap();
    report.line("Superseded, no longer counted:");
    for line in &answer.no_more {
        let by = match line.how {
            Silence::SetAside => "set aside by entry",
            Silence::Ended => "ended with the result of entry",
            Silence::Corrected => "corrected by the report of entry",
            Silence::Lower => "a badge worn at the same time has more: entry",
        };
        let since = line
            .since
            .map_or(String::new(), |it| format!(", since {it}"));
        // A wrong decision is taken back, and what it decided is open again.
        let back = match line.how {
            Silence::SetAside => format!(
                "; to take that back: wearbook entry void {} --reason WHY",
                line.by
            ),
            _ => String::new(),
        };
        report.under(format!(
            "entry {}: {}: {by} {}{since}{back}",
            line.entry, line.words, line.by
        ));
    }
}

/// The last day of a window that has none yet is left open.
fn last_day(day: crate::calendar::Day) -> String {
    if day == crate::calendar::Span::OPEN_END {
        "open".to_owned()
    } else {
        day.to_string()
    }
}

const NOT_ASSESSED: &str = "not assessed";

/// A dash in tables for what was not assessed; a line under the table says so.
fn dash(text: &str) -> String {
    if text == NOT_ASSESSED {
        "-".to_owned()
    } else {
        text.to_owned()
    }
}

/// What stands in tables for an extremity that nobody monitored and of which nothing is open; a
/// line under the table says so.
const NO_MONITOR: &str = "n/m";

fn figure(answer: &DoseAnswer, line: &QuantityLine, total: &TotalView) -> String {
    match answer.not_monitored.is_some() && line.quantity == Quantity::Extremity.name() {
        true => NO_MONITOR.to_owned(),
        false => dash(&total.short),
    }
}

/// ` (RULE)`, where there is one.
pub(crate) fn under(rule: Option<&str>) -> String {
    rule.map_or_else(String::new, |rule| format!(" ({rule})"))
}

/// Said where several people's levels stand together.
pub(crate) const ALLOWANCE: &str = "What is left of a level is not an allowance: other levels may \
                                    apply to a person too. What a person may still receive: \
                                    wearbook work-status ID.";

/// The share of a level that is used. Of a declared pregnancy with a budget fixed at the
/// declaration there are two, and each says of what it is.
pub(crate) fn share(level: &LevelLine) -> String {
    match &level.whole {
        Some(whole) => format!("{} of rest\n{} of all", level.share, whole.share),
        None => level.share.clone(),
    }
}

/// The levels of one person, as a table.
fn levels_table(levels: &[LevelLine]) -> Table {
    let mut table = Table::new(&["level", ">of", ">used", ">share", ">left", "window", "rule"]);
    for line in levels {
        let cut = if line.cut.nsv > 0 {
            format!("{}\nless {}", line.limit.shown, line.cut.shown)
        } else {
            line.limit.shown.clone()
        };
        table.row([
            format!(
                "{} {}\n{}",
                line.terms.short_of(&line.quantity),
                line.kind,
                line.over
            ),
            cut,
            dash(&line.conservative_short),
            share(line),
            line.left_short.clone(),
            format!("{}\n{}", line.first, last_day(line.last)),
            line.citation.clone(),
        ]);
    }
    table
}

/// What the two shares of a declared pregnancy are of.
fn whole(level: &LevelLine, unit: &str) -> Option<String> {
    let it = level.whole.as_ref()?;
    Some(format!(
        "{} of {} {unit} since conception ({} of all); {} of the {} {unit} that were left at the \
         declaration ({} of rest)",
        it.conservative,
        it.of.shown.trim_end_matches(unit).trim_end(),
        it.share,
        level.conservative_short,
        level.limit.shown.trim_end_matches(unit).trim_end(),
        level.share
    ))
}

/// That figures hold totals of which nobody has the shifts any more.
pub(crate) fn opening_note(count: usize) -> Option<String> {
    let totals = match count {
        0 => return None,
        1 => "One opening total of a year or month before this ledger is in it".to_owned(),
        more => format!("{more} opening totals of years or months before this ledger are in it"),
    };
    Some(format!(
        "{totals}: the part of a badge inside the span is a share by days, an estimate; the \
         conservative total and levels count the whole badge."
    ))
}

/// Everybody's dose, one line a person.
pub fn crew_report(answer: &CrewAnswer) -> Report {
    let mut report = Report::new(format!(
        "{} of everybody, {} to {}; levels on {}",
        answer.terms.heading(),
        answer.first,
        answer.last,
        answer.on
    ));
    report.gap();
    let mut table = Table::new(&[
        "",
        "id",
        "name",
        ">dose",
        "nearest level",
        ">share",
        ">left of it",
    ]);
    for line in &answer.lines {
        let (level, share, left) = match &line.nearest {
            Some(it) => (it.words(), share(it), it.left_short.clone()),
            None => ("-".into(), "-".into(), "-".into()),
        };
        let dose = if line.account.short == line.conservative.short {
            line.account.short.clone()
        } else {
            format!(
                "{}\nconservative {}",
                line.account.short, line.conservative.short
            )
        };
        table.row([
            if line.stop { "STOP" } else { "" }.to_owned(),
            line.worker.clone(),
            line.name.clone(),
            dose,
            level,
            share,
            left,
        ]);
    }
    report.table(table.in_unit(&answer.unit));
    let with = match answer.has_elsewhere {
        true => ", dose with other employers in it",
        false => "",
    };
    report.line(format!("Everybody together{with}: {}", answer.collective));
    if let Some(note) = opening_note(answer.opening) {
        report.line(note);
    }
    let stopped: Vec<_> = answer.lines.iter().filter(|line| line.stop).collect();
    if !stopped.is_empty() {
        report.gap();
        for line in stopped {
            let who = format!("{} {}: ", line.worker, line.name);
            let why = line.why.strip_prefix(&who).unwrap_or(&line.why);
            report.line(format!("STOP {who}{why}"));
        }
    }
    nobodys_lines(&mut report, &answer.nobodys);
    report.caution(ALLOWANCE);
    report.caution(
        "Provisional doses are readings, not yet the dose of record; levels use the conservative \
         figure.",
    );
    report.caution(answer.confirm.clone());
    report
}
