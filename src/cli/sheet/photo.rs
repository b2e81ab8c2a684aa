//! The photo of a printed form, kept with what was typed in from it.

use std::path::{Path, PathBuf};

use crate::cli::frame::failure::Failure;
use crate::intake::{EvidenceFile, IntakeError, Taken, add_evidence};
use crate::ledger::Writer;

/// That a photo was given and not the code of its form.
pub(crate) fn no_code() -> Failure {
    Failure::flag(
        "photo",
        "a photo of a form goes with its code",
        "--paper CODE as well; of another paper: wearbook evidence add FILE --about ENTRY",
    )
}

/// A photo, looked at before anything is written.
pub(crate) fn photo_of(photo: Option<&PathBuf>) -> Result<Option<EvidenceFile>, Failure> {
    let read = |it: &PathBuf| EvidenceFile::read(Path::new(it), false);
    Ok(photo.map(read).transpose()?)
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
