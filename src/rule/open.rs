//! What a rule set leaves open that whoever adopts it should look up: whom to call, which citations
//! have no number of the authority's own, which values are still those that it started from.

use std::collections::BTreeSet;

use super::authority::{Authority, sections, whole_of};
use super::offer;
use super::rule_set::RuleSet;
use super::word::Status;

/// One thing that is open, and what follows from it.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct LeftOpen {
    /// What.
    pub what: String,
    /// Which keys or sections; none: the file as a whole.
    pub which: Vec<String>,
}

fn open(what: impl Into<String>, which: impl IntoIterator<Item = String>) -> LeftOpen {
    LeftOpen {
        what: what.into(),
        which: which.into_iter().collect(),
    }
}

/// What a rule set leaves open.
pub fn left_open(rule_set: &RuleSet) -> Vec<LeftOpen> {
    let mut found = Vec::new();
    let Some(jurisdiction) = rule_set.jurisdiction() else {
        if !rule_set.authorities().is_empty() {
            let what = "whose licensees it is for: `jurisdiction` is missing, and each ledger says \
                        it itself";
            found.push(open(what, []));
        }
        found.extend(not_confirmed(rule_set));
        return found;
    };
    let named = rule_set.authorities().iter();
    let is_named = named.clone().any(|it| it.is_of(jurisdiction));
    match rule_set.authority(jurisdiction).filter(|_| is_named) {
        None => found.push(open(
            format!(
                "whom to call and which numbers hold: no `[[authority]]` has the jurisdiction \
                 `{jurisdiction}`"
            ),
            [],
        )),
        Some(authority) => of_authority(rule_set, &authority, &mut found),
    }
    found.extend(not_confirmed(rule_set));
    found
}

fn of_authority(rule_set: &RuleSet, authority: &Authority, found: &mut Vec<LeftOpen>) {
    if authority.telephone.is_none() {
        let what = "where to call: `telephone` is missing, and calls print the name alone";
        found.push(open(what, []));
    }
    if authority.reciprocity.is_none() {
        let what = "for how long others may work there, and what they file before";
        found.push(open(what, []));
    }
    if !authority.equivalent {
        return;
    }
    let root = rule_set.root();
    let cited = || {
        citations(rule_set).into_iter().flat_map(|it| {
            let parts = sections(&it).into_iter();
            let parts = parts.filter_map(|(_, it)| whole_of(root, it));
            parts.collect::<Vec<_>>()
        })
    };
    let unmapped =
        cited().filter(|it| authority.cite(root, it).starts_with("state equivalent of "));
    let unmapped: BTreeSet<String> = unmapped.map(|it| section_of(root, &it)).collect();
    if !unmapped.is_empty() {
        let what = format!(
            "numbers of its own: these print as `state equivalent of {root} ...` until \
             `citations` has them"
        );
        found.push(open(what, unmapped));
    }
    let bound = cited().filter(|it| authority.binding(it).is_some());
    let bound: BTreeSet<String> = bound.map(|it| section_of(root, &it)).collect();
    if !bound.is_empty() {
        let what = format!(
            "whether these bind its licensees: they are cited as they are in {root}, and reported \
             to whom they name"
        );
        found.push(open(what, bound));
    }
    let duties = rule_set.notifications().iter();
    let without = duties.filter(|it| authority.borrows_time(root, it));
    let without: Vec<String> = without.map(|it| it.key.clone()).collect();
    if !without.is_empty() {
        let what = format!("times to tell: those of {root} are taken for these, and said to be");
        found.push(open(what, without));
    }
    let held = rule_set.under(authority.jurisdictions.first().map_or("", String::as_str));
    let held = held.as_ref().unwrap_or(rule_set);
    if held.tolerance("annual-report").is_none() {
        let what = "whether it wants an annual report, and by which day: the review says to ask";
        found.push(open(what, []));
    }
    if held.rule("worker-report").is_none() {
        let what = "the sentence of a report to a worker: a plain one is printed";
        found.push(open(what, []));
    }
    // What a site of its own license leaves as it is holds for it.
    if let Some(base) = rule_set.based_on.as_deref().and_then(offer::offer)
        && let Ok(base) = RuleSet::parse(base.text)
    {
        found.extend(unchanged(&base, rule_set));
    }
}

/// `10 CFR 34.25` of `10 CFR 34.25(b)(1)`.
fn section_of(root: &str, citation: &str) -> String {
    let rest = citation.strip_prefix(root).unwrap_or(citation).trim_start();
    let ends = |it: char| !(it.is_ascii_digit() || it == '.');
    let section = rest.split(ends).next().unwrap_or(rest);
    match section.is_empty() {
        true => citation.to_owned(),
        false => section.to_owned(),
    }
}

/// Every citation of the root's own text.
fn citations(rule_set: &RuleSet) -> Vec<String> {
    let root = rule_set.root();
    let all = every_citation(rule_set).into_iter();
    all.filter(|it| it.starts_with(root)).cloned().collect()
}

/// Every citation.
pub(super) fn every_citation(rule_set: &RuleSet) -> Vec<&String> {
    let all = rule_set
        .levels
        .iter()
        .map(|it| &it.citation)
        .chain(rule_set.pregnancy.iter().map(|it| &it.citation))
        .chain(rule_set.form.iter().map(|it| &it.citation))
        .chain(rule_set.bands.iter().map(|it| &it.citation))
        .chain(rule_set.intervals.iter().map(|it| &it.citation))
        .chain(rule_set.tolerances.iter().map(|it| &it.citation))
        .chain(rule_set.rules.iter().map(|it| &it.citation))
        .chain(rule_set.notifications.iter().map(|it| &it.citation))
        .chain(rule_set.categories.iter().map(|it| &it.citation))
        .chain(rule_set.retention.iter().map(|it| &it.citation));
    all.collect()
}

/// What is still as in the rule set that it started from.
fn unchanged(base: &RuleSet, rule_set: &RuleSet) -> Vec<LeftOpen> {
    let same = |what: &str, keys: Vec<String>| {
        let what = format!(
            "{what} as in `{}`: look whether they are other ones",
            base.key
        );
        (!keys.is_empty()).then(|| open(what, keys))
    };
    let intervals = rule_set
        .intervals
        .iter()
        .filter(|it| base.interval(&it.key) == Some(it));
    let tolerances = rule_set
        .tolerances
        .iter()
        .filter(|it| base.tolerance(&it.key) == Some(it));
    let kept = rule_set
        .retention
        .iter()
        .filter(|it| base.retention.contains(it));
    let levels = rule_set
        .levels
        .iter()
        .filter(|it| base.level(&it.key) == Some(it));
    [
        same("levels", levels.map(|it| it.key.clone()).collect()),
        same("intervals", intervals.map(|it| it.key.clone()).collect()),
        same("tolerances", tolerances.map(|it| it.key.clone()).collect()),
        same(
            "times to keep records",
            kept.map(|it| it.key.clone()).collect(),
        ),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// What nobody read in the published text.
fn not_confirmed(rule_set: &RuleSet) -> Option<LeftOpen> {
    let open_ones = |status: Status| status == Status::ToBeConfirmed;
    let mut keys: BTreeSet<String> = BTreeSet::new();
    keys.extend(
        rule_set
            .levels
            .iter()
            .filter(|it| open_ones(it.status))
            .map(|it| it.key.clone()),
    );
    let intervals = rule_set.intervals.iter().filter(|it| open_ones(it.status));
    keys.extend(intervals.map(|it| it.key.clone()));
    let tolerances = rule_set.tolerances.iter().filter(|it| open_ones(it.status));
    keys.extend(tolerances.map(|it| it.key.clone()));
    keys.extend(
        rule_set
            .rules
            .iter()
            .filter(|it| open_ones(it.status))
            .map(|it| it.key.clone()),
    );
    keys.extend(
        rule_set
            .notifications
            .iter()
            .filter(|it| open_ones(it.status))
            .map(|it| it.key.clone()),
    );
    let kept = rule_set.retention.iter().filter(|it| open_ones(it.status));
    keys.extend(kept.map(|it| it.key.clone()));
    let what = "to be confirmed in the published text";
    (!keys.is_empty()).then(|| open(what, keys))
}
