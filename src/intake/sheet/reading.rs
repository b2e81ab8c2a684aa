//! What a dosimeter shows, as people write it: a figure, or that it was off-scale. Whatever else
//! is wrong with a row, an off-scale dosimeter is kept for the stop that is printed.

use super::column::{at, equipment};
use crate::answer::Names;
use crate::intake::entry::said::is_bare;
use crate::intake::file::fields::Fields;
use crate::intake::file::words::did_you_mean;
use crate::quantity::{Indication, IndicationUnit};
use crate::record::{Dosimeter, Instrument, Reading, Ref, Target};

/// What a cell says where a reading stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Said<'c> {
    Nothing,
    /// A figure, or what is none.
    Figure,
    /// In words.
    OffScale,
    /// Above a figure.
    Above(&'c str),
}

/// `O/S`, `off`, `off scale`, `full scale`; `>200`, `200+`, `over 200 mR`.
fn said(cell: &str) -> Said<'_> {
    const WORDS: [&str; 9] = [
        "fs",
        "fullscale",
        "off",
        "offscale",
        "os",
        "overrange",
        "overscale",
        "pegged",
        "scaleoff",
    ];
    const ABOVE: [&str; 6] = [">=", ">", "\u{2265}", "over ", "above ", "more than "];
    let cell = cell.trim();
    let letters = cell.chars().filter(|it| it.is_alphanumeric());
    let plain: String = letters.flat_map(char::to_lowercase).collect();
    let begins = |sign: &&'static str| {
        let (head, rest) = cell.split_at_checked(sign.len())?;
        head.eq_ignore_ascii_case(sign).then_some(rest)
    };
    match cell {
        "" => Said::Nothing,
        _ if WORDS.contains(&plain.as_str()) => Said::OffScale,
        _ => match ABOVE.iter().find_map(begins) {
            Some(rest) => Said::Above(rest.trim()),
            None => cell
                .strip_suffix('+')
                .map_or(Said::Figure, |rest| Said::Above(rest.trim())),
        },
    }
}

/// Whether words that stand alone say that a dosimeter was off-scale: `off scale`, `> 200 mR`.
/// Above something that is no figure, they say nothing.
pub fn says_off_scale(words: &str) -> bool {
    match said(words) {
        Said::OffScale => true,
        Said::Above(least) => least.starts_with(|it: char| it.is_ascii_digit()),
        Said::Nothing | Said::Figure => false,
    }
}

/// Whether a cell says that a dosimeter was off-scale, rightly written or not.
fn is_off_scale(cell: &str) -> bool {
    matches!(said(cell), Said::OffScale | Said::Above(_))
}

/// What a dosimeter showed at the end of a shift.
pub(crate) enum Shown {
    Figure(Indication),
    OffScale,
}

/// An end: a figure, or off-scale in words or above the range of the dosimeter.
pub(crate) fn read_end(
    fields: &mut Fields<'_>,
    column: usize,
    body: Option<&Instrument>,
) -> Option<Shown> {
    match said(fields.cell(column)) {
        Said::Nothing => None,
        Said::OffScale => Some(Shown::OffScale),
        Said::Above(least) => fits(fields, column, least, body).then_some(Shown::OffScale),
        Said::Figure => {
            let face = body.and_then(Instrument::face_unit);
            read_shown(fields, column, face).map(Shown::Figure)
        }
    }
}

/// The reading of a row. One with a fault is nothing, unless the row says that the dosimeter was
/// off-scale: nobody writes it then, and everybody hears it.
pub(crate) fn read_reading(fields: &mut Fields<'_>, names: &Names) -> Option<Reading> {
    let before = fields.faults.count();
    let cells = [at::START, at::END, at::OFF_SCALE].map(|column| fields.cell(column));
    let blank = cells.iter().take(2).all(|it| it.is_empty());
    let named = fields.cell(at::DOSIMETER);
    let dosimeter: Option<Ref<Dosimeter>> = equipment(fields, names, at::DOSIMETER);
    let body = dosimeter
        .as_ref()
        .and_then(Ref::known)
        .and_then(|record| names.instrument_body(record.number()));
    let face = body.and_then(Instrument::face_unit);
    let off_scale = read_off_scale(fields, body);
    let part = read_part(fields);
    let recharged = fields.yes(at::RECHARGED);
    if named.is_empty() && (!blank || off_scale) {
        let what = "is missing although there is a reading";
        fields.fault(at::DOSIMETER, what, "the id on the dosimeter");
    }
    let unknown = dosimeter
        .as_ref()
        .is_some_and(|it| refuse_bare(fields, names, it));
    // Of no dosimeter a figure says nothing, and what is wrong is told already.
    let shown = dosimeter.is_some() && !unknown;
    let start = shown.then(|| read_start(fields, face)).flatten();
    let mut end = match shown.then(|| read_end(fields, at::END, body)).flatten() {
        Some(Shown::Figure(end)) => Some(end),
        Some(Shown::OffScale) | None => None,
    };
    if let (Some(start), Some(shown)) = (start, end)
        && start.is_exposure() != shown.is_exposure()
    {
        let what = format!(
            "is in {}, the start in {}",
            shown.unit().symbol(),
            start.unit().symbol()
        );
        end = None;
        fields.fault(
            at::END,
            what,
            "both readings in the unit of the dosimeter's face",
        );
    }
    let sound = fields.faults.count() == before;
    if !sound && off_scale {
        let unnamed = || match named {
            "" => "a dosimeter that is not named".to_owned(),
            named => named.to_owned(),
        };
        return Some(Reading {
            dosimeter: dosimeter.unwrap_or_else(|| Ref::Written(unnamed())),
            end: None,
            off_scale,
            part: part.unwrap_or(1),
            recharged,
            start: None,
        });
    }
    Some(Reading {
        dosimeter: dosimeter?,
        end,
        off_scale,
        part: part?,
        recharged,
        start,
    })
}

/// Refuses a bare number of a dosimeter that is not in the register: what its face shows nobody
/// can tell, and the name is the likelier slip.
fn refuse_bare(fields: &mut Fields<'_>, names: &Names, dosimeter: &Ref<Dosimeter>) -> bool {
    let Some(words) = dosimeter.written() else {
        return false;
    };
    let bare = [at::START, at::END].map(|column| fields.cell(column));
    let Some(number) = bare.into_iter().find(|it| is_bare(it)) else {
        return false;
    };
    let what = format!("is not in the register, so the unit of `{number}` is not known");
    let near = names.near_fitting(Dosimeter::GOAL, words);
    let right = did_you_mean(
        &near,
        "register it first (wearbook instrument add), or write the unit, such as `12 mR`",
    );
    fields.fault(at::DOSIMETER, what, right);
    true
}

fn read_part(fields: &mut Fields<'_>) -> Option<i64> {
    let part = match fields.cell(at::PART) {
        "" => Some(1),
        _ => fields.count(at::PART),
    }?;
    if !(1..=99).contains(&part) {
        fields.fault(at::PART, "is not a part", "1 to 99");
        return None;
    }
    Some(part)
}

/// The start of a shift, which no dosimeter begins off-scale.
fn read_start(fields: &mut Fields<'_>, face: Option<IndicationUnit>) -> Option<Indication> {
    if !is_off_scale(fields.cell(at::START)) {
        return read_shown(fields, at::START, face);
    }
    let what = "is off-scale at the start: no shift begins so";
    let right = "the figure after it was recharged; what it showed before belongs to the sheet \
                 before, or to no shift if it was charged wrongly: tell the RSO";
    fields.fault(at::START, what, right);
    None
}

/// Whether the dosimeter was off-scale, by its column, its end or its start. In doubt it was: then
/// a fault is listed.
fn read_off_scale(fields: &mut Fields<'_>, body: Option<&Instrument>) -> bool {
    let (column, end) = (fields.cell(at::OFF_SCALE), fields.cell(at::END));
    let of_end = is_off_scale(end);
    let of_start = is_off_scale(fields.cell(at::START));
    match said(column) {
        Said::Nothing => of_end || of_start,
        Said::Above(least) => {
            fits(fields, at::OFF_SCALE, least, body);
            true
        }
        // A box that is off is not ticked.
        Said::OffScale if column.eq_ignore_ascii_case("off") => {
            let what = "could mean two things: off-scale, or not";
            fields.fault(at::OFF_SCALE, what, "yes or no");
            true
        }
        Said::OffScale => true,
        Said::Figure => match fields.yes(at::OFF_SCALE) {
            Some(false) if of_end => {
                let what = format!("says no, and the end is `{end}`");
                fields.fault(at::OFF_SCALE, what, "yes, or the figure as the end");
                true
            }
            Some(off_scale) => off_scale || of_start,
            None => true,
        },
    }
}

/// Refuses a figure that was passed and does not end the range of the dosimeter: below it
/// something was read, above it nothing could be.
fn fits(fields: &mut Fields<'_>, column: usize, least: &str, body: Option<&Instrument>) -> bool {
    let top = body.and_then(Instrument::top_of_range);
    let face = body.and_then(Instrument::face_unit);
    let least = match Indication::parse(least, face) {
        Ok(least) => least,
        Err(error) => {
            let right = "`off-scale`, or `>` with the top of the range, such as `>200 mR`";
            fields.unreadable(column, &error, right);
            return false;
        }
    };
    match top {
        Some(top) if top.compare(&least).is_some_and(|it| it.is_eq()) => return true,
        Some(top) => {
            let what = format!("is not the range of this dosimeter, which ends at {top}");
            let right = format!("`off-scale` or `>{top}`, or what was read");
            fields.fault(column, what, right);
        }
        None => {
            let what = "cannot be held against a range: the register has none for this dosimeter";
            fields.fault(column, what, "`off-scale`, or what was read");
        }
    }
    false
}

/// A reading; a bare number takes the unit of the dosimeter's face. Where that
/// is not known, a bare number could mean two things and is refused.
pub(crate) fn read_shown(
    fields: &mut Fields<'_>,
    column: usize,
    face: Option<IndicationUnit>,
) -> Option<Indication> {
    let cell = fields.cell(column);
    if cell.is_empty() {
        return None;
    }
    match Indication::parse(cell, face) {
        Ok(shown) => match face {
            Some(face) if face.is_exposure() != shown.is_exposure() => {
                fields.fault(
                    column,
                    format!("is in {}, but this dosimeter shows {face}", shown.unit()),
                    format!("what is on its face, in {face}"),
                );
                None
            }
            _ => Some(shown),
        },
        Err(error) => {
            fields.unreadable(column, &error, "what is on its face, such as `12 mR`");
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn off_scale_is_understood_as_people_write_it() {
        for cell in [
            "off",
            "OFF",
            "O/S",
            "o.s.",
            "OS",
            "offscale",
            "off scale",
            "Off-Scale",
            "over range",
            "full scale",
            "Full-Scale",
            "FS",
            "F/S",
            "pegged",
        ] {
            assert_eq!(said(cell), Said::OffScale, "{cell}");
        }
        for (cell, least) in [
            (">200", "200"),
            ("> 200 mR", "200 mR"),
            (">=200", "200"),
            ("\u{2265} 2 mSv", "2 mSv"),
            ("200+", "200"),
            ("over 200 mR", "200 mR"),
            ("Above 200", "200"),
            (">", ""),
        ] {
            assert_eq!(said(cell), Said::Above(least), "{cell}");
        }
        for cell in [
            "12", "12 mR", "yes", "no", "x", "office", "0", "-", "200 mR",
        ] {
            assert_eq!(said(cell), Said::Figure, "{cell}");
        }
        assert_eq!(said(" "), Said::Nothing);
    }
}
