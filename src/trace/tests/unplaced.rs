//! What is written by a clock that cannot be trusted.

use super::verdicts::ruled;
use crate::trace::record::RecordWord::{self, *};
use crate::trace::verdict::Mark;

/// Of what is written by a clock that cannot be trusted: the word, what it would be if that had
/// been before the event, and how the inspection is marked.
#[test]
fn what_nobody_can_place_counts_neither_for_nor_against_and_is_told() {
    type Row = (&'static str, RecordWord, Option<RecordWord>, Mark);
    let rows: &[Row] = &[
        // It would have helped: not counted for.
        (
            "perhaps 1 2026-04-01 quarterly measured 5.9_mm",
            OrderUnknown,
            Some(Passed),
            Mark::OrderUnknown,
        ),
        // It would have harmed: not counted against.
        (
            "look 1 2026-04-01 quarterly measured 5.9_mm\n\
             perhaps 2 2026-05-02 quarterly defect 5.7_mm",
            Passed,
            Some(KnownDefectUsed),
            Mark::OrderUnknown,
        ),
        // A version that nobody can place: the one that was surely known counts.
        (
            "look 1 2026-04-01 quarterly measured 5.9_mm\n\
             perhaps 1 2026-04-01 quarterly measured 5.7_mm",
            Passed,
            Some(PassedBeyondLimit),
            Mark::ChangeUnplaced,
        ),
        // An inspection of the day after is after the event, whoever wrote it when.
        (
            "look 1 2026-04-01 quarterly measured 5.9_mm\n\
             perhaps 2 2026-05-20 quarterly measured 5.9_mm",
            Passed,
            None,
            Mark::After,
        ),
    ];
    for (text, word, as_if_before, mark) in rows {
        let found = ruled("cable-diameter", "2026-05-18/20 2026-05-19/6", text);
        assert_eq!(found.record.word, *word, "{text}\n{:?}", found.record);
        let perhaps = found.as_if_before.as_ref().map(|it| it.word);
        assert_eq!(perhaps, *as_if_before, "{text}");
        assert!(
            found.seen.iter().any(|it| it.mark == *mark),
            "{text}\n{:?}",
            found.seen
        );
    }
    let found = ruled("cable-diameter", "", rows[0].0);
    let because = &found.record.because;
    let said = "order unknown: the clock of entry 100 cannot be trusted";
    assert!(because.contains(said), "{because}");
}
