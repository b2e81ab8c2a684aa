//! The dose of the embryo or fetus of a declared pregnancy, which is kept with the records of the
//! woman, on a page of its own.

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::view::cited;
use crate::calendar::{Day, Span};
use crate::dose::index::DoseIndex;
use crate::dose::input::History;
use crate::dose::total::{Extent, Total};
use crate::quantity::Dose;
use crate::rule::{Quantity, RuleSet};

/// The rule that has it kept.
const RULE: &str = "embryo-record";

/// The dose of one pregnancy up to a day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct EmbryoDose {
    /// The estimated day of conception, where it is on record.
    pub conception_on: Option<Day>,
    /// From when the dose counts.
    pub counts_from: Day,
    /// The day of the written notice.
    pub notice_on: Day,
    /// The last day of the declaration; nothing while it holds.
    pub ended_on: Option<Day>,
    /// Up to which day the dose is summed.
    pub through: Day,
    /// From conception to the eve of the notice, nanosievert, as levels use it.
    pub before_nsv: i64,
    /// From the notice on.
    pub since_nsv: i64,
    /// The entire pregnancy.
    pub whole_nsv: i64,
    /// Whether that is only a lower bound.
    pub at_least: bool,
    /// The rule that has it kept with the woman's records.
    pub rule: String,
}

/// The doses of the pregnancies that touch a span; none under a rule set without that rule.
pub(crate) fn embryos(
    rule_set: &RuleSet,
    history: &History,
    span: Span,
) -> Result<Vec<EmbryoDose>, AnswerError> {
    let Some(rule) = cited(rule_set, RULE) else {
        return Ok(Vec::new());
    };
    let index = DoseIndex::build(history)?;
    let mut found = Vec::new();
    for it in &history.facts.pregnancies {
        let ends = it.ended_on.unwrap_or(Span::OPEN_END);
        let whole = Span {
            first: it.counts_from(),
            last: ends.min(span.last),
        };
        if it.notice_on > span.last || ends < span.first || whole.last < whole.first {
            continue;
        }
        let dose = |part: Span| -> Result<Total, AnswerError> {
            match part.last < part.first {
                true => Ok(Total::empty(Quantity::Deep)),
                false => Ok(index.safe(part, Quantity::Deep)?),
            }
        };
        let before = dose(Span {
            first: whole.first,
            last: it.notice_on.pred_opt().unwrap_or(whole.first),
        })?;
        let since = dose(Span {
            first: it.notice_on.max(whole.first),
            last: whole.last,
        })?;
        let all = dose(whole)?;
        // Not sure where any part of it is not: what has no figure is not zero.
        let at_least = [&before, &since, &all]
            .iter()
            .any(|it| !matches!(it.extent(), Extent::Whole(_)));
        let nsv = |total: &Total| Dose::nsv(total.known());
        found.push(EmbryoDose {
            conception_on: it.conception_on,
            counts_from: whole.first,
            notice_on: it.notice_on,
            ended_on: it.ended_on,
            through: whole.last,
            before_nsv: nsv(&before),
            since_nsv: nsv(&since),
            whole_nsv: nsv(&all),
            at_least,
            rule: rule.clone(),
        });
    }
    Ok(found)
}
