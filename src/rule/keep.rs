//! How long records are kept: the rows of a rule set, and what must be held at a site.

use std::fmt;

use serde::Serialize;

use super::word::{Status, has_citation, words};
use crate::text::counted;

/// How long a record is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Keep {
    /// So many years after it was made.
    Years(u32),
    /// Until the license ends.
    LicenseEnd,
    /// So many years after the license ended.
    AfterLicenseEnd(u32),
    /// As long as what it speaks of is in force.
    WhileInForce,
    /// As long as the record that it goes with.
    AsItsRecord,
}

const LICENSE_END: &str = "until the license ends";

const AFTER_LICENSE_END: &str = " after the license ends";

const WHILE_IN_FORCE: &str = "while in force";

const AS_ITS_RECORD: &str = "as long as its record";

impl Keep {
    /// Both spellings of the word are read: rule sets of other countries have the other.
    pub(super) fn parse(text: &str) -> Result<Keep, String> {
        let text = &text.replace("licence", "license");
        match text.as_str() {
            LICENSE_END => Ok(Keep::LicenseEnd),
            WHILE_IN_FORCE => Ok(Keep::WhileInForce),
            AS_ITS_RECORD => Ok(Keep::AsItsRecord),
            _ => {
                let (text, after) = match text.strip_suffix(AFTER_LICENSE_END) {
                    Some(years) => (years, true),
                    None => (text.as_str(), false),
                };
                let years = [" years", " year"]
                    .iter()
                    .find_map(|it| text.strip_suffix(it));
                let years = years.and_then(|it| it.parse().ok());
                let years = years.filter(|it| (1..=100).contains(it));
                match (years, after) {
                    (Some(years), false) => Ok(Keep::Years(years)),
                    (Some(years), true) => Ok(Keep::AfterLicenseEnd(years)),
                    (None, _) => Err(format!("`{text}` is no time to keep")),
                }
            }
        }
    }
}

impl Keep {
    /// Whether something may go sooner than by another rule.
    pub fn is_shorter(self, other: Keep) -> bool {
        match (self, other) {
            (Keep::Years(own), Keep::Years(other)) => own < other,
            (Keep::AfterLicenseEnd(own), Keep::AfterLicenseEnd(other)) => own < other,
            (own, Keep::AfterLicenseEnd(_)) => !matches!(own, Keep::AfterLicenseEnd(_)),
            (own, Keep::LicenseEnd) => !matches!(own, Keep::LicenseEnd | Keep::AfterLicenseEnd(_)),
            _ => false,
        }
    }
}

impl fmt::Display for Keep {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Keep::Years(years) => f.write_str(&counted(years, "year", "years")),
            Keep::LicenseEnd => f.write_str(LICENSE_END),
            Keep::AfterLicenseEnd(years) => {
                write!(f, "{}{AFTER_LICENSE_END}", counted(years, "year", "years"))
            }
            Keep::WhileInForce => f.write_str(WHILE_IN_FORCE),
            Keep::AsItsRecord => f.write_str(AS_ITS_RECORD),
        }
    }
}

words! {
    /// Records of which one rule speaks, and which are counted together.
    RecordType {
        /// The register's entry of a source, or of a device with a shield of depleted uranium.
        Receipt = "receipt of a source or of depleted uranium",
        /// A source loaded into a device.
        Exchange = "exchange of a source",
        /// Such an item taken out of service, for whatever reason.
        Withdrawal = "withdrawal of a source or of depleted uranium",
        /// A shipping paper: a record of it, or its number with a receipt or a transfer.
        ShippingPaper = "shipping paper",
        /// A check of a survey meter.
        MeterCheck = "check of a survey meter",
        /// A check of a direct-reading dosimeter.
        DosimeterCheck = "check of a dosimeter",
        /// A check of an alarm ratemeter.
        RatemeterCheck = "check of a ratemeter",
        /// A leak test.
        LeakTest = "leak test",
        /// An inventory.
        Inventory = "inventory",
        /// A sheet.
        Sheet = "sheet",
        /// A sheet with a survey before storage.
        StorageSurvey = "sheet with a storage survey",
        /// An inspection that found a defect.
        Problem = "inspection with a problem",
        /// A part installed, an instrument serviced, an item returned to service.
        Maintenance = "maintenance",
        /// A qualification for the work itself.
        Qualification = "qualification",
        /// An approval for unescorted access, and each reinvestigation.
        AccessApproval = "approval for unescorted access",
        /// Training for shipments of sources.
        HazmatTraining = "hazmat training",
        /// A check that sources are still there.
        PresenceCheck = "presence check",
        /// A report to the tracking system, or the yearly comparison with it.
        TrackingReport = "report of source tracking",
        /// The survey of a package, or that a source is lodged in its shield.
        ReceiptSurvey = "survey on receipt",
        /// That the controls of a vehicle or of a place were looked at.
        ControlsCheck = "look at controls",
        /// A result of a badge.
        BadgeResult = "badge result",
        /// A determination in the place of a dosimeter's reading or a badge's result.
        Estimate = "estimate for a dosimeter",
        /// A determination from a survey.
        BySurvey = "determination by survey",
        /// Any determination.
        Determination = "determination",
        /// A dose with another employer.
        PriorDose = "prior dose",
        /// A request for one.
        DoseRequest = "request of a prior dose",
        /// A signed month.
        Review = "review",
        /// A photo or paper that goes with a record.
        Evidence = "evidence",
    }
}

/// One row of the rules on records.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Retention {
    /// Its name in files, unique in the rule set.
    pub key: String,
    /// What is kept.
    pub what: String,
    /// What the rule wants in it; nothing where it names nothing.
    pub contents: Option<String>,
    /// The records that are it; none: the ledger does not hold it.
    pub records: Vec<RecordType>,
    /// How long.
    pub keep: Keep,
    /// The section.
    pub citation: String,
    /// Whether the text was read.
    pub status: Status,
    /// What it means, in plain words.
    pub meaning: String,
}

impl Retention {}

/// What must be at a field station and at a temporary jobsite.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AtSite {
    /// Its name in files.
    pub key: &'static str,
    /// What it is.
    pub what: &'static str,
    /// Whether the ledger holds it; if not, a copy is brought.
    pub held: bool,
}

/// 10 CFR 34.89(b), in its order.
pub const AT_SITE: &[AtSite] = &[
    at_site("licence", "the license, with conditions", false),
    at_site("parts", "the rules under which the license is", false),
    at_site("utilization", "utilization records", true),
    at_site("problems", "problems found in daily checks", true),
    at_site("alarms", "checks of ratemeter alarms", true),
    at_site("readings", "readings of direct-reading dosimeters", true),
    at_site("procedures", "operating and emergency procedures", false),
    at_site("meters", "latest calibration of the survey meters", true),
    at_site(
        "instruments",
        "latest calibration of ratemeters, checks of dosimeters",
        true,
    ),
    at_site("surveys", "latest surveys", true),
    at_site("shipping", "shipping papers", false),
    at_site(
        "reciprocity",
        "the other authority's license, where the work is under reciprocity",
        false,
    ),
];

const fn at_site(key: &'static str, what: &'static str, held: bool) -> AtSite {
    AtSite { key, what, held }
}

has_citation!(Retention);
