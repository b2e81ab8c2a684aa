//! Named checks: pure functions that say what on a sheet, or in a standing,
//! needs somebody. Silent when all is well.
//!
//! Each check has the key of the rule set's rule text that it prints, and one
//! sentence on the harm that it prevents. Nothing here refuses anything: the
//! sheet is a fact, and a finding answers it.

mod crew;
mod dosimeter;
mod elsewhere;
mod equipment;
mod figures;
pub mod input;
mod maintenance;
mod paper;
mod standing;
mod stopped;
mod waiting;

pub use elsewhere::badges_elsewhere;
pub use figures::{Survey, judge_survey};
pub use standing::{judged, level_findings};
pub use stopped::work_while_undetermined;
pub use waiting::with_result;

use crate::dose::checks::input::SheetFacts;
use crate::rule::{Finding, RuleSet, RuleText, Severity, Status};

/// One check of a sheet.
pub struct Check {
    /// Its name, which is the key of its rule text.
    pub name: &'static str,
    /// The harm that it prevents.
    pub harm: &'static str,
    find: fn(&SheetFacts, &RuleSet) -> Vec<Found>,
}

/// What a check found, before the rule set's rule text is put to it.
struct Found {
    severity: Severity,
    subject: String,
    what: String,
    entries: Vec<i64>,
}

/// The checks of a sheet, in the order in which a person reads them.
pub const CHECKS: &[Check] = &[
    Check {
        name: "off-scale",
        harm: "A person with an unknown and maybe large dose goes on working.",
        find: dosimeter::off_scale,
    },
    Check {
        name: "electronic-over-shift-limit",
        harm: "A large dose on one shift passes as one number among many.",
        find: dosimeter::electronic_over_shift_limit,
    },
    Check {
        name: "level-reached",
        harm: "A large dose on one shift is looked into only when the month is over.",
        find: dosimeter::shift_level,
    },
    Check {
        name: "no-dosimeter",
        harm: "A shift that nobody measured is later taken for a shift without dose.",
        find: dosimeter::no_dosimeter,
    },
    Check {
        name: "held-item",
        harm: "A doubtful reading is forgotten, and its dose with it.",
        find: dosimeter::held_item,
    },
    Check {
        name: "two-dosimeters-disagree",
        harm: "One of two dosimeters is broken, and the next person trusts it alone.",
        find: dosimeter::two_disagree,
    },
    Check {
        name: "start-not-last-end",
        harm: "Dose received between two sheets stands on neither.",
        find: dosimeter::start_not_last_end,
    },
    Check {
        name: "not-recharged",
        harm: "A dosimeter that starts part of the way up is off-scale before the shift is over.",
        find: dosimeter::not_recharged,
    },
    Check {
        name: "response-check",
        harm: "A dosimeter that reads low hides dose until somebody checks it.",
        find: dosimeter::response_check,
    },
    Check {
        name: "badge-not-worn",
        harm: "The badge's result is taken for the dose of a shift on which it hung in the office.",
        find: crew::badge_not_worn,
    },
    Check {
        name: "minor",
        harm: "Somebody whom the law keeps from exposed work receives dose at work.",
        find: crew::too_young,
    },
    Check {
        name: "two-person",
        harm: "A person alone with a stuck source has nobody to help or to keep others away.",
        find: crew::two_person,
    },
    Check {
        name: "ratemeter-not-worn",
        harm: "Without a ratemeter nothing tells somebody who walks up to an exposed source.",
        find: crew::ratemeter_not_worn,
    },
    Check {
        name: "ratemeter-not-tested",
        harm: "A silent ratemeter lets somebody walk up to an exposed source.",
        find: crew::ratemeter_not_tested,
    },
    Check {
        name: "ratemeter-calibration",
        harm: "A ratemeter that has drifted sounds too late.",
        find: crew::ratemeter_calibration,
    },
    Check {
        name: "meter-calibration",
        harm: "A survey with a wrong meter says that the source is home when it is not.",
        find: equipment::meter_calibration,
    },
    Check {
        name: "withdrawn-used",
        harm: "A known defect meets a crew that was not told.",
        find: equipment::withdrawn_used,
    },
    Check {
        name: "used-with-defect",
        harm: "A defect that somebody saw and wrote down meets a crew that was not told.",
        find: maintenance::used_with_defect,
    },
    Check {
        name: "daily-check",
        harm: "A worn connector that an inspection would have shown parts with the source outside.",
        find: maintenance::daily_check,
    },
    Check {
        name: "checked-after-use",
        harm: "A check written after the work vouches for what nobody inspected.",
        find: maintenance::checked_after_use,
    },
    Check {
        name: "leak-test",
        harm: "A leaking source contaminates people and equipment until somebody tests it.",
        find: maintenance::leak_test,
    },
    Check {
        name: "shield-leak-test",
        harm: "A shield tube worn through to the uranium sheds it, and the source hangs in it.",
        find: maintenance::shield_leak_test,
    },
    Check {
        name: "equipment-inspection",
        harm: "Wear that only the bench inspection shows goes on until the part fails.",
        find: maintenance::equipment_inspection,
    },
    Check {
        name: "serviced-not-calibrated",
        harm: "A repair moves a meter's scale, and the next survey is believed.",
        find: maintenance::serviced_not_calibrated,
    },
    Check {
        name: "no-survey-at-storage",
        harm: "A source left outside its shield goes into storage unseen.",
        find: equipment::no_survey_at_storage,
    },
    Check {
        name: "not-locked",
        harm: "A device that stands unlocked is opened or carried off by anybody.",
        find: equipment::not_locked,
    },
    Check {
        name: "storage-survey-limit",
        harm: "A source that did not come home goes into storage, and people stand beside it.",
        find: figures::storage_survey_limit,
    },
    Check {
        name: "storage-survey-distance",
        harm: "A rate that was read far from the device passes for one at its surface.",
        find: figures::storage_survey_distance,
    },
    Check {
        name: "storage-survey-rise",
        harm: "A source that sits short of its place, or a shield worn through, passes as usual.",
        find: figures::storage_survey_rise,
    },
    Check {
        name: "boundary-rate",
        harm: "People outside the boundary receive a dose that nobody meant them to have.",
        find: figures::boundary_rate,
    },
    Check {
        name: "source-out-too-long",
        harm: "A dose is later estimated from minutes that cannot be right.",
        find: figures::source_out_too_long,
    },
    Check {
        name: "hours-at-odds",
        harm: "A return that was written wrong hides where the device was in between.",
        find: figures::hours_at_odds,
    },
    Check {
        name: "source-not-in-device",
        harm: "A dose is estimated from another source, or one is not where it is looked for.",
        find: figures::source_not_in_device,
    },
    Check {
        name: "hours-ahead",
        harm: "A return and a survey that had not been made yet are believed.",
        find: figures::hours_ahead,
    },
    Check {
        name: "signed-by-no-radiographer",
        harm: "Nobody who may answer for the device stands for its use.",
        find: paper::signed_by_no_radiographer,
    },
    Check {
        name: "recorded-late",
        harm: "A check or reading remembered at the end passes for one made before the work.",
        find: paper::recorded_late,
    },
    Check {
        name: "not-as-started",
        harm: "A reading is changed after the dose is known.",
        find: paper::not_as_started,
    },
    Check {
        name: "late-entry",
        harm: "A number remembered days later passes for one that was read.",
        find: paper::late_entry,
    },
    Check {
        name: "not-attested",
        harm: "Nobody who was there stands for what the sheet says.",
        find: paper::not_attested,
    },
];

/// The checks of what a crew does at a job: the rules there hold for them. What is left is of
/// doses, badges, records and calibration, which hang on the license.
const AT_THE_JOB: &[&str] = &[
    "two-person",
    "ratemeter-not-tested",
    "withdrawn-used",
    "used-with-defect",
    "daily-check",
    "checked-after-use",
    "no-survey-at-storage",
    "not-locked",
    "storage-survey-limit",
    "storage-survey-distance",
    "storage-survey-rise",
    "boundary-rate",
];

/// The checks of what stands before the work: those that hold when a shift begins.
pub const AT_THE_START: &[&str] = &[
    "not-recharged",
    "response-check",
    "badge-not-worn",
    "minor",
    "two-person",
    "ratemeter-not-worn",
    "ratemeter-not-tested",
    "ratemeter-calibration",
    "meter-calibration",
    "withdrawn-used",
    "used-with-defect",
    "daily-check",
    "leak-test",
    "shield-leak-test",
    "equipment-inspection",
    "serviced-not-calibrated",
];

/// Every finding of one sheet, in the order of [`CHECKS`]: by the rules of the license, and by
/// those that hold at the job.
pub fn sheet_findings(sheet: &SheetFacts, license: &RuleSet, job: &RuleSet) -> Vec<Finding> {
    CHECKS
        .iter()
        .flat_map(|check| {
            let rule_set = match AT_THE_JOB.contains(&check.name) {
                true => job,
                false => license,
            };
            let rule = rule_text(rule_set, check.name, check.harm);
            (check.find)(sheet, rule_set)
                .into_iter()
                .map(move |mut found| {
                    let badge = badge_to_read(sheet, check.name, &found.subject);
                    let rule = match badge {
                        Some(_) => start_read_text(rule_set, rule.clone()),
                        None => rule.clone(),
                    };
                    if let Some(badge) = badge {
                        found.what += &format!("; badge {badge} is read on demand");
                    }
                    let Found {
                        severity,
                        subject,
                        what,
                        entries,
                    } = found;
                    Finding::new(severity, &rule, subject, what, entries)
                })
        })
        .collect()
}

/// The badge of the person found that is read on demand and goes to no processor.
fn badge_to_read<'a>(sheet: &'a SheetFacts, check: &str, subject: &str) -> Option<&'a str> {
    let mut people = sheet.people.iter().filter(|it| it.worker == subject);
    let sends = waiting::SENDS_BADGE.contains(&check);
    people.find_map(|it| it.on_demand.as_deref().filter(|_| sends))
}

/// The text of a rule that sends the badge to its processor, for a badge that is read on demand
/// and needs none. The finding stays that of its check.
pub(crate) fn start_read_text(rule_set: &RuleSet, sends: RuleText) -> RuleText {
    match rule_set.rule("off-scale-on-demand") {
        Some(text) => RuleText {
            key: sends.key,
            ..text.clone()
        },
        // A rule set adopted before there was such a text.
        None => RuleText {
            remedy: "Stop this person, tell the RSO now, start the read of the badge within 24 \
                     hours; only the RSO or the RSO's designee determines the dose."
                .to_string(),
            ..sends
        },
    }
}

/// The rule set's rule text. A rule set without one loses no finding: the harm
/// that the check prevents stands in for the rule.
pub(crate) fn rule_text(rule_set: &RuleSet, key: &str, harm: &str) -> RuleText {
    rule_set.rule(key).cloned().unwrap_or_else(|| RuleText {
        key: key.to_string(),
        citation: "good practice, no rule text in this rule set".to_string(),
        status: Status::ToBeConfirmed,
        meaning: harm.to_string(),
        remedy: "Tell the RSO.".to_string(),
    })
}
