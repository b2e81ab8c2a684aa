//! What is new to whoever is signed in, each with a button to say that it was seen; and how much of
//! it there is, for other pages.

use std::collections::HashMap;

use maud::{Markup, html};

use crate::answer::{Alert, AlertType, AlertsAnswer, alerts_for};
use crate::intake::IntakeError;
use crate::ledger::Ledger;
use crate::page::shell::asked::{Asked, Reply};
use crate::page::shell::desk::{Desk, Person};
use crate::page::shell::frame::Frame;
use crate::page::shell::named::names;
use crate::page::shell::plain::without_commands;
use crate::text::counted;

/// The list. A look tells nothing: what was not seen stands here yet.
pub fn page(desk: &Desk, asked: &Asked, person: &Person) -> Result<Reply, IntakeError> {
    listed(desk, asked, person, false)
}

/// Takes the word that one alert was seen, or all that stood on the page: nothing else is.
pub fn seen(desk: &Desk, asked: &Asked, person: &Person) -> Result<Reply, IntakeError> {
    let now = desk.commands.now();
    let all = new_to(desk, person)?;
    let keys: Vec<&str> = asked.form.get("keys").split_whitespace().collect();
    let Ok(these) = all.named(&keys) else {
        return listed(desk, asked, person, true);
    };
    let these: Vec<(&str, i64)> = these
        .iter()
        .map(|it| (it.key.as_str(), it.degree))
        .collect();
    let record = desk.read(|house| Ok(house.names.worker(&person.id)?.number()))?;
    Ledger::open(&desk.ledger)?.see_alerts_of(record, &these, now)?;
    Ok(Reply::See("/alerts".to_owned()))
}

/// The way to the list, for the pages on which the day of the office begins. How much is new takes
/// longer to work out than those pages: the script asks for it once they stand.
pub fn way() -> Markup {
    html! { p.then { a.btn href="/alerts" data-count="/alerts/count" { "Alerts" } } }
}

/// How much is new, in words.
pub fn count(desk: &Desk, person: &Person) -> Result<Reply, IntakeError> {
    let all = new_to(desk, person)?;
    let stops = all.rows.iter().filter(|it| it.kind == AlertType::Stop);
    let mut words = counted(all.rows.len(), "new alert", "new alerts");
    match stops.count() {
        0 => {}
        stops => words += &format!(", {}", counted(stops, "STOP", "STOPs")),
    }
    Ok(Reply::File("text/plain; charset=utf-8", words))
}

fn new_to(desk: &Desk, person: &Person) -> Result<AlertsAnswer, IntakeError> {
    let now = desk.commands.now();
    desk.read(|house| alerts_for(house, &person.id, (house.today(now), now)))
}

fn listed(
    desk: &Desk,
    asked: &Asked,
    person: &Person,
    is_late: bool,
) -> Result<Reply, IntakeError> {
    let all = new_to(desk, person)?;
    let links = match person.reads_all() {
        true => names(desk)?,
        false => HashMap::new(),
    };
    let frame = Frame {
        title: "Alerts",
        person: Some(person),
        token: &asked.token,
        narrow: true,
    };
    let keys: Vec<&str> = all.rows.iter().map(|it| it.short.as_str()).collect();
    let body = html! {
        h1 { "Alerts: " (counted(all.rows.len(), "new one", "new ones")) }
        @if is_late {
            div.refused role="alert" {
                p { "That one ended or got worse since. Nothing was marked; this is what stands." }
            }
        }
        @if all.rows.is_empty() { p { "Nothing new." } }
        @for it in &all.rows { (card(it, &links, (&frame, person))) }
        @if keys.len() > 1 && !person.is_inspector() {
            (button(&frame, &keys.join(" "), "All of these are seen"))
        }
        @if all.told_before > 0 {
            p { (all.told_before) " more stand: told before, or kept for the digest of the week." }
        }
        @if person.reads_all() {
            p.then { a.btn href="/alerts/all" { "Everything that stands" } }
        }
        p.small {
            "Seen means that it comes to you no more, unless it gets worse or comes back. A STOP \
             that was seen still stands: it ends with what it asks for."
        }
        p.small { (all.hears) "." }
        p.small {
            "An alert is no clearance, and none is no proof that all is well: the license, local \
             law and the RSO decide."
        }
        p.small { (all.confirm) }
    };
    Ok(Reply::Page(
        if is_late { 422 } else { 200 },
        frame.page(&body),
    ))
}

fn card(
    it: &Alert,
    links: &HashMap<String, String>,
    (frame, person): (&Frame<'_>, &Person),
) -> Markup {
    let class = match it.kind {
        AlertType::Stop => "stop",
        _ if it.repeats => "act",
        _ => "card",
    };
    html! {
        div class=(class) {
            p {
                span.word { (it.kind.word()) } " "
                @match links.get(&it.about) {
                    Some(to) => { a href=(to) { (it.about) } },
                    None => { (it.about) },
                }
                ": " (without_commands(&it.what))
            }
            @if !person.is_inspector() { (button(frame, &it.short, "Seen")) }
        }
    }
}

fn button(frame: &Frame<'_>, keys: &str, words: &str) -> Markup {
    html! {
        form method="post" action="/alerts/seen" {
            (frame.secret())
            input type="hidden" name="keys" value=(keys);
            button { (words) }
        }
    }
}
