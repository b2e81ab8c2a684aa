//! The columns of a sheet by their places, and the items of equipment that stand in them.

use crate::answer::Names;
use crate::intake::file::fields::Fields;
use crate::intake::file::named::what_of;
use crate::intake::file::words::with_article;
use crate::record::{Ref, Target};

/// Places of the columns in [`SHEET_COLUMNS`].
pub(crate) mod at {
    pub const SHEET: usize = 0;
    pub const DAY: usize = 1;
    pub const SHIFT: usize = 2;
    pub const BEGINS: usize = 3;
    pub const ENDS: usize = 4;
    pub const JOB: usize = 5;
    pub const WORK: usize = 6;
    pub const DEVICE: usize = 7;
    pub const SOURCE: usize = 8;
    pub const CONTROL_UNIT: usize = 9;
    pub const GUIDE_TUBES: usize = 10;
    pub const METER: usize = 11;
    pub const EXPOSURES: usize = 12;
    pub const SOURCE_OUT: usize = 13;
    pub const BOUNDARY: usize = 14;
    pub const STORAGE_SURVEY: usize = 15;
    pub const DEVICE_OUT: usize = 16;
    pub const DEVICE_BACK: usize = 17;
    pub const ATTESTED_BY: usize = 18;
    pub const WORKER: usize = 19;
    pub const ROLE: usize = 20;
    pub const DOSIMETER: usize = 21;
    pub const PART: usize = 22;
    pub const START: usize = 23;
    pub const END: usize = 24;
    pub const OFF_SCALE: usize = 25;
    pub const RATEMETER: usize = 26;
    pub const ALARM_TESTED: usize = 27;
    pub const BADGE_WORN: usize = 28;
    pub const PAPER_DATE: usize = 29;
    pub const PAPER_SIGNER: usize = 30;
    pub const IMAGE: usize = 31;
    pub const IMAGE_SHA256: usize = 32;
    pub const NOTE: usize = 33;
    pub const FIRST_EXPOSURE: usize = 34;
    pub const BADGE: usize = 35;
    pub const SITE: usize = 36;
    pub const SHIFT_START: usize = 37;
    pub const RECHARGED: usize = 38;
    pub const METER_CHECKED: usize = 39;
    pub const METER_LATE: usize = 40;
    pub const LATE: usize = 41;
    pub const STORAGE_METER: usize = 42;
    pub const STORAGE_DISTANCE: usize = 43;
    pub const LOCKED: usize = 44;
    pub const SIGNED_BY: usize = 45;
    pub const PAPER_FORM: usize = 46;
}

/// The item that a cell names, or the words as written. An item of another kind than the column
/// is for is a slip of the pen and is told at once.
pub(crate) fn equipment<T: Target>(
    fields: &mut Fields<'_>,
    names: &Names,
    column: usize,
) -> Option<Ref<T>> {
    match fields.cell(column) {
        "" => None,
        name => equipment_of(fields, names, column, name),
    }
}

pub(crate) fn equipment_of<T: Target>(
    fields: &mut Fields<'_>,
    names: &Names,
    column: usize,
    name: &str,
) -> Option<Ref<T>> {
    match names.equipment_ref(name) {
        Ok(found) => Some(found),
        Err(kind) => {
            let is = with_article(kind);
            let what = match fields.cell(column) == name {
                true => format!("is {is}"),
                false => format!("has `{name}`, which is {is}"),
            };
            fields.fault(column, what, what_of(T::GOAL));
            None
        }
    }
}

/// Those that each row of a person has for itself: what `--person` takes.
pub const PERSON_FIELDS: &[&str] = &[
    "worker",
    "role",
    "dosimeter",
    "part",
    "start",
    "end",
    "off_scale",
    "ratemeter",
    "alarm_tested",
    "badge_worn",
    "badge",
    "recharged",
    "late",
];

/// The columns of a sheet file, which are the keys of typed people and the
/// flags of a typed sheet.
pub const SHEET_COLUMNS: &[&str] = &[
    "sheet",
    "day",
    "shift",
    "begins",
    "ends",
    "job",
    "work",
    "device",
    "source",
    "control_unit",
    "guide_tubes",
    "meter",
    "exposures",
    "source_out_min",
    "boundary",
    "storage_survey",
    "device_out",
    "device_back",
    "attested_by",
    "worker",
    "role",
    "dosimeter",
    "part",
    "start",
    "end",
    "off_scale",
    "ratemeter",
    "alarm_tested",
    "badge_worn",
    "paper_date",
    "paper_signer",
    "image",
    "image_sha256",
    "note",
    "first_exposure",
    "badge",
    "site",
    "shift_start",
    "recharged",
    "meter_checked",
    "meter_late",
    "late",
    "storage_meter",
    "storage_distance",
    "locked",
    "signed_by",
    "paper_form",
];

/// Columns that every sheet file must have.
pub const SHEET_NEEDED: &[&str] = &[
    "day",
    "shift",
    "job",
    "work",
    "worker",
    "role",
    "dosimeter",
    "start",
    "end",
];
