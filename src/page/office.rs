//! Pages that are one command each: its report, and the same as CSV and JSON under the same address
//! with a suffix.

use std::collections::HashMap;

use maud::{Markup, html};

use super::asked::{Asked, Reply};
use super::board;
use super::desk::{CommandSaid, Desk, Person};
use super::frame::{Frame, all, nothing_here};
use super::rights::{Deed, may};
use crate::answer::House;
use crate::calendar::Month;
use crate::intake::IntakeError;
use crate::show::{Named, linked_parts};

/// A page that is a command.
pub(super) struct Shown {
    /// Its address; `*` stands for a name.
    pub at: &'static [&'static str],
    /// The command; the name follows it.
    words: &'static [&'static str],
    /// Flags that the address may carry.
    flags: &'static [&'static str],
    /// What reading it is.
    deed: Deed,
    /// What follows from it: words and address, with `*` for the name.
    then: &'static [(&'static str, &'static str)],
}

const SPAN: &[&str] = &["from", "to", "on"];
const YEAR: &[&str] = &["year", "on"];
const ON: &[&str] = &["on"];

const fn shown(
    at: &'static [&'static str],
    words: &'static [&'static str],
    flags: &'static [&'static str],
) -> Shown {
    Shown {
        at,
        words,
        flags,
        deed: Deed::ReadAll,
        then: &[],
    }
}

pub(super) const PAGES: &[Shown] = &[
    Shown {
        deed: Deed::SeeDay,
        ..shown(&["board"], &["board"], ON)
    },
    Shown {
        then: &[("Answer a finding", "/do/finding/answer")],
        ..shown(&["findings"], &["findings"], SPAN)
    },
    Shown {
        then: &[("Resolve one", "/do/hold/resolve")],
        ..shown(&["hold"], &["hold", "list"], &[])
    },
    Shown {
        then: &[
            ("Who may work", "/status"),
            ("Lists", "/lists"),
            ("Readings and results", "/reconcile"),
        ],
        ..shown(&["people"], &["dose", "crew"], YEAR)
    },
    Shown {
        deed: Deed::ReadPerson,
        then: &[
            ("Work status", "/people/*/status"),
            ("Forecast", "/people/*/forecast"),
            ("Statement", "/people/*/statement"),
            ("Record", "/people/*/record"),
        ],
        ..shown(
            &["people", "*"],
            &["dose", "show", "--why"],
            &["year", "from", "to", "on"],
        )
    },
    Shown {
        deed: Deed::ReadPerson,
        ..shown(&["people", "*", "status"], &["work-status"], ON)
    },
    Shown {
        deed: Deed::ReadPerson,
        ..shown(&["people", "*", "forecast"], &["dose", "forecast"], ON)
    },
    Shown {
        deed: Deed::ReadPerson,
        ..shown(&["people", "*", "statement"], &["dose", "statement"], YEAR)
    },
    shown(&["people", "*", "record"], &["worker", "show"], &[]),
    shown(&["status"], &["work-status"], ON),
    shown(&["lists"], &["dose", "lists"], &["year", "on", "share"]),
    shown(
        &["reconcile"],
        &["dose", "reconcile"],
        &["year", "from", "to", "on"],
    ),
    Shown {
        then: &[
            ("Sign this month", "/do/review/*"),
            ("Changes since it was signed", "/month/*/changes"),
        ],
        ..shown(&["month", "*"], &["review"], ON)
    },
    shown(&["month", "*", "changes"], &["review", "changes"], &[]),
    Shown {
        then: &[
            ("All notifications", "/notifications"),
            ("Ranking of items", "/ranking"),
        ],
        ..shown(&["events"], &["event", "list"], &[])
    },
    Shown {
        then: &[
            ("Trace", "/events/*/trace"),
            ("Notifications", "/events/*/notifications"),
            ("Draft of the report", "/events/*/draft"),
            ("Add a note", "/do/event/note/*"),
            ("Add what happened besides", "/do/event/happening/*"),
            ("Add a person", "/do/event/person/*"),
            ("Add a cause", "/do/event/cause/*"),
            ("Add an action", "/do/event/action/*"),
            ("Close it", "/do/event/close/*"),
        ],
        ..shown(&["events", "*"], &["event", "show"], &[])
    },
    Shown {
        then: &[("Conclude on an item", "/do/trace/conclude/*")],
        ..shown(&["events", "*", "trace"], &["trace", "show"], ON)
    },
    Shown {
        then: &[
            ("Answer a question", "/do/report/answer/*"),
            ("Record that a notification was made", "/do/report/done/*"),
        ],
        ..shown(&["events", "*", "notifications"], &["report", "show"], &[])
    },
    shown(&["events", "*", "draft"], &["report", "draft"], &[]),
    shown(&["notifications"], &["report", "list"], &[]),
    shown(&["ranking"], &["trace", "ranking"], &[]),
    Shown {
        then: &[("Instruments", "/due/instruments")],
        ..shown(&["due"], &["equipment", "due"], &["on", "within"])
    },
    shown(
        &["due", "instruments"],
        &["instrument", "due"],
        &["on", "within"],
    ),
    Shown {
        then: &[
            ("Wear", "/wear"),
            ("Inspections", "/inspections"),
            (
                "Take a piece out of service",
                "/do/equipment/out-of-service",
            ),
            ("Return one to service", "/do/equipment/return"),
            ("Install a part", "/do/equipment/install"),
        ],
        ..shown(&["equipment"], &["equipment", "list"], &[])
    },
    shown(&["equipment", "*"], &["equipment", "show"], ON),
    Shown {
        then: &[("Record a check", "/do/instrument/check")],
        ..shown(&["instruments"], &["instrument", "list"], &[])
    },
    shown(&["instruments", "*"], &["instrument", "show"], ON),
    shown(&["wear"], &["wear", "list"], &[]),
    shown(&["inspections"], &["inspect", "list"], YEAR),
    shown(&["inspections", "*"], &["inspect", "show"], &[]),
    Shown {
        then: &[
            ("Issue one", "/do/badge/issue"),
            ("Return one", "/do/badge/return"),
            ("Send one", "/do/badge/send"),
            ("Lost", "/do/badge/lost"),
            ("Enter a result", "/do/badge/result"),
            ("Accept a result", "/do/badge/accept"),
        ],
        ..shown(&["badges"], &["badge", "list"], &[])
    },
    shown(&["jobs"], &["job", "list"], &[]),
    shown(&["workers"], &["worker", "list"], &[]),
    shown(&["rules"], &["rules", "list"], &[]),
    shown(&["ledger"], &["ledger", "verify"], &[]),
    shown(
        &["records", "utilization"],
        &["records", "utilization"],
        YEAR,
    ),
    shown(
        &["records", "inventories"],
        &["records", "inventories"],
        YEAR,
    ),
    shown(&["records", "sources"], &["records", "sources"], YEAR),
    shown(&["records", "leak-tests"], &["records", "leak-tests"], YEAR),
    shown(
        &["records", "calibrations"],
        &["records", "calibrations"],
        YEAR,
    ),
    shown(&["records", "lapsed"], &["records", "lapsed"], &[]),
    Shown {
        then: &[
            ("History", "/entries/*/history"),
            ("Correct it", "/do/entry/correct/*"),
            ("Void it", "/do/entry/void/*"),
        ],
        ..shown(&["entries", "*"], &["entry", "show"], &[])
    },
    shown(&["entries", "*", "history"], &["entry", "history"], &[]),
];

/// The commands that are pages, with the flags that their addresses may carry.
pub(super) fn commands() -> impl Iterator<Item = (&'static [&'static str], &'static [&'static str])>
{
    PAGES.iter().map(|it| (it.words, it.flags))
}

/// The pages that lead to a form about something: what each is called, and its address.
pub(super) fn back(words: &[&str], name: &str) -> Vec<(String, String)> {
    let form = format!("/do/{}", words.join("/"));
    let leads = |page: &&Shown| {
        let mut all = page.then.iter();
        all.any(|it| it.1.trim_end_matches("/*") == form)
    };
    let found = PAGES.iter().filter(leads);
    let found = found.filter(|it| !name.is_empty() || !it.at.contains(&"*"));
    found
        .map(|page| {
            let of = |part: &&'static str| if *part == "*" { name } else { part };
            let plain: Vec<&str> = page.at.iter().map(of).collect();
            let parts: Vec<String> = plain.iter().map(|it| encoded(it)).collect();
            (plain.join(", "), format!("/{}", parts.join("/")))
        })
        .collect()
}

/// Where pages lead to: the forms that follow from them.
#[cfg(test)]
pub(super) fn forms() -> impl Iterator<Item = &'static str> {
    let all = PAGES.iter().flat_map(|it| it.then).map(|it| it.1);
    all.filter_map(|it| it.strip_prefix("/do/"))
}

/// In which form it is asked for, by the suffix of the address.
fn suffix(last: &str) -> (&str, Option<&'static str>) {
    for (end, flag) in [(".csv", "--csv"), (".json", "--json")] {
        if let Some(name) = last.strip_suffix(end) {
            return (name, Some(flag));
        }
    }
    (last, None)
}

/// The page of an address, and the name in it.
fn find<'a>(path: &[&'a str]) -> Option<(&'static Shown, Option<&'a str>)> {
    let fits = |it: &&Shown| {
        let pairs = it.at.iter().zip(path);
        it.at.len() == path.len() && pairs.clone().all(|(at, is)| *at == "*" || at == is)
    };
    let page = PAGES.iter().find(fits)?;
    let place = page.at.iter().position(|it| *it == "*");
    Some((page, place.and_then(|at| path.get(at).copied())))
}

/// What an address of the office is for, and the name in it.
pub(super) fn deed<'a>(path: &[&'a str]) -> Option<(Deed, Option<&'a str>)> {
    let (last, before) = path.split_last()?;
    let path: Vec<&str> = before.iter().copied().chain([suffix(last).0]).collect();
    if path == ["more"] || path == ["month"] {
        return Some((Deed::ReadAll, None));
    }
    find(&path).map(|(page, name)| (page.deed, name))
}

/// Shows a page that is a command.
pub(super) fn page(
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
    let said = desk.commands.run(
        &command(page, asked, name, form),
        None,
        &desk.author(person),
    );
    let done = matches!(said.code, 0 | 3 | 4);
    match form.filter(|_| done) {
        Some("--json") => Ok(Reply::File("application/json; charset=utf-8", said.out)),
        Some(_) => Ok(Reply::File("text/csv; charset=utf-8", said.out)),
        None => rendered(desk, asked, person, (page, &path.join("/"), name), &said),
    }
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
    said: &CommandSaid,
) -> Result<Reply, IntakeError> {
    let here = format!("/{path}");
    let done = matches!(said.code, 0 | 3 | 4);
    let links = match person.reads_all() && done {
        true => names(desk)?,
        false => HashMap::new(),
    };
    let to = |name: Named<'_>| match name {
        _ if !person.reads_all() => None,
        Named::Cell("entry", cell) if is_number(cell) => Some(format!("/entries/{cell}")),
        Named::Cell("item", cell) if page.words == ["hold", "list"] => {
            Some(format!("/do/hold/resolve/{}", encoded(cell)))
        }
        Named::Cell(_, cell) => links.get(cell).cloned(),
        Named::Key(_) if !person.is_office() => None,
        Named::Key(key) => Some(format!("/do/finding/answer/{}", encoded(key))),
    };
    let frame = Frame {
        title: path,
        person: Some(person),
        token: &asked.token,
        narrow: false,
    };
    let body = html! {
        @if done {
            @for report in &said.reports { (linked_parts(report, &to)) }
            (filters(desk, page, asked, &here))
            (follows(page, name, person))
            p.small { "The same as " (suffixed(asked, &here, "csv")) " or "
                (suffixed(asked, &here, "json")) }
        } @else { (all(&said.reports)) (filters(desk, page, asked, &here)) }
    };
    let status = if done { 200 } else { 422 };
    Ok(Reply::Page(status, frame.page(&body)))
}

fn is_number(cell: &str) -> bool {
    !cell.is_empty() && cell.bytes().all(|it| it.is_ascii_digit())
}

/// A part of an address.
pub(super) fn encoded(text: &str) -> String {
    percent_encoding::utf8_percent_encode(text, percent_encoding::NON_ALPHANUMERIC).to_string()
}

fn suffixed(asked: &Asked, here: &str, kind: &str) -> Markup {
    let pairs = asked.query.0.iter();
    let query: String = form_urlencoded::Serializer::new(String::new())
        .extend_pairs(pairs.map(|(name, value)| (name, value)))
        .finish();
    let to = match query.is_empty() {
        true => format!("{here}.{kind}"),
        false => format!("{here}.{kind}?{query}"),
    };
    html! { a href=(to) { (kind.to_uppercase()) } }
}

/// The flags of a page, to be asked again.
fn filters(desk: &Desk, page: &Shown, asked: &Asked, here: &str) -> Markup {
    let known = desk.commands.fields(page.words).unwrap_or_default();
    let help = |flag: &str| {
        let found = known.iter().find(|it| it.name == flag);
        found.map_or(flag, |it| it.help.as_str()).to_owned()
    };
    html! {
        @if !page.flags.is_empty() {
            details open[!asked.query.0.is_empty()] {
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

/// What follows from a page.
fn follows(page: &Shown, name: Option<&str>, person: &Person) -> Markup {
    let deed = |to: &str| {
        let shown = PAGES.iter().find(|it| is_at(it, to));
        shown.map_or(Deed::Decide, |it| it.deed)
    };
    let open = page.then.iter().filter(|it| may(person, deed(it.1), name));
    let links: Vec<(String, &str)> = open
        .map(|(words, to)| (to.replace('*', &encoded(name.unwrap_or_default())), *words))
        .collect();
    html! {
        @if !links.is_empty() {
            p.then { @for (to, words) in links { a.btn href=(to) { (words) } " " } }
        }
    }
}

fn is_at(page: &Shown, to: &str) -> bool {
    page.at
        .iter()
        .copied()
        .eq(to.split('/').filter(|it| !it.is_empty()))
}

/// The ids that lead to a page of their own.
fn names(desk: &Desk) -> Result<HashMap<String, String>, IntakeError> {
    desk.read(|house| Ok(names_of(house)))
}

fn names_of(house: &House) -> HashMap<String, String> {
    let names = &house.names;
    let mut all = HashMap::new();
    let mut put = |id: &str, room: &str| {
        all.insert(id.to_owned(), format!("/{room}/{}", encoded(id)));
    };
    names.workers().for_each(|(_, it)| put(&it.id, "people"));
    for record in names.items() {
        let room = match names.instrument_body(record) {
            Some(_) => "instruments",
            None => "equipment",
        };
        put(&names.label(record), room);
    }
    names.events().for_each(|it| put(it, "events"));
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_follows_from_a_page_is_a_page_or_a_form() {
        for (_, to) in PAGES.iter().flat_map(|it| it.then) {
            let parts: Vec<&str> = to.split('/').filter(|it| !it.is_empty()).collect();
            let is_there = match parts.split_first() {
                Some((&"do", words)) => {
                    super::super::act::commands().any(|(command, _)| words.starts_with(command))
                }
                _ => find(&parts).is_some(),
            };
            assert!(is_there, "{to}");
        }
    }
}
