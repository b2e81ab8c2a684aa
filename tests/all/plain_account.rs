//! The account and the safe side against a second calculation that shares no
//! code with them: plain numbers, day by day, slow, on random histories.
//!
//! The model below is written from the rules and knows nothing of lumps,
//! bundles or running totals. A history is drawn as raw numbers; one function
//! turns it into the records that the program computes from, another walks its
//! days. Doses are nanosievert, days count from 2025-10-01.

use std::sync::Arc;

use wearbook::calendar::{Day, Span, parse_day};
use wearbook::dose::account::Account;
use wearbook::dose::index::DoseIndex;
use wearbook::dose::input::*;
use wearbook::dose::safe_side::SafeSide;
use wearbook::dose::total::{PerQuantity, Total};
use wearbook::quantity::{Dose, Indication, IndicationUnit};
use wearbook::record::{DoubtSort, ShiftName, Work};
use wearbook::rule::Quantity;

/// Histories that are drawn, and spans that each is asked for.
const HISTORIES: u64 = 2_400;
const SPANS: u64 = 4;
/// Days that a history covers.
const DAYS: i64 = 200;

#[derive(Clone, Debug)]
struct RawShift {
    day: i64,
    over: bool,
    worn: Option<bool>,
    /// What the dosimeter showed; off-scale without a number.
    shows: Option<i64>,
    /// A second dosimeter whose reading is held.
    held: Option<i64>,
    fixed: Option<Fixed>,
}

/// A determination of the deep dose.
#[derive(Clone, Copy, Debug)]
struct Fixed {
    entry: i64,
    dose: i64,
    until: bool,
}

#[derive(Clone, Debug)]
struct RawBadge {
    first: i64,
    last: i64,
    results: Vec<RawResult>,
    fixed: Option<Fixed>,
    /// What is of record, what is not.
    settled: Option<(i64, Vec<i64>)>,
}

#[derive(Clone, Debug)]
struct RawResult {
    entry: i64,
    deep: Option<Value>,
    lens: Option<Value>,
    accepted: bool,
    corrects: Option<i64>,
    held: bool,
}

/// A dose, or a minimum that it is below.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Value {
    dose: i64,
    below: bool,
}

#[derive(Clone, Debug, Default)]
struct Raw {
    shifts: Vec<RawShift>,
    badges: Vec<RawBadge>,
    /// First day, days, deep dose.
    prior: Vec<(i64, i64, i64)>,
    /// Doses that add: day, dose.
    added: Vec<(i64, i64)>,
}

// ---- drawing ---------------------------------------------------------------

/// A plain congruential generator, so that a failing history can be drawn
/// again from its number.
struct Draw(u64);

impl Draw {
    fn below(&mut self, n: i64) -> i64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % n.unsigned_abs()).cast_signed()
    }

    fn one_in(&mut self, n: i64) -> bool {
        self.below(n) == 0
    }
}

fn draw(seed: u64) -> Raw {
    let mut draw = Draw(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15));
    let mut entry = 100;
    let mut next = || {
        entry += 1;
        entry
    };
    let mut raw = Raw::default();
    for _ in 0..draw.below(30) {
        let worn = [Some(true), Some(true), Some(true), Some(false), None];
        let off_scale = draw.one_in(8);
        raw.shifts.push(RawShift {
            day: draw.below(DAYS),
            over: draw.one_in(4),
            worn: worn[usize::try_from(draw.below(5)).unwrap()],
            shows: (!off_scale).then(|| draw.below(4) * draw.below(500_001)),
            held: draw.one_in(9).then(|| draw.below(900_001)),
            fixed: None,
        });
    }
    for shift in &mut raw.shifts {
        let wanted = if shift.shows.is_none() { 2 } else { 15 };
        if draw.one_in(wanted) {
            shift.fixed = Some(Fixed {
                entry: next(),
                dose: draw.below(3_000_001),
                until: draw.one_in(3),
            });
        }
    }
    let mut day = draw.below(20);
    while day < DAYS && raw.badges.len() < 7 {
        let last = day + draw.below(60);
        raw.badges
            .push(badge(&mut draw, &mut next, &raw, day, last));
        // The next on the same day, the day after, or after a gap.
        day = last + draw.below(3) * draw.below(9);
    }
    for _ in 0..draw.below(3) {
        let prior = (draw.below(DAYS), draw.below(60) + 1, draw.below(9_000_001));
        raw.prior.push(prior);
    }
    if draw.one_in(4) {
        raw.added.push((draw.below(DAYS), draw.below(2_000_001)));
    }
    raw
}

fn badge(
    draw: &mut Draw,
    next: &mut impl FnMut() -> i64,
    raw: &Raw,
    first: i64,
    last: i64,
) -> RawBadge {
    // A result near the readings as often as far from them.
    let inside = raw
        .shifts
        .iter()
        .filter(|it| first <= it.day && it.day <= last);
    let sum: i64 = inside
        .map(|it| it.fixed.map_or(it.shows.unwrap_or(0), |fixed| fixed.dose))
        .sum();
    let value = |draw: &mut Draw| match draw.below(6) {
        0 => Value {
            dose: 100_000,
            below: true,
        },
        1 => Value {
            dose: sum,
            below: false,
        },
        2 => Value {
            dose: draw.below(200_001),
            below: false,
        },
        _ => Value {
            dose: sum + draw.below(3_000_001),
            below: false,
        },
    };
    let mut results = Vec::new();
    for _ in 0..[0, 1, 1, 1, 2][usize::try_from(draw.below(5)).unwrap()] {
        let earlier = results.first().map(|it: &RawResult| it.entry);
        results.push(RawResult {
            entry: next(),
            deep: (!draw.one_in(8)).then(|| value(draw)),
            lens: (!draw.one_in(3)).then(|| value(draw)),
            accepted: draw.one_in(2),
            corrects: earlier.filter(|_| draw.one_in(2)),
            held: draw.one_in(7),
        });
    }
    let fixed = draw.one_in(5).then(|| Fixed {
        entry: next(),
        dose: draw.below(4_000_001),
        until: draw.one_in(2),
    });
    let mut all: Vec<i64> = results.iter().map(|it| it.entry).collect();
    all.extend(fixed.map(|it| it.entry));
    let members = raw
        .shifts
        .iter()
        .filter(|it| first <= it.day && it.day <= last);
    all.extend(members.filter_map(|it| it.fixed).map(|it| it.entry));
    let settled = (!all.is_empty() && draw.one_in(3)).then(|| {
        let of_record =
            all[usize::try_from(draw.below(i64::try_from(all.len()).unwrap())).unwrap()];
        let mut aside: Vec<i64> = all.into_iter().filter(|it| *it != of_record).collect();
        if draw.one_in(5) {
            aside.pop();
        }
        (of_record, aside)
    });
    // An amended result has another entry, and no settlement speaks of it.
    if draw.one_in(6)
        && let Some(result) = results.last_mut()
    {
        result.entry = next();
        result.deep = result.deep.map(|it| Value {
            dose: it.dose / 2,
            ..it
        });
    }
    RawBadge {
        first,
        last,
        results,
        fixed,
        settled,
    }
}

// ---- as records ------------------------------------------------------------

fn on(n: i64) -> Day {
    parse_day("2025-10-01").unwrap() + chrono::Duration::days(n)
}

fn reading(record: i64, shows: Option<i64>, held: bool) -> Reading {
    let at = |count| Some(Indication::new(count, IndicationUnit::MilliSievert));
    Reading {
        record: Some(record),
        dosimeter: Arc::from("PD"),
        part: 1,
        start: at(0),
        end: shows.and_then(at),
        off_scale: shows.is_none(),
        held: if held {
            vec![DoubtSort::DosimeterTwice]
        } else {
            Vec::new()
        },
        ruling: None,
    }
}

fn determination(fixed: &Fixed, scope: Scope) -> Determination {
    Determination {
        entry: fixed.entry,
        scope,
        quantity: Quantity::Deep,
        relation: if fixed.until {
            Relation::UntilResult
        } else {
            Relation::Replaces
        },
        dose: Dose::from_nsv(fixed.dose),
        method: Method::Other,
        determined_by: 7,
        second_person: None,
    }
}

fn reported(value: Option<Value>) -> Option<Reported> {
    value.map(|value| {
        let dose = Dose::from_nsv(value.dose);
        if value.below {
            Reported::BelowMinimum {
                code: Arc::from("M"),
                minimum: dose,
            }
        } else {
            Reported::Dose(dose)
        }
    })
}

fn history(raw: &Raw) -> History {
    let mut history = History::default();
    history.facts.record = 1;
    for (nth, one) in raw.shifts.iter().enumerate() {
        let sheet = i64::try_from(nth).unwrap() + 1;
        let mut readings = vec![reading(1, one.shows, false)];
        readings.extend(one.held.map(|held| reading(2, Some(held), true)));
        history.shifts.push(Shift {
            sheet,
            entry: sheet,
            day: on(one.day),
            crosses_midnight: one.over,
            shift: ShiftName::Day,
            badge_worn: one.worn,
            work: Work::Radiography,
            readings,
        });
        let scope = Scope::Reading {
            sheet,
            dosimeter: Some(1),
            part: 1,
        };
        let dosimetry = &mut history.facts.dosimetry;
        let made = one.fixed.map(|fixed| determination(&fixed, scope));
        dosimetry.determinations.extend(made);
    }
    for (nth, one) in raw.badges.iter().enumerate() {
        badge_records(
            &mut history.facts.dosimetry,
            1000 + i64::try_from(nth).unwrap(),
            one,
        );
    }
    for (nth, (first, days, deep)) in raw.prior.iter().enumerate() {
        history.facts.prior.push(PriorDose {
            entry: 2000 + i64::try_from(nth).unwrap(),
            first: on(*first),
            last: on(first + days - 1),
            employer: String::new(),
            deep: Some(Dose::from_nsv(*deep)),
            lens: None,
            shallow: None,
            extremity: None,
        });
    }
    for (day, dose) in &raw.added {
        let fixed = Fixed {
            entry: 3000,
            dose: *dose,
            until: false,
        };
        let scope = Scope::Event {
            event: 1,
            day: on(*day),
            sheet: None,
        };
        let made = determination(&fixed, scope);
        history.facts.dosimetry.determinations.push(made);
    }
    history
}

fn badge_records(dosimetry: &mut Dosimetry, record: i64, one: &RawBadge) {
    dosimetry.wear.push(WearPeriod {
        record,
        entry: record,
        badge: Arc::from("B"),
        kind: BadgeKind::WholeBody,
        sort: BadgeSort::Processed,
        issuer: Issuer::Own,
        first: on(one.first),
        last: Some(on(one.last)),
        planned_last: None,
        state: BadgeState::Returned,
        counting: Counting::Counts,
    });
    for result in &one.results {
        dosimetry.results.push(BadgeResult {
            entry: result.entry,
            wear: Some(record),
            stated_days: Span {
                first: on(one.first),
                last: on(one.last),
            },
            reported_on: on(one.last),
            doses: PerQuantity {
                deep: reported(result.deep),
                lens: reported(result.lens),
                shallow: None,
                extremity: None,
            },
            year_to_date: PerQuantity::default(),
            accepted: result.accepted.then_some(result.entry + 500),
            corrects: result.corrects,
            counting: if result.held {
                Counting::Held
            } else {
                Counting::Counts
            },
        });
    }
    let made = one
        .fixed
        .map(|it| determination(&it, Scope::WearPeriod(record)));
    dosimetry.determinations.extend(made);
    if let Some((of_record, aside)) = &one.settled {
        dosimetry.settlements.push(Settlement {
            entry: 9000 + record,
            wear: record,
            quantity: None,
            of_record: *of_record,
            set_aside: aside.clone(),
            reason: String::new(),
        });
    }
}

// ---- the plain model -------------------------------------------------------

/// What the plain model finds in a span.
#[derive(Debug, Default, PartialEq)]
struct Plain {
    record: i64,
    provisional: i64,
    prior: i64,
    apportioned: i64,
    undetermined: bool,
    held: i64,
    safe: i64,
    safe_open: bool,
}

/// One shift's figures of a quantity.
#[derive(Clone, Copy)]
struct Says {
    dose: i64,
    open: bool,
    record: bool,
    safe: i64,
    safe_open: bool,
    held: bool,
}

/// `result` says whether a result states the quantity for this shift.
fn says(shift: &RawShift, lens: bool, result: bool) -> Says {
    let fixed = shift.fixed.filter(|it| !(result && (it.until || lens)));
    let second = shift.held.unwrap_or(0);
    let held = shift.held.is_some();
    match (fixed, shift.shows) {
        (Some(fixed), shows) => {
            let mut first = fixed.dose;
            if fixed.until {
                first = first.max(shows.unwrap_or(0));
            }
            Says {
                dose: fixed.dose,
                open: false,
                record: !fixed.until && !lens,
                safe: first.max(second),
                safe_open: false,
                held,
            }
        }
        (None, Some(shows)) => Says {
            dose: shows,
            open: false,
            record: false,
            safe: shows.max(second),
            safe_open: false,
            held,
        },
        (None, None) => Says {
            dose: 0,
            open: true,
            record: false,
            safe: second,
            safe_open: true,
            held,
        },
    }
}

/// What is decided of one badge.
struct Verdict {
    /// Lump and whether it is of record; the shifts speak if none.
    lump: Option<(i64, bool)>,
    /// The whole on the safe side; the shifts' own if none.
    safe: Option<(i64, bool)>,
    /// Whether a result states the quantity.
    result: bool,
}

fn verdict(badge: &RawBadge, members: &[&RawShift], lens: bool) -> Verdict {
    let of = |it: &RawResult| if lens { it.lens } else { it.deep };
    let corrected = |entry: i64| {
        badge
            .results
            .iter()
            .any(|it| !it.held && it.corrects == Some(entry))
    };
    let live: Vec<&RawResult> = badge
        .results
        .iter()
        .filter(|it| !corrected(it.entry))
        .collect();
    let mut stated: Vec<(i64, Value, bool)> = live
        .iter()
        .filter(|it| !it.held)
        .filter_map(|it| Some((it.entry, of(it)?, it.accepted)))
        .collect();
    stated.sort_by_key(|it| it.0);
    let waiting = live.iter().filter(|it| it.held).filter_map(|it| of(it));
    let waiting = waiting.map(|it| it.dose).max();
    let result = !stated.is_empty();
    let all: Vec<Says> = members.iter().map(|it| says(it, lens, result)).collect();
    let dose: i64 = all.iter().map(|it| it.dose).sum();
    let open = all.iter().any(|it| it.open);
    let safe: i64 = all.iter().map(|it| it.safe).sum();
    let safe_open = all.iter().any(|it| it.safe_open);
    let held = all.iter().any(|it| it.held);
    let replaced = members
        .iter()
        .filter_map(|it| it.fixed)
        .filter(|it| !it.until && !lens);
    let replaced: Vec<Fixed> = replaced.collect();
    let replaced_sum: i64 = replaced.iter().map(|it| it.dose).sum();
    if !result {
        let deep = live
            .iter()
            .filter(|it| !it.held && lens)
            .filter_map(|it| it.deep);
        let deep = deep.map(|it| it.dose).max();
        if let Some(fixed) = badge.fixed {
            let mut whole = fixed.dose.max(waiting.unwrap_or(0)).max(replaced_sum);
            if fixed.until || held {
                whole = whole.max(safe);
            }
            return Verdict {
                lump: Some((fixed.dose, !fixed.until && !lens)),
                safe: Some((whole, false)),
                result,
            };
        }
        let other = waiting.max(deep);
        return Verdict {
            lump: None,
            safe: other.map(|other| (other.max(safe), safe_open)),
            result,
        };
    }
    let waiting = waiting.unwrap_or(0);
    let period = badge.fixed.filter(|it| !it.until && !lens);
    let mut meets: Vec<i64> = replaced.iter().map(|it| it.entry).collect();
    meets.extend(period.map(|it| it.entry));
    // What determinations make of it.
    let by_rso = match period {
        Some(period) => {
            let mut whole = period.dose.max(replaced_sum);
            if held {
                whole = whole.max(safe);
            }
            (Some((period.dose, true)), whole, false)
        }
        None => (None, safe, safe_open),
    };
    let named = |entry: i64| {
        badge
            .settled
            .as_ref()
            .is_some_and(|(of, aside)| *of == entry || aside.contains(&entry))
    };
    let of_record = badge.settled.as_ref().map(|it| it.0);
    let all_results_named = stated.iter().all(|it| named(it.0));
    let settled_by_rso = all_results_named && meets.iter().any(|it| Some(*it) == of_record);
    let settled_result = stated.iter().find(|it| Some(it.0) == of_record);
    let settled_result =
        settled_result.filter(|_| all_results_named && meets.iter().all(|it| named(*it)));
    if settled_by_rso {
        return Verdict {
            lump: by_rso.0,
            safe: Some((by_rso.1.max(waiting), by_rso.2)),
            result,
        };
    }
    if let Some((_, value, _)) = settled_result {
        let mut whole = value.dose.max(waiting);
        if value.below || held {
            whole = whole.max(safe);
        }
        return Verdict {
            lump: Some((counted(*value), true)),
            safe: Some((whole, false)),
            result,
        };
    }
    let (_, first, accepted) = stated[0];
    let highest = stated
        .iter()
        .map(|it| it.1.dose)
        .max()
        .unwrap_or(0)
        .max(waiting);
    let rso_dose = period.map_or((dose, open), |it| (it.dose, false));
    let agree = !held
        && rso_dose == (counted(first), false)
        && stated.iter().all(|it| counted(it.1) == counted(first));
    if !meets.is_empty() && !agree {
        return Verdict {
            lump: by_rso.0,
            safe: Some((by_rso.1.max(highest), by_rso.2)),
            result,
        };
    }
    let mut whole = first.dose.max(waiting);
    let mut whole_open = false;
    if !accepted {
        // Estimates until a result stay in until it is accepted.
        let estimated: i64 = members
            .iter()
            .map(|it| {
                let now = says(it, lens, true);
                match it.fixed.filter(|fixed| fixed.until && !lens) {
                    Some(_) => says(it, lens, false).safe,
                    None => now.safe,
                }
            })
            .sum();
        whole = whole.max(estimated).max(safe);
        let period = badge.fixed.filter(|_| !lens).map_or(0, |it| it.dose);
        whole = whole.max(period);
        whole_open = safe_open;
    }
    if first.below || held {
        whole = whole.max(safe);
    }
    if stated.iter().any(|it| it.1 != first) {
        whole = whole.max(highest).max(safe);
    }
    let others: i64 = all.iter().filter(|it| !it.open).map(|it| it.dose).sum();
    if open && others > counted(first) {
        return Verdict {
            lump: None,
            safe: Some((whole.max(safe), safe_open)),
            result,
        };
    }
    Verdict {
        lump: Some((counted(first), true)),
        safe: Some((whole, whole_open)),
        result,
    }
}

fn counted(value: Value) -> i64 {
    if value.below { 0 } else { value.dose }
}

/// What each day of a badge's period has of its lump.
fn by_day(badge: &RawBadge, members: &[&RawShift], lump: i64, all: &[Says]) -> Vec<(i64, i64)> {
    let mut shares = Vec::new();
    let closed: i64 = all.iter().filter(|it| !it.open).map(|it| it.dose).sum();
    let open = i64::try_from(all.iter().filter(|it| it.open).count()).unwrap();
    if open > 0 && closed <= lump {
        let mut nth = 0;
        for (shift, one) in members.iter().zip(all) {
            if one.open {
                let rest = lump - closed;
                shares.push((shift.day, rest * (nth + 1) / open - rest * nth / open));
                nth += 1;
            } else {
                shares.push((shift.day, one.dose));
            }
        }
    } else if closed > 0 {
        let mut before = 0_i128;
        for (shift, one) in members.iter().zip(all).filter(|it| !it.1.open) {
            let after = before + i128::from(one.dose);
            let step = |n: i128| i128::from(lump) * n / i128::from(closed);
            shares.push((
                shift.day,
                i64::try_from(step(after) - step(before)).unwrap(),
            ));
            before = after;
        }
    } else {
        let days = badge.last - badge.first + 1;
        for n in 0..days {
            shares.push((badge.first + n, lump * (n + 1) / days - lump * n / days));
        }
    }
    assert_eq!(shares.iter().map(|it| it.1).sum::<i64>(), lump);
    shares
}

/// The badge of a shift: on the day of an exchange the later one.
fn badge_of(raw: &Raw, shift: &RawShift) -> Option<usize> {
    if shift.worn != Some(true) {
        return None;
    }
    let inside = |it: &RawBadge| it.first <= shift.day && shift.day <= it.last;
    raw.badges.iter().rposition(inside)
}

fn plain(raw: &Raw, lens: bool, from: i64, to: i64) -> Plain {
    let mut found = Plain::default();
    let mut shifts: Vec<&RawShift> = raw.shifts.iter().collect();
    shifts.sort_by_key(|it| it.day);
    let mut verdicts = Vec::new();
    for (nth, badge) in raw.badges.iter().enumerate() {
        let mine = shifts.iter().filter(|it| badge_of(raw, it) == Some(nth));
        let members: Vec<&RawShift> = mine.copied().collect();
        let verdict = verdict(badge, &members, lens);
        let all: Vec<Says> = members
            .iter()
            .map(|it| says(it, lens, verdict.result))
            .collect();
        let mut days = Vec::new();
        if let Some((lump, record)) = verdict.lump {
            days = by_day(badge, &members, lump, &all);
            let inside: i64 = days
                .iter()
                .filter(|(day, _)| from <= *day && *day <= to)
                .map(|(_, dose)| dose)
                .sum();
            if from <= badge.first && badge.last <= to {
                assert_eq!(inside, lump);
                if record {
                    found.record += lump;
                } else {
                    found.provisional += lump;
                }
            } else {
                found.apportioned += inside;
            }
        }
        if let Some((whole, open)) = verdict.safe
            && badge.first <= to
            && from <= badge.last
        {
            found.safe += whole;
            found.safe_open |= open;
        }
        verdicts.push((verdict, days));
    }
    for shift in &shifts {
        let badge = badge_of(raw, shift);
        let verdict = badge.and_then(|it| verdicts.get(it));
        let one = says(shift, lens, verdict.is_some_and(|it| it.0.result));
        let inside = from <= shift.day && shift.day <= to;
        if inside && verdict.is_none_or(|it| it.0.lump.is_none()) {
            if one.record {
                found.record += one.dose;
            } else {
                found.provisional += one.dose;
            }
            found.undetermined |= one.open;
            found.held += i64::from(one.held);
        }
        let carried = shift.over && shift.day + 1 == from;
        match verdict.and_then(|it| it.0.safe.map(|safe| (it, safe))) {
            None if inside || carried => {
                found.safe += one.safe;
                found.safe_open |= one.safe_open;
            }
            Some(((_, days), (_, open)))
                if carried && badge.is_some_and(|it| raw.badges[it].last == shift.day) =>
            {
                // What the lump has on the last day, or what its dosimeter
                // showed; of several shifts on that day each has its own.
                let place = shifts.iter().filter(|it| badge_of(raw, it) == badge);
                let place = place.take_while(|it| !std::ptr::eq(**it, *shift)).count();
                let share = share_at(days, place, &shifts, raw, badge);
                found.safe += share.max(one.safe);
                found.safe_open |= open && one.safe_open;
            }
            _ => {}
        }
    }
    for today in from..=to {
        for (first, days, dose) in &raw.prior {
            let n = today - first;
            if (0..*days).contains(&n) {
                let step = dose * (n + 1) / days - dose * n / days;
                if from <= *first && first + days - 1 <= to {
                    found.prior += step;
                } else {
                    found.apportioned += step;
                }
            }
        }
        for (day, dose) in &raw.added {
            if *day == today {
                if lens {
                    found.provisional += dose;
                } else {
                    found.record += dose;
                }
                found.safe += dose;
            }
        }
    }
    let reaching = raw
        .prior
        .iter()
        .filter(|(first, days, _)| *first <= to && from < first + days);
    found.safe += reaching.map(|it| it.2).sum::<i64>();
    found
}

/// The share of a badge's nth shift, where its lump is spread by shifts.
fn share_at(
    days: &[(i64, i64)],
    place: usize,
    shifts: &[&RawShift],
    raw: &Raw,
    badge: Option<usize>,
) -> i64 {
    let mine: Vec<i64> = shifts
        .iter()
        .filter(|it| badge_of(raw, it) == badge)
        .map(|it| it.day)
        .collect();
    let by_shift: Vec<i64> = days.iter().map(|it| it.0).collect();
    if mine == by_shift {
        return days[place].1;
    }
    // In proportion, an open shift has no share and no line.
    let day = mine[place];
    let same: Vec<i64> = days
        .iter()
        .filter(|it| it.0 == day)
        .map(|it| it.1)
        .collect();
    match same.as_slice() {
        [one] if by_shift.len() < mine.len() => *one,
        _ => 0,
    }
}

// ---- the comparison --------------------------------------------------------

fn compare(seed: u64, raw: &Raw) {
    let history = history(raw);
    let index = DoseIndex::build(&history).unwrap();
    let mut draw = Draw(seed ^ 0x5555);
    for _ in 0..SPANS {
        let from = draw.below(DAYS + 20) - 10;
        let to = from + draw.below(DAYS / 2);
        let span = Span {
            first: on(from),
            last: on(to),
        };
        let account = Account::of(&history, span).unwrap();
        let safe = SafeSide::of(&history, span).unwrap();
        for (lens, quantity) in [(false, Quantity::Deep), (true, Quantity::Lens)] {
            let total = account.totals.get(quantity);
            let high = safe.totals.get(quantity);
            let found = as_plain(total, high);
            let expected = plain(raw, lens, from, to);
            assert_eq!(
                found, expected,
                "history {seed}, {quantity:?} from day {from} to {to}: {raw:#?}"
            );
            assert_eq!(*total, index.account(span, quantity).unwrap());
            assert_eq!(*high, index.safe(span, quantity).unwrap());
            hold(&account, &safe, quantity, seed);
            // Two parts of a span add up to the whole of it.
            let cut = from + (to - from) / 2;
            let known = |first: i64, last: i64| {
                let span = Span {
                    first: on(first),
                    last: on(last),
                };
                let total = index.account(span, quantity).unwrap();
                if first <= last {
                    total.known().nsv()
                } else {
                    0
                }
            };
            assert_eq!(known(from, cut) + known(cut + 1, to), total.known().nsv());
            // The safe side never shrinks as the span grows.
            let less = Span {
                last: on(cut),
                ..span
            };
            assert!(index.safe(less, quantity).unwrap().known() <= high.known());
        }
    }
}

fn as_plain(total: &Total, safe: &Total) -> Plain {
    Plain {
        record: total.of_record.nsv(),
        provisional: total.provisional.nsv(),
        prior: total.prior.nsv(),
        apportioned: total.apportioned.nsv(),
        undetermined: total.undetermined > 0,
        held: i64::from(total.held),
        safe: safe.known().nsv(),
        safe_open: safe.undetermined > 0,
    }
}

/// What must hold between the two figures and their parts, whatever they are.
fn hold(account: &Account, safe: &SafeSide, quantity: Quantity, seed: u64) {
    let total = account.totals.get(quantity);
    let high = safe.totals.get(quantity);
    assert!(high.known() >= total.known(), "history {seed}");
    assert!(
        total.undetermined == 0 || high.undetermined > 0,
        "history {seed}"
    );
    let parts = account.contributions.iter();
    let sum: i64 = parts
        .filter_map(|it| it.doses.get(quantity).known())
        .map(Dose::nsv)
        .sum();
    assert_eq!(sum, total.known().nsv(), "history {seed}");
    let raised: Vec<i64> = safe
        .raised_by
        .iter()
        .map(|it| it.by.get(quantity).nsv())
        .collect();
    assert!(raised.iter().all(|by| *by >= 0), "history {seed}");
    assert_eq!(
        raised.iter().sum::<i64>(),
        high.known().nsv() - total.known().nsv(),
        "history {seed}"
    );
}

#[test]
fn account_and_safe_side_equal_a_plain_walk_over_the_days() {
    for seed in 1..=HISTORIES {
        compare(seed, &draw(seed));
    }
}

#[test]
fn the_histories_drawn_hold_what_the_rules_speak_of() {
    let (mut stated, mut open, mut two, mut settled, mut below, mut amended) = (0, 0, 0, 0, 0, 0);
    let (mut determined, mut no_lens) = (0, 0);
    for seed in 1..=HISTORIES {
        let raw = draw(seed);
        for badge in &raw.badges {
            stated += badge.results.len();
            two += usize::from(badge.results.len() > 1);
            settled += usize::from(badge.settled.is_some());
            determined += usize::from(badge.fixed.is_some() && !badge.results.is_empty());
            no_lens += badge.results.iter().filter(|it| it.lens.is_none()).count();
            below += badge
                .results
                .iter()
                .filter(|it| it.deep.is_some_and(|v| v.below))
                .count();
            let named = badge
                .settled
                .iter()
                .flat_map(|(of, aside)| aside.iter().chain([of]));
            let named: Vec<i64> = named.copied().collect();
            amended += usize::from(
                badge.settled.is_some()
                    && badge.results.iter().any(|it| !named.contains(&it.entry)),
            );
        }
        open += raw.shifts.iter().filter(|it| it.shows.is_none()).count();
    }
    for seen in [
        stated, open, two, settled, below, amended, determined, no_lens,
    ] {
        assert!(
            seen > 200,
            "{stated} {open} {two} {settled} {below} {amended}"
        );
    }
}
