//! What every page has around it: the look, who is signed in, the way to the other pages.

use maud::{Markup, html};

use super::asked::{Asked, Reply};
use super::desk::Person;
use super::language::other;
use super::places::title_of;
use super::plain::plain;
use crate::show::{Report, document, report_parts};

/// Pages of the crew, and of the office besides.
const CREW: &[(&str, &str)] = &[("/", "Today"), ("/board", "Board"), ("/me", "My dose")];
const INSPECTOR: &[(&str, &str)] = &[("/board", "Board")];
const OFFICE: &[&str] = &[
    "/findings",
    "/hold",
    "/people",
    "/month",
    "/events",
    "/notifications",
    "/due",
    "/equipment",
    "/instruments",
    "/badges",
    "/more",
];

/// One page for somebody.
pub struct Frame<'a> {
    /// Its title.
    pub title: &'a str,
    /// Who is signed in.
    pub person: Option<&'a Person>,
    /// What every form has to carry.
    pub token: &'a str,
    /// Whether it is for a phone first: one narrow column.
    pub narrow: bool,
}

impl Frame<'_> {
    /// The page around a body.
    pub fn page(&self, body: &Markup) -> Markup {
        let head = html! {
            link rel="icon" href="data:,";
            link rel="stylesheet" href="/style.css";
            script src="/words.js" defer {}
            script src="/page.js" defer {}
            script src="/live.js" defer {}
            script src="/scan.js" defer {}
        };
        let body = html! {
            header.top {
                b { "wearbook" }
                @if let Some(person) = self.person {
                    span.who data-person=(person.id) {
                        // One text: beside each other they would be pieces of a row.
                        (person.name) ", " (person.role_word())
                        form method="post" action="/sign-out" {
                            (self.secret())
                            button.plain { "sign out" }
                        }
                    }
                }
            }
            @if let Some(person) = self.person {
                nav aria-label="Pages" {
                    @let first = if person.is_inspector() { INSPECTOR } else { CREW };
                    @for (to, words) in first { a href=(to) { (words) } }
                    @if person.reads_all() {
                        @for to in OFFICE { a href=(to) { (title_of(to)) } }
                    }
                    // The forms of the office are narrow too, and in English alone.
                    @if self.narrow && (!person.is_office() || self.title == "Today") { (other()) }
                }
            }
            main.narrow[self.narrow] {
                (body)
                @if let Some(person) = self.person {
                    p.small {
                        "Signed in as " (person.id)
                        @if person.signed_in { " by PIN (" a href="/pin" { "change it" } ")" }
                        @else { ": a name that was chosen here and proved by nobody" }
                        ". Whoever can open the file of the ledger can write anything."
                    }
                }
            }
        };
        document(self.title, &head, &body)
    }

    /// What a form carries, so that a page elsewhere cannot send it.
    pub fn secret(&self) -> Markup {
        html! { input type="hidden" name="token" value=(self.token); }
    }

    /// The page as an answer.
    pub fn reply(&self, body: &Markup) -> Reply {
        Reply::Page(200, self.page(body))
    }

    /// A page of reports.
    pub fn reports(&self, status: u16, reports: &[Report], below: &Markup) -> Reply {
        let body = html! { (all(reports)) (below) };
        Reply::Page(status, self.page(&body))
    }
}

/// Reports, one below the other; what was refused first and in a frame.
pub fn all(reports: &[Report]) -> Markup {
    html! {
        @for report in reports {
            @if report.heading.starts_with("error: ") {
                div.refused role="alert" { (report_parts(report)) }
            } @else { (report_parts(report)) }
        }
    }
}

/// The same for whoever has no terminal.
pub fn crew(reports: &[Report]) -> Markup {
    let plain: Vec<Report> = reports.iter().map(plain).collect();
    html! { div lang="en" { (all(&plain)) } }
}

/// An address that leads nowhere.
pub fn nothing_here(asked: &Asked, person: &Person) -> Reply {
    said(asked, person, 404, "There is no such page.")
}

/// An address that is not for this person. Nothing is said of what stands there.
pub fn not_for(asked: &Asked, person: &Person) -> Reply {
    let words = match person.is_inspector() {
        true => "An inspector reads everything here and writes nothing. Nothing was done.",
        false => {
            "This is for the RSO and the RSO's designee, by the role records of today. Nothing \
             was done."
        }
    };
    said(asked, person, 403, words)
}

fn said(asked: &Asked, person: &Person, status: u16, words: &str) -> Reply {
    let frame = Frame {
        title: "Not here",
        person: Some(person),
        token: &asked.token,
        narrow: true,
    };
    let body = html! { h1 { "Not here" } p { (words) } p { a href="/" { "Today" } } };
    Reply::Page(status, frame.page(&body))
}

/// A page for whoever is not answered at all: nothing of the ledger.
pub fn bare(title: &str, words: &str) -> Markup {
    outside(title, &html! { p { (words) } })
}

/// The same with more than words on it.
pub fn outside(title: &str, body: &Markup) -> Markup {
    let head = html! {
        link rel="stylesheet" href="/style.css";
        // What a device kept of another day goes, whoever comes.
        script src="/words.js" defer {}
        script src="/page.js" defer {}
    };
    let body = html! { main.narrow { h1 { (title) } (body) p.small { (other()) } } };
    document(title, &head, &body)
}
