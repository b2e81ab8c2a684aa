//! Of which days of an account there is a record, and why of others there is none.

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::calendar::{Day, Span};
use crate::dose::account::Account;
use crate::dose::input::{History, Monitored};
use crate::ledger::Snapshot;

/// Why days are not covered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum NotCovered {
    /// Monitoring had not begun.
    BeforeMonitoring,
    /// Monitoring had ended, and had not begun again.
    NotMonitored,
    /// The ledger's first sheet is later.
    BeforeLedger,
}

/// Days of which there is no record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Gap {
    /// First day.
    pub first: Day,
    /// Last day.
    pub last: Day,
    /// Why.
    pub why: NotCovered,
}

/// The days of a span with a record and those without.
pub(crate) struct Coverage {
    /// Days with one.
    pub covered: Vec<Span>,
    /// Days without one.
    pub gaps: Vec<Gap>,
}

/// Which days of an account's span are covered: those of its contributions and of own badges, and
/// those on which the person was monitored and the ledger had begun.
pub(crate) fn coverage(
    snapshot: &Snapshot<'_>,
    history: &History,
    account: &Account,
) -> Result<Coverage, AnswerError> {
    let begun = snapshot.oldest_sheet()?;
    let facts = &history.facts;
    let told: Vec<Span> = account
        .contributions
        .iter()
        .map(|it| Span {
            first: it.first,
            last: it.last,
        })
        .chain(
            facts
                .dosimetry
                .wear
                .iter()
                .filter(|it| it.is_own())
                .map(|it| facts.dosimetry.worn_days(it)),
        )
        .collect();
    let from = facts.monitored.iter().map(|it| it.from).min();
    let why = |day: Day| {
        let monitored = |it: &Monitored| it.days().contains(day);
        if told.iter().any(|it| it.contains(day)) {
            None
        } else if from.is_none_or(|from| day < from) {
            Some(NotCovered::BeforeMonitoring)
        } else if !facts.monitored.iter().any(monitored) {
            Some(NotCovered::NotMonitored)
        } else if begun.is_none_or(|begun| day < begun) {
            Some(NotCovered::BeforeLedger)
        } else {
            None
        }
    };
    Ok(runs(account.span, why))
}

/// Neighbouring days of one kind together.
fn runs(span: Span, why: impl Fn(Day) -> Option<NotCovered>) -> Coverage {
    let mut found = Coverage {
        covered: Vec::new(),
        gaps: Vec::new(),
    };
    let mut first = span.first;
    while first <= span.last {
        let kind = why(first);
        let after = |day: Day| day.succ_opt().filter(|next| *next <= span.last);
        let mut last = first;
        while let Some(next) = after(last).filter(|next| why(*next) == kind) {
            last = next;
        }
        match kind {
            None => found.covered.push(Span { first, last }),
            Some(why) => found.gaps.push(Gap { first, last, why }),
        }
        match after(last) {
            Some(next) => first = next,
            None => break,
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calendar::parse_day;

    #[test]
    fn covered_days_and_gaps_make_up_the_span() {
        let day = |text: &str| parse_day(text).unwrap();
        let (begun, ended) = (day("2025-03-01"), day("2025-10-31"));
        let span = Span {
            first: day("2025-01-01"),
            last: day("2025-12-31"),
        };
        let found = runs(span, |day| match day {
            day if day < begun => Some(NotCovered::BeforeLedger),
            day if day > ended => Some(NotCovered::NotMonitored),
            _ => None,
        });
        assert_eq!(
            found.covered,
            [Span {
                first: begun,
                last: ended
            }]
        );
        let gaps: Vec<(String, String, NotCovered)> = found
            .gaps
            .iter()
            .map(|it| (it.first.to_string(), it.last.to_string(), it.why))
            .collect();
        let gap = |first: &str, last: &str, why| (first.to_owned(), last.to_owned(), why);
        assert_eq!(
            gaps,
            [
                gap("2025-01-01", "2025-02-28", NotCovered::BeforeLedger),
                gap("2025-11-01", "2025-12-31", NotCovered::NotMonitored)
            ]
        );
        let whole = runs(span, |_| None);
        assert_eq!(
            (whole.covered.as_slice(), whole.gaps.len()),
            (&[span][..], 0)
        );
    }
}
