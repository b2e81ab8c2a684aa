//! A report as one self-contained page: no script, nothing fetched, fit for a phone, a desk and
//! paper of A4 and Letter. What writes HTML anywhere writes it with these.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::fine::{SAID, SAID_ON_PAGE, fine};
pub use super::inline::{Links, Named, Way};
use super::inline::{seen, told, unbroken};
use super::report::{Align, Part, Report, Table};

/// The look of every page.
pub const STYLE: &str = include_str!("style.css");

/// Renders a report as a page of its own.
#[must_use]
pub fn page(report: &Report) -> String {
    let style = html! { style { (PreEscaped(STYLE)) } };
    let body = html! { main { (report_parts(report)) } };
    document(&report.heading, &style, &body).into_string()
}

/// A document around what stands in it.
#[must_use]
pub fn document(title: &str, head: &Markup, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (seen(title)) }
                (head)
            }
            body { (body) }
        }
    }
}

/// Everything of a report: heading, what stops somebody, parts, cautions.
#[must_use]
pub fn report_parts(report: &Report) -> Markup {
    linked_parts(report, &|_| None)
}

/// The same, with names that lead somewhere.
#[must_use]
pub fn linked_parts(report: &Report, links: Links<'_>) -> Markup {
    let report = &fine(report);
    html! {
        @if !report.heading.is_empty() { h1 { (unbroken(&seen(&report.heading))) } }
        // A screen ends where a terminal does; a page is read from its top.
        (grouped(&report.stops, links))
        (grouped(&report.parts, links))
        @let caution = report.one_caution().replace(SAID, SAID_ON_PAGE);
        @if !caution.is_empty() || report.of_ledger.is_some() {
            div.caution {
                @if !caution.is_empty() { p { (told(&caution, links)) } }
                @if let Some(words) = report.of_ledger { p { (seen(words)) } }
            }
        }
    }
}

/// Parts in order; a line and what stands under it belong together.
fn grouped(parts: &[Part], links: Links<'_>) -> Markup {
    let is_under = |it: &Part| matches!(it, Part::Under(_));
    let groups = parts.chunk_by(|_, next| is_under(next));
    html! {
        @for group in groups {
            @match group {
                [Part::Line(line), under @ ..] if is_moot(line, under, links) => {},
                [Part::Line(line), under @ ..] => (one_line(line, under, links)),
                [Part::Section(title), under @ ..] => {
                    h2 { (seen(title)) }
                    (under_lines(under, links))
                }
                [Part::Picture(svg), under @ ..] => {
                    figure { (PreEscaped(inline(svg))) }
                    (under_lines(under, links))
                }
                [Part::Table(table), under @ ..] => {
                    (grid(table, links))
                    (under_lines(under, links))
                }
                [Part::Gap, under @ ..] => (under_lines(under, links)),
                under => (under_lines(under, links)),
            }
            "\n"
        }
    }
}

/// Whether a line leads to nothing but commands that are done where it stands.
fn is_moot(line: &str, under: &[Part], links: Links<'_>) -> bool {
    let is_here = |it: &Part| matches!(it, Part::Under(line) if done_here(line, links));
    line.ends_with(':') && !under.is_empty() && under.iter().all(is_here)
}

/// Whether a line is nothing but a command for which the page itself is the place.
fn done_here(line: &str, links: Links<'_>) -> bool {
    let command = line.trim_start().strip_prefix("wearbook ");
    let way = command.and_then(|it| links(Named::Command(it)));
    way.is_some_and(|it| it.to.is_empty())
}

/// A line; one that begins with how urgent it is stands in a frame.
fn one_line(line: &str, under: &[Part], links: Links<'_>) -> Markup {
    let urgent = [("STOP", "stop"), ("ACT", "act"), ("CAUTION", "act")];
    let urgent = urgent.into_iter().find_map(|(word, class)| {
        let rest = line.strip_prefix(word)?;
        rest.starts_with(' ')
            .then(|| (word, class, rest.trim_start()))
    });
    match urgent {
        Some((word, class, rest)) => {
            html! {
                div class=(class) {
                    p { span.word { (word) } " " (told(rest, links)) }
                    (under_lines(under, links))
                }
            }
        }
        None => html! {
            @match line.split_once("  ").and_then(|_| labelled(line)) {
                Some((label, rest)) => dl { dt { (seen(label)) } dd { (told(rest, links)) } },
                None => p class=[holds_a_seal(line).then_some("small seal")] {
                    (told(line, links))
                },
            }
            (under_lines(under, links))
        },
    }
}

/// Lines under another: `do: tell the RSO` as a label and what it says, others as they stand.
fn under_lines(under: &[Part], links: Links<'_>) -> Markup {
    let lines = under.iter().filter_map(|it| match it {
        Part::Under(line) if !done_here(line, links) => Some((labelled(line), line)),
        _ => None,
    });
    let lines: Vec<_> = lines.collect();
    let runs = lines.chunk_by(|a, b| a.0.is_some() == b.0.is_some());
    html! {
        @for run in runs {
            @if run.iter().all(|it| it.0.is_some()) {
                dl {
                    @for (label, rest) in run.iter().filter_map(|it| it.0) {
                        dt { (seen(label)) }
                        @if label == "key" {
                            dd.small { (leading(rest, links(Named::Key(rest)), links)) }
                        } @else { dd { (told(rest, links)) } }
                    }
                }
            } @else {
                ul.under { @for (_, line) in run { li { (under_line(line, links)) } } }
            }
        }
    }
}

/// A line; of a command that can be given here, the way to it.
fn under_line(line: &str, links: Links<'_>) -> Markup {
    let command = line.trim_start().strip_prefix("wearbook ");
    let way = command.and_then(|it| links(Named::Command(it)));
    html! {
        @match way {
            Some(way) if !way.to.is_empty() => a.btn href=(way.to) { (way.deed) },
            _ => (told(line, links)),
        }
    }
}

/// A label of one short word, as the first word of a column or before a colon.
fn labelled(line: &str) -> Option<(&str, &str)> {
    let parts = ["  ", ": "]
        .into_iter()
        .filter_map(|it| line.split_once(it));
    let is_label = |it: &str| it.len() <= 12 && it.bytes().all(|it| it.is_ascii_lowercase());
    let mut found = parts.filter(|(label, _)| is_label(label));
    found.next().map(|(label, rest)| (label, rest.trim()))
}

/// Whether a line quotes a hash in full.
fn holds_a_seal(line: &str) -> bool {
    let mut words = line.split(|it: char| !it.is_ascii_hexdigit());
    words.any(|it| it.len() >= 64)
}

/// A drawing inside a page: without the prologue of a file.
fn inline(svg: &str) -> &str {
    svg.find("<svg")
        .and_then(|at| svg.get(at..))
        .unwrap_or(svg)
        .trim_end()
}

/// A name, as a way to where it leads; what is done there has a button beside it.
fn leading(name: &str, way: Option<Way>, links: Links<'_>) -> Markup {
    html! {
        @match way {
            Some(way) if way.deed.is_empty() => a href=(way.to) { (lines(name)) },
            Some(way) => {
                @let whole = format!("{} {}", way.deed, name.replace('\n', " "));
                (lines(name)) " "
                a.btn href=(way.to) aria-label=(seen(&whole)) { (way.deed) }
            },
            None => @for (at, line) in name.split('\n').enumerate() {
                @if at > 0 { br; }
                (told(line, links))
            },
        }
    }
}

/// A table: the first cell of a row is its heading.
#[must_use]
pub fn table_of(table: &Table) -> Markup {
    grid(table, &|_| None)
}

fn grid(table: &Table, links: Links<'_>) -> Markup {
    let reads = reads_by_rows(table);
    html! {
        div.wide.rows[reads] tabindex="0" {
            table {
                thead {
                    tr {
                        @for (heading, align) in &table.columns {
                            @let right = (*align == Align::Right).then_some("r");
                            th scope="col" class=[right] { (seen(&heading.replace('\n', " "))) }
                        }
                    }
                }
                tbody {
                    @for (number, row) in table.rows.iter().enumerate() {
                        tr {
                            @let cells = row.iter().zip(&table.columns).enumerate();
                            @for (at, (cell, (heading, align))) in cells {
                                @let class = class(cell, *align);
                                @let label = reads.then(|| seen(&heading.replace('\n', " ")));
                                @let named = match table.keys.get(number) {
                                    Some(key) if heading == "key" => Named::Key(key),
                                    _ => Named::Cell(heading, cell),
                                };
                                @let words = leading(cell, links(named), links);
                                @if at == 0 && !cell.is_empty() {
                                    th scope="row" class=[class] { (words) }
                                } @else { td class=[class] data-label=[label] { (words) } }
                            }
                        }
                        "\n"
                    }
                }
            }
        }
    }
}

/// Whether a table is too wide for a phone and has words in it: its rows stand there one below the
/// other, each cell with its heading.
fn reads_by_rows(table: &Table) -> bool {
    let is_words = |row: &Vec<String>| {
        let cells = row.iter().zip(&table.columns).skip(1);
        let mut cells = cells.filter(|(_, (_, align))| *align == Align::Left);
        cells.any(|(cell, _)| !is_one_word(cell))
    };
    table.columns.len() > 2 && table.rows.iter().any(is_words)
}

fn class(cell: &str, align: Align) -> Option<&'static str> {
    match align {
        Align::Right => Some("r"),
        Align::Left if is_one_word(cell) => Some("w"),
        Align::Left => None,
    }
}

/// The lines of a cell, one below the other.
fn lines(cell: &str) -> Markup {
    html! {
        @for (at, line) in cell.split('\n').enumerate() {
            @if at > 0 { br; }
            (unbroken(&seen(line)))
        }
    }
}

/// An id, a date with its hour or a month: a browser would break it at its hyphens.
fn is_one_word(cell: &str) -> bool {
    // Blanks stand in a moment of its own alone.
    let is_moment = cell.len() <= 16 && cell.starts_with(|it: char| it.is_ascii_digit());
    cell.len() <= 24 && !cell.contains('\n') && (is_moment || !cell.contains(' '))
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

    /// Nothing of a report is lost on the page, whatever stands under what.
    #[test]
    fn what_stands_under_a_line_is_told_with_it() {
        let mut report = Report::new("x");
        report.under("first of all");
        report.line("STOP  W03: off scale");
        report.under("do:   tell the RSO");
        report.under("10:40: not a label");
        report.gap();
        report.line("STOPPED early");
        let page = page(&report);
        let frame = "<div class=\"stop\"><p><span class=\"word\">STOP</span> W03: off scale</p>";
        assert!(page.contains("<li>first of all</li>"), "{page}");
        assert!(page.contains(frame), "{page}");
        assert!(page.contains("<dt>do</dt><dd>tell the RSO</dd>"), "{page}");
        assert!(page.contains("<li>10:40: not a label</li>"), "{page}");
        assert!(page.contains("<p>STOPPED early</p>"), "{page}");
    }
}
