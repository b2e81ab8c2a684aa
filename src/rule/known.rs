//! The keys by which the checks ask a rule set. Every rule set has all of these.

use super::requirement::ToleranceValue;

/// Rule texts that findings print. A rule set that was adopted before one was asked for stays
/// readable without it: then the harm that the check prevents stands in.
pub const RULE_KEYS: &[&str] = &[
    "off-scale",
    "off-scale-on-demand",
    "off-scale-result",
    "electronic-over-shift-limit",
    "response-check",
    "ratemeter-not-tested",
    "ratemeter-not-worn",
    "ratemeter-calibration",
    "meter-calibration",
    "two-person",
    "start-not-last-end",
    "two-dosimeters-disagree",
    "limit-exceeded",
    "level-reached",
    "minor",
    "declared-pregnancy",
    "missing-quarter",
    "withdrawn-used",
    "leak-test",
    "shield-leak-test",
    "leaking-source",
    "equipment-inspection",
    "daily-check",
    "checked-after-use",
    "serviced-not-calibrated",
    "inventory",
    "look-back",
    "used-with-defect",
    "passed-beyond-limit",
    "same-figure",
    "never-measured",
    "inactive-item",
    "wear-heading",
    "late-entry",
    "clock-doubted",
    "no-survey-at-storage",
    "storage-survey-limit",
    "storage-survey-distance",
    "storage-survey-rise",
    "boundary-rate",
    "source-out-too-long",
    "source-not-in-device",
    "hours-ahead",
    "recorded-late",
    "not-as-started",
    "not-locked",
    "not-recharged",
    "hours-at-odds",
    "signed-by-no-radiographer",
    "held-item",
    "badge-not-worn",
    "no-dosimeter",
    "not-attested",
    "lost-badge",
    "exposure-as-dose",
    "photon-lens-shallow",
    "badge-exchange",
    "badge-read",
    "missing-result",
    "undetermined",
    "event-dose",
    "event-lens-extremity",
    "contradicting-doses",
    "processor-year-to-date",
    "qualification",
    "certification",
    "assistant-qualification",
    "reconcile",
];

/// Rule texts that answers print where a rule set has them.
pub const OPTIONAL_RULE_KEYS: &[&str] = &[
    "access-reinvestigation",
    "annual-report",
    "control-device",
    "control-storage",
    "control-vehicle",
    "dose-bands",
    "dose-determined",
    "embryo-record",
    "extremity-not-monitored",
    "hazmat-training",
    "job-inspection-sole-rso",
    "job-site-papers",
    "leaving-estimate",
    "package-survey",
    "planned-special-exposure",
    "pregnancy-even-rate",
    "presence-check",
    "prior-dose",
    "prior-dose-request",
    "private-part",
    "programme-review",
    "receiver-licence",
    "record-byproduct",
    "record-dosimeter",
    "record-inventory",
    "record-leak-test",
    "record-meter",
    "record-ratemeter",
    "record-source",
    "record-training",
    "record-utilization",
    "source-recovery",
    "tracking-reconciliation",
    "tracking-report",
    "worker-report",
];

/// Intervals that checks ask for. A rule set may have more.
pub const INTERVAL_KEYS: &[&str] = &[
    "meter-calibration",
    "meter-check",
    "dosimeter-response-check",
    "ratemeter-calibration",
    "ratemeter-alarm-check",
    "daily-check",
    "equipment-inspection",
    "leak-test",
    "shield-leak-test",
    "inventory",
];

/// Tolerances that checks ask for. A rule set may have more.
pub const TOLERANCE_KEYS: &[&str] = &[
    "meter-accuracy",
    "dosimeter-response",
    "dosimeter-range",
    "ratemeter-preset",
    "ratemeter-accuracy",
    "badge-to-processor",
    "missing-quarter",
    "reconcile-relative",
    "reconcile-minimum",
    "two-dosimeters-relative",
    "two-dosimeters-minimum",
    "late-entry",
    "clock-jump",
    "leak-test-activity",
];

/// The kind of value that a known tolerance has, as the name of its field.
pub(super) fn tolerance_field(key: &str) -> Option<&'static str> {
    Some(match key {
        "meter-accuracy"
        | "dosimeter-response"
        | "ratemeter-accuracy"
        | "missing-quarter"
        | "reconcile-relative"
        | "storage-survey-rise"
        | "two-dosimeters-relative" => "permille",
        "dosimeter-range" | "reconcile-minimum" | "two-dosimeters-minimum" => "dose",
        "public-any-one-hour" | "public-any-one-week" => "dose",
        "ratemeter-preset" | "barrier-rate" | "device-surface-rate" | "device-metre-rate" => "rate",
        "badge-to-processor" | "badge-read-start" | "clock-jump" | "package-survey" => "hours",
        "late-entry" | "former-worker-report" | "presence-check" | "tracking-report" => "days",
        "exposed-from-age" | "training-from-age" => "years",
        "leak-test-activity" => "activity",
        "annual-report" | "tracking-reconciliation" => "by_day",
        _ => return None,
    })
}

/// Whether `now` lets more pass than `before`, for the tolerances where one way is the strict
/// one. The reconciliation bands are the site's own to set and are in neither list.
pub(super) fn is_looser(key: &str, now: ToleranceValue, before: ToleranceValue) -> bool {
    let now = now.count();
    let before = before.count();
    match key {
        "meter-accuracy"
        | "dosimeter-response"
        | "ratemeter-accuracy"
        | "ratemeter-preset"
        | "badge-to-processor"
        | "badge-read-start"
        | "leak-test-activity"
        | "meter-range-low"
        | "public-any-one-hour"
        | "public-any-one-week"
        | "barrier-rate"
        | "device-surface-rate"
        | "device-metre-rate"
        | "storage-survey-rise"
        | "former-worker-report"
        | "package-survey"
        | "presence-check"
        | "tracking-report"
        | "tracking-reconciliation"
        | "annual-report" => now > before,
        "missing-quarter" | "meter-range-high" | "exposed-from-age" | "training-from-age" => {
            now < before
        }
        _ => false,
    }
}
