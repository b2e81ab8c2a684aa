//! Which page an address is, and what it is for; who may see it, `rights` says.

use maud::html;

use super::pin::is_enough;
use super::{own_pin, who};
use crate::answer::language_of;
use crate::intake::IntakeError;
use crate::ledger::{Ledger, Refused};
use crate::page::crew::sheet_typed::Part;
use crate::page::crew::{away, check, item, paper, photo, scan, sheet, today, wrong};
use crate::page::office::{act, alerts, by_command, download, evidence, more};
use crate::page::shell::asked::{Asked, Reply};
use crate::page::shell::desk::{Desk, Person, person_on};
use crate::page::shell::frame::{Frame, not_for, nothing_here};
use crate::page::shell::plain::plain;
use crate::page::shell::rights::{Deed, may};
use crate::text::Language;

/// Answers a request.
pub fn route(desk: &Desk, asked: &mut Asked) -> Reply {
    let mut has_terminal = false;
    let answered = person_of(desk, asked).and_then(|person| match person {
        Some((person, own)) => {
            has_terminal = person.reads_all();
            // Whoever sits there may have chosen another than the record has.
            asked.language = asked.chosen.or(own).unwrap_or_default();
            of_person(desk, asked, &person)
        }
        None if desk.signs_in => Ok(Reply::SignOut),
        None => who::page(desk, asked),
    });
    answered.unwrap_or_else(|error| {
        let frame = Frame {
            title: "Not done",
            person: None,
            token: &asked.token,
            narrow: true,
        };
        let back = html! { p { a href="/" { "Today" } } };
        let mut said = desk.commands.say(error);
        if !has_terminal {
            said = said.iter().map(plain).collect();
        }
        frame.reports(422, &said, &back)
    })
}

/// Who is signed in, and the language of the record; by the records of today: whoever has left has
/// no session any more, and neither has whoever's PIN was changed or is too short for a new role.
fn person_of(
    desk: &Desk,
    asked: &Asked,
) -> Result<Option<(Person, Option<Language>)>, IntakeError> {
    let Some(signed) = &asked.person else {
        return Ok(None);
    };
    let now = desk.commands.now();
    desk.read(|house| {
        let Some(person) = person_on(house, &signed.id, house.today(now)) else {
            return Ok(None);
        };
        let language = language_of(&house.names, &person.id);
        if !desk.signs_in {
            return Ok(Some((person, language)));
        }
        let record = house.names.worker(&person.id)?.number();
        let kept = house.snapshot.sign_in(record)?;
        let stands = kept.is_some_and(|it| {
            is_enough(person.role, it.kind) && signed.by.as_deref() == Some(&*it.hash)
        });
        let person = Person {
            signed_in: true,
            ..person
        };
        Ok(stands.then_some((person, language)))
    })
}

/// What an address is for, and the person whom it names.
fn deed<'a>(path: &[&'a str]) -> Option<(Deed, Option<&'a str>)> {
    match path {
        [] | ["alerts"] | ["alerts", "count"] => Some((Deed::SeeDay, None)),
        ["who" | "sign-out" | "me" | "token" | "pin"] => Some((Deed::Move, None)),
        ["start" | "sheet" | "check" | "wrong" | "paper" | "photo" | "scan" | "away"]
        | ["alerts", "seen"] => Some((Deed::HandIn, None)),
        ["evidence", _, "file"] => Some((Deed::ReadAll, None)),
        ["item" | "badge", _] => Some((Deed::SeeDay, None)),
        ["do", ..] => Some((Deed::Decide, None)),
        ["files", key, ..] => download::deed(key).map(|it| (it, None)),
        path => by_command::deed(path),
    }
}

fn of_person(desk: &Desk, asked: &Asked, person: &Person) -> Result<Reply, IntakeError> {
    let path: Vec<&str> = asked.path.iter().map(String::as_str).collect();
    let Some((deed, about)) = deed(&path) else {
        return Ok(nothing_here(asked, person));
    };
    if !may(person, deed, about) {
        if person.signed_in {
            // Whether or not it can be noted, it is refused.
            let _ = note(desk, person, asked);
        }
        return Ok(not_for(asked, person));
    }
    match (path.as_slice(), asked.post) {
        ([], false) if person.is_inspector() => Ok(Reply::See("/board".to_owned())),
        ([], false) => today::page(desk, asked, person),
        (["alerts"], false) => alerts::page(desk, asked, person),
        (["alerts", "count"], false) => alerts::count(desk, person),
        (["alerts", "seen"], true) => alerts::seen(desk, asked, person),
        (["who"], true) if !desk.signs_in => who::page(desk, asked),
        (["sign-out"], true) => Ok(Reply::SignOut),
        (["token"], false) => Ok(away::token(asked, person)),
        (["pin"], false) if desk.signs_in => Ok(Reply::Page(200, own_pin::form(asked, person))),
        (["away"], false) => Ok(away::page(asked, person)),
        (["me"], false) => Ok(Reply::See(format!("/people/{}", person.id))),
        (["start"], _) => sheet::page(desk, asked, person, Part::Start),
        (["sheet"], _) => sheet::page(desk, asked, person, Part::End),
        (["check"], _) => check::page(desk, asked, person),
        (["wrong"], _) => wrong::page(desk, asked, person),
        (["paper"], false) => paper::page(desk, asked, person),
        (["scan"], _) => scan::page(desk, asked, person),
        (["photo"], _) => photo::page(desk, asked, person),
        ([sort @ ("item" | "badge"), id], false) => {
            item::page(desk, asked, person, (*sort == "badge", id))
        }
        (["evidence", entry, "file"], false) => evidence::file(desk, asked, person, entry),
        (["files", files @ ..], true) => Ok(download::page(desk, asked, person, files)),
        (["do", words @ ..], _) => act::page(desk, asked, person, words),
        (["more"], false) => Ok(more::page(desk, asked, person)),
        (path, false) => by_command::page(desk, asked, person, path),
        _ => Ok(nothing_here(asked, person)),
    }
}

/// Notes that somebody asked for what the role does not allow.
fn note(desk: &Desk, person: &Person, asked: &Asked) -> Result<(), IntakeError> {
    let now = desk.commands.now();
    let (day, record) = desk.read(|house| {
        let record = house.names.worker(&person.id)?.number();
        Ok((house.today(now), record))
    })?;
    let method = if asked.post { "POST" } else { "GET" };
    let path: String = asked.path.join("/").chars().take(80).collect();
    let about = format!("{method} /{}", path.escape_debug());
    let ledger = Ledger::open(&desk.ledger)?;
    Ok(ledger.note_refused((day, Some(record)), Refused::NoRight, &about, now)?)
}
