//! Pages that are one command each: its report, and the same as CSV and JSON under the same address
//! with a suffix.

use std::collections::HashMap;

use maud::{Markup, html};

use super::act_form::Form;
use super::alerts;
use super::board;
use super::download;
use super::evidence;
use super::ways::{given, told_with};
use crate::calendar::Month;
use crate::intake::IntakeError;
use crate::page::shell::acts::Act;
use crate::page::shell::asked::Fields;
use crate::page::shell::asked::{Asked, Reply};
use crate::page::shell::desk::{CommandSaid, Desk, Person};
use crate::page::shell::frame::{Frame, crew, nothing_here};
use crate::page::shell::named::names;
use crate::page::shell::pages::{BY_ROW, PAGES, Shown, encoded};
use crate::page::shell::places::{find, is_at, title_of};
use crate::page::shell::plain::{by_fields, without_flags};
use crate::page::shell::rights::{Deed, may};
use crate::show::{Named, Part, Report, Way, linked_parts};

/// Which table is asked for where an answer has more than one as CSV.
const TABLE: &str = "table";

/// In which form it is asked for, by the suffix of the address.
fn suffix(last: &str) -> (&str, Option<&'static str>) {
    for (end, flag) in [(".csv", "--csv"), (".json", "--json")] {
        if let Some(name) = last.strip_suffix(end) {
            return (name, Some(flag));
        }
    }
    (last, None)
}

/// What an address of the office is for, and the name in it.
pub fn deed<'a>(path: &[&'a str]) -> Option<(Deed, Option<&'a str>)> {
    let (last, before) = path.split_last()?;
    let path: Vec<&str> = before.iter().copied().chain([suffix(last).0]).collect();
    if path == ["more"] || path == ["month"] {
        return Some((Deed::ReadAll, None));
    }
    find(&path).map(|(page, name)| (page.deed, name))
}

/// Shows a page that is a command.
pub fn page(
    desk: &Desk,
    asked: &Asked,
    person: &Person,
    path: &[&str],
) -> Result<Reply, IntakeError> {
    let Some((last, before)) = path.split_last() else {
        return Ok(nothing_here(asked, person));
    };
    let (last, form) = suffix(last);
    let path: Vec<&str> = before.iter().copied().chain([last]).collect();
    if path == ["month"] {
        let now = desk.commands.now();
        let month = desk.read(|house| Ok(Month::of(house.today(now)).before()))?;
        return Ok(Reply::See(format!("/month/{month}")));
    }
    let Some((page, name)) = find(&path) else {
        return Ok(nothing_here(asked, person));
    };
    if page.at == ["board"] && !person.reads_all() {
        return match form {
            None => board::page(desk, asked, person),
            Some(_) => Ok(nothing_here(asked, person)),
        };
    }
    if form.is_none() && lacks_a_flag(desk, page, asked) {
        return Ok(only_asks(
            desk,
            (asked, person),
            (page, &path.join("/"), name),
        ));
    }
    let words = command(page, asked, name, form);
    let mut said = desk.commands.run(&words, None, &desk.author(person));
    let done = matches!(said.code, 0 | 3 | 4);
    match form.filter(|_| done) {
        Some("--json") => Ok(Reply::File("application/json; charset=utf-8", said.out)),
        Some(_) => Ok(Reply::File("text/csv; charset=utf-8", said.out)),
        None => {
            let mut links = HashMap::new();
            if done {
                put_in(&mut said.reports, charts(desk, asked, person, page, name));
                if person.reads_all() {
                    links = names(desk)?;
                }
            }
            let path = path.join("/");
            rendered(desk, asked, person, (page, &path, name), (&said, &links))
        }
    }
}

/// Whether a flag is not said that the command cannot do without.
fn lacks_a_flag(desk: &Desk, page: &Shown, asked: &Asked) -> bool {
    let fields = desk.commands.fields(page.words).unwrap_or_default();
    let mut needed = fields.iter().filter(|it| it.needed && !it.by_place);
    needed.any(|it| asked.query.get(&it.name).is_empty())
}

/// A page that has to be told something first.
fn only_asks(
    desk: &Desk,
    (asked, person): (&Asked, &Person),
    (page, path, name): (&Shown, &str, Option<&str>),
) -> Reply {
    let frame = Frame {
        title: page.title,
        person: Some(person),
        token: &asked.token,
        narrow: false,
    };
    frame.reply(&html! {
        h1 { (page.title) }
        (filters(desk, page, asked, (&format!("/{path}"), true)))
        (follows(desk, page, name, (asked, person)))
    })
}

/// The words of the command.
fn command(
    page: &Shown,
    asked: &Asked,
    name: Option<&str>,
    form: Option<&'static str>,
) -> Vec<String> {
    let mut words: Vec<String> = page.words.iter().map(|it| (*it).to_owned()).collect();
    for flag in page.flags {
        let value = asked.query.get(flag);
        if !value.is_empty() {
            words.push(format!("--{flag}={value}"));
        }
    }
    words.extend(form.map(str::to_owned));
    let table = asked.query.get(TABLE);
    if form == Some("--csv") && !table.is_empty() {
        words.push(format!("--table={table}"));
    }
    if let Some(name) = name {
        // A name is a name, whatever it begins with.
        words.extend(["--".to_owned(), name.to_owned()]);
    }
    words
}

/// What the command said, as a page.
fn rendered(
    desk: &Desk,
    asked: &Asked,
    person: &Person,
    (page, path, name): (&Shown, &str, Option<&str>),
    (said, links): (&CommandSaid, &HashMap<String, String>),
) -> Result<Reply, IntakeError> {
    let here = format!("/{path}");
    let done = matches!(said.code, 0 | 3 | 4);
    let event = name.unwrap_or_default();
    let to = |name: Named<'_>| leads((page, &here), event, person, links, name);
    let title = page.titled(event);
    let frame = Frame {
        title: &title,
        person: Some(person),
        token: &asked.token,
        narrow: false,
    };
    let body = html! {
        @if done && page.at == ["board"] && person.is_office() { (alerts::way()) }
        @if done {
            @for report in &by_fields(&said.reports) {
                @if !person.reads_all() { (crew(std::slice::from_ref(report))) }
                @else if page.leaves { section.leaf { (linked_parts(report, &to)) } }
                @else { (linked_parts(report, &to)) }
            }
            (evidence::pictures(desk, page.at, name)?)
            (filters(desk, page, asked, (&here, false)))
            (follows(desk, page, name, (asked, person)))
            p.small { "The same as " (suffixed(asked, &here, "csv", "")) " or "
                (suffixed(asked, &here, "json", "")) }
            @if said.tables.len() > 1 {
                details.small {
                    summary { "Each table as CSV" }
                    ul { @for it in &said.tables { li { (suffixed(asked, &here, "csv", it)) } } }
                }
            }
        } @else {
            (told_with(&by_fields(&said.reports), person, &here))
            (filters(desk, page, asked, (&here, false)))
        }
    };
    let status = if done { 200 } else { 422 };
    Ok(Reply::Page(status, frame.page(&body)))
}

fn is_number(cell: &str) -> bool {
    !cell.is_empty() && cell.bytes().all(|it| it.is_ascii_digit())
}

/// The way to the same as data: to one table by its name, or to the main one.
fn suffixed(asked: &Asked, here: &str, kind: &str, table: &str) -> Markup {
    let pairs = asked.query.0.iter().filter(|it| it.0 != TABLE);
    let table = Some((TABLE, table)).filter(|it| !it.1.is_empty());
    let query: String = form_urlencoded::Serializer::new(String::new())
        .extend_pairs(pairs.map(|(name, value)| (name, value)))
        .extend_pairs(table)
        .finish();
    let to = match query.is_empty() {
        true => format!("{here}.{kind}"),
        false => format!("{here}.{kind}?{query}"),
    };
    let words = match table {
        Some((_, name)) => name.replace(['_', '.'], " "),
        None => kind.to_uppercase(),
    };
    html! { a href=(to) { (words) } }
}

/// The flags of a page, to be asked again.
fn filters(desk: &Desk, page: &Shown, asked: &Asked, (here, open): (&str, bool)) -> Markup {
    let known = desk.commands.fields(page.words).unwrap_or_default();
    let help = |flag: &str| {
        let found = known.iter().find(|it| it.name == flag);
        without_flags(found.map_or(flag, |it| it.help.as_str()))
    };
    html! {
        @if !page.flags.is_empty() {
            details open[open || !asked.query.0.is_empty()] {
                summary { "Other days" }
                form.filters method="get" action=(here) {
                    @for flag in page.flags {
                        label { (help(flag))
                            input name=(flag) value=(asked.query.get(flag)) size="10"
                                maxlength="40"; }
                    }
                    button { "Show" }
                }
            }
        }
    }
}

/// What follows from a page: ways to others, files, and forms, on the page itself where they are
/// about what it shows.
fn follows(
    desk: &Desk,
    page: &Shown,
    name: Option<&str>,
    (asked, person): (&Asked, &Person),
) -> Markup {
    let deed = |to: &str| {
        let shown = PAGES.iter().find(|it| is_at(it, to));
        shown.map_or(Deed::Decide, |it| it.deed)
    };
    let open = page.then.iter().filter(|it| may(person, deed(it), name));
    let open = open.copied().filter(|it| !BY_ROW.contains(it));
    let (here, links): (Vec<&str>, Vec<&str>) =
        open.partition(|it| page.in_place && it.starts_with("/do/"));
    let secret = html! { input type="hidden" name="token" value=(asked.token); };
    html! {
        @if !links.is_empty() {
            p.then {
                @for to in links {
                    a.btn href=(to.replace('*', &encoded(name.unwrap_or_default()))) {
                        (title_of(to))
                    }
                    " "
                }
            }
        }
        @for to in here {
            details.card { summary { (title_of(to)) } (form_here(desk, to, name, person, &secret)) }
        }
        (download::offered(page.at, name, asked, person))
    }
}

/// A form on the page of what it is about.
fn form_here(
    desk: &Desk,
    to: &str,
    name: Option<&str>,
    person: &Person,
    secret: &Markup,
) -> Markup {
    let path: Vec<&str> = to.split('/').filter(|it| !it.is_empty()).skip(1).collect();
    let Some(act) = Act::find(desk, &path) else {
        return html! {};
    };
    let mut typed = Fields::default();
    if let Some(field) = act.fields.iter().find(|it| it.by_place) {
        typed.set(&field.name, name.unwrap_or_default());
    }
    Form::of(&act, &typed, person, None)
        .among_others()
        .page(secret)
}

/// Where a name on a page leads.
fn leads(
    (page, here): (&Shown, &str),
    event: &str,
    person: &Person,
    links: &HashMap<String, String>,
    name: Named<'_>,
) -> Option<Way> {
    let way = |to: String, deed: &str| Way {
        to,
        deed: deed.to_owned(),
    };
    match name {
        _ if !person.reads_all() => None,
        Named::Cell("entry", cell) if is_number(cell) => Some(way(format!("/entries/{cell}"), "")),
        Named::Cell("evidence", cell) if is_number(cell) => {
            Some(way(format!("/evidence/{cell}"), ""))
        }
        Named::Cell("item", cell) if page.words == ["hold", "list"] && person.is_office() => Some(
            way(format!("/do/hold/resolve/{}", encoded(cell)), "Resolve"),
        ),
        Named::Cell("item", cell) if page.words == ["trace", "show"] && person.is_office() => {
            let (of, item) = cell.split_once('\n')?;
            let (event, item, of) = (encoded(event), encoded(item), encoded(of));
            let to = format!("/do/trace/conclude/{event}/{item}?of={of}");
            Some(way(to, "Conclude"))
        }
        Named::Cell(_, cell) => links.get(cell).map(|it| way(it.clone(), "")),
        Named::Command(line) => given(line, person, here),
        _ if !person.is_office() => None,
        Named::Key(key) => Some(way(
            format!("/do/finding/answer/{}", encoded(key)),
            "Answer",
        )),
    }
}

/// What is drawn on a page, by the commands that draw.
fn charts(
    desk: &Desk,
    asked: &Asked,
    person: &Person,
    page: &Shown,
    name: Option<&str>,
) -> Vec<Part> {
    let draw = |chart: &&str| {
        let mut words = vec!["chart".to_owned(), (*chart).to_owned()];
        // Where reports are kept, a drawing is one of them and no file is written.
        words.push("--out=chart.svg".to_owned());
        let takes = desk.commands.fields(&["chart", chart]).unwrap_or_default();
        let flags = page
            .flags
            .iter()
            .filter(|it| takes.iter().any(|field| field.name == **it));
        for flag in flags {
            let value = asked.query.get(flag);
            if !value.is_empty() {
                words.push(format!("--{flag}={value}"));
            }
        }
        if let Some(name) = name {
            words.extend(["--".to_owned(), name.to_owned()]);
        }
        desk.commands
            .run(&words, None, &desk.author(person))
            .reports
    };
    let reports = page.charts.iter().flat_map(draw);
    let parts = reports.flat_map(|it| it.parts);
    parts.filter(|it| matches!(it, Part::Picture(_))).collect()
}

/// Puts drawings above what a command said.
fn put_in(reports: &mut [Report], drawn: Vec<Part>) {
    if let Some(report) = reports.first_mut() {
        report.parts.splice(0..0, drawn);
    }
}
