//! Decimal text to whole numbers and back, exactly.
//!
//! A bulk import reads some millions of short texts, so nothing is allocated until a text is
//! refused.

use std::fmt::{self, Write};

use super::error::QuantityError;
use super::unit::{Unit, carried_decimals, known, unknown};

/// The largest number an entry carries: canonical JSON keeps whole numbers within
/// +-(2^53 - 1), which other programs read without loss.
pub(super) const MOST: i64 = (1 << 53) - 1;

/// Digits that are kept while reading. Every number up to [`MOST`] in every unit of this room
/// needs at most 16 once trailing zeros are dropped.
const DIGITS: u32 = 18;

/// Whether a minus sign may stand in front.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Sign {
    Refused,
    Allowed,
}

/// A number as written: `digits` / 10^`decimals`, and the text behind it.
struct Number<'a> {
    negative: bool,
    digits: u64,
    decimals: u32,
    rest: &'a str,
}

/// Reads a quantity: a number, then a unit or, where one is agreed, none.
pub(super) fn parse<U: Unit>(
    text: &str,
    bare: Option<U>,
    sign: Sign,
) -> Result<(i64, U), QuantityError> {
    let text = text.trim();
    let number = read(text, U::WHAT)?;
    if number.negative && sign == Sign::Refused {
        return Err(QuantityError::Negative {
            text: text.to_owned(),
            what: U::WHAT,
        });
    }
    let unit = match (number.rest, bare) {
        ("", Some(unit)) => unit,
        ("", None) => {
            return Err(QuantityError::NoUnit {
                text: text.to_owned(),
                known: known::<U>(),
            });
        }
        (symbol, _) => match U::from_symbol(symbol) {
            Some(unit) => unit,
            None => return Err(wrong_unit::<U>(text, symbol)),
        },
    };
    Ok((scale(text, &number, unit)?, unit))
}

fn read<'a>(text: &'a str, what: &'static str) -> Result<Number<'a>, QuantityError> {
    if text.is_empty() {
        return Err(QuantityError::Empty { what });
    }
    let (negative, body) = match text.chars().next() {
        Some(sign @ ('-' | '\u{2212}')) => (true, &text[sign.len_utf8()..]),
        Some('+') => (false, &text[1..]),
        _ => (false, text),
    };
    let mut digits = 0_u64;
    let mut decimals = 0_u32;
    // Zeros behind the point wait until a digit follows them, so that trailing ones drop.
    let mut waiting = 0_u32;
    let mut seen = false;
    let mut point = None;
    let (mut large, mut fine) = (false, false);
    let mut end = body.len();
    for (at, byte) in body.bytes().enumerate() {
        match byte {
            b'0' if point.is_some() => {
                seen = true;
                waiting += 1;
            }
            b'0'..=b'9' => {
                seen = true;
                let places = waiting + 1;
                match push(digits, places, byte - b'0') {
                    Some(more) => digits = more,
                    None if point.is_none() => large = true,
                    None => fine = true,
                }
                if point.is_some() {
                    decimals += places;
                    waiting = 0;
                }
            }
            b'.' if point.is_none() => point = Some(at),
            _ => {
                end = at;
                break;
            }
        }
    }
    let rest = body[end..].trim_start();
    refuse_shape(text, what, &body[..end], seen, rest)?;
    if large {
        return Err(QuantityError::TooLarge {
            text: text.to_owned(),
        });
    }
    // More digits behind the point than are kept: left to `scale` to refuse, once the unit is
    // known.
    let decimals = if fine { u32::MAX } else { decimals };
    Ok(Number {
        negative,
        digits,
        decimals,
        rest,
    })
}

/// Appends `places - 1` zeros and a digit, or nothing if that is more than can be kept.
fn push(digits: u64, places: u32, digit: u8) -> Option<u64> {
    if digits == 0 {
        return Some(u64::from(digit));
    }
    if places > DIGITS {
        return None;
    }
    let more = digits
        .checked_mul(10_u64.pow(places))?
        .checked_add(u64::from(digit))?;
    (more < 10_u64.pow(DIGITS)).then_some(more)
}

/// Refuses what is not one plain number in front, with the reason that fits.
fn refuse_shape(
    text: &str,
    what: &'static str,
    number: &str,
    seen: bool,
    rest: &str,
) -> Result<(), QuantityError> {
    if !rest.is_empty() || !seen {
        let mut after = rest.chars();
        let first = after.next();
        let second = after.next();
        if first == Some(',') {
            return Err(QuantityError::Comma {
                text: text.to_owned(),
            });
        }
        let exponent = matches!(first, Some('e' | 'E'))
            && second.is_some_and(|c| c.is_ascii_digit() || c == '-' || c == '+');
        if seen && exponent {
            return Err(QuantityError::Exponent {
                text: text.to_owned(),
            });
        }
        let more = first.is_some_and(|c| c.is_numeric() || matches!(c, '.' | '-' | '+' | '_'));
        if !seen || more {
            return Err(QuantityError::NotANumber {
                text: text.to_owned(),
                what,
            });
        }
    }
    if number.ends_with('.') {
        return Err(QuantityError::CutOff {
            text: text.to_owned(),
        });
    }
    Ok(())
}

/// Turns a number in a unit into a whole number of the smallest unit, or refuses it.
fn scale<U: Unit>(text: &str, number: &Number<'_>, unit: U) -> Result<i64, QuantityError> {
    let too_fine = || QuantityError::TooFine {
        text: text.to_owned(),
        unit: unit.symbol(),
        decimals: carried_decimals(unit.size()),
    };
    if number.decimals > DIGITS {
        return Err(too_fine());
    }
    let divisor = 10_u64.pow(number.decimals);
    let size = unit.size().unsigned_abs();
    let count = match number.digits.checked_mul(size) {
        Some(product) if product % divisor == 0 => u128::from(product / divisor),
        Some(_) => return Err(too_fine()),
        None => {
            let product = u128::from(number.digits) * u128::from(size);
            if product % u128::from(divisor) != 0 {
                return Err(too_fine());
            }
            product / u128::from(divisor)
        }
    };
    let count = i64::try_from(count)
        .ok()
        .filter(|count| *count <= MOST)
        .ok_or_else(|| QuantityError::TooLarge {
            text: text.to_owned(),
        })?;
    Ok(if number.negative { -count } else { count })
}

/// Prints `count` in a unit of `size`, rounded half to even at `decimals`, trailing zeros
/// dropped. What is not zero never prints as zero: it prints as below the last place.
pub(super) fn write(out: &mut impl Write, count: i64, size: i64, decimals: u32) -> fmt::Result {
    let places = decimals.min(DIGITS);
    let one = 10_u128.pow(places);
    let size = u128::from(size.unsigned_abs().max(1));
    let exact = u128::from(count.unsigned_abs()) * one;
    let (below, left) = (exact / size, exact % size);
    let up = left * 2 > size || (left * 2 == size && below % 2 == 1);
    let rounded = if up { below + 1 } else { below };
    let shown = if rounded == 0 && count != 0 {
        out.write_str(if count > 0 { "<" } else { ">" })?;
        1
    } else {
        rounded
    };
    if count < 0 {
        out.write_char('-')?;
    }
    write!(out, "{}", shown / one)?;
    let mut fraction = shown % one;
    let mut width = places as usize;
    if fraction == 0 {
        return Ok(());
    }
    while fraction.is_multiple_of(10) {
        fraction /= 10;
        width -= 1;
    }
    write!(out, ".{fraction:0width$}")
}

/// Prints `count` in a unit with the unit's symbol behind it.
pub(super) fn display<U: Unit>(count: i64, unit: U, decimals: u32) -> String {
    let mut out = String::with_capacity(16);
    // Writing to a string does not fail.
    let _ = write(&mut out, count, unit.size(), decimals);
    out.push(' ');
    out.push_str(unit.symbol());
    out
}

fn wrong_unit<U: Unit>(text: &str, symbol: &str) -> QuantityError {
    let per_hour = symbol
        .strip_suffix("/hr")
        .or_else(|| symbol.strip_suffix("/h"));
    let plain = per_hour.unwrap_or(symbol);
    let roentgen = matches!(plain, "R" | "mR" | "uR" | "\u{b5}R" | "\u{3bc}R");
    let rate = U::WHAT.ends_with("rate");
    if roentgen && (U::WHAT == "dose" || U::WHAT == "dose rate") && rate == per_hour.is_some() {
        return QuantityError::Exposure {
            text: text.to_owned(),
            what: U::WHAT,
            known: known::<U>(),
        };
    }
    unknown::<U>(symbol)
}

#[cfg(test)]
mod tests {
    use super::super::{
        Activity, ActivityUnit, Angle, AngleUnit, Dose, DoseUnit, Length, LengthUnit,
    };
    use super::*;
    use proptest::prelude::*;

    /// One row, one text: what is written, and the nanosievert it is or the start of the
    /// refusal.
    const DOSES: &str = "
        12 mrem                       | 120000
        12mrem                        | 120000
          12   mrem                   | 120000
        +12 mrem                      | 120000
        0.12 mSv                      | 120000
        120 uSv                       | 120000
        120 \u{b5}Sv                       | 120000
        120 \u{3bc}Sv                       | 120000
        0 mrem                        | 0
        .5 mrem                       | 5000
        5 rem                         | 50000000
        1.25 rem                      | 12500000
        0.0001 mrem                   | 1
        0.00010000000000000000 mrem   | 1
        9007199.254740991 Sv          | 9007199254740991
        12                            | 120000
        9007199.254740992 Sv          | `9007199.254740992 Sv` is larger
        99999999999999999999 nSv      | `99999999999999999999 nSv` is larger
        99999999999999999999.5 mrem   | `99999999999999999999.5 mrem` is larger
        0.00001 mrem                  | `0.00001 mrem` is finer than can be kept: `mrem` takes 4
        1.00000000000000000001 mrem   | `1.00000000000000000001 mrem` is finer
        0.00000000000000000000001 Sv  | `0.00000000000000000000001 Sv` is finer
        1,2 mrem                      | `1,2 mrem` has a comma: the decimal sign is a point
        1,200 mrem                    | `1,200 mrem` has a comma
        ,5 mrem                       | `,5 mrem` has a comma
        1e3 mrem                      | `1e3 mrem` is in exponent form
        1.2E-3 mrem                   | `1.2E-3 mrem` is in exponent form
        12. mrem                      | `12. mrem` ends at the decimal point
        -12 mrem                      | `-12 mrem` is below zero
        -0 mrem                       | `-0 mrem` is below zero
        \u{2212}12 mrem                      | `\u{2212}12 mrem` is below zero
        1 200 mrem                    | `1 200 mrem` cannot be read as dose
        1.2.3 mrem                    | `1.2.3 mrem` cannot be read as dose
        1_200 mrem                    | `1_200 mrem` cannot be read as dose
        --1 mrem                      | `--1 mrem` cannot be read as dose
        mrem                          | `mrem` cannot be read as dose
        .                             | `.` cannot be read as dose
        twelve                        | `twelve` cannot be read as dose
        \u{661}\u{662} mrem                       | `\u{661}\u{662} mrem` cannot be read as dose
        12 Mrem                       | `Mrem` is not a unit of dose: capitals count, was `mrem` m
        12 msv                        | `msv` is not a unit of dose: capitals count, was `mSv` m
        12 mGy                        | `mGy` is not a unit of dose: write one of mrem, rem, urem,
        12 mrem/h                     | `mrem/h` is not a unit of dose: write one of mrem
        12 mR                         | `12 mR` is exposure in air, not dose: write it in one of m
        12 mR/h                       | `mR/h` is not a unit of dose: write one of mrem
    ";

    #[test]
    fn a_dose_is_read_exactly_or_refused_with_what_would_be_right() {
        let mut rows = 0;
        for row in DOSES.lines().filter(|row| !row.trim().is_empty()) {
            let (text, wanted) = row.rsplit_once('|').unwrap();
            let (text, wanted) = (text.trim(), wanted.trim());
            match Dose::parse(text, Some(DoseUnit::Millirem)) {
                Ok(dose) => assert_eq!(dose.nsv().to_string(), wanted, "{text}"),
                Err(refusal) => {
                    let said = refusal.to_string();
                    assert!(said.starts_with(wanted), "{text}: {said}");
                }
            }
            rows += 1;
        }
        assert_eq!(rows, 45);
    }

    #[test]
    fn an_empty_place_and_a_missing_unit_are_refused() {
        let empty = Dose::parse("  ", Some(DoseUnit::Millirem));
        assert_eq!(empty, Err(QuantityError::Empty { what: "dose" }));
        let bare = Dose::parse("12", None).unwrap_err().to_string();
        assert_eq!(
            bare,
            "`12` has no unit: write it with one of mrem, rem, urem, mSv, uSv, Sv, nSv"
        );
    }

    #[test]
    fn a_unit_that_is_written_wins_over_the_agreed_one() {
        let dose = Dose::parse("1 mSv", Some(DoseUnit::Millirem));
        assert_eq!(dose, Ok(Dose::from_nsv(1_000_000)));
    }

    #[test]
    fn a_difference_may_be_below_zero() {
        assert_eq!(
            Dose::parse_signed("-3 mrem", None),
            Ok(Dose::from_nsv(-30_000))
        );
        assert_eq!(
            Angle::parse("-2.5 deg", None),
            Ok(Angle::from_millidegrees(-2_500))
        );
        assert_eq!(
            Length::parse_signed("-0.001 in", None),
            Ok(Length::from_nm(-25_400))
        );
    }

    #[test]
    fn printing_rounds_half_to_even_and_never_to_a_zero_that_is_not_one() {
        for (count, decimals, wanted) in [
            (12_500_i64, 0, "1"),
            (5_000, 0, "<1"),
            (15_000, 0, "2"),
            (25_000, 0, "2"),
            (35_000, 0, "4"),
            (25_001, 0, "3"),
            (-25_000, 0, "-2"),
            (-1, 1, ">-0.1"),
            (1, 4, "0.0001"),
            (1, 3, "<0.001"),
            (0, 3, "0"),
            (120_000, 4, "12"),
            (120_500, 4, "12.05"),
            (i64::MAX, 4, "922337203685477.5807"),
            (i64::MIN, 4, "-922337203685477.5808"),
        ] {
            let mut out = String::new();
            write(&mut out, count, 10_000, decimals).unwrap();
            assert_eq!(out, wanted, "{count} at {decimals}");
        }
    }

    fn any_count() -> impl Strategy<Value = i64> {
        prop_oneof![0..=MOST, 0..=10_000_000_i64]
    }

    proptest! {
        #[test]
        fn what_is_printed_of_a_dose_reads_back_in_every_unit(count in any_count()) {
            for unit in DoseUnit::ALL {
                let dose = Dose::from_nsv(count);
                prop_assert_eq!(Dose::parse(&dose.display(*unit), None), Ok(dose));
                let less = Dose::from_nsv(-count);
                prop_assert_eq!(Dose::parse_signed(&less.display(*unit), None), Ok(less));
            }
        }

        #[test]
        fn what_is_printed_of_metric_values_reads_back(count in any_count()) {
            let length = Length::from_nm(count);
            for unit in LengthUnit::ALL {
                if !matches!(unit, LengthUnit::Inch | LengthUnit::Foot) {
                    prop_assert_eq!(Length::parse(&length.display(*unit), None), Ok(length));
                }
            }
            let activity = Activity::from_bq(count);
            for unit in &ActivityUnit::ALL[3..] {
                prop_assert_eq!(Activity::parse(&activity.display(*unit), None), Ok(activity));
            }
            let angle = Angle::from_millidegrees(count);
            prop_assert_eq!(Angle::parse(&angle.display(AngleUnit::Degree), None), Ok(angle));
        }

        #[test]
        fn what_was_written_in_inches_or_curies_prints_as_it_was_written(
            whole in 0..100_000_u32, decimals in 0..100_000_u32,
        ) {
            let number = format!("{whole}.{decimals:05}");
            let plain = number.trim_end_matches('0').trim_end_matches('.').to_owned();
            let length = Length::parse(&format!("{number} in"), None).unwrap();
            prop_assert_eq!(length.display(LengthUnit::Inch), format!("{plain} in"));
            let activity = Activity::parse(&format!("{number} Ci"), None).unwrap();
            prop_assert_eq!(activity.display(ActivityUnit::Curie), format!("{plain} Ci"));
        }

        #[test]
        fn reading_any_text_at_all_answers_and_does_not_stop(text in ".*") {
            let _ = Dose::parse(&text, Some(DoseUnit::Millirem));
            let _ = Length::parse_signed(&text, None);
            let _ = DoseUnit::parse(&text);
        }

        #[test]
        fn reading_any_number_keeps_within_what_an_entry_carries(
            text in "[-+]?[0-9]{0,25}[.]?[0-9]{0,25} ?(nSv|mrem|Sv|rem)",
        ) {
            if let Ok(dose) = Dose::parse_signed(&text, None) {
                prop_assert!(dose.nsv().abs() <= MOST);
            }
        }

        #[test]
        fn a_rounded_print_is_within_half_of_its_last_place(
            count in 10_000..=MOST, decimals in 0_u32..4,
        ) {
            let shown = Dose::from_nsv(count).display_rounded(DoseUnit::Millirem, decimals);
            if let Ok(read) = Dose::parse(&shown, None) {
                let half = 10_000 / 10_i64.pow(decimals) / 2;
                prop_assert!((read.nsv() - count).abs() <= half, "{} of {}", shown, count);
            } else {
                // Rounded up past the largest that is read.
                prop_assert!(count > MOST - 10_000);
            }
        }
    }
}
