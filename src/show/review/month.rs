//! The review of a month.

use super::charts::{collective_chart, crew_chart, due_chart, reconcile_chart};
use super::finding::to_do;
use crate::answer::{
    Changed, DiffAnswer, LevelLine, ReviewAnswer, ReviewLine, ReviewPerson, ReviewPictures,
    ReviewSection, SignedLine,
};
use crate::show::chart::ChartError;
use crate::show::dose::account::{ALLOWANCE, share};
use crate::show::equipment::wear::wear_chart_of;
use crate::show::event::notification::owed;
use crate::show::report::{Report, Table};

/// The drawings of a review, each with the section under which it stands.
///
/// # Errors
/// A drawing that cannot be made.
pub fn review_drawings(
    it: &ReviewPictures,
    scripted: bool,
) -> Result<Vec<(&'static str, String)>, ChartError> {
    let mut all = vec![
        ("people", crew_chart(&it.crew, it.unit, scripted)?),
        (
            "people",
            collective_chart(&it.collective, it.unit, scripted)?,
        ),
        (
            "disagree",
            reconcile_chart(&it.reconcile, it.unit, scripted)?,
        ),
        ("due", due_chart(&it.due, scripted)?),
    ];
    for drawing in &it.wear {
        all.push(("wear", wear_chart_of(drawing, scripted)?));
    }
    Ok(all)
}

/// The whole review, as text and as a page: the same parts, the drawings on the page only.
pub fn review_report(it: &ReviewAnswer, pictures: &[(&str, String)]) -> Report {
    let so_far = if it.partial {
        ", PARTIAL: not over"
    } else {
        ""
    };
    let mut report = Report::new(format!("Review of {}{so_far}", it.month));
    report.line(format!(
        "{}, license {}, {}; as of {}",
        it.licensee, it.license, it.site, it.on
    ));
    to_do(&mut report, &it.to_do);
    for words in &it.history {
        report.line(words.clone());
    }
    signatures(&mut report, &it.signed);
    if !it.changed.is_empty() {
        report.section("Signed months that changed since");
        changed(&mut report, &it.changed);
        report.line("More: wearbook review changes MONTH");
    }
    let mut sections = it.sections.iter();
    for section in sections.by_ref().take(2) {
        lines(&mut report, section);
    }
    if !it.reports.is_empty() {
        report.section("Reports owed to authorities");
        report.table(owed(&it.reports));
        report.line("More: wearbook report show EVENT");
    }
    people(&mut report, it);
    for (_, svg) in pictures.iter().filter(|(of, _)| *of == "people") {
        report.picture(svg.clone());
    }
    for section in sections {
        lines(&mut report, section);
        for (_, svg) in pictures.iter().filter(|(of, _)| *of == section.key) {
            report.picture(svg.clone());
        }
    }
    report.gap();
    report.line(format!(
        "Sealed by {} and their hash: wearbook ledger verify --expect {}:{}",
        crate::text::counted(it.entries, "entry", "entries"),
        it.entries,
        it.head
    ));
    report.caution(
        "A review of records, not authorization to work: the license, local law and the RSO \
         decide. \
         Forecasts, decayed activities and wear lines are estimates.",
    );
    report.caution(it.confirm.clone());
    report
}

fn lines(report: &mut Report, section: &ReviewSection) {
    report.section(section.title);
    if section.lines.is_empty() {
        report.line(section.none.clone());
    }
    let mut told: Vec<(&str, &str)> = Vec::new();
    for line in &section.lines {
        let group = (line.mark, line.check.as_str());
        if !line.check.is_empty() && !told.contains(&group) {
            told.push(group);
            let mut mine = section.lines.iter();
            let others = mine
                .by_ref()
                .filter(|it| (it.mark, it.check.as_str()) == group);
            let mine: Vec<&ReviewLine> = others.collect();
            match mine.as_slice() {
                [one] => report.line(one_line_of(one)),
                many => table_of(report, many, false),
            }
            let do_it = format!("do:   {}", line.remedy);
            report.under(format!("rule: {} ({})", line.meaning, line.rule));
            report.under(do_it);
        }
    }
    let plain: Vec<&ReviewLine> = section
        .lines
        .iter()
        .filter(|it| it.check.is_empty())
        .collect();
    table_of(report, &plain, true);
    report.line(format!("More: {}", section.more));
}

/// A line that stands alone.
fn one_line_of(line: &ReviewLine) -> String {
    let whom = match line.what.contains(&line.subject) {
        true => String::new(),
        false => format!("{}: ", line.subject),
    };
    let entries = match entries_words(&line.entries).as_str() {
        "" => String::new(),
        entries => format!(" (entry {entries})"),
    };
    format!("{:<5} {whom}{}{entries}", line.mark, line.what)
}

/// Lines as a table; the rule in a column of its own where not all of them have the same.
fn table_of(report: &mut Report, lines: &[&ReviewLine], with_rule: bool) {
    let with_rule = with_rule && lines.iter().any(|it| !it.rule.is_empty());
    let mut table = match with_rule {
        true => Table::new(&["mark", "who or what", "finding", "rule", "entry"]),
        false => Table::new(&["mark", "who or what", "finding", "entry"]),
    };
    for line in lines {
        let mark = if line.mark.is_empty() { "-" } else { line.mark };
        let mut row = vec![mark.to_owned(), line.subject.clone(), line.what.clone()];
        if with_rule {
            row.push(line.rule.clone());
        }
        row.push(entries_words(&line.entries));
        table.rows.push(row);
    }
    report.table(table);
}

/// The entries that a line rests on; of many the first and how many more.
fn entries_words(entries: &[i64]) -> String {
    match entries {
        [] => String::new(),
        [one] => one.to_string(),
        [one, other] => format!("{one}, {other}"),
        [first, rest @ ..] => format!("{first} and {} more", rest.len()),
    }
}

fn people(report: &mut Report, it: &ReviewAnswer) {
    report.section("Everybody's dose");
    report.line(format!(
        "{} as the records say, in {}; month of {}, quarter and year up to {}. Of record \
         is resolved by result or determination; the rest is provisional.",
        it.terms.heading(),
        it.unit,
        it.month,
        it.on
    ));
    let mut table = Table::new(&[
        "person",
        ">shifts",
        ">month",
        ">change",
        ">quarter",
        ">year",
        ">of record",
        ">provisional",
    ]);
    for person in &it.people {
        table.row([
            format!("{} {}", person.worker, person.name),
            person.shifts.to_string(),
            person.month.short.clone(),
            person.change.clone(),
            person.quarter.short.clone(),
            person.year.short.clone(),
            person.year.of_record.shown.clone(),
            person.year.provisional.shown.clone(),
        ]);
    }
    report.table(table.in_unit(&it.unit));
    report.line(format!("Together in the month: {}.", it.collective));
    report.gap();
    report.line(
        "Share of each level that is used, by the conservative total, and what is left of the one \
         of which least is left:",
    );
    report.table(shares(&it.people).in_unit("%").in_unit(&it.unit));
    report
        .line("A level that no one has used any of, or that was not measured, has no column here.");
    report.line(ALLOWANCE);
    report.line("More: wearbook dose show ID --why");
}

/// A level's heading: what is special about it, over which time.
fn heading(level: &LevelLine) -> String {
    let what = match level.quantity.as_str() {
        "deep" => level.kind.replace("istrative", ".").replace("igation", "."),
        quantity => level
            .terms
            .short_of(quantity)
            .replace("extremity", "extrem."),
    };
    let over = match level.over.as_str() {
        "licensee year" | "calendar year" => "year",
        over => over,
    };
    format!("{what}, {over}")
}

/// A row a person, a column a level of which somebody used something.
fn shares(people: &[ReviewPerson]) -> Table {
    let mut headings: Vec<String> = Vec::new();
    for level in people.iter().flat_map(|it| &it.levels) {
        let heading = heading(level);
        // A level of which nobody used anything has no column of its own.
        let is_used = level.most_ppm().is_some_and(|it| it > 0);
        if is_used && !headings.contains(&heading) {
            headings.push(heading);
        }
    }
    let shown: Vec<String> = headings
        .iter()
        .map(|it| format!(">{}", it.replace(", ", "\n")))
        .collect();
    let mut columns = vec!["person"];
    columns.extend(shown.iter().map(String::as_str));
    columns.push(">left");
    let mut table = Table::new(&columns);
    for person in people {
        let mut row = vec![person.worker.clone()];
        for heading_of in &headings {
            let mine = person.levels.iter().filter(|it| heading(it) == *heading_of);
            let most = mine.max_by_key(|it| it.most_ppm());
            row.push(match most {
                Some(level) if level.passed => format!("{} !", share(level)),
                Some(level) => share(level),
                None => "-".to_owned(),
            });
        }
        let left = person.nearest.as_ref().map(|it| it.left_short.clone());
        row.push(left.unwrap_or_else(|| "-".to_owned()));
        table.rows.push(row);
    }
    table
}

fn signatures(report: &mut Report, signed: &[SignedLine]) {
    if signed.is_empty() {
        report.line("Not signed.");
    }
    for it in signed {
        let stops = match it.open_stops {
            0 => String::new(),
            many => format!(
                ", with {}",
                crate::text::counted(many, "open stop", "open stops")
            ),
        };
        let reason = it.reason.as_deref().map(|it| format!(": {it}"));
        report.line(format!(
            "Signed {} by {}, {}, head {}{stops}{} (entry {})",
            it.on,
            it.by,
            crate::text::counted(it.entries, "entry", "entries"),
            it.head,
            reason.unwrap_or_default(),
            it.entry
        ));
    }
}

fn changed(report: &mut Report, lines: &[Changed]) {
    for it in lines {
        let entry = it.entry.map(|it| format!(" (entry {it})"));
        report.line(format!(
            "{} {}: {}{}",
            it.month,
            it.subject,
            it.what,
            entry.unwrap_or_default()
        ));
        if let Some(reason) = &it.reason {
            report.under(format!("why: {reason}"));
        }
    }
}

/// What changed in a signed month.
pub fn review_diff_report(it: &DiffAnswer) -> Report {
    let mut report = Report::new(format!("{} since it was signed", it.month));
    signatures(&mut report, &it.signed);
    report.gap();
    if it.changed.is_empty() {
        report.line("Nothing of it has changed since.");
    }
    changed(&mut report, &it.changed);
    report.caution(it.confirm.clone());
    report
}
