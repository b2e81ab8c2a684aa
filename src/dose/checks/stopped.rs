//! Work after a dose without an upper bound, before anybody determined it.

use crate::calendar::Span;
use crate::dose::account::Account;
use crate::dose::checks::start_read_text;
use crate::dose::input::History;
use crate::dose::resolve::is_read_on_demand;
use crate::quantity::Overflow;
use crate::record::Words;
use crate::rule::{CheckKey, Finding, Quantity, RuleSet, Severity};

/// Every later shift of somebody whose dosimeter was off-scale, as long as the
/// account has no figure for that shift.
///
/// # Errors
/// [`Overflow`] when a sum does not fit.
pub fn work_while_undetermined(
    history: &History,
    span: Span,
    rule_set: &RuleSet,
) -> Result<Vec<Finding>, Overflow> {
    let off_scale = history.shifts.iter().filter(|shift| {
        shift
            .readings
            .iter()
            .any(|it| it.off_scale && !it.is_ruled_out())
    });
    if off_scale.clone().next().is_none() {
        return Ok(Vec::new());
    }
    let account = Account::of(history, span)?;
    let open: Vec<_> = off_scale
        .filter(|shift| {
            account
                .contributions
                .iter()
                .any(|it| it.entry == shift.entry && it.doses.get(Quantity::Deep).is_undetermined())
        })
        .collect();
    let Some(first) = open.iter().min_by_key(|shift| (shift.day, shift.shift)) else {
        return Ok(Vec::new());
    };
    let mut rule = rule_set.text_of(CheckKey::OffScale);
    if is_read_on_demand(&history.facts.dosimetry, first) {
        rule = start_read_text(rule_set, rule);
    }
    let facts = &history.facts;
    let later = history.shifts.iter().filter(|shift| {
        (shift.day, shift.shift) > (first.day, first.shift)
            && !open.iter().any(|it| it.entry == shift.entry)
    });
    Ok(later
        .map(|shift| {
            Finding::new(
                Severity::Stop,
                &rule,
                facts.id.clone(),
                format!(
                    "{} {} worked on {} {} although the off-scale dose of {} is not determined",
                    facts.id,
                    facts.name,
                    shift.day,
                    shift.shift.word(),
                    first.day
                ),
                vec![first.entry, shift.entry],
            )
        })
        .collect())
}
