//! An inspection that is typed in from its printed form.

use std::path::PathBuf;

use super::inspect_taken::put;
use crate::answer::inspection_form_of;
use crate::calendar::Day;
use crate::cli::frame::failure::Failure;
use crate::cli::frame::session::Session;
use crate::cli::sheet::photo::form_of;
use crate::intake::{EvidenceFile, INSPECTION_COLUMNS};
use crate::record::{Occasion, Words};

/// The form of an inspection in somebody's hands.
pub(crate) struct FormInHand {
    pub code: String,
    pub on: Day,
    pub when: Occasion,
    /// Its items that nobody has typed in yet.
    pub items: Vec<String>,
    pub photo: Option<EvidenceFile>,
}

/// Reads the code of a form, and the photo of it.
pub(crate) fn in_hand(
    session: &mut Session<'_>,
    code: Option<&str>,
    photo: Option<&PathBuf>,
) -> Result<Option<FormInHand>, Failure> {
    let form = form_of(session, (code, photo), |house, code| {
        let (code, it) = inspection_form_of(house, code)?;
        let ids = it.items.iter().map(|it| house.names.label(*it));
        Ok((code, it.on, it.when, ids.collect()))
    })?;
    Ok(form.map(|((code, on, when, items), photo)| FormInHand {
        code,
        on,
        when,
        items,
        photo,
    }))
}

impl FormInHand {
    /// Puts what was printed where nothing was typed. Which item is meant is said where the form
    /// has several.
    pub fn fill(&self, base: &mut [String]) -> Result<(), Failure> {
        let get = |column: &str, base: &[String]| {
            let place = INSPECTION_COLUMNS.iter().position(|it| *it == column);
            let cell = place.and_then(|it| base.get(it));
            cell.cloned().unwrap_or_default()
        };
        let named = get("item", base);
        let is_open = |it: &&String| it.eq_ignore_ascii_case(&named);
        let item = match (named.as_str(), self.items.as_slice()) {
            ("", [only]) => only,
            ("", all) => {
                let what = "this form has several items, and none is named";
                return Err(Failure::flag(
                    "item",
                    what,
                    &format!("one of: {}", all.join(", ")),
                ));
            }
            (_, all) => all.iter().find(is_open).ok_or_else(|| {
                let what = format!("`{named}` is not on this form, or was typed in already");
                Failure::flag("item", what, &format!("one of: {}", all.join(", ")))
            })?,
        };
        for (column, value) in [
            ("item", item.clone()),
            ("on", self.on.to_string()),
            ("when", self.when.word().to_owned()),
            ("paper_form", self.code.clone()),
        ] {
            if get(column, base).is_empty() {
                put(base, column, value);
            }
        }
        Ok(())
    }
}
