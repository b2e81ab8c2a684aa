//! What a device shows of the page where there is no connection, and what a form that waited there
//! needs when there is one again.

use maud::{Markup, html};

use crate::page::shell::asked::{Asked, Reply};
use crate::page::shell::desk::Person;
use crate::page::shell::frame::Frame;

/// The crew's form pages, which are kept on a device that trusts the connection. None of them has a
/// dose on it.
const KEPT: &[&str] = &["/away", "/start", "/check", "/sheet", "/wrong"];

/// Where a page says whether it opens without a connection. The script writes it, and keeps the
/// form pages from Today and anew after each that is on record: the next one is another.
pub fn kept_pages(keeps: bool) -> Markup {
    let pages = match keeps {
        true => KEPT.join(" "),
        false => String::new(),
    };
    html! { p.small data-keep=(pages) {} }
}

/// What has to be known before a form is sent that nobody checked: shown by the script while there
/// is no connection.
pub fn unchecked(call: &[String]) -> Markup {
    html! {
        div.act.alone role="status" hidden {
            p {
                span.word { "CAUTION" }
                " Without a connection nobody checks what is typed here. Do not wait for the \
                 page: where a dosimeter is off scale, an alarm did not sound or something is not \
                 safe to use, stop that work now and call "
                @for who in call { b translate="no" { (who) } "." }
                @if call.is_empty() { "the RSO." }
            }
        }
    }
}

/// The first page of a device without a connection.
pub fn page(asked: &Asked, person: &Person) -> Reply {
    let frame = Frame {
        title: "No connection",
        person: Some(person),
        token: &asked.token,
        narrow: true,
    };
    frame.reply(&html! {
        div data-away="yes" {
            h1 { "No connection to the server" }
            p {
                "What you type here is kept on this device and sent by itself when there is a \
                 connection. Who may work, and every dose, only the server knows."
            }
            a.big.alarm href="/wrong" { "Something went wrong"
                small { "source, dose, equipment, loss" } }
            a.big.second href="/start" { "Start of shift"
                small { "badge, dosimeter, alarm, meter" } }
            a.big.second href="/check" { "Morning check" }
            a.big href="/sheet" { "End of shift" small { "readings, surveys, who worked" } }
        }
    })
}

/// What the forms of this browser carry, and who is signed in.
pub fn token(asked: &Asked, person: &Person) -> Reply {
    let said = serde_json::json!({ "person": person.id, "token": asked.token });
    Reply::File("application/json", said.to_string())
}
