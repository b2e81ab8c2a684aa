//! What an inspection can measure: a length, an angle or a rate on a meter's face.

use std::fmt;

use super::angle::{Angle, AngleUnit};
use super::decimal::{self, Sign};
use super::dose_rate::{DoseRate, MeterUnit};
use super::error::QuantityError;
use super::length::{Length, LengthUnit};
use super::unit::{Unit, by_symbol, known};

/// Which of the three something is. Two amounts go together only within one kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum AmountKind {
    /// In whole nanometre.
    Length,
    /// In whole millidegree.
    Angle,
    /// In whole nanosievert an hour.
    Rate,
}

impl AmountKind {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Length, Self::Angle, Self::Rate];

    /// As `length`, for a message and for a stored column.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Length => "length",
            Self::Angle => "angle",
            Self::Rate => "dose rate",
        }
    }

    fn article(self) -> &'static str {
        match self {
            Self::Angle => "an",
            Self::Length | Self::Rate => "a",
        }
    }

    /// The units that would do, for a message.
    fn known(self) -> String {
        match self {
            Self::Length => known::<LengthUnit>(),
            Self::Angle => known::<AngleUnit>(),
            Self::Rate => known::<MeterUnit>(),
        }
    }
}

impl fmt::Display for AmountKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

/// The unit that an amount was written in, kept so that it prints as it was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum AmountUnit {
    /// A unit of length.
    Length(LengthUnit),
    /// A unit of angle.
    Angle(AngleUnit),
    /// A unit of a meter's face.
    Rate(MeterUnit),
}

impl AmountUnit {
    /// The unit of a symbol, as `in`, `deg`, `mR/h`.
    ///
    /// # Errors
    /// [`QuantityError::UnknownUnit`], naming the units that would do.
    pub fn parse(symbol: &str) -> Result<Self, QuantityError> {
        by_symbol(symbol.trim())
    }

    /// The unit in which a text such as `0.25 in` is written.
    ///
    /// # Errors
    /// What [`Amount::parse`] would say of the text.
    pub fn of(text: &str) -> Result<Self, QuantityError> {
        Amount::parse_with_unit(text, None).map(|(_, unit)| unit)
    }

    /// Which kind of amount it measures.
    pub const fn kind(self) -> AmountKind {
        match self {
            Self::Length(_) => AmountKind::Length,
            Self::Angle(_) => AmountKind::Angle,
            Self::Rate(_) => AmountKind::Rate,
        }
    }

    /// The symbol as printed, plain ASCII.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Length(unit) => unit.symbol(),
            Self::Angle(unit) => unit.symbol(),
            Self::Rate(unit) => unit.symbol(),
        }
    }

    /// How many of the base unit of its kind (nm, millidegree, nSv/h) make one of this.
    pub const fn size(self) -> i64 {
        match self {
            Self::Length(unit) => unit.size(),
            Self::Angle(unit) => unit.size(),
            Self::Rate(unit) => unit.size(),
        }
    }
}

impl fmt::Display for AmountUnit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.symbol())
    }
}

impl serde::Serialize for AmountUnit {
    fn serialize<S: serde::Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        out.serialize_str(self.symbol())
    }
}

/// No symbol stands for two kinds of amount, which a test holds.
const UNITS: &[AmountUnit] = &[
    AmountUnit::Length(LengthUnit::Inch),
    AmountUnit::Length(LengthUnit::Millimetre),
    AmountUnit::Length(LengthUnit::Centimetre),
    AmountUnit::Length(LengthUnit::Metre),
    AmountUnit::Length(LengthUnit::Foot),
    AmountUnit::Length(LengthUnit::Micrometre),
    AmountUnit::Angle(AngleUnit::Degree),
    AmountUnit::Rate(MeterUnit::Milliroentgen),
    AmountUnit::Rate(MeterUnit::Roentgen),
    AmountUnit::Rate(MeterUnit::MicroRoentgen),
];

impl Unit for AmountUnit {
    const WHAT: &'static str = "length, angle or dose rate";

    fn from_symbol(symbol: &str) -> Option<Self> {
        <LengthUnit as Unit>::from_symbol(symbol)
            .map(Self::Length)
            .or_else(|| <AngleUnit as Unit>::from_symbol(symbol).map(Self::Angle))
            .or_else(|| <MeterUnit as Unit>::from_symbol(symbol).map(Self::Rate))
    }

    fn all() -> &'static [Self] {
        UNITS
    }

    fn symbol(self) -> &'static str {
        Self::symbol(self)
    }

    fn size(self) -> i64 {
        Self::size(self)
    }
}

/// A length, an angle or a rate: what an item of a checklist measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Amount {
    /// A length, zero or more.
    Length(Length),
    /// An angle, which may be below zero.
    Angle(Angle),
    /// A rate on a meter's face, zero or more. 1 mR/h counts as 1 mrem/h by convention, as
    /// [`DoseRate::parse_meter_rate`] says.
    Rate(DoseRate),
}

impl Amount {
    /// Reads `0.25 in`, `6 deg`, `120 mR/h`; with `like`, a bare number takes that unit and
    /// only an amount of its kind will do.
    ///
    /// # Errors
    /// [`QuantityError`] for anything that is not exactly an amount of the kind.
    pub fn parse(text: &str, like: Option<AmountUnit>) -> Result<Self, QuantityError> {
        Self::parse_with_unit(text, like).map(|(amount, _)| amount)
    }

    /// The same, with the unit that was written or, for a bare number, taken.
    ///
    /// # Errors
    /// As [`parse`](Self::parse).
    pub fn parse_with_unit(
        text: &str,
        like: Option<AmountUnit>,
    ) -> Result<(Self, AmountUnit), QuantityError> {
        let kind = like.map(AmountUnit::kind);
        let read = match like {
            None => any_kind(text),
            Some(AmountUnit::Length(bare)) => {
                decimal::parse(text, Some(bare), Sign::Refused).map(|(n, u)| length(n, u))
            }
            Some(AmountUnit::Angle(bare)) => {
                decimal::parse(text, Some(bare), Sign::Allowed).map(|(n, u)| angle(n, u))
            }
            Some(AmountUnit::Rate(bare)) => {
                decimal::parse(text, Some(bare), Sign::Refused).map(|(n, u)| rate(n, u))
            }
        };
        match (read, kind) {
            (Err(QuantityError::UnknownUnit { unit, what, right }), Some(kind)) => {
                Err(match <AmountUnit as Unit>::from_symbol(&unit) {
                    Some(other) => wrong_kind(text, other.kind(), kind),
                    None => QuantityError::UnknownUnit { unit, what, right },
                })
            }
            (read, _) => read,
        }
    }

    /// An amount of the kind, from a whole number of its base unit: nm, millidegree, nSv/h.
    pub const fn from_count(kind: AmountKind, count: i64) -> Self {
        match kind {
            AmountKind::Length => Self::Length(Length::from_nm(count)),
            AmountKind::Angle => Self::Angle(Angle::from_millidegrees(count)),
            AmountKind::Rate => Self::Rate(DoseRate::from_nsv_per_hour(count)),
        }
    }

    /// As a whole number of its base unit: nm, millidegree, nSv/h.
    pub const fn count(self) -> i64 {
        match self {
            Self::Length(length) => length.nm(),
            Self::Angle(angle) => angle.millidegrees(),
            Self::Rate(rate) => rate.nsv_per_hour(),
        }
    }

    /// Which kind it is.
    pub const fn kind(self) -> AmountKind {
        match self {
            Self::Length(_) => AmountKind::Length,
            Self::Angle(_) => AmountKind::Angle,
            Self::Rate(_) => AmountKind::Rate,
        }
    }

    /// As `0.25 in`, exact wherever the unit can carry it. In a unit of another kind, which
    /// is a mistake of the caller, it prints in the base unit of its own kind.
    pub fn display(self, unit: AmountUnit) -> String {
        let count = self.count();
        match (self, unit) {
            (Self::Length(_), AmountUnit::Length(unit)) => {
                decimal::display(count, unit, unit.decimals())
            }
            (Self::Angle(_), AmountUnit::Angle(unit)) => {
                decimal::display(count, unit, unit.decimals())
            }
            (Self::Rate(_), AmountUnit::Rate(unit)) => {
                decimal::display(count, unit, unit.decimals())
            }
            (Self::Length(_), _) => format!("{count} nm"),
            (Self::Angle(_), _) => format!("{count} millideg"),
            (Self::Rate(_), _) => format!("{count} nSv/h"),
        }
    }
}

fn length(count: i64, unit: LengthUnit) -> (Amount, AmountUnit) {
    let amount = Amount::Length(Length::from_nm(count));
    (amount, AmountUnit::Length(unit))
}

fn angle(count: i64, unit: AngleUnit) -> (Amount, AmountUnit) {
    let amount = Amount::Angle(Angle::from_millidegrees(count));
    (amount, AmountUnit::Angle(unit))
}

fn rate(count: i64, unit: MeterUnit) -> (Amount, AmountUnit) {
    let amount = Amount::Rate(DoseRate::from_nsv_per_hour(count));
    (amount, AmountUnit::Rate(unit))
}

/// Where no kind is agreed, the unit says which it is.
fn any_kind(text: &str) -> Result<(Amount, AmountUnit), QuantityError> {
    let (count, unit) = decimal::parse::<AmountUnit>(text, None, Sign::Allowed)?;
    let kind = unit.kind();
    if count < 0 && kind != AmountKind::Angle {
        return Err(QuantityError::Negative {
            text: text.trim().to_owned(),
            what: kind.word(),
        });
    }
    Ok((Amount::from_count(kind, count), unit))
}

fn wrong_kind(text: &str, found: AmountKind, wanted: AmountKind) -> QuantityError {
    QuantityError::WrongKind {
        text: text.trim().to_owned(),
        found: format!("{} {found}", found.article()),
        wanted: format!("{} {wanted}", wanted.article()),
        known: wanted.known(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const INCH: AmountUnit = AmountUnit::Length(LengthUnit::Inch);
    const DEGREE: AmountUnit = AmountUnit::Angle(AngleUnit::Degree);
    const MR: AmountUnit = AmountUnit::Rate(MeterUnit::Milliroentgen);

    #[test]
    fn an_amount_is_read_by_its_unit_and_prints_as_it_was_written() {
        for (text, kind, count) in [
            ("0.25 in", AmountKind::Length, 6_350_000),
            ("5.9 mm", AmountKind::Length, 5_900_000),
            ("6 deg", AmountKind::Angle, 6_000),
            ("-6.5 deg", AmountKind::Angle, -6_500),
            ("120 mR/h", AmountKind::Rate, 1_200_000),
            ("1.2 mSv/h", AmountKind::Rate, 1_200_000),
            ("0.02 R/h", AmountKind::Rate, 200_000),
        ] {
            let (amount, unit) = Amount::parse_with_unit(text, None).unwrap();
            assert_eq!((amount.kind(), amount.count()), (kind, count), "{text}");
            assert_eq!(amount.display(unit), text);
            assert_eq!(AmountUnit::of(text), Ok(unit));
            assert_eq!(Amount::parse(text, Some(unit)), Ok(amount));
        }
    }

    #[test]
    fn a_bare_number_takes_the_unit_that_is_agreed_and_none_is_guessed() {
        let read = Amount::parse("0.25", Some(INCH));
        assert_eq!(read, Amount::parse("0.25 in", None));
        let metric = Amount::parse("6.4 mm", Some(INCH)).unwrap();
        assert_eq!(metric.count(), 6_400_000);
        let said = Amount::parse("0.25", None).unwrap_err().to_string();
        assert!(
            said.starts_with("`0.25` has no unit: write it with"),
            "{said}"
        );
    }

    #[test]
    fn an_amount_of_another_kind_is_refused_in_plain_words() {
        for (text, like, wanted) in [
            (
                "6 deg",
                INCH,
                "`6 deg` is an angle and a length is wanted: write it in one of mm, in",
            ),
            (
                "0.25 in",
                MR,
                "`0.25 in` is a length and a dose rate is wanted: write it in one of mR/h",
            ),
            (
                "2 mR/h",
                DEGREE,
                "`2 mR/h` is a dose rate and an angle is wanted: write it in one of deg",
            ),
            ("2 mR", MR, "`mR` is not a unit of meter reading"),
            ("2 fathom", INCH, "`fathom` is not a unit of length"),
            ("-0.25 in", INCH, "`-0.25 in` is below zero, which length"),
            ("0,25 in", INCH, "`0,25 in` has a comma"),
        ] {
            let said = Amount::parse(text, Some(like)).unwrap_err().to_string();
            assert!(said.starts_with(wanted), "{text}: {said}");
        }
        let said = Amount::parse("-0.25 in", None).unwrap_err().to_string();
        assert!(said.starts_with("`-0.25 in` is below zero"), "{said}");
    }

    #[test]
    fn no_symbol_stands_for_two_kinds() {
        let lengths = LengthUnit::ALL.iter().map(|unit| unit.symbol());
        let angles = AngleUnit::ALL.iter().map(|unit| unit.symbol());
        let rates = <MeterUnit as Unit>::all().iter().map(|unit| unit.symbol());
        let mut seen = Vec::new();
        for symbol in lengths.chain(angles).chain(rates) {
            assert!(!seen.contains(&symbol), "{symbol}");
            assert_eq!(
                AmountUnit::parse(symbol).map(AmountUnit::symbol),
                Ok(symbol)
            );
            seen.push(symbol);
        }
        assert_eq!(seen.len(), 17);
    }

    proptest! {
        #[test]
        fn what_is_printed_of_an_amount_reads_back(thousandths in 0..=1_000_000_i64) {
            for unit in UNITS {
                let count = thousandths * (unit.size() / 1_000).max(1);
                let amount = Amount::from_count(unit.kind(), count);
                let shown = amount.display(*unit);
                prop_assert_eq!(Amount::parse(&shown, None), Ok(amount), "{}", shown);
            }
        }
    }
}
