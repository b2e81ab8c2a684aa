//! The first rows of a file as they are understood.

use crate::intake::Preview;
use crate::show::report::{Report, Table};

/// A row for each column that is read, so that a file of many columns fits a screen.
pub fn preview_report(it: &Preview) -> Report {
    let mut report = Report::new(format!(
        "{}, its first rows as they are understood; nothing was written",
        it.file
    ));
    let mut names = vec!["read as", "from"];
    names.extend(it.places.iter().map(String::as_str));
    let mut table = Table::new(&names);
    for column in &it.columns {
        let from = match column.heading.as_str() {
            "" => "said for the whole file".to_owned(),
            heading => heading.to_owned(),
        };
        let mut row = vec![column.name.clone(), from];
        row.extend(column.cells.iter().cloned());
        table.rows.push(row);
    }
    report.table(table);
    if let Some(dates) = it.dates {
        report.line(format!(
            "Days that are not written year-month-day are read {}.",
            dates.words()
        ));
    }
    if !it.unread.is_empty() {
        report.line(format!("Not read: {}.", it.unread.join(", ")));
    }
    for note in &it.notes {
        report.line(format!("note: {note}"));
    }
    report.line("Whether all of it can be taken in: the same command with --dry-run.");
    report
}
