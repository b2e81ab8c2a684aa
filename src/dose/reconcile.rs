//! Readings against badge results: per wear period, and against the processor's
//! own totals; over periods together, see `reconcile_mean`. Two dosimeters on
//! one person should agree; no
//! law says how well, so band and minimum are the rule set's data, for the site
//! to set (`reconcile-relative`, `reconcile-minimum`).
//!
//! Deep dose only, and only the shifts on which the badge was worn: the two
//! must cover the same time. Nothing here changes a dose.

use crate::calendar::{Day, Span};
use crate::dose::input::{BadgeKind, BadgeResult, Counting, History, Reported, WearPeriod};
use crate::dose::resolve::{Live, Resolved, Source, was_worn};
use crate::dose::total::QUANTITIES;
use crate::quantity::{Dose, Overflow};
use crate::rule::{Quantity, RuleSet, ToleranceValue};

/// How readings and result of one period stand to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Agreement {
    /// There is no result yet.
    NoResult,
    /// The result states no deep dose, or the rule set has no band.
    NotComparable,
    /// A shift was off-scale or not read, so that the readings have no sum.
    ReadingsIncomplete,
    /// Both are below the minimum.
    TooSmall,
    /// Within the band.
    Within,
    /// The readings are above the result, beyond the band.
    ReadingsHigher,
    /// The readings are below the result, beyond the band.
    ReadingsLower,
}

impl Agreement {
    /// Whether somebody has to look.
    pub fn is_beyond(self) -> bool {
        matches!(self, Agreement::ReadingsHigher | Agreement::ReadingsLower)
    }

    /// The same in plain words.
    pub fn words(self) -> &'static str {
        match self {
            Agreement::NoResult => "no result yet",
            Agreement::NotComparable => "nothing to compare",
            Agreement::ReadingsIncomplete => "readings incomplete, no sum to compare",
            Agreement::TooSmall => "below the minimum for a comparison",
            Agreement::Within => "within the band",
            Agreement::ReadingsHigher => "readings above the badge, beyond the band",
            Agreement::ReadingsLower => "readings below the badge, beyond the band",
        }
    }

    /// What usually explains it, most usual first. They are leads for whoever
    /// looks, not conclusions.
    pub fn usual_explanations(self) -> &'static [&'static str] {
        match self {
            Agreement::ReadingsHigher => &[
                "the badge was not worn on a shift on which the sheet says so",
                "the dosimeter was dropped, drifted or was not re-zeroed",
                "the badge was swapped with another person's, or damaged",
                "the control badge was itself irradiated, which lowers everybody's net",
            ],
            Agreement::ReadingsLower => &[
                "the dosimeter was not worn, or a shift was not recorded",
                "the dosimeter reads low: have its response checked",
                "small readings were rounded down shift after shift",
                "the badge was dropped, or left near a source while not worn",
                "exposure or ambient dose equivalent counts as personal dose, and is higher",
            ],
            _ => &[],
        }
    }
}

/// One closed wear period.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Comparison {
    /// The wear period's record.
    pub wear: i64,
    /// The badge's number.
    pub badge: String,
    /// The days on which it was worn.
    pub days: Span,
    /// The shifts on which it was worn, by their entries.
    pub shifts: Vec<i64>,
    /// Shifts on its days on which it was not worn, or nobody said so.
    pub not_worn: u32,
    /// What the readings of those shifts show together.
    pub readings: Dose,
    /// The deep dose of the result.
    pub result: Option<Reported>,
    /// The result's entry.
    pub result_entry: Option<i64>,
    /// Result less readings; negative where the readings are higher. Below the
    /// minimum it is taken from zero.
    pub difference: Option<Dose>,
    /// Readings in thousandths of the result; `None` where it is zero.
    pub ratio_permille: Option<i64>,
    /// What comes of it.
    pub agreement: Agreement,
    /// Whether the two differ so far that one period alone is looked into. Most months of two
    /// good dosimeters lie in the band and some do not: beyond it alone is no finding.
    pub by_itself: bool,
}

/// The closed wear periods of one worker whose last day lies in a span, by
/// day: the own whole-body badges.
///
/// # Errors
/// [`Overflow`] when a sum does not fit.
pub fn compare(
    history: &History,
    rule_set: &RuleSet,
    span: Span,
) -> Result<Vec<Comparison>, Overflow> {
    let resolved = Resolved::of(history)?;
    let mut found = Vec::new();
    for (at, wear) in history.facts.dosimetry.wear.iter().enumerate() {
        let closed = wear.last.is_some_and(|last| span.contains(last));
        if closed && is_trunk(wear) && wear.is_own() {
            found.push(comparison(history, &resolved, rule_set, at, wear)?);
        }
    }
    found.sort_by_key(|it| (it.days.first, it.wear));
    Ok(found)
}

fn is_trunk(wear: &WearPeriod) -> bool {
    wear.kind == BadgeKind::WholeBody && wear.counting == Counting::Counts
}

/// From where on readings and result are too far apart.
///
/// The band is symmetric in ratio: 1.25 to one side is 1/1.25 to the other.
#[derive(Clone, Copy)]
pub(super) struct Band {
    permille: i128,
    pub minimum: Dose,
}

/// One period is looked into by itself beyond the band taken so many times. Where two of three
/// good months lie in the band, which is the least that "most of the time" can mean, that is
/// three standard deviations. A rule of thumb, no source.
const ALONE: u32 = 3;

impl Band {
    pub fn of(rule_set: &RuleSet) -> Option<Band> {
        let value = |key| rule_set.tolerance(key).map(|it| it.value);
        match (value("reconcile-relative"), value("reconcile-minimum")) {
            (Some(ToleranceValue::Permille(permille)), Some(ToleranceValue::Dose(minimum))) => {
                Some(Band {
                    permille: i128::from(permille),
                    minimum,
                })
            }
            _ => None,
        }
    }

    /// The logarithm of its upper edge; its lower edge is the same below zero.
    pub fn log(self) -> f64 {
        ((1_000 + self.permille) as f64 / 1_000.0).ln()
    }

    /// The band taken so many times.
    fn times(self, times: u32) -> Band {
        let edge = (1_000 + self.permille).saturating_pow(times) / 1_000_i128.pow(times - 1);
        Band {
            permille: edge - 1_000,
            ..self
        }
    }

    /// A result below the minimum lies somewhere from zero to it.
    fn judge(self, readings: Dose, result: &Reported) -> Agreement {
        let (low, high) = match result {
            Reported::Dose(dose) => (*dose, *dose),
            Reported::BelowMinimum { minimum, .. } => (Dose::ZERO, *minimum),
        };
        let wide = |dose: Dose, permille: i128| i128::from(dose.nsv()) * permille;
        let shown = wide(readings, 1_000);
        if readings < self.minimum && high < self.minimum {
            Agreement::TooSmall
        } else if shown > wide(high, 1_000 + self.permille) {
            Agreement::ReadingsHigher
        } else if wide(readings, 1_000 + self.permille) < wide(low, 1_000) {
            Agreement::ReadingsLower
        } else {
            Agreement::Within
        }
    }
}

/// How one period's readings and result stand to each other by the rule set's band, and whether
/// they are so far apart that it is looked into by itself.
pub fn judge(readings: Dose, result: &Reported, rule_set: &RuleSet) -> (Agreement, bool) {
    let Some(band) = Band::of(rule_set) else {
        return (Agreement::NotComparable, false);
    };
    let agreement = band.judge(readings, result);
    let far = band.times(ALONE).judge(readings, result) == agreement;
    (agreement, agreement.is_beyond() && far)
}

fn comparison(
    history: &History,
    resolved: &Resolved,
    rule_set: &RuleSet,
    at: usize,
    wear: &WearPeriod,
) -> Result<Comparison, Overflow> {
    let days = wear.days();
    let dosimetry = &history.facts.dosimetry;
    let inside = || resolved.live.iter().filter(|it| days.contains(it.day));
    let worn: Vec<&Live> = inside().filter(|it| was_worn(dosimetry, at, it)).collect();
    let known = |live: &&Live| live.dose.account.known().unwrap_or(Dose::ZERO);
    let readings = Dose::sum(worn.iter().map(known))?;
    let complete = worn
        .iter()
        .all(|it| !it.dose.account.is_undetermined() && it.dose.held == 0);
    let of_record = of_record(history, resolved, wear);
    let result = of_record.and_then(|it| it.doses.deep.clone());
    let (difference, ratio_permille) = match &result {
        None => (None, None),
        Some(result) => {
            let counted = result.counted();
            let ratio = i128::from(readings.nsv()) * 1_000;
            let ratio = ratio.checked_div(i128::from(counted.nsv()));
            (
                Some(counted.checked_sub(readings)?),
                ratio.and_then(|it| i64::try_from(it).ok()),
            )
        }
    };
    let agreement = match (of_record, &result, Band::of(rule_set)) {
        (None, _, _) => Agreement::NoResult,
        (_, Some(result), Some(_)) => match judge(readings, result, rule_set).0 {
            // What is missing can only raise the readings.
            Agreement::ReadingsHigher => Agreement::ReadingsHigher,
            _ if !complete => Agreement::ReadingsIncomplete,
            judged => judged,
        },
        _ => Agreement::NotComparable,
    };
    let alone = result
        .as_ref()
        .is_some_and(|it| judge(readings, it, rule_set).1);
    let not_worn = inside().count().saturating_sub(worn.len());
    Ok(Comparison {
        wear: wear.record,
        badge: wear.badge.to_string(),
        days,
        shifts: worn.iter().map(|it| it.entry).collect(),
        not_worn: u32::try_from(not_worn).unwrap_or(u32::MAX),
        readings,
        result,
        result_entry: of_record.map(|it| it.entry),
        difference,
        ratio_permille,
        agreement,
        by_itself: agreement.is_beyond() && alone,
    })
}

/// The result of a badge that is of record, else the first that counts.
fn of_record<'h>(
    history: &'h History,
    resolved: &Resolved,
    wear: &WearPeriod,
) -> Option<&'h BadgeResult> {
    let dosimetry = &history.facts.dosimetry;
    let standing = resolved.of.deep.lumps.iter().find_map(|it| {
        let Source::Result(at) = it.source else {
            return None;
        };
        let result = dosimetry.results.get(at)?;
        (result.wear == Some(wear.record)).then_some(result)
    });
    standing.or_else(|| dosimetry.reports(wear.record).first().copied())
}

/// Why no badge of ours speaks for a shift.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum NoBadge {
    /// None was on issue to the person that day.
    NotIssued,
    /// The sheet says that it was not worn.
    NotWorn,
    /// The sheet does not say.
    NotSaid,
}

/// A shift that no badge speaks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unbadged {
    /// The sheet's entry.
    pub entry: i64,
    /// The day.
    pub day: Day,
    /// Why.
    pub why: NoBadge,
}

/// The shifts of a span that no own whole-body badge speaks for, by day.
///
/// # Errors
/// [`Overflow`] when a sum does not fit.
pub fn unbadged(history: &History, span: Span) -> Result<Vec<Unbadged>, Overflow> {
    let resolved = Resolved::of(history)?;
    let badges = &history.facts.dosimetry.wear;
    let missing = resolved
        .live
        .iter()
        .filter(|live| span.contains(live.day) && live.trunk.is_none());
    Ok(missing
        .filter_map(|live| {
            let own = badges.iter().filter(|it| is_trunk(it) && it.is_own());
            let mut own = own.filter(|it| it.counting != Counting::RuledOut);
            let issued = own.any(|it| it.days().contains(live.day));
            let said = history.shifts.get(live.at).and_then(|it| it.badge_worn);
            let why = match (issued, said) {
                (false, _) => NoBadge::NotIssued,
                (true, None) => NoBadge::NotSaid,
                (true, Some(false)) => NoBadge::NotWorn,
                // A badge on hold: what waits for a disposition is listed as held.
                (true, Some(true)) => return None,
            };
            Some(Unbadged {
                entry: live.entry,
                day: live.day,
                why,
            })
        })
        .collect())
}

/// The processor's total of the year so far against ours, in one quantity.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct YearToDate {
    /// The result's entry.
    pub entry: i64,
    /// The last day of its wear period.
    pub through: Day,
    /// The quantity.
    pub quantity: Quantity,
    /// What the report says.
    pub theirs: Dose,
    /// Our results of periods that ended in that year up to then.
    pub ours: Dose,
    /// Prior dose on record of that year up to then, where the report comes
    /// nearer to ours with it: the months before this ledger began, which the
    /// same processor counted. Zero where it does not.
    pub prior: Dose,
    /// The first wear period among ours that began in the year before, which a processor may have
    /// counted there.
    pub across: Option<Span>,
    /// Theirs less ours and the prior dose. Not zero: a result is missing here
    /// or there, was corrected on one side only, or stands with another person.
    pub difference: Dose,
}

impl YearToDate {
    /// Whether the two differ beyond the rule set's band. A smaller difference is
    /// a difference all the same, between sums of the same reports.
    pub fn is_beyond(&self, rule_set: &RuleSet) -> bool {
        let theirs = Reported::Dose(self.theirs);
        let ours = self.ours.checked_add(self.prior).unwrap_or(self.ours);
        Band::of(rule_set).is_some_and(|band| band.judge(ours, &theirs).is_beyond())
    }
}

/// Each year-to-date figure of the own badges' reports, against the sum of the
/// results that the ledger has of the same year (of the rule set), up to the
/// same day. A period belongs to the year in which it ended; a processor that
/// counts it in the year in which it began differs by it, and `across` says so.
///
/// # Errors
/// [`Overflow`] when a sum does not fit.
pub fn years_to_date(history: &History, rule_set: &RuleSet) -> Result<Vec<YearToDate>, Overflow> {
    let dosimetry = &history.facts.dosimetry;
    let own = || dosimetry.wear.iter().filter(|it| it.is_own());
    let closed = || own().filter(|it| it.counting == Counting::Counts);
    let mut standing: Vec<(Span, &BadgeResult)> = Vec::new();
    for wear in closed() {
        let reports = dosimetry.reports(wear.record);
        if let (Some(last), Some(result)) = (wear.last, reports.last()) {
            let first = wear.first;
            standing.push((Span { first, last }, result));
        }
    }
    let mut found = Vec::new();
    for (worn, result) in &standing {
        let through = worn.last;
        let first = rule_set
            .year_start
            .year(rule_set.year_start.year_of(through))
            .first;
        for quantity in QUANTITIES {
            let Some(theirs) = *result.year_to_date.get(quantity) else {
                continue;
            };
            let of_year = |it: &&(Span, &BadgeResult)| first <= it.0.last && it.0.last <= through;
            let across = standing.iter().filter(of_year).map(|it| it.0);
            let across = across
                .filter(|it| it.first < first)
                .min_by_key(|it| it.first);
            let year = standing
                .iter()
                .filter(of_year)
                .filter_map(|(_, it)| it.doses.get(quantity).as_ref());
            let ours = Dose::sum(year.map(Reported::counted))?;
            let prior = prior_of(history, quantity, first, through)?;
            let without = theirs.checked_sub(ours)?;
            let with = without.checked_sub(prior)?;
            let nearer = with.nsv().unsigned_abs() < without.nsv().unsigned_abs();
            found.push(YearToDate {
                entry: result.entry,
                through,
                across,
                quantity,
                theirs,
                ours,
                prior: if nearer { prior } else { Dose::ZERO },
                difference: if nearer { with } else { without },
            });
        }
    }
    found.sort_by_key(|it| (it.through, it.entry));
    Ok(found)
}

/// The prior dose of whole periods within some days.
fn prior_of(
    history: &History,
    quantity: Quantity,
    first: Day,
    last: Day,
) -> Result<Dose, Overflow> {
    let inside = history.facts.prior.iter();
    let inside = inside.filter(|it| first <= it.first && it.last <= last);
    Dose::sum(inside.filter_map(|it| match quantity {
        Quantity::Deep => it.deep,
        Quantity::Lens => it.lens,
        Quantity::Shallow => it.shallow,
        Quantity::Extremity => it.extremity,
    }))
}
