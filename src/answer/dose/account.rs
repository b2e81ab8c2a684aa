//! One worker's dose over a span: what the records say, what levels use, and
//! where each number comes from.

use serde::Serialize;

use super::conflict::{ConflictLine, conflict_lines};
use super::extremity::not_monitored;
use super::forecast::{AheadAnswer, ahead_of};
use super::private::{GoneLine, gone};
use crate::answer::context::error::AnswerError;
use crate::answer::context::here::{NO_RECORD, has_badge, opening_words};
use crate::answer::context::load::OpenHouse;
use crate::answer::context::view::{LevelLine, TotalView, cited, level_lines};
use crate::answer::event::in_event::stops_of;
use crate::calendar::{Day, Span};
use crate::dose::account::Account;
use crate::dose::checks::level_findings;
use crate::dose::conservative::Conservative;
use crate::dose::index::DoseIndex;
use crate::dose::resolve::Silence;
use crate::dose::total::{Amount, Class, QUANTITIES, Total};
use crate::ledger::Snapshot;
use crate::quantity::{Dose, DoseUnit};
use crate::record::{Body, RecordId};
use crate::rule::{Finding, Quantity, Tells, Terms};

/// The two figures of one quantity.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct QuantityLine {
    /// Deep, lens, shallow or extremity.
    pub quantity: String,
    /// What the records say.
    #[serde(rename = "total")]
    pub account: TotalView,
    /// What levels use.
    pub conservative: TotalView,
}

/// Dose of planned special exposures in one quantity.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SpecialLine {
    /// Deep, lens, shallow or extremity.
    pub quantity: String,
    /// The known part, nanosievert.
    pub dose_nsv: i64,
    /// As people read it.
    pub dose: String,
}

/// One contribution to an account.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WhyLine {
    /// First day of it.
    pub first: Day,
    /// Last day of it.
    pub last: Day,
    /// Of record, provisional, prior, apportioned.
    pub class: String,
    /// Its deep dose as people read it.
    pub deep: String,
    /// The known part of the deep dose, nanosievert.
    pub deep_nsv: i64,
    /// Whether it is of record.
    #[serde(skip)]
    pub of_record: bool,
    /// Whether it is a result that nobody accepted yet.
    #[serde(skip)]
    pub is_reported: bool,
    /// Whether the known part is not all of it.
    #[serde(skip)]
    pub undetermined: bool,
    /// The entry that says so.
    pub entry: i64,
    /// How it came about.
    pub words: Vec<String>,
}

/// What a record says that counts no more.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NoMoreLine {
    /// Its entry.
    pub entry: i64,
    /// First day of it.
    pub first: Day,
    /// Last day of it.
    pub last: Day,
    /// What it says.
    pub words: String,
    /// What kind of thing took its place.
    #[serde(skip)]
    pub how: Silence,
    /// The entry of that.
    pub by: i64,
    /// The day of that, where its record has one.
    pub since: Option<Day>,
}

/// One worker's dose.
#[derive(Debug, Clone, Serialize)]
pub struct DoseAnswer {
    /// The worker's id.
    pub worker: String,
    /// Full name.
    pub name: String,
    /// First day.
    pub first: Day,
    /// Last day.
    pub last: Day,
    /// The day for which the levels stand.
    pub on: Day,
    /// The unit of every figure for people.
    pub unit: String,
    /// What the doses are called.
    #[serde(skip)]
    pub terms: Terms,
    /// The newest entry that this answer knows.
    pub known_at_entry: i64,
    /// Whether the ledger holds nothing of the person in these days, which is not zero.
    pub no_record: bool,
    /// The two figures, a quantity.
    pub totals: Vec<QuantityLine>,
    /// What it means that the extremity was not monitored, where nothing of it is open.
    pub not_monitored: Option<String>,
    /// Totals of years or months before the ledger that are in it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub opening: Vec<String>,
    /// What counts apart, in planned special exposures, where anything does.
    pub special: Vec<SpecialLine>,
    /// The rule under which it counts apart, where the rule set has one.
    pub special_rule: Option<String>,
    /// Results and determinations that contradict each other.
    pub conflicts: Vec<ConflictLine>,
    /// What raised the conservative total above the account.
    pub raised_by: Vec<String>,
    /// The levels.
    pub levels: Vec<LevelLine>,
    /// Private records of which the content is not there.
    pub gone: Vec<GoneLine>,
    /// What the levels say to somebody.
    pub findings: Vec<Finding>,
    /// The contributions.
    pub why: Vec<WhyLine>,
    /// What was set aside, replaced or ended, and counts no more.
    pub no_more: Vec<NoMoreLine>,
    /// The convention about exposure readings, where they are in it.
    pub convention: Option<String>,
    /// The rule set's caution.
    pub confirm: String,
}

/// One worker's dose over a span, with the levels as of `on`.
pub fn dose_of(
    house: &OpenHouse<'_>,
    worker: RecordId,
    span: Span,
    on: Day,
) -> Result<DoseAnswer, AnswerError> {
    let facts = house.facts(worker)?;
    let rule_set = house.rule_set_on(on)?;
    let unit = house.unit();
    let needed = house.span_needed(rule_set, facts, span, on);
    let history = house.history(worker, needed)?;
    let account = Account::of(&history, span)?;
    let safe = Conservative::of(&history, span)?;
    let index = DoseIndex::build(&history)?;
    let (levels, standings) = level_lines(house, rule_set, facts, &index, on)?;
    let mut findings = stops_of(house, rule_set, (worker, needed), on)?;
    findings.extend(level_findings(facts, &standings, &index, rule_set)?);
    let unmonitored = not_monitored(house, rule_set, &history, (&account, &safe))?;
    let no_record =
        account.contributions.is_empty() && safe.raised_by.is_empty() && !has_badge(&history, span);
    let line = |quantity: Quantity| {
        let view = |total: &Total| match unmonitored {
            _ if no_record => TotalView::new(total, unit).said(NO_RECORD),
            Some(it) if quantity == Quantity::Extremity => {
                TotalView::new(total, unit).said(it.words())
            }
            _ => TotalView::new(total, unit),
        };
        QuantityLine {
            quantity: quantity.name().to_owned(),
            account: view(account.totals.get(quantity)),
            conservative: view(safe.totals.get(quantity)),
        }
    };
    let totals = QUANTITIES.into_iter().map(line).collect();
    let why = why_lines(&account, unit);
    let convention = rule_set
        .rule("exposure-as-dose")
        .filter(|_| account.counts_exposure_as_dose)
        .map(|it| format!("{} ({})", it.meaning, it.cited()));
    Ok(DoseAnswer {
        worker: facts.id.clone(),
        name: facts.name.clone(),
        first: span.first,
        last: span.last,
        on,
        unit: unit.symbol().to_owned(),
        terms: house.terms(),
        known_at_entry: house.snapshot.known_at(),
        totals,
        opening: opening_words(facts, span, unit),
        no_record,
        not_monitored: unmonitored.filter(|_| !no_record).map(|it| it.meaning()),
        special: special_lines(&account, unit),
        special_rule: cited(rule_set, "planned-special-exposure"),
        conflicts: conflict_lines(house, &account.conflicts, (worker, on), span),
        raised_by: safe.raised_by.iter().map(|it| it.words.clone()).collect(),
        levels,
        gone: gone(house, worker)?,
        findings,
        why,
        no_more: no_more_lines(house.snapshot, &account)?,
        convention,
        confirm: rule_set.caution_of(Tells::Levels),
    })
}

/// What counts no more, with the day from which it does not.
fn no_more_lines(
    snapshot: &Snapshot<'_>,
    account: &Account,
) -> Result<Vec<NoMoreLine>, AnswerError> {
    let lines = account.silent.iter().map(|it| {
        let since = match snapshot.body(it.by)? {
            Some(Body::Resolution(by)) => Some(by.on),
            Some(Body::Determination(by)) => Some(by.on),
            Some(Body::BadgeResult(by)) => Some(by.reported_on),
            _ => None,
        };
        Ok(NoMoreLine {
            entry: it.entry,
            first: it.first,
            last: it.last,
            words: it.words.clone(),
            how: it.how,
            by: it.by,
            since,
        })
    });
    lines.collect()
}

/// The contributions to an account.
fn why_lines(account: &Account, unit: DoseUnit) -> Vec<WhyLine> {
    let all = account.contributions.iter();
    // The table is of the deep dose: what says nothing of it stands elsewhere.
    all.filter(|it| *it.doses.get(Quantity::Deep) != Amount::Elsewhere)
        .map(|it| {
            let deep = it.doses.get(Quantity::Deep);
            WhyLine {
                first: it.first,
                last: it.last,
                class: it.class.word().to_owned(),
                of_record: it.class == Class::OfRecord,
                is_reported: it.class == Class::Reported,
                undetermined: match deep {
                    Amount::Undetermined(_) => true,
                    Amount::Known(_) => it.held > 0,
                    Amount::NotAssessed | Amount::Elsewhere => false,
                },
                deep: amount_text(*deep, it.held, |dose| dose.display(unit)),
                deep_nsv: deep.known().unwrap_or(Dose::ZERO).nsv(),
                entry: it.entry,
                words: it.words.clone(),
            }
        })
        .collect()
}

/// What planned special exposures come to, a quantity.
fn special_lines(account: &Account, unit: DoseUnit) -> Vec<SpecialLine> {
    let all = QUANTITIES.iter().map(|it| (*it, account.special.get(*it)));
    let some = all.filter(|(_, total)| total.assessed > 0);
    some.map(|(quantity, total)| SpecialLine {
        quantity: quantity.name().to_owned(),
        dose_nsv: total.known().nsv(),
        dose: total.text(unit),
    })
    .collect()
}

fn amount_text(amount: Amount, held: u32, print: impl Fn(Dose) -> String) -> String {
    match amount {
        Amount::NotAssessed => "not assessed".to_owned(),
        Amount::Elsewhere => "-".to_owned(),
        Amount::Undetermined(dose) => format!("at least {}", print(dose)),
        Amount::Known(dose) if held > 0 => format!("at least {}", print(dose)),
        Amount::Known(dose) => print(dose),
    }
}

/// One step of a worker's year.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct YearStep {
    /// The day.
    pub day: Day,
    /// The year's dose up to and with this step, nanosievert.
    pub total_nsv: i64,
    /// Whether it is resolved by a result or a determination.
    pub of_record: bool,
    /// Whether it has no upper bound.
    pub undetermined: bool,
}

/// A worker's year, step by step, for a chart.
#[derive(Debug, Clone, Serialize)]
pub struct YearAnswer {
    /// The dose and the levels.
    pub dose: DoseAnswer,
    /// The steps.
    pub steps: Vec<YearStep>,
    /// Today.
    pub today: Day,
    /// Where it is heading, for the year that today lies in.
    pub ahead: Option<AheadAnswer>,
}

/// A worker's year as a chart needs it.
pub fn year_of(
    house: &OpenHouse<'_>,
    worker: RecordId,
    year: i32,
    today: Day,
) -> Result<YearAnswer, AnswerError> {
    let rule_set = house.rule_set_on(today)?;
    let span = rule_set.year_start.year(year);
    let on = crate::answer::context::view::standing_day(span, today);
    let dose = dose_of(house, worker, span, on)?;
    let mut total = 0_i64;
    let mut steps: Vec<YearStep> = Vec::new();
    let mut lines: Vec<&WhyLine> = dose.why.iter().collect();
    // The total grows in the order of the days that are drawn.
    lines.sort_by_key(|it| it.last.min(span.last));
    for line in lines {
        total = total.saturating_add(line.deep_nsv);
        steps.push(YearStep {
            day: line.last.min(span.last),
            total_nsv: total,
            of_record: line.of_record,
            undetermined: line.undetermined,
        });
    }
    let ahead = span
        .contains(today)
        .then(|| ahead_of(house, worker, today))
        .transpose()?;
    Ok(YearAnswer {
        dose,
        steps,
        today,
        ahead,
    })
}
