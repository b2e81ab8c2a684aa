//! Decimal text to whole numbers and back, exactly.
//!
//! A bulk import reads some millions of short texts, so nothing is allocated until a text is
//! refused.

use std::fmt::{self, Write};
use std::marker::PhantomData;

use serde::de::{Deserializer, Error as _, Visitor};

use super::error::QuantityError;

/// The largest number an entry carries: canonical JSON keeps whole numbers within
/// +-(2^53 - 1), which other programs read without loss.
pub(super) const MOST: i64 = (1 << 53) - 1;

/// Digits that are kept while reading. Every number up to [`MOST`] in every unit of this room
/// needs at most 16 once trailing zeros are dropped.
const DIGITS: u32 = 18;

/// A closed list of units of one quantity.
pub(super) trait Unit: Copy + 'static {
    /// The quantity, as in `dose`.
    const WHAT: &'static str;
    fn from_symbol(symbol: &str) -> Option<Self>;
    fn all() -> &'static [Self];
    fn symbol(self) -> &'static str;
    fn size(self) -> i64;
}

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

/// The unit of a symbol alone.
pub(super) fn unit<U: Unit>(symbol: &str) -> Result<U, QuantityError> {
    U::from_symbol(symbol).ok_or_else(|| unknown::<U>(symbol))
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
    let mut full = false;
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
                    None => full = true,
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
    if full && decimals == 0 {
        return Err(QuantityError::TooLarge {
            text: text.to_owned(),
        });
    }
    // More digits than are kept, some of them behind the point: left to `scale` to refuse.
    let decimals = if full { u32::MAX } else { decimals };
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

/// The decimals that every number in a unit of this size can carry: its factors of ten.
pub(super) const fn carried_decimals(size: i64) -> u32 {
    let mut left = size;
    let mut decimals = 0;
    while left != 0 && left % 10 == 0 {
        left /= 10;
        decimals += 1;
    }
    decimals
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
    while fraction % 10 == 0 {
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

fn known<U: Unit>() -> String {
    let mut list = String::new();
    for unit in U::all() {
        if !list.is_empty() {
            list.push_str(", ");
        }
        list.push_str(unit.symbol());
    }
    list
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

fn unknown<U: Unit>(symbol: &str) -> QuantityError {
    let other_case = U::all()
        .iter()
        .find(|unit| unit.symbol().eq_ignore_ascii_case(symbol));
    let right = match other_case {
        Some(unit) => format!("capitals count, was `{}` meant?", unit.symbol()),
        None => format!("write one of {}", known::<U>()),
    };
    QuantityError::UnknownUnit {
        unit: symbol.to_owned(),
        what: U::WHAT,
        right,
    }
}

/// Reads a unit from its symbol in stored or configured data.
pub(super) fn deserialize_unit<'de, D, U>(from: D) -> Result<U, D::Error>
where
    D: Deserializer<'de>,
    U: Unit,
{
    struct Symbol<U>(PhantomData<U>);
    impl<U: Unit> Visitor<'_> for Symbol<U> {
        type Value = U;

        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            write!(f, "a unit of {}: one of {}", U::WHAT, known::<U>())
        }

        fn visit_str<E: serde::de::Error>(self, symbol: &str) -> Result<U, E> {
            unit(symbol).map_err(E::custom)
        }
    }
    from.deserialize_str(Symbol(PhantomData))
        .map_err(D::Error::custom)
}
