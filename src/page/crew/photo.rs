//! A photo straight from the camera, or a paper, for something that is on record.

use maud::{Markup, html};

use crate::answer::documented;
use crate::intake::{EvidenceFile, Fault, IntakeError, Refused, add_evidence};
use crate::ledger::Mode;
use crate::page::shell::asked::{Asked, Reply};
use crate::page::shell::desk::{Desk, Person};
use crate::page::shell::field::{Field, Wrong, line};
use crate::page::shell::frame::{Frame, all, not_for, nothing_here};
use crate::page::shell::pages::encoded;
use crate::record::Kind;
use crate::show::taken_report;

/// What a crew hands photos in with: what it wrote itself.
const OF_A_CREW: &[Kind] = &[Kind::Inspection, Kind::Event, Kind::Sheet, Kind::ShiftStart];

/// The page that takes a photo in.
pub fn page(desk: &Desk, asked: &Asked, person: &Person) -> Result<Reply, IntakeError> {
    let about = match asked.post {
        true => asked.form.get("about"),
        false => asked.query.get("about"),
    };
    if about.is_empty() {
        return Ok(nothing_here(asked, person));
    }
    let kind = desk.read(|house| {
        let record = documented(house, about)?;
        let stored = house.snapshot.entry(record)?;
        Ok(Kind::from_stored(&stored.kind))
    })?;
    if !person.is_office() && !kind.is_some_and(|it| OF_A_CREW.contains(&it)) {
        return Ok(not_for(asked, person));
    }
    if !asked.post {
        return Ok(form(asked, person, (200, about), &Wrong::default()));
    }
    match take(desk, asked, person, about) {
        Ok(report) => Ok(report),
        Err(IntakeError::Refused(refused)) => {
            let wrong = Wrong::of(&refused, |fault| fault.field.clone());
            Ok(form(asked, person, (422, about), &wrong))
        }
        Err(other) => Err(other),
    }
}

/// Keeps what was sent. The picture is made before the ledger is opened: nobody waits for it.
fn take(desk: &Desk, asked: &Asked, person: &Person, about: &str) -> Result<Reply, IntakeError> {
    let Some(sent) = asked.files.first() else {
        let fault = Fault::new(
            None,
            "file",
            "",
            "is missing",
            "take a photo, or choose one",
        );
        return Err(IntakeError::Refused(Box::new(Refused {
            file: None,
            spreadsheet: false,
            faults: vec![fault],
            more: 0,
            stops: Vec::new(),
        })));
    };
    let file = EvidenceFile::of(&sent.name, &sent.bytes, false)?;
    let words = asked.form.get("words");
    let taken = desk.write(&desk.author(person), Mode::Commit, |writer, _| {
        add_evidence(writer, &file, (about, words))
    })?;
    let frame = frame(asked, person);
    Ok(frame.reply(&html! {
        h1 { "On record" }
        div.go { p translate="no" { (words) } }
        div lang="en" { (all(&[taken_report(&taken, false)])) }
        p {
            a.btn href={ "/photo?about=" (encoded(about)) } { "One more" } " "
            @if person.is_office() && about.parse::<i64>().is_ok() {
                a.btn href={ "/entries/" (about) } { "Entry " (about) } " "
            }
            a.btn href="/" { "Today" }
        }
    }))
}

fn frame<'a>(asked: &'a Asked, person: &'a Person) -> Frame<'a> {
    Frame {
        title: "Photo or paper",
        person: Some(person),
        token: &asked.token,
        narrow: true,
    }
}

fn form(asked: &Asked, person: &Person, (status, about): (u16, &str), wrong: &Wrong) -> Reply {
    let frame = frame(asked, person);
    let words = Field::typed(&asked.form, "words", "What it shows", "in a few words");
    let body = html! {
        h1 { "A photo for " span translate="no" { (about) } }
        (wrong.summary())
        form method="post" action="/photo" enctype="multipart/form-data" autocomplete="off" {
            (frame.secret())
            input type="hidden" name="about" value=(about);
            (wrong.beside("about"))
            (line(words, wrong))
            (wrong.beside("file"))
            (choice("camera", "Take a photo", "image/jpeg,image/png", true))
            (choice("file", "Or choose a photo or a PDF",
                "image/jpeg,image/png,application/pdf", false))
            button.first.big { "Put it on record" }
        }
        p.small {
            "A photo is scaled down; where it was taken is not kept. At most 10 MB. Look at what "
            "else is in it: it stays as long as what it goes with."
        }
    };
    Reply::Page(status, frame.page(&body))
}

/// A file, from the camera or from what is there.
pub fn choice(name: &str, label: &str, accept: &str, camera: bool) -> Markup {
    let capture = camera.then_some("environment");
    html! {
        p {
            label { (label)
                input type="file" name=(name) accept=(accept) capture=[capture];
            }
        }
    }
}
