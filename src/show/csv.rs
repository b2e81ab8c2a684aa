//! The tables of a report as CSV.

use super::report::{Part, Report};
use crate::text::{one_line, shown_as_text};

/// A cell that every spreadsheet shows as it stands.
fn safe(cell: &str) -> String {
    shown_as_text(&one_line(cell)).into_owned()
}

/// Renders the tables of a report, one after the other with an empty line
/// between; words around them are left out.
pub fn csv(report: &Report) -> Result<String, csv::Error> {
    let mut out = Vec::new();
    let tables = report.parts.iter().filter_map(|part| match part {
        Part::Table(table) => Some(table),
        _ => None,
    });
    for (at, table) in tables.enumerate() {
        if at > 0 {
            out.push(b'\n');
        }
        let mut writer = csv::Writer::from_writer(&mut out);
        writer.write_record(table.columns.iter().map(|(heading, _)| safe(heading)))?;
        for row in &table.rows {
            writer.write_record(row.iter().map(|cell| safe(cell)))?;
        }
        writer.flush()?;
    }
    Ok(String::from_utf8_lossy(&out).into_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::show::Table;

    #[test]
    fn no_cell_is_run_or_unseen() {
        let mut table = Table::new(&["=who", ">dose"]);
        table.row(["=1+1\u{202e}".into(), "-12".into()]);
        table.row(["two\nlines".into(), "-12 mrem".into()]);
        let mut report = Report::new("");
        report.table(table);
        let wanted = "'=who,dose\n'=1+1\\u{202e},-12\ntwo lines,'-12 mrem\n";
        assert_eq!(csv(&report).unwrap(), wanted);
    }
}
