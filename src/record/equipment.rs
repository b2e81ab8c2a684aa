//! Exposure devices, source assemblies and what goes with them; withdrawals
//! from service and returns to it.

use serde::{Deserialize, Serialize};

use super::Item;
use super::body::Record;
use super::doubt::Doubt;
use super::field::fields;
use super::item_type::EquipmentType;
use super::kind::Kind;
use super::problem::{Problem, need_id, need_json_size};
use super::reference::Id;
use crate::calendar::Day;
use crate::quantity::Activity;

/// An item of equipment as the register knows it.
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
    /// Who took it in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub received_by: Option<String>,
    /// From whom it came.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub received_from: Option<String>,
    /// The day on which it came.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub received_on: Option<Day>,
    /// Serial number.
    pub serial: String,
    /// Number and date of the shipping paper that it came with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shipping_paper: Option<String>,
    /// What it is.
    #[serde(rename = "sort")]
    pub kind: EquipmentType,
    /// Mass of depleted uranium in it with its unit, as on the label.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub uranium_mass: Option<String>,
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
    received_by,
    received_from,
    received_on,
    serial.needs("the serial number on the label"),
    shipping_paper,
    kind.stored("sort").shown("type"),
    uranium_mass,
    uranium_tube,
} }

/// An item taken out of service.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Withdrawal {
    /// Who took it out.
    pub by: String,
    /// The item: an item of equipment or an instrument.
    pub item: Id<Item>,
    /// How and when the receiver's license was verified before a transfer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub licence_verified: Option<String>,
    /// The day.
    pub on: Day,
    /// Why.
    pub reason: String,
    /// Number and date of the shipping paper that it left with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shipping_paper: Option<String>,
    /// To whom it was transferred, with their license, where it left for good.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub transferred_to: Option<String>,
}

fields! { Withdrawal {
    by.shown("performed_by").needs("who took it out of service"),
    item,
    licence_verified.shown("license_verified"),
    on,
    reason.needs("why it was taken out of service"),
    shipping_paper,
    transferred_to,
} }

/// An item put back into service.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ServiceReturn {
    /// Who put it back.
    pub by: String,
    /// What was done to it.
    pub done: String,
    /// The item: an item of equipment or an instrument.
    pub item: Id<Item>,
    /// The day.
    pub on: Day,
}

fields! { ServiceReturn {
    by.shown("performed_by").needs("who put it back into service"),
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
        if self.kind == EquipmentType::Source {
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
                "leave nuclide, activity and activity_on blank, or type `source assembly`",
            ));
        }
        if self.uranium_tube == Some(true) && self.kind != EquipmentType::Device {
            problems.push(Problem::new(
                "uranium_tube",
                "yes",
                "only an exposure device has a shield with a tube",
                "leave it blank, or type `exposure device`",
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
