//! Results of badges that nobody was issued: a dose that somebody received and
//! that stands in nobody's account until somebody says whose it is.

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::calendar::Day;
use crate::record::{Body, Words};

/// One result that is unassigned.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NobodysLine {
    /// The badge's number as the report has it.
    pub badge: String,
    /// The report.
    pub report: String,
    /// Its date.
    pub reported_on: Day,
    /// The doses as the report has them.
    pub doses: String,
    /// The entry.
    pub entry: i64,
    /// The same in one line.
    pub words: String,
}

/// Every result that are unassigned, whatever its day: a report does not
/// say when the badge was worn.
pub(crate) fn nobodys(house: &OpenHouse<'_>) -> Result<Vec<NobodysLine>, AnswerError> {
    let (unit, terms) = (house.unit(), house.terms());
    let mut lines = Vec::new();
    for entry in house.snapshot.results_of_nobody()? {
        let Some(Body::BadgeResult(it)) = house.snapshot.body(entry)? else {
            continue;
        };
        let badge = it.badge.written().unwrap_or_default().to_owned();
        let values = it.values();
        let doses: Vec<String> = values
            .iter()
            .filter_map(|(quantity, value)| Some((quantity, (*value)?)))
            .map(|(quantity, value)| {
                let name = terms.short_of(quantity.word());
                match value.below {
                    true => format!("{name} {}", value.written),
                    false => format!("{name} {}", value.nsv.display(unit)),
                }
            })
            .collect();
        let doses = doses.join(", ");
        lines.push(NobodysLine {
            words: format!(
                "badge {badge}, report {} of {}: {doses} (entry {entry})",
                it.report, it.reported_on
            ),
            badge,
            report: it.report.clone(),
            reported_on: it.reported_on,
            doses,
            entry,
        });
    }
    Ok(lines)
}
