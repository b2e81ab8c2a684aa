//! The finding in four sentences.

use super::verdicts::ruled;
use super::{by_data, day};
use crate::record::Coverage;
use crate::trace::barrier::{HumanFact, barriers};
use crate::trace::coverage::{Covered, Source};
use crate::trace::finding::{Seen, Told, finding};
use crate::trace::verdict::Verdict;

const USED: &str = "2026-05-18/20 2026-05-19/6";

/// An item with what is written of it and whether it could have shown it.
fn row(key: &str, coverage: Coverage, text: &str) -> (String, Verdict) {
    let mut verdict = ruled(key, USED, text);
    verdict.covered = by_data(coverage);
    (key.to_owned(), verdict)
}

fn told(rows: &[(String, Verdict)]) -> Vec<String> {
    let seen = rows.iter().map(|(item, verdict)| Seen {
        equipment: "CU-2",
        item,
        limit: item
            .starts_with("cable-diameter")
            .then_some("not below 5.8 mm"),
        foreseeable: None,
        verdict,
    });
    finding(&Told {
        failed: vec!["the drive cable of CU-2 failed: broken".to_owned()],
        is_human: false,
        rows: seen.collect(),
        no_item: None,
        barriers: &[],
        beside: &[],
        out_of_service: &[],
        testimonies: 0,
    })
}

/// What is written of the diameter, and what each sentence says.
#[test]
fn the_finding_says_what_failed_what_could_show_it_the_last_look_and_what_was_known() {
    for (text, third, fourth) in [
        (
            "look 1 2026-04-01 quarterly good 5.7_mm",
            "Last inspection: 2026-04-01 quarterly by W02: good 5.7 mm (entry 100), PAST the \
            limit, not \
             below 5.8 mm.",
            "Known before: a warning was shown for `cable-diameter` (entry 100).",
        ),
        (
            "look 1 2026-04-01 quarterly good 6_mm",
            "Last inspection: 2026-04-01 quarterly by W02: good 6 mm (entry 100), within the \
            limit, not \
             below 5.8 mm.",
            "Known before: no defect, no warning, nothing that called for an inspection.",
        ),
        (
            "look 1 2026-04-01 quarterly good",
            "Last inspection: 2026-04-01 quarterly by W02: good (entry 100), no figure against the \
             limit, not below 5.8 mm.",
            "Known before: no defect, no warning, nothing that called for an inspection.",
        ),
        (
            "look 1 2026-04-01 quarterly not-done",
            "Last inspection: 2026-04-01 quarterly by W02: not done (entry 100), skipped.",
            "Known before: no defect, no warning, nothing that called for an inspection.",
        ),
        (
            "look 1 2026-04-01 quarterly good 6_mm\nlook 2 2026-05-19 quarterly defect",
            "Last inspection: 2026-04-01 quarterly by W02: good 6 mm (entry 100), within the \
            limit, not \
             below 5.8 mm.",
            "Known before: perhaps a written defect, order unknown, not cleared: 2026-05-19 \
             quarterly by W02: defect (entry 101); and in use when it happened \
             (cable-diameter).",
        ),
        (
            "late 1 2026-04-01 quarterly good 6_mm",
            "No inspection counts before the event; the one that was due is on record only by an \
            entry \
             written after the event, and counts for nothing.",
            "Known before: no defect, no warning, nothing that called for an inspection.",
        ),
        (
            "look 1 2026-01-01 quarterly good 6_mm",
            "Not on record: the periodic inspection, overdue since 2026-04-02; last inspection: \
             2026-01-01 quarterly by W02: good 6 mm (entry 100), within the limit, not below 5.8 \
             mm.",
            "Known before: no defect, no warning, nothing that called for an inspection.",
        ),
    ] {
        let said = told(&[row("cable-diameter", Coverage::CanDetect, text)]);
        assert_eq!(said[0], "The drive cable of CU-2 failed: broken.");
        assert!(
            said[1]
                .starts_with("`cable-diameter` of CU-2 could have detected it (by the list alone"),
            "{}",
            said[1]
        );
        assert_eq!(said[2], third, "{text}");
        assert_eq!(said[3], fourth, "{text}");
    }
}

#[test]
fn the_item_whose_record_tells_most_leads_and_one_that_could_not_show_it_never_does() {
    let passed = "look 1 2026-04-01 quarterly good\nlook 2 2026-05-19T07:00 daily good";
    let beyond = "look 1 2026-04-01 quarterly good 5.7_mm";
    for (coverage, second) in [
        (
            Coverage::CanDetect,
            "`cable-diameter` of CU-2 could have detected it (by the list alone, the RSO has not \
             concluded it), and one other item.",
        ),
        (
            Coverage::NotEstablished,
            "`crank` of CU-2 could have detected it (by the list alone, the RSO has not concluded \
             it).",
        ),
        (
            Coverage::CannotDetect,
            "`crank` of CU-2 could have detected it (by the list alone, the RSO has not concluded \
             it).",
        ),
    ] {
        let rows = [
            row("crank", Coverage::CanDetect, passed),
            row("cable-diameter", coverage, beyond),
        ];
        assert_eq!(told(&rows)[1], second);
    }
    let open = [row("crank", Coverage::NotEstablished, passed)];
    assert!(told(&open)[1].contains("not established"));
    let arose = [row("crank", Coverage::AroseAfter, passed)];
    assert!(told(&arose)[1].contains("arose after the last inspection"));
    let cannot = [row("crank", Coverage::CannotDetect, passed)];
    assert_eq!(told(&cannot)[1], "No item could have detected it.");
}

#[test]
fn with_a_human_cause_the_finding_is_about_barriers() {
    let fact = HumanFact {
        human: crate::record::HumanCause::SurveyNotMade,
        because: "the meter lay in the truck".to_owned(),
        entry: 12,
    };
    let lines = barriers(&[], &[fact], |_| None);
    let none = Covered {
        coverage: Coverage::NoItem,
        source: Source::Concluded {
            by: "W01".to_owned(),
            on: day("2026-05-21"),
            because: "no list has it".to_owned(),
            entry: 20,
        },
    };
    let mut told = Told {
        failed: vec!["survey not made".to_owned()],
        is_human: true,
        rows: Vec::new(),
        no_item: None,
        barriers: &lines,
        beside: &[],
        out_of_service: &[],
        testimonies: 1,
    };
    assert_eq!(
        finding(&told),
        [
            "Survey not made.",
            "No item covers this; survey and alarm ratemeter could have detected it.",
            "Survey absent (entry 12).",
            "Known before: the account goes beyond what the record shows.",
        ]
    );
    told.no_item = Some(&none);
    let said = finding(&told);
    assert_eq!(
        said[1],
        "No item covers this (W01 concluded on 2026-05-21)."
    );
}
