//! What sheets mean for the people on them, and why a file was refused.

use crate::answer::{PersonLine, SheetsAnswer, StartAnswer};
use crate::intake::{Refused, letters};
use crate::rule::{Finding, Severity};
use crate::show::dose::account::{ALLOWANCE, share};
use crate::show::report::{Part, Report, Table};
use crate::show::review::finding::{Checked, by_check, finding_lines, headline};
use crate::text::{grouped, one_line};

/// The columns of a file of faults.
pub const FAULT_COLUMNS: &[&str] = &["file", "line", "column", "field", "value", "wrong", "right"];

/// How many faults of a file a screen shows.
const FAULTS_SHOWN: usize = 100;

/// How many of a person's levels are shown: the nearest ones.
const LEVELS_SHOWN: usize = 3;

/// What the sheets mean.
pub fn sheets_report(answer: &SheetsAnswer) -> Report {
    let sheets = crate::text::counted(answer.sheets, "sheet", "sheets");
    let people = answer.people.len() + answer.unknown_people.len();
    let people = crate::text::counted(people, "person", "people");
    let mut report = Report::new(format!("{sheets}, {people}"));
    report.gap();
    let mut table = Table::new(&[
        "who",
        ">added",
        ">year so far",
        "nearest levels",
        ">share",
        ">left",
    ]);
    for person in &answer.people {
        person_rows(person, answer.sheets, &mut table);
    }
    report.table(table.in_unit(&answer.unit));
    for name in &answer.unknown_people {
        report.line(format!(
            "`{name}` is not a worker that the ledger knows: on hold"
        ));
    }
    let of_people = answer.people.iter().flat_map(|it| &it.findings);
    let all: Vec<&Finding> = of_people.chain(&answer.findings).collect();
    let (stops, others): (Vec<&Finding>, Vec<&Finding>) = all
        .into_iter()
        .partition(|it| it.severity == Severity::Stop);
    let rows: Vec<Checked<'_>> = others.into_iter().map(Checked::new).collect();
    by_check(&mut report, &rows);
    report.stops = framed(stops.into_iter().map(|it| (it, it.key())));
    if !answer.held.is_empty() {
        report.gap();
        report.line("On hold until resolved (recorded as written):");
        for line in &answer.held {
            let whom = line
                .person
                .as_deref()
                .map(|it| format!("{it}: "))
                .unwrap_or_default();
            report.under(format!("{} {whom}{}", line.item, line.about));
        }
    }
    report.caution(ALLOWANCE);
    report.caution(
        "Readings are provisional until a badge result or a determination of the RSO; the year \
         and the levels use the conservative total.",
    );
    report.caution(answer.confirm.clone());
    report
}

/// One person: a row for each of the nearest levels, so that a level stands on
/// the line of its share.
fn person_rows(person: &PersonLine, sheets: usize, table: &mut Table) {
    let levels: Vec<_> = person
        .levels
        .iter()
        .filter(|it| it.share_ppm.is_some() && it.quantity == "deep")
        .take(LEVELS_SHOWN)
        .collect();
    let shifts = match (sheets, person.shifts) {
        (1, _) => String::new(),
        (_, 1) => "1 shift".to_owned(),
        (_, shifts) => format!("{shifts} shifts"),
    };
    let whose = [
        [
            person.worker.clone(),
            person.added.short.clone(),
            person.year.short.clone(),
        ],
        [person.name.clone(), shifts, String::new()],
    ];
    for at in 0..levels.len().max(whose.len()) {
        let [who, added, year] = whose.get(at).cloned().unwrap_or_default();
        let level = levels.get(at);
        table.row([
            who,
            added,
            year,
            level.map(|it| it.words()).unwrap_or_default(),
            level.map(|it| share(it)).unwrap_or_default(),
            level.map(|it| it.left_short.clone()).unwrap_or_default(),
        ]);
    }
}

/// Everything that is wrong with what was handed in, a row each: for `--faults FILE`.
pub fn faults_table(refused: Option<&Refused>) -> Report {
    let mut table = Table::new(FAULT_COLUMNS);
    let number = |it: Option<u64>| it.map(|it| it.to_string()).unwrap_or_default();
    for (refused, fault) in refused
        .into_iter()
        .flat_map(|refused| refused.faults.iter().map(move |it| (refused, it)))
    {
        table.row([
            refused.file.clone().unwrap_or_default(),
            number(fault.line),
            match fault.column {
                Some(column) if refused.spreadsheet => letters(column),
                column => number(column.and_then(|it| u64::try_from(it).ok())),
            },
            fault.field.clone(),
            fault.value.clone(),
            fault.what.clone(),
            fault.right.clone(),
        ]);
    }
    if let Some(refused) = refused.filter(|it| it.more > 0) {
        let what = format!("and {} more, which are not listed", grouped(refused.more));
        let mut row = vec![String::new(); FAULT_COLUMNS.len()];
        if let Some(cell) = row.get_mut(5) {
            *cell = what;
        }
        table.rows.push(row);
    }
    let mut report = Report::new("");
    // Also without a row, so that the file says that there is none.
    report.parts.push(Part::Table(table));
    report
}

/// Everything that is wrong with what was handed in, and the stops that its
/// readable lines contain.
pub fn refused_report(refused: &Refused) -> Report {
    let whole = refused.faults.len() + refused.more;
    let faults = if whole == 1 {
        "1 fault".to_owned()
    } else {
        format!("{} faults", grouped(whole))
    };
    let heading = match &refused.file {
        Some(file) => format!("error: {file} was refused, nothing was written: {faults}"),
        None => format!("error: refused, nothing was written: {faults}"),
    };
    let mut report = Report::new(heading);
    for fault in refused.faults.iter().take(FAULTS_SHOWN) {
        let mut place = Vec::new();
        if let Some(line) = fault.line {
            let word = if refused.spreadsheet { "row" } else { "line" };
            place.push(format!("{word} {line}"));
        }
        if let Some(column) = fault.column.filter(|_| refused.spreadsheet) {
            place.push(format!("column {}", letters(column)));
        }
        if !fault.field.is_empty() {
            place.push(fault.field.clone());
        }
        let mut line = place.join(", ");
        if !line.is_empty() {
            line.push_str(": ");
        }
        // A quantity's own message quotes the value already.
        let quoted = format!("`{}`", fault.value);
        if !fault.value.is_empty() && !fault.what.contains(&quoted) {
            line.push_str(&quoted);
            line.push(' ');
        }
        line.push_str(&fault.what);
        // A value must not end the line that quotes it.
        report.under(one_line(&line));
        if !fault.right.is_empty() {
            report.under(format!("  right: {}", one_line(&fault.right)));
        }
    }
    let more = whole.saturating_sub(FAULTS_SHOWN);
    if more > 0 {
        report.under(format!(
            "and {} more; with --faults FILE the import writes all of them",
            grouped(more)
        ));
    }
    if !refused.stops.is_empty() {
        report.gap();
        report.line("Nothing was written, but the lines that can be read say:");
        report.stops = stops_report(&refused.stops).stops;
    }
    report
}

/// What is shown before somebody says yes: a stop in one line. In full it is said when it is
/// typed, and last when all is written or left.
pub fn stops_in_short(mut report: Report, stops: &[Finding]) -> Report {
    report.stops.clear();
    for stop in stops {
        report.gap();
        report.line(headline(stop));
    }
    report
}

/// What is said once it is written, of what was shown before: what was written, and the stops.
pub fn written_after(mut shown: Report, mut written: Report) -> Report {
    // The others were about the table.
    let confirm = shown.cautions.pop().filter(|_| !shown.stops.is_empty());
    written.cautions.extend(confirm);
    written.stops = shown.stops;
    written
}

/// What must stop somebody although nothing was written.
pub fn stops_report(stops: &[Finding]) -> Report {
    let unwritten = || "none: not written".to_owned();
    Report {
        stops: framed(stops.iter().map(|it| (it, unwritten()))),
        ..Report::default()
    }
}

/// What stands against a shift that begins, the stops last.
pub fn with_start(mut report: Report, answer: &StartAnswer) -> Report {
    for other in &answer.others {
        report.line(format!(
            "On record already, and without its sheet: {other}."
        ));
        report.under(
            "One shift has one start: send this one for another shift only. What was written twice \
             the RSO voids.",
        );
    }
    let all = answer.findings.iter();
    let (stops, others): (Vec<&Finding>, Vec<&Finding>) =
        all.partition(|it| it.severity == Severity::Stop);
    let rows: Vec<Checked<'_>> = others.into_iter().map(Checked::new).collect();
    by_check(&mut report, &rows);
    report.stops = framed(stops.into_iter().map(|it| (it, it.key())));
    if !answer.findings.is_empty() {
        report.caution(answer.confirm.clone());
    }
    report
}

/// Findings that stop somebody, with their keys: the last and largest thing on the screen.
fn framed<'a>(stops: impl Iterator<Item = (&'a Finding, String)>) -> Vec<Part> {
    let mut report = Report::default();
    for (stop, key) in stops {
        if !report.parts.is_empty() {
            report.gap();
        }
        finding_lines(&mut report, stop, &key);
    }
    report.parts
}
