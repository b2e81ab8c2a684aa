//! The items of a statement: each quantity with its code, its figure and what kind of figure that
//! is.

use serde::Serialize;

use crate::dose::account::Account;
use crate::dose::total::{Extent, Total};
use crate::quantity::{Dose, DoseUnit};
use crate::rule::{Quantity, RuleSet, Terms};

/// What kind of figure an item has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum ItemStanding {
    /// Final.
    #[serde(rename = "record")]
    Record,
    /// Provisional, or only a lower bound: it will be replaced.
    #[serde(rename = "estimate")]
    Estimate,
    /// The ledger holds nothing of the person in these days, which is not zero.
    #[serde(rename = "no record")]
    NoRecord,
    /// Nobody measured it although something asks for it.
    #[serde(rename = "not assessed")]
    NotAssessed,
    /// Nobody measured it and nothing is open about it.
    #[serde(rename = "not monitored")]
    NotMonitored,
}

/// One quantity of a statement.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StatementItem {
    /// The short name that the rule uses, such as DDE.
    pub code: String,
    /// Which quantity it shows.
    #[serde(skip)]
    pub quantity: Quantity,
    /// What it is.
    pub label: String,
    /// The known part, nanosievert; nothing where it was not assessed.
    pub nsv: Option<i64>,
    /// With its units, rem first and SI in parentheses where the rule set wants it.
    pub shown: String,
    /// What kind of figure that is.
    pub standing: ItemStanding,
    /// Whether the dose has no upper bound: part of it nobody knows.
    #[serde(skip)]
    pub open: bool,
}

/// The key of the level above which, and of the rule under which, a worker gets a report.
pub(crate) const REPORT: &str = "worker-report";

/// Whether a report goes to the worker unasked, and why. A dose without an upper bound may be
/// above whatever it is held against.
pub(crate) fn must_be_given<'a>(
    rule_set: &RuleSet,
    items: impl IntoIterator<Item = &'a StatementItem>,
) -> Option<String> {
    let rule = rule_set.tolerance(REPORT)?;
    let most = rule.dose()?;
    let most_shown = match rule_set.si_in_parentheses {
        true => most.display_with_si_in(rule_set.unit),
        false => rule_set.print(most),
    };
    let passed = |it: &&&StatementItem| it.nsv.is_some_and(|nsv| nsv > most.nsv());
    let items: Vec<&StatementItem> = items.into_iter().collect();
    let cited = rule.cited();
    if let Some(above) = items.iter().find(passed) {
        return Some(format!("{} is above {most_shown} ({cited})", above.code));
    }
    let open = items.iter().find(|it| it.open)?;
    Some(format!(
        "{} may be above {most_shown}: part of it is not known, taken as above until it is \
         determined ({cited})",
        open.code
    ))
}

/// The short name of a quantity in a statement: that of the rule set's form, else the word that
/// laws without one have for what a dosimeter shows.
pub(crate) fn code_of(rule_set: &RuleSet, quantity: Quantity) -> &'static str {
    match (rule_set.form.is_some(), quantity) {
        (true, Quantity::Deep) => "DDE",
        (true, Quantity::Lens) => "LDE",
        (true, Quantity::Shallow) => "SDE-WB",
        (true, Quantity::Extremity) => "SDE-ME",
        (false, quantity) => Terms::Personal.short(quantity),
    }
}

/// Each item: its code, what it is, the quantity that it shows.
pub(crate) fn lines(rule_set: &RuleSet) -> Vec<(&'static str, &'static str, Quantity)> {
    let line = |label, quantity| (code_of(rule_set, quantity), label, quantity);
    if rule_set.form.is_none() {
        return vec![
            line(
                "effective dose, by the personal dose equivalent of the trunk",
                Quantity::Deep,
            ),
            line("equivalent dose, lens of the eye", Quantity::Lens),
            line("equivalent dose, skin of the trunk", Quantity::Shallow),
            line(
                "equivalent dose, most exposed extremity",
                Quantity::Extremity,
            ),
        ];
    }
    vec![
        line("deep dose equivalent, whole body", Quantity::Deep),
        line("lens dose equivalent", Quantity::Lens),
        line(
            "shallow dose equivalent, skin of the whole body",
            Quantity::Shallow,
        ),
        line(
            "shallow dose equivalent, maximally exposed extremity",
            Quantity::Extremity,
        ),
        (
            "TEDE",
            "total effective dose equivalent (external only: the DDE)",
            Quantity::Deep,
        ),
    ]
}

/// What stands in the place of a dose that nobody measured.
pub(crate) const NOT_ASSESSED: &str = "not assessed";

/// A dose as statements print it.
pub(crate) fn print(si_in_parentheses: bool, dose: Dose) -> String {
    match si_in_parentheses {
        true => dose.display_with_si_in(DoseUnit::Rem),
        false => dose.display(DoseUnit::MilliSievert),
    }
}

/// The figure of a total and what kind of figure that is.
pub(crate) fn item(
    rule_set: &RuleSet,
    (code, label, quantity): (&str, &str, Quantity),
    total: &Total,
) -> StatementItem {
    let print = |dose: Dose| print(rule_set.si_in_parentheses, dose);
    let (nsv, shown, sure) = match total.extent() {
        Extent::NotAssessed => (None, NOT_ASSESSED.to_owned(), true),
        Extent::Whole(dose) => (Some(dose.nsv()), print(dose), true),
        Extent::AtLeast(dose) => (Some(dose.nsv()), format!("at least {}", print(dose)), false),
    };
    let provisional = total.provisional > Dose::ZERO || total.apportioned > Dose::ZERO;
    let standing = match nsv {
        None => ItemStanding::NotAssessed,
        Some(_) if !sure || provisional => ItemStanding::Estimate,
        Some(_) => ItemStanding::Record,
    };
    StatementItem {
        code: code.to_owned(),
        quantity,
        label: label.to_owned(),
        nsv,
        shown,
        standing,
        open: !sure,
    }
}

/// The doses of planned special exposures; none where there were none.
pub(crate) fn special(rule_set: &RuleSet, account: &Account) -> Vec<StatementItem> {
    let all: Vec<StatementItem> = lines(rule_set)
        .into_iter()
        .map(|line| item(rule_set, line, account.special.get(line.2)))
        .collect();
    let counts = |it: &StatementItem| {
        it.nsv.is_some_and(|nsv| nsv > 0) || it.standing == ItemStanding::Estimate
    };
    match all.iter().any(counts) {
        true => all,
        false => Vec::new(),
    }
}
