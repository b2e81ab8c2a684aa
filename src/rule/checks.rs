//! Every check once: its key, which is that of its rule text, the section of a review that tells of
//! it, and the harm that it prevents. How urgent a finding is, its check decides by what it found.

use super::requirement::RuleText;
use super::rule_set::RuleSet;
use super::word::Status;

/// The sections of a review that tell of findings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Section {
    /// Levels passed.
    Levels,
    /// Papers of people.
    People,
    /// Reading against badge.
    Disagree,
    /// Doses that are open.
    OpenDoses,
    /// What sheets say or lack.
    Sheets,
    /// What is held.
    Held,
    /// What was to be done before use.
    Daily,
    /// Measures and parts.
    Wear,
    /// Used out of date, withdrawn, failed.
    Maintenance,
}

macro_rules! checks {
    ($($check:ident = $key:literal in $section:ident: $harm:literal),+ $(,)?) => {
        /// A check that findings come from.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum CheckKey { $(#[doc = $harm] $check),+ }

        impl CheckKey {
            /// Every check.
            pub const ALL: &'static [CheckKey] = &[$(CheckKey::$check),+];

            /// The word that findings and rule sets have for it.
            pub const fn key(self) -> &'static str {
                match self { $(CheckKey::$check => $key),+ }
            }

            /// The harm that it prevents, in one sentence.
            pub const fn harm(self) -> &'static str {
                match self { $(CheckKey::$check => $harm),+ }
            }

            /// Where a review tells of it.
            pub const fn section(self) -> Section {
                match self { $(CheckKey::$check => Section::$section),+ }
            }

            /// The check of a finding; which level or qualification it names stands behind a colon.
            pub fn of(name: &str) -> Option<CheckKey> {
                match name.split(':').next().unwrap_or(name) {
                    $($key => Some(CheckKey::$check),)+
                    _ => None,
                }
            }
        }
    };
}

checks! {
    OffScale = "off-scale" in OpenDoses:
        "A person with an unknown and possibly large dose keeps working.",
    ElectronicOverShiftLimit = "electronic-over-shift-limit" in Levels:
        "A large dose on one shift goes unnoticed among many numbers.",
    LevelReached = "level-reached" in Levels:
        "A large dose on one shift is investigated only after the month ends.",
    NoDosimeter = "no-dosimeter" in OpenDoses:
        "An unmeasured shift is later taken for a shift without dose.",
    HeldItem = "held-item" in Held:
        "A doubtful reading is forgotten, and its dose with it.",
    TwoDosimetersDisagree = "two-dosimeters-disagree" in Disagree:
        "One of two dosimeters is broken, and the next person trusts it alone.",
    StartNotLastEnd = "start-not-last-end" in Disagree:
        "Dose received between two sheets stands on neither.",
    NotRecharged = "not-recharged" in Daily:
        "A dosimeter that is not recharged goes off-scale before the shift is over.",
    ResponseCheck = "response-check" in Maintenance:
        "A dosimeter that reads low hides dose until it is checked.",
    BadgeNotWorn = "badge-not-worn" in OpenDoses:
        "The badge result is taken for the dose of a shift when the badge hung in the office.",
    Minor = "minor" in Levels:
        "A person barred by law from exposed work receives dose at work.",
    TwoPerson = "two-person" in Sheets:
        "A person alone with a stuck source has no one to help or to keep others away.",
    RatemeterNotWorn = "ratemeter-not-worn" in Daily:
        "Without a ratemeter, nothing warns a person who walks up to an exposed source.",
    RatemeterNotTested = "ratemeter-not-tested" in Daily:
        "A silent ratemeter lets a person walk up to an exposed source.",
    RatemeterCalibration = "ratemeter-calibration" in Maintenance:
        "A ratemeter that has drifted sounds too late.",
    MeterCalibration = "meter-calibration" in Maintenance:
        "A survey with a faulty meter shows the source home when it is not.",
    WithdrawnUsed = "withdrawn-used" in Maintenance:
        "A crew that was not warned uses equipment with a known defect.",
    UsedWithDefect = "used-with-defect" in Maintenance:
        "A crew that was not warned uses equipment with a recorded defect.",
    DailyCheck = "daily-check" in Daily:
        "A worn connector that an inspection would have found lets go with the source out.",
    CheckedAfterUse = "checked-after-use" in Daily:
        "A check recorded after the work vouches for equipment that nobody inspected.",
    LeakTest = "leak-test" in Maintenance:
        "A leaking source contaminates people and equipment until it is tested.",
    ShieldLeakTest = "shield-leak-test" in Maintenance:
        "A shield tube worn through to the uranium sheds uranium, and the source jams in it.",
    EquipmentInspection = "equipment-inspection" in Maintenance:
        "Wear that only a bench inspection can find continues until the part fails.",
    ServicedNotCalibrated = "serviced-not-calibrated" in Maintenance:
        "A repair shifts a meter's response, and the next survey is trusted.",
    NoSurveyAtStorage = "no-survey-at-storage" in Sheets:
        "A source left outside its shield goes into storage unnoticed.",
    NotLocked = "not-locked" in Sheets:
        "Anyone can open or carry off an unlocked device.",
    StorageSurveyLimit = "storage-survey-limit" in Sheets:
        "A source that did not come home goes into storage, and people stand beside it.",
    StorageSurveyDistance = "storage-survey-distance" in Sheets:
        "A dose rate read far from the device passes for one at its surface.",
    StorageSurveyRise = "storage-survey-rise" in Sheets:
        "A source short of its stored position, or a worn-through shield, passes as normal.",
    BoundaryRate = "boundary-rate" in Sheets:
        "People outside the boundary receive a dose they should not have.",
    SourceOutTooLong = "source-out-too-long" in Sheets:
        "A dose is later estimated from exposure times that cannot be right.",
    HoursAtOdds = "hours-at-odds" in Sheets:
        "A return recorded wrong hides where the device was in between.",
    SourceNotInDevice = "source-not-in-device" in Sheets:
        "A dose is estimated from the wrong source, or a source is not where the record has it.",
    HoursAhead = "hours-ahead" in Sheets:
        "A return and a survey that have not happened yet are trusted.",
    SignedByNoRadiographer = "signed-by-no-radiographer" in Sheets:
        "No one authorized for the device signs for its use.",
    RecordedLate = "recorded-late" in Sheets:
        "A check or reading recalled at the end passes for one made before the work.",
    NotAsStarted = "not-as-started" in Sheets:
        "A reading is changed after the dose is known.",
    LateEntry = "late-entry" in Sheets:
        "A number recalled days later passes for one that was read.",
    NotAttested = "not-attested" in Sheets:
        "No one who was there attests what the sheet says.",
    LimitExceeded = "limit-exceeded" in Levels:
        "A person at a limit is sent out again because no one added up the doses.",
    MissingQuarter = "missing-quarter" in Levels:
        "A person at a limit is sent out again because no one added up the doses.",
    ContradictingDoses = "contradicting-doses" in OpenDoses:
        "A dose of record contradicts another record, and no one has resolved it.",
    Undetermined = "undetermined" in OpenDoses:
        "A person keeps working with an unknown dose, or without the badge they need.",
    LostBadge = "lost-badge" in OpenDoses:
        "A person keeps working with an unknown dose, or without the badge they need.",
    BadgeExchange = "badge-exchange" in OpenDoses:
        "A person keeps working with an unknown dose, or without the badge they need.",
    BadgeRead = "badge-read" in OpenDoses:
        "A person keeps working with an unknown dose, or without the badge they need.",
    OffScaleResult = "off-scale-result" in OpenDoses:
        "Everyone waits for a badge that has come back, and no one decides.",
    EventDose = "event-dose" in OpenDoses:
        "A person keeps working with an unknown dose, or without the badge they need.",
    EventLensExtremity = "event-lens-extremity" in OpenDoses:
        "No one asks about a hand that reached in, and its dose is never reported.",
    Qualification = "qualification" in People:
        "A person works with a source without being trained, observed at work or certified.",
    Reconcile = "reconcile" in Disagree:
        "A dosimeter that reads low hides dose until it is checked.",
    ProcessorYearToDate = "processor-year-to-date" in Disagree:
        "A dosimeter that reads low hides dose until it is checked.",
    PrivateLost = "private-lost" in Levels:
        "A declared pregnancy is no longer in the ledger, and neither is its level.",
    PassedBeyondLimit = "passed-beyond-limit" in Wear:
        "A part that measured as worn stays in use.",
    WearHeading = "wear-heading" in Wear:
        "A part wears through between inspections.",
    SameFigure = "same-figure" in Wear:
        "A copied figure hides the wear it should show.",
    NeverMeasured = "never-measured" in Wear:
        "A part that is never measured cannot warn of wear.",
    InactiveItem = "inactive-item" in Wear:
        "A measurement without a limit cannot be judged.",
    LeakingSource = "leaking-source" in Maintenance:
        "A leaking source contaminates people and equipment.",
    LookBack = "look-back" in Maintenance:
        "Readings from a faulty instrument are trusted.",
    Inventory = "inventory" in Maintenance:
        "A missing source is noticed only when it is needed.",
    ClockDoubted = "clock-doubted" in Sheets:
        "A wrong clock makes an honest check look late, or a late one look honest.",
    PackageSurvey = "package-survey" in Maintenance:
        "A missing source is noticed late, and no one can say when it went missing.",
    PresenceCheck = "presence-check" in Maintenance:
        "A missing source is noticed late, and no one can say when it went missing.",
    TrackingReconciliation = "tracking-reconciliation" in Maintenance:
        "A missing source is noticed late, and no one can say when it went missing.",
    TrackingReport = "tracking-report" in Maintenance:
        "A missing source is noticed late, and no one can say when it went missing.",
    MayNot = "may-not" in Levels:
        "A private reason to stop a person's work is overlooked because others cannot read it.",
    AskRso = "ask-rso" in Levels:
        "A private reason to stop a person's work is overlooked because others cannot read it.",
}

impl RuleSet {
    /// The rule text of a check. A rule set without one loses no finding: the harm that the check
    /// prevents stands in for the rule.
    pub fn text_of(&self, check: CheckKey) -> RuleText {
        let text = self.rule(check.key()).cloned();
        text.unwrap_or_else(|| RuleText {
            key: check.key().to_owned(),
            citation: "good practice, no rule text in this rule set".to_owned(),
            status: Status::ToBeConfirmed,
            meaning: check.harm().to_owned(),
            remedy: "Tell the RSO.".to_owned(),
        })
    }
}
