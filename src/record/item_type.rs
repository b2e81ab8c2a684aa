//! The kinds of equipment and of instruments.

use super::words::words;

words! {
    /// What an item of equipment is.
    EquipmentType {
        /// The shielded device that the source is exposed from.
        Device = "exposure device" also ["device", "camera", "projector"],
        /// The sealed source with its connector.
        Source = "source assembly" also ["source", "sealed source", "pigtail"],
        /// Crank, conduit and drive cable.
        Control = "control unit" also ["control", "controls", "crank", "cranks"],
        /// The tube that guides the source to the exposure position.
        GuideTube = "guide tube" also ["tube", "source tube"],
        /// A shield that narrows the beam.
        Collimator = "collimator",
        /// The shield from which sources are exchanged.
        Changer = "source changer" also ["changer"],
        /// A shield in which sources are kept.
        Container = "storage container" also ["container"],
        /// A shielded room or cell with its own alarms (10 CFR 34.3, 34.33).
        Installation = "permanent radiographic installation"
            also ["installation", "permanent installation"],
    }
}

words! {
    /// What an instrument is.
    InstrumentType {
        /// A direct-reading ion-chamber dosimeter.
        Pocket = "pocket dosimeter"
            also ["pocket", "pocket chamber", "dosimeter", "direct-reading dosimeter"],
        /// A direct-reading electronic dosimeter.
        Electronic = "electronic dosimeter"
            also ["electronic", "dosimeter", "direct-reading dosimeter"],
        /// An alarm ratemeter.
        Ratemeter = "alarm ratemeter" also ["ratemeter", "rate meter", "alarm"],
        /// A survey meter.
        Meter = "survey meter" also ["meter", "survey instrument"],
    }
}

impl InstrumentType {
    /// Whether people read their dose off it.
    pub fn is_dosimeter(self) -> bool {
        matches!(self, InstrumentType::Pocket | InstrumentType::Electronic)
    }
}
