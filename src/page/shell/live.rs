//! What the server says of a form while it is typed: the faults of what is there so far and
//! whatever must stop somebody, in the words that sending it would bring. Nothing is written.

use maud::{Markup, html};

use super::asked::Reply;
use super::field::Wrong;
use super::frame::crew;
use crate::show::Report;

/// A piece of a page, from which the script takes what belongs to the fields that were touched.
pub fn reply(wrong: &Wrong, first: &Markup, report: Report) -> Reply {
    let stops = Report {
        stops: report.stops,
        ..Report::default()
    };
    Reply::Page(
        200,
        html! {
            @for (name, words) in wrong.told() { p data-for=(name) { (words) } }
            div data-stops="yes" { (first) (crew(&[stops])) }
        },
    )
}
