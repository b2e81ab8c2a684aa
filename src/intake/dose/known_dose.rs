//! A dose as people know it: one figure, a range, or only what it is above.

use crate::intake::file::fields::Fields;
use crate::quantity::{Dose, QuantityError};
use crate::record::DoseQuantity;

/// What is right for a cell that cannot be read.
const RIGHT: &str = "a dose such as `12 mrem`, a range such as `2 to 5 rem`, or `above 5 rem`";

/// Absorbed dose counted as dose equivalent.
const GRAY: &str = "absorbed dose in gray is counted as dose equivalent in sievert, 1 Gy = 1 Sv: \
                    the convention for photons, whose quality factor is 1";

/// A dose with how far it reaches.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct KnownDose {
    /// The figure of record.
    pub figure: Dose,
    /// The least.
    pub low: Option<Dose>,
    /// The most.
    pub high: Option<Dose>,
    /// What whoever writes it has to be told.
    pub notes: Vec<String>,
}

impl KnownDose {
    /// Takes the least from a column of its own.
    pub fn take_low(&mut self, end: KnownDose) {
        self.low = Some(end.figure);
        self.add_notes(end.notes);
    }

    /// Takes the most from a column of its own.
    pub fn take_high(&mut self, end: KnownDose) {
        self.high = Some(end.figure);
        self.add_notes(end.notes);
    }

    fn add_notes(&mut self, notes: Vec<String>) {
        for note in notes {
            if !self.notes.contains(&note) {
                self.notes.push(note);
            }
        }
    }
}

/// Why a text is no dose, and what would be right.
pub(crate) type NoDose = (String, String);

/// Reads `12 mrem`, `2 to 5 rem`, `between 2 and 5 rem`, `up to 5 rem`, `above 5 rem`; where
/// the quantity is the dose of a part of the body, gray too.
pub(crate) fn read(text: &str, quantity: Option<DoseQuantity>) -> Result<KnownDose, NoDose> {
    const ABOVE: &[&str] = &[
        "above",
        "more than",
        "over",
        "at least",
        ">=",
        "\u{2265}",
        ">",
    ];
    const BELOW: &[&str] = &[
        "up to",
        "at most",
        "below",
        "less than",
        "<=",
        "\u{2264}",
        "<",
    ];
    let text = text.trim();
    if let Some(rest) = behind(text, ABOVE) {
        let (least, gray) = one(rest, quantity)?;
        return Ok(KnownDose {
            figure: least,
            low: Some(least),
            high: None,
            notes: notes(gray, &[]),
        });
    }
    let ends = match behind(text, BELOW) {
        Some(rest) => Some(("0", rest)),
        None => match behind(text, &["between"]) {
            Some(rest) => rest.split_once(" and "),
            None => text.split_once(" to "),
        },
    };
    let Some((low, high)) = ends else {
        let (figure, gray) = one(text, quantity)?;
        return Ok(KnownDose {
            figure,
            low: None,
            high: None,
            notes: notes(gray, &[]),
        });
    };
    let (most, gray) = one(high, quantity)?;
    let (least, gray_too) = match low.trim().ends_with(|it: char| it.is_ascii_digit()) {
        true => one(&format!("{} {}", low.trim(), unit_of(high)), quantity)?,
        false => one(low, quantity)?,
    };
    if most < least {
        let what = format!("ends at `{}`, below where it begins", high.trim());
        return Err((what, "the smaller figure first: `2 to 5 rem`".to_owned()));
    }
    let said = "the figure of record is the high end of the range: no other figure was given";
    Ok(KnownDose {
        figure: most,
        low: Some(least),
        high: Some(most),
        notes: notes(gray || gray_too, &[said]),
    })
}

/// The dose of record with its range, from the columns of dose, low and high.
pub(crate) fn of_row(
    fields: &mut Fields<'_>,
    [dose, low, high]: [usize; 3],
    quantity: Option<DoseQuantity>,
) -> Option<KnownDose> {
    let cell = fields.needed(dose, "the dose with its unit, such as `12 mrem`")?;
    let mut found = match read(&cell, quantity) {
        Ok(found) => found,
        Err((what, right)) => {
            fields.fault(dose, what, right);
            return None;
        }
    };
    let has_range = found.low.is_some();
    for column in [low, high] {
        let Some(cell) = fields.text(column) else {
            continue;
        };
        if has_range {
            let what = "stands beside a dose that has its range in it";
            fields.fault(column, what, "one figure under dose, or no low and high");
            return None;
        }
        match end(&cell, quantity) {
            Ok(end) if column == low => found.take_low(end),
            Ok(end) => found.take_high(end),
            Err((what, right)) => {
                fields.fault(column, what, right);
                return None;
            }
        }
    }
    Some(found)
}

/// One end of a range in a column of its own.
fn end(text: &str, quantity: Option<DoseQuantity>) -> Result<KnownDose, NoDose> {
    let (figure, gray) = one(text, quantity)?;
    Ok(KnownDose {
        figure,
        low: None,
        high: None,
        notes: notes(gray, &[]),
    })
}

fn notes(gray: bool, said: &[&str]) -> Vec<String> {
    let gray = gray.then_some(GRAY);
    said.iter()
        .copied()
        .chain(gray)
        .map(str::to_owned)
        .collect()
}

/// What follows one of some words at the beginning of a text.
fn behind<'a>(text: &'a str, words: &[&str]) -> Option<&'a str> {
    let found = words.iter().find_map(|word| {
        let (head, rest) = (text.get(..word.len())?, text.get(word.len()..)?);
        let apart = !word.ends_with(char::is_alphabetic) || rest.starts_with(' ');
        (head.eq_ignore_ascii_case(word) && apart).then_some(rest)
    });
    found.map(str::trim)
}

/// The unit behind a number.
fn unit_of(text: &str) -> &str {
    text.trim()
        .trim_start_matches(|it: char| it.is_ascii_digit() || it == '.' || it == ' ')
}

/// One figure, and whether it was in gray.
fn one(text: &str, quantity: Option<DoseQuantity>) -> Result<(Dose, bool), NoDose> {
    let error = match Dose::parse(text, None) {
        Ok(dose) => return Ok((dose, false)),
        Err(error) => error,
    };
    let absorbed = match error {
        QuantityError::UnknownUnit { .. } => Dose::parse_absorbed(text).ok(),
        _ => None,
    };
    match (absorbed, quantity) {
        (Some(_), Some(DoseQuantity::Deep)) => Err((
            "is an absorbed dose, and a deep dose is not one: gray is the dose of a part of the \
             body"
                .to_owned(),
            "the dose equivalent of the whole body in rem or Sv; gray with quantity lens, shallow \
             or extremity"
                .to_owned(),
        )),
        (Some(dose), _) => Ok((dose, true)),
        (None, _) => Err((error.to_string(), RIGHT.to_owned())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dose_is_read_as_people_know_it() {
        // The text; figure, low, high in mrem, and how many notes.
        for (text, figure, low, high, notes) in [
            ("12 mrem", 12, None, None, 0),
            ("above 5 rem", 5000, Some(5000), None, 0),
            ("Above 5 rem", 5000, Some(5000), None, 0),
            (">5 rem", 5000, Some(5000), None, 0),
            (">= 5 rem", 5000, Some(5000), None, 0),
            ("more than 50 mSv", 5000, Some(5000), None, 0),
            ("2 to 5 rem", 5000, Some(2000), Some(5000), 1),
            ("500 mrem to 5 rem", 5000, Some(500), Some(5000), 1),
            ("between 2 and 5 rem", 5000, Some(2000), Some(5000), 1),
            ("up to 5 rem", 5000, Some(0), Some(5000), 1),
            ("3 Gy", 300_000, None, None, 1),
            ("50 rad", 50_000, None, None, 1),
            ("2 to 3 Gy", 300_000, Some(200_000), Some(300_000), 2),
            ("above 3 Gy", 300_000, Some(300_000), None, 1),
        ] {
            let read = read(text, Some(DoseQuantity::Extremity)).unwrap();
            let mrem = |count: i64| Dose::from_nsv(count * 10_000);
            assert_eq!(read.figure, mrem(figure), "{text}");
            assert_eq!(
                (read.low, read.high),
                (low.map(mrem), high.map(mrem)),
                "{text}"
            );
            assert_eq!(read.notes.len(), notes, "{text}: {:?}", read.notes);
        }
    }

    #[test]
    fn what_is_no_dose_is_refused_with_what_would_be_right() {
        for (text, what) in [
            ("5 to 2 rem", "below where it begins"),
            ("2-5 rem", "2-5"),
            ("above", "cannot be read"),
            ("above 5", "unit"),
            ("aboveboard 5 rem", ""),
            ("2 to", ""),
            ("above -5 rem", "below zero"),
            ("5 mR", "exposure"),
        ] {
            let (found, right) = read(text, Some(DoseQuantity::Deep)).unwrap_err();
            assert!(found.contains(what), "{text}: {found}");
            assert!(!right.is_empty(), "{text}");
        }
        let (what, right) = read("2 Gy", Some(DoseQuantity::Deep)).unwrap_err();
        assert!(
            what.contains("absorbed dose") && right.contains("extremity"),
            "{what}"
        );
    }
}
