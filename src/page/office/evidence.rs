//! Photos and papers at the page: a picture is shown as this program encoded it, and everything
//! else is saved and never shown.

use maud::{Markup, html};

use crate::answer::{EvidenceLine, evidence, evidence_at};
use crate::intake::{IntakeError, shown_anew};
use crate::page::shell::asked::{Asked, Reply};
use crate::page::shell::desk::{Desk, Person};
use crate::page::shell::frame::nothing_here;
use crate::page::shell::kept::Kept;

const JPEG: &str = "image/jpeg";

/// The file of one: inline where it is a picture, which was decoded and encoded anew.
pub fn file(
    desk: &Desk,
    asked: &Asked,
    person: &Person,
    entry: &str,
) -> Result<Reply, IntakeError> {
    let Ok(entry) = entry.parse() else {
        return Ok(nothing_here(asked, person));
    };
    let now = desk.commands.now();
    let (it, bytes) = desk.read(|house| {
        let it = evidence_at(house, entry, house.today(now))?.line;
        let bytes = house.snapshot.evidence_content(&it.digest)?;
        Ok((it, bytes))
    })?;
    let Some(bytes) = bytes else {
        return Ok(nothing_here(asked, person));
    };
    let name = |suffix: &str| format!("evidence-{entry}.{suffix}");
    Ok(match (it.kind, it.original) {
        ("PDF", _) => Reply::Kept(Kept {
            kind: "application/pdf",
            name: name("pdf"),
            inline: false,
            bytes,
        }),
        // What was kept as it was sent is not shown as it was sent.
        (_, true) => match shown_anew(&bytes) {
            Some(bytes) => picture(name("jpg"), bytes),
            None => nothing_here(asked, person),
        },
        (_, false) => picture(name("jpg"), bytes),
    })
}

fn picture(name: String, bytes: Vec<u8>) -> Reply {
    Reply::Kept(Kept {
        kind: JPEG,
        name,
        inline: true,
        bytes,
    })
}

/// The pictures that belong to a page of the office: that of one, and those of an event.
pub fn pictures(desk: &Desk, page: &[&str], name: Option<&str>) -> Result<Markup, IntakeError> {
    let now = desk.commands.now();
    let lines: Vec<EvidenceLine> = match (page, name) {
        (["evidence", "*"], Some(entry)) => {
            let Ok(entry) = entry.parse() else {
                return Ok(html! {});
            };
            let one = desk.read(|house| evidence_at(house, entry, house.today(now)))?;
            vec![one.line]
        }
        (["events", "*"] | ["events", "*", "trace"], Some(event)) => {
            desk.read(|house| evidence(house, Some(event)))?.lines
        }
        _ => return Ok(html! {}),
    };
    let shown = lines.iter().filter(|it| it.is_kept() && it.kind != "PDF");
    Ok(html! {
        @for it in shown {
            figure.photo {
                a href={ "/evidence/" (it.entry) } {
                    img src={ "/evidence/" (it.entry) "/file" } alt=(it.words) loading="lazy"
                        width=[it.width] height=[it.height];
                }
                figcaption { (it.words) " (" (it.about) ")" }
            }
        }
    })
}
