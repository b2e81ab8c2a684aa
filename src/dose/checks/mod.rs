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

use crate::dose::checks::input::{Person, SheetFacts};
use crate::rule::CheckKey::*;
use crate::rule::{CheckKey, Finding, RuleSet, RuleText, Severity};

/// One check of a sheet.
pub struct Check {
    /// Which it is.
    pub key: CheckKey,
    find: Find,
    /// Whether it is of what a crew does at a job, where the rules there hold. What is left is of
    /// doses, badges, records and calibration, which hang on the license.
    at_the_job: bool,
    /// Whether it is of what stands before the work: it holds when a shift begins.
    pub at_start: bool,
}

type Find = fn(&SheetFacts, &RuleSet) -> Vec<Found>;

const fn license(key: CheckKey, find: Find) -> Check {
    let (at_the_job, at_start) = (false, false);
    Check {
        key,
        find,
        at_the_job,
        at_start,
    }
}

const fn job(key: CheckKey, find: Find) -> Check {
    let at_the_job = true;
    Check {
        at_the_job,
        ..license(key, find)
    }
}

impl Check {
    const fn at_start(self) -> Check {
        Check {
            at_start: true,
            ..self
        }
    }
}

/// What a check found, before the rule set's rule text is put to it.
struct Found {
    severity: Severity,
    subject: String,
    what: String,
    entries: Vec<i64>,
}

impl Found {
    /// What a sheet says of one person.
    fn of_person(severity: Severity, sheet: &SheetFacts, person: &Person, what: String) -> Found {
        let (id, name) = (&person.worker, &person.name);
        Found {
            severity,
            subject: id.clone(),
            what: format!("{id} {name}, {}: {what}", sheet.name()),
            entries: vec![sheet.entry],
        }
    }
}

/// Use of what was not fit for it stops; where both are of one day, which came first is left to
/// somebody.
const fn used_unfit(same_day: bool) -> Severity {
    match same_day {
        true => Severity::Watch,
        false => Severity::Stop,
    }
}

/// The checks of a sheet, in the order in which a person reads them.
pub const CHECKS: &[Check] = &[
    license(OffScale, dosimeter::off_scale),
    license(
        ElectronicOverShiftLimit,
        dosimeter::electronic_over_shift_limit,
    ),
    license(LevelReached, dosimeter::shift_level),
    license(NoDosimeter, dosimeter::no_dosimeter),
    license(HeldItem, dosimeter::held_item),
    license(TwoDosimetersDisagree, dosimeter::two_disagree),
    license(StartNotLastEnd, dosimeter::start_not_last_end),
    license(NotRecharged, dosimeter::not_recharged).at_start(),
    license(ResponseCheck, dosimeter::response_check).at_start(),
    license(BadgeNotWorn, crew::badge_not_worn).at_start(),
    license(Minor, crew::too_young).at_start(),
    job(TwoPerson, crew::two_person).at_start(),
    license(RatemeterNotWorn, crew::ratemeter_not_worn).at_start(),
    job(RatemeterNotTested, crew::ratemeter_not_tested).at_start(),
    license(RatemeterCalibration, crew::ratemeter_calibration).at_start(),
    license(MeterCalibration, equipment::meter_calibration).at_start(),
    job(WithdrawnUsed, equipment::withdrawn_used).at_start(),
    job(UsedWithDefect, maintenance::used_with_defect).at_start(),
    job(DailyCheck, maintenance::daily_check).at_start(),
    job(CheckedAfterUse, maintenance::checked_after_use),
    license(LeakTest, maintenance::leak_test).at_start(),
    license(ShieldLeakTest, maintenance::shield_leak_test).at_start(),
    license(EquipmentInspection, maintenance::equipment_inspection).at_start(),
    license(ServicedNotCalibrated, maintenance::serviced_not_calibrated).at_start(),
    job(NoSurveyAtStorage, equipment::no_survey_at_storage),
    job(NotLocked, equipment::not_locked),
    job(StorageSurveyLimit, figures::storage_survey_limit),
    job(StorageSurveyDistance, figures::storage_survey_distance),
    job(StorageSurveyRise, figures::storage_survey_rise),
    job(BoundaryRate, figures::boundary_rate),
    license(SourceOutTooLong, figures::source_out_too_long),
    license(HoursAtOdds, figures::hours_at_odds),
    license(SourceNotInDevice, figures::source_not_in_device),
    license(HoursAhead, figures::hours_ahead),
    license(SignedByNoRadiographer, paper::signed_by_no_radiographer),
    license(RecordedLate, paper::recorded_late),
    license(NotAsStarted, paper::not_as_started),
    license(LateEntry, paper::late_entry),
    license(NotAttested, paper::not_attested),
];

/// Every finding of one sheet, in the order of [`CHECKS`]: by the rules of the license, and by
/// those that hold at the job.
pub fn sheet_findings(sheet: &SheetFacts, license: &RuleSet, job: &RuleSet) -> Vec<Finding> {
    CHECKS
        .iter()
        .flat_map(|check| {
            let rule_set = match check.at_the_job {
                true => job,
                false => license,
            };
            let rule = rule_set.text_of(check.key);
            (check.find)(sheet, rule_set)
                .into_iter()
                .map(move |mut found| {
                    let badge = badge_to_read(sheet, check.key, &found.subject);
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
fn badge_to_read<'a>(sheet: &'a SheetFacts, check: CheckKey, subject: &str) -> Option<&'a str> {
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
            remedy: "Stop this person's work, tell the RSO now, and start the read of the badge \
                     within 24 hours. Only the RSO or the RSO's designee determines the dose."
                .to_string(),
            ..sends
        },
    }
}

/// Whether a finding of a sheet is of what stands before the work.
pub fn is_at_start(finding: &Finding) -> bool {
    CHECKS.iter().any(|it| it.at_start && finding.is(it.key))
}
