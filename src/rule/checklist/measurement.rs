//! What an item measures, and whose figures it is held against.
//!
//! Nominal and limit of a part that wears are its maker's. The site gives them in its own list,
//! or in the record of the part that was installed, which wins for that item. Until then the item
//! is inactive: a measure may be written down and gets no verdict.

use serde::Serialize;

use super::super::word::words;
use super::ChecklistItem;
use crate::quantity::{Amount, AmountKind, AmountUnit};

/// Why an item gets no verdict, and what would change that.
pub const INACTIVE: &str = "limit from your manual; inactive until your list or the record of \
    the part gives nominal and limit";

words! {
    /// On which side of its limit a measure is bad. The limit itself is still kept.
    Sense {
        /// It must not fall below, as a cable's diameter.
        NotBelow = "not below",
        /// It must not rise above, as an angle or a rate.
        NotAbove = "not above",
    }
}

impl Sense {
    /// Whether a value lies on the bad side of a mark.
    pub const fn is_past(self, value: Amount, mark: Amount) -> bool {
        match self {
            Self::NotBelow => value.count() < mark.count(),
            Self::NotAbove => value.count() > mark.count(),
        }
    }
}

/// What a measure means against its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Standing {
    /// Within, and not yet where the warning begins.
    Good,
    /// Within the limit, at the warning or past it.
    Warning,
    /// Past the limit.
    Beyond,
}

/// Who gives the figures of a measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FiguresOf {
    /// The list.
    List,
    /// The record of the part that is installed.
    Part {
        /// Its entry.
        entry: i64,
        /// The limit of the list, which this one stands in for.
        list: Option<Amount>,
    },
}

/// What an item measures.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ItemMeasurement {
    /// The unit in which the list writes it; a bare number that is typed takes it.
    pub unit: AmountUnit,
    /// The value of a new item, where there is one.
    pub nominal: Option<Amount>,
    /// Past this the item is a defect.
    pub limit: Amount,
    /// At this or past it there is a warning.
    pub warn: Option<Amount>,
    /// Which side is bad.
    pub sense: Sense,
    /// The resolution of the gauge that is mostly used.
    pub step: Amount,
    /// Below this a value is not believable and is asked back.
    pub lowest: Amount,
    /// Above this a value is not believable and is asked back.
    pub highest: Amount,
    /// Who gives nominal and limit.
    pub of: FiguresOf,
}

/// What an item measures when figures are given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenMeasurement {
    /// The unit of the gauge; a bare number that is typed takes it.
    pub unit: AmountUnit,
    /// Which side will be bad.
    pub sense: Sense,
    /// The resolution of the gauge that is mostly used.
    pub step: Amount,
}

/// Nominal and limit of one part, as its record gives them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PartFigures {
    /// The value of the part when new.
    pub nominal: Amount,
    /// Past this it is a defect.
    pub limit: Amount,
    /// The entry of the record.
    pub entry: i64,
}

impl ItemMeasurement {
    /// Where a measure stands. Nothing if it is of another kind: an angle for a length.
    pub fn standing(&self, value: Amount) -> Option<Standing> {
        if value.kind() != self.unit.kind() {
            return None;
        }
        let past = |mark: Amount| self.sense.is_past(value, mark);
        Some(if past(self.limit) {
            Standing::Beyond
        } else if self.warn.is_some_and(|warn| past(warn) || value == warn) {
            Standing::Warning
        } else {
            Standing::Good
        })
    }

    /// Whether a measure is one that a gauge could have shown. One that is not was mostly
    /// mistyped, and is asked back; it may be true all the same.
    pub fn is_believable(&self, value: Amount) -> bool {
        value.kind() == self.unit.kind()
            && (self.lowest.count()..=self.highest.count()).contains(&value.count())
    }

    /// The limit with its sense: `not below 5.8 mm`.
    pub fn limit_plain(&self) -> String {
        format!("{} {}", self.sense.name(), self.limit.display(self.unit))
    }

    /// Whose the limit is, where it is not the list's: `by the record of the part, entry 30`.
    pub fn limit_of(&self) -> Option<String> {
        let FiguresOf::Part { entry, list } = self.of else {
            return None;
        };
        let by = format!("by the record of the part, entry {entry}");
        let Some(list) = list else { return Some(by) };
        let tighter = match self.sense.is_past(self.limit, list) {
            true => ", which is tighter",
            false => "",
        };
        Some(format!(
            "{by}; the list has {}{tighter}",
            list.display(self.unit)
        ))
    }

    /// The limit with its sense and, where it is not the list's, whose it is.
    pub fn limit_words(&self) -> String {
        match self.limit_of() {
            None => self.limit_plain(),
            Some(by) => format!("{} ({by})", self.limit_plain()),
        }
    }
}

/// Whether a kind of amount is wear. A rate is not: it follows the source, which decays and is
/// exchanged, and no line may be drawn through it.
pub const fn is_wear(kind: AmountKind) -> bool {
    matches!(kind, AmountKind::Length | AmountKind::Angle)
}

impl ChecklistItem {
    /// Whether it measures and nobody gave the figures: it is not asked for, and what is
    /// measured all the same gets no verdict.
    pub const fn is_inactive(&self) -> bool {
        self.open.is_some()
    }

    /// The unit of what it measures, also while it is inactive.
    pub fn unit(&self) -> Option<AmountUnit> {
        let open = self.open.as_ref().map(|it| it.unit);
        self.measurement.as_ref().map(|it| it.unit).or(open)
    }

    /// The side on which what it measures is bad, also while it is inactive.
    pub fn sense(&self) -> Option<Sense> {
        let open = self.open.as_ref().map(|it| it.sense);
        self.measurement.as_ref().map(|it| it.sense).or(open)
    }

    /// The item on an item whose installed part has figures of its own: they win over the list's.
    /// Figures of another kind than what it measures leave it as it is, and so does a rate,
    /// whose limit is the law's and not the part's.
    pub fn with_figures(&self, part: PartFigures) -> Self {
        let mut item = self.clone();
        let (Some(unit), Some(sense)) = (self.unit(), self.sense()) else {
            return item;
        };
        let fits = |it: Amount| it.kind() == unit.kind();
        if !is_wear(unit.kind()) || !fits(part.nominal) || !fits(part.limit) {
            return item;
        }
        let of_list = self.measurement.as_ref();
        let of_gauge = self.open.as_ref().map(|it| it.step);
        let Some(step) = of_list.map(|it| it.step).or(of_gauge) else {
            return item;
        };
        // The list's warning mark stands where it comes before the limit of the part.
        let warn = of_list
            .and_then(|it| it.warn)
            .filter(|warn| !sense.is_past(*warn, part.limit));
        let (lowest, highest) = believable(part, of_list);
        item.open = None;
        item.measurement = Some(ItemMeasurement {
            unit,
            nominal: Some(part.nominal),
            limit: part.limit,
            warn,
            sense,
            step,
            lowest,
            highest,
            of: FiguresOf::Part {
                entry: part.entry,
                list: of_list.map(|it| it.limit),
            },
        });
        item
    }
}

/// What a gauge could show on such a part: the list's range where both figures lie in it, else
/// from half the smaller figure to twice the greater one.
fn believable(part: PartFigures, list: Option<&ItemMeasurement>) -> (Amount, Amount) {
    let figures = [part.nominal, part.limit];
    if let Some(list) = list.filter(|list| figures.iter().all(|it| list.is_believable(*it))) {
        return (list.lowest, list.highest);
    }
    let kind = part.limit.kind();
    let counts = figures.map(Amount::count);
    let least = counts.into_iter().min().unwrap_or_default() / 2;
    let most = counts
        .into_iter()
        .max()
        .unwrap_or_default()
        .saturating_mul(2);
    (
        Amount::from_count(kind, least),
        Amount::from_count(kind, most),
    )
}

#[cfg(test)]
mod tests {
    use super::super::Checklist;
    use super::*;

    fn figure(text: &str) -> Amount {
        Amount::parse(text, None).expect("a figure")
    }

    /// The cable's item: by the built-in list, or by that of the demonstration (limit 5.8 mm,
    /// warns at 5.9 mm, believable from 4 to 8 mm).
    fn item(listed: bool, key: &str) -> ChecklistItem {
        let text = match listed {
            true => include_str!("../../../demo/site-checklist.toml"),
            false => include_str!("../checklists/general.toml"),
        };
        let list = Checklist::parse(text).expect("a list");
        list.item(key).expect("the item").clone()
    }

    /// Whether the list has figures; nominal and limit of the part; then limit and whose it is,
    /// warning mark and believable range. Every figure is invented.
    #[test]
    fn the_figures_of_a_part_win_over_the_list_and_say_so() {
        let by = "(by the record of the part, entry 30";
        let tighter = "the list has 5.8 mm, which is tighter";
        for (listed, nominal, limit, words, warn, range) in [
            (false, "6", "5.5", format!("5.5 mm {by})"), "", "2.75 12"),
            (
                true,
                "6",
                "5.5",
                format!("5.5 mm {by}; {tighter})"),
                "5.9",
                "4 8",
            ),
            (
                true,
                "6",
                "5.8",
                format!("5.8 mm {by}; the list has 5.8 mm)"),
                "5.9",
                "4 8",
            ),
            // A mark past the limit of the part would warn too late.
            (
                true,
                "6.2",
                "6",
                format!("6 mm {by}; the list has 5.8 mm)"),
                "",
                "4 8",
            ),
            // The list's range is of another part.
            (
                true,
                "10",
                "9",
                format!("9 mm {by}; the list has 5.8 mm)"),
                "",
                "4.5 20",
            ),
        ] {
            let part = PartFigures {
                nominal: figure(&format!("{nominal} mm")),
                limit: figure(&format!("{limit} mm")),
                entry: 30,
            };
            let found = item(listed, "cable-diameter").with_figures(part);
            let measurement = found.measurement.as_ref().expect("a measure");
            let show = |it: Amount| it.display(measurement.unit).replace(" mm", "");
            assert!(!found.is_inactive());
            assert_eq!(measurement.limit_words(), format!("not below {words}"));
            assert_eq!(
                measurement.warn.map(show).unwrap_or_default(),
                warn,
                "{words}"
            );
            let (low, high) = (show(measurement.lowest), show(measurement.highest));
            assert_eq!(format!("{low} {high}"), range, "{words}");
        }
    }

    #[test]
    fn figures_that_do_not_fit_leave_the_item_as_it_is() {
        for (listed, key, nominal, limit) in [
            (false, "cable-diameter", "0 deg", "9 deg"),
            (true, "cable-diameter", "6 mm", "9 deg"),
            // The law's limit is no part's.
            (false, "changer-surface-rate", "1 mR/h", "900 mR/h"),
            (false, "crank", "6 mm", "5 mm"),
        ] {
            let part = PartFigures {
                nominal: figure(nominal),
                limit: figure(limit),
                entry: 30,
            };
            let before = item(listed, key);
            assert_eq!(before.with_figures(part), before, "{key} {limit}");
        }
    }
}
