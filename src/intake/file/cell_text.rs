//! What a cell of a spreadsheet holds, as the text that somebody would have typed.

use calamine::{CellErrorType, Data, DataRef, ExcelDateTime};
use chrono::{Duration, NaiveDate};

/// What a cell says: a text, or why nobody can tell.
pub(crate) type CellText = Result<String, (String, &'static str)>;

/// A cell of an XLSX file. `from_1904` is the day that the book counts its days from.
pub(crate) fn of_xlsx(value: &DataRef<'_>, has_formula: bool, from_1904: bool) -> CellText {
    match value {
        DataRef::Empty if has_formula => Err((
            "is a formula that was never worked out".to_owned(),
            "open the file in the spreadsheet program, save it, and hand it in again",
        )),
        DataRef::Empty => Ok(String::new()),
        DataRef::Int(it) => Ok(it.to_string()),
        DataRef::Float(it) => of_number(*it),
        DataRef::String(it) => of_text(it),
        DataRef::SharedString(it) => of_text(it),
        DataRef::Bool(it) => Ok(of_bool(*it)),
        DataRef::DateTime(it) => of_serial(it, from_1904),
        DataRef::DateTimeIso(it) => of_iso_day(it),
        DataRef::DurationIso(it) => of_iso_time(it),
        DataRef::Error(it) => of_error(it),
    }
}

/// A cell of an ODS file.
pub(crate) fn of_ods(value: &Data) -> CellText {
    match value {
        Data::Empty => Ok(String::new()),
        Data::Int(it) => Ok(it.to_string()),
        Data::Float(it) => of_number(*it),
        Data::String(it) => of_text(it),
        Data::Bool(it) => Ok(of_bool(*it)),
        Data::DateTime(it) => of_serial(it, false),
        Data::DateTimeIso(it) => of_iso_day(it),
        Data::DurationIso(it) => of_iso_time(it),
        Data::Error(it) => of_error(it),
    }
}

fn of_bool(it: bool) -> String {
    if it { "yes" } else { "no" }.to_owned()
}

const NO_VALUE: &str = "the value itself, or a blank if there is none";

fn of_error(error: &CellErrorType) -> CellText {
    Err((format!("shows `{error}` instead of a value"), NO_VALUE))
}

/// A text; the words in which a spreadsheet shows that a formula failed are none.
fn of_text(text: &str) -> CellText {
    const FAILED: [&str; 9] = [
        "#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!", "#SPILL!", "#CALC!",
    ];
    let trimmed = text.trim();
    if FAILED.contains(&trimmed) || trimmed.starts_with("Err:5") {
        return Err((format!("shows `{trimmed}` instead of a value"), NO_VALUE));
    }
    Ok(text.to_owned())
}

/// A number with 15 digits, which is what spreadsheets keep and show: what stands behind them is
/// the error of binary fractions, as in 0.1 + 0.2.
fn of_number(number: f64) -> CellText {
    if !number.is_finite() || number.abs() >= 1e15 {
        return Err((
            "is a number of more than 15 digits, the last of which a spreadsheet loses".to_owned(),
            "a cell formatted as text",
        ));
    }
    let rounded: f64 = format!("{number:.14e}").parse().unwrap_or(number);
    Ok(format!("{}", if rounded == 0.0 { 0.0 } else { rounded }))
}

const NO_DAY: &str = "a day, a time of day, or both as text";

/// A day, a time or both, stored as days since a beginning.
fn of_serial(it: &ExcelDateTime, from_1904: bool) -> CellText {
    let value = it.as_f64();
    let wrong = || {
        let what = format!("is formatted as a date and holds {value}, which is none");
        Err((what, NO_DAY))
    };
    if !(0.0..3_000_000.0).contains(&value) {
        return wrong();
    }
    // Within its range and whole.
    #[allow(clippy::cast_possible_truncation)]
    let (mut days, mut seconds) = (
        value.floor() as i64,
        ((value - value.floor()) * 86_400.0).round() as i64,
    );
    if seconds == 86_400 {
        (days, seconds) = (days + 1, 0);
    }
    if it.is_duration() || value < 1.0 {
        return Ok(time_text(days * 86_400 + seconds));
    }
    // The day 60 of the older system is 29 February 1900, which there was not.
    let from = match (from_1904, days) {
        (true, _) => NaiveDate::from_ymd_opt(1904, 1, 1),
        (false, 60) => None,
        (false, ..60) => NaiveDate::from_ymd_opt(1899, 12, 31),
        (false, _) => NaiveDate::from_ymd_opt(1899, 12, 30),
    };
    let day = from.and_then(|it| it.checked_add_signed(Duration::try_days(days)?));
    match day {
        Some(day) if seconds == 0 => Ok(day.to_string()),
        Some(day) => Ok(format!("{day} {}", time_text(seconds))),
        None => wrong(),
    }
}

/// Hours and minutes; seconds where there are any, which no time of a sheet has.
fn time_text(seconds: i64) -> String {
    let (hours, minutes) = (seconds / 3600, seconds / 60 % 60);
    match seconds % 60 {
        0 => format!("{hours:02}:{minutes:02}"),
        rest => format!("{hours:02}:{minutes:02}:{rest:02}"),
    }
}

/// `2026-06-14`, alone where its time is midnight.
fn of_iso_day(text: &str) -> CellText {
    let Some((day, time)) = text.split_once('T') else {
        return Ok(text.to_owned());
    };
    let time = time.split('.').next().unwrap_or(time);
    let time = time.strip_suffix(":00").unwrap_or(time);
    Ok(match time {
        "00:00" => day.to_owned(),
        time => format!("{day} {time}"),
    })
}

/// `PT08H30M00S`.
fn of_iso_time(text: &str) -> CellText {
    let parts = || -> Option<i64> {
        let (hours, rest) = text.strip_prefix("PT")?.split_once('H')?;
        let (minutes, rest) = rest.split_once('M')?;
        let seconds = rest.strip_suffix('S')?;
        let seconds = seconds.split(['.', ',']).next()?;
        let number = |it: &str| {
            it.parse::<i64>()
                .ok()
                .filter(|it| (0..100_000).contains(it))
        };
        Some(number(hours)? * 3600 + number(minutes)? * 60 + number(seconds)?)
    };
    match parts() {
        Some(seconds) => Ok(time_text(seconds)),
        None => Err((format!("holds the time `{text}`, which is none"), NO_DAY)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use calamine::ExcelDateTimeType;

    #[test]
    fn a_number_is_the_text_that_the_spreadsheet_shows() {
        for (number, text) in [
            (12.3, "12.3"),
            (0.1 + 0.2, "0.3"),
            (12.3 + f64::EPSILON * 8.0, "12.3"),
            (1.1 * 3.0, "3.3"),
            (7.0, "7"),
            (-0.0, "0"),
            (0.000_01, "0.00001"),
            (123_456_789_012_345.0, "123456789012345"),
            (1.0 / 3.0, "0.333333333333333"),
        ] {
            assert_eq!(of_number(number).unwrap(), text);
        }
        assert!(of_number(1e15).is_err());
        assert!(of_number(f64::NAN).is_err());
    }

    /// The two systems and their day 60 are those of ECMA-376 Part 1, 18.17.4.1.
    #[test]
    fn a_serial_day_is_read_by_the_system_of_its_book() {
        let text = |value: f64, from_1904: bool| {
            let it = ExcelDateTime::new(value, ExcelDateTimeType::DateTime, from_1904);
            of_serial(&it, from_1904)
        };
        for (value, from_1904, expected) in [
            (1.0, false, "1900-01-01"),
            (59.0, false, "1900-02-28"),
            (61.0, false, "1900-03-01"),
            (45_760.0, false, "2025-04-13"),
            (44_298.0, true, "2025-04-13"),
            (45_760.354_166_666_7, false, "2025-04-13 08:30"),
            (0.354_166_666_666_666_7, false, "08:30"),
            (0.999_994_3, false, "24:00"),
            (0.0, false, "00:00"),
        ] {
            assert_eq!(text(value, from_1904).unwrap(), expected, "{value}");
        }
        for value in [60.0, -1.0, 4e6, f64::NAN] {
            assert!(text(value, false).is_err(), "{value}");
        }
    }

    #[test]
    fn a_day_and_a_time_of_an_open_document_are_read_as_they_stand() {
        for (text, expected) in [
            ("2025-04-13", "2025-04-13"),
            ("2025-04-13T00:00:00", "2025-04-13"),
            ("2025-04-13T08:30:00", "2025-04-13 08:30"),
        ] {
            assert_eq!(of_iso_day(text).unwrap(), expected);
        }
        assert_eq!(of_iso_time("PT08H30M00S").unwrap(), "08:30");
        assert_eq!(of_iso_time("PT08H30M05S").unwrap(), "08:30:05");
        assert!(of_iso_time("P1D").is_err());
    }

    #[test]
    fn a_failed_formula_is_no_text() {
        assert!(of_text("#DIV/0!").is_err());
        assert!(of_text("Err:502").is_err());
        assert_eq!(of_text("#1 device").unwrap(), "#1 device");
    }
}
