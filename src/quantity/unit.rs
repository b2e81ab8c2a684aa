//! What the units of every quantity have in common.

use std::fmt;
use std::marker::PhantomData;

use serde::de::{Deserializer, Error as _, Visitor};

use super::error::QuantityError;

/// A closed list of units of one quantity.
pub(super) trait Unit: Copy + 'static {
    /// The quantity, as in `dose`.
    const WHAT: &'static str;
    fn from_symbol(symbol: &str) -> Option<Self>;
    fn all() -> &'static [Self];
    fn symbol(self) -> &'static str;
    fn size(self) -> i64;
}

/// The unit of a symbol alone.
pub(super) fn by_symbol<U: Unit>(symbol: &str) -> Result<U, QuantityError> {
    U::from_symbol(symbol).ok_or_else(|| unknown::<U>(symbol))
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

/// The symbols of all the units, for a message.
pub(super) fn known<U: Unit>() -> String {
    let mut list = String::new();
    for unit in U::all() {
        if !list.is_empty() {
            list.push_str(", ");
        }
        list.push_str(unit.symbol());
    }
    list
}

/// A symbol that is none of the units, with what would be right.
pub(super) fn unknown<U: Unit>(symbol: &str) -> QuantityError {
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
            by_symbol(symbol).map_err(E::custom)
        }
    }
    from.deserialize_str(Symbol(PhantomData))
        .map_err(D::Error::custom)
}

#[cfg(test)]
mod tests {
    use super::super::DoseUnit;
    use super::*;

    #[test]
    fn the_decimals_of_a_unit_are_those_it_can_always_carry() {
        for (size, decimals) in [(1, 0), (10, 1), (10_000, 4), (37_000_000_000, 9), (0, 0)] {
            assert_eq!(carried_decimals(size), decimals, "{size}");
        }
    }

    #[test]
    fn a_unit_is_stored_as_its_symbol_and_an_unknown_one_is_named() {
        let stored = serde_json::to_string(&DoseUnit::MicroSievert).unwrap();
        assert_eq!(stored, "\"uSv\"");
        assert_eq!(
            serde_json::from_str::<DoseUnit>(&stored).unwrap(),
            DoseUnit::MicroSievert
        );
        let said = serde_json::from_str::<DoseUnit>("\"sievert\"")
            .unwrap_err()
            .to_string();
        assert!(
            said.starts_with("`sievert` is not a unit of dose"),
            "{said}"
        );
    }
}
