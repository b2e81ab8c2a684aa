//! Facts in, duties and deadlines out: the published rules with a near miss on either side.
//!
//! A row: what happened, separated by spaces; the answers, `+` yes and `-` no; the dose of W07,
//! whose limit is 5 rem, or `?` for one that nobody measured; the duty; how it stands; by when.

use super::doses::left;
use super::*;

struct Row(
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    Applies,
    &'static str,
);

/// It occurred on 1 March at 13:40 and was discovered on 3 March at 8:00, in Chicago; doses became
/// known on 10 March at 10:00. `=` is no deadline, `*` is not looked at.
const TABLE: &[Row] = {
    use Applies::{May, No, Waits, Yes};
    &[
        // 34.101(a): in writing, 30 days from the occurrence.
        Row(
            "disconnect",
            "",
            "1 mrem",
            "written-34-101",
            Yes,
            "2026-03-31T13:40-05:00",
        ),
        Row(
            "misconnect",
            "",
            "1 mrem",
            "written-34-101",
            Yes,
            "2026-03-31T13:40-05:00",
        ),
        Row(
            "source-will-not-retract",
            "",
            "1 mrem",
            "written-34-101",
            Yes,
            "2026-03-31T13:40-05:00",
        ),
        Row(
            "source-will-not-lock",
            "",
            "1 mrem",
            "written-34-101",
            Yes,
            "2026-03-31T13:40-05:00",
        ),
        Row(
            "lock-failure",
            "",
            "1 mrem",
            "written-34-101",
            Yes,
            "2026-03-31T13:40-05:00",
        ),
        Row(
            "lock-failure",
            "-component-failed -source-not-secured",
            "1 mrem",
            "written-34-101",
            No,
            "*",
        ),
        Row(
            "overexposure",
            "",
            "6 rem",
            "written-34-101",
            May,
            "2026-03-31T13:40-05:00",
        ),
        Row(
            "overexposure cause",
            "",
            "6 rem",
            "written-34-101",
            Yes,
            "2026-03-31T13:40-05:00",
        ),
        Row(
            "off-scale-dosimeter",
            "",
            "1 mrem",
            "written-34-101",
            No,
            "*",
        ),
        Row(
            "off-scale-dosimeter cause",
            "",
            "1 mrem",
            "written-34-101",
            Yes,
            "*",
        ),
        Row("lost-source", "", "1 mrem", "written-34-101", May, "*"),
        Row(
            "lost-source disconnect",
            "",
            "1 mrem",
            "written-34-101",
            Yes,
            "*",
        ),
        Row("theft", "", "1 mrem", "written-34-101", No, "*"),
        // 20.2202(a): at once, from the occurrence; 25 rem or more.
        Row(
            "disconnect",
            "",
            "25 rem",
            "at-once-20-2202",
            Yes,
            "2026-03-01T13:40-06:00",
        ),
        Row("disconnect", "", "24.999 rem", "at-once-20-2202", No, "*"),
        Row(
            "disconnect",
            "",
            "?",
            "at-once-20-2202",
            May,
            "2026-03-01T13:40-06:00",
        ),
        Row(
            "disconnect",
            "-exposure-possible",
            "?",
            "at-once-20-2202",
            No,
            "*",
        ),
        Row("lock-failure", "", "?", "at-once-20-2202", May, "*"),
        Row(
            "lock-failure",
            "-exposure-possible",
            "?",
            "at-once-20-2202",
            No,
            "*",
        ),
        // 20.2202(b): loss of control, more than 5 rem, 24 hours from the discovery.
        Row(
            "lost-source",
            "",
            "5.001 rem",
            "call-20-2202",
            Yes,
            "2026-03-04T08:00-06:00",
        ),
        Row("lost-source", "", "5 rem", "call-20-2202", No, "*"),
        Row(
            "disconnect",
            "",
            "6 rem",
            "call-20-2202",
            May,
            "2026-03-04T08:00-06:00",
        ),
        Row(
            "disconnect",
            "+control-lost",
            "6 rem",
            "call-20-2202",
            Yes,
            "2026-03-04T08:00-06:00",
        ),
        Row(
            "disconnect",
            "-control-lost",
            "6 rem",
            "call-20-2202",
            No,
            "*",
        ),
        Row(
            "disconnect loss-of-control",
            "",
            "6 rem",
            "call-20-2202",
            Yes,
            "2026-03-04T08:00-06:00",
        ),
        Row(
            "loss-of-control",
            "",
            "?",
            "call-20-2202",
            May,
            "2026-03-04T08:00-06:00",
        ),
        Row("package-above-limits", "", "6 rem", "call-20-2202", No, "*"),
        // 20.2203: above a limit, 30 days from learning.
        Row(
            "overexposure",
            "",
            "5.001 rem",
            "written-20-2203",
            Yes,
            "2026-04-09T10:00-05:00",
        ),
        Row("overexposure", "", "5 rem", "written-20-2203", No, "*"),
        Row("overexposure", "", "?", "written-20-2203", Waits, "="),
        Row("disconnect", "", "?", "written-20-2203", Waits, "="),
        Row(
            "disconnect",
            "-written-20-2203",
            "?",
            "written-20-2203",
            No,
            "*",
        ),
        Row("disconnect", "", "1 mrem", "written-20-2203", No, "*"),
        // 20.2203: an unrestricted area.
        Row(
            "disconnect",
            "",
            "1 mrem",
            "written-20-2203-area",
            May,
            "2026-04-02T08:00-05:00",
        ),
        Row(
            "disconnect",
            "+unrestricted-area",
            "1 mrem",
            "written-20-2203-area",
            Yes,
            "2026-04-02T08:00-05:00",
        ),
        Row(
            "disconnect",
            "-unrestricted-area",
            "1 mrem",
            "written-20-2203-area",
            No,
            "*",
        ),
        Row(
            "dosimeter-lost-or-damaged",
            "",
            "1 mrem",
            "written-20-2203-area",
            No,
            "*",
        ),
        // 20.2205: no later than the report.
        Row(
            "overexposure",
            "",
            "6 rem",
            "to-the-person-20-2205",
            Yes,
            "2026-04-09T10:00-05:00",
        ),
        Row("overexposure", "", "?", "to-the-person-20-2205", Waits, "="),
        Row(
            "overexposure",
            "",
            "5 rem",
            "to-the-person-20-2205",
            No,
            "*",
        ),
        // 30.50(a): 4 hours from the discovery.
        Row(
            "drop-or-fire",
            "",
            "1 mrem",
            "call-30-50-a",
            May,
            "2026-03-03T12:00-06:00",
        ),
        Row(
            "drop-or-fire",
            "+prevents-protection",
            "1 mrem",
            "call-30-50-a",
            Yes,
            "2026-03-03T12:00-06:00",
        ),
        Row(
            "drop-or-fire",
            "-prevents-protection",
            "1 mrem",
            "call-30-50-a",
            No,
            "*",
        ),
        Row("overexposure", "", "6 rem", "call-30-50-a", No, "*"),
        // 30.50(b)(2): 24 hours from the discovery, by default of a source that is out.
        Row(
            "disconnect",
            "",
            "1 mrem",
            "call-30-50-b",
            Yes,
            "2026-03-04T08:00-06:00",
        ),
        Row(
            "source-will-not-retract",
            "",
            "1 mrem",
            "call-30-50-b",
            Yes,
            "2026-03-04T08:00-06:00",
        ),
        Row(
            "source-will-not-retract",
            "-no-redundant",
            "1 mrem",
            "call-30-50-b",
            No,
            "*",
        ),
        Row(
            "meter-failure",
            "",
            "1 mrem",
            "call-30-50-b",
            May,
            "2026-03-04T08:00-06:00",
        ),
        Row(
            "overexposure cause",
            "",
            "6 rem",
            "call-30-50-b",
            Yes,
            "2026-03-04T08:00-06:00",
        ),
        Row(
            "overexposure",
            "",
            "6 rem",
            "call-30-50-b",
            May,
            "2026-03-04T08:00-06:00",
        ),
        Row(
            "unusual-cranking-force",
            "",
            "1 mrem",
            "call-30-50-b",
            No,
            "*",
        ),
        // 34.27(d): 5 days from the test.
        Row(
            "leaking-source",
            "",
            "1 mrem",
            "leaking-source-34-27",
            Yes,
            "2026-03-06T13:40-06:00",
        ),
        Row("lost-source", "", "1 mrem", "leaking-source-34-27", No, "*"),
        // 20.2201: at once, and 30 days while it is missing; counted from the discovery.
        Row(
            "lost-source",
            "",
            "1 mrem",
            "lost-20-2201-at-once",
            Yes,
            "2026-03-03T08:00-06:00",
        ),
        Row(
            "disconnect lost-source",
            "",
            "1 mrem",
            "lost-20-2201-at-once",
            Yes,
            "2026-03-03T08:00-06:00",
        ),
        Row("disconnect", "", "1 mrem", "lost-20-2201-at-once", No, "*"),
        Row(
            "loss-of-control",
            "",
            "1 mrem",
            "lost-20-2201-at-once",
            May,
            "2026-03-03T08:00-06:00",
        ),
        Row(
            "loss-of-control",
            "-material-lost",
            "1 mrem",
            "lost-20-2201-at-once",
            No,
            "*",
        ),
        Row(
            "lost-source",
            "-large-and-exposing",
            "1 mrem",
            "lost-20-2201-at-once",
            No,
            "*",
        ),
        Row(
            "lost-source",
            "",
            "1 mrem",
            "lost-20-2201-30-days",
            Yes,
            "2026-04-02T08:00-05:00",
        ),
        Row(
            "lost-source source-recovered",
            "",
            "1 mrem",
            "lost-20-2201-30-days",
            No,
            "*",
        ),
        Row(
            "lost-source source-recovered",
            "",
            "1 mrem",
            "lost-20-2201-further",
            Yes,
            "2026-04-02T08:00-05:00",
        ),
        Row("lost-source", "", "1 mrem", "lost-20-2201-further", No, "*"),
        // 37.57 and 37.81: 4 hours from the discovery, of category 2.
        Row(
            "theft category-2",
            "",
            "1 mrem",
            "theft-37-57-call",
            Yes,
            "2026-03-03T12:00-06:00",
        ),
        Row(
            "theft category-3",
            "",
            "1 mrem",
            "theft-37-57-call",
            No,
            "*",
        ),
        Row(
            "theft",
            "",
            "1 mrem",
            "theft-37-57-call",
            May,
            "2026-03-03T12:00-06:00",
        ),
        Row(
            "theft category-2",
            "",
            "1 mrem",
            "theft-37-57-police",
            Yes,
            "2026-03-03T08:00-06:00",
        ),
        Row(
            "lost-source category-2",
            "",
            "1 mrem",
            "theft-37-57-call",
            May,
            "2026-03-03T12:00-06:00",
        ),
        Row(
            "lost-source category-2",
            "-stolen",
            "1 mrem",
            "theft-37-57-call",
            No,
            "*",
        ),
        Row(
            "disconnect category-2",
            "",
            "1 mrem",
            "theft-37-57-call",
            No,
            "*",
        ),
        Row(
            "lost-source category-2",
            "+in-shipment",
            "1 mrem",
            "shipment-37-81",
            Yes,
            "2026-03-03T12:00-06:00",
        ),
        Row(
            "lost-source category-2",
            "-in-shipment",
            "1 mrem",
            "shipment-37-81",
            No,
            "*",
        ),
        // 20.1906(d); 49 CFR 171.15 and .16.
        Row(
            "package-above-limits",
            "",
            "1 mrem",
            "package-20-1906",
            Yes,
            "2026-03-03T08:00-06:00",
        ),
        Row("leaking-source", "", "1 mrem", "package-20-1906", No, "*"),
        Row(
            "transport-incident",
            "",
            "1 mrem",
            "transport-171-15",
            Yes,
            "2026-03-02T01:40-06:00",
        ),
        Row(
            "transport-incident",
            "",
            "1 mrem",
            "transport-171-16",
            Yes,
            "2026-04-02T08:00-05:00",
        ),
        Row("drop-or-fire", "", "1 mrem", "transport-171-15", No, "*"),
        // 21.21: 60 days from the discovery.
        Row(
            "disconnect",
            "",
            "1 mrem",
            "defect-21-21-evaluate",
            May,
            "2026-05-02T08:00-05:00",
        ),
        Row(
            "overexposure cause",
            "+defect",
            "1 mrem",
            "defect-21-21-evaluate",
            Yes,
            "2026-05-02T08:00-05:00",
        ),
        Row(
            "overexposure",
            "",
            "1 mrem",
            "defect-21-21-evaluate",
            No,
            "*",
        ),
    ]
};

pub(super) fn asked(happened: &str, answers: &str, dose_text: &str) -> Facts<'static> {
    let mut asked = facts("none");
    asked.happenings.clear();
    for (nth, word) in happened.split_whitespace().enumerate() {
        let key = match word {
            "cause" => crate::rule::FAILED_COMPONENT,
            "category-2" | "category-3" => {
                asked.category = Some(Category {
                    two: word == "category-2",
                    one: false,
                    words: word.to_owned(),
                });
                continue;
            }
            word => word,
        };
        asked.happenings.push(Happening {
            key: key.to_owned(),
            entry: 10 + nth as i64,
        });
    }
    for word in answers.split_whitespace() {
        answer(&mut asked, &word[1..], word.starts_with('+'));
    }
    asked.limits = vec![left("5 rem", "0 rem")];
    match dose_text {
        "?" => {
            asked.doses.clear();
            asked.unmeasured = vec![Unmeasured {
                person: "W07".to_owned(),
                quantities: vec![
                    Quantity::Deep,
                    Quantity::Lens,
                    Quantity::Shallow,
                    Quantity::Extremity,
                ],
            }];
        }
        text => asked.doses = vec![dose(Quantity::Deep, text)],
    }
    asked
}

#[test]
fn each_duty_arises_and_ends_as_its_rule_says() {
    assert!(TABLE.len() >= 60);
    for Row(happened, answers, dose_text, duty, stands, by) in TABLE {
        let what = format!("{happened} / {answers} / {dose_text} / {duty}");
        let found = us(&asked(happened, answers, dose_text));
        let state = one(&found, duty);
        assert_eq!(state.applies, *stands, "{what}: {state:#?}");
        match *by {
            "*" => {}
            "=" => assert_eq!(state.deadline, None, "{what}"),
            by => assert_eq!(state.deadline, Some(at(by)), "{what}"),
        }
        assert!(state.because.len() + state.unanswered.len() > 0, "{what}");
    }
}

#[test]
fn a_disconnect_comes_to_at_most_six_reports() {
    let found = us(&asked("disconnect", "", "1 mrem"));
    let mut reports: Vec<&str> = found
        .duties
        .iter()
        .filter(|it| it.is_open())
        .map(|it| it.report.as_str())
        .collect();
    reports.sort_unstable();
    reports.dedup();
    assert!(reports.len() <= 6, "{reports:?}");
}
