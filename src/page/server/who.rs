//! Who sits there: a name that is chosen, and proved by nobody.

use maud::html;

use crate::intake::IntakeError;
use crate::page::shell::asked::{Asked, Reply};
use crate::page::shell::desk::{Desk, people_on};
use crate::page::shell::frame::Frame;

/// Asks who it is, or takes the answer.
pub fn page(desk: &Desk, asked: &Asked) -> Result<Reply, IntakeError> {
    let now = desk.commands.now();
    let (people, licensee) = desk.read(|house| {
        let people = people_on(house, house.today(now));
        Ok((people, house.names.charter.licensee.clone()))
    })?;
    let chosen = asked.form.get("worker");
    if asked.post
        && let Some(person) = people.iter().find(|it| it.id == chosen)
    {
        return Ok(Reply::SignIn(person.id.clone()));
    }
    let frame = Frame {
        title: "Who are you?",
        person: None,
        token: &asked.token,
        narrow: true,
    };
    Ok(frame.reply(&html! {
        h1 { "Who are you?" }
        p translate="no" { (licensee) }
        p.small {
            "Choose your own name: what you hand in is recorded under it. It is not verified; the \
             page can be reached from this computer only."
        }
        form method="post" action="/who" {
            (frame.secret())
            @for person in &people {
                button.big.second name="worker" value=(person.id) {
                    span translate="no" { (person.name) }
                    small { (person.id) ", " (person.role_word()) }
                }
            }
        }
        @if people.is_empty() {
            p { "No one is monitored today, and no one has a role on record." }
        }
    }))
}
