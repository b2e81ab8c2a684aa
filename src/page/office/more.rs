//! Pages of the office that are asked for seldom, and a second browser on this machine.

use maud::html;

use crate::page::shell::asked::{Asked, Reply};
use crate::page::shell::desk::{Desk, Person};
use crate::page::shell::frame::Frame;
use crate::page::shell::pages::PAGES;

/// Pages that are asked for seldom.
pub fn page(desk: &Desk, asked: &Asked, person: &Person) -> Reply {
    let frame = Frame {
        title: "More",
        person: Some(person),
        token: &asked.token,
        narrow: true,
    };
    frame.reply(&html! {
        h1 { "More" }
        ul.links {
            @for page in PAGES.iter().filter(|it| !it.at.contains(&"*")) {
                li { a href=(page.address("")) { (page.title) } }
            }
        }
        p { "An entry of the ledger stands under " code { "/entries/118" } "." }
        @if !desk.signs_in {
            form method="post" action="/another" {
                (frame.secret())
                button { "Another browser on this machine" }
            }
        }
    })
}
