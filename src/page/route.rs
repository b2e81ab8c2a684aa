//! Which page an address is, and who may see it.

use maud::html;

use super::asked::{Asked, Reply};
use super::desk::{Desk, Person, person_on};
use super::frame::{Frame, nothing_here};
use super::sheet_typed::Part;
use super::{act, check, office, sheet, today, who, wrong};
use crate::intake::IntakeError;

/// Answers a request.
pub(super) fn route(desk: &Desk, asked: &Asked) -> Reply {
    let answered = person_of(desk, asked).and_then(|person| match person {
        Some(person) => of_person(desk, asked, &person),
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
        frame.reports(422, &desk.commands.say(error), &back)
    })
}

/// Who is signed in, by the records of today: whoever has left has no session any more.
fn person_of(desk: &Desk, asked: &Asked) -> Result<Option<Person>, IntakeError> {
    let Some(id) = &asked.person else {
        return Ok(None);
    };
    let now = desk.commands.now();
    desk.read(|house| Ok(person_on(house, id, house.today(now))))
}

fn of_person(desk: &Desk, asked: &Asked, person: &Person) -> Result<Reply, IntakeError> {
    let path: Vec<&str> = asked.path.iter().map(String::as_str).collect();
    match (path.as_slice(), asked.post) {
        ([], false) => today::page(desk, asked, person),
        (["who"], true) => who::page(desk, asked),
        (["sign-out"], true) => Ok(Reply::SignOut),
        (["me"], false) => Ok(Reply::See(format!("/people/{}", person.id))),
        (["start"], _) => sheet::page(desk, asked, person, Part::Start),
        (["sheet"], _) => sheet::page(desk, asked, person, Part::End),
        (["check"], _) => check::page(desk, asked, person),
        (["wrong"], _) => wrong::page(desk, asked, person),
        (["do", words @ ..], _) => act::page(desk, asked, person, words),
        (path, false) => office::page(desk, asked, person, path),
        _ => Ok(nothing_here(asked, person)),
    }
}
