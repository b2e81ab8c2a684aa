//! How the doses are called in what people read. Names of columns, flags and fields stay.

use super::form::DoseBands;
use super::offer::{has_section, offer};
use super::rule_set::RuleSet;
use super::word::Quantity;
use crate::quantity::{Dose, DoseRate};

/// Whose names the doses have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Terms {
    /// The depth at which a dose is taken: deep, shallow. The authority's form has them so.
    #[default]
    Depth,
    /// What a dosimeter shows and what a limit is of: Hp(10), skin.
    Personal,
}

impl Terms {
    /// The short name: for a column, or before `limit`.
    pub const fn short(self, quantity: Quantity) -> &'static str {
        match (self, quantity) {
            (Self::Personal, Quantity::Deep) => "Hp(10)",
            (Self::Personal, Quantity::Shallow) => "skin",
            (_, quantity) => quantity.name(),
        }
    }

    /// The same of a name that a program reads; of another word, that word.
    pub fn short_of(self, name: &str) -> &str {
        Quantity::from_name(name).map_or(name, |it| self.short(it))
    }

    /// The name in a sentence.
    pub const fn dose(self, quantity: Quantity) -> &'static str {
        match (self, quantity) {
            (Self::Depth, Quantity::Deep) => "deep dose",
            (Self::Personal, Quantity::Deep) => "whole-body dose Hp(10)",
            (_, Quantity::Lens) => "lens dose",
            (Self::Depth, Quantity::Shallow) => "shallow dose",
            (Self::Personal, Quantity::Shallow) => "skin dose",
            (_, Quantity::Extremity) => "extremity dose",
        }
    }

    /// The dose of the whole body at the beginning of a sentence.
    pub const fn heading(self) -> &'static str {
        match self {
            Self::Depth => "Deep dose",
            Self::Personal => "Whole-body dose Hp(10)",
        }
    }
}

impl RuleSet {
    /// A dose rate as findings of this rule set print it.
    pub fn print_rate(&self, rate: DoseRate) -> String {
        rate.display(self.rate_unit())
    }

    /// A dose as tables of this rule set print it.
    pub fn print(&self, dose: Dose) -> String {
        dose.display(self.unit)
    }

    /// The bands of dose of its law; of a rule set that was written out while it named them without
    /// their edges, those of the built-in rule set that it starts from.
    pub fn dose_bands(&self) -> Option<DoseBands> {
        self.bands.clone().or_else(|| {
            self.rule("dose-bands")?;
            let root = offer(self.root())?;
            RuleSet::parse(root.text).ok()?.bands
        })
    }

    /// Whose names the doses have under this rule set: the depths where it, or the one that it
    /// starts from, has a form that names them so.
    pub fn terms(&self) -> Terms {
        match self.form.is_some() || has_section(self.root(), "[form]") {
            true => Terms::Depth,
            false => Terms::Personal,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn doses_are_deep_and_shallow_where_the_form_calls_them_so() {
        for (name, whole, skin) in [
            ("10 CFR", "deep", "shallow dose"),
            ("Canada", "Hp(10)", "skin dose"),
            ("EU", "Hp(10)", "skin dose"),
            ("IAEA", "Hp(10)", "skin dose"),
        ] {
            let terms = RuleSet::parse(offer(name).expect("it").text)
                .expect("it reads")
                .terms();
            assert_eq!(terms.short(Quantity::Deep), whole, "{name}");
            assert_eq!(terms.dose(Quantity::Shallow), skin, "{name}");
            assert_eq!(terms.short_of("a word of another"), "a word of another");
        }
    }
}
