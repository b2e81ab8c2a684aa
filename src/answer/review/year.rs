//! The year of the programme: collective dose, its distribution, who gets which report, and how
//! long the records behind it are kept.

use serde::Serialize;

use super::month::{as_it_stood, history_words};
use super::people::signed;
use super::retention::{RetentionLine, retention};
use super::statement::{StatementAnswer, statement};
use crate::answer::context::error::AnswerError;
use crate::answer::context::here::{has_badge, keep_here, opening_count};
use crate::answer::context::load::OpenHouse;
use crate::answer::context::view::{TotalView, cited};
use crate::answer::dose::annual_report::{
    ANNUAL, AnnualReportView, GivenView, SentLine, annual_report, given, sent,
};
use crate::answer::dose::collective::{CollectiveAnswer, CollectiveMonth, collective};
use crate::calendar::{Day, Instant, Month, Span};
use crate::dose::index::DoseIndex;
use crate::dose::input::History;
use crate::dose::total::{Extent, Total};
use crate::quantity::{Dose, DoseUnit};
use crate::rule::{Quantity, RuleSet, Tells, Terms};

/// Collective dose of a month beside that of the same month a year before.
#[derive(Debug, Clone, Serialize)]
pub struct CollectiveLine {
    /// The month.
    pub month: String,
    /// Everybody's deep dose of the month together.
    #[serde(rename = "total")]
    pub account: TotalView,
    /// Whether it is only a lower bound, by the account or by anybody's conservative total.
    pub at_least: bool,
    /// Whether the ledger holds nothing of the month, which is not zero.
    pub no_record: bool,
    /// Together, the year before; nothing where the ledger holds nothing of it.
    pub before: Option<String>,
}

/// What is beside the collective dose of a year and not in it.
#[derive(Debug, Clone, Serialize)]
pub struct BesideCollective {
    /// In planned special exposures, which count apart; nothing where there were none.
    pub special: Option<String>,
    /// What other employers reported of the same people and days; nothing where there was none.
    pub elsewhere: Option<String>,
}

/// How many people lie in a band of dose.
#[derive(Debug, Clone, Serialize)]
pub struct BandLine {
    /// The band.
    pub band: String,
    /// People of this year.
    pub people: usize,
    /// Of these, those whose figure is only a lower bound.
    pub at_least: usize,
    /// People of the year before.
    pub before: usize,
}

/// The year.
#[derive(Debug, Clone, Serialize)]
pub struct YearReview {
    /// The name that tells this ledger from others.
    pub ledger: String,
    /// The year.
    pub year: i32,
    /// Its first day.
    pub first: Day,
    /// Its last day, or the day up to which it is known.
    pub last: Day,
    /// Whether it is not over.
    pub partial: bool,
    /// What of it is history from before this ledger, or was copied.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub history: Vec<String>,
    /// How many totals from before the ledger are in it.
    pub opening: usize,
    /// Who holds the license.
    pub licensee: String,
    /// The license.
    pub license: String,
    /// The unit of figures for people.
    pub unit: String,
    /// What the doses are called.
    #[serde(skip)]
    pub terms: Terms,
    /// Month by month.
    pub months: Vec<CollectiveLine>,
    /// All of the year: what the statements add up to.
    pub collective: TotalView,
    /// What is not in it.
    pub beside: BesideCollective,
    /// Whether the ledger holds nothing of the year, which is not zero.
    pub no_record: bool,
    /// All of the year before, up to the same day of the year; nothing where the ledger holds
    /// nothing of it.
    pub collective_before: Option<String>,
    /// The difference with its sign, where there are two figures.
    pub change: Option<String>,
    /// How the doses are distributed.
    pub bands: Vec<BandLine>,
    /// Whose bands they are; nothing where the rule set names none.
    pub bands_rule: Option<String>,
    /// Everybody's statement.
    pub statements: Vec<StatementAnswer>,
    /// How the annual report to the authority stands, where the rule set names a day for it.
    pub annual: Option<AnnualReportView>,
    /// What was sent to the authority, where the rule set names no day for it.
    pub sent: Vec<SentLine>,
    /// Whether and when each person was given the own one.
    pub given: Vec<GivenView>,
    /// The rule under which it has one, where the rule set has it.
    pub report_rule: Option<String>,
    /// How records are kept.
    pub retention: Vec<RetentionLine>,
    /// Whether the rules in force came before the program knew how long.
    #[serde(skip)]
    pub retention_came_later: bool,
    /// The rule set's caution.
    pub confirm: String,
}

/// The upper edges of the bands: below the first nothing was measured.
fn edges(rule_set: &RuleSet) -> Vec<Dose> {
    let own = rule_set.dose_bands().map(|it| it.edges);
    [Dose::ZERO]
        .into_iter()
        .chain(own.unwrap_or_default())
        .collect()
}

fn band_of(edges: &[Dose], dose: Dose) -> usize {
    let place = edges.iter().position(|edge| dose <= *edge);
    place.unwrap_or(edges.len())
}

fn band_words(edges: &[Dose], at: usize, unit: DoseUnit) -> String {
    let low = at.checked_sub(1).and_then(|it| edges.get(it));
    match (low, edges.get(at)) {
        (None, _) => "none measured: 0".to_owned(),
        (Some(low), Some(high)) => format!("above {} to {}", low.display(unit), high.display(unit)),
        (Some(low), None) => format!("above {}", low.display(unit)),
    }
}

/// The year for one day, today unless another is asked for: by what the ledger knows now, and by
/// nothing that is about a later day.
///
/// # Errors
/// A year that has not begun, or that ended before the charter; a day before it or to come.
pub fn year_review(
    house: &OpenHouse<'_>,
    year: i32,
    (asked, now): (Option<Day>, Instant),
) -> Result<YearReview, AnswerError> {
    let today = asked.unwrap_or(house.today(now));
    let start = house.rule_set_on(today)?.year_start;
    let whole = start.year(year);
    super::month::has_been(house, whole, &year.to_string(), now)?;
    if today < whole.first || today > house.today(now) {
        return Err(AnswerError::NotOfPeriod {
            what: year.to_string(),
            on: today,
            today: house.today(now),
        });
    }
    let stood = as_it_stood(house, today, now)?;
    let house = &match &stood {
        Some((snapshot, stood)) => stood.open(snapshot),
        None => *house,
    };
    let span = Span {
        last: whole.last.min(today),
        ..whole
    };
    let rule_set = house.rule_set_on(span.last)?;
    let unit = house.unit();
    let before = year_before(start.year(year - 1), span, whole);
    let this = collective(house, span, span.last)?;
    let last = collective(house, before, before.last)?;
    let change = this.total.known_nsv.saturating_sub(last.total.known_nsv);
    let charter = &house.names.charter;
    let annual = annual_report(house.snapshot, house.rule_set_on(today)?, year, today)?;
    let statements = statements(house, year, today)?;
    Ok(YearReview {
        ledger: charter.ledger_id.clone(),
        year,
        first: span.first,
        last: span.last,
        partial: span.last < whole.last,
        history: history_words(house, span)?,
        opening: opening_count(house, span),
        licensee: charter.licensee.clone(),
        license: charter.licence.clone(),
        unit: unit.symbol().to_owned(),
        terms: house.terms(),
        months: months(&this, &last),
        collective: this.total.clone(),
        beside: beside(&this),
        no_record: this.no_record,
        change: (!this.no_record && !last.no_record).then(|| signed(change, unit)),
        collective_before: (!last.no_record).then_some(last.total.shown),
        bands: bands(house, rule_set, [span, before])?,
        bands_rule: rule_set.dose_bands().map(|it| it.cited()),
        given: given(house, (year, whole.last), &statements, today)?,
        statements,
        report_rule: cited(rule_set, ANNUAL),
        sent: match annual {
            Some(_) => Vec::new(),
            None => sent(house.snapshot, year, today, None)?,
        },
        annual,
        retention: retention(house, today)?,
        retention_came_later: rule_set.retention_came_later(),
        confirm: rule_set.caution_of(Tells::Both),
    })
}

fn beside(this: &CollectiveAnswer) -> BesideCollective {
    let special = &this.special;
    BesideCollective {
        special: (special.known_nsv > 0 || special.at_least).then(|| special.shown.clone()),
        elsewhere: (this.elsewhere.nsv > 0).then(|| this.elsewhere.shown.clone()),
    }
}

/// The same part of the year before.
fn year_before(year: Span, span: Span, whole: Span) -> Span {
    let back = span.last.checked_sub_months(chrono::Months::new(12));
    let last = match span == whole {
        true => year.last,
        false => back.unwrap_or(year.last),
    };
    Span { last, ..year }
}

/// Month by month beside the same month of the year before.
fn months(this: &CollectiveAnswer, last: &CollectiveAnswer) -> Vec<CollectiveLine> {
    let line = |(at, month): (usize, &CollectiveMonth)| {
        let before = last.months.get(at).filter(|it| !it.no_record);
        CollectiveLine {
            month: Month::of(month.first).to_string(),
            account: month.account.clone(),
            at_least: month.at_least,
            no_record: month.no_record,
            before: before.map(|it| it.account.short.clone()),
        }
    };
    this.months.iter().enumerate().map(line).collect()
}

/// Where somebody's year lies.
enum Place {
    /// Nothing of it is on record.
    NoRecord,
    /// Nothing is known of it yet, and it is not zero.
    NotKnown,
    /// At a dose, and whether that is only a lower bound.
    At(Dose, bool),
}

/// The place of one person's year with this licensee; nothing for whom it does not concern.
fn place(history: &History, index: &DoseIndex, year: Span) -> Result<Option<Place>, AnswerError> {
    let used = index.used(year, Quantity::Deep)?;
    let mut times = history.facts.monitored.iter();
    let monitored = times.any(|it| it.days().overlaps(&year));
    let told = |it: &Total| it.assessed > 0 || it.unassessed > 0;
    if !told(&used.account) && !told(&used.safe) {
        return Ok(match has_badge(history, year) {
            true => Some(Place::NotKnown),
            false => monitored.then_some(Place::NoRecord),
        });
    }
    let open = [&used.account, &used.safe]
        .iter()
        .any(|it| !matches!(it.extent(), Extent::Whole(_)));
    let known = used.account.known();
    Ok(Some(match open && known == Dose::ZERO {
        true => Place::NotKnown,
        false => Place::At(known, open),
    }))
}

/// How many people lie in each band, this year and the year before: by the figures of their
/// statements.
fn bands(
    house: &OpenHouse<'_>,
    rule_set: &RuleSet,
    [span, before]: [Span; 2],
) -> Result<Vec<BandLine>, AnswerError> {
    let unit = house.unit();
    let line = |band: String| BandLine {
        band,
        people: 0,
        at_least: 0,
        before: 0,
    };
    let edges = edges(rule_set);
    let mut lines: Vec<BandLine> = (0..=edges.len())
        .map(|at| line(band_words(&edges, at, unit)))
        .collect();
    let mut no_record = line("no record".to_owned());
    let mut not_known = line("not known yet".to_owned());
    let wide = Span {
        first: before.first,
        last: span.last,
    };
    for mut history in house.histories(wide)?.into_values() {
        keep_here(house, &mut history);
        let index = DoseIndex::build(&history)?;
        for (year, is_this) in [(span, true), (before, false)] {
            let (line, open) = match place(&history, &index, year)? {
                None => continue,
                Some(Place::NoRecord) => (Some(&mut no_record), false),
                Some(Place::NotKnown) => (Some(&mut not_known), false),
                Some(Place::At(dose, open)) => (lines.get_mut(band_of(&edges, dose)), open),
            };
            match line {
                Some(line) if is_this => {
                    line.people += 1;
                    line.at_least += usize::from(open);
                }
                Some(line) => line.before += 1,
                None => {}
            }
        }
    }
    let apart = [no_record, not_known];
    let apart = apart.into_iter().filter(|it| it.people + it.before > 0);
    Ok(apart.chain(lines).collect())
}

pub(crate) fn statements(
    house: &OpenHouse<'_>,
    year: i32,
    today: Day,
) -> Result<Vec<StatementAnswer>, AnswerError> {
    let mut all = Vec::new();
    for facts in house.workers() {
        let it = statement(house, facts.record, year, today)?;
        if it.concerns {
            all.push(it);
        }
    }
    Ok(all)
}
