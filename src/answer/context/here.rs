//! What of somebody's records is dose received with this licensee. A statement and a collective
//! dose are of this licensee; what other employers reported counts against limits and belongs to
//! the record of earlier dose.

use super::load::House;
use crate::calendar::Span;
use crate::dose::input::{History, Issuer, Scope, WorkerFacts};
use crate::dose::prior::prior_span;
use crate::quantity::DoseUnit;
use crate::rule::Quantity;

/// Whose badge measured dose that was received elsewhere.
const ELSEWHERE: Issuer = Issuer::Other {
    same_dose: Some(false),
};

/// What stands in the place of a figure where the ledger holds nothing, which is not zero.
pub(crate) const NO_RECORD: &str = "no record";

/// Takes out of a history what was received elsewhere: what other employers reported, and their
/// badges that measured another dose than ours. One that measured the same dose, or of which
/// nobody said, stays: it may tell more of the dose here.
pub(crate) fn keep_here(house: &House, history: &mut History) {
    let here = plain(&house.names.charter.licensee);
    let facts = &mut history.facts;
    facts.prior.retain(|it| plain(&it.employer) == here);
    let dosimetry = &mut facts.dosimetry;
    let of_others: Vec<i64> = dosimetry
        .wear
        .iter()
        .filter(|it| it.issuer == ELSEWHERE)
        .map(|it| it.record)
        .collect();
    if of_others.is_empty() {
        return;
    }
    let is_theirs = |wear: i64| of_others.contains(&wear);
    dosimetry.wear.retain(|it| !is_theirs(it.record));
    dosimetry
        .results
        .retain(|it| !it.wear.is_some_and(is_theirs));
    dosimetry
        .determinations
        .retain(|it| !matches!(it.scope, Scope::WearPeriod(wear) if is_theirs(wear)));
}

/// Whether dose of the span that was received elsewhere is on record: reported by another employer,
/// or on a badge of theirs that measured another dose than ours.
pub(crate) fn is_elsewhere(house: &House, history: &History, span: Span) -> bool {
    let here = plain(&house.names.charter.licensee);
    let reported = history.facts.prior.iter().any(|it| {
        let (first, last) = (it.first, it.last);
        plain(&it.employer) != here && span.overlaps(&Span { first, last })
    });
    let mut badges = history.facts.dosimetry.wear.iter();
    reported || badges.any(|it| it.issuer == ELSEWHERE && span.overlaps(&it.days()))
}

/// Whether a badge or a report of one touches the span, be anything known of its dose or not.
pub(crate) fn has_badge(history: &History, span: Span) -> bool {
    let dosimetry = &history.facts.dosimetry;
    let mut badges = dosimetry.wear.iter();
    let mut spares = dosimetry.results.iter().filter(|it| it.wear.is_none());
    badges.any(|it| span.overlaps(&dosimetry.worn_days(it)))
        || spares.any(|it| span.overlaps(&it.stated_days))
}

/// A name as it is compared: capitals and spaces are not looked at.
pub(crate) fn plain(name: &str) -> String {
    let words: Vec<&str> = name.split_whitespace().collect();
    words.join(" ").to_lowercase()
}

/// Totals of this licensee from before the ledger that touch a span, in words: they are there
/// whole, and no finer than they are.
pub(crate) fn opening_words(facts: &WorkerFacts, span: Span, unit: DoseUnit) -> Vec<String> {
    let words = facts.prior.iter().filter_map(|it| {
        let basis = it.opening.as_ref()?;
        let whole = prior_span(it);
        let common = span.common(&whole)?;
        let deep = it
            .deep
            .map_or("not stated".to_owned(), |it| it.display(unit));
        let part = match common == whole {
            true => String::new(),
            false => {
                "; here a share of it by days, an estimate, and all of it in the conservative total"
                    .to_owned()
            }
        };
        Some(format!(
            "opening total of {} to {}, {} {deep}, from before this ledger: {basis} (entry \
             {}){part}",
            whole.first,
            whole.last,
            facts.terms.short(Quantity::Deep),
            it.entry
        ))
    });
    words.collect()
}

/// Whether such a total lies in a span: a part of one is no record of the span.
pub(crate) fn has_opening(house: &House, span: Span) -> bool {
    let mut all = house.workers().into_iter().flat_map(|it| &it.prior);
    all.any(|it| it.opening.is_some() && span.common(&prior_span(it)) == Some(prior_span(it)))
}

/// How many such totals of everybody touch a span.
pub(crate) fn opening_count(house: &House, span: Span) -> usize {
    let all = house.workers().into_iter().flat_map(|it| &it.prior);
    all.filter(|it| it.opening.is_some() && prior_span(it).overlaps(&span))
        .count()
}

/// Whether two names are the same.
pub fn same_name(one: &str, other: &str) -> bool {
    plain(one) == plain(other)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_the_same_whatever_its_capitals_and_spaces() {
        assert_eq!(
            plain(" Tallgrass  Radiography\n"),
            plain("tallgrass radiography")
        );
        assert_ne!(plain("Tallgrass Radiography"), plain("Tallgrass"));
    }
}
