//! A worker's year on one page: the record of doses (10 CFR 20.2106) and the
//! report to the worker (10 CFR 19.13).

use serde::Serialize;

use super::statement_items::{
    ItemStanding, NOT_ASSESSED, REPORT, StatementItem, item, lines, must_be_given, print, special,
};
use super::statement_reasons::{Reason, reasons};
use crate::answer::context::error::AnswerError;
use crate::answer::context::here::{NO_RECORD, has_badge, is_elsewhere, keep_here};
use crate::answer::context::load::OpenHouse;
use crate::answer::context::view::cited;
use crate::answer::dose::embryo::{EmbryoDose, embryos};
use crate::answer::dose::extremity::{NotMonitored, not_monitored};
use crate::answer::dose::private::{GoneLine, Identification, private_of};
use crate::answer::status::covered::{Coverage, Gap, coverage};
use crate::calendar::{Day, Span};
use crate::dose::account::Account;
use crate::dose::conservative::Conservative;
use crate::dose::input::{History, Monitored};
use crate::dose::resolve::share::apportion;
use crate::quantity::Dose;
use crate::record::{RecordId, Sex};
use crate::rule::{DoseForm, FormItem, Quantity, RuleSet, Tells, Terms, Tolerance};

/// Where a part of the deep dose comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DosePart {
    /// Results and determinations.
    OfRecord,
    /// Readings.
    Provisional,
    /// With this licensee before this ledger, or what another employer's badge had above ours.
    Earlier,
    /// Shares of doses over a period that the year cuts.
    Apportioned,
}

/// A part of the deep dose. The parts add up to it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DosePartLine {
    /// Where it comes from.
    pub part: DosePart,
    /// Nanosievert.
    pub nsv: i64,
    /// With its units, as the items have them.
    pub shown: String,
}

/// Dose with this licensee from before this ledger, as the office wrote it down.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct EarlierDose {
    /// First day inside the year.
    pub first: Day,
    /// Last day inside the year.
    pub last: Day,
    /// Whether the year cuts its period, so that it is apportioned by days.
    pub cut: bool,
    /// The deep dose of these days, with its units; nothing where it was not stated.
    pub shown: Option<String>,
    /// The entry that states it.
    pub entry: i64,
}

/// A line of the authority's form.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StatementForm {
    /// What it is, as its heading says.
    pub name: String,
    /// What stands for a dose that nobody had to monitor.
    pub not_required: String,
    /// What it has for a dose of which nothing was detected.
    pub not_detected: Option<String>,
    /// Its rule.
    pub rule: String,
    /// Number, what it asks for, label.
    pub lines: Vec<(String, FormItem, String)>,
}

/// A worker's statement of a year.
#[derive(Debug, Clone, Serialize)]
pub struct StatementAnswer {
    /// What the doses are called.
    #[serde(skip)]
    pub terms: Terms,
    /// The worker's id.
    pub worker: String,
    /// Full name.
    pub name: String,
    /// Date of birth, for the person's own report.
    pub birth_date: Option<Day>,
    /// The number that identifies the person, where the private table has one.
    pub identification: Option<Identification>,
    /// The person's sex, where the private table has it.
    pub sex: Option<Sex>,
    /// Private records of which the content is not there: a declared pregnancy may be one.
    pub gone: Vec<GoneLine>,
    /// Who monitored.
    pub licensee: String,
    /// Under which license.
    pub license: String,
    /// Where the office is.
    pub site: String,
    /// The licensee's year.
    pub year: i32,
    /// Its first day.
    pub first: Day,
    /// Its last day, or the one up to which it is known.
    pub last: Day,
    /// The days of it of which there are records.
    pub periods: Vec<Span>,
    /// The days of it of which there are none.
    pub gaps: Vec<Gap>,
    /// Whether the person was monitored in it, or has a dose of it on record.
    pub concerns: bool,
    /// Whether the ledger holds nothing of the person in it.
    pub no_record: bool,
    /// The doses.
    pub items: Vec<StatementItem>,
    /// The same on the conservative side: what is on hold, in conflict or provisional at its higher
    /// figure.
    pub safe_items: Vec<StatementItem>,
    /// What makes up the deep dose.
    pub parts: Vec<DosePartLine>,
    /// Of it, what was received with this licensee before this ledger.
    pub earlier: Vec<EarlierDose>,
    /// Why dose with other employers is not in it, where some is on record.
    pub elsewhere: Option<String>,
    /// Doses of planned special exposures, which count apart.
    pub special: Vec<StatementItem>,
    /// The rule under which they count apart, where the rule set has one.
    pub special_rule: Option<String>,
    /// What it means that the extremity was not monitored, where nothing of it is open.
    pub not_monitored: Option<String>,
    /// Whether any figure is an estimate.
    pub estimate: bool,
    /// Why, and what else explains the figures.
    pub reasons: Vec<Reason>,
    /// The authority's form, where the rule set names one.
    pub form: Option<StatementForm>,
    /// Doses of the embryo or fetus of a declared pregnancy.
    pub embryos: Vec<EmbryoDose>,
    /// Whether the sievert stands in parentheses beside the rem.
    #[serde(skip)]
    pub si_in_parentheses: bool,
    /// Whether the report must be given without being asked for, and why.
    pub must_be_given: Option<String>,
    /// The rule that has it given on request, where the rule set has one.
    pub on_request: Option<String>,
    /// The rule about whoever leaves before all results are in, where the rule set has one.
    pub leaving_rule: Option<String>,
    /// The sentence that the rule has in each report to a worker (10 CFR 19.13(a)); nothing under
    /// a rule set that has no such words.
    pub under: Option<String>,
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
    /// The rule set's caution.
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

    /// The deep dose.
    pub fn deep(&self) -> Option<&StatementItem> {
        StatementAnswer::item(&self.items, Quantity::Deep)
    }

    /// The item of a quantity among such items.
    pub fn item(items: &[StatementItem], quantity: Quantity) -> Option<&StatementItem> {
        items.iter().find(|it| it.quantity == quantity)
    }

    /// What the statement is as a whole.
    pub fn standing(&self) -> ItemStanding {
        match (self.no_record, self.estimate) {
            (true, _) => ItemStanding::NoRecord,
            (false, true) => ItemStanding::Estimate,
            (false, false) => ItemStanding::Record,
        }
    }
}

/// What a statement is computed from: the dose with this licensee over the year.
struct Basis<'a> {
    rule_set: &'a RuleSet,
    history: &'a History,
    account: &'a Account,
    safe: &'a Conservative,
    coverage: &'a Coverage,
}

impl Basis<'_> {
    /// Whether the ledger holds nothing of the person: no shift, badge, report or determination.
    fn is_empty(&self) -> bool {
        self.account.contributions.is_empty()
            && self.safe.raised_by.is_empty()
            && !has_badge(self.history, self.account.span)
    }
}

/// A worker's statement of a licensee year.
pub fn statement(
    house: &OpenHouse<'_>,
    worker: RecordId,
    year: i32,
    today: Day,
) -> Result<StatementAnswer, AnswerError> {
    let rule_set = house.rule_set_on(today)?;
    let whole = rule_set.year_start.year(year);
    if whole.first > today {
        let what = format!("the year {year}");
        return Err(AnswerError::NotYet { what, today });
    }
    let span = Span {
        first: whole.first,
        last: whole.last.min(today),
    };
    let facts = house.facts(worker)?;
    let wide = house.span_needed(rule_set, facts, span, span.last);
    let mut history = house.history(worker, wide)?;
    // What a woman received elsewhere, her child received too.
    let embryos = embryos(rule_set, &history, span)?;
    let elsewhere = is_elsewhere(house, &history, span);
    keep_here(house, &mut history);
    let account = Account::of(&history, span)?;
    let safe = Conservative::of(&history, span)?;
    let coverage = coverage(house.snapshot, &history, &account)?;
    let basis = Basis {
        rule_set,
        history: &history,
        account: &account,
        safe: &safe,
        coverage: &coverage,
    };
    let no_record = basis.is_empty();
    let unmonitored = match no_record {
        true => None,
        false => not_monitored(house, rule_set, &history, (&account, &safe))?,
    };
    let mut reasons = reasons(house, &history, &account, &safe);
    let items = basis.items(unmonitored.map(NotMonitored::words), &mut reasons);
    let figures = items.iter().map(|it| it.standing);
    let estimate = reasons.iter().any(Reason::makes_estimate)
        || figures.into_iter().any(|it| it == ItemStanding::Estimate);
    let special = special(rule_set, &account);
    let charter = &house.names.charter;
    let private = private_of(house, worker)?;
    let (entries, head) = house.snapshot.head()?;
    let leaves = facts
        .monitored
        .iter()
        .any(|it| it.until.is_some_and(|on| span.contains(on)));
    Ok(StatementAnswer {
        terms: rule_set.terms(),
        worker: facts.id.clone(),
        name: facts.name.clone(),
        birth_date: facts.birth_date,
        identification: private.identification,
        sex: private.sex,
        gone: private.gone,
        licensee: charter.licensee.clone(),
        license: charter.licence.clone(),
        site: charter.site.clone(),
        year,
        first: span.first,
        last: span.last,
        concerns: basis.concerns(),
        no_record,
        parts: basis.parts(no_record),
        earlier: basis.earlier(),
        elsewhere: elsewhere.then(|| cited(rule_set, "prior-dose").unwrap_or_default()),
        must_be_given: must_be_given(rule_set, items.iter().chain(&special)),
        on_request: rule_set.tolerance(REPORT).map(Tolerance::cited),
        leaving_rule: cited(rule_set, "leaving-estimate"),
        estimate,
        under: rule_set.rule(REPORT).map(|it| it.meaning.clone()),
        special_rule: cited(rule_set, "planned-special-exposure"),
        not_monitored: unmonitored.map(|it| it.meaning()),
        form: rule_set.form.as_ref().map(form_of),
        embryos,
        si_in_parentheses: rule_set.si_in_parentheses,
        made_on: today,
        special,
        safe_items: basis.safe_items(&items),
        items,
        reasons,
        leaves,
        so_far: (span.last < whole.last).then_some(span.last),
        entries,
        head: head.to_string(),
        confirm: rule_set.caution_of(Tells::Levels),
        periods: coverage.covered,
        gaps: coverage.gaps,
    })
}

fn form_of(form: &DoseForm) -> StatementForm {
    let lines = form.items.iter();
    StatementForm {
        name: form.name.clone(),
        not_required: form.not_required.clone(),
        not_detected: form.not_detected.clone(),
        rule: form.cited(),
        lines: lines
            .map(|it| (it.number.clone(), it.item, it.label.clone()))
            .collect(),
    }
}

impl Basis<'_> {
    fn print(&self, dose: Dose) -> String {
        print(self.rule_set.si_in_parentheses, dose)
    }

    /// Whether the person was monitored in the year, or has a dose of it on record.
    fn concerns(&self) -> bool {
        let span = self.account.span;
        let monitored = |it: &Monitored| it.days().overlaps(&span);
        !self.account.contributions.is_empty()
            || self.history.facts.monitored.iter().any(monitored)
            || !self.coverage.covered.is_empty()
    }

    /// The doses. What of a quantity nobody assessed is added to the reasons.
    fn items(&self, unmonitored: Option<&str>, reasons: &mut Vec<Reason>) -> Vec<StatementItem> {
        let open = reasons.iter().any(Reason::opens_every_figure);
        let mut items = Vec::new();
        for (code, label, quantity) in lines(self.rule_set) {
            let total = self.account.totals.get(quantity);
            let mut item = item(self.rule_set, (code, label, quantity), total);
            if self.is_empty() {
                item.nsv = None;
                item.shown = NO_RECORD.to_owned();
                item.standing = ItemStanding::NoRecord;
            } else if quantity == Quantity::Extremity
                && let Some(words) = unmonitored
            {
                item.shown = words.to_owned();
                item.standing = ItemStanding::NotMonitored;
            } else if item.standing == ItemStanding::Record && open {
                item.standing = ItemStanding::Estimate;
            }
            // A dose that nothing measured is not one of zero.
            let measured = total.assessed > 0;
            let nothing = match item.standing {
                ItemStanding::Estimate => Some(("not known yet", ItemStanding::Estimate)),
                ItemStanding::Record => Some((NOT_ASSESSED, ItemStanding::NotAssessed)),
                _ => None,
            };
            if let Some((words, standing)) = nothing.filter(|_| !measured) {
                (item.nsv, item.shown, item.standing) = (None, words.to_owned(), standing);
                item.open |= standing == ItemStanding::Estimate;
            }
            if measured && total.unassessed > 0 {
                let code = code.to_owned();
                reasons.push(Reason::PartlyAssessed { code });
            }
            items.push(item);
        }
        items
    }

    /// The doses on the conservative side. What has no record or was not monitored is that here
    /// too.
    fn safe_items(&self, items: &[StatementItem]) -> Vec<StatementItem> {
        let of = |(it, line): (&StatementItem, (&str, &str, Quantity))| match it.standing {
            ItemStanding::NoRecord | ItemStanding::NotMonitored => it.clone(),
            ItemStanding::Record | ItemStanding::Estimate | ItemStanding::NotAssessed => {
                item(self.rule_set, line, self.safe.totals.get(line.2))
            }
        };
        items.iter().zip(lines(self.rule_set)).map(of).collect()
    }

    /// What makes up the deep dose: nothing where there is none.
    fn parts(&self, no_record: bool) -> Vec<DosePartLine> {
        let total = &self.account.totals.deep;
        let all = [
            (DosePart::OfRecord, total.of_record),
            (DosePart::Provisional, total.provisional),
            (DosePart::Earlier, total.prior),
            (DosePart::Apportioned, total.apportioned),
        ];
        let some = all.into_iter().filter(|it| it.1 > Dose::ZERO && !no_record);
        some.map(|(part, dose)| DosePartLine {
            part,
            nsv: dose.nsv(),
            shown: self.print(dose),
        })
        .collect()
    }

    fn earlier(&self) -> Vec<EarlierDose> {
        let mut found = Vec::new();
        for it in &self.history.facts.prior {
            let whole = Span {
                first: it.first,
                last: it.last.max(it.first),
            };
            if let Some(part) = self.account.span.common(&whole) {
                found.push(EarlierDose {
                    first: part.first,
                    last: part.last,
                    cut: part != whole,
                    shown: it.deep.map(|deep| self.print(apportion(deep, whole, part))),
                    entry: it.entry,
                });
            }
        }
        found.sort_by_key(|it| (it.first, it.entry));
        found
    }
}
