//! The lists of records: on a page a column may stand under another, as data each has its own.

use crate::answer::{Cell, Place, RecordsAnswer, RecordsPart};
use crate::show::report::{Report, Table};

/// The list, for people.
pub fn records_report(answer: &RecordsAnswer) -> Report {
    let mut report = head(answer);
    for rule in &answer.rules {
        report.line(format!("rule: {rule}"));
    }
    for note in &answer.notes {
        report.line(note.clone());
    }
    for part in &answer.parts {
        report.section(part.title.clone());
        if part.rows.is_empty() {
            report.line(part.none.clone());
        } else {
            report.line(counted(part));
            report.table(stacked(part).in_unit(&answer.unit));
        }
        for note in &part.notes {
            report.line(note.clone());
        }
    }
    report
}

fn head(answer: &RecordsAnswer) -> Report {
    let (title, first, last) = (&answer.title, answer.first, answer.last);
    let mut report = Report::new(format!("{title}, {first} to {last}"));
    if !answer.asked.is_empty() {
        report.line(format!("only: {}", answer.asked.join(", ")));
    }
    report.line(format!("ledger {}", answer.head));
    report.caution(
        "What an entry does not say is printed as `not on record`; nothing was filled in.",
    );
    report.caution(answer.confirm.clone());
    report
}

fn counted(part: &RecordsPart) -> String {
    match part.lacking() {
        0 => format!("{}.", part.counted()),
        1 => format!("{}; 1 lacks something.", part.counted()),
        lacking => format!("{}; {lacking} lack something.", part.counted()),
    }
}

/// The table of a page. What stands under another column has its heading before it.
fn stacked(part: &RecordsPart) -> Table {
    let marked: Vec<String> = part
        .columns
        .iter()
        .filter(|it| it.place == Place::Own)
        .map(|it| match it.figures {
            // Figures are narrower than most words.
            true => format!(">{}", part.terms.short_of(it.heading).replace(' ', "\n")),
            false => it.heading.to_owned(),
        })
        .collect();
    let headings: Vec<&str> = marked.iter().map(String::as_str).collect();
    let mut table = Table::new(&headings);
    for row in &part.rows {
        let mut cells: Vec<String> = Vec::new();
        for (column, cell) in part.columns.iter().zip(row) {
            // Words among figures are not to make their column wider.
            let words = match (cell, column.figures) {
                (Cell::Dose { .. } | Cell::AtLeast(_), _) | (_, false) => cell.words(),
                (_, true) => cell.words().replace(' ', "\n"),
            };
            match (column.place, cells.last_mut()) {
                (Place::Data, _) => {}
                (Place::Under, Some(_)) if *cell == Cell::None => {}
                (Place::Under, Some(above)) => {
                    if !above.is_empty() {
                        above.push('\n');
                    }
                    match column.heading {
                        "" => above.push_str(&words),
                        heading => above.push_str(&format!("{heading}: {words}")),
                    }
                }
                (Place::Own | Place::Under, _) => cells.push(words),
            }
        }
        table.rows.push(cells);
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::Column;
    use crate::show::{page, text};

    const fn column(key: &'static str, place: Place) -> Column {
        Column {
            key,
            heading: key,
            figures: false,
            place,
        }
    }

    const COLUMNS: &[Column] = &[
        column("day", Place::Own),
        column("device", Place::Own),
        column("maker", Place::Under),
    ];

    fn list(rows: Vec<Vec<Cell>>) -> RecordsAnswer {
        RecordsAnswer {
            ledger: "l".to_owned(),
            head: "1:0".to_owned(),
            key: "x",
            about: None,
            title: "X".to_owned(),
            first: crate::calendar::Day::MIN,
            last: crate::calendar::Day::MIN,
            on: crate::calendar::Day::MIN,
            unit: "mrem".to_owned(),
            asked: Vec::new(),
            rules: Vec::new(),
            parts: vec![RecordsPart {
                key: "x",
                title: "X".to_owned(),
                of: ("row", "rows"),
                columns: COLUMNS,
                terms: crate::rule::Terms::default(),
                rows,
                sums: 0,
                none: "Nothing on record.".to_owned(),
                notes: Vec::new(),
            }],
            notes: Vec::new(),
            confirm: String::new(),
        }
    }

    fn one(maker: Cell) -> RecordsAnswer {
        let text = |it: &str| Cell::Text(it.to_owned());
        list(vec![vec![text("2026-06-01"), text("D-2 <b>"), maker]])
    }

    #[test]
    fn a_page_stacks_what_data_keep_apart() {
        let it = one(Cell::Text("Example Works".to_owned()));
        let shown = text(&records_report(&it), 80);
        assert!(shown.contains("1 row."), "{shown}");
        assert!(shown.contains("maker: Example Works"), "{shown}");
        assert!(
            page(&records_report(&it)).contains("D-2</span> &lt;b&gt;<br>maker: Example Works")
        );
    }

    #[test]
    fn what_is_lacking_and_what_is_empty_is_said() {
        let shown = text(&records_report(&one(Cell::NotOnRecord)), 80);
        assert!(shown.contains("1 row; 1 lacks something."), "{shown}");
        assert!(shown.contains("maker: not on record"), "{shown}");
        let shown = text(&records_report(&list(Vec::new())), 80);
        assert!(shown.contains("Nothing on record."), "{shown}");
    }
}
