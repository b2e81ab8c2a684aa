//! Why a figure of a statement is an estimate, and what else is to be said of how it came about.

use serde::Serialize;

use crate::answer::context::load::House;
use crate::answer::dose::conflict::conflict_lines;
use crate::calendar::{Day, Span};
use crate::dose::account::{Account, Contribution};
use crate::dose::conservative::Conservative;
use crate::dose::input::{
    BadgeKind, BadgeResult, BadgeState, Counting, Dosimetry, History, Relation, Reported, Scope,
    WearPeriod,
};
use crate::dose::resolve::why::Why;
use crate::dose::total::{Amount, Class, QUANTITIES};
use crate::rule::Quantity;

/// Where a badge is whose result is awaited.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum BadgeAt {
    /// On the person.
    OnIssue,
    /// Handed in and not sent.
    HandedIn,
    /// Sent to the processor.
    AtProcessor,
    /// Of one that goes to no processor: its next read is awaited.
    ToBeRead,
}

impl BadgeAt {
    /// Nothing of a badge from which no result will come.
    fn of(wear: &WearPeriod) -> Option<BadgeAt> {
        match wear.state {
            BadgeState::Lost | BadgeState::Damaged => None,
            _ if wear.read_from.is_some() => Some(BadgeAt::ToBeRead),
            BadgeState::Worn => Some(BadgeAt::OnIssue),
            BadgeState::Returned => Some(BadgeAt::HandedIn),
            BadgeState::Sent => Some(BadgeAt::AtProcessor),
        }
    }
}

/// One reason, as the records have it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "reason", rename_all = "snake_case")]
pub enum Reason {
    /// A badge has no result yet; readings stand in for it, but for one on an extremity.
    NoResult {
        badge: String,
        /// It is worn on an extremity, of which no reading at the trunk says anything.
        extremity: bool,
        /// Where it is.
        at: BadgeAt,
        /// First day of the wear inside the span.
        first: Day,
        /// Last day of it.
        last: Day,
    },
    /// A lost or damaged badge whose dose nobody has determined.
    NoResultToCome {
        badge: String,
        /// It is worn on an extremity.
        extremity: bool,
        /// First day of the wear inside the span.
        first: Day,
        /// Last day of it.
        last: Day,
    },
    /// Shifts that no badge's result speaks for.
    ReadingsAlone {
        /// How many.
        shifts: usize,
        /// The first day of them.
        first: Day,
        /// The last day of them.
        last: Day,
    },
    /// A dose that stands until a result comes, or stands in for another quantity.
    Provisional {
        /// Its days.
        first: Day,
        /// Its days.
        last: Day,
        entry: i64,
        /// How it came about.
        words: Vec<String>,
    },
    /// A dose over a period that the year cuts, until the RSO says what of it belongs to each year.
    Apportioned {
        /// First day inside the span.
        first: Day,
        /// Last day inside the span.
        last: Day,
        entry: i64,
        /// How it came about.
        words: Vec<String>,
    },
    /// A report of a badge waits for the RSO.
    ReportHeld {
        /// The badge; none where the ledger knows no such issue.
        badge: Option<String>,
        /// The day of the report.
        reported_on: Day,
        entry: i64,
        /// Whether an earlier report of the same badge counts meanwhile.
        second: bool,
    },
    /// A badge of another employer over shifts here, of which nobody said whether it measured
    /// the same dose.
    Elsewhere {
        badge: String,
        /// First day of its wear inside the span.
        first: Day,
        /// Last day of it.
        last: Day,
        entry: i64,
        /// Whether its dose is known, on the conservative side alone.
        reported: bool,
    },
    /// Readings wait for the RSO and are in no figure.
    ReadingsHeld {
        /// How many.
        readings: u32,
        /// Their day.
        day: Day,
        entry: i64,
    },
    /// Of a part of the days nobody assessed a quantity.
    PartlyAssessed {
        /// The short name of the quantity.
        code: String,
    },
    /// Something else waits for somebody, or has no upper bound.
    Open {
        /// Its day.
        day: Day,
        /// Whether it has no upper bound.
        undetermined: bool,
        /// What it is.
        words: String,
    },
    /// Results or determinations contradict each other.
    Conflict {
        /// In one sentence.
        words: String,
    },
    /// Readings in mR count as dose.
    ExposureAsDose,
    /// The processor found less than it reports, which counts as zero.
    BelowMinimum {
        /// The report's code for it.
        code: String,
        /// The badges.
        badges: Vec<String>,
        /// First day of their wear inside the span.
        first: Day,
        /// Last day of it.
        last: Day,
    },
}

impl Reason {
    /// Whether figures are an estimate because of it; else it explains a figure of record.
    pub fn makes_estimate(&self) -> bool {
        !matches!(self, Reason::BelowMinimum { .. } | Reason::ExposureAsDose)
    }

    /// Whether no figure is final while it stands. Of the others the figures tell themselves which
    /// of them are provisional.
    pub(crate) fn opens_every_figure(&self) -> bool {
        match self {
            Reason::NoResult { .. }
            | Reason::NoResultToCome { .. }
            | Reason::ReportHeld { .. }
            | Reason::Elsewhere { .. }
            | Reason::ReadingsHeld { .. }
            | Reason::Open { .. }
            | Reason::Conflict { .. } => true,
            Reason::ReadingsAlone { .. }
            | Reason::Provisional { .. }
            | Reason::Apportioned { .. }
            | Reason::PartlyAssessed { .. }
            | Reason::ExposureAsDose
            | Reason::BelowMinimum { .. } => false,
        }
    }
}

/// All of them for one person and span, in the order in which a statement says them.
pub(crate) fn reasons(
    house: &House,
    history: &History,
    account: &Account,
    safe: &Conservative,
) -> Vec<Reason> {
    let span = account.span;
    let dosimetry = &history.facts.dosimetry;
    let mut found = apportioned(account);
    let waiting: Vec<&WearPeriod> = dosimetry
        .wear
        .iter()
        .filter(|it| waits(dosimetry, it, account))
        .collect();
    found.extend(
        waiting
            .iter()
            .filter_map(|it| no_result(dosimetry, it, span)),
    );
    found.extend(provisional(account, &waiting));
    let (reports, mut told) = held(history, span);
    found.extend(reports);
    let (badges, of_them) = elsewhere(history, span);
    found.extend(badges);
    told.extend(of_them);
    found.extend(open(safe, account, &told));
    let conflicts = conflict_lines(
        house,
        &account.conflicts,
        (history.facts.record, span.last),
        span,
    );
    found.extend(
        conflicts
            .into_iter()
            .map(|it| Reason::Conflict { words: it.words }),
    );
    found.extend(below_minimum(dosimetry, span));
    if account.counts_exposure_as_dose {
        found.push(Reason::ExposureAsDose);
    }
    found
}

fn apportioned(account: &Account) -> Vec<Reason> {
    let mut found: Vec<Reason> = Vec::new();
    for it in &account.contributions {
        let known = found
            .iter()
            .any(|one| matches!(one, Reason::Apportioned { entry, .. } if *entry == it.entry));
        if it.class == Class::Apportioned && !it.special && !known {
            found.push(Reason::Apportioned {
                first: it.first,
                last: it.last,
                entry: it.entry,
                words: it.words.clone(),
            });
        }
    }
    found
}

/// Whether a badge still waits for its dose: it has no report, and nothing that the RSO
/// determined stands for all of its days.
fn waits(dosimetry: &Dosimetry, wear: &WearPeriod, account: &Account) -> bool {
    let days = wear.days();
    let reports = dosimetry.reports(wear.record);
    let read_to = reports.iter().map(|it| it.stated_days.last).max();
    let is_read = match (wear.last, read_to) {
        (_, None) => false,
        (Some(_), Some(_)) => true,
        // Still worn: what was worn since the last read has no result.
        (None, Some(read_to)) => account.span.last <= read_to,
    };
    // Up to the day on which it was lost or taken off is all of it.
    let all_of_it = |through: Option<Day>| {
        through.is_none_or(|through| wear.last.is_some_and(|last| through >= last))
    };
    let determined = dosimetry.determinations.iter().any(|it| match it.scope {
        Scope::WearPeriod(record) => record == wear.record && all_of_it(it.through),
        Scope::Span(span) => it.relation != Relation::Adds && span.common(&days) == Some(days),
        _ => false,
    });
    let provisional = |it: &Contribution| {
        let (first, last) = (it.first, it.last);
        it.class == Class::Provisional && !it.open_event && days.overlaps(&Span { first, last })
    };
    wear.is_own()
        && wear.counting != Counting::RuledOut
        && account.span.overlaps(&days)
        && !is_read
        && (!determined || account.contributions.iter().any(provisional))
}

fn no_result(dosimetry: &Dosimetry, wear: &WearPeriod, span: Span) -> Option<Reason> {
    let mut days = span.common(&wear.days())?;
    let reports = dosimetry.reports(wear.record);
    if let Some(since) = reports.iter().map(|it| it.stated_days.last).max() {
        days.first = days.first.max(since.succ_opt()?);
    }
    let (badge, Span { first, last }) = (wear.badge.to_string(), days);
    let extremity = wear.kind == BadgeKind::Extremity;
    Some(match BadgeAt::of(wear) {
        None => Reason::NoResultToCome {
            badge,
            extremity,
            first,
            last,
        },
        Some(at) => Reason::NoResult {
            badge,
            extremity,
            at,
            first,
            last,
        },
    })
}

/// What is provisional although no badge that waits accounts for it.
fn provisional(account: &Account, waiting: &[&WearPeriod]) -> Vec<Reason> {
    // A reading stands in for a badge on the trunk alone.
    let trunk = |it: &&&WearPeriod| it.kind == BadgeKind::WholeBody;
    let accounted = |day: Day| {
        let mut badges = waiting.iter().filter(trunk);
        badges.any(|it| it.days().contains(day))
    };
    let mut alone: Option<(usize, Day, Day)> = None;
    let mut found = Vec::new();
    for it in &account.contributions {
        if it.class != Class::Provisional || it.special || it.open_event {
            continue;
        }
        let read = *it.doses.get(Quantity::Deep) != Amount::Elsewhere;
        match it.first == it.last && read {
            true if accounted(it.first) => {}
            true => {
                alone = Some(match alone {
                    Some((shifts, first, _)) => (shifts + 1, first, it.last),
                    None => (1, it.first, it.last),
                });
            }
            false => found.push(Reason::Provisional {
                first: it.first,
                last: it.last,
                entry: it.entry,
                words: it.words.clone(),
            }),
        }
    }
    let alone = alone.map(|(shifts, first, last)| Reason::ReadingsAlone {
        shifts,
        first,
        last,
    });
    alone.into_iter().chain(found).collect()
}

/// Reports that wait for the RSO, whatever they would add; and the entries of all reports of the
/// same badges, of which nothing else need be said.
fn held(history: &History, span: Span) -> (Vec<Reason>, Vec<i64>) {
    let dosimetry = &history.facts.dosimetry;
    let (mut found, mut told) = (Vec::new(), Vec::new());
    for it in &dosimetry.results {
        let wear = dosimetry
            .wear
            .iter()
            .find(|one| Some(one.record) == it.wear);
        let days = wear.map_or(it.stated_days, |wear| dosimetry.worn_days(wear));
        // One of a badge that was never issued is held, whatever else is said of it.
        let on_hold = wear.is_none_or(|it| it.counting == Counting::Held);
        let waits = match it.counting {
            Counting::Held => true,
            Counting::Counts => on_hold,
            Counting::RuledOut => false,
        };
        if waits && days.overlaps(&span) {
            let same = |one: &&BadgeResult| one.entry == it.entry || one.wear == it.wear;
            let of_badge = dosimetry.results.iter().filter(same);
            told.extend(of_badge.map(|one| one.entry));
            found.push(Reason::ReportHeld {
                badge: wear.map(|it| it.badge.to_string()),
                reported_on: it.reported_on,
                entry: it.entry,
                second: wear.is_some_and(|wear| !dosimetry.reports(wear.record).is_empty()),
            });
        }
    }
    (found, told)
}

/// Badges of other employers that are on hold, and the entries that say their dose.
fn elsewhere(history: &History, span: Span) -> (Vec<Reason>, Vec<i64>) {
    let dosimetry = &history.facts.dosimetry;
    let (mut found, mut told) = (Vec::new(), Vec::new());
    for wear in history.open_elsewhere() {
        let mut shifts = history.shifts_on(wear);
        let meets = shifts.any(|it| span.contains(it.day));
        let Some(days) = span.common(&wear.days()).filter(|_| meets) else {
            continue;
        };
        let results = dosimetry.results.iter();
        let results = results.filter(|it| it.wear == Some(wear.record));
        let determined = dosimetry.determinations.iter();
        let determined = determined.filter(|it| it.scope == Scope::WearPeriod(wear.record));
        let dose = results
            .map(|it| it.entry)
            .chain(determined.map(|it| it.entry));
        let dose: Vec<i64> = dose.collect();
        found.push(Reason::Elsewhere {
            badge: wear.badge.to_string(),
            first: days.first,
            last: days.last,
            entry: wear.entry,
            reported: !dose.is_empty(),
        });
        told.extend(dose);
    }
    (found, told)
}

/// What waits for somebody or has no upper bound: on the conservative side, and of what is left
/// what the account says itself.
fn open(safe: &Conservative, account: &Account, told: &[i64]) -> Vec<Reason> {
    let waits = |why: Why| match why {
        Why::Held | Why::ReadingIncomplete | Why::Elsewhere | Why::NoSecondPerson => true,
        Why::OverMidnight
        | Why::WholeLump
        | Why::ResultNotAccepted
        | Why::BelowMinimum
        | Why::Conflict
        | Why::ReadsLow
        | Why::UntilResult
        | Why::Range
        | Why::OtherBadge => false,
    };
    let raises: Vec<_> = safe
        .raised_by
        .iter()
        .filter(|it| it.undetermined || waits(it.why) && !told.contains(&it.entry))
        .collect();
    let said = |entry: i64| raises.iter().any(|it| it.entry == entry);
    let unbounded = |it: &Contribution| {
        let mut all = QUANTITIES.iter().map(|quantity| it.doses.get(*quantity));
        all.any(|amount| amount.is_undetermined())
    };
    let own = account.contributions.iter().filter(|it| !said(it.entry));
    let own = own.filter_map(|it| match (unbounded(it), it.held) {
        (true, _) => Some(Reason::Open {
            day: it.first,
            undetermined: true,
            words: it.words.join("; "),
        }),
        (false, 0) => None,
        (false, readings) => Some(Reason::ReadingsHeld {
            readings,
            day: it.first,
            entry: it.entry,
        }),
    });
    let raised = raises.iter().map(|it| Reason::Open {
        day: it.day,
        undetermined: it.undetermined,
        words: it.words.clone(),
    });
    raised.chain(own).collect()
}

fn below_minimum(dosimetry: &Dosimetry, span: Span) -> Vec<Reason> {
    let mut all: Vec<(String, Vec<String>, Span)> = Vec::new();
    for wear in &dosimetry.wear {
        let Some(days) = span.common(&dosimetry.worn_days(wear)) else {
            continue;
        };
        let below = |it: &Option<Reported>| match it {
            Some(Reported::BelowMinimum { code, .. }) => Some(code.to_string()),
            Some(Reported::Dose(_)) | None => None,
        };
        let reports = dosimetry.reports(wear.record).into_iter();
        let mut codes =
            reports.filter_map(|it| QUANTITIES.iter().find_map(|one| below(it.doses.get(*one))));
        let Some(code) = codes.next() else {
            continue;
        };
        let badge = wear.badge.to_string();
        match all.iter_mut().find(|it| it.0 == code) {
            Some((_, badges, known)) => {
                badges.push(badge);
                known.first = known.first.min(days.first);
                known.last = known.last.max(days.last);
            }
            None => all.push((code, vec![badge], days)),
        }
    }
    let reason = |(code, badges, days): (String, Vec<String>, Span)| Reason::BelowMinimum {
        code,
        badges,
        first: days.first,
        last: days.last,
    };
    all.into_iter().map(reason).collect()
}
