//! What was written on a printed form is typed in: the code of the form leads to the sheet or to
//! the check, with what was printed on it.

use maud::{Markup, html};

use crate::answer::{AnswerError, PrintedForm, read_form};
use crate::intake::IntakeError;
use crate::page::office::download;
use crate::page::shell::asked::{Asked, Reply};
use crate::page::shell::desk::{Desk, Person};
use crate::page::shell::field::{Field, Wrong, line};
use crate::page::shell::frame::Frame;
use crate::page::shell::pages::encoded;
use crate::record::Occasion;

/// Where a form is typed in.
enum Leads {
    Sheet(String),
    Check(String),
    /// An inspection for which the crew's page has no questions.
    Office,
    /// What is wrong with the code.
    Wrong(String),
}

/// Asks for a code, or follows it.
pub fn page(desk: &Desk, asked: &Asked, person: &Person) -> Result<Reply, IntakeError> {
    let typed = asked.query.get("code");
    if typed.is_empty() {
        return Ok(form(asked, person, 200, &html! {}));
    }
    let leads = desk.read(|house| match read_form(house, typed) {
        Ok(read) => Ok(match read.form {
            PrintedForm::Sheet(_) => Leads::Sheet(read.code),
            PrintedForm::Inspection(it) if it.when == Occasion::Daily => Leads::Check(read.code),
            PrintedForm::Inspection(_) => Leads::Office,
        }),
        Err(AnswerError::Form(fault)) => Ok(Leads::Wrong(fault.to_string())),
        Err(other) => Err(other),
    })?;
    let wrong = |words: &Markup| form(asked, person, 422, words);
    Ok(match leads {
        Leads::Sheet(code) => Reply::See(format!("/sheet?paper={}", encoded(&code))),
        Leads::Check(code) => Reply::See(format!("/check?paper={}", encoded(&code))),
        Leads::Office => wrong(&html! {
            p { "This is the form of an inspection that the office types in." }
        }),
        Leads::Wrong(words) => wrong(&html! { p lang="en" { (words) } }),
    })
}

fn form(asked: &Asked, person: &Person, status: u16, above: &Markup) -> Reply {
    let frame = Frame {
        title: TITLE,
        person: Some(person),
        token: &asked.token,
        narrow: true,
    };
    let code = Field::typed(
        &asked.query,
        "code",
        "Code on the form",
        "the letters beside the square, with or without blanks",
    );
    let body = html! {
        h1 { (TITLE) }
        @if status != 200 { div.refused role="alert" { (above) } }
        form method="get" action="/paper" autocomplete="off" {
            (line(code, &Wrong::default()))
            button.first.big { "Open it" }
        }
        p.small {
            "What was printed is filled in; compare it with the paper. What you type is kept as a \
             copy of it. Keep the paper: the RSO says for how long."
        }
        h2 { "A form to write on" }
        p { "With crew, set and dosimeters as on the last sheet." }
        (download::offered(&["paper"], None, asked, person))
    };
    Reply::Page(status, frame.page(&body))
}

const TITLE: &str = "Type in a paper form";
