//! The trace of an event as one printable page, with its picture inside.

use std::fmt::Write;

use super::chart::ChartError;
use super::trace::{
    STAR, cause_words, coverage_word, detail_lines, known_words, last_looks, look_cells, worn,
};
use super::trace_chart::trace_chart_of;
use crate::answer::{TraceAnswer, TraceRow};
use crate::record::{Coverage, Words};

const STYLE: &str = "body{font:10.5pt/1.35 serif;max-width:46em;margin:1.5em auto;padding:0 1em;\
color:#000;background:#fff}h1{font-size:1.5em;margin:0 0 .3em}h2{font-size:1.15em;margin:1.2em 0 \
.3em;break-after:avoid}p{margin:.3em 0}table{border-collapse:collapse;width:100%;margin:.4em 0}\
th,td{border-bottom:1px solid #000;padding:.2em .5em;text-align:left;vertical-align:top}\
thead{display:table-header-group}tr{break-inside:avoid}ul{margin:.2em 0;padding-left:1.3em}\
.mark{border:2px solid #000;padding:.3em .6em;font-weight:bold}.small{font-size:.88em}\
figure{margin:.6em 0;break-inside:avoid}figure svg{width:100%;height:auto;display:block}\
.verdict td:nth-child(-n+2),.verdict th{font-weight:bold}@page{margin:16mm}\
@media print{body{max-width:none;margin:0;padding:0}}";

/// Escapes text for a page.
fn safe(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

/// A page in the making. Writing into a text cannot fail.
struct Page(String);

impl Page {
    fn heading(&mut self, text: &str) {
        let _ = write!(self.0, "<h2>{}</h2>", safe(text));
    }

    fn line(&mut self, text: &str) {
        let _ = write!(self.0, "<p>{}</p>", safe(text));
    }

    fn small(&mut self, text: &str) {
        let _ = write!(self.0, "<p class=\"small\">{}</p>", safe(text));
    }

    fn list(&mut self, lines: &[String]) {
        self.0.push_str("<ul>");
        for line in lines {
            let _ = write!(self.0, "<li>{}</li>", safe(line));
        }
        self.0.push_str("</ul>");
    }

    fn table(&mut self, class: &str, heads: &[&str], rows: &[Vec<String>]) {
        if rows.is_empty() {
            return;
        }
        let _ = write!(self.0, "<table class=\"{class}\"><thead><tr>");
        for head in heads {
            let _ = write!(self.0, "<th scope=\"col\">{}</th>", safe(head));
        }
        self.0.push_str("</tr></thead><tbody>");
        for row in rows {
            self.0.push_str("<tr>");
            for cell in row {
                let _ = write!(self.0, "<td>{}</td>", safe(cell));
            }
            self.0.push_str("</tr>");
        }
        self.0.push_str("</tbody></table>");
    }
}

/// The page: self-contained, without scripts, for A4 and Letter, in black and white.
///
/// # Errors
/// [`ChartError`] if the picture cannot be drawn.
pub fn trace_page(answer: &TraceAnswer, scripted: bool) -> Result<String, ChartError> {
    let mut page = Page(String::new());
    head(&mut page, answer, scripted);
    if let Some(svg) = trace_chart_of(answer, scripted)? {
        let _ = write!(page.0, "<figure>{svg}</figure>");
    }
    verdicts(&mut page, answer);
    let told = |it: &&TraceRow| it.verdict.covered.coverage != Coverage::CannotDetect;
    for row in answer.rows.iter().filter(told) {
        page.heading(&format!("{} {}", row.piece, row.item));
        page.list(&detail_lines(row));
        let looks: Vec<Vec<String>> = last_looks(row)
            .into_iter()
            .map(|it| look_cells(it).into())
            .collect();
        let heads = ["done", "for", "by", "found", "counts as", "entry"];
        page.table("looks", &heads, &looks);
    }
    beside(&mut page, answer);
    let title = format!("Trace of {}", answer.event);
    Ok(format!(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>{}</title>\
         <style>{STYLE}</style></head><body>{}</body></html>\n",
        safe(&title),
        page.0
    ))
}

fn head(page: &mut Page, answer: &TraceAnswer, scripted: bool) {
    let _ = write!(
        page.0,
        "<h1>Trace of {}: {}</h1>",
        safe(&answer.event),
        safe(&answer.kind)
    );
    page.line(&format!("Occurred {}. {}", answer.occurred, answer.words));
    match &answer.cause {
        Some(cause) => page.line(&format!("Failed: {}.", cause_words(cause))),
        None => page.line("Failed: not known; every item that might show such an event is listed."),
    }
    for it in &answer.withdrawn {
        let _ = write!(page.0, "<p class=\"mark\">Withdrawn: {}</p>", safe(it));
    }
    page.small(&known_words(answer));
    let _ = write!(page.0, "<p class=\"mark\">{}</p>", safe(answer.judges));
    if scripted {
        page.small("The clock of this ledger is scripted: a demonstration or a test, not records.");
    }
}

fn verdicts(page: &mut Page, answer: &TraceAnswer) {
    page.heading("Verdicts");
    if let Some(none) = &answer.no_item {
        page.line(&format!(
            "{}: nothing looks for this ({})",
            none.coverage.word(),
            none.said_by()
        ));
    }
    let rows: Vec<Vec<String>> = answer
        .rows
        .iter()
        .map(|row| {
            let good = row.verdict.last_good.as_ref();
            let flags: Vec<&str> = row.verdict.flags.iter().map(|it| it.flag.word()).collect();
            vec![
                row.piece.clone(),
                row.item.clone(),
                coverage_word(row),
                row.verdict.record.word.to_string(),
                good.map_or_else(|| "never".to_owned(), |it| it.on.to_string()),
                flags.join(", "),
            ]
        })
        .collect();
    let heads = [
        "piece",
        "item",
        "could it have shown it",
        "record",
        "last good",
        "flags",
    ];
    page.table("verdict", &heads, &rows);
    page.small(STAR);
}

fn beside(page: &mut Page, answer: &TraceAnswer) {
    page.heading("Barriers and people");
    let barriers: Vec<Vec<String>> = answer
        .barriers
        .iter()
        .map(|it| {
            vec![
                it.barrier.to_owned(),
                it.state.unwrap_or("not told").to_owned(),
                it.what.clone(),
                it.entry.map(|it| it.to_string()).unwrap_or_default(),
            ]
        })
        .collect();
    page.table(
        "barriers",
        &["barrier", "stood", "in words", "entry"],
        &barriers,
    );
    let people: Vec<Vec<String>> = answer
        .people
        .iter()
        .map(|it| {
            vec![
                it.person.clone(),
                it.role.clone(),
                worn(it.monitored).to_owned(),
            ]
        })
        .collect();
    page.table(
        "people",
        &["person", "had a part in it", "dosimeter"],
        &people,
    );
    if !answer.extent.is_empty() {
        page.heading("Other equipment with the same component, as known now");
        let rows: Vec<Vec<String>> = answer
            .extent
            .iter()
            .map(|it| {
                let why = if it.why.is_empty() {
                    "nothing on record against it".to_owned()
                } else {
                    it.why.join("; ")
                };
                let now = if it.withdrawn {
                    "out of service"
                } else {
                    "in service"
                };
                vec![it.piece.clone(), why, now.to_owned()]
            })
            .collect();
        page.table("extent", &["piece", "why to look at it", "now"], &rows);
    }
    if !answer.suggestions.is_empty() {
        page.heading("To think about (the RSO decides)");
        page.list(&answer.suggestions);
    }
    page.small(
        "Cycles are exposures on sheets, at least so many: source exchanges and dry cranks may \
         be missing. Where a part was heading is an estimate.",
    );
    page.small(&answer.confirm);
}
