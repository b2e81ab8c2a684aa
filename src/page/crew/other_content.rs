//! What was sent has the number of an entry that says something else: both stand side by side, with
//! the ways out. The entry stays as it is until somebody decides.

use maud::{Markup, html};

use crate::answer::Difference;
use crate::intake::{Fault, OnRecord};
use crate::page::shell::desk::Person;
use crate::page::shell::pages::encoded;

/// The id of the form that was sent: what stands above it may have buttons of its own.
pub const FORM: &str = "typed";

/// Both, for whoever sent it; nothing where no entry stands against it.
pub fn other_content(differ: &[Fault], person: &Person) -> Markup {
    let found = differ.iter().filter_map(|it| it.on_record.as_ref());
    html! {
        @for there in found {
            div.summary role="alert" {
                h2 {
                    "Not sent yet: entry " (there.entry) " has this number already and says \
                     something else"
                }
                (side_by_side(there, person))
                p { "The entry stays as it is. " (who_corrects(there, person)) }
                p {
                    "Is this another sheet, of a second job or another crew? "
                    button form=(FORM) name="do" value="another" { "Give it its own number" }
                }
            }
        }
    }
}

fn side_by_side(there: &OnRecord, person: &Person) -> Markup {
    html! {
        div.wide.rows tabindex="0" {
            table {
                thead { tr {
                    th scope="col" { "field" } th scope="col" { "on record" }
                    th scope="col" { "typed here" }
                    @if person.is_office() { th scope="col" { "correction" } }
                } }
                tbody {
                    @for it in &there.differences {
                        tr {
                            th scope="row" { (it.field) }
                            td data-label="on record" { (words(it.old.as_deref())) }
                            td data-label="typed here" { (words(it.new.as_deref())) }
                            @if person.is_office() { td { (correction(there.entry, it)) } }
                        }
                    }
                }
            }
        }
    }
}

/// A field; what a second sheet leaves blank says nothing against the first.
fn words(value: Option<&str>) -> &str {
    value.unwrap_or("blank")
}

fn correction(entry: i64, it: &Difference) -> Markup {
    let Some(new) = &it.new else {
        return html! {};
    };
    let change = encoded(&format!("{}={new}", it.field));
    html! {
        a href={ "/do/entry/correct/" (entry) "/" (change) } { "Correct the entry" }
    }
}

fn who_corrects(there: &OnRecord, person: &Person) -> String {
    match person.is_office() {
        true => "Where it is wrong, correct it, with the reason.".to_owned(),
        false => format!(
            "Where it is wrong, tell the RSO: entry {}, and what is right.",
            there.entry
        ),
    }
}
