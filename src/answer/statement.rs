//! A worker's year on one page: the record of doses (10 CFR 20.2106) and the
//! report to the worker (10 CFR 19.13).

use serde::Serialize;

use super::account::cited;
use super::conflict::conflict_lines;
use super::error::AnswerError;
use super::extremity::not_monitored;
use super::load::House;
use crate::calendar::{Day, Span};
use crate::dose::account::Account;
use crate::dose::safe_side::SafeSide;
use crate::dose::total::{Extent, Total};
use crate::ledger::Snapshot;
use crate::quantity::{Dose, DoseUnit};
use crate::record::RecordId;
use crate::rule::{Quantity, Scheme, Tolerance};

/// One quantity of a statement.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StatementItem {
    /// The short name that the rule uses: DDE, LDE, SDE-WB, SDE-ME, TEDE.
    pub code: String,
    /// What it is.
    pub label: String,
    /// The known part, nanosievert; nothing where it was not assessed.
    pub nsv: Option<i64>,
    /// With its units, rem first and SI in parentheses where the scheme wants it.
    pub shown: String,
    /// `record`, `estimate`, `not assessed` or `not monitored`.
    pub standing: String,
}

/// A worker's statement of a year.
#[derive(Debug, Clone, Serialize)]
pub struct StatementAnswer {
    /// The worker's id.
    pub worker: String,
    /// Full name.
    pub name: String,
    /// Date of birth, for the person's own report.
    pub birth_date: Option<Day>,
    /// Who monitored.
    pub licensee: String,
    /// Under which licence.
    pub licence: String,
    /// Where the office is.
    pub site: String,
    /// The licensee's year.
    pub year: i32,
    /// The monitored part of it.
    pub periods: Vec<Span>,
    /// The doses.
    pub items: Vec<StatementItem>,
    /// Doses of planned special exposures, which count apart.
    pub special: Vec<StatementItem>,
    /// The rule under which they count apart, where the scheme has one.
    pub special_rule: Option<String>,
    /// What it means that the extremity was not monitored, where nothing of it is open.
    pub not_monitored: Option<String>,
    /// Whether any figure is an estimate.
    pub estimate: bool,
    /// Why.
    pub why_estimate: Vec<String>,
    /// Whether the report must be given without being asked for, and why.
    pub must_be_given: Option<String>,
    /// The rule that has it given on request, where the scheme has one.
    pub on_request: Option<String>,
    /// The rule about whoever leaves before all results are in, where the scheme has one.
    pub leaving_rule: Option<String>,
    /// The rule under which it is given, as the rule wants it said (10 CFR
    /// 19.13(a)); nothing under a scheme that has no such words.
    pub under: String,
    /// The day on which it was made.
    pub made_on: Day,
    /// Whether the person's monitoring ended in the year.
    pub leaves: bool,
    /// Up to which day, where the year is not over.
    pub so_far: Option<Day>,
    /// How many entries the ledger had.
    pub entries: i64,
    /// The hash of the last of them.
    pub head: String,
    /// The scheme's caution.
    pub confirm: String,
}

impl StatementAnswer {
    /// Whether the report must be given and why, else on what it is given.
    pub fn to_be_given(&self) -> String {
        match (&self.must_be_given, &self.on_request) {
            (Some(why), _) => why.clone(),
            (None, Some(_)) => "on request".to_owned(),
            (None, None) => "as your own law says".to_owned(),
        }
    }
}

/// A worker's statement of a licensee year.
pub fn statement(
    snapshot: &Snapshot<'_>,
    house: &House,
    worker: RecordId,
    year: i32,
    today: Day,
) -> Result<StatementAnswer, AnswerError> {
    let scheme = house.scheme_on(today)?;
    let whole = scheme.year_start.year(year);
    let span = Span {
        first: whole.first,
        last: whole.last.min(today.max(whole.first)),
    };
    let facts = house.facts(worker)?;
    let wide = house.span_needed(scheme, facts, span, span.last);
    let mut history = house.history(snapshot, worker, wide)?;
    // The statement is of what this licensee monitored.
    history.facts.prior.clear();
    let account = Account::of(&history, span)?;
    let conflicts = conflict_lines(house, &account.conflicts, span);
    let mut why_estimate: Vec<String> = conflicts.into_iter().map(|it| it.words).collect();
    let mut items = items(scheme, |quantity| account.totals.get(quantity));
    let safe = SafeSide::of(&history, span)?;
    let unmonitored = not_monitored(snapshot, house, scheme, &history, (&account, &safe))?;
    if let Some(it) = unmonitored
        && let Some(extremity) = items.iter_mut().find(|it| it.code == EXTREMITY)
    {
        extremity.shown = it.words().to_owned();
        extremity.standing = "not monitored".to_owned();
    }
    let open: Vec<&str> = items
        .iter()
        .filter(|it| it.standing == "estimate")
        .map(|it| it.code.as_str())
        .collect();
    if !open.is_empty() {
        why_estimate.push(format!(
            "{}: readings without a result yet, or a dose not determined.",
            open.join(", ")
        ));
    }
    // Of record and yet without an upper bound, such as an off-scale shift
    // whose badge has a result that the RSO has not accepted.
    let unbounded: Vec<_> = safe.raised_by.iter().filter(|it| it.undetermined).collect();
    why_estimate.extend(
        unbounded
            .iter()
            .map(|it| format!("Not settled: {}, {}.", it.day, it.words)),
    );
    let estimate = !open.is_empty() || !unbounded.is_empty();
    if account.counts_exposure_as_dose {
        why_estimate.push("Readings in mR are counted as dose, which is a convention.".to_owned());
    }
    let special = items_of_special(scheme, &account);
    let periods = facts
        .monitored
        .iter()
        .filter_map(|it| {
            let until = it.until.unwrap_or(span.last);
            span.common(&Span {
                first: it.from,
                last: until.max(it.from),
            })
        })
        .collect();
    let leaves = facts
        .monitored
        .iter()
        .any(|it| it.until.is_some_and(|on| span.contains(on)));
    // Above this a report goes to the worker unasked.
    let report_above = scheme.tolerance("worker-report");
    let must_be_given = report_above.and_then(|rule| {
        let most = rule.dose()?;
        let passed = |it: &&StatementItem| it.nsv.is_some_and(|nsv| nsv > most.nsv());
        let most = match scheme.si_in_parentheses {
            true => most.display_with_si_in(scheme.unit),
            false => scheme.print(most),
        };
        let above = items.iter().find(passed)?;
        Some(format!("{} is above {most} ({})", above.code, rule.cited()))
    });
    let charter = &house.names.charter;
    let (entries, head) = snapshot.head()?;
    Ok(StatementAnswer {
        worker: facts.id.clone(),
        name: facts.name.clone(),
        birth_date: facts.birth_date,
        licensee: charter.licensee.clone(),
        licence: charter.licence.clone(),
        site: charter.site.clone(),
        year,
        periods,
        must_be_given,
        on_request: report_above.map(Tolerance::cited),
        leaving_rule: cited(scheme, "leaving-estimate"),
        estimate,
        under: scheme
            .rule("worker-report")
            .map_or_else(String::new, |it| format!("{} ", it.meaning)),
        special_rule: cited(scheme, "planned-special-exposure"),
        not_monitored: unmonitored.map(|it| it.meaning()),
        made_on: today,
        items,
        special,
        why_estimate,
        leaves,
        so_far: (span.last < whole.last).then_some(span.last),
        entries,
        head: head.to_string(),
        confirm: scheme.confirm.clone(),
    })
}

/// The short name of the extremity dose.
const EXTREMITY: &str = "SDE-ME";

fn items<'a>(scheme: &Scheme, total: impl Fn(Quantity) -> &'a Total) -> Vec<StatementItem> {
    [
        ("DDE", "deep dose equivalent, whole body", Quantity::Deep),
        ("LDE", "lens dose equivalent", Quantity::Lens),
        (
            "SDE-WB",
            "shallow dose equivalent, skin of the whole body",
            Quantity::Shallow,
        ),
        (
            EXTREMITY,
            "shallow dose equivalent, maximally exposed extremity",
            Quantity::Extremity,
        ),
        (
            "TEDE",
            "total effective dose equivalent (external only: the DDE)",
            Quantity::Deep,
        ),
    ]
    .into_iter()
    .map(|(code, label, quantity)| item(scheme, code, label, total(quantity)))
    .collect()
}

fn item(scheme: &Scheme, code: &str, label: &str, total: &Total) -> StatementItem {
    let print = |dose: Dose| match scheme.si_in_parentheses {
        true => dose.display_with_si_in(DoseUnit::Rem),
        false => dose.display(DoseUnit::MilliSievert),
    };
    let (nsv, shown, sure) = match total.extent() {
        Extent::NotAssessed => (None, "not assessed".to_owned(), true),
        Extent::Whole(dose) => (Some(dose.nsv()), print(dose), true),
        Extent::AtLeast(dose) => (Some(dose.nsv()), format!("at least {}", print(dose)), false),
    };
    let provisional = total.provisional > Dose::ZERO || total.apportioned > Dose::ZERO;
    let standing = match nsv {
        None => "not assessed",
        Some(_) if !sure || provisional => "estimate",
        Some(_) => "record",
    };
    StatementItem {
        code: code.to_owned(),
        label: label.to_owned(),
        nsv,
        shown,
        standing: standing.to_owned(),
    }
}

fn items_of_special(scheme: &Scheme, account: &Account) -> Vec<StatementItem> {
    let all = items(scheme, |quantity| account.special.get(quantity));
    all.into_iter()
        .filter(|it| it.nsv.is_some_and(|nsv| nsv > 0))
        .collect()
}
