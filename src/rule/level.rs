//! A dose at which something happens: limits, levels, and the budget of a declared pregnancy.

use std::fmt;

use serde::{Serialize, Serializer};

use super::word::{AppliesTo, LevelType, Quantity, Reached, Status, has_citation};
use crate::calendar::Window;
use crate::quantity::{Dose, Overflow};

/// A dose at which something happens.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Level {
    /// Its name, unique among the levels of the rule set.
    pub key: String,
    /// What happens there.
    #[serde(rename = "type")]
    pub kind: LevelType,
    /// Which dose is summed.
    pub quantity: Quantity,
    /// Whose dose.
    pub applies_to: AppliesTo,
    /// Over which time.
    pub window: LevelWindow,
    /// The dose.
    pub dose: Dose,
    /// Whether a dose equal to it counts.
    pub reached: Reached,
    /// It holds only while an authorization naming this level is recorded.
    pub needs_authorization: bool,
    /// The level that this one stands for while it is authorized.
    pub instead_of: Option<String>,
    /// Quarters without records take a share of it from the allowance.
    pub cut_by_missing_quarters: bool,
    /// Whether who reached it stays in, where the rule set says so; else its kind decides.
    pub stops: Option<bool>,
    /// Where it stands.
    pub citation: String,
    /// Whether it was read there.
    pub status: Status,
    /// What it means, in plain words.
    pub meaning: String,
}

/// Over which time a level sums the dose.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LevelWindow {
    /// One shift.
    Shift,
    /// A window of the calendar.
    Over(Window),
}

/// The budget of a declared pregnancy.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PregnancyRule {
    /// The key of the level that it belongs to.
    pub level: String,
    /// The dose of that level.
    pub total: Dose,
    /// The window of that level: the entire pregnancy, or the rest of it from the notice on.
    pub window: Window,
    /// What the rest of the pregnancy may add in any case, where the law grants that.
    pub floor: Option<Dose>,
    /// Where it stands.
    pub citation: String,
    /// Whether it was read there.
    pub status: Status,
    /// What it means, in plain words.
    pub meaning: String,
}

impl Level {
    /// Whether who reached it stays in. What no rule set says is decided by the kind: a limit and
    /// an administrative level do, an investigation level asks the RSO to look.
    pub fn is_stopping(&self) -> bool {
        let by_type = matches!(self.kind, LevelType::Limit | LevelType::Administrative);
        self.stops.unwrap_or(by_type)
    }

    /// Whether a dose has reached this level.
    pub fn is_reached_by(&self, dose: Dose) -> bool {
        match self.reached {
            Reached::Above => dose > self.dose,
            Reached::AtOrAbove => dose >= self.dose,
        }
    }

    /// The window of the calendar, nothing for a shift level.
    pub const fn over(&self) -> Option<Window> {
        match self.window {
            LevelWindow::Shift => None,
            LevelWindow::Over(window) => Some(window),
        }
    }
}

impl PregnancyRule {
    /// What may be received from the declaration on, `before` being the dose from conception to
    /// declaration. Fixed at declaration.
    ///
    /// Over the entire pregnancy: what is left of the total, but at least the floor
    /// (10 CFR 20.1208(a), (d)); below zero where there is no floor and the total is passed.
    /// From the notice on: the total, whatever was before.
    ///
    /// # Errors
    /// [`Overflow`] where the numbers do not fit.
    pub fn budget(&self, before: Dose) -> Result<Dose, Overflow> {
        if self.window == Window::RestOfPregnancy {
            return Ok(self.total);
        }
        let left = self.total.checked_sub(before)?;
        Ok(self.floor.map_or(left, |floor| left.max(floor)))
    }
}

impl fmt::Display for LevelWindow {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Shift => f.pad("shift"),
            Self::Over(window) => f.pad(&window.to_string()),
        }
    }
}

impl Serialize for LevelWindow {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

has_citation!(Level, PregnancyRule);
