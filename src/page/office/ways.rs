//! A command that a report names, as the way to the page or the form that does the same here:
//! whoever works at the page is never told to type one that it can do.

use maud::{Markup, html};

use super::download;
use crate::page::shell::acts;
use crate::page::shell::desk::Person;
use crate::page::shell::frame::crew;
use crate::page::shell::pages::{BY_ROW, PAGES, Shown, encoded};
use crate::page::shell::places::{choice, title_of};
use crate::page::shell::plain::without_flags;
use crate::show::{Named, Piece, Report, Way, linked_parts, pieces};

/// Where the page itself has what a command does.
const HERE: &str = "on this page";

/// Reports with their commands as ways; for a crew without them. What was refused stands in a
/// frame.
pub fn told_with(reports: &[Report], person: &Person, here: &str) -> Markup {
    if !person.reads_all() {
        return crew(reports);
    }
    let to = |name: Named<'_>| match name {
        Named::Command(line) => given(line, person, here),
        _ => None,
    };
    html! {
        @for report in reports {
            @if report.heading.starts_with("error: ") {
                div.refused role="alert" { (linked_parts(report, &to)) }
            } @else { (linked_parts(report, &to)) }
        }
    }
}

/// The way to what a command does, as far as its line says what it is about; nothing where the page
/// cannot do it. A way without an address is one to where somebody is already, or to what only the
/// office may do.
pub fn given(line: &str, person: &Person, here: &str) -> Option<Way> {
    let mut words: Vec<&str> = line.split_whitespace().collect();
    // Its file is on the page of a photo or paper.
    if words.starts_with(&["evidence", "save"]) {
        words.splice(..2, ["evidence", "show"]);
    }
    let act = acts::commands()
        .filter(|it| words.starts_with(it.0) && it.1.iter().all(|flag| words.contains(flag)))
        .max_by_key(|it| it.0.len());
    let page = PAGES
        .iter()
        .filter(|it| words.starts_with(&command_of(it)))
        .max_by_key(|it| (command_of(it).len(), std::cmp::Reverse(missing(it, &words))));
    let commanded = |it: &Shown| command_of(it).len();
    let to = match (act, page) {
        (Some((command, _)), page) if page.is_none_or(|it| commanded(it) <= command.len()) => {
            match to_form(command, &words) {
                Some(to) => to,
                None => return Some(named(title_of(&format!("/do/{}", command.join("/"))))),
            }
        }
        (_, Some(page)) => to_page(page, words.get(commanded(page)..)?),
        (None, None) => download::page_of(&words)?.address(""),
        (Some(_), None) => return None,
    };
    let bare = to.split('?').next().unwrap_or(&to);
    let is_here = bare == here;
    let deed = match is_here {
        true => HERE.to_owned(),
        false => title_of(bare),
    };
    let closed = is_here || (bare.starts_with("/do/") && !person.is_office());
    Some(Way {
        to: if closed { String::new() } else { to },
        deed,
    })
}

/// What something is called, without a way to it.
fn named(deed: String) -> Way {
    let to = String::new();
    Way { to, deed }
}

/// The command of a page, without its flags.
fn command_of(page: &Shown) -> Vec<&'static str> {
    let words = page.words.iter().copied();
    words.filter(|it| !it.starts_with("--")).collect()
}

/// How many flags of a page a line does not have.
fn missing(page: &Shown, words: &[&str]) -> usize {
    let flags = page.words.iter().filter(|it| it.starts_with("--"));
    flags.filter(|it| !words.contains(it)).count()
}

/// What a form says of a field: commands are called what the page calls them, and flags are fields.
pub fn help_of(help: &str, person: &Person) -> String {
    let told = pieces(help).into_iter().map(|it| match it {
        Piece::Words(words) => words.to_owned(),
        Piece::Command(line) => match given(line, person, "") {
            Some(way) => way.deed,
            None => line.to_owned(),
        },
    });
    without_flags(&told.collect::<String>())
}

/// What the words behind a command say it is about. What is to be filled in stands in capitals, as
/// a choice, or in quotes.
fn subjects<'a>(rest: &'a [&'a str]) -> impl Iterator<Item = &'a str> {
    rest.iter().copied().take_while(|it| is_said(it))
}

fn is_said(word: &str) -> bool {
    let open = word.contains(['|', '"', '\'']) || word.starts_with('-');
    let says = |it: char| it.is_ascii_digit() || it.is_lowercase();
    !open && word.chars().any(says)
}

/// What the flags of a line say: `--worker W07`, `--worker=W07`.
fn flags<'a>(rest: &'a [&'a str]) -> impl Iterator<Item = (&'a str, &'a str)> {
    let pairs = rest.iter().enumerate().filter_map(|(at, word)| {
        let flag = word.strip_prefix("--")?;
        let next = rest.get(at.checked_add(1)?).copied().unwrap_or_default();
        Some(flag.split_once('=').unwrap_or((flag, next)))
    });
    pairs.filter(|it| is_said(it.1))
}

fn with_flags<'a>(to: String, pairs: impl Iterator<Item = (&'a str, &'a str)>) -> String {
    let mut query = form_urlencoded::Serializer::new(String::new());
    query.extend_pairs(pairs);
    match query.finish() {
        none if none.is_empty() => to,
        query => format!("{to}?{query}"),
    }
}

/// A form; where the line leaves open what it is about, the page on which that is chosen. Nothing
/// where each entry has it on its own page.
fn to_form(command: &[&str], words: &[&str]) -> Option<String> {
    let rest = words.get(command.len()..).unwrap_or_default();
    let about: Vec<String> = subjects(rest).map(encoded).collect();
    let is_open = rest.first().is_some_and(|it| !it.starts_with('-'));
    let form = format!("/do/{}", command.join("/"));
    if about.is_empty() && (is_open || BY_ROW.contains(&form.as_str())) {
        return choice(command).map(|it| it.address(""));
    }
    let all = command.iter().map(|it| (*it).to_owned()).chain(about);
    let to = format!("/do/{}", all.collect::<Vec<_>>().join("/"));
    Some(with_flags(to, flags(rest)))
}

/// A page; where the line leaves open of what, the page that lists them.
fn to_page(page: &'static Shown, rest: &[&str]) -> String {
    let name = subjects(rest).next();
    let to = match name {
        _ if !page.at.contains(&"*") => page.address(""),
        Some(name) => page.address(name),
        None if page.words == ["review"] => "/month".to_owned(),
        None => page
            .of_all()
            .map_or("/more".to_owned(), |it| it.address("")),
    };
    let takes = |it: &(&str, &str)| page.flags.contains(&it.0);
    match name.is_some() || !page.at.contains(&"*") {
        true => with_flags(to, flags(rest).filter(takes)),
        false => to,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_command_leads_to_what_it_is_about_or_to_where_that_is_chosen() {
        let rso = Person {
            id: "W01".to_owned(),
            name: String::new(),
            role: Some(crate::record::Role::Rso),
            signed_in: false,
        };
        for (line, here, to) in [
            (
                "hold resolve 12.1 --counts --reason WHY",
                "/hold",
                "/do/hold/resolve/12%2E1",
            ),
            ("hold resolve ITEM --counts", "/board", "/hold"),
            ("hold resolve ITEM --counts", "/hold", ""),
            ("hold resolve", "/board", "/hold"),
            ("entry correct ENTRY FIELD=VALUE --reason WHY", "/hold", ""),
            (
                "badge issue --worker W07",
                "/board",
                "/do/badge/issue?worker=W07",
            ),
            ("badge return", "/status", "/do/badge/return"),
            ("event note EVENT", "/board", "/events"),
            ("report show E-1", "/board", "/events/E%2D1/notifications"),
            ("report show EVENT", "/notifications", "/events"),
            (
                "report answer E-1 defect yes|no",
                "/board",
                "/do/report/answer/E%2D1/defect",
            ),
            (
                "dose show W07 --from 2026-05-01 --why",
                "/board",
                "/people/W07?from=2026-05-01",
            ),
            (
                "evidence save 118 --out NAME.jpg",
                "/board",
                "/evidence/118",
            ),
            ("ledger verify", "/board", "/ledger"),
            ("dose show ID --year 2026", "/board", "/people"),
            ("evidence show ENTRY", "/evidence", ""),
            (
                "review 2026-05 --sign --performed-by ID",
                "/board",
                "/do/review/2026%2D05",
            ),
            ("review 2026-05", "/board", "/month/2026%2D05"),
            ("due", "/board", "/due"),
            ("findings", "/board", "/findings"),
            (
                "findings --from 2026-05-01 --to 2026-05-31 --on 2026-05-30 --all",
                "/findings",
                "/findings/all?from=2026-05-01&to=2026-05-31&on=2026-05-30",
            ),
            ("ledger verify --full", "/ledger", "/ledger/full"),
            ("ledger backup FILE", "/board", "/ledger"),
            ("ledger copies --dir DIR", "/board", "none"),
            ("rules adopt FILE", "/board", "none"),
        ] {
            let way = given(line, &rso, here);
            let found = way.as_ref().map_or("none", |it| it.to.as_str());
            assert_eq!(found, to, "{line}");
            assert!(way.is_none_or(|it| !it.deed.is_empty()), "{line}");
        }
    }
}
