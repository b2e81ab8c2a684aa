//! A sheet that is typed in from its printed form: what was printed is proposed, and the photo goes
//! with the entry.

use std::path::PathBuf;

use super::ask::Asking;
use super::crew::{Standing, as_last_time};
use super::photo::form_of;
use super::row::{cell, put};
use crate::answer::{LastTime, proposed, sheet_form_of};
use crate::calendar::Day;
use crate::cli::frame::failure::Failure;
use crate::cli::frame::session::Session;
use crate::intake::EvidenceFile;
use crate::record::{ShiftName, Words};

/// The form of a sheet in somebody's hands.
pub(crate) struct FormInHand {
    pub code: String,
    pub day: Day,
    /// The number of its sheet: of a further form with the same print, so that both shifts are on
    /// record; nothing for the first.
    pub number: Option<String>,
    pub last: LastTime,
    pub photo: Option<EvidenceFile>,
}

/// Reads the code of a form, and the photo of it.
pub(crate) fn in_hand(
    session: &mut Session<'_>,
    code: Option<&str>,
    photo: Option<&PathBuf>,
) -> Result<Option<FormInHand>, Failure> {
    let form = form_of(session, (code, photo), |house, code| {
        let (code, sheet) = sheet_form_of(house, code)?;
        Ok((code, sheet.day, sheet.copy, proposed(house, &sheet)))
    })?;
    Ok(form.map(|((code, day, copy, last), photo)| FormInHand {
        number: (copy > 1).then(|| number_of(&last, day, copy)),
        code,
        day,
        last,
        photo,
    }))
}

/// As a sheet without a number is called, with that of its form.
fn number_of(last: &LastTime, day: Day, copy: u64) -> String {
    let mut all = last.equipment.iter();
    let device = all.find(|it| it.column == "device");
    let what = device.map_or(&last.job, |it| &it.id);
    let shift = last.shift.word();
    format!("{day} {shift} {what} form {copy}")
}

impl FormInHand {
    /// What the form had printed.
    pub fn standing(&self) -> Standing {
        as_last_time(&self.last)
    }

    pub fn shift(&self) -> ShiftName {
        self.last.shift
    }

    /// Puts what was printed where nothing was typed.
    pub fn fill(&self, head: &mut [String]) {
        let printed = self.standing().cells();
        let printed = printed.into_iter().chain([
            ("day", self.day.to_string()),
            ("shift", self.shift().word().to_owned()),
            ("paper_form", self.code.clone()),
            ("sheet", self.number.clone().unwrap_or_default()),
        ]);
        for (column, value) in printed {
            if cell(head, column).is_empty() {
                put(head, column, value);
            }
        }
    }

    /// The same of one person, by who it is.
    pub fn fill_person(&self, row: &mut [String]) {
        let who = cell(row, "worker");
        let mut crew = self.last.crew.iter();
        let Some(it) = crew.find(|it| it.worker.eq_ignore_ascii_case(&who)) else {
            return;
        };
        let dosimeter = match it.dosimeters.as_slice() {
            [only] => only.clone(),
            _ => String::new(),
        };
        for (column, value) in [
            ("role", it.role.map_or("", Words::word).to_owned()),
            ("dosimeter", dosimeter),
            ("ratemeter", it.ratemeter.clone()),
        ] {
            if cell(row, column).is_empty() {
                put(row, column, value);
            }
        }
    }
}

/// Whether the start was written down when it was done, and the date of the signature.
pub(crate) fn copied(asking: &mut Asking<'_, '_>, rows: &mut [Vec<String>]) -> Result<(), Failure> {
    let label = "the start of everybody is initialed with its hour";
    let at_start = asking.yes("initialed", label, None)?;
    let date = asking.cell("paper_date", "date beside the signature", "")?;
    for row in rows {
        let signer = cell(row, "attested_by");
        put(row, "paper_signer", signer);
        put(row, "paper_date", date.clone());
        if at_start {
            put(row, "late", "");
            put(row, "meter_late", "");
        }
    }
    Ok(())
}
