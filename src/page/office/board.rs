//! The board as a crew sees it: who may go out, and why only of oneself.

use maud::html;

use crate::answer::board_seen_by;
use crate::intake::IntakeError;
use crate::page::shell::asked::{Asked, Reply};
use crate::page::shell::desk::{Desk, Person};
use crate::page::shell::frame::{Frame, crew};
use crate::show::board_report;

/// Shows it.
pub fn page(desk: &Desk, asked: &Asked, person: &Person) -> Result<Reply, IntakeError> {
    let now = desk.commands.now();
    let answer = desk.read(|house| board_seen_by(house, &person.id, (house.today(now), now)))?;
    let frame = Frame {
        title: "Board",
        person: Some(person),
        token: &asked.token,
        narrow: false,
    };
    Ok(frame.reply(&html! {
        (crew(&[board_report(&answer)]))
        p.small { "Why others stay in, they and the RSO see." }
    }))
}
