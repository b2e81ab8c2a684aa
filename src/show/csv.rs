//! The tables of a report as CSV.

use super::report::{Part, Report};

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
        writer.write_record(
            table
                .columns
                .iter()
                .map(|(heading, _)| heading.replace('\n', " ")),
        )?;
        for row in &table.rows {
            writer.write_record(row.iter().map(|cell| cell.replace('\n', " ")))?;
        }
        writer.flush()?;
    }
    Ok(String::from_utf8_lossy(&out).into_owned())
}
