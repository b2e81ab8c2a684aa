//! The photo of a printed form, kept with what was typed in from it.

use std::path::PathBuf;

use crate::answer::{AnswerError, OpenHouse};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::session::Session;
use crate::intake::{EvidenceFile, IntakeError, Taken, add_evidence};
use crate::ledger::Writer;

/// What was printed on the form of a code, with the photo of it, looked at before anything is
/// written; nothing where no code was given.
pub(crate) fn form_of<T>(
    session: &mut Session<'_>,
    (code, photo): (Option<&str>, Option<&PathBuf>),
    read: impl FnOnce(&OpenHouse<'_>, &str) -> Result<T, AnswerError>,
) -> Result<Option<(T, Option<EvidenceFile>)>, Failure> {
    match (code, photo) {
        (None, None) => Ok(None),
        (None, Some(_)) => Err(Failure::flag(
            "photo",
            "a photo of a form goes with its code",
            "--paper CODE as well; of another paper: wearbook evidence add FILE --about ENTRY",
        )),
        (Some(code), photo) => {
            let printed = session.ask(None, |house| read(house, code))?;
            let kept = photo.map(|it| EvidenceFile::read(it, false)).transpose()?;
            Ok(Some((printed, kept)))
        }
    }
}

/// Keeps the photo with each entry that is new, in the same write.
pub(crate) fn keep_photo(
    writer: &mut Writer<'_>,
    taken: &mut Taken,
    photo: Option<&EvidenceFile>,
) -> Result<(), IntakeError> {
    let Some(photo) = photo else {
        return Ok(());
    };
    for entry in taken.new_entries() {
        let about = entry.to_string();
        taken.add(add_evidence(writer, photo, (&about, "the paper form"))?);
    }
    Ok(())
}
