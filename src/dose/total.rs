//! Totals: one a quantity, split by where the dose comes from, with what is
//! not known counted beside it.

use crate::quantity::{Dose, DoseUnit, Overflow};
use crate::rule::Quantity;

/// One value for each quantity that limits speak of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PerQuantity<T> {
    /// Deep dose (whole body).
    pub deep: T,
    /// Dose to the lens of the eye.
    pub lens: T,
    /// Shallow dose (skin of the whole body).
    pub shallow: T,
    /// Dose to the most exposed extremity.
    pub extremity: T,
}

/// The quantities in the order in which tables show them.
pub const QUANTITIES: [Quantity; 4] = [
    Quantity::Deep,
    Quantity::Lens,
    Quantity::Shallow,
    Quantity::Extremity,
];

impl<T> PerQuantity<T> {
    /// The value of one quantity.
    pub fn get(&self, quantity: Quantity) -> &T {
        match quantity {
            Quantity::Deep => &self.deep,
            Quantity::Lens => &self.lens,
            Quantity::Shallow => &self.shallow,
            Quantity::Extremity => &self.extremity,
        }
    }

    /// The value of one quantity, to be changed.
    pub fn get_mut(&mut self, quantity: Quantity) -> &mut T {
        match quantity {
            Quantity::Deep => &mut self.deep,
            Quantity::Lens => &mut self.lens,
            Quantity::Shallow => &mut self.shallow,
            Quantity::Extremity => &mut self.extremity,
        }
    }
}

/// Where a dose comes from, which is how sure it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Class {
    /// Resolved by an accepted result or a determination.
    OfRecord,
    /// A processor's result that nobody accepted yet. The sums have it with what is of record, and
    /// the conservative total the readings where they are higher.
    Reported,
    /// Only direct readings so far.
    Provisional,
    /// Received with another employer, as reported.
    Prior,
    /// A share, by readings or by days, of a lump whose period the range cuts.
    Apportioned,
}

impl Class {
    /// The word that tables use.
    pub fn word(self) -> &'static str {
        match self {
            Class::OfRecord => "of record",
            Class::Reported => "reported",
            Class::Provisional => "provisional",
            Class::Prior => "prior",
            Class::Apportioned => "apportioned",
        }
    }
}

/// The account's total of one quantity over a span.
///
/// The four parts add up to [`Total::known`]. Whoever shows that figure shows
/// [`Total::extent`] with it, or uses [`Total::text`]: with anything
/// undetermined or held it is a lower bound.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Total {
    /// Resolved by result or determination.
    pub of_record: Dose,
    /// What of that is a result that nobody accepted yet.
    pub reported: Dose,
    /// Readings only.
    pub provisional: Dose,
    /// Other employers, whole periods.
    pub prior: Dose,
    /// Shares of lumps that the span cuts.
    pub apportioned: Dose,
    known: Dose,
    /// Contributions without an upper bound.
    pub undetermined: u32,
    /// Held readings that are not in the figure.
    pub held: u32,
    /// Contributions that say something of this quantity.
    pub assessed: u32,
    /// Contributions that nothing measured in this quantity.
    pub unassessed: u32,
    only_if_monitored: bool,
}

/// What one contribution says of one quantity.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Amount {
    /// Nothing measured it. This is not zero.
    #[default]
    NotAssessed,
    /// The dose.
    Known(Dose),
    /// At least this much, without an upper bound.
    Undetermined(Dose),
    /// Another contribution speaks of it: the readings of a shift for which a
    /// badge's result stands. It adds nothing and is not "not assessed".
    Elsewhere,
}

impl Amount {
    /// The known part; `None` where nothing here measured the quantity.
    pub fn known(self) -> Option<Dose> {
        match self {
            Amount::NotAssessed | Amount::Elsewhere => None,
            Amount::Known(dose) | Amount::Undetermined(dose) => Some(dose),
        }
    }

    /// Whether the dose has no upper bound.
    pub fn is_undetermined(self) -> bool {
        matches!(self, Amount::Undetermined(_))
    }

    /// A dose, with or without an upper bound.
    pub(crate) fn of(dose: Dose, open: bool) -> Amount {
        if open {
            Amount::Undetermined(dose)
        } else {
            Amount::Known(dose)
        }
    }
}

/// How far a total reaches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Extent {
    /// Nothing measured the quantity: there is no figure, and it is not zero.
    NotAssessed,
    /// Everything known is in the figure.
    Whole(Dose),
    /// The figure is a lower bound.
    AtLeast(Dose),
}

impl Total {
    /// An empty total of a quantity. An extremity without a monitor stays
    /// "not assessed" even where there was no work at all.
    pub fn empty(quantity: Quantity) -> Total {
        Total {
            only_if_monitored: quantity == Quantity::Extremity,
            ..Total::default()
        }
    }

    /// Adds what one contribution says, with the number of held readings that
    /// it leaves out.
    ///
    /// # Errors
    /// [`Overflow`] when the sum does not fit.
    pub fn add(&mut self, class: Class, amount: Amount, held: u32) -> Result<(), Overflow> {
        if amount == Amount::Elsewhere {
            return Ok(());
        }
        let Some(dose) = amount.known() else {
            self.unassessed = self.unassessed.saturating_add(1);
            return Ok(());
        };
        self.assessed = self.assessed.saturating_add(1);
        self.held = self.held.saturating_add(held);
        if amount.is_undetermined() {
            self.undetermined = self.undetermined.saturating_add(1);
        }
        let part = match class {
            Class::OfRecord | Class::Reported => &mut self.of_record,
            Class::Provisional => &mut self.provisional,
            Class::Prior => &mut self.prior,
            Class::Apportioned => &mut self.apportioned,
        };
        *part = part.checked_add(dose)?;
        if class == Class::Reported {
            self.reported = self.reported.checked_add(dose)?;
        }
        self.known = self.known.checked_add(dose)?;
        Ok(())
    }

    /// Adds a whole total.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn plus(&self, other: &Total) -> Result<Total, Overflow> {
        Ok(Total {
            of_record: self.of_record.checked_add(other.of_record)?,
            reported: self.reported.checked_add(other.reported)?,
            provisional: self.provisional.checked_add(other.provisional)?,
            prior: self.prior.checked_add(other.prior)?,
            apportioned: self.apportioned.checked_add(other.apportioned)?,
            known: self.known.checked_add(other.known)?,
            undetermined: self.undetermined.saturating_add(other.undetermined),
            held: self.held.saturating_add(other.held),
            assessed: self.assessed.saturating_add(other.assessed),
            unassessed: self.unassessed.saturating_add(other.unassessed),
            only_if_monitored: self.only_if_monitored || other.only_if_monitored,
        })
    }

    /// What remains of a running total when an earlier one is taken off.
    ///
    /// # Errors
    /// [`Overflow`] when `earlier` is not a part of this total.
    pub(crate) fn since(&self, earlier: &Total) -> Result<Total, Overflow> {
        Ok(Total {
            of_record: self.of_record.checked_sub(earlier.of_record)?,
            reported: self.reported.checked_sub(earlier.reported)?,
            provisional: self.provisional.checked_sub(earlier.provisional)?,
            prior: self.prior.checked_sub(earlier.prior)?,
            apportioned: self.apportioned.checked_sub(earlier.apportioned)?,
            known: self.known.checked_sub(earlier.known)?,
            undetermined: self.undetermined.saturating_sub(earlier.undetermined),
            held: self.held.saturating_sub(earlier.held),
            assessed: self.assessed.saturating_sub(earlier.assessed),
            unassessed: self.unassessed.saturating_sub(earlier.unassessed),
            only_if_monitored: self.only_if_monitored,
        })
    }

    /// The known part: everything that has a figure, of all classes.
    pub fn known(&self) -> Dose {
        self.known
    }

    /// How far the figure reaches.
    pub fn extent(&self) -> Extent {
        if self.assessed == 0 && (self.unassessed > 0 || self.only_if_monitored) {
            Extent::NotAssessed
        } else if self.undetermined > 0 || self.held > 0 || self.unassessed > 0 {
            Extent::AtLeast(self.known)
        } else {
            Extent::Whole(self.known)
        }
    }

    /// The total as people read it, never looking surer than it is:
    /// `12 mrem`, `at least 12 mrem, undetermined`, `at least 12 mrem, 1
    /// held`, `not assessed`.
    pub fn text(&self, unit: DoseUnit) -> String {
        match self.extent() {
            Extent::NotAssessed => "not assessed".to_string(),
            Extent::Whole(dose) => dose.display(unit),
            Extent::AtLeast(dose) => {
                let mut text = format!("at least {}", dose.display(unit));
                if self.undetermined > 0 {
                    text.push_str(", undetermined");
                }
                if self.held > 0 {
                    text.push_str(&format!(", {} on hold", self.held));
                }
                if self.unassessed > 0 {
                    text.push_str(&format!(", {} not assessed", self.unassessed));
                }
                text
            }
        }
    }
}

impl PerQuantity<Total> {
    /// Empty totals of every quantity.
    pub fn empty() -> Self {
        PerQuantity {
            deep: Total::empty(Quantity::Deep),
            lens: Total::empty(Quantity::Lens),
            shallow: Total::empty(Quantity::Shallow),
            extremity: Total::empty(Quantity::Extremity),
        }
    }

    /// Adds what one contribution says of every quantity.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn add(
        &mut self,
        class: Class,
        amounts: &PerQuantity<Amount>,
        held: u32,
    ) -> Result<(), Overflow> {
        for quantity in QUANTITIES {
            self.get_mut(quantity)
                .add(class, *amounts.get(quantity), held)?;
        }
        Ok(())
    }
}
