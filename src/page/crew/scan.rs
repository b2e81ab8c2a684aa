//! A label or a printed form that was photographed: its code is read here and leads to what it is
//! about, or back to the form for which it was scanned.

use maud::{Markup, html};

use super::photo::choice;
use super::scan_into::{self, Label};
use crate::answer::FORM_MARK;
use crate::intake::{EvidenceFile, Fault, IntakeError, Refused};
use crate::page::shell::asked::{Asked, Reply};
use crate::page::shell::desk::{Desk, Person};
use crate::page::shell::field::Wrong;
use crate::page::shell::frame::Frame;
use crate::page::shell::pages::encoded;

const TITLE: &str = "Scan a label or a form";

/// The page that takes the photo, which is read and not kept; or the form for which it was taken.
pub fn page(desk: &Desk, asked: &Asked, person: &Person) -> Result<Reply, IntakeError> {
    if !asked.post {
        return Ok(form(asked, person, 200, &Wrong::default()));
    }
    let to = asked.form.get("scan");
    if !to.is_empty() {
        return scan_into::page(desk, asked, person, to);
    }
    let found = match asked.files.first() {
        None => Err(fault("", "is missing", "a photo of the label or the form")),
        Some(sent) => EvidenceFile::of(&sent.name, &sent.bytes, false).and_then(|it| {
            let mut codes = it.codes().into_iter().filter_map(|it| leads(&it));
            codes.next().ok_or_else(|| {
                let what = "shows no label and no form of this program that can be read";
                let right = "the code flat, whole and in focus, in good light; or type the id";
                fault(&sent.name, what, right)
            })
        }),
    };
    match found {
        Ok(to) => Ok(Reply::See(to)),
        Err(IntakeError::Refused(refused)) => {
            let wrong = Wrong::of(&refused, |fault| fault.field.clone());
            Ok(form(asked, person, 422, &wrong))
        }
        Err(other) => Err(other),
    }
}

fn fault(value: &str, what: &str, right: &str) -> IntakeError {
    IntakeError::Refused(Box::new(Refused {
        file: None,
        spreadsheet: false,
        faults: vec![Fault::new(None, "file", value, what, right)],
        more: 0,
        stops: Vec::new(),
    }))
}

/// The address on this server that a code leads to; nothing where the code is not this program's.
fn leads(code: &str) -> Option<String> {
    if let Some(form) = code.strip_prefix(FORM_MARK) {
        return Some(format!("/paper?code={}", encoded(form)));
    }
    let label = Label::of(code)?;
    let sort = if label.is_badge { "badge" } else { "item" };
    let (id, ledger) = (encoded(&label.id), encoded(&label.ledger));
    Some(format!("/{sort}/{id}?of={ledger}"))
}

fn form(asked: &Asked, person: &Person, status: u16, wrong: &Wrong) -> Reply {
    let frame = Frame {
        title: TITLE,
        person: Some(person),
        token: &asked.token,
        narrow: true,
    };
    let body: Markup = html! {
        h1 { (TITLE) }
        (wrong.summary())
        form method="post" action="/scan" enctype="multipart/form-data" autocomplete="off" {
            (frame.secret())
            (wrong.beside("file"))
            (choice("camera", "Take a photo of the code", "image/jpeg,image/png", true))
            (choice("file", "Or choose a photo", "image/jpeg,image/png", false))
            button.first.big { "Read the code" }
        }
        p.small { "The photo is read and not kept." }
        p { a href="/check" { "Or type the id of the item" } }
        p { a href="/paper" { "Or type the code of a form" } }
    };
    Reply::Page(status, frame.page(&body))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_leads_to_an_address_of_this_server_and_to_no_other() {
        for (code, to) in [
            ("wearbook:0123:item:CU-2", Some("/item/CU%2D2?of=0123")),
            ("wearbook:0123:badge:04 17", Some("/badge/04%2017?of=0123")),
            (
                "https://x.example/item/CU-2?of=0123",
                Some("/item/CU%2D2?of=0123"),
            ),
            (
                "https://x.example/a/badge/B%201?of=01",
                Some("/badge/B%201?of=01"),
            ),
            ("WEARBOOK:FORM:1N7YD", Some("/paper?code=1N7YD")),
            ("https://x.example/do/entry/void?of=1", None),
            ("wearbook:0123:do:x", None),
            ("wearbook:0123", None),
            ("https://x.example", None),
            ("", None),
        ] {
            assert_eq!(leads(code).as_deref(), to, "{code}");
        }
    }
}
