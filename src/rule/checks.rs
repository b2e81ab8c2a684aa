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
        "A person with an unknown and maybe large dose goes on working.",
    ElectronicOverShiftLimit = "electronic-over-shift-limit" in Levels:
        "A large dose on one shift passes as one number among many.",
    LevelReached = "level-reached" in Levels:
        "A large dose on one shift is looked into only when the month is over.",
    NoDosimeter = "no-dosimeter" in OpenDoses:
        "A shift that nobody measured is later taken for a shift without dose.",
    HeldItem = "held-item" in Held:
        "A doubtful reading is forgotten, and its dose with it.",
    TwoDosimetersDisagree = "two-dosimeters-disagree" in Disagree:
        "One of two dosimeters is broken, and the next person trusts it alone.",
    StartNotLastEnd = "start-not-last-end" in Disagree:
        "Dose received between two sheets stands on neither.",
    NotRecharged = "not-recharged" in Daily:
        "A dosimeter that starts part of the way up is off-scale before the shift is over.",
    ResponseCheck = "response-check" in Maintenance:
        "A dosimeter that reads low hides dose until somebody checks it.",
    BadgeNotWorn = "badge-not-worn" in OpenDoses:
        "The badge's result is taken for the dose of a shift on which it hung in the office.",
    Minor = "minor" in Levels:
        "Somebody whom the law keeps from exposed work receives dose at work.",
    TwoPerson = "two-person" in Sheets:
        "A person alone with a stuck source has nobody to help or to keep others away.",
    RatemeterNotWorn = "ratemeter-not-worn" in Daily:
        "Without a ratemeter nothing tells somebody who walks up to an exposed source.",
    RatemeterNotTested = "ratemeter-not-tested" in Daily:
        "A silent ratemeter lets somebody walk up to an exposed source.",
    RatemeterCalibration = "ratemeter-calibration" in Maintenance:
        "A ratemeter that has drifted sounds too late.",
    MeterCalibration = "meter-calibration" in Maintenance:
        "A survey with a wrong meter says that the source is home when it is not.",
    WithdrawnUsed = "withdrawn-used" in Maintenance:
        "A known defect meets a crew that was not told.",
    UsedWithDefect = "used-with-defect" in Maintenance:
        "A defect that somebody saw and wrote down meets a crew that was not told.",
    DailyCheck = "daily-check" in Daily:
        "A worn connector that an inspection would have shown parts with the source outside.",
    CheckedAfterUse = "checked-after-use" in Daily:
        "A check written after the work vouches for what nobody inspected.",
    LeakTest = "leak-test" in Maintenance:
        "A leaking source contaminates people and equipment until somebody tests it.",
    ShieldLeakTest = "shield-leak-test" in Maintenance:
        "A shield tube worn through to the uranium sheds it, and the source hangs in it.",
    EquipmentInspection = "equipment-inspection" in Maintenance:
        "Wear that only the bench inspection shows goes on until the part fails.",
    ServicedNotCalibrated = "serviced-not-calibrated" in Maintenance:
        "A repair moves a meter's scale, and the next survey is believed.",
    NoSurveyAtStorage = "no-survey-at-storage" in Sheets:
        "A source left outside its shield goes into storage unseen.",
    NotLocked = "not-locked" in Sheets:
        "A device that stands unlocked is opened or carried off by anybody.",
    StorageSurveyLimit = "storage-survey-limit" in Sheets:
        "A source that did not come home goes into storage, and people stand beside it.",
    StorageSurveyDistance = "storage-survey-distance" in Sheets:
        "A rate that was read far from the device passes for one at its surface.",
    StorageSurveyRise = "storage-survey-rise" in Sheets:
        "A source that sits short of its place, or a shield worn through, passes as usual.",
    BoundaryRate = "boundary-rate" in Sheets:
        "People outside the boundary receive a dose that nobody meant them to have.",
    SourceOutTooLong = "source-out-too-long" in Sheets:
        "A dose is later estimated from minutes that cannot be right.",
    HoursAtOdds = "hours-at-odds" in Sheets:
        "A return that was written wrong hides where the device was in between.",
    SourceNotInDevice = "source-not-in-device" in Sheets:
        "A dose is estimated from another source, or one is not where it is looked for.",
    HoursAhead = "hours-ahead" in Sheets:
        "A return and a survey that had not been made yet are believed.",
    SignedByNoRadiographer = "signed-by-no-radiographer" in Sheets:
        "Nobody who may answer for the device stands for its use.",
    RecordedLate = "recorded-late" in Sheets:
        "A check or reading remembered at the end passes for one made before the work.",
    NotAsStarted = "not-as-started" in Sheets:
        "A reading is changed after the dose is known.",
    LateEntry = "late-entry" in Sheets:
        "A number remembered days later passes for one that was read.",
    NotAttested = "not-attested" in Sheets:
        "Nobody who was there stands for what the sheet says.",
    LimitExceeded = "limit-exceeded" in Levels:
        "A person at a limit is sent out again because nobody added up.",
    MissingQuarter = "missing-quarter" in Levels:
        "A person at a limit is sent out again because nobody added up.",
    ContradictingDoses = "contradicting-doses" in OpenDoses:
        "A dose is of record that another record contradicts, and nobody chose.",
    Undetermined = "undetermined" in OpenDoses:
        "A person works on with a dose that is not known, or without what they need.",
    LostBadge = "lost-badge" in OpenDoses:
        "A person works on with a dose that is not known, or without what they need.",
    BadgeExchange = "badge-exchange" in OpenDoses:
        "A person works on with a dose that is not known, or without what they need.",
    BadgeRead = "badge-read" in OpenDoses:
        "A person works on with a dose that is not known, or without what they need.",
    OffScaleResult = "off-scale-result" in OpenDoses:
        "A badge that came back is waited for, and nobody decides.",
    EventDose = "event-dose" in OpenDoses:
        "A person works on with a dose that is not known, or without what they need.",
    EventLensExtremity = "event-lens-extremity" in OpenDoses:
        "A hand that reached in is never asked for, and its dose never told.",
    Qualification = "qualification" in People:
        "Somebody works at a source who was not trained, seen at work or certified.",
    Reconcile = "reconcile" in Disagree:
        "A dosimeter that reads low hides dose until somebody checks it.",
    ProcessorYearToDate = "processor-year-to-date" in Disagree:
        "A dosimeter that reads low hides dose until somebody checks it.",
    PrivateLost = "private-lost" in Levels:
        "A declared pregnancy is not in the ledger any more, and its level with it.",
    PassedBeyondLimit = "passed-beyond-limit" in Wear:
        "A worn part that was measured as worn goes on working.",
    WearHeading = "wear-heading" in Wear:
        "A part wears through between two inspections.",
    SameFigure = "same-figure" in Wear:
        "A figure that was copied hides the wear that it should show.",
    NeverMeasured = "never-measured" in Wear:
        "What nobody measures cannot warn.",
    InactiveItem = "inactive-item" in Wear:
        "What has no limit cannot be judged.",
    LeakingSource = "leaking-source" in Maintenance:
        "A leaking source contaminates people and equipment.",
    LookBack = "look-back" in Maintenance:
        "What a wrong instrument measured is believed.",
    Inventory = "inventory" in Maintenance:
        "A source that is missing is missed only when somebody needs it.",
    ClockDoubted = "clock-doubted" in Sheets:
        "A wrong clock makes an honest check look late, or a late one honest.",
    PackageSurvey = "package-survey" in Maintenance:
        "A source that is missing is missed late, and nobody can say since when.",
    PresenceCheck = "presence-check" in Maintenance:
        "A source that is missing is missed late, and nobody can say since when.",
    TrackingReconciliation = "tracking-reconciliation" in Maintenance:
        "A source that is missing is missed late, and nobody can say since when.",
    TrackingReport = "tracking-report" in Maintenance:
        "A source that is missing is missed late, and nobody can say since when.",
    MayNot = "may-not" in Levels:
        "What stops somebody is passed over because it is nobody else's to read.",
    AskRso = "ask-rso" in Levels:
        "What stops somebody is passed over because it is nobody else's to read.",
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
