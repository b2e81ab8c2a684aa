//! The year of the programme: collective dose, its distribution, who gets which report, and how
//! long the records behind it are kept.

use serde::Serialize;

use super::load::{AnswerError, House};
use super::review_people::signed;
use super::statement::{StatementAnswer, statement};
use super::view::DoseFigure;
use crate::calendar::{Day, Instant, Month, Span, months_on};
use crate::dose::index::DoseIndex;
use crate::dose::total::Total;
use crate::ledger::Snapshot;
use crate::quantity::{Dose, DoseUnit};
use crate::record::Kind;
use crate::rule::{Keep, Quantity, retention_of};

/// Collective dose of a month beside that of the same month a year before.
#[derive(Debug, Clone, Serialize)]
pub struct CollectiveLine {
    /// The month.
    pub month: String,
    /// Of record, this year.
    pub of_record: DoseFigure,
    /// Provisional, this year.
    pub provisional: DoseFigure,
    /// Together, this year; a lower bound where `at_least`.
    pub all: DoseFigure,
    /// Whether somebody's dose has no upper bound.
    pub at_least: bool,
    /// Together, the year before.
    pub before: DoseFigure,
}

/// How many people lie in a band of dose.
#[derive(Debug, Clone, Serialize)]
pub struct BandLine {
    /// The band.
    pub band: String,
    /// People of this year.
    pub people: usize,
    /// People of the year before.
    pub before: usize,
}

/// How a kind of record is kept.
#[derive(Debug, Clone, Serialize)]
pub struct RetentionLine {
    /// The rule.
    pub citation: String,
    /// What is kept.
    pub what: String,
    /// What the rule wants in it.
    pub contents: String,
    /// How many the ledger has; nothing where it does not hold it.
    pub count: Option<i64>,
    /// The oldest day of them.
    pub oldest: Option<Day>,
    /// How long.
    pub keep: String,
    /// What of it may be put away now.
    pub may_go: String,
    /// What else there is to say.
    pub note: String,
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
    /// Who holds the licence.
    pub licensee: String,
    /// The licence.
    pub licence: String,
    /// The unit of figures for people.
    pub unit: String,
    /// Month by month.
    pub months: Vec<CollectiveLine>,
    /// All of the year.
    pub collective: String,
    /// All of the year before, up to the same day of the year.
    pub collective_before: String,
    /// The difference with its sign.
    pub change: String,
    /// How the doses are distributed.
    pub bands: Vec<BandLine>,
    /// Everybody's statement.
    pub statements: Vec<StatementAnswer>,
    /// The day by which the authority has its annual report.
    pub report_by: Option<Day>,
    /// How records are kept.
    pub retention: Vec<RetentionLine>,
    /// The scheme's caution.
    pub confirm: String,
}

/// Upper edges of the bands, millirem: those of the regulator's annual summaries (from memory).
const BANDS: &[i64] = &[0, 100, 250, 500, 750, 1000, 2000, 3000, 4000, 5000];

/// One millirem in nanosievert.
const MREM: i64 = 10_000;

fn band_of(nsv: i64) -> usize {
    BANDS
        .iter()
        .position(|edge| nsv <= edge.saturating_mul(MREM))
        .unwrap_or(BANDS.len())
}

fn band_words(at: usize, unit: DoseUnit) -> String {
    let shown = |edge: &i64| Dose::from_nsv(edge.saturating_mul(MREM)).display(unit);
    match (
        at.checked_sub(1).and_then(|it| BANDS.get(it)),
        BANDS.get(at),
    ) {
        (None, _) => "none measured".to_owned(),
        (Some(low), Some(high)) => format!("above {} to {}", shown(low), shown(high)),
        (Some(low), None) => format!("above {}", shown(low)),
    }
}

/// The year, as the ledger knows it now.
///
/// # Errors
/// A year that has not begun, or that ended before the charter.
pub fn year_review(
    snapshot: &Snapshot<'_>,
    house: &House,
    year: i32,
    now: Instant,
) -> Result<YearReview, AnswerError> {
    let today = house.today(now);
    let start = house.scheme_on(today)?.year_start;
    let whole = start.year(year);
    super::review::has_been(snapshot, house, whole, &year.to_string(), now)?;
    let span = Span {
        last: whole.last.min(today),
        ..whole
    };
    let scheme = house.scheme_on(span.last)?;
    let unit = house.unit();
    let before = Span {
        first: start.year(year - 1).first,
        last: span
            .last
            .checked_sub_months(chrono::Months::new(12))
            .unwrap_or(span.first),
    };
    let wide = Span {
        first: before.first,
        last: span.last,
    };
    let mut bands = vec![[0_usize; 2]; BANDS.len() + 1];
    let months = months_of(span);
    let mut sums = vec![[Total::default(), Total::default()]; months.len()];
    let mut all = [Total::default(), Total::default()];
    for history in house.histories(snapshot, wide)?.values() {
        let mut history = history.clone();
        // What this licensee monitored: dose elsewhere is in that employer's sum.
        history.facts.prior.clear();
        let index = DoseIndex::build(&history)?;
        let monitored = |span: Span| {
            let mut times = history.facts.monitored.iter();
            times.any(|it| it.from <= span.last && it.until.is_none_or(|on| on >= span.first))
        };
        for (at, span) in [(0, span), (1, before)] {
            let total = index.account(span, Quantity::Deep)?;
            if monitored(span)
                && let Some(band) = bands.get_mut(band_of(total.known().nsv()))
                && let Some(count) = band.get_mut(at)
            {
                *count += 1;
            }
            if let Some(sum) = all.get_mut(at) {
                *sum = sum.plus(&total)?;
            }
        }
        for (sum, month) in sums.iter_mut().zip(&months) {
            let [this, last] = sum;
            *this = this.plus(&index.account(*month, Quantity::Deep)?)?;
            *last = last.plus(&index.account(year_earlier(*month), Quantity::Deep)?)?;
        }
    }
    let [this, last] = &all;
    let change = this.known().nsv().saturating_sub(last.known().nsv());
    let us = !retention_of(scheme).is_empty();
    let charter = &house.names.charter;
    Ok(YearReview {
        ledger: charter.ledger_id.clone(),
        year,
        first: span.first,
        last: span.last,
        partial: span.last < whole.last,
        licensee: charter.licensee.clone(),
        licence: charter.licence.clone(),
        unit: unit.symbol().to_owned(),
        months: months
            .iter()
            .zip(&sums)
            .map(|(month, [this, last])| CollectiveLine {
                month: Month::of(month.first).to_string(),
                of_record: DoseFigure::new(this.of_record, unit),
                provisional: DoseFigure::new(this.provisional, unit),
                all: DoseFigure::new(this.known(), unit),
                at_least: this.undetermined > 0,
                before: DoseFigure::new(last.known(), unit),
            })
            .collect(),
        collective: this.text(unit),
        collective_before: last.text(unit),
        change: signed(change, unit),
        bands: bands
            .iter()
            .enumerate()
            .map(|(at, [people, before])| BandLine {
                band: band_words(at, unit),
                people: *people,
                before: *before,
            })
            .collect(),
        statements: statements(snapshot, house, year, today)?,
        report_by: us.then(|| Day::from_ymd_opt(year + 1, 4, 30)).flatten(),
        retention: retention(snapshot, house, today)?,
        confirm: scheme.confirm.clone(),
    })
}

/// The months of a span, the last one as far as the span goes.
fn months_of(span: Span) -> Vec<Span> {
    let mut all = Vec::new();
    let mut month = Month::of(span.first);
    while month.span().first <= span.last {
        all.extend(month.span().common(&span));
        month = Month::of(months_on(month.span().first, 1));
    }
    all
}

/// The same days a year earlier; a month that was whole stays whole.
fn year_earlier(month: Span) -> Span {
    let back = |day: Day| {
        day.checked_sub_months(chrono::Months::new(12))
            .unwrap_or(day)
    };
    let whole = Month::of(month.first).span() == month;
    let first = back(month.first);
    let last = match whole {
        true => Month::of(first).span().last,
        false => back(month.last),
    };
    Span { first, last }
}

fn statements(
    snapshot: &Snapshot<'_>,
    house: &House,
    year: i32,
    today: Day,
) -> Result<Vec<StatementAnswer>, AnswerError> {
    let mut all = Vec::new();
    for facts in house.workers() {
        let it = statement(snapshot, house, facts.record, year, today)?;
        if !it.periods.is_empty() {
            all.push(it);
        }
    }
    Ok(all)
}

/// How each kind of record is kept, and what of it may be put away on a day.
fn retention(
    snapshot: &Snapshot<'_>,
    house: &House,
    today: Day,
) -> Result<Vec<RetentionLine>, AnswerError> {
    let mut lines = Vec::new();
    for row in retention_of(house.scheme_on(today)?) {
        let (keep, edge) = match row.keep {
            Keep::Years(years) => {
                let edge = today.checked_sub_months(chrono::Months::new(years * 12));
                (format!("{years} years"), edge)
            }
            Keep::LicenceEnd => ("until the licence ends".to_owned(), None),
            Keep::WhileInForce => ("while in force".to_owned(), None),
        };
        let mut count = None;
        let mut oldest: Option<Day> = None;
        let mut before = 0;
        for kind in row.kinds.iter().filter_map(|word| Kind::from_word(word)) {
            if let Some(days) = snapshot.kind_days(kind, edge.unwrap_or(Day::MIN))? {
                count = Some(count.unwrap_or(0) + days.count);
                oldest = oldest.into_iter().chain(days.oldest).min();
                before += days.before;
            }
        }
        let may_go = match (count, edge) {
            (None, _) => "not in the ledger".to_owned(),
            (Some(_), None) => "nothing".to_owned(),
            (Some(_), Some(edge)) if before > 0 => format!("{before} of before {edge}"),
            (Some(_), Some(edge)) => format!("nothing: none is of before {edge}"),
        };
        lines.push(RetentionLine {
            citation: row.citation.to_owned(),
            what: row.what.to_owned(),
            contents: row.contents.to_owned(),
            count,
            oldest,
            keep,
            may_go,
            note: row.note.to_owned(),
        });
    }
    Ok(lines)
}
