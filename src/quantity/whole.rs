//! The two patterns of this room: a checked whole number, and a closed list of units.

/// Makes a quantity: a whole number of its smallest unit with checked arithmetic.
macro_rules! whole {
    ($(#[$doc:meta])* $name:ident, $from:ident, $get:ident, $unit:literal) => {
        $(#[$doc])*
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default,
            serde::Serialize, serde::Deserialize,
        )]
        #[serde(transparent)]
        pub struct $name(i64);

        impl $name {
            /// None of it.
            pub const ZERO: Self = Self(0);

            #[doc = concat!("From a whole number of ", $unit, ".")]
            pub const fn $from(count: i64) -> Self {
                Self(count)
            }

            #[doc = concat!("As a whole number of ", $unit, ".")]
            pub const fn $get(self) -> i64 {
                self.0
            }

            /// The sum.
            ///
            /// # Errors
            /// [`Overflow`](crate::quantity::Overflow) if it does not fit.
            pub fn checked_add(self, other: Self) -> Result<Self, crate::quantity::Overflow> {
                self.0.checked_add(other.0).map(Self).ok_or(crate::quantity::Overflow)
            }

            /// The difference, which may be below zero.
            ///
            /// # Errors
            /// [`Overflow`](crate::quantity::Overflow) if it does not fit.
            pub fn checked_sub(self, other: Self) -> Result<Self, crate::quantity::Overflow> {
                self.0.checked_sub(other.0).map(Self).ok_or(crate::quantity::Overflow)
            }

            /// The multiple.
            ///
            /// # Errors
            /// [`Overflow`](crate::quantity::Overflow) if it does not fit.
            pub fn checked_mul(self, times: i64) -> Result<Self, crate::quantity::Overflow> {
                self.0.checked_mul(times).map(Self).ok_or(crate::quantity::Overflow)
            }

            /// The total of many.
            ///
            /// # Errors
            /// [`Overflow`](crate::quantity::Overflow) if it does not fit at any step.
            pub fn sum<I>(parts: I) -> Result<Self, crate::quantity::Overflow>
            where
                I: IntoIterator<Item = Self>,
            {
                parts.into_iter().try_fold(Self::ZERO, Self::checked_add)
            }
        }
    };
}

/// Makes the units of a quantity: name, size in the smallest unit, the symbol that is printed
/// and the other spellings that are read. Case counts, since `m` and `M` differ by 10^9.
macro_rules! units {
    (
        $(#[$doc:meta])* $name:ident of $what:literal {
            $( $(#[$line:meta])* $unit:ident = $size:literal, $symbol:literal $(| $also:literal)* ; )+
        }
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name {
            $( $(#[$line])* $unit, )+
        }

        impl $name {
            /// All of them, in the order in which messages list them.
            pub const ALL: &[Self] = &[$( Self::$unit ),+];

            /// The symbol as printed, plain ASCII.
            pub const fn symbol(self) -> &'static str {
                match self { $( Self::$unit => $symbol, )+ }
            }

            /// How many of the smallest unit make one of this.
            pub const fn size(self) -> i64 {
                match self { $( Self::$unit => $size, )+ }
            }

            /// How many decimals a number in this unit can always carry.
            pub const fn decimals(self) -> u32 {
                crate::quantity::decimal::carried_decimals(self.size())
            }

            /// The unit of a symbol; both micro signs and a plain `u` are read.
            ///
            /// # Errors
            /// [`QuantityError::UnknownUnit`](crate::quantity::QuantityError::UnknownUnit),
            /// naming the units that would do.
            pub fn parse(symbol: &str) -> Result<Self, crate::quantity::QuantityError> {
                crate::quantity::decimal::unit(symbol.trim())
            }
        }

        impl crate::quantity::decimal::Unit for $name {
            const WHAT: &'static str = $what;

            fn from_symbol(symbol: &str) -> Option<Self> {
                match symbol {
                    $( $symbol $(| $also)* => Some(Self::$unit), )+
                    _ => None,
                }
            }

            fn all() -> &'static [Self] {
                Self::ALL
            }

            fn symbol(self) -> &'static str {
                Self::symbol(self)
            }

            fn size(self) -> i64 {
                Self::size(self)
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.symbol())
            }
        }

        impl std::str::FromStr for $name {
            type Err = crate::quantity::QuantityError;

            fn from_str(text: &str) -> Result<Self, Self::Err> {
                Self::parse(text)
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
                out.serialize_str(self.symbol())
            }
        }

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                crate::quantity::decimal::deserialize_unit(from)
            }
        }
    };
}
