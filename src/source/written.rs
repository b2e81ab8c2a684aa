//! Dose-rate constants as people write them, with their unit.

use std::str::FromStr;

use super::Constant;
use super::constant::GammaUnit;

/// A text that is no constant with its unit.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{given}` is not a constant with its unit, such as `0.48 R m2/(h Ci)`")]
pub struct NotAConstant {
    /// What was written.
    pub given: String,
}

impl FromStr for Constant {
    type Err = NotAConstant;

    /// Reads `0.48 R m2/(h Ci)`; blanks and signs of multiplication may be left out.
    fn from_str(text: &str) -> Result<Self, NotAConstant> {
        let refused = || NotAConstant {
            given: text.trim().to_owned(),
        };
        let plain = plain_of(text);
        let end = plain
            .find(|it: char| !it.is_ascii_digit() && it != '.')
            .ok_or_else(refused)?;
        let (number, symbol) = plain.split_at(end);
        let value: f64 = number.parse().map_err(|_| refused())?;
        let unit = GammaUnit::ALL.into_iter().find(|it| {
            let known = plain_of(it.symbol());
            symbol == known || symbol == known.replace(['(', ')'], "")
        });
        match unit {
            Some(unit) if value > 0.0 && value.is_finite() => Ok(Self::written(value, unit)),
            _ => Err(refused()),
        }
    }
}

/// A unit's text without blanks and signs of multiplication, in ASCII.
fn plain_of(text: &str) -> String {
    let mut plain = String::new();
    for sign in text.chars() {
        match sign {
            ' ' | '*' | '\u{b7}' | '\u{22c5}' => {}
            '\u{b5}' | '\u{3bc}' => plain.push('u'),
            '\u{b2}' => plain.push('2'),
            '^' => {}
            other => plain.push(other),
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::Spread;

    #[test]
    fn a_constant_is_read_in_the_units_people_write() {
        for (text, unit, value) in [
            ("0.48 R m2/(h Ci)", GammaUnit::RoentgenPerCurie, 0.48),
            (
                "5.2 R\u{b7}ft\u{b2}/(h\u{b7}Ci)",
                GammaUnit::RoentgenPerCurieAtAFoot,
                5.2,
            ),
            (
                "130 \u{b5}Sv\u{b7}m\u{b2}/(h\u{b7}GBq)",
                GammaUnit::MicroSievert,
                130.0,
            ),
            ("109.2uGy m^2/h GBq", GammaUnit::MicroGray, 109.2),
            ("480 mR m2/(h Ci)", GammaUnit::MilliRoentgenPerCurie, 480.0),
        ] {
            let read: Constant = text.parse().unwrap();
            assert_eq!(
                (read.unit, read.value),
                (unit, Spread::one(value)),
                "{text}"
            );
        }
        for text in [
            "0.48",
            "R m2/(h Ci)",
            "0.48 R",
            "0,48 R m2/(h Ci)",
            "0 R m2/(h Ci)",
            "",
        ] {
            assert!(text.parse::<Constant>().is_err(), "{text}");
        }
    }

    #[test]
    fn units_agree_where_they_say_the_same() {
        let per_bq = |text: &str| text.parse::<Constant>().unwrap().nsv_per_hour_bq().high;
        for (one, other) in [
            ("0.48 R m2/(h Ci)", "480 mR m2/(h Ci)"),
            ("0.48 rem m2/(h Ci)", "4.8 mSv m2/(h Ci)"),
            ("130 uSv m2/(h GBq)", "0.13 mSv m2/(h GBq)"),
            ("130 uSv m2/(h GBq)", "4.81 mSv m2/(h Ci)"),
        ] {
            let relative = per_bq(one) / per_bq(other) - 1.0;
            assert!(relative.abs() < 1e-14, "{one}, {other}: {relative}");
        }
    }
}
