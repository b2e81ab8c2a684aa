//! In which language somebody reads.

use crate::answer::context::names::Names;
use crate::text::Language;

/// The language of a person's record, by id or full name; nothing of anybody else, and of a record
/// that says none.
pub fn language_of(names: &Names, who: &str) -> Option<Language> {
    let worker = names.find_worker(who)?;
    names.worker_body(worker.number())?.language
}
