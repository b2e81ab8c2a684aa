//! Exposure devices, source assemblies and what goes with them; withdrawals
//! from service and returns to it.

use serde::{Deserialize, Serialize};

use super::field::fields;
use super::problem::{need_id, need_json_size};
use super::words::words;
use super::{Doubt, Id, Item, Kind, Problem, Record};
use crate::calendar::Day;
use crate::quantity::Activity;

words! {
    /// What a piece of equipment is.
    EquipmentSort {
        /// The shielded device that the source is exposed from.
        Device = "exposure device",
        /// The sealed source with its connector.
        Source = "source assembly",
        /// Crank, conduit and drive cable.
        Control = "control unit",
        /// The tube that guides the source to the exposure position.
        GuideTube = "guide tube",
        /// A shield that narrows the beam.
        Collimator = "collimator",
        /// The shield from which sources are exchanged.
        Changer = "source changer",
        /// A shield in which sources are kept.
        Container = "storage container",
        /// A shielded room or cell with its own alarms (10 CFR 34.3, 34.33).
        Installation = "permanent radiographic installation",
    }
}

/// A piece of equipment as the register knows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Equipment {
    /// A source's activity on its reference date.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub activity_bq: Option<Activity>,
    /// The reference date of the activity.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub activity_on: Option<Day>,
    /// What is doubtful about it; found when this was written.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub held: Vec<Doubt>,
    /// The office's own short name.
    pub id: String,
    /// The first day of service.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub in_service: Option<Day>,
    /// Maker, as on the label.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub maker: Option<String>,
    /// Model, as on the label.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub model: Option<String>,
    /// A source's nuclide, such as `Ir-192`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nuclide: Option<String>,
    /// Serial number.
    pub serial: String,
    /// What it is.
    pub sort: EquipmentSort,
    /// Whether a device's shield is of depleted uranium around an S-shaped tube,
    /// which is to be tested for wear-through (10 CFR 34.27(e)).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub uranium_tube: Option<bool>,
}

fields! { Equipment {
    activity_bq.shown("activity"),
    activity_on,
    held.fixed(),
    id,
    in_service,
    maker,
    model,
    nuclide,
    serial.needs("the serial number on the label"),
    sort,
    uranium_tube,
} }

/// An item taken out of service.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Withdrawal {
    /// Who took it out.
    pub by: String,
    /// The item: a piece of equipment or an instrument.
    pub item: Id<Item>,
    /// The day.
    pub on: Day,
    /// Why.
    pub reason: String,
}

fields! { Withdrawal {
    by.needs("who took it out of service"),
    item,
    on,
    reason.needs("why it was taken out of service"),
} }

/// An item put back into service.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ServiceReturn {
    /// Who put it back.
    pub by: String,
    /// What was done to it.
    pub done: String,
    /// The item: a piece of equipment or an instrument.
    pub item: Id<Item>,
    /// The day.
    pub on: Day,
}

fields! { ServiceReturn {
    by.needs("who put it back into service"),
    done.needs("what was repaired, replaced or tested"),
    item,
    on,
} }

impl Record for Equipment {
    const KIND: Kind = Kind::Equipment;

    fn key(&self) -> String {
        self.id.clone()
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need_id(&mut problems, "id", &self.id);
        if self.sort == EquipmentSort::Source {
            if self
                .nuclide
                .as_deref()
                .is_none_or(|it| it.trim().is_empty())
            {
                problems.push(Problem::missing(
                    "nuclide",
                    "the radionuclide, such as `Ir-192`",
                ));
            }
            match self.activity_bq {
                None => problems.push(Problem::missing(
                    "activity",
                    "with its unit, such as `85 Ci`",
                )),
                Some(activity) if activity <= Activity::ZERO => {
                    problems.push(Problem::new(
                        "activity",
                        "",
                        "is not above zero",
                        "such as `85 Ci`",
                    ));
                }
                Some(activity) => need_json_size(&mut problems, "activity", activity.bq()),
            }
            if self.activity_on.is_none() {
                problems.push(Problem::missing(
                    "activity_on",
                    "the day for which the activity is stated",
                ));
            }
        } else if self.nuclide.is_some() || self.activity_bq.is_some() || self.activity_on.is_some()
        {
            problems.push(Problem::new(
                "nuclide",
                self.nuclide.clone().unwrap_or_default(),
                "only a source assembly has a nuclide and an activity",
                "leave nuclide, activity and activity_on blank, or sort `source assembly`",
            ));
        }
        if self.uranium_tube == Some(true) && self.sort != EquipmentSort::Device {
            problems.push(Problem::new(
                "uranium_tube",
                "yes",
                "only an exposure device has a shield with a tube",
                "leave it blank, or sort `exposure device`",
            ));
        }
        problems
    }

    fn content(&self) -> Equipment {
        Equipment {
            held: Vec::new(),
            ..self.clone()
        }
    }
}

impl Record for Withdrawal {
    const KIND: Kind = Kind::Withdrawal;

    fn about(&self) -> Option<Day> {
        Some(self.on)
    }

    fn key(&self) -> String {
        format!("{}/{}", self.item, self.on)
    }
}

impl Record for ServiceReturn {
    const KIND: Kind = Kind::ServiceReturn;

    fn about(&self) -> Option<Day> {
        Some(self.on)
    }

    fn key(&self) -> String {
        format!("{}/{}", self.item, self.on)
    }
}
