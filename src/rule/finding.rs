//! What needs somebody: the shape in which every check says what it found.

use serde::Serialize;
use sha2::{Digest, Sha256};

use super::checks::CheckKey;
use super::requirement::RuleText;
use super::word::{Status, words};

words! {
    /// How urgent a finding is.
    Severity {
        /// Somebody stops working, or something is not used, until it is resolved.
        Stop = "stop",
        /// Somebody does something soon.
        Act = "act",
        /// Somebody keeps an eye on it.
        Watch = "watch",
    }
}

/// How many entries a key names one by one.
const MOST_IN_KEY: usize = 8;

/// One thing that needs somebody.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Finding {
    /// How urgent it is. First, so that sorted findings begin with the stops.
    pub severity: Severity,
    /// The name of the check, which is the key of its rule text where it has one.
    pub check: String,
    /// Whom or what it is about: the id of a worker, instrument, item of equipment or sheet.
    pub subject: String,
    /// What was found, in one line.
    pub what: String,
    /// The rule in plain words.
    pub rule: String,
    /// Where the rule stands.
    pub citation: String,
    /// Whether the rule was read in the published text.
    pub status: Status,
    /// What to do now.
    pub remedy: String,
    /// The entries of the ledger that it rests on, by their number.
    pub entries: Vec<i64>,
    /// Whether it tells what is for the person and the RSO alone.
    #[serde(skip)]
    pub private: bool,
}

/// The command that does what a stop of this check asks for.
fn command_of(check: CheckKey) -> Option<&'static str> {
    Some(match check {
        CheckKey::StorageSurveyLimit => {
            "a survey within the limit on a later day's sheet ends it: wearbook sheet enter"
        }
        CheckKey::OffScale | CheckKey::ElectronicOverShiftLimit | CheckKey::Undetermined => {
            "wearbook determination enter, or wearbook badge accept once the result is there"
        }
        CheckKey::LimitExceeded | CheckKey::LevelReached => {
            "what counts in it: wearbook dose show ID --why"
        }
        CheckKey::WithdrawnUsed => "wearbook equipment return, once it is right",
        CheckKey::UsedWithDefect => {
            "wearbook equipment out-of-service; once it is repaired: wearbook equipment return, or \
             wearbook inspect enter with what was done"
        }
        CheckKey::PassedBeyondLimit => {
            "wearbook equipment out-of-service; with a new part: wearbook equipment install"
        }
        CheckKey::LeakingSource => "wearbook equipment out-of-service",
        CheckKey::EquipmentInspection => "wearbook inspect enter",
        CheckKey::LeakTest | CheckKey::ShieldLeakTest => "wearbook equipment leak-test",
        CheckKey::MeterCalibration | CheckKey::RatemeterCalibration => {
            "wearbook instrument calibrate"
        }
        CheckKey::ResponseCheck => "wearbook instrument check",
        CheckKey::LookBack => "wearbook determination enter",
        CheckKey::BadgeNotWorn => "wearbook badge issue",
        CheckKey::Qualification => "wearbook worker qualification",
        _ => return None,
    })
}

impl Finding {
    /// Makes it one that stops somebody: then it names the command that ends it.
    pub fn stop(&mut self) {
        self.severity = Severity::Stop;
        let command = CheckKey::of(&self.check).and_then(command_of);
        let command = command.filter(|_| !self.remedy.contains("wearbook "));
        if let Some(command) = command {
            self.remedy = format!("{} ({command})", self.remedy.trim_end());
        }
    }

    /// Whether it is of this check, whichever level or qualification it names.
    pub fn is(&self, check: CheckKey) -> bool {
        CheckKey::of(&self.check) == Some(check)
    }

    /// A finding that prints the rule text of its rule set.
    pub fn new(
        severity: Severity,
        rule: &RuleText,
        subject: impl Into<String>,
        what: impl Into<String>,
        entries: Vec<i64>,
    ) -> Self {
        let mut finding = Self {
            severity,
            check: rule.key.clone(),
            subject: subject.into(),
            what: what.into(),
            rule: rule.meaning.clone(),
            citation: rule.citation.clone(),
            status: rule.status,
            remedy: rule.remedy.clone(),
            entries,
            private: false,
        };
        if severity == Severity::Stop {
            finding.stop();
        }
        finding
    }

    /// The check by which everybody may know it. Of what is private it says no more than whether
    /// it is a stop.
    fn open_check(&self) -> &str {
        match (self.private, self.severity) {
            (false, _) => &self.check,
            (true, Severity::Stop) => "may-not",
            (true, _) => "ask-rso",
        }
    }

    /// The finding as anybody may read it: of what is private, that there is something and whom
    /// to ask.
    pub fn masked(self) -> Self {
        if !self.private {
            return self;
        }
        let what = match self.severity {
            Severity::Stop => "may not: see RSO",
            _ => "see RSO",
        };
        Self {
            check: self.open_check().to_owned(),
            what: what.to_owned(),
            rule: "What it rests on is for the person and the RSO alone.".to_owned(),
            citation: "see RSO".to_owned(),
            status: Status::Read,
            remedy: format!(
                "The person and the RSO: wearbook work-status {id}, wearbook dose show {id}.",
                id = self.subject
            ),
            ..self
        }
    }

    /// The text by which a decision names this finding: check, subject and entries. It changes
    /// when another entry takes the place of one of these, and the finding then returns. Many
    /// entries stand as the first, the last, how many, and a digest of all: a key is to be pasted
    /// from one line of a screen.
    pub fn key(&self) -> String {
        let (Some(first), Some(last)) = (self.entries.iter().min(), self.entries.iter().max())
        else {
            return self.long_key();
        };
        let count = self.entries.len();
        if count <= MOST_IN_KEY {
            return self.long_key();
        }
        let digest = Sha256::digest(self.long_key());
        let digest: String = digest
            .iter()
            .take(4)
            .map(|it| format!("{it:02x}"))
            .collect();
        let head = format!("{}/{}", self.open_check(), self.subject);
        format!("{head}/{first}-{last}-of-{count}-x{digest}")
    }

    /// The same with every entry: how answers of older ledgers name a finding.
    pub fn long_key(&self) -> String {
        let entries: Vec<String> = self.entries.iter().map(i64::to_string).collect();
        format!(
            "{}/{}/{}",
            self.open_check(),
            self.subject,
            entries.join("-")
        )
    }

    /// The citation, followed by `(to be confirmed)` where the text was not read.
    pub fn cited(&self) -> String {
        super::word::cited(&self.citation, self.status)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn finding(severity: Severity, status: Status, entries: Vec<i64>) -> Finding {
        let rule = RuleText {
            key: "off-scale".to_owned(),
            citation: "rule 1".to_owned(),
            status,
            meaning: "no dose is known".to_owned(),
            remedy: "stop".to_owned(),
        };
        Finding::new(severity, &rule, "W07", "PD-03 off-scale", entries)
    }

    #[test]
    fn the_key_is_check_subject_and_entries() {
        let one = finding(Severity::Stop, Status::Read, vec![118, 121]);
        assert_eq!(one.key(), "off-scale/W07/118-121");
        let none = finding(Severity::Stop, Status::Read, vec![]);
        assert_eq!(none.key(), "off-scale/W07/");
    }

    /// However many entries there are the key fits a line, and each of them changes it.
    #[test]
    fn a_key_of_many_entries_is_short_and_changes_with_each() {
        let of = |entries: &[i64]| finding(Severity::Act, Status::Read, entries.to_vec()).key();
        assert_eq!(
            of(&[1, 2, 3, 4, 5, 6, 7, 8]),
            "off-scale/W07/1-2-3-4-5-6-7-8"
        );
        let many: Vec<i64> = (700_001..700_200).collect();
        let key = of(&many);
        assert!(
            key.starts_with("off-scale/W07/700001-700199-of-199-x"),
            "{key}"
        );
        assert!(key.len() < 60, "{key}");
        for at in 1..many.len() - 1 {
            let mut other = many.clone();
            other[at] -= 1;
            assert_ne!(of(&other), key, "{at}");
        }
    }

    #[test]
    fn what_is_private_is_masked_and_has_no_part_of_it_in_its_key() {
        for (severity, key, what) in [
            (Severity::Stop, "may-not/W07/118", "may not: see RSO"),
            (Severity::Act, "ask-rso/W07/118", "see RSO"),
        ] {
            let open = finding(severity, Status::ToBeConfirmed, vec![118]);
            let told = Finding {
                private: true,
                ..open.clone()
            };
            assert_eq!(open.clone().masked(), open);
            let masked = told.clone().masked();
            assert_eq!((told.key(), masked.key()), (key.to_owned(), key.to_owned()));
            assert_eq!(masked.what, what);
            let said = format!("{masked:?}");
            for words in ["off-scale", "rule 1", "no dose is known", "ToBeConfirmed"] {
                assert!(!said.contains(words), "{words}: {said}");
            }
        }
    }

    #[test]
    fn sorted_findings_begin_with_the_stops() {
        let mut all = [
            finding(Severity::Watch, Status::Read, vec![1]),
            finding(Severity::Stop, Status::Read, vec![3]),
            finding(Severity::Act, Status::Read, vec![2]),
        ];
        all.sort();
        let order: Vec<Severity> = all.iter().map(|one| one.severity).collect();
        assert_eq!(order, [Severity::Stop, Severity::Act, Severity::Watch]);
    }

    /// Whoever is stopped is told what ends it, in a command.
    #[test]
    fn what_a_stop_asks_for_names_the_command_that_does_it() {
        let of = |severity, remedy: &str| {
            let rule = RuleText {
                key: "off-scale".to_owned(),
                citation: "rule 1".to_owned(),
                status: Status::Read,
                meaning: "no dose is known".to_owned(),
                remedy: remedy.to_owned(),
            };
            Finding::new(severity, &rule, "W07", "x", vec![]).remedy
        };
        assert!(of(Severity::Stop, "Stop.").contains("(wearbook determination enter"));
        let survey = command_of(CheckKey::StorageSurveyLimit).unwrap();
        assert!(survey.contains("wearbook sheet enter"));
        assert_eq!(of(Severity::Act, "Stop."), "Stop.");
        // A remedy that names one already is left as it is.
        let own = "Stop: wearbook badge read";
        assert_eq!(of(Severity::Stop, own), own);
    }

    #[test]
    fn a_rule_that_was_not_read_says_so_in_its_citation() {
        let read = finding(Severity::Act, Status::Read, vec![]);
        assert_eq!(read.cited(), "rule 1");
        let open = finding(Severity::Act, Status::ToBeConfirmed, vec![]);
        assert_eq!(open.cited(), "rule 1 (to be confirmed)");
    }
}
