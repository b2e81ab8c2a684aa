//! Positions at a source, for an estimate: words to plain values. Nothing of it is written.

use crate::answer::{BodyPart, Material, Position, Range, Shield, Slip};
use crate::calendar::{Clock, read_time};
use crate::intake::entry::fault::{Fault, Faults, IntakeError};
use crate::intake::entry::said::TableFile;
use crate::intake::file::columns::{Columns, Row};
use crate::intake::file::fields::Fields;
use crate::quantity::{Length, LengthUnit, QuantityError};

/// The columns of a file of positions, which are also the fields of one that is typed.
pub const POSITION_COLUMNS: &[&str] = &["what", "from", "distance", "minutes", "shield", "part"];

const NEEDED: &[&str] = &["what", "distance", "minutes"];

mod at {
    pub const WHAT: usize = 0;
    pub const FROM: usize = 1;
    pub const DISTANCE: usize = 2;
    pub const MINUTES: usize = 3;
    pub const SHIELD: usize = 4;
    pub const PART: usize = 5;
}

/// Where positions come from.
#[derive(Debug)]
pub enum PositionBatch<'a> {
    /// A file.
    File(TableFile<'a>),
    /// Typed rows, in the order of the columns.
    Typed(Vec<Vec<String>>),
}

/// Positions with the lines on which they stand.
#[derive(Debug, Default)]
pub struct Positions {
    /// The positions.
    pub list: Vec<Position>,
    lines: Vec<Option<u64>>,
    file: Option<String>,
}

impl Positions {
    /// Figures that cannot be meant, as a refusal of what was handed in.
    pub fn refused(&self, slips: Vec<Slip>) -> IntakeError {
        let mut faults = Faults::default();
        let of_file = slips.iter().any(|it| it.position.is_some());
        for it in slips {
            let line = it
                .position
                .and_then(|at| self.lines.get(at).copied().flatten());
            faults.push(Fault::new(line, it.field, &it.value, it.what, it.right));
        }
        let file = self.file.as_deref().filter(|_| of_file);
        faults.refuse(file, Vec::new())
    }
}

/// Reads positions. Every bad row is told at once. Those that name no part of the body are about
/// `unnamed`.
///
/// # Errors
/// [`IntakeError`] for what cannot be read.
pub fn read_positions(
    batch: PositionBatch<'_>,
    unnamed: BodyPart,
) -> Result<Positions, IntakeError> {
    let mut faults = Faults::default();
    let mut all = Positions::default();
    match batch {
        PositionBatch::File(file) => {
            let mut cells = file.alone(POSITION_COLUMNS, NEEDED)?;
            all.file = Some(cells.file().to_owned());
            let mut row = Row::default();
            while cells.next(&mut row, &mut faults) {
                let read = read(&cells.columns, &row, unnamed, &mut faults);
                all.push(read, row.line);
            }
        }
        PositionBatch::Typed(rows) => {
            let columns = Columns::whole(POSITION_COLUMNS);
            for values in rows {
                let row = Row::typed(values);
                let read = read(&columns, &row, unnamed, &mut faults);
                all.push(read, None);
            }
        }
    }
    match faults.any() {
        true => Err(faults.refuse(all.file.as_deref(), Vec::new())),
        false => Ok(all),
    }
}

impl Positions {
    fn push(&mut self, read: Option<Position>, line: Option<u64>) {
        if let Some(it) = read {
            self.list.push(it);
            self.lines.push(line);
        }
    }
}

fn read(columns: &Columns, row: &Row, unnamed: BodyPart, faults: &mut Faults) -> Option<Position> {
    let mut fields = Fields {
        columns,
        row,
        faults,
    };
    let what = fields.needed(at::WHAT, "what was done there, such as `cranking in`");
    let from = match fields.cell(at::FROM) {
        "" => None,
        cell => match read_time(cell, Clock::Unsaid) {
            Ok(time) => Some(time),
            Err(error) => {
                fields.fault(at::FROM, error.to_string(), "a time such as `10:40`");
                None
            }
        },
    };
    let distance = distance(&mut fields);
    let time = minutes(&mut fields);
    let shields = match shields_of(fields.cell(at::SHIELD)) {
        Ok(shields) => Some(shields),
        Err((what, right)) => {
            fields.fault(at::SHIELD, what, right);
            None
        }
    };
    let part = match fields.cell(at::PART) {
        "" => Some(unnamed),
        cell => {
            let part = BodyPart::from_word(cell);
            if part.is_none() {
                fields.fault(at::PART, "is no part of the body here", parts());
            }
            part
        }
    };
    Some(Position {
        what: what?,
        from,
        distance: distance?,
        seconds: time?.0,
        shields: shields?,
        part: part?,
        rounded: time?.1,
    })
}

/// The two ends of `1.5 m to 2 m`; a single figure is both. A unit that only the last has is
/// that of both.
fn ends(text: &str) -> (String, String) {
    match text.split_once(" to ") {
        None => (text.to_owned(), text.to_owned()),
        Some((least, most)) => {
            let (least, most) = (least.trim(), most.trim());
            let unit = most.trim_start_matches(|it: char| it.is_ascii_digit() || it == '.');
            let bare = least.ends_with(|it: char| it.is_ascii_digit());
            let least = match bare {
                true => format!("{least} {}", unit.trim()),
                false => least.to_owned(),
            };
            (least.trim().to_owned(), most.to_owned())
        }
    }
}

fn distance(fields: &mut Fields<'_>) -> Option<Range<Length>> {
    let right = "a distance with its unit, such as `2 m`, `7 ft` or `1.5 m to 2 m`";
    let cell = fields.needed(at::DISTANCE, right)?;
    let (least, most) = ends(&cell);
    let read = |text: &str| Length::parse(text, None);
    match (read(&least), read(&most)) {
        (Ok(least), Ok(most)) => Some(Range { least, most }),
        (Err(error), _) | (_, Err(error)) => {
            fields.unreadable(at::DISTANCE, &error, right);
            None
        }
    }
}

/// The parts of the body, as a sentence lists them.
fn parts() -> String {
    let words: Vec<&str> = BodyPart::ALL.into_iter().map(BodyPart::word).collect();
    format!("one of {}", words.join(", "))
}

/// How long in seconds, and whether it was rounded. A single figure and the most of a range are
/// rounded up, the least down: a dose never looks lower or surer than it is.
fn minutes(fields: &mut Fields<'_>) -> Option<(Range<i64>, bool)> {
    let right = "how long, such as `2`, `1.5`, `40 s`, `1 h` or `2 to 3`: a bare number is minutes";
    let cell = fields.needed(at::MINUTES, right)?;
    let (least, most) = ends(&cell);
    match (seconds_of(&least), seconds_of(&most)) {
        (Some(low), Some(high)) => {
            let up = |(whole, more): (i64, bool)| whole.checked_add(i64::from(more));
            let single = least == most;
            let range = Range {
                least: if single { up(low)? } else { low.0 },
                most: up(high)?,
            };
            Some((range, low.1 || high.1))
        }
        _ => {
            fields.fault(at::MINUTES, "is no time", right);
            None
        }
    }
}

/// Whole seconds of `2`, `1.5 min`, `40 s`, `1 h`, and whether a part of one is left over.
fn seconds_of(text: &str) -> Option<(i64, bool)> {
    /// Decimals that are read; of further ones it counts whether they are all zero.
    const READ: usize = 9;
    let text = text.trim();
    let (number, size) = [("min", 60), ("h", 3600), ("s", 1)]
        .into_iter()
        .find_map(|(unit, size)| Some((text.strip_suffix(unit)?.trim(), size)))
        .unwrap_or((text, 60));
    let (whole, part) = number.split_once('.').unwrap_or((number, ""));
    let digits = |it: &str| it.bytes().all(|it| it.is_ascii_digit());
    let nothing_behind = part.is_empty() && number.contains('.');
    if whole.is_empty() || !digits(whole) || !digits(part) || nothing_behind {
        return None;
    }
    let whole: i64 = whole.parse().ok()?;
    let (near, far) = part.split_at(part.len().min(READ));
    let billionths: i64 = format!("{near:0<READ$}").parse().ok()?;
    let behind = billionths.checked_mul(size)?;
    let seconds = whole
        .checked_mul(size)?
        .checked_add(behind / 1_000_000_000)?;
    let more = behind % 1_000_000_000 != 0 || far.bytes().any(|it| it != b'0');
    Some((seconds, more))
}

/// A number of zero or more with at most three decimals, in thousandths.
fn thousandths_of(text: &str) -> Option<i64> {
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let digits = |it: &str| it.bytes().all(|it| it.is_ascii_digit());
    if whole.is_empty() || !digits(whole) || !digits(part) || part.len() > 3 {
        return None;
    }
    if part.is_empty() && text.contains('.') {
        return None;
    }
    let whole: i64 = whole.parse().ok()?;
    let part: i64 = format!("{part:0<3}").parse().ok()?;
    whole.checked_mul(1000)?.checked_add(part)
}

/// The shields of `lead 10 mm`, `2 HVL`, `steel 1 in + lead 5 mm`; none where it is blank.
///
/// # Errors
/// What is wrong, and what would be right.
pub fn shields_of(text: &str) -> Result<Vec<Shield>, (String, String)> {
    let parts = text.split('+').map(str::trim);
    match text.trim() {
        "" | "none" => Ok(Vec::new()),
        _ => parts.map(shield_of).collect(),
    }
}

fn shield_of(text: &str) -> Result<Shield, (String, String)> {
    let right = || {
        let known: Vec<&str> = Material::ALL.into_iter().map(Material::word).collect();
        format!(
            "material and thickness, such as `lead 10 mm` (of {}), or half-value layers, such as \
             `2 HVL`; several with `+`",
            known.join(", ")
        )
    };
    if let Some((count, unit)) = text.split_once(' ')
        && unit.trim().eq_ignore_ascii_case("hvl")
    {
        return match thousandths_of(count) {
            Some(thousandths) => Ok(Shield::Layers(thousandths)),
            None => Err((format!("`{count}` is no number of layers"), right())),
        };
    }
    let Some(at) = text.find(|it: char| it.is_ascii_digit() || it == '.') else {
        return Err(("has no thickness".to_owned(), right()));
    };
    let (name, thick) = text.split_at(at);
    let Some(material) = Material::from_word(name) else {
        return Err((
            format!("`{}` is no material that is known here", name.trim()),
            right(),
        ));
    };
    match Length::parse(thick, None::<LengthUnit>) {
        Ok(thick) => Ok(Shield::Of(material, thick)),
        Err(error @ QuantityError::NoUnit { .. }) => Err((error.to_string(), right())),
        Err(error) => Err((error.to_string(), right())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_in_minutes_seconds_and_hours() {
        for (text, seconds) in [
            ("2", Some((120, false))),
            ("1.5", Some((90, false))),
            ("40 s", Some((40, false))),
            ("0.25 min", Some((15, false))),
            ("1 h", Some((3600, false))),
            ("0", Some((0, false))),
            ("0.001", Some((0, true))),
            ("2.33333", Some((139, true))),
            ("0.05", Some((3, false))),
            ("0.333333333333333333", Some((19, true))),
            ("1.000000000000000000", Some((60, false))),
            ("7.5 s", Some((7, true))),
            ("2 minutes", None),
            ("1.", None),
            ("-1", None),
            ("1,5", None),
            ("", None),
        ] {
            assert_eq!(seconds_of(text), seconds, "{text}");
        }
    }

    #[test]
    fn a_range_takes_its_unit_from_its_end() {
        let ends = |text| super::ends(text);
        assert_eq!(ends("1.5 to 2 m"), ("1.5 m".into(), "2 m".into()));
        assert_eq!(ends("50 cm to 2 m"), ("50 cm".into(), "2 m".into()));
        assert_eq!(ends("2 to 3"), ("2".into(), "3".into()));
        assert_eq!(ends("2 m"), ("2 m".into(), "2 m".into()));
    }

    #[test]
    fn shields_are_read_as_people_write_them() {
        let thick = |text| Length::parse(text, None).unwrap();
        for (text, shields) in [
            ("", vec![]),
            ("none", vec![]),
            (
                "lead 10 mm",
                vec![Shield::Of(Material::Lead, thick("10 mm"))],
            ),
            ("2 HVL", vec![Shield::Layers(2000)]),
            (
                "Depleted uranium 1 in + 0.5 hvl",
                vec![
                    Shield::Of(Material::Uranium, thick("1 in")),
                    Shield::Layers(500),
                ],
            ),
        ] {
            assert_eq!(shields_of(text), Ok(shields), "{text}");
        }
        for text in [
            "lead",
            "lead 10",
            "water 10 mm",
            "10 mm",
            "x HVL",
            "lead 10 mm +",
        ] {
            assert!(shields_of(text).is_err(), "{text}");
        }
    }
}
