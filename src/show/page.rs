//! A report as one self-contained page: no script, nothing fetched, black on white, fit for A4
//! and Letter.

use std::fmt::Write;

use super::fine::fine;
use super::report::{Align, Part, Report, Table};
use crate::text::shown;

/// The look of every page. Lines and weights carry the meaning, no colour does.
const STYLE: &str = "body{font:10.5pt/1.4 serif;max-width:68em;margin:1.5em auto;padding:0 1em;\
color:#000;background:#fff}h1,p{max-width:46em}h1{font-size:1.5em;margin:.2em 0}\
h2{font-size:1.15em;margin:1.4em 0 .3em;border-bottom:2px solid #000;break-after:avoid}\
p{margin:.3em 0;overflow-wrap:anywhere}p.under{margin-left:1.5em}\
table{border-collapse:collapse;width:100%;margin:.4em 0;font-size:.92em}\
th,td{border-bottom:1px solid #555;padding:.2em .8em .2em 0;text-align:left;vertical-align:top}\
thead th{border-bottom:2px solid #000}.r{text-align:right;white-space:nowrap}\
th.r{white-space:normal}.w{white-space:nowrap}\
tr{break-inside:avoid}figure{margin:.6em 0;break-inside:avoid}svg{max-width:100%;height:auto}\
.caution{border-top:1px solid #000;margin-top:1em;padding-top:.4em;font-size:.9em}\
@media screen{table{display:block;overflow-x:auto}}@media(max-width:40em){table{font-size:.8em}}\
@media print{body{margin:0;max-width:none;padding:0}}@page{margin:16mm}";

/// Escapes text for a page.
pub(super) fn safe(text: &str) -> String {
    shown(text)
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

/// Renders a report as a page.
#[must_use]
pub fn page(report: &Report) -> String {
    let report = &fine(report);
    let mut body = String::new();
    // Writing into a text cannot fail.
    let _ = write!(body, "<h1>{}</h1>", safe(&report.heading));
    for part in report.parts.iter().chain(&report.stops) {
        match part {
            Part::Line(line) => drop(write!(body, "<p>{}</p>", safe(line))),
            Part::Under(line) => drop(write!(body, "<p class=\"under\">{}</p>", safe(line))),
            Part::Gap => {}
            Part::Section(title) => drop(write!(body, "<h2>{}</h2>", safe(title))),
            Part::Picture(svg) => drop(write!(body, "<figure>{}</figure>", inline(svg))),
            Part::Table(table) => grid(&mut body, table),
        }
        body.push('\n');
    }
    if !report.cautions.is_empty() {
        let caution = safe(&report.one_caution());
        let _ = writeln!(body, "<div class=\"caution\"><p>{caution}</p></div>");
    }
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\
         <meta name=\"viewport\" content=\"width=device-width\"><title>{}</title>\
         <style>{STYLE}</style></head><body>\n{body}</body></html>\n",
        safe(&report.heading)
    )
}

/// A drawing inside a page: without the prologue of a file.
fn inline(svg: &str) -> &str {
    svg.find("<svg")
        .and_then(|at| svg.get(at..))
        .unwrap_or(svg)
        .trim_end()
}

fn grid(body: &mut String, table: &Table) {
    let class = |align: Align| match align {
        Align::Right => " class=\"r\"",
        Align::Left => "",
    };
    body.push_str("<table><thead><tr>");
    for (heading, align) in &table.columns {
        let heading = safe(heading).replace('\n', " ");
        let _ = write!(body, "<th scope=\"col\"{}>{heading}</th>", class(*align));
    }
    body.push_str("</tr></thead><tbody>\n");
    for row in &table.rows {
        body.push_str("<tr>");
        for (cell, (_, align)) in row.iter().zip(&table.columns) {
            let class = match align {
                Align::Left if is_one_word(cell) => " class=\"w\"",
                align => class(*align),
            };
            let cell = safe(cell).replace('\n', "<br>");
            let _ = write!(body, "<td{class}>{cell}</td>");
        }
        body.push_str("</tr>\n");
    }
    body.push_str("</tbody></table>");
}

/// An id, a date or a month: a browser would break it at its hyphens.
fn is_one_word(cell: &str) -> bool {
    cell.len() <= 24 && !cell.contains(char::is_whitespace)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_people_typed_cannot_become_markup() {
        let mut report = Report::new("a < b & \"c\"");
        let mut table = Table::new(&["x"]);
        table.row(["<script>\u{202e}".to_owned()]);
        report.table(table);
        let page = page(&report);
        assert!(page.contains("&lt;script&gt;\\u{202e}"), "{page}");
        assert!(page.contains("a &lt; b &amp; &quot;c&quot;"), "{page}");
    }

    #[test]
    fn a_page_fetches_nothing() {
        let mut report = Report::new("x");
        report.picture("<?xml version=\"1.0\"?><svg><title>t</title></svg>\n");
        let page = page(&report);
        assert!(page.contains("<figure><svg><title>t</title></svg></figure>"));
        assert!(!page.contains("http"), "{page}");
    }
}
