//! The review of a month.

use super::chart::ChartError;
use super::charts::{collective_chart, crew_chart, due_chart, reconcile_chart};
use super::dose::{ALLOWANCE, share};
use super::report::{Report, Table};
use super::wear::wear_chart_of;
use crate::answer::{
    Changed, DiffAnswer, LevelLine, ReviewAnswer, ReviewPerson, ReviewPictures, SignedLine,
};

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
    report.line(format!(
        "{}, seal {}; check: wearbook ledger verify --expect {}:{}",
        crate::text::counted(it.entries, "entry", "entries"),
        it.head,
        it.entries,
        it.head
    ));
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
    report.caution(
        "A review of records, no permission: the license, local law and the RSO decide. \
         Forecasts, decayed activities and wear lines are estimates.",
    );
    report.caution(it.confirm.clone());
    report
}

fn lines(report: &mut Report, section: &crate::answer::ReviewSection) {
    report.section(section.title);
    if section.lines.is_empty() {
        report.line(section.none.clone());
    }
    for line in &section.lines {
        let mark = match line.mark {
            "" => "-",
            mark => mark,
        };
        let whom = match line.what.contains(&line.subject) {
            true => String::new(),
            false => format!("{}: ", line.subject),
        };
        let entries = entries_words(&line.entries);
        let tail = match (line.rule.is_empty(), entries.is_empty()) {
            (true, false) => format!(" ({entries})"),
            _ => String::new(),
        };
        report.line(format!("{mark:<5} {whom}{}{tail}", line.what));
        if !line.rule.is_empty() {
            let entries = match entries.is_empty() {
                true => String::new(),
                false => format!("; {entries}"),
            };
            report.under(format!("{}{entries}", line.rule));
        }
    }
    report.line(format!("More: {}", section.more));
}

/// `entry 7`, `entries 7, 8`; of many the first six.
fn entries_words(entries: &[i64]) -> String {
    const MOST: usize = 6;
    let shown: Vec<String> = entries.iter().take(MOST).map(ToString::to_string).collect();
    match entries.len() {
        0 => String::new(),
        1 => format!("entry {}", shown.concat()),
        many if many > MOST => format!("entries {} and more", shown.join(", ")),
        _ => format!("entries {}", shown.join(", ")),
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
    report.line(
        "A level of which nobody used anything, or that nothing measured, has no column here.",
    );
    report.line(ALLOWANCE);
    report.line("More: wearbook dose show ID --why");
}

/// A level's heading: what is special about it, over which time.
fn heading(level: &LevelLine) -> String {
    let what = match level.quantity.as_str() {
        "deep" => level.sort.replace("istrative", ".").replace("igation", "."),
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
