//! What is left of a level, in words.

use crate::dose::level::{Certainty, Gone, Standing};
use crate::quantity::{Dose, DoseUnit};
use crate::rule::LevelType;

impl Standing<'_> {
    /// What is left, as people read it, and why it is not sure. Negative says so; undetermined
    /// never looks like an allowance.
    pub fn left_text(&self, unit: DoseUnit) -> String {
        let short = self.left_short(unit);
        match (self.certainty, self.left < Dose::ZERO) {
            (Certainty::NotAssessed, _) => "not assessed".to_string(),
            (Certainty::PartlyAssessed, over) if over || !self.closed => {
                format!("{short}, partly assessed")
            }
            (Certainty::Undetermined, false) => format!("{short}: undetermined"),
            _ => short,
        }
    }

    /// The same without the reason.
    pub fn left_short(&self, unit: DoseUnit) -> String {
        let over = self.left < Dose::ZERO;
        let size = if over {
            Dose::ZERO.checked_sub(self.left)
        } else {
            Ok(self.left)
        };
        let size = size.unwrap_or(self.left).display(unit);
        match (self.certainty, over) {
            (Certainty::NotAssessed, _) => "-".to_string(),
            (Certainty::Known | Certainty::PartlyAssessed, false) if self.closed => {
                "closed".to_string()
            }
            (Certainty::Known, false) if self.gone() == Some(Gone::AtTheLevel) => {
                match self.level.kind {
                    LevelType::Limit => "at the limit".to_string(),
                    _ => "at the level".to_string(),
                }
            }
            (Certainty::Known, false) => size,
            (Certainty::Known, true) => format!("{size} over"),
            (Certainty::PartlyAssessed, false) => format!("at most {size}"),
            (Certainty::PartlyAssessed, true) => format!("at least {size} over"),
            (Certainty::Undetermined, false) => "none".to_string(),
            (Certainty::Undetermined, true) => format!("at least {size} over, undetermined"),
        }
    }
}
